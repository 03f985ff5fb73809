/*
 * Clock estimates: when they are made, when they are applied, what is said. The statistics stand in tests/property.
 */
#include "align/offset.h"
#include "support/sim_align.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

Test(estimate, is_a_finding_but_is_applied_only_when_the_job_says_so) {
    for (int apply = 0; apply < 2; apply++) {
        struct alignsim_plan plan = alignsim_plan(3);
        plan.off_s[plan.loggers] = 300;
        struct fixture f;
        alignsim_make(&f, &plan);
        fix_set(&f, MR_CLOCK_APPLY, apply);
        fix_align(&f);
        const struct mr_clock *c = fix_clock(&f, "PL");
        cr_assert(c->estimated && c->est_finding);
        cr_assert_eq(c->est_applied, apply);
        cr_assert_leq(fabs(c->est_offset_s - 300), c->est_spread_s);
        cr_assert_str_eq(c->est_against, "the spray log");
        cr_assert(strstr(c->note, apply ? "is applied" : "not applied"), "%s", c->note);
        for (size_t i = 0; i < f.aligned->tracks.n; i++)
            if (f.aligned->tracks.v[i].meaning == MR_M_LINE_A) {
                int64_t shift = mr_track_ms(&f.aligned->tracks.v[i], 0) - fix_time("2026-05-11 07:35");
                cr_assert_float_eq((double)shift, apply ? -1000 * c->est_offset_s : 0, 1);
            }
        fix_free(&f);
    }
}

Test(estimate, what_the_job_states_is_taken_off_first) {
    struct alignsim_plan plan = alignsim_plan(4);
    plan.off_s[plan.loggers] = 300;
    struct fixture f;
    alignsim_make(&f, &plan);
    for (size_t i = 0; i < f.job.instruments.n; i++)
        if (strcmp(f.job.instruments.v[i].name, "PL") == 0) {
            f.job.instruments.v[i].offset_s = 300;
            f.job.instruments.v[i].offset_given = true;
        }
    fix_align(&f);
    const struct mr_clock *c = fix_clock(&f, "PL");
    cr_assert(c->estimated && !c->est_finding);
    cr_assert_leq(fabs(c->est_offset_s), c->est_spread_s);
    fix_free(&f);
}

Test(estimate, too_few_events_give_none) {
    struct alignsim_plan plan = alignsim_plan(5);
    plan.zones = 2;
    plan.coats = 1;
    plan.off_s[plan.loggers] = 300;
    struct fixture f;
    alignsim_make(&f, &plan);
    fix_align(&f);
    for (size_t i = 0; i < f.aligned->clocks.n; i++)
        cr_assert_not(f.aligned->clocks.v[i].estimated, "%s", f.aligned->clocks.v[i].note);
    fix_free(&f);
}

Test(estimate, a_drifting_clock_shows_its_drift_over_days) {
    struct alignsim_plan plan = alignsim_plan(6);
    plan.coats = 4;
    plan.zones = 10;
    plan.drift_s_per_day[plan.loggers] = 40;
    struct fixture f;
    alignsim_make(&f, &plan);
    fix_align(&f);
    const struct mr_clock *c = fix_clock(&f, "PL");
    cr_assert(c->estimated);
    cr_assert_leq(fabs(c->est_drift_s_per_day - 40), c->est_drift_spread_s_per_day, "%g +- %g",
                  c->est_drift_s_per_day, c->est_drift_spread_s_per_day);
    fix_free(&f);
}

static const struct mr_offset_limits limits = {
    .search_ms = 3600000, .tolerance_ms = 30000, .lag_ms = 30000, .least = 4};

Test(offset, intervals_agree_where_their_ranges_meet) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    /* Four windows of ten minutes, an event at 1, 4, 6 and 9 minutes into each, all shown 100 s late. Worked by hand:
     * every event allows [t - 600 - 60, t + 30] s around 100 s, t into the window; they meet in [100 - 120, 100 +
     * 90].
     */
    struct mr_offset_range windows[4];
    struct mr_event events[4];
    const int64_t into[] = {60, 240, 360, 540};
    for (int i = 0; i < 4; i++) {
        windows[i] = (struct mr_offset_range){i * 7200000, i * 7200000 + 600000, MR_NONE};
        events[i] = (struct mr_event){windows[i].t0_ms + (into[i] + 100) * 1000, MR_NONE};
    }
    struct mr_offset o = mr_offset_by_intervals(arena, events, 4, windows, 4, &limits);
    cr_assert(o.found);
    cr_assert_eq(o.events, 4);
    cr_assert_leq(fabs(o.offset_ms - 100000), o.spread_ms);
    mr_arena_free(arena);
}

Test(offset, groups_keep_events_to_their_own_zone) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_offset_range windows[8];
    struct mr_event events[4];
    for (int i = 0; i < 4; i++) { /* zone 1 right after zone 0, each ten minutes */
        windows[2 * i] = (struct mr_offset_range){i * 7200000, i * 7200000 + 600000, 0};
        windows[2 * i + 1] = (struct mr_offset_range){i * 7200000 + 600000, i * 7200000 + 1200000, 1};
        events[i] = (struct mr_event){i * 7200000 + 900000, 1};
    }
    struct mr_offset o = mr_offset_by_intervals(arena, events, 4, windows, 8, &limits);
    cr_assert(o.found && fabs(o.offset_ms) < 30000, "%g", o.offset_ms);
    mr_arena_free(arena);
}

Test(offset, edges_need_half_of_the_reference_and_give_median_and_spread) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_offset_range reference[10], shown[10];
    for (int i = 0; i < 10; i++) {
        int64_t t0 = (int64_t)i * i * 977000; /* no period */
        reference[i] = (struct mr_offset_range){t0, t0 + 500000, MR_NONE};
        shown[i] = (struct mr_offset_range){t0 - 700000 + (i % 3 - 1) * 1000, t0 - 200000 + (i % 2) * 1000, MR_NONE};
    }
    struct mr_offset o = mr_offset_by_edges(arena, shown, 10, reference, 10, &limits);
    cr_assert(o.found);
    cr_assert_eq(o.events, 20);
    cr_assert_eq(o.unmatched, 0);
    cr_assert_leq(fabs(o.offset_ms + 700000), 1000);
    cr_assert_lt(o.spread_ms, 2000);
    o = mr_offset_by_edges(arena, shown, 2, reference, 10, &limits);
    cr_assert_not(o.found);
    mr_arena_free(arena);
}

Test(offset, nothing_beyond_the_search_is_found_and_nothing_within_it_is_missed) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_offset_range reference[10], shown[10];
    struct mr_event events[10];
    for (int before = 0; before < 2; before++) {
        int64_t off = before ? 3500000 : 3700000; /* the search reaches an hour */
        for (int i = 0; i < 10; i++) {
            int64_t t0 = (int64_t)(i + 1) * 86400000;
            reference[i] = (struct mr_offset_range){t0, t0 + 60000, MR_NONE};
            shown[i] = (struct mr_offset_range){t0 + off, t0 + 60000 + off, MR_NONE};
            events[i] = (struct mr_event){t0 + 30000 + off, MR_NONE};
        }
        struct mr_offset edges = mr_offset_by_edges(arena, shown, 10, reference, 10, &limits);
        struct mr_offset within = mr_offset_by_intervals(arena, events, 10, reference, 10, &limits);
        cr_expect_eq(edges.found, before == 1);
        cr_expect_eq(within.found, before == 1);
        if (before)
            cr_expect(fabs(edges.offset_ms - 3.5e6) < 1000 && fabs(within.offset_ms - 3.5e6) < 61000);
    }
    mr_arena_free(arena);
}

Test(offset, an_edge_matches_within_the_tolerance_only) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_offset_range reference[12], shown[12];
    for (int i = 0; i < 12; i++) { /* every third is 45 s late: beyond the tolerance of 30 s around the others */
        int64_t t0 = (int64_t)i * i * 977000 + 7200000, late = i % 3 == 2 ? 45000 : 0;
        reference[i] = (struct mr_offset_range){t0, t0 + 500000, MR_NONE};
        shown[i] = (struct mr_offset_range){t0 + late, t0 + 500000 + late, MR_NONE};
    }
    struct mr_offset o = mr_offset_by_edges(arena, shown, 12, reference, 12, &limits);
    cr_assert(o.found);
    cr_expect_eq(o.events, 16);
    cr_expect_eq(o.unmatched, 8);
    mr_arena_free(arena);
}

/* Windows of two hours hold an onset anywhere: an interval of half an hour on either side agrees with nothing. */
Test(estimate, an_interval_of_half_an_hour_confirms_nothing) {
    size_t vague = 0;
    for (uint64_t seed = 1; seed <= 8; seed++) {
        struct alignsim_plan plan = alignsim_plan(seed);
        plan.lines = false;
        plan.loggers = 1;
        plan.zones = 5;
        plan.coats = 2;
        plan.width_min[0] = 110;
        plan.width_min[1] = 120;
        struct fixture f;
        alignsim_make(&f, &plan);
        fix_align(&f);
        const struct mr_clock *c = fix_clock(&f, "K0");
        if (c->estimated && c->est_spread_s > 900) {
            vague++;
            cr_expect(!c->est_finding && !c->est_applied);
            cr_expect_not_null(strstr(c->note, "confirms nothing"), "%s", c->note);
        }
        cr_expect_eq(f.aligned->doubts.n, 0U, "seed %d", (int)seed);
        fix_free(&f);
    }
    cr_expect_geq(vague, 6U, "%zu of 8 intervals are that wide", vague);
}
