/*
 * test_rivals.c - two columns of one role ask, whichever has the fuller name; the job's assignments part probes of
 * steel. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <string.h>

#define ROWS(cells) "2026-05-13 08:00," cells "\n2026-05-13 08:05," cells "\n"

static size_t channels_of(const char *text, enum mr_meaning meaning, size_t *asked) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", text, 0);
    norm_run(&rig);
    size_t n = 0;
    while (norm_channel(&rig, 0, meaning, n))
        n++;
    *asked = norm_count(&rig, "rival-columns");
    cr_expect(norm_identity(&rig), "%s", text);
    norm_end(&rig);
    return n;
}

Test(rivals, a_whole_name_is_no_better_claim) {
    static const struct {
        const char *text;
        enum mr_meaning meaning;
    } cases[] = {
        {"Time,Air °C,RH %,RH indoor %,Steel °C\n" ROWS("20,60,92,19"), MR_M_RH},
        {"Time,Air °C,RH deck %,RH %,Steel °C\n" ROWS("20,92,60,19"), MR_M_RH},
        {"Time,Air °C,Air temperature hall °C,RH %\n" ROWS("20,4,60"), MR_M_AIR},
        {"Time,Air °C,RH %,Steel temperature °C,Steel north °C\n" ROWS("20,60,19,12"), MR_M_STEEL},
        {"Time,Air °C,RH %,Steel 1 °C,Steel 2 °C\n" ROWS("20,60,19,12"), MR_M_STEEL},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        size_t asked;
        cr_expect_eq(channels_of(cases[i].text, cases[i].meaning, &asked), 0, "%s", cases[i].text);
        cr_expect_eq(asked, 1, "%s", cases[i].text);
    }
}

/* Of one series: sensors of a numbered series are parted by the job's assignments, two columns of one name by
 * nothing. */
Test(rivals, numbered_sensors_ask_until_the_job_assigns_them) {
    static const struct {
        const char *text;
        size_t read, asked; /* where the job assigns */
    } cases[] = {{"Time,Air °C,RH 1 %,RH 2 %\n" ROWS("20,60,92"), 2, 0},
                 {"Time,Air °C,RH %,RH %\n" ROWS("20,60,92"), 0, 1}};
    for (size_t i = 0; i < MR_COUNT(cases); i++)
        for (int assigned = 0; assigned < 2; assigned++) {
            struct norm_rig rig;
            norm_begin(&rig);
            if (assigned) {
                struct mr_assignment a = {.instrument = "H1", .channel = "RH 1", .zone = "Deck"};
                MR_PUSH(rig.arena, &rig.job->assignments, a);
            }
            norm_add(&rig, "a.csv", cases[i].text, 0);
            norm_run(&rig);
            size_t n = 0;
            while (norm_channel(&rig, 0, MR_M_RH, n))
                n++;
            cr_expect_eq(n, assigned ? cases[i].read : 0U, "%s assigned %d: %zu", cases[i].text, assigned, n);
            cr_expect_eq(norm_count(&rig, "rival-columns"), assigned ? cases[i].asked : 1U, "%s assigned %d",
                         cases[i].text, assigned);
            norm_end(&rig);
        }
}

/* Two columns of one name: the job assigns by name, and nobody knows which one it means. */
Test(rivals, two_sensors_of_one_name_ask_though_the_job_assigns) {
    static const struct {
        const char *text;
        enum mr_meaning meaning;
        size_t read;
    } cases[] = {{"Time,Air °C,RH %,Steel temp °C,Steel temp °C\n" ROWS("20,60,19,12"), MR_M_STEEL, 0},
                 {"Time,Air °C,RH %,Steel 1 °C,Steel 2 °C\n" ROWS("20,60,19,12"), MR_M_STEEL, 2},
                 {"Time,T1 [degC],T2 [degC],T1 [degC]\n" ROWS("20,21,22"), MR_M_PROBE_TEMP, 1},
                 {"Time,T1 [degC],T2 [degC],T3 [degC]\n" ROWS("20,21,22"), MR_M_PROBE_TEMP, 3}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        struct mr_assignment a = {.instrument = "K8", .channel = "T1", .zone = "Deck"};
        MR_PUSH(rig.arena, &rig.job->assignments, a);
        norm_add(&rig, "a.csv", cases[i].text, 0);
        norm_run(&rig);
        size_t n = 0;
        while (norm_channel(&rig, 0, cases[i].meaning, n))
            n++;
        cr_expect_eq(n, cases[i].read, "%s: %zu", cases[i].text, n);
        cr_expect_eq(norm_count(&rig, "rival-columns"), cases[i].read < 2, "%s", cases[i].text);
        norm_end(&rig);
    }
}

/* What was set aside may be what fails: the rows are noted, whatever another instrument says. */
Test(rivals, rows_of_a_column_that_was_set_aside_are_noted) {
    static const struct {
        const char *text;
        int why; /* MR_ASIDE_COUNT: nothing is noted */
    } cases[] = {{"Time,Air °C,RH %,Steel temp °C,Steel temp °C\n" ROWS("20,60,19,12"), MR_ASIDE_RIVALS},
                 {"Time,Air °C,RH %,Steel temp [degX]\n" ROWS("20,60,12"), MR_ASIDE_NO_UNIT},
                 {"Time,Air °C,RH %,Steel temp [degX]\n" ROWS("20,60,"), MR_ASIDE_COUNT},
                 {"Time,Line A (kPa),Line B (kPa),Line B (kPa)\n" ROWS("600,600,300"), MR_ASIDE_RIVALS},
                 {"Time,Air °C,RH %,Steel temp °C\n" ROWS("20,60,19"), MR_ASIDE_COUNT}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv", cases[i].text, 0);
        norm_run(&rig);
        cr_expect_eq(rig.data->unread.n, cases[i].why != MR_ASIDE_COUNT, "%s: %zu", cases[i].text,
                     rig.data->unread.n);
        if (rig.data->unread.n == 1)
            cr_expect(rig.data->unread.v[0].why == (enum mr_aside)cases[i].why && rig.data->unread.v[0].line == 2 &&
                          rig.data->unread.v[0].line_end == 3,
                      "%s", cases[i].text);
        norm_end(&rig);
    }
}

Test(rivals, a_refused_column_claims_nothing) {
    size_t asked;
    cr_expect_eq(channels_of("Time,Air °C,RH %,RH raw %\n" ROWS("20,60,92"), MR_M_RH, &asked), 1);
    cr_expect_eq(asked, 0);
    cr_expect_eq(channels_of("Time,Air °C,RH uncompensated %\n" ROWS("20,60"), MR_M_RH, &asked), 0);
}
