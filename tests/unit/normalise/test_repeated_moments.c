/*
 * test_repeated_moments.c - several rows of a log at one time that say different things are instruments of their own;
 * a row written twice, rows that share out their columns and an hour that comes twice are not. Common practice, no
 * source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* Channels of one meaning of a log with these rows, and the greatest value and the samples of each. */
struct seen {
    size_t n, samples[4];
    double most[4];
};

static struct seen seen_in(enum mr_meaning meaning, const char *heading, const char *rows) {
    struct norm_rig rig;
    struct seen s = {0};
    char text[800];
    snprintf(text, sizeof text, "%s\n%s", heading, rows);
    norm_begin(&rig);
    norm_add(&rig, "log.csv", text, 0);
    norm_run(&rig);
    cr_expect(norm_identity(&rig));
    for (const struct mr_channel *c; s.n < 4 && (c = norm_channel(&rig, 0, meaning, s.n)); s.n++) {
        s.samples[s.n] = c->n;
        s.most[s.n] = -1;
        for (size_t i = 0; i < c->n; i++)
            s.most[s.n] = fmax(s.most[s.n], mr_real(&c->value, i));
    }
    norm_end(&rig);
    return s;
}

static const char wide[] = "time,air [degC],RH [%]";

Test(repeated_moments, rows_that_differ_are_instruments_of_their_own) {
    const struct seen s = seen_in(MR_M_RH, wide,
                                  "2026-05-11 08:00,20,50\n2026-05-11 08:00,20,93\n"
                                  "2026-05-11 08:10,20,51\n2026-05-11 08:10,20,92\n2026-05-11 08:20,20,52\n");
    cr_assert_eq(s.n, 2);
    cr_expect(s.samples[0] == 3 && s.samples[1] == 2);
    cr_expect_float_eq(s.most[0], 52, 1e-9);
    cr_expect_float_eq(s.most[1], 93, 1e-9);
}

Test(repeated_moments, a_third_one_and_a_long_log_too) {
    struct seen s = seen_in(MR_M_RH, wide,
                            "2026-05-11 08:00,20,50\n2026-05-11 08:00,20,60\n2026-05-11 08:00,20,93\n"
                            "2026-05-11 08:10,20,51\n2026-05-11 08:10,20,61\n2026-05-11 08:10,20,61\n");
    cr_assert_eq(s.n, 3);
    cr_expect(s.samples[0] == 2 && s.samples[1] == 3 && s.samples[2] == 1, "the last repeats the one before");
    cr_expect_float_eq(s.most[2], 93, 1e-9);
    s = seen_in(MR_M_PROBE_TEMP, "time,channel,temperature [degC]",
                "2026-05-11 08:00,T1,20\n2026-05-11 08:00,T1,35\n2026-05-11 08:10,T1,21\n2026-05-11 08:10,T1,36\n");
    cr_assert_eq(s.n, 2);
    cr_expect_float_eq(s.most[1], 36, 1e-9);
}

Test(repeated_moments, what_is_no_second_instrument_makes_none) {
    static const char *const rows[] = {
        "2026-05-11 08:00,20,50\n2026-05-11 08:00,20,50\n2026-05-11 08:10,20,51\n2026-05-11 08:10,20,51\n", /* twice
                                                                                                             */
        "2026-05-11 08:00,20,\n2026-05-11 08:00,,50\n2026-05-11 08:10,20,\n2026-05-11 08:10,,51\n", /* shared out */
        "2026-10-25 01:00,9,50\n2026-10-25 02:00,8,51\n2026-10-25 02:00,8,53\n2026-10-25 03:00,8,54\n"}; /* hour twice
                                                                                                          */
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const struct seen s = seen_in(MR_M_RH, wide, rows[i]);
        size_t with_values = 0;
        for (size_t k = 0; k < s.n; k++)
            with_values += s.most[k] >= 0;
        cr_expect_eq(with_values, 1, "%s", rows[i]);
    }
}
