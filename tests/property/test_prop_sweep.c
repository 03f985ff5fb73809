/*
 * test_prop_sweep.c - the one-pass sweeps against slow and plain models, on seeded random tracks.
 *
 * The models know nothing of cursors or queues: climate is sampled every tenth of a second by plain interpolation,
 * sustained levels are searched over all pairs of samples. A planted fault shows that the comparison notices.
 */
#include "assess/climate/sweep.h"
#include "assess/lines/line_stretches.h"
#include "milrise/assess.h"
#include "support/simulate.h"

#include <criterion/criterion.h>
#include <math.h>

enum { N = 60 };

struct random_track {
    struct mr_track track;
    int64_t t[N];
    double v[N];
};

/* Samples at uneven times, some missing, some gaps. */
static void draw(struct sim_rng *rng, struct random_track *r, enum mr_meaning meaning, double centre, double spread) {
    int64_t t = (int64_t)(sim_uniform(rng) * 600) * 100;
    double level = centre;
    size_t n = 5 + (size_t)(sim_uniform(rng) * (N - 5));
    for (size_t i = 0; i < n; i++) {
        level += sim_between(rng, -spread, spread);
        r->t[i] = t;
        r->v[i] = sim_uniform(rng) < 0.1 ? NAN : level;
        t += 100 * (1 + (int64_t)(sim_uniform(rng) * (sim_uniform(rng) < 0.1 ? 4000 : 600)));
    }
    r->track = (struct mr_track){.meaning = meaning, .n = n, .t_utc_ms.raw = r->t, .value.raw = r->v};
}

/* Plain interpolation between valid neighbours, by linear search. */
static double plain_at(const struct mr_track *k, double t_ms, double gap_ms) {
    size_t before = MR_NONE, after = MR_NONE;
    for (size_t i = 0; i < k->n; i++) {
        if (isnan(mr_track_value(k, i)))
            continue;
        if ((double)mr_track_ms(k, i) <= t_ms)
            before = i;
        if ((double)mr_track_ms(k, i) >= t_ms && after == MR_NONE)
            after = i;
    }
    if (before == MR_NONE || after == MR_NONE)
        return NAN;
    double t0 = (double)mr_track_ms(k, before), t1 = (double)mr_track_ms(k, after);
    if (before == after)
        return mr_track_value(k, before);
    return t1 - t0 <= gap_ms ? mr_track_value(k, before) +
                                   (t_ms - t0) / (t1 - t0) * (mr_track_value(k, after) - mr_track_value(k, before))
                             : NAN;
}

struct plain {
    double out_ms, covered_ms, worst;
};

/* Humidity above, or spread below a limit: dense sampling at the middle of each step. */
static struct plain plain_model(const struct mr_climate_tracks *k, const struct mr_watch *w, double gap_ms) {
    struct plain p = {0, 0, NAN};
    const double step = 100;
    for (double t = (double)w->from_ms + step / 2; t < (double)w->to_ms; t += step) {
        double v = w->quantity == MR_Q_RH ? plain_at(k->rh, t, gap_ms)
                                          : plain_at(k->steel, t, gap_ms) - plain_at(k->dew, t, gap_ms);
        if (isnan(v))
            continue;
        p.covered_ms += step;
        p.out_ms += (w->upper ? v > w->limit : v < w->limit) ? step : 0;
        p.worst = isnan(p.worst) ? v : w->upper ? fmax(p.worst, v) : fmin(p.worst, v);
    }
    return p;
}

/* Disagreements of the sweep with the dense model over seeded cases; the sweep may be told a wrong gap. */
static size_t compare_sweeps(int64_t gap_for_model, int64_t gap_for_sweep) {
    size_t wrong = 0;
    for (uint64_t seed = 1; seed <= 150; seed++) {
        struct sim_rng rng = sim_seed(11, seed);
        struct random_track rh, steel, dew;
        draw(&rng, &rh, MR_M_RH, 80, 5);
        draw(&rng, &steel, MR_M_STEEL, 15, 1);
        draw(&rng, &dew, MR_M_DEW, 11, 1);
        struct mr_climate_tracks k = {.rh = &rh.track, .steel = &steel.track, .dew = &dew.track};
        int64_t from = (int64_t)(sim_uniform(&rng) * 3000) * 100,
                to = from + (int64_t)(sim_uniform(&rng) * 9000) * 100;
        struct mr_watch w[2] = {
            {.quantity = MR_Q_RH, .upper = true, .limit = 85.013, .unit = MR_UNIT_PCT, .from_ms = from, .to_ms = to},
            {.quantity = MR_Q_SPREAD, .limit = 3.017, .unit = MR_UNIT_RISE_K, .from_ms = from, .to_ms = to},
        };
        struct mr_extremes x[MR_Q_COUNT];
        mr_sweep(&k, from, to, gap_for_sweep, 2, w, x, NULL, NULL);
        for (size_t i = 0; i < 2; i++) {
            struct plain p = plain_model(&k, &w[i], (double)gap_for_model);
            /* A crossing is off by at most half a step; there are fewer crossings than samples. */
            bool same = fabs(p.out_ms - w[i].out_ms) <= 50.0 * 2 * N && fabs(p.covered_ms - w[i].covered_ms) <= 1.0;
            same = same &&
                   (isnan(p.worst) || (w[i].upper ? w[i].worst >= p.worst - 1e-9 : w[i].worst <= p.worst + 1e-9));
            wrong += !same;
        }
    }
    return wrong;
}

Test(prop_sweep, the_pass_agrees_with_dense_sampling) {
    cr_expect_eq(compare_sweeps(120000, 120000), 0);
    cr_expect_eq(compare_sweeps(15 * 60000, 15 * 60000), 0);
}

Test(prop_sweep, the_comparison_notices_a_planted_fault) {
    cr_expect_gt(compare_sweeps(120000, 130000), 0, "a pass that bridges longer gaps must show");
}

Test(prop_sweep, more_missing_values_never_add_coverage_when_the_gap_is_short) {
    for (uint64_t seed = 1; seed <= 200; seed++) {
        struct sim_rng rng = sim_seed(12, seed);
        struct random_track rh;
        draw(&rng, &rh, MR_M_RH, 80, 5);
        double before = mr_track_cover_ms(&rh.track, 0, 3000000, 60000);
        rh.v[(size_t)(sim_uniform(&rng) * (double)rh.track.n)] = NAN;
        cr_expect_leq(mr_track_cover_ms(&rh.track, 0, 3000000, 60000), before, "seed %llu", (unsigned long long)seed);
    }
}

Test(prop_sweep, cutting_the_time_in_two_adds_up) {
    for (uint64_t seed = 1; seed <= 200; seed++) {
        struct sim_rng rng = sim_seed(13, seed);
        struct random_track rh;
        draw(&rng, &rh, MR_M_RH, 84, 5);
        struct mr_climate_tracks k = {.rh = &rh.track};
        struct mr_extremes x[MR_Q_COUNT];
        int64_t from = 0, to = 2000000, cut = (int64_t)(sim_uniform(&rng) * 2000) * 1000;
        struct mr_watch whole = {.quantity = MR_Q_RH,
                                 .upper = true,
                                 .limit = 85,
                                 .unit = MR_UNIT_PCT,
                                 .from_ms = from,
                                 .to_ms = to},
                        one = whole, two = whole;
        one.to_ms = two.from_ms = cut;
        mr_sweep(&k, from, to, 120000, 1, &whole, x, NULL, NULL);
        mr_sweep(&k, from, cut, 120000, 1, &one, x, NULL, NULL);
        mr_sweep(&k, cut, to, 120000, 1, &two, x, NULL, NULL);
        cr_expect_float_eq(one.out_ms + two.out_ms, whole.out_ms, 1e-3, "seed %llu", (unsigned long long)seed);
        cr_expect_float_eq(one.covered_ms + two.covered_ms, whole.covered_ms, 1e-3);
    }
}

/* --- sustained levels ------------------------------------------------------------------------------------ */

static double plain_held(const double *x, const int64_t *t, const double *hold, const unsigned char *off, size_t n,
                         double event_ms) {
    double most = NAN;
    for (size_t i = 0; i < n; i++) {
        double least = INFINITY;
        for (size_t j = i; j < n && !isnan(x[j]) && !off[j]; j++) {
            if (j > i && (double)(t[j] - t[j - 1]) > hold[j - 1])
                break;
            least = fmin(least, x[j]);
            if (j > i && (double)t[j] + hold[j] - (double)t[i] >= event_ms && !(least <= most))
                most = least;
        }
    }
    return most;
}

Test(prop_sweep, the_level_that_is_held_agrees_with_a_search_over_all_stretches) {
    for (uint64_t seed = 1; seed <= 400; seed++) {
        struct sim_rng rng = sim_seed(14, seed);
        double x[N], hold[N];
        int64_t t[N], now = 0;
        unsigned char off[N];
        size_t queue[N], n = (size_t)(sim_uniform(&rng) * N);
        for (size_t i = 0; i < n; i++) {
            int64_t step = 500 * (1 + (int64_t)(sim_uniform(&rng) * 5));
            x[i] = sim_uniform(&rng) < 0.05 ? NAN : floor(sim_uniform(&rng) * 20);
            off[i] = sim_uniform(&rng) < 0.05;
            t[i] = now;
            hold[i] = sim_uniform(&rng) < 0.1 ? (double)step - 400 : (double)step; /* shorter: a gap follows */
            now += step;
        }
        int64_t event = 500 * (int64_t)(1 + sim_uniform(&rng) * 12);
        double fast = mr_held_most(x, t, hold, off, n, event, queue),
               slow = plain_held(x, t, hold, off, n, (double)event);
        cr_expect(fast == slow || (isnan(fast) && isnan(slow)), "seed %llu: %g, %g", (unsigned long long)seed, fast,
                  slow);
    }
}

/* An event is found exactly when the level that is held lies beyond the limit: check and finding cannot disagree. */
Test(prop_sweep, events_and_held_level_tell_the_same) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (uint64_t seed = 1; seed <= 300; seed++) {
        struct sim_rng rng = sim_seed(15, seed);
        enum { M = 200 };
        static int64_t t[M];
        static double a[M], b[M], main_line[M];
        for (size_t i = 0; i < M; i++) {
            t[i] = (int64_t)i * 1000;
            bool wild = sim_uniform(&rng) < 0.2;
            a[i] = 580 + sim_between(&rng, -5, 5) * (wild ? 8 : 1);
            b[i] = i > 0 && sim_uniform(&rng) < 0.6 ? b[i - 1] : 580 + sim_between(&rng, -60, 60);
            main_line[i] = i > 0 && sim_uniform(&rng) < 0.7 ? main_line[i - 1] : sim_between(&rng, 540, 630);
        }
        struct mr_track ta = {.n = M, .t_utc_ms.raw = t, .value.raw = a},
                        tb = {.n = M, .t_utc_ms.raw = t, .value.raw = b},
                        tm = {.n = M, .t_utc_ms.raw = t, .value.raw = main_line};
        struct mr_line_limits limits = {552, 620, 8, 50, 130, 69, 3000, 30000, 10000, 60000};
        struct mr_line_work work = {.arena = arena};
        struct mr_line_result r;
        mr_line_scan(&work, &ta, &tb, &tm, 0, 199000, &limits, &r);
        size_t n[MR_LINE_KINDS] = {0};
        for (size_t i = 0; i < r.events.n; i++)
            n[r.events.v[i].kind]++;
        cr_expect_eq(n[MR_LINE_IMBALANCE] > 0, r.imbalance_held_pct > limits.imbalance_pct, "seed %llu",
                     (unsigned long long)seed);
        cr_expect_eq(n[MR_LINE_MAIN_LOW] > 0, r.main_low_kpa < limits.main_min_kpa, "seed %llu",
                     (unsigned long long)seed);
        cr_expect_eq(n[MR_LINE_MAIN_HIGH] > 0, r.main_high_kpa > limits.main_max_kpa, "seed %llu",
                     (unsigned long long)seed);
        for (size_t i = 1; i < r.events.n; i++)
            cr_expect_leq(r.events.v[i - 1].t0_ms, r.events.v[i].t0_ms, "events stand in order of time");
    }
    mr_arena_free(arena);
}
