/* test_copied_stretches.c - values of a log that stand under two dates. The rule is the project's own. */
#include "hand.h"
#include "support/simulate.h"

#include <stdio.h>

enum { DAY_S = 86400, N = 300 };

/* n values of a pump that are never the same twice, one a second from t0_s; those of another day where given. */
static void log_day(struct hand *f, enum mr_meaning meaning, double t0_s, size_t n, uint64_t seed, double digit) {
    struct sim_rng rng = sim_seed(61, seed);
    const double zero[] = {0};
    const size_t i = hand_track(f, "P1", meaning, t0_s, 1, n, hand_flat, zero);
    double *v = MR_ARRAY(f->arena, double, n);
    for (size_t k = 0; k < n; k++)
        v[k] = digit * round(sim_between(&rng, 598, 606) / digit);
    f->al.tracks.v[i].value = (struct mr_reals){.raw = v};
    f->al.tracks.v[i].clock = f->al.tracks.n;
}

static struct hand *two_days(void) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck 1", 30, 2);
    hand_shift(f, "2026-05-11", 0, 250);
    hand_window(f, 0, 1, 0, 250);
    hand_shift(f, "2026-05-12", DAY_S, DAY_S + 250);
    hand_window(f, 0, 2, DAY_S, DAY_S + 250);
    return f;
}

Test(copied_stretches, a_day_that_repeats_another_is_not_shown_on_either) {
    static const struct {
        double apart_s, digit;
        size_t n;
        uint64_t seed; /* of the second day; 1 is the first's */
        size_t told;
    } rows[] = {{DAY_S, 1, N, 1, 1},   {DAY_S, 1, N, 2, 0},     {DAY_S + 7, 1, N, 1, 1},
                {DAY_S, 1, 75, 1, 1},  {DAY_S, 1, 50, 1, 0},    {DAY_S, 0.01, N, 1, 1},
                {DAY_S, 100, N, 1, 0}, {5 * DAY_S, 1, N, 1, 1}, {DAY_S + 7200, 1, N, 1, 1}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = two_days();
        log_day(f, MR_M_LINE_A, 0, N, 1, rows[i].digit);
        log_day(f, MR_M_LINE_B, 0, N, 77, rows[i].digit);
        log_day(f, MR_M_LINE_A, rows[i].apart_s, rows[i].n, rows[i].seed, rows[i].digit);
        log_day(f, MR_M_LINE_B, rows[i].apart_s, N, 78, rows[i].digit);
        mr_assess_copied_stretches(&f->a);
        cr_expect_eq(hand_count(f, "copied-stretch"), rows[i].told, "row %zu: %zu", i,
                     hand_count(f, "copied-stretch"));
        const struct mr_check *one = hand_check(f, "lines.copied", 0, 1), *two = hand_check(f, "lines.copied", 0, 2);
        cr_expect_eq(one != NULL, rows[i].told, "row %zu", i);
        cr_expect_eq(two != NULL, rows[i].told && rows[i].apart_s < DAY_S + 250, "row %zu", i);
        if (one)
            expect_outcome(one, MR_NOT_SHOWN);
        cr_expect_null(hand_check(f, "climate.copied", 0, 1));
        hand_free(f);
    }
}

Test(copied_stretches, a_copy_within_longer_logs_is_found_wherever_it_begins) {
    size_t found = 0;
    enum { JOBS = 200, LONG = 4000, PART = 120 };
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct sim_rng rng = sim_seed(62, seed);
        struct hand *f = two_days();
        log_day(f, MR_M_LINE_A, -2000, LONG, 10 + seed, 1);
        log_day(f, MR_M_LINE_A, DAY_S - 2000, LONG, 900 + seed, 1);
        const size_t from = (size_t)sim_between(&rng, 0, LONG - PART), to = (size_t)sim_between(&rng, 0, LONG - PART);
        double *v = MR_ARRAY(f->arena, double, LONG);
        for (size_t i = 0; i < LONG; i++)
            v[i] = mr_track_value(&f->al.tracks.v[i >= to && i < to + PART ? 0 : 1],
                                  i >= to && i < to + PART ? from + i - to : i);
        f->al.tracks.v[1].value = (struct mr_reals){.raw = v};
        mr_assess_copied_stretches(&f->a);
        found += hand_count(f, "copied-stretch") == 1;
        hand_free(f);
    }
    printf("copies of %d samples within %d: %zu of %d found\n", PART, LONG, found, JOBS);
    cr_expect_geq(found, JOBS - 2);
}

/* A pattern that comes back at its own period is a machine's, or a resting channel's; what rests says nothing. */
Test(copied_stretches, what_rests_or_repeats_itself_is_no_copy) {
    for (int wave = 0; wave < 2; wave++) {
        struct hand *f = two_days();
        const double zero[] = {0};
        for (int day = 0; day < 2; day++) {
            const size_t i = hand_track(f, "P1", MR_M_LINE_A, day * DAY_S, 1, N, hand_flat, zero);
            double *v = MR_ARRAY(f->arena, double, N);
            for (size_t k = 0; k < N; k++)
                v[k] = wave ? 600 + (double)(k / 10 % 2) : 0;
            f->al.tracks.v[i].value = (struct mr_reals){.raw = v};
        }
        mr_assess_copied_stretches(&f->a);
        cr_expect_eq(hand_count(f, "copied-stretch"), 0, "wave %d", wave);
        hand_free(f);
    }
}
