/*
 * What proves a gauge: shims near the film, base metal readings of its own from before the coat, certificates, and a
 * second gauge on the same places.
 */
#include "unit/assess_thickness/site.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define LIMITS "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 300 um\n"

static enum mr_outcome outcome(const struct site *s, const char *id) {
    const struct mr_check *c = site_find_check(s, id, 0);
    cr_assert_not_null(c, "no check %s", id);
    return c->outcome;
}

/* Common practice, no source: shims on both sides of the film, or one near it. */
Test(gauges, a_shim_proves_the_gauge_near_its_own_thickness_only) {
    static const struct {
        double shim, second, after; /* after: on which the last check was made; 0: on the first */
        const char *job;
        enum mr_outcome want;
    } rows[] = {
        {25, 0, 0, LIMITS, MR_NOT_SHOWN},    {230, 0, 0, LIMITS, MR_CONFORMS},
        {155, 0, 0, LIMITS, MR_CONFORMS},    {153, 0, 0, LIMITS, MR_NOT_SHOWN},
        {25, 500, 230, LIMITS, MR_CONFORMS}, {25, 500, 0, LIMITS, MR_NOT_SHOWN}, /* after use on 25 um alone */
        {230, 0, 25, LIMITS, MR_NOT_SHOWN},  {25, 0, 230, LIMITS, MR_NOT_SHOWN},
        {500, 0, 0, LIMITS, MR_NOT_SHOWN},   {153, 0, 0, LIMITS "verification range = 60 %\n", MR_CONFORMS},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site s;
        site_new(&s, rows[i].job);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        site_check(&s, "before", rows[i].shim, rows[i].shim);
        if (rows[i].second > 0)
            site_check(&s, "before", rows[i].second, rows[i].second);
        site_spots(&s, zone, 5, 231, MR_UNIT_UM);
        const double last = rows[i].after > 0 ? rows[i].after : rows[i].shim;
        site_check(&s, "after", last, last);
        site_judge(&s);
        cr_expect_eq(outcome(&s, "gauge.range"), rows[i].want, "shim %g: %s", rows[i].shim,
                     site_find_check(&s, "gauge.range", 0)->detail);
        mr_arena_free(s.arena);
    }
}

Test(gauges, base_metal_of_another_gauge_or_after_the_coat_is_not_deducted) {
    for (int variant = 0; variant < 3; variant++) { /* as it should be; another gauge; after the coat */
        struct site s;
        site_new(&s, LIMITS "correction = base metal\n");
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        for (int i = 0; i < 10; i++) {
            site_base_metal(&s, zone, 20);
            s.data.base_metal.v[i].serial = variant == 1 ? "G2" : "G1";
            s.al.base_metal.v[i].t_utc_ms = s.t + (variant == 2 ? 7200000 : 0);
        }
        struct mr_window w = {.zone = zone, .coat = 1, .t0_utc_ms = s.t + 1000, .t1_utc_ms = s.t + 2000};
        MR_PUSH(s.arena, &s.al.windows, w);
        s.t += 3600000;
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(outcome(&s, "thickness.correction"), variant ? MR_NOT_SHOWN : MR_CONFORMS, "variant %d",
                     variant);
        cr_expect_float_eq(s.out.films.v[0].mean_um, variant ? 250 : 230, 1e-9, "variant %d", variant);
        mr_arena_free(s.arena);
    }
}

Test(gauges, film_measured_before_its_cure_time_is_marked) {
    for (int late = 0; late < 2; late++) {
        struct site s;
        site_new(&s, LIMITS "[climate]\ncure time = 30 min\n");
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        struct mr_window w = {.zone = zone, .coat = 1, .t0_utc_ms = s.t, .t1_utc_ms = s.t + 60000};
        MR_PUSH(s.arena, &s.al.windows, w);
        s.t += late ? 1920000 : 600000;
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        for (size_t i = 0; i < s.al.readings.n; i++)
            s.al.readings.v[i].window = 0;
        site_judge(&s);
        cr_expect_eq(site_find_finding(&s, "measured-before-cure") != NULL, !late);
        mr_arena_free(s.arena);
    }
}

Test(gauges, shims_have_a_certificate_too) {
    static const char *const until[] = {"2026-05-10", "2026-05-11"}; /* no date: the job file is refused */
    static const enum mr_outcome want[] = {MR_NOT_SHOWN, MR_CONFORMS};
    for (size_t i = 0; i < MR_COUNT(until); i++) {
        struct site s;
        char job[300];
        snprintf(job, sizeof job, LIMITS "shims certified until = %s\n", until[i]);
        site_new(&s, job);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        site_check(&s, "before", 250, 250);
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(outcome(&s, "gauge.shims"), want[i], "%s", until[i]);
        mr_arena_free(s.arena);
    }
}

/* Differences 10, 12, 14: mean 12, sd 2, and t(0.975; 2) = 4.3027 (any table of Student's t): 12 +- 4.968. */
Test(gauges, two_gauges_on_the_same_spots_are_compared) {
    static const char *const spots[] = {"1", "2", "3"};
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    for (int gauge = 0; gauge < 2; gauge++)
        for (size_t i = 0; i < MR_COUNT(spots); i++) {
            size_t at = site_reading(&s, zone, "A", spots[i], gauge ? 250 : 260 + 2 * (double)i, MR_UNIT_UM);
            s.data.readings.v[at].serial = gauge ? "G2" : "G1";
        }
    site_judge(&s);
    const struct mr_table *t = site_table(&s, "gauge-comparison");
    cr_assert_not_null(t);
    cr_assert_eq(t->n_rows, 1);
    cr_expect_eq(t->values.v[3].count, 3);
    cr_expect_float_eq(t->values.v[4].number, 12, 1e-9);
    cr_expect_float_eq(t->values.v[5].number, 12 - 4.3027 * 2 / sqrt(3), 1e-4);
    cr_expect_float_eq(t->values.v[6].number, 12 + 4.3027 * 2 / sqrt(3), 1e-4);
    cr_expect_not_null(site_find_finding(&s, "gauges-differ"));
    mr_arena_free(s.arena);
}

/* ISO 19840: inspection areas above 1000 m2 are divided, from memory. */
Test(numbers, a_number_that_the_job_states_is_asked_beside_the_rules) {
    static const struct {
        const char *line;
        enum mr_outcome want;
    } rows[] = {{"areas required = 1", MR_CONFORMS},
                {"areas required = 2", MR_NOT_SHOWN},
                {"readings required = 15", MR_CONFORMS},
                {"readings required = 16", MR_NOT_SHOWN}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site s;
        char job[300];
        snprintf(job, sizeof job, LIMITS "%s\n", rows[i].line);
        site_new(&s, job);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(outcome(&s, "thickness.enough-stated"), rows[i].want, "%s", rows[i].line);
        cr_expect_eq(outcome(&s, "thickness.spot-minimum"), rows[i].want, "%s", rows[i].line);
        mr_arena_free(s.arena);
    }
}

Test(numbers, a_zone_above_1000_m2_is_to_be_divided) {
    for (int large = 0; large < 2; large++) {
        struct site s;
        site_new(&s, LIMITS "rules = 80-20\n");
        size_t zone = site_zone(&s, "Tank", large ? 1001 : 1000, 1);
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(site_find_finding(&s, "zone-to-be-divided") != NULL, large);
        mr_arena_free(s.arena);
    }
}
