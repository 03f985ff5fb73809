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

Test(rivals, a_refused_column_claims_nothing) {
    size_t asked;
    cr_expect_eq(channels_of("Time,Air °C,RH %,RH raw %\n" ROWS("20,60,92"), MR_M_RH, &asked), 1);
    cr_expect_eq(asked, 0);
    cr_expect_eq(channels_of("Time,Air °C,RH uncompensated %\n" ROWS("20,60"), MR_M_RH, &asked), 0);
}
