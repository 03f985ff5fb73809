/*
 * Edges of the thickness part that a small change of a comparison would move: ages of verifications, last days of
 * certificates, least numbers, ends of an extent survey, what the statistics are computed from.
 */
#include "support/film_judge.h"
#include "unit/assess_thickness/site.h"

#include "assess/film/film_stats.h"
#include "assess/finding/finding_text.h"
#include "assess/finding/line_ranges.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define LIMITS "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 300 um\n"
#define HOUR_MS 3600000LL

static enum mr_outcome outcome(const struct site *s, const char *id) {
    const struct mr_check *c = site_find_check(s, id, 0);
    cr_assert_not_null(c, "no check %s", id);
    return c->outcome;
}

/* Default 14 h, project decision: the setting `verification within`. */
Test(thickness_edges, a_verification_serves_for_the_stated_time_before_and_after) {
    static const struct {
        int before_h, after_h;
        enum mr_outcome want;
    } rows[] = {{13, 0, MR_CONFORMS}, {15, 0, MR_NOT_SHOWN}, {0, 13, MR_CONFORMS}, {0, 15, MR_NOT_SHOWN}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site s;
        site_new(&s, LIMITS);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        site_check(&s, "before", 250, 250);
        s.t += rows[i].before_h * HOUR_MS;
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        s.t += rows[i].after_h * HOUR_MS;
        site_check(&s, "after", 250, 250);
        site_judge(&s);
        cr_expect_eq(outcome(&s, "gauge.verified"), rows[i].want, "%d h before, %d h after", rows[i].before_h,
                     rows[i].after_h);
        mr_arena_free(s.arena);
    }
}

/* The readings are of 11 May 2026; a certificate holds to the end of its last day (common practice, no source). */
Test(thickness_edges, a_certificate_holds_through_its_last_day) {
    static const struct {
        const char *until;
        enum mr_outcome want;
    } rows[] = {{"2026-05-10", MR_NOT_SHOWN}, {"2026-05-11", MR_CONFORMS}, {"2026-05-12", MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site s;
        char job[400];
        snprintf(job, sizeof job, LIMITS "[instrument \"G1\"]\ncertificate = C-1\ncertified until = %s\n",
                 rows[i].until);
        site_new(&s, job);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(outcome(&s, "gauge.certificate"), rows[i].want, "until %s", rows[i].until);
        mr_arena_free(s.arena);
    }
}

/* 160 µm are 1.05 heavy passes of 6 mil (152.4 µm) and 2.1 light ones of 3 mil: both are rounded up. */
Test(thickness_edges, passes_are_rounded_up) {
    struct site s;
    site_new(&s, "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 400 um\n");
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    site_spots(&s, zone, 5, 240, MR_UNIT_UM);
    site_judge(&s);
    const struct mr_finding *f = site_find_finding(&s, "thin-zone");
    cr_assert_not_null(f);
    cr_expect_not_null(strstr(f->next_step, "2 to 3 passes"), "%s", f->next_step);
    mr_arena_free(s.arena);
}

/* At least 10 base metal readings: SSPC-PA 2, from memory. */
Test(thickness_edges, nine_base_metal_readings_are_too_few) {
    for (int n = 9; n <= 10; n++) {
        struct site s;
        site_new(&s, LIMITS "correction = base metal\n");
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        for (int i = 0; i < n; i++)
            site_base_metal(&s, zone, 20);
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(outcome(&s, "thickness.correction"), n < 10 ? MR_NOT_SHOWN : MR_CONFORMS, "%d", n);
        mr_arena_free(s.arena);
    }
}

static const char *extent_state(const struct site *s) {
    const struct mr_table *t = site_table(s, "extent-surveys");
    cr_assert_not_null(t);
    return t->values.v[7].text;
}

/* Two conforming spots in a row end a direction: SSPC-PA 2 (2015), section 9. */
Test(thickness_edges, an_extent_survey_ends_after_two_full_spots_in_a_row) {
    static const double spots[] = {190, 205, 205};
    for (int variant = 0; variant < 3; variant++) { /* whole; one spot short; the first spot lacks a reading */
        struct site s;
        site_new(&s, LIMITS);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        site_spots(&s, zone, 5, 180, MR_UNIT_UM);
        for (size_t i = 0; i < MR_COUNT(spots) - (variant == 1); i++) {
            for (int k = 0; k < (variant == 2 && i == 0 ? 2 : 3); k++)
                site_reading(&s, zone, "survey north", "", spots[i], MR_UNIT_UM);
            s.t += HOUR_MS;
        }
        site_judge(&s);
        cr_expect_str_eq(extent_state(&s), variant ? "to be continued" : "ended in conforming spots", "variant %d",
                         variant);
        mr_arena_free(s.arena);
    }
}

/* A second low reading beside the first repeats it; a spot never falls below its number. */
Test(thickness_edges, readings_that_repeat_or_are_needed_are_not_left_out) {
    for (int variant = 0; variant < 2; variant++) {
        struct site s;
        site_new(&s, LIMITS "discard unusual readings = yes\nrules = restriction-level-1\n");
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        static const char *const spots[] = {"1", "2", "3", "4", "5"};
        for (size_t i = 0; i < 5; i++)
            for (int k = 0; k < (variant && i == 4 ? 2 : 3); k++)
                site_reading(&s, zone, "A", spots[i], 205 + k, MR_UNIT_UM);
        site_reading(&s, zone, "A", "5", 20, MR_UNIT_UM);
        if (!variant)
            site_reading(&s, zone, "A", "5", 20.1, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_null(site_find_finding(&s, "discarded-readings"), "variant %d", variant);
        mr_arena_free(s.arena);
    }
}

/* n spots of one reading each, alternately below and above 250 by 10. */
static struct mr_film_stats alternating(struct mr_arena *arena, size_t n, double min_um, double max_um,
                                        const char *uncertainty) {
    double written[64];
    struct mr_film film;
    struct mr_accuracy u;
    for (size_t i = 0; i < n; i++)
        written[i] = i % 2 ? 260 : 240;
    film_of(arena, written, n, MR_UNIT_UM, 1, 5, &film);
    struct mr_film_values values = mr_film_values_of(arena, arena, &film, (struct mr_ratio){0, 1});
    cr_assert_null(mr_accuracy_scan(uncertainty, &u));
    return mr_film_stats_of(arena, arena, &values, min_um, max_um, &u, &mr_job_default(arena)->settings,
                            &(mr_tolerance_pairs){0});
}

/* Cp = (USL - LSL) / 6 s, Cpk = min(USL - mean, mean - LSL) / 3 s: NIST/SEMATECH e-Handbook 6.1.6. Mean 250, and
 * s = 10 sqrt(n / (n - 1)) for n even. */
Test(thickness_edges, capability_is_of_the_specified_limits_and_says_when_it_does_not_apply) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_film_stats s = alternating(arena, 30, 200, 310, "");
    double sd = 10 * sqrt(30.0 / 29.0);
    cr_expect_float_eq(s.capability.cp, 110 / (6 * sd), 1e-12);
    cr_expect_float_eq(s.capability.cpk, 50 / (3 * sd), 1e-12);
    s = alternating(arena, 30, 190, 300, "");
    cr_expect_float_eq(s.capability.cpk, 50 / (3 * sd), 1e-12, "the upper limit is the nearer one");
    cr_expect_null(strstr(s.capability_warning, "fewer than 30"), "%s", s.capability_warning);
    s = alternating(arena, 28, 190, 300, "");
    cr_expect_not_null(strstr(s.capability_warning, "fewer than 30"), "common practice, no source: %s",
                       s.capability_warning);
    mr_arena_free(arena);
}

/* JCGM 106:2012: mean y with standard uncertainty u. The number of spots asked for is the least for which 1.645 u
 * fits between mean and limit (95 %, one-sided). */
Test(thickness_edges, the_number_of_further_spots_is_the_least_that_settles) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_film_stats s = alternating(arena, 10, 248, NAN, "1 um");
    cr_assert_eq(s.more, MR_MORE_SPOTS);
    double reach = 2 / 1.6448536269514722;
    for (size_t less = 0; less < 2; less++) {
        double n = (double)(10 + s.more_spots - less), u = sqrt(0.25 + s.spot.sd * s.spot.sd / n);
        cr_expect_eq(u <= reach, less == 0, "with %g spots u is %g, reach %g", n, u, reach);
    }
    mr_arena_free(arena);
}

Test(thickness_edges, lines_apart_by_one_are_two_places) {
    struct site s;
    site_new(&s, LIMITS);
    site_judge(&s);
    struct mr_line lines[] = {{0, 6}, {0, 3}, {0, 4}};
    cr_expect_str_eq(mr_lines_text(&s.a, lines, MR_COUNT(lines), 4), "dft.csv:3-4, 6");
    mr_arena_free(s.arena);
}

/* 54.999999999999993 degF from a conversion is 55 degF; 54.99 is not. */
Test(thickness_edges, only_the_last_digits_of_a_conversion_are_forgiven) {
    cr_expect_not(mr_below(5 - 1e-10, 5));
    cr_expect(mr_below(5 - 1e-7, 5));
    cr_expect_not(mr_above(5 + 1e-10, 5));
    cr_expect(mr_above(5 + 1e-7, 5));
}

/* Spots 1 to 5, and again from 1, without an area: two areas, or one measured twice. Restriction level 3 wants two
 * areas at 15 m2 (SSPC-PA 2 (2012), 8). A job that states its spots per area settles it; too thin is too thin. */
Test(thickness_edges, spot_numbers_that_begin_again_are_no_proof_of_a_second_area) {
    static const struct {
        const char *job, *area[2];
        double um;
        enum mr_outcome outcome;
        const char *finding;
    } rows[] = {
        {"", {"", ""}, 250, MR_NOT_SHOWN, "areas-by-order"},
        {"spots per area = 5\n", {"", ""}, 250, MR_CONFORMS, "areas-by-order"},
        {"spots per area = 6\n", {"", ""}, 250, MR_NOT_SHOWN, "areas-by-order"},
        {"", {"A", "B"}, 250, MR_CONFORMS, NULL},
        {"", {"", ""}, 150, MR_DOES_NOT_CONFORM, "areas-by-order"},
    };
    static const char *const spots[] = {"1", "2", "3", "4", "5"};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site s;
        struct mr_arena *text = mr_arena_new(NULL, NULL);
        site_new(&s, mr_printf(text,
                               "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 300 um\n"
                               "rules = restriction-level-3\n%s",
                               rows[i].job));
        size_t zone = site_zone(&s, "Deck 1", 15, 1);
        for (int k = 0; k < 30; k++)
            site_reading(&s, zone, rows[i].area[k / 15], spots[k / 3 % 5], rows[i].um, MR_UNIT_UM);
        site_judge(&s);
        enum mr_outcome worst = MR_NOT_REQUIRED;
        for (size_t k = 0; k < s.out.checks.n; k++)
            if (strcmp(s.out.checks.v[k].group, "gauge") != 0)
                worst = mr_outcome_worst(worst, s.out.checks.v[k].outcome);
        cr_expect_eq(worst, rows[i].outcome, "row %zu: %d", i, (int)worst);
        cr_expect_eq(site_find_finding(&s, "areas-by-order") != NULL, rows[i].finding != NULL, "row %zu", i);
        mr_arena_free(s.arena);
        mr_arena_free(text);
    }
}

/* A base metal reading is what profile and steel add (SSPC-PA 2 (2012), 3.6): below zero it would thicken the film,
 * and zeros alone say nothing of the steel. */
Test(thickness_edges, a_base_metal_mean_below_zero_is_not_deducted_without_a_word) {
    static const double um[] = {20, -15, 0};
    for (size_t i = 0; i < MR_COUNT(um); i++) {
        struct site s;
        site_new(&s, "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 300 um\n"
                     "correction = base metal\n");
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        for (int k = 0; k < 12; k++)
            site_base_metal(&s, zone, um[i]);
        site_spots(&s, zone, 5, 240, MR_UNIT_UM);
        site_judge(&s);
        const struct mr_check *c = site_find_check(&s, "thickness.correction", 0);
        cr_expect(c && c->outcome == (um[i] <= 0 ? MR_NOT_SHOWN : MR_CONFORMS), "%g: %s", um[i], c ? c->detail : "");
        mr_arena_free(s.arena);
    }
}
