/*
 * Figures that did not change: they keep the revision since which they stand, their files are taken over, and every
 * file is what drawing it now would give.
 */
#include "render/report/kept.h"

#include "base/buffer.h"
#include "base/json.h"
#include "render/draw/draw_cairo.h"
#include "render/draw/draw_key.h"
#include "render/publish/beneath.h"
#include "render_run.h"

#include <criterion/criterion.h>
#include <fcntl.h>
#include <math.h>
#include <string.h>
#include <unistd.h>

TestSuite(kept, .timeout = 240);

/* A list with an item of each kind, of which change number `change` differs from number 0. Returns: false where there
 * is no such change. */
static bool make_list(struct mr_arena *arena, int change, struct mr_drawlist **out) {
    int at = 0;
#define CHANGED(statement)                                                                                           \
    do {                                                                                                             \
        if (change == ++at)                                                                                          \
            statement;                                                                                               \
    } while (0)
    struct mr_drawlist *l = mr_drawlist_new(arena, 504, 324, "Deck: film");
    struct mr_point line[] = {{1, 2}, {3, 4}, {5, 6}};
    mr_draw_line(l, (struct mr_ink){1, 2, 3}, 0.5, MR_DASHED, MR_COUNT(line), line);
    mr_draw_rect(l, (struct mr_ink){4, 5, 6}, 10, 20, 30, 40);
    mr_draw_text(l, (struct mr_type){{7, 8, 9}, 8, MR_LEFT, false, false}, 50, 60, "mean");
    mr_draw_marks(l, (struct mr_ink){1, 1, 1}, MR_DOT, 2, MR_COUNT(line), line);
    l->desc = "what it shows";
    l->subtitle = "12 readings";
    l->caption = "Figure 1";
    struct mr_op *op = l->ops.v;
    CHANGED(l->width_pt += 1e-9);
    CHANGED(l->height_pt += 1e-9);
    CHANGED(l->plot_top_pt = 1);
    CHANGED(l->plot_bottom_pt = 1);
    CHANGED(l->title = "Deck: films");
    CHANGED(l->desc = NULL);
    CHANGED(l->subtitle = "");
    CHANGED(l->caption = "Figure 2");
    CHANGED(op[0].ink.r++);
    CHANGED(op[0].ink.g++);
    CHANGED(op[0].ink.b++);
    CHANGED(op[0].size += 1e-9);
    CHANGED(op[0].dash = MR_DOTTED);
    CHANGED(op[0].n = 2);
    CHANGED(((struct mr_point *)(uintptr_t)op[0].point)[1].x += 1e-9);
    CHANGED(((struct mr_point *)(uintptr_t)op[0].point)[2].y += 1e-9);
    CHANGED(op[1].x += 1e-9);
    CHANGED(op[1].y += 1e-9);
    CHANGED(op[1].w += 1e-9);
    CHANGED(op[1].h += 1e-9);
    CHANGED(op[1].kind = MR_OP_BOX);
    CHANGED(op[2].text = "mea");
    CHANGED(op[2].text = NULL);
    CHANGED(op[2].anchor = MR_MIDDLE);
    CHANGED(op[2].bold = true);
    CHANGED(op[2].turned = true);
    CHANGED(op[2].beside = true);
    CHANGED(op[3].mark = MR_RING);
    CHANGED(l->ops.n--);
#undef CHANGED
    *out = l;
    return change <= at;
}

Test(kept, the_key_sees_all_that_is_drawn) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_drawlist *list;
    char key[64][65];
    int n = 0;
    for (; make_list(arena, n, &list); n++) {
        char again[65];
        mr_draw_key(list, "drawer", key[n]);
        mr_draw_key(list, "drawer", again);
        cr_expect_str_eq(again, key[n]);
        for (int k = 0; k < n; k++)
            cr_expect_str_neq(key[k], key[n], "changes %d and %d", k, n);
    }
    cr_expect_eq(n, 30);
    make_list(arena, 0, &list);
    mr_draw_key(list, "another drawer", key[1]);
    cr_expect_str_neq(key[1], key[0], "what draws counts too");
    mr_drawer_print(key[2]);
    mr_drawer_print(key[3]);
    cr_expect(strlen(key[2]) == 64 && strcmp(key[2], key[3]) == 0);
    mr_arena_free(arena);
}

static struct mr_former report_of(struct run *run, long revision) {
    const char *path = mr_printf(run->arena, "%s/reports/revision-%ld/report.json", run->dir, revision);
    return mr_former_read(run->arena, file_text(run->arena, path, NULL));
}

static const struct mr_former_figure *figure(const struct mr_former *f, const char *stem) {
    for (size_t i = 0; i < f->figures.n; i++)
        if (strcmp(f->figures.v[i].stem, stem) == 0)
            return &f->figures.v[i];
    cr_assert_fail("no figure %s", stem);
    return NULL;
}

/* Every file of the newest revision is what drawing it now gives. Returns: figures that stand since an earlier one.
 */
static size_t hold_against_drawing(struct run *run, const struct mr_assessment *a, long revision) {
    mr_chart_list charts = {0};
    struct mr_outline o = mr_outline_make(run->arena, a, "0.1.0", NULL, revision, &charts);
    const struct mr_former said = report_of(run, revision);
    size_t kept = 0;
    mr_charts_make(&o.chart_job, &charts);
    mr_figures_copy(&o, &said, &charts);
    cr_assert_gt(charts.n, 10);
    cr_assert_eq(charts.n, said.figures.n);
    for (size_t i = 0; i < charts.n; i++)
        for (int k = 0; k < MR_PICTURE_COUNT; k++) {
            struct mr_buffer drawn = {.arena = run->arena};
            size_t n = 0;
            const struct mr_chart *c = &charts.v[i];
            const char *file = file_text(run->arena,
                                         mr_printf(run->arena, "%s/reports/revision-%ld/charts/%s.%s", run->dir,
                                                   revision, c->stem, mr_picture_suffix[k]),
                                         &n);
            cr_assert_eq(mr_draw_file(c->list, (enum mr_picture)k, mr_utc_text(run->arena, c->created_utc_ms),
                                      mr_buffer_keep, &drawn),
                         MR_OK);
            cr_assert(file && n == drawn.v.n && memcmp(file, drawn.v.v, n) == 0, "revision %ld, %s.%s", revision,
                      c->stem, mr_picture_suffix[k]);
            kept += c->since < revision && k == 0;
        }
    return kept;
}

/* One change of a job at a time, and what it leaves as it was. */
static void change_job(struct mr_arena *arena, struct mr_assessment *a, int change) {
    struct mr_zone_film *film = &a->films.v[change % (int)a->films.n];
    struct mr_alignment *al = (struct mr_alignment *)(uintptr_t)a->aligned;
    double *reading = MR_ARRAY(arena, double, film->n_values);
    a->checks.v[0].measured += 10 * change; /* what the report says differs, or there would be none */
    switch (change) {
    case 1: /* one reading */
    case 2:
        memcpy(reading, film->reading_um, film->n_values * sizeof *reading);
        reading[change] += 15;
        film->reading_um = reading;
        film->mean_um += 15.0 / (double)film->n_values;
        break;
    case 3:
        al->zones.v[1].name = "Deck plate 2, renamed";
        break;
    case 4:
        a->zones[2].outcome = MR_DOES_NOT_CONFORM;
        break;
    case 5:
        al->last_utc_ms += 3600000; /* a later file: documents get another date */
        break;
    case 6:
        film->limit_min_um += 1;
        break;
    default:
        a->checks.v[change % (int)a->checks.n].measured += 1; /* of no figure, or of some */
        break;
    }
}

/* After any change, with the former report at hand, a file is what drawing it gives; what did not change keeps its
 * revision, and what did bears the new one. */
Test(kept, after_any_change_each_file_is_what_drawing_gives) {
    struct run run = run_begin("job");
    size_t kept = 0, drawn = 0;
    for (int change = 0; change < 9; change++) {
        struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
        change_job(run.arena, a, change);
        run.published = (struct mr_published){0};
        cr_assert_eq(run_render(&run, a, 2, true), MR_OK, "change %d", change);
        cr_assert_eq(run.published.revision, change, "change %d", change);
        const size_t n = hold_against_drawing(&run, a, change);
        kept += n;
        drawn += run.published.charts.n / 3 - n;
    }
    cr_expect_gt(kept, drawn, "%zu kept, %zu drawn", kept, drawn);
    run_end(&run);
}

Test(kept, one_reading_more_draws_the_figures_that_show_it) {
    struct run run = run_begin("job");
    struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
    cr_assert_eq(run_render(&run, a, 1, true), MR_OK);
    a = fixture_assessment(run.arena, run.dir, false);
    change_job(run.arena, a, 1);
    cr_assert_eq(run_render(&run, a, 1, true), MR_OK);
    const struct mr_former before = report_of(&run, 0), now = report_of(&run, 1);
    const char *zone = mr_slug(run.arena, a->aligned->zones.v[a->films.v[1].zone].name);
    size_t changed = 0;
    for (size_t i = 0; i < now.figures.n; i++) {
        const struct mr_former_figure *f = &now.figures.v[i];
        const bool same = strcmp(figure(&before, f->stem)->key, f->key) == 0;
        cr_expect_eq(f->since, same ? 0 : 1, "%s", f->stem);
        changed += !same;
    }
    cr_expect_eq(figure(&now, mr_printf(run.arena, "thickness-%s", zone))->since, 1);
    cr_expect_eq(figure(&now, "lines-2026-05-11")->since, 0);
    cr_expect_lt(changed, 4);
    const char *svg = file_text(
        run.arena, mr_printf(run.arena, "%s/reports/revision-1/charts/lines-2026-05-11.svg", run.dir), NULL);
    cr_expect(strstr(svg, "since revision 0"), "a sheet that did not change keeps its revision");
    run_end(&run);
}

/* Nothing to go by: every figure is drawn and stands since now. */
Test(kept, a_former_report_that_cannot_be_trusted_is_not_used) {
    static const char *const damage[] = {
        "printf x >> revision-0/charts/verdicts.png", "rm revision-0/charts/verdicts.svg",
        "sed -i 's/since_revision/since_other/' revision-0/report.json", "rm revision-0/SHA256SUMS"};
    for (size_t d = 0; d < MR_COUNT(damage); d++) {
        struct run run = run_begin("job");
        struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
        cr_assert_eq(run_render(&run, a, 1, true), MR_OK);
        cr_assert_eq(system(mr_printf(run.arena, "cd %s/reports && %s", run.dir, damage[d])), 0);
        change_job(run.arena, a, 1);
        cr_assert_eq(run_render(&run, a, 1, true), MR_OK);
        cr_expect_eq(hold_against_drawing(&run, a, run.published.revision), 0, "%s", damage[d]);
        run_end(&run);
    }
}

/* A report of another program: the keys are others, or its figures make no sense. */
Test(kept, figures_of_another_program_are_drawn_anew) {
    static const char *const edit[] = {
        "s/\"key\": *\"[0-9a-f]\\{8\\}/\"key\":\"00000000/", "s/\"since_revision\": *0/\"since_revision\":7/",
        "s/\"since_revision\": *0/\"since_revision\":-1/", "s/\"created\": *\"2/\"created\":\"x/"};
    for (size_t e = 0; e < MR_COUNT(edit); e++) {
        struct run run = run_begin("job");
        struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
        cr_assert_eq(run_render(&run, a, 1, true), MR_OK);
        cr_assert_eq(
            system(mr_printf(run.arena,
                             "cd %s/reports/revision-0 && cp report.json r && sed -i '/\"stem\"/ %s' report.json && "
                             "! cmp -s r report.json && rm r && h=$(sha256sum < report.json | cut -c1-64) && "
                             "sed -i \"s/^[0-9a-f]*  report.json/$h  report.json/\" SHA256SUMS",
                             run.dir, edit[e])),
            0, "%s", edit[e]);
        change_job(run.arena, a, 1);
        cr_assert_eq(run_render(&run, a, 1, true), MR_OK);
        cr_expect_eq(run.published.revision, 1, "revision 0 counts as whole");
        cr_expect_eq(hold_against_drawing(&run, a, 1), 0, "%s", edit[e]);
        run_end(&run);
    }
}

/* Between the look at a revision and the taking of a file, somebody changes that file. */
Test(kept, a_file_that_was_swapped_meanwhile_is_not_taken) {
    struct run run = run_begin("job");
    struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
    cr_assert_eq(run_render(&run, a, 1, true), MR_OK);
    struct mr_publish pub;
    cr_assert_eq(mr_publish_begin(&pub, run.arena, run.dir, NULL, &run.diags), MR_OK);
    cr_assert_eq(mr_publish_start(&pub), MR_OK);
    const struct mr_listed_file *file = NULL;
    for (size_t i = 0; i < pub.revisions.newest.files.n; i++)
        if (strcmp(pub.revisions.newest.files.v[i].path, "charts/verdicts.svg") == 0)
            file = &pub.revisions.newest.files.v[i];
    cr_assert(file);
    const char *there = mr_printf(run.arena, "%s/reports/revision-0/%s", run.dir, file->path);
    size_t length = 0;
    char *text = file_text(run.arena, there, &length);
    struct mr_handed handed;
    cr_assert_eq(mr_handed_open(&pub, mr_publish_file(&pub, "a"), &handed), 0);
    cr_expect(mr_figure_taken(&pub, file->path, file->sha256, &handed));
    cr_expect_eq(handed.bytes, length);
    mr_handed_end(&pub, 0, &handed);
    text[length / 2] ^= 1;
    file_put(there, text);
    cr_assert_eq(mr_handed_open(&pub, mr_publish_file(&pub, "b"), &handed), 0);
    cr_expect_not(mr_figure_taken(&pub, file->path, file->sha256, &handed));
    cr_assert_eq(unlink(there), 0);
    cr_assert_eq(symlink("verdicts.png", there), 0);
    cr_expect_not(mr_figure_taken(&pub, file->path, file->sha256, &handed), "no link is followed");
    cr_assert_eq(unlink(there), 0);
    cr_expect_not(mr_figure_taken(&pub, file->path, file->sha256, &handed));
    cr_expect_eq(handed.bytes, 0, "nothing was handed over");
    mr_handed_end(&pub, 1, &handed);
    mr_publish_end(&pub);
    run_end(&run);
}
