/*
 * test_line_loggers.c - two loggers of the lines ran while a coat was sprayed: the one that shows a limit missed
 * leaves the lines not shown, whatever the names and files of the two. Common practice, no source.
 */
#include "support/norm_rig.h"

#include "milrise/assess.h"
#include "read/job/job_reader.h"

#include <criterion/criterion.h>
#include <string.h>

static const char *log_text(struct mr_arena *arena, const char *serial, int line_b) {
    const char *text = mr_printf(arena, "%sTime,Line A [kPa],Line B [kPa],Main [kPa]\n", serial);
    for (int i = 0; i < 240; i++)
        text = mr_printf(arena, "%s2026-05-11 08:%02d:%02d,600,%d,600\n", text, i / 12, i % 12 * 5, line_b);
    return text;
}

static enum mr_outcome lines_of(const char *serial_1, int b_1, const char *serial_2, int b_2) {
    static const char job_text[] =
        "[job]\nname = x\ntime zone = UTC\n[lines]\nmain minimum = 500 kPa\nmain maximum = "
        "700 kPa\nimbalance maximum = 10 %\nevent time = 10 s\n";
    struct norm_rig rig;
    struct mr_job *job = NULL;
    const struct mr_alignment *aligned = NULL;
    const struct mr_assessment *out = NULL;
    norm_begin(&rig);
    cr_assert_eq(mr_job_parse(rig.arena, ".", "job.milrise", job_text, strlen(job_text), &rig.diags, &job), MR_OK);
    *rig.job = *job;
    norm_add(&rig, "lines a.csv", log_text(rig.arena, serial_1, b_1), 0);
    norm_add(&rig, "lines b.csv", log_text(rig.arena, serial_2, b_2), 0);
    norm_add(&rig, "spray.csv", "date,zone,coat,start,stop\n2026-05-11,Deck,1,08:02,08:18\n", 0);
    norm_run(&rig);
    cr_assert_eq(mr_align(rig.arena, rig.data, &rig.diags, &aligned), MR_OK);
    enum mr_status status = mr_assess(rig.arena, aligned, &rig.diags, &out);
    cr_assert(status == MR_OK || status == MR_E_NODATA);
    enum mr_outcome worst = MR_NOT_REQUIRED;
    for (size_t i = 0; i < out->checks.n; i++)
        if (strcmp(out->checks.v[i].group, "lines") == 0 && out->checks.v[i].coat == 1)
            worst = mr_outcome_worst(worst, out->checks.v[i].outcome);
    norm_end(&rig);
    return worst;
}

Test(line_loggers, the_one_that_misses_a_limit_has_a_say) {
    static const char p1[] = "Serial number: P1\n", p2[] = "Serial number: P2\n";
    cr_expect_eq(lines_of(p1, 600, p2, 590), MR_CONFORMS);
    cr_expect_gt(lines_of(p1, 600, p2, 300), MR_CONFORMS);
    cr_expect_gt(lines_of(p1, 300, p2, 600), MR_CONFORMS);
    cr_expect_gt(lines_of("", 600, "", 300), MR_CONFORMS);
    cr_expect_gt(lines_of("", 300, "", 600), MR_CONFORMS);
}
