/*
 * The thickness part as a whole, on small jobs built by hand.
 */
#include "unit/assess_thickness/site.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define LIMITS "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 300 um\n"

static enum mr_outcome outcome(const struct site *s, const char *id, int coat) {
    const struct mr_check *c = site_find_check(s, id, coat);
    cr_assert_not_null(c, "no check %s for coat %d", id, coat);
    return c->outcome;
}

static size_t good_survey(struct site *s, const char *job, double film) {
    site_new(s, job);
    size_t zone = site_zone(s, "Deck 1", 9, 1);
    site_check(s, "before", 250, 251);
    site_spots(s, zone, 5, film, MR_UNIT_UM);
    site_check(s, "after", 250, 249);
    return zone;
}

Test(thickness, a_full_survey_within_limits_conforms) {
    struct site s;
    good_survey(&s, LIMITS, 250);
    site_judge(&s);
    for (size_t i = 0; i < s.out.checks.n; i++)
        cr_expect_leq(s.out.checks.v[i].outcome, MR_CONFORMS, "%s: %s", s.out.checks.v[i].id,
                      s.out.checks.v[i].detail);
    cr_expect_eq(outcome(&s, "thickness.spot-minimum", 0), MR_CONFORMS);
    cr_expect_eq(outcome(&s, "thickness.enough", 0), MR_CONFORMS);
    cr_expect_eq(outcome(&s, "gauge.verified", 0), MR_CONFORMS);
    cr_expect_eq(outcome(&s, "gauge.certificate", 0), MR_NOT_REQUIRED);
    cr_assert_eq(s.out.films.n, 1);
    cr_expect_eq(s.out.films.v[0].n_readings, 15);
    cr_expect_eq(s.out.films.v[0].need_readings, 15);
    cr_expect_eq(s.out.films.v[0].mean_um, 250);
    mr_arena_free(s.arena);
}

Test(thickness, too_few_readings_are_not_shown_and_say_what_is_left) {
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 25, 1);
    site_check(&s, "before", 250, 250);
    site_spots(&s, zone, 5, 250, MR_UNIT_UM);
    site_check(&s, "after", 250, 250);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.enough", 0), MR_NOT_SHOWN);
    cr_expect_eq(outcome(&s, "thickness.spot-minimum", 0), MR_NOT_SHOWN, "what was not measured cannot conform");
    const struct mr_finding *f = site_find_finding(&s, "too-few-readings");
    cr_assert_not_null(f);
    cr_expect_not_null(strstr(f->next_step, "2 areas, 10 spots, 30 readings"), "%s", f->next_step);
    mr_arena_free(s.arena);
}

Test(thickness, a_thin_zone_says_film_passes_and_material) {
    struct site s;
    good_survey(&s, LIMITS "[material]\nrequired = no\n", 180);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.area-minimum", 0), MR_DOES_NOT_CONFORM);
    cr_expect_eq(outcome(&s, "thickness.spot-minimum", 0), MR_CONFORMS, "180 is above 80 %% of 200");
    const struct mr_finding *f = site_find_finding(&s, "thin-zone");
    cr_assert_not_null(f);
    cr_expect_float_eq(f->measured, 180, 1e-9);
    cr_expect_float_eq(f->limit, 200, 1e-9);
    cr_expect_not_null(strstr(f->next_step, "20.0 µm"), "%s", f->next_step);
    cr_expect_not_null(strstr(f->next_step, "0.18 L"), "20 um over 9 m2 are 0.18 L: %s", f->next_step);
    cr_expect_not_null(strstr(f->next_step, "written instructions"), "%s", f->next_step);
    cr_assert_gt(f->evidence.n, 0);
    cr_expect_str_eq(f->evidence.v[0].place.file, "dft.csv");
    cr_expect_eq(f->evidence.v[0].place.line, 3);
    cr_expect_eq(f->evidence.v[0].place.line_end, 17);
    cr_expect_not_null(site_find_check(&s, "thickness.extent", 0), "a failing area asks for a survey around it");
    cr_expect_eq(outcome(&s, "thickness.extent", 0), MR_NOT_SHOWN);
    mr_arena_free(s.arena);
}

Test(thickness, limits_in_mil_judge_readings_in_micrometre_exactly) {
    struct site s;
    good_survey(&s, "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 8 mil\nmaximum = 8 mil\n", 203.2);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.area-minimum", 0), MR_CONFORMS);
    cr_expect_eq(outcome(&s, "thickness.area-maximum", 0), MR_CONFORMS);
    cr_expect_eq(site_find_check(&s, "thickness.area-minimum", 0)->unit, MR_UNIT_MIL);
    cr_expect_not_null(site_find_finding(&s, "units-differ"));
    mr_arena_free(s.arena);
}

Test(thickness, an_over_thick_zone_does_not_conform_and_without_maximum_nothing_is_required) {
    struct site s;
    good_survey(&s, LIMITS, 310);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.area-maximum", 0), MR_DOES_NOT_CONFORM);
    cr_expect_not_null(site_find_finding(&s, "over-thick-zone"));
    mr_arena_free(s.arena);
    good_survey(&s, "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\n", 310);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.area-maximum", 0), MR_NOT_REQUIRED);
    mr_arena_free(s.arena);
}

Test(thickness, readings_outside_passing_verifications_are_not_shown_and_named) {
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    site_check(&s, "before", 250, 251);
    site_spots(&s, zone, 3, 250, MR_UNIT_UM);
    site_check(&s, "", 250, 251);
    site_spots(&s, zone, 2, 250, MR_UNIT_UM);
    site_check(&s, "after", 250, 270); /* 8 % off: more than 5.1 % and more than 6 % */
    site_judge(&s);
    const struct mr_check *c = site_find_check(&s, "gauge.verified", 0);
    cr_assert_not_null(c);
    cr_expect_eq(c->outcome, MR_NOT_SHOWN);
    cr_assert_eq(c->evidence.n, 1);
    cr_expect_eq(c->evidence.v[0].place.line, 13, "the six readings after the second verification");
    cr_expect_eq(c->evidence.v[0].place.line_end, 18);
    cr_expect_not_null(site_find_finding(&s, "failed-verification"));
    mr_arena_free(s.arena);
}

Test(thickness, tolerances_combine_both_ways) {
    static const struct {
        const char *how;
        double reading;
        enum mr_outcome want;
    } rows[] = {
        /* 3 % and 4 %: root sum of squares exactly 5 %, sum 7 % */
        {"root sum of squares", 210.0, MR_CONFORMS},
        {"root sum of squares", 210.001, MR_NOT_SHOWN},
        {"sum", 214.0, MR_CONFORMS},
        {"sum", 214.001, MR_NOT_SHOWN},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site s;
        char job[512];
        snprintf(job, sizeof job,
                 LIMITS "verification tolerance = 3 %%\nreference tolerance = 4 %%\ncombine tolerances = %s\n",
                 rows[i].how);
        site_new(&s, job);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        site_check(&s, "before", 200, rows[i].reading);
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        site_check(&s, "after", 200, 200);
        site_judge(&s);
        cr_expect_eq(outcome(&s, "gauge.verified", 0), rows[i].want, "%s, %.3f", rows[i].how, rows[i].reading);
        mr_arena_free(s.arena);
    }
}

Test(thickness, an_adjusted_gauge_is_good_for_what_follows_only) {
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    site_check(&s, "before", 250, 250);
    site_spots(&s, zone, 2, 250, MR_UNIT_UM);
    site_check(&s, "", 250, 275); /* found wrong */
    site_check(&s, "", 250, 250); /* left right */
    site_spots(&s, zone, 3, 250, MR_UNIT_UM);
    site_check(&s, "after", 250, 250);
    site_judge(&s);
    const struct mr_check *c = site_find_check(&s, "gauge.verified", 0);
    cr_assert_eq(c->evidence.n, 1);
    cr_expect_eq(c->evidence.v[0].place.line, 3);
    cr_expect_eq(c->evidence.v[0].place.line_end, 8);
    mr_arena_free(s.arena);
}

Test(thickness, base_metal_or_profile_never_both) {
    struct site s;
    good_survey(&s, LIMITS "correction = base metal\n", 220);
    for (int i = 0; i < 10; i++)
        site_base_metal(&s, 0, 20);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.correction", 0), MR_CONFORMS);
    cr_expect_eq(outcome(&s, "thickness.area-minimum", 0), MR_CONFORMS, "220 - 20 = 200");
    cr_expect_float_eq(s.out.films.v[0].mean_um, 200, 1e-9);
    mr_arena_free(s.arena);
    good_survey(&s, LIMITS "correction = profile medium\n", 224.9);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.area-minimum", 0), MR_DOES_NOT_CONFORM, "224.9 - 25 < 200");
    mr_arena_free(s.arena);
    good_survey(&s, LIMITS "correction = base metal, profile fine\n", 250);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.correction", 0), MR_NOT_SHOWN);
    mr_arena_free(s.arena);
    good_survey(&s, LIMITS "correction = base metal\n", 250);
    site_base_metal(&s, 0, 20);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.correction", 0), MR_NOT_SHOWN, "one base metal reading is not enough");
    mr_arena_free(s.arena);
}

Test(thickness, each_coat_is_judged_less_the_film_below_it) {
    struct site s;
    site_new(&s, LIMITS "coat minimum = 100 um\ncoat maximum = 150 um\n");
    size_t zone = site_zone(&s, "Deck 1", 9, 2);
    site_check(&s, "before", 250, 250);
    site_spots(&s, zone, 5, 110, MR_UNIT_UM);
    site_spots(&s, zone, 5, 205, MR_UNIT_UM);
    site_check(&s, "after", 250, 250);
    for (size_t i = 0; i < s.al.readings.n; i++) {
        s.al.readings.v[i].coat = i < 15 ? 1 : 2;
        s.al.readings.v[i].survey = i < 15 ? 0 : 1;
    }
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.area-minimum", 0), MR_CONFORMS, "the system is 205");
    cr_expect_eq(outcome(&s, "thickness.area-minimum", 1), MR_CONFORMS, "coat 1 is 110");
    cr_expect_eq(outcome(&s, "thickness.area-minimum", 2), MR_DOES_NOT_CONFORM, "coat 2 is 95");
    mr_arena_free(s.arena);
}

Test(thickness, the_newest_complete_survey_counts_and_older_ones_stay) {
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    site_check(&s, "before", 250, 250);
    site_spots(&s, zone, 5, 150, MR_UNIT_UM); /* thin */
    site_spots(&s, zone, 5, 250, MR_UNIT_UM); /* repaired */
    site_spots(&s, zone, 2, 250, MR_UNIT_UM); /* a look at two spots: not complete */
    site_check(&s, "after", 250, 250);
    for (size_t i = 0; i < s.al.readings.n; i++) {
        s.al.readings.v[i].survey = i < 15 ? 0 : i < 30 ? 1 : 2;
        s.al.readings.v[i].stage = i < 15 ? MR_STAGE_AFTER_COAT : MR_STAGE_AFTER_REPAIR;
    }
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.area-minimum", 0), MR_CONFORMS);
    cr_expect_eq(outcome(&s, "history.closed", 0), MR_CONFORMS);
    cr_assert_not_null(site_table(&s, "surveys"));
    cr_expect_eq(site_table(&s, "surveys")->n_rows, 3);
    mr_arena_free(s.arena);
}

Test(thickness, a_thin_survey_without_a_complete_one_after_it_stays_open) {
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    site_spots(&s, zone, 5, 150, MR_UNIT_UM);
    site_spots(&s, zone, 2, 250, MR_UNIT_UM);
    for (size_t i = 15; i < s.al.readings.n; i++)
        s.al.readings.v[i].survey = 1;
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.area-minimum", 0), MR_DOES_NOT_CONFORM, "the complete one counts");
    mr_arena_free(s.arena);
}

Test(thickness, rule_sets_combine_and_the_jobs_own_come_first) {
    struct site s;
    good_survey(&s, LIMITS "rules = restriction-level-3, 80-20, house\n", 250);
    static const char house[] = "[rule]\ntitle = house rule\nsource = contract\n[limit \"house\"]\ntitle = "
                                "House\nvalue = reading\nat least = 130 % of minimum\n";
    struct mr_text_file file = {"rules/house.rule", house, sizeof house - 1};
    MR_PUSH(s.arena, &s.job->texts, file);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.house", 0), MR_DOES_NOT_CONFORM, "250 is below 260");
    cr_expect_eq(outcome(&s, "thickness.share-below-minimum", 0), MR_CONFORMS);
    cr_expect_eq(outcome(&s, "thickness.spot-minimum", 0), MR_CONFORMS);
    mr_arena_free(s.arena);
}

Test(thickness, an_unknown_rule_set_is_not_shown) {
    struct site s;
    good_survey(&s, LIMITS "rules = restriction-level-9\n", 250);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.rules", 0), MR_NOT_SHOWN);
    cr_expect_gt(s.diags.count[MR_ERROR], 0);
    mr_arena_free(s.arena);
}

Test(thickness, a_rule_set_with_an_error_is_refused_whole) {
    static const char *const broken[] = {
        "[rule]\ntitle = a\nsource = b\n[limit \"x\"]\nvalue = reading\nat least = 80 of minimum\n",
        "[rule]\ntitle = a\nsource = b\n[limit \"x\"]\nvalue = reading\nat lest = 80 % of minimum\n",
        "[rule]\ntitle = a\nsource = b\n[limit \"x\"]\nvalue = reading\nat least = 80 % of minimum\nat most = 90 % "
        "of "
        "maximum\n",
        "[rule]\ntitle = a\nsource = b\n",
        "[rule]\ntitle = a\nsource = b\n[limit \"x\"]\nvalue = brick\nat least = 80 % of minimum\n",
        "[rule]\ntitle = a\nsource = b\n[limit \"x\"]\nvalue = reading\nat least = 80 % of minimum\nshare = about 20 "
        "%\n",
        "[rule]\ntitle = a\nsource = b\nsampling = nowhere\n[limit \"x\"]\nvalue = reading\nat least = 80 % of "
        "minimum\n",
        "[rule]\ntitle = a\nsource = b\n[tears]\n[limit \"x\"]\nvalue = reading\nat least = 80 % of minimum\n",
    };
    for (size_t i = 0; i < MR_COUNT(broken); i++) {
        struct site s;
        good_survey(&s, LIMITS "rules = broken\n", 250);
        struct mr_text_file file = {"rules/broken.rule", broken[i], strlen(broken[i])};
        MR_PUSH(s.arena, &s.job->texts, file);
        site_judge(&s);
        cr_expect_eq(outcome(&s, "thickness.rules", 0), MR_NOT_SHOWN, "row %zu", i);
        cr_expect_gt(s.diags.count[MR_ERROR], 0, "row %zu", i);
        mr_arena_free(s.arena);
    }
}

/* Whoever reads "restriction level 3" takes it for the published one. */
Test(thickness, a_built_in_rule_set_keeps_its_name_to_itself) {
    const struct mr_text_file *own = mr_template("rules/restriction-level-3.rule");
    for (int weaker = 0; weaker < 2; weaker++) {
        struct site s;
        good_survey(&s, LIMITS "rules = restriction-level-3\n", 250);
        char *text = mr_strndup(s.arena, own->data, own->size);
        if (weaker)
            memcpy(strstr(text, "at least = 100 %"), "at least = 050 %", 16);
        struct mr_text_file file = {"rules/restriction-level-3.rule", text, own->size};
        MR_PUSH(s.arena, &s.job->texts, file);
        site_judge(&s);
        const struct mr_check *refused = site_find_check(&s, "thickness.rules", 0);
        cr_expect_eq(refused && refused->outcome == MR_NOT_SHOWN, weaker == 1);
        mr_arena_free(s.arena);
    }
}

Test(thickness, an_extent_survey_knows_no_80_or_120_percent) {
    struct site s;
    good_survey(&s, LIMITS, 180);
    static const double north[] = {190, 205, 195, 200, 201}; /* ends with two in a row */
    static const double south[] = {190, 250, 190};           /* does not */
    for (size_t i = 0; i < MR_COUNT(north); i++)
        for (int k = 0; k < 3; k++)
            site_reading(&s, 0, "survey 1 north", "", north[i], MR_UNIT_UM);
    for (size_t i = 0; i < MR_COUNT(south); i++)
        for (int k = 0; k < 3; k++)
            site_reading(&s, 0, "survey 1 south", "", south[i], MR_UNIT_UM);
    site_judge(&s);
    const struct mr_table *t = site_table(&s, "extent-surveys");
    cr_assert_not_null(t);
    cr_assert_eq(t->n_rows, 2);
    cr_expect_eq(t->values.v[5].count, 2, "north: 190 and 195 fail, though above 80 %%");
    cr_expect_eq(t->values.v[6].count, 3, "the third is the last to fail");
    cr_expect_str_eq(t->values.v[7].text, "ended in conforming spots");
    cr_expect_str_eq(t->values.v[16].text, "to be continued");
    cr_expect_eq(outcome(&s, "thickness.extent", 0), MR_NOT_SHOWN);
    cr_expect_eq(s.out.films.v[0].n_readings, 15, "they take no part in the acceptance");
    mr_arena_free(s.arena);
}

Test(thickness, readings_before_the_first_coat_are_no_film) {
    struct site s;
    good_survey(&s, LIMITS, 250);
    for (int i = 0; i < 3; i++) {
        size_t at = site_reading(&s, 0, "", "", 12, MR_UNIT_UM);
        s.al.readings.v[at].stage = MR_STAGE_BEFORE_COAT;
    }
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.spot-minimum", 0), MR_CONFORMS);
    cr_expect_not_null(site_find_finding(&s, "readings-before-coat"));
    mr_arena_free(s.arena);
}

Test(thickness, unusual_readings_are_left_out_only_by_leave_and_listed) {
    for (int leave = 0; leave < 2; leave++) {
        struct site s;
        site_new(&s, leave ? LIMITS "discard unusual readings = yes\nrules = restriction-level-1, plain-limits\n"
                           : LIMITS "rules = restriction-level-1, plain-limits\n");
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        static const char *const spots[] = {"1", "2", "3", "4", "5"};
        for (size_t i = 0; i < 5; i++)
            for (int k = 0; k < 3; k++)
                site_reading(&s, zone, "A", spots[i], 205 + k, MR_UNIT_UM);
        site_reading(&s, zone, "A", "5", 20, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(outcome(&s, "thickness.spot-minimum", 0), leave ? MR_CONFORMS : MR_DOES_NOT_CONFORM);
        cr_expect_eq(outcome(&s, "thickness.reading-minimum", 0), MR_DOES_NOT_CONFORM, "plain limits give no leave");
        const struct mr_table *t = site_table(&s, "thickness-left-out");
        cr_expect_eq(t ? t->n_rows : 0, (size_t)leave);
        cr_expect_eq(site_find_finding(&s, "discarded-readings") != NULL, leave);
        mr_arena_free(s.arena);
    }
}

Test(thickness, doubt_of_the_gauge_is_counted_in) {
    struct site s;
    good_survey(&s,
                "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 300 um\nmaximum = 500 um\ngauge "
                "uncertainty = 6 %\n",
                310);
    site_judge(&s);
    const struct mr_finding *f = site_find_finding(&s, "close-case");
    cr_assert_not_null(f);
    cr_expect_float_eq(f->measured, 85.89, 0.005, "Phi(10 / 9.3): %g", f->measured);
    cr_expect_not_null(strstr(f->next_step, "No number of readings"), "%s", f->next_step);
    mr_arena_free(s.arena);
}

Test(thickness, no_limits_no_verdict) {
    struct site s;
    good_survey(&s, "[job]\nname = x\ntime zone = UTC\n", 250);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.limits", 0), MR_NOT_REQUIRED);
    cr_expect_eq(s.out.films.n, 1, "statistics are shown all the same");
    mr_arena_free(s.arena);
}
