/* The stage as a whole: the same bytes, sound workbooks, the verdict on the terminal. */
#include "render_run.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

Test(render, same_assessment_gives_same_bytes) {
    static const struct {
        const char *tz;
        unsigned threads;
    } rows[] = {{"UTC", 1}, {"America/St_Johns", 2}, {"Asia/Kathmandu", 4}, {"Pacific/Apia", 0}};
    char *first = NULL;
    struct mr_arena *kept = mr_arena_new(NULL, NULL);
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        setenv("TZ", rows[i].tz, 1);
        struct run run = run_begin("job");
        cr_assert_eq(run_fixture(&run, rows[i].threads, true), MR_OK);
        char *tree = mr_strdup(kept, tree_text(run.arena, run.published.dir));
        if (!first)
            first = tree;
        cr_assert_str_eq(tree, first, "%s, %u threads", rows[i].tz, rows[i].threads);
        cr_assert_eq(run_fixture(&run, 1, true), MR_OK); /* once more over itself */
        cr_assert_str_eq(tree_text(run.arena, run.published.dir), first);
        run_end(&run);
    }
    mr_arena_free(kept);
}

static const char *cells_of_workbook(struct run *run) {
    cr_assert(strstr(run->published.workbook, "/reports/revision-0/a job's folder-report.xlsx"), "%s",
              run->published.workbook);
    return mr_printf(run->arena, "check-workbook.py \"%s\" --cells \"%s/cells\"", run->published.workbook, run->dir);
}

Test(render, workbooks_pass_two_readers) {
    each_fixture("a job's folder", cells_of_workbook);
}

/* Figures on the sheets are those of the assessment, to the last digit that the file format keeps. */
Test(render, figures_on_the_sheets_are_those_of_the_assessment) {
    struct run run = run_begin("job");
    struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
    cr_assert_eq(run_render(&run, a, 1, false), MR_OK);
    char *text = NULL;
    int status = python_script(
        run.arena, mr_printf(run.arena, "check-workbook.py %s --cells %s/cells", run.published.workbook, run.dir),
        &text);
    if (status == 77) {
        printf("SKIPPED ALOUD: %s", text);
        run_end(&run);
        return;
    }
    char *cells = file_text(run.arena, mr_printf(run.arena, "%s/cells", run.dir), NULL);
    for (size_t i = 0; i < a->checks.n; i++) { /* header in row 4, so checks from row 5; measured in column 6 */
        const struct mr_check *c = &a->checks.v[i];
        const char *at = strstr(cells, mr_printf(run.arena, "\nChecks\t%zu\t6\t", i + 5));
        if (c->measured != c->measured) {
            cr_assert_null(at, "check %zu: nothing was measured", i);
            continue;
        }
        cr_assert(at, "check %zu", i);
        const double v = strtod(strrchr(mr_strndup(run.arena, at, strcspn(at + 1, "\n") + 1), '\t') + 1, NULL);
        cr_assert(v - c->measured < 1e-12 * (1 + c->measured) && c->measured - v < 1e-12 * (1 + c->measured),
                  "check %zu: %.17g, %.17g", i, v, c->measured);
    }
    cr_assert(strstr(cells, "Verdict\t16\t2\t'does not conform'"), "zone 2's outcome in words");
    cr_assert(strstr(cells, "Findings\t5\t1\t'1'"), "gravest first");
    run_end(&run);
}

Test(render, job_without_anything_still_gets_its_report) {
    struct run run = run_begin("job");
    struct mr_assessment *full = fixture_assessment(run.arena, run.dir, false);
    struct mr_alignment *al = MR_NEW(run.arena, struct mr_alignment);
    struct mr_data *data = MR_NEW(run.arena, struct mr_data);
    struct mr_assessment empty = {.aligned = al, .job = full->job};
    al->data = data;
    al->job = full->job;
    al->last_utc_ms = MR_T_NONE;
    cr_assert_eq(run_render(&run, &empty, 1, true), MR_OK);
    cr_assert_eq(run.published.charts.n, 0);
    char *text = NULL;
    int status =
        python_script(run.arena, mr_printf(run.arena, "check-workbook.py %s", run.published.workbook), &text);
    cr_assert(status == 0 || status == 77, "%s", text);
    run_end(&run);
}

Test(render, long_table_goes_on_in_further_rows_with_little_memory, .timeout = 60) {
    struct run run = run_begin("job");
    struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
    fixture_table(run.arena, a, 60000);
    const size_t before = mr_arena_bytes(run.arena);
    cr_assert_eq(run_render(&run, a, 1, false), MR_OK);
    cr_assert_lt(mr_arena_bytes(run.arena) - before, (size_t)12 << 20, "rows are not to pile up in memory");
    run_end(&run);
}

Test(render, out_folder_may_lie_elsewhere) {
    struct run run = run_begin("job");
    struct mr_render_options options = {.version = "0.1.0",
                                        .out_dir = mr_printf(run.arena, "%s/deep/er/out", run.dir)};
    cr_assert_eq(
        mr_render(run.arena, fixture_assessment(run.arena, run.dir, false), &options, &run.diags, &run.published),
        MR_OK);
    cr_assert_eq(access(mr_printf(run.arena, "%s/deep/er/out/latest/report.json", run.dir), F_OK), 0);
    cr_assert_neq(access(mr_printf(run.arena, "%s/reports", run.dir), F_OK), 0);
    run_end(&run);
}

Test(render, verdict_text_shouts_what_does_not_conform_and_counts_in_plain_english) {
    struct run run = run_begin("job");
    struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
    const char *text = mr_verdict_text(run.arena, a);
    const char *row = strstr(text, "Deck plate 2");
    cr_assert(row && strstr(mr_strndup(run.arena, row, strcspn(row, "\n")), " NO "), "%s", text);
    for (size_t i = 0; i < a->aligned->zones.n; i++) /* one of each, the rest not required */
        a->zones[i].outcome = i == 0 ? MR_CONFORMS : i == 1 ? MR_DOES_NOT_CONFORM : MR_NOT_REQUIRED;
    text = mr_verdict_text(run.arena, a);
    cr_assert(strstr(text, "8 zones: 1 conforms, 1 does not conform, 0 not shown, 6 not required;"), "%s", text);
    a->zones[2].outcome = MR_CONFORMS;
    text = mr_verdict_text(run.arena, a);
    cr_assert(strstr(text, ": 2 conform, 1 does"), "%s", text);
    run_end(&run);
}

Test(render, verdict_text_is_aligned_and_complete) {
    struct run run = run_begin("job");
    char *text = mr_verdict_text(run.arena, fixture_hostile(run.arena, run.dir));
    size_t column = 0, rows = 0;
    for (char *line = strtok(text, "\n"); line && rows < 9; line = strtok(NULL, "\n"), rows++) {
        size_t at = 0;
        static const char *const words[] = {"outcome", "conforms", "does not conform", "not shown"};
        char *found = NULL;
        for (size_t i = 0; i < 4 && !found; i++)
            found = strstr(line, words[i]);
        cr_assert(found, "%s", line);
        if (strstr(line, "does not conform") && strstr(line, "does not conform") < found)
            found = strstr(line, "does not conform");
        for (char *p = line; p < found; p++)
            at += ((unsigned char)*p & 0xc0) != 0x80;
        if (rows == 0)
            column = at;
        cr_assert(strchr(line, '\x01') == NULL && strchr(line, '\t') == NULL);
        cr_assert_eq(at, column, "\"%s\" is not aligned", line);
    }
    cr_assert_eq(rows, 9);
    run_end(&run);
}
