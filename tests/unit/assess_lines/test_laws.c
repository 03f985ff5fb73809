/*
 * test_laws.c - laws of lines and climate over seeded random jobs. The figures behind them are our own (common
 * practice, no source); what they hold is that one sample proves nothing and that asking for more never hides a
 * missed limit.
 */
#include "hand.h"
#include "support/simulate.h"

#include <stdio.h>

#define PSI 6.894757293168361

enum { JOBS = 500 };

/* A track of given values, one every step_s from t0_s. */
static size_t given(struct hand *f, const char *instrument, enum mr_meaning meaning, double t0_s, double step_s,
                    size_t n, const double *v) {
    const double zero[] = {0};
    size_t i = hand_track(f, instrument, meaning, t0_s, step_s, n, hand_flat, zero);
    double *copy = MR_ARRAY(f->arena, double, n);
    memcpy(copy, v, n * sizeof *v);
    f->al.tracks.v[i].value = (struct mr_reals){.raw = copy};
    return i;
}

static struct hand *one_window(const char *job, double to_s) {
    struct hand *f = hand_new(job);
    hand_zone(f, "Deck 1", 30, 1);
    hand_zone(f, "Deck 2", 30, 1);
    hand_shift(f, "2026-05-11", 0, to_s);
    hand_window(f, 0, 1, 0, to_s);
    return f;
}

/* Sound lines but for one wild sample of one gauge: nothing is condemned, at any pace of sampling. */
Test(laws, one_wild_sample_never_condemns_the_lines) {
    size_t violations = 0, told = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct sim_rng rng = sim_seed(51, seed);
        static const double paces[] = {1, 2, 5, 10, 20};
        double step = paces[seed % MR_COUNT(paces)], v[3][800];
        size_t n = (size_t)(700 / step), who = (size_t)(3 * sim_uniform(&rng)),
               at = (size_t)((double)n * sim_uniform(&rng));
        for (size_t k = 0; k < 3; k++)
            for (size_t i = 0; i < n; i++)
                v[k][i] = (84 + (double)k + sim_between(&rng, -0.8, 0.8)) * PSI;
        v[who][at] = sim_between(&rng, 0, 160) * PSI;
        struct hand *f = one_window("", 600);
        static const enum mr_meaning meaning[] = {MR_M_LINE_A, MR_M_LINE_B, MR_M_MAIN};
        for (size_t k = 0; k < 3; k++)
            given(f, "P1", meaning[k], -50, step, n, v[k]);
        mr_assess_lines(&f->a);
        for (size_t i = 0; i < f->out.checks.n; i++)
            violations += f->out.checks.v[i].zone == 0 && f->out.checks.v[i].outcome == MR_DOES_NOT_CONFORM;
        told += hand_count(f, "lone-sample") > 0;
        hand_free(f);
    }
    printf("one wild sample: %zu of %d jobs condemned, %zu told of it\n", violations, JOBS, told);
    cr_expect_eq(violations, 0);
    cr_expect_gt(told, JOBS / 4);
}

/* Gauges that come down one at a time, or together for less than the time asked for, never make a pause conform. */
Test(laws, relief_is_never_made_up_of_moments_that_do_not_meet) {
    size_t violations = 0, relieved = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct sim_rng rng = sim_seed(52, seed);
        enum { N = 1300 };
        static double v[3][N];
        int meets = 0;
        double from[3], to[3], met_from = 0, met_to = 1e9;
        for (size_t k = 0; k < 3; k++) {
            from[k] = sim_between(&rng, 600, 900);
            to[k] = from[k] + sim_between(&rng, 0, 120);
            met_from = fmax(met_from, from[k]);
            met_to = fmin(met_to, to[k]);
            for (size_t i = 0; i < N; i++)
                v[k][i] = ((double)i >= from[k] && (double)i < to[k] ? 0.3 : 84 + (double)k) * PSI;
        }
        meets = met_to - met_from >= 11;
        struct hand *f = one_window("", 600);
        hand_window(f, 1, 1, 1200, 1260);
        given(f, "P1", MR_M_LINE_A, 0, 1, N, v[0]);
        given(f, "P1", MR_M_LINE_B, 0, 1, N, v[1]);
        given(f, "P1", MR_M_MAIN, 0, 1, N, v[2]);
        mr_assess_lines(&f->a);
        bool conforms = hand_check(f, "lines.pause", 1, 1)->outcome == MR_CONFORMS;
        violations += conforms && met_to - met_from < 10;
        violations += meets && !conforms;
        relieved += conforms;
        hand_free(f);
    }
    printf("relief: %zu violations in %d jobs, %zu relieved\n", violations, JOBS, relieved);
    cr_expect_eq(violations, 0);
    cr_expect(relieved > 20 && relieved < JOBS - 20, "%zu", relieved);
}

/* Whatever does not conform within a short cure time does not conform within a longer one. */
Test(laws, a_longer_cure_time_never_softens_a_missed_limit) {
    size_t violations = 0, missed = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        enum mr_outcome before = MR_NOT_REQUIRED;
        static const int cure_min[] = {0, 10, 45, 200, 500};
        for (size_t c = 0; c < MR_COUNT(cure_min); c++) {
            struct sim_rng rng = sim_seed(53, seed);
            char job[160];
            snprintf(job, sizeof job,
                     "[climate]\nhumidity maximum = 85 %%\ndew-point spread minimum = none\ncure time = %d min\n",
                     cure_min[c]);
            struct hand *f = one_window(job, 1200);
            for (int k = 0; k < 3; k++) { /* three hygrometers that begin and break off as they like */
                double v[700], level = sim_between(&rng, 60, 88), step = sim_between(&rng, 20, 90);
                size_t n = 100 + (size_t)(600 * sim_uniform(&rng));
                for (size_t i = 0; i < n; i++) {
                    level += sim_between(&rng, -1.5, 1.5);
                    v[i] = fmin(level, 99);
                }
                given(f, k == 0 ? "H1" : k == 1 ? "H2" : "H3", MR_M_RH, sim_between(&rng, -3000, 4000), step, n, v);
            }
            mr_assess_climate(&f->a);
            enum mr_outcome now = hand_check(f, "climate.humidity", 0, 1)->outcome;
            violations += before == MR_DOES_NOT_CONFORM && now != MR_DOES_NOT_CONFORM;
            missed += now == MR_DOES_NOT_CONFORM;
            before = now;
            hand_free(f);
        }
    }
    printf("longer cure: %zu violations in %d jobs, %zu of %zu outcomes missed the limit\n", violations, JOBS, missed,
           (size_t)JOBS * 5);
    cr_expect_eq(violations, 0);
    cr_expect_gt(missed, JOBS / 4);
}
