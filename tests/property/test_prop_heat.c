/*
 * test_prop_heat.c - laws of the heat's detection, fit and comparison with film, over seeded records whose truth is
 * known. The long table stands behind `make heat-table`; these are its shortened assertions.
 */
#include "support/heat_sim.h"

#include <criterion/criterion.h>
#include <math.h>

static void find(struct mr_arena *arena, const struct heat_record *record, mr_heat_list *out) {
    struct mr_heat_series series = {.n = record->n, .t_s = record->t_s, .value.raw = record->c};
    struct mr_heat_options options = {.slowest_s = 1800.0, .least_k = 0.5};
    mr_heat_find(arena, arena, &series, &options, out);
}

Test(prop_heat, without_noise_the_fit_returns_the_curve_to_one_in_a_million) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (uint64_t seed = 1; seed <= 40; seed++) {
        struct heat_plan plan = {.seed = seed,
                                 .coats = 1 + (int)(seed % 3),
                                 .rise_k = 1.0 + (double)(seed % 7),
                                 .dt_s = 10.0,
                                 .spacing_s = 1500.0};
        struct heat_record record = heat_make(arena, &plan);
        mr_heat_list found = {0};
        find(arena, &record, &found);
        cr_assert_eq(found.n, (size_t)plan.coats, "seed %llu: %zu events", (unsigned long long)seed, found.n);
        for (size_t i = 0; i < found.n; i++) {
            const struct mr_heat_found *e = &found.v[i];
            const struct mr_heat_curve *t = &record.truth[i];
            cr_assert_float_eq(e->rise_fit_k / plan.rise_k, 1.0, 1e-6, "seed %llu rise", (unsigned long long)seed);
            cr_assert_float_eq(e->curve.adiabatic_k / t->adiabatic_k, 1.0, 1e-6, "seed %llu adiabatic",
                               (unsigned long long)seed);
            cr_assert_float_eq(e->curve.tau_s / t->tau_s, 1.0, 1e-6, "seed %llu tau", (unsigned long long)seed);
            cr_assert_float_eq(e->curve.k_per_s / t->k_per_s, 1.0, 1e-6, "seed %llu k", (unsigned long long)seed);
        }
        mr_arena_reset(arena);
    }
    mr_arena_free(arena);
}

Test(prop_heat, intervals_of_95_percent_hold_the_truth_in_93_to_97_of_100_runs) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    int n = 0, in[5] = {0};
    for (uint64_t seed = 1; seed <= 2000; seed++) {
        struct heat_plan plan = {.seed = 1000 + seed, .coats = 1, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.3};
        struct heat_record record = heat_make(arena, &plan);
        mr_heat_list found = {0};
        find(arena, &record, &found);
        cr_assert_eq(found.n, 1, "seed %llu", (unsigned long long)plan.seed);
        const struct mr_heat_found *e = &found.v[0];
        const struct mr_heat_curve *t = &record.truth[0];
        cr_assert_eq(e->fit, MR_FIT_OK, "seed %llu: %s", (unsigned long long)plan.seed, e->fit_note);
        n++;
        in[0] += fabs(e->rise_fit_k - 5.0) < 1.96 * e->rise_fit_se_k;
        in[1] += fabs(e->curve.adiabatic_k - t->adiabatic_k) < 1.96 * e->adiabatic_se_k;
        in[2] += fabs(e->curve.k_per_s - t->k_per_s) < 1.96 * e->k_se;
        in[3] += fabs(e->curve.tau_s - t->tau_s) < 1.96 * e->tau_se;
        in[4] += fabs(e->onset_s - t->onset_s) < 1.96 * e->onset_se_s;
        mr_arena_reset(arena);
    }
    static const char *const what[] = {"rise", "adiabatic rise", "reaction rate", "cooling constant", "onset"};
    for (int i = 0; i < 5; i++) {
        double pct = 100.0 * in[i] / n;
        cr_expect(pct >= 93.0 && pct <= 97.0, "%s: %.2f %%", what[i], pct);
    }
    mr_arena_free(arena);
}

struct level {
    const char *name;
    struct heat_plan plan;
    int records;
    double missed_pct, wrong_pct; /* allowed */
};

static void check_level(const struct level *level) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct heat_score score = {0};
    for (int i = 0; i < level->records; i++) {
        struct heat_plan plan = level->plan;
        plan.seed += (uint64_t)i;
        struct heat_record record = heat_make(arena, &plan);
        mr_heat_list found = {0};
        find(arena, &record, &found);
        heat_score_add(&score, &record, &found);
        mr_arena_reset(arena);
    }
    cr_expect(100.0 * score.missed <= level->missed_pct * score.events, "%s: missed %d of %d", level->name,
              score.missed, score.events);
    cr_expect(100.0 * score.wrong <= level->wrong_pct * score.events, "%s: false %d of %d", level->name, score.wrong,
              score.events);
    mr_arena_free(arena);
}

Test(prop_heat, events_are_found_and_nothing_else) {
    static const struct level levels[] = {
        {"5 K, 0.3 K noise", {.seed = 5000, .coats = 1, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.3}, 500, 1.0, 0.9},
        {"1.5 K, 0.3 K noise",
         {.seed = 6000, .coats = 1, .rise_k = 1.5, .dt_s = 10.0, .noise_k = 0.3},
         150,
         1.0,
         0.9},
        {"three coats, sun, spikes, dropouts",
         {.seed = 7000,
          .coats = 3,
          .rise_k = 5.0,
          .dt_s = 10.0,
          .noise_k = 0.3,
          .spacing_s = 1800.0,
          .drift_k = 3.0,
          .spikes_per_h = 2.0,
          .dropouts_per_h = 1.0},
         100,
         1.0,
         0.9},
        {"coats 5 min apart",
         {.seed = 8000, .coats = 2, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.1, .spacing_s = 300.0},
         100,
         1.0,
         0.9},
        {"steps of 0.5 K",
         {.seed = 9000, .coats = 1, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.05, .step_k = 0.5},
         100,
         1.0,
         0.9},
    };
    for (size_t i = 0; i < MR_COUNT(levels); i++)
        check_level(&levels[i]);
}

Test(prop_heat, a_record_without_events_gives_none) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    size_t wrong = 0;
    for (uint64_t seed = 1; seed <= 300; seed++) {
        struct heat_plan plan = {.seed = seed,
                                 .coats = 0,
                                 .dt_s = 10.0,
                                 .noise_k = 0.3,
                                 .drift_k = (double)(seed % 5),
                                 .spikes_per_h = 1.0,
                                 .tail_s = 28800.0};
        struct heat_record record = heat_make(arena, &plan);
        mr_heat_list found = {0};
        find(arena, &record, &found);
        wrong += found.n;
        mr_arena_reset(arena);
    }
    cr_expect_leq(wrong, 3, "%zu events in 300 records of nine hours", wrong);
    mr_arena_free(arena);
}

Test(prop_heat, shifting_and_scaling_the_record_shifts_and_scales_the_answer) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct heat_plan plan = {
        .seed = 77, .coats = 2, .rise_k = 4.0, .dt_s = 10.0, .noise_k = 0.1, .spacing_s = 3000.0};
    struct heat_record record = heat_make(arena, &plan);
    mr_heat_list one = {0}, two = {0};
    find(arena, &record, &one);
    for (size_t i = 0; i < record.n; i++) { /* 60 times slower, as concrete is to a coat; 3 times larger; elsewhere */
        record.t_s[i] = 1e6 + 60.0 * record.t_s[i];
        record.c[i] = -40.0 + 3.0 * record.c[i];
    }
    struct mr_heat_series series = {.n = record.n, .t_s = record.t_s, .value.raw = record.c};
    struct mr_heat_options options = {.slowest_s = 60.0 * 1800.0, .least_k = 1.5};
    mr_heat_find(arena, arena, &series, &options, &two);
    cr_assert_eq(one.n, 2);
    cr_assert_eq(two.n, 2);
    for (size_t i = 0; i < 2; i++) {
        cr_expect_float_eq(two.v[i].onset_s, 1e6 + 60.0 * one.v[i].onset_s, 30.0);
        cr_expect_float_eq(two.v[i].rise_fit_k, 3.0 * one.v[i].rise_fit_k, 1e-2);
        cr_expect_float_eq(two.v[i].curve.tau_s, 60.0 * one.v[i].curve.tau_s, 0.01 * 60.0 * one.v[i].curve.tau_s);
    }
    mr_arena_free(arena);
}

Test(prop_heat, an_off_ratio_zone_is_found_and_clean_jobs_are_left_alone) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct heat_job_score planted = {0}, clean = {0}, many = {0};
    for (uint64_t seed = 1; seed <= 25; seed++) { /* through simulated logs and fits */
        struct heat_job job = {.seed = seed, .zones = 20, .scatter = 0.02, .bad = 1, .share = 0.75};
        heat_job_run(arena, &job, true, &planted);
        job.bad = 0;
        job.seed += 1000;
        heat_job_run(arena, &job, true, &clean);
        mr_arena_reset(arena);
    }
    cr_expect_geq(planted.jobs_with_bad_found, 24, "found in %zu of 25", planted.jobs_with_bad_found);
    cr_expect_leq(clean.false_found, 1, "%zu false findings in 25 clean jobs", clean.false_found);
    for (uint64_t seed = 1; seed <= 2000; seed++) { /* the statistics alone, wider scatter */
        struct heat_job job = {.seed = 50000 + seed, .zones = 20, .scatter = 0.06};
        heat_job_run(arena, &job, false, &many);
        mr_arena_reset(arena);
    }
    cr_expect_lt(many.false_found, 40, "%zu false findings in 2000 clean jobs", many.false_found);
    mr_arena_free(arena);
}

Test(prop_heat, one_to_three_weak_zones_that_hide_each_other_are_found) {
    /* a quarter less heat, 2 % scatter of the film; wanted: 80 of 100 found, at most 1 % of healthy zones named */
    static const struct { size_t zones, bad; } rows[] = {{6, 1}, {8, 2}, {8, 3}, {12, 3}};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (size_t r = 0; r < MR_COUNT(rows); r++) {
        struct heat_job_score s = {0};
        for (uint64_t seed = 1; seed <= 400; seed++) {
            struct heat_job job = {
                .seed = 61000 + seed, .zones = rows[r].zones, .scatter = 0.02, .bad = rows[r].bad, .share = 0.75};
            heat_job_run(arena, &job, false, &s);
            mr_arena_reset(arena);
        }
        cr_expect_geq(100 * s.bad_found, 80 * s.jobs * rows[r].bad, "%zu of %zu: found %zu of %zu", rows[r].bad,
                      rows[r].zones, s.bad_found, s.jobs * rows[r].bad);
        cr_expect_leq(100 * s.false_found, s.jobs * (rows[r].zones - rows[r].bad), "%zu of %zu: %zu healthy named",
                      rows[r].bad, rows[r].zones, s.false_found);
    }
    mr_arena_free(arena);
}
