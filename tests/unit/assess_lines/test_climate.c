/* test_climate.c - limits over lead, window and cure; gaps; dew point logged and computed; evidence. */
#include "hand.h"
#include "numeric/dew_point.h"

#include <stdio.h>

#include "assess/climate/sweep.h"

static const char job_si[] = "[climate]\ndew-point spread minimum = 3 K\nhumidity maximum = 85 %\n";
static const double end = NAN;

/* Dry bulb 20 °C, 60 %: dew point 12.00 °C by the project's formula. One sample a minute over an hour and a half
 * around the window. */
static void dry_day(struct hand *f, double steel_c) {
    const double air[] = {20}, rh[] = {60}, steel[] = {steel_c};
    hand_track(f, "H1", MR_M_AIR, -3600, 60, 181, hand_flat, air);
    hand_track(f, "H1", MR_M_RH, -3600, 60, 181, hand_flat, rh);
    hand_track(f, "H1", MR_M_STEEL, -3600, 60, 181, hand_flat, steel);
}

static struct hand *one_zone(const char *job_text) {
    struct hand *f = hand_new(job_text);
    hand_zone(f, "Deck 1", 30, 1);
    hand_shift(f, "2026-05-11", 0, 1800);
    hand_window(f, 0, 1, 0, 1800);
    return f;
}

Test(climate, a_fit_day_conforms_and_says_how_much_of_it_was_seen) {
    struct hand *f = one_zone(job_si);
    dry_day(f, 18);
    mr_assess_climate(&f->a);
    const struct mr_check *c = hand_check(f, "climate.spread", 0, 1);
    expect_outcome(c, MR_CONFORMS);
    cr_expect(fabs(c->measured - (18 - mr_dew_point_c(20, 60))) < 1e-9);
    cr_expect_eq(c->unit, MR_UNIT_RISE_K);
    cr_expect_str_eq(c->source, "job file, line 2");
    expect_outcome(hand_check(f, "climate.humidity", 0, 1), MR_CONFORMS);
    cr_expect_eq(f->out.findings.n, 0);
    const struct mr_table *t = hand_table(f, "climate");
    cr_expect_float_eq(hand_cell(t, 0, "spread_coverage")->number, 100, 1e-9);
    cr_expect_str_eq(hand_cell(t, 0, "dew_source")->text, "computed");
    cr_expect_eq(c->evidence.v[0].place.line, 62, "first sample of the window");
    cr_expect_eq(c->evidence.v[0].place.line_end, 92);
    hand_free(f);
}

Test(climate, a_limit_in_degf_is_judged_in_degf_and_not_as_three_kelvin) {
    static const struct {
        const char *job;
        double spread_f;
        enum mr_outcome want;
    } rows[] = {
        {"[climate]\ndew-point spread minimum = 5 degF\n", 5.0, MR_CONFORMS},
        {"[climate]\ndew-point spread minimum = 5 degF\n", 4.99, MR_DOES_NOT_CONFORM},
        {"[climate]\ndew-point spread minimum = 3 K\n", 5.0, MR_DOES_NOT_CONFORM},
        {"[climate]\ndew-point spread minimum = 3 K\n", 5.4, MR_CONFORMS},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = one_zone(rows[i].job);
        const double dew[] = {(50 - 32) / 1.8}, steel[] = {(50 + rows[i].spread_f - 32) / 1.8};
        hand_track(f, "H1", MR_M_DEW, -600, 60, 60, hand_flat, dew);
        hand_track(f, "H1", MR_M_STEEL, -600, 60, 60, hand_flat, steel);
        mr_assess_climate(&f->a);
        expect_outcome(hand_check(f, "climate.spread", 0, 1), rows[i].want);
        hand_free(f);
    }
}

Test(climate, time_out_of_limits_is_counted_in_minutes_with_the_lines_that_show_it) {
    struct hand *f = one_zone(job_si);
    dry_day(f, 25);
    /* Humidity from 60 to 90 % within the minute before 600 s, back within the minute before 1200 s. */
    const double rh[] = {60, 600, 1200, 90, end, end, end};
    f->al.tracks.v[1].value = f->al.tracks.v[hand_track(f, "H1", MR_M_RH, -3600, 60, 181, hand_steps, rh)].value;
    f->al.tracks.n--;
    mr_assess_climate(&f->a);
    const struct mr_check *c = hand_check(f, "climate.humidity", 0, 1);
    expect_outcome(c, MR_DOES_NOT_CONFORM);
    cr_expect_float_eq(c->measured, 90, 1e-12);
    /* 85 % lies at 25/30 of the rising minute, and at 5/30 of the falling one, which begins at 1140 s: out from 590
     * to 1150 s. */
    const struct mr_finding *found = hand_finding(f, "humidity", 0);
    cr_assert_not_null(found);
    cr_expect_eq(found->severity, MR_ERROR);
    cr_expect_eq(found->t0_utc_ms, hand_ms(590));
    cr_expect_eq(found->t1_utc_ms, hand_ms(1150));
    cr_expect_float_eq(hand_cell(hand_table(f, "climate"), 0, "humidity_out")->number, 560.0 / 60, 1e-9);
    cr_expect_eq(found->evidence.v[0].place.line, 71, "the sample at 540 s, before the crossing");
    cr_expect_eq(found->evidence.v[0].place.line_end, 82, "the sample at 1200 s, after it");
    cr_expect_eq(f->out.timeline.n, 1);
    hand_free(f);
}

Test(climate, tolerated_time_out_conforms_up_to_its_limit) {
    static const struct {
        const char *job;
        enum mr_outcome want;
    } rows[] = {{"[climate]\ndew-point spread minimum = none\ntime out maximum = 10 min\n", MR_CONFORMS},
                {"[climate]\ndew-point spread minimum = none\ntime out maximum = 560 s\n", MR_CONFORMS},
                {"[climate]\ndew-point spread minimum = none\ntime out maximum = 9 min\n", MR_DOES_NOT_CONFORM}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = one_zone(rows[i].job);
        const double rh[] = {60, 600, 1200, 90, end, end, end}; /* out for 560 s */
        hand_track(f, "H1", MR_M_RH, -3600, 60, 181, hand_steps, rh);
        mr_assess_climate(&f->a);
        expect_outcome(hand_check(f, "climate.humidity", 0, 1), rows[i].want);
        cr_expect_null(hand_check(f, "climate.spread", 0, 1), "a limit that is not set is not judged");
        hand_free(f);
    }
}

Test(climate, lead_and_cure_times_are_judged_too) {
    struct hand *f = one_zone(
        "[climate]\nhumidity maximum = 85 %\ndew-point spread minimum = none\nlead time = 30 min\ncure time = 1 h\n");
    const double rh[] = {60, 3000, 3180, 88, end, end, end};
    hand_track(f, "H1", MR_M_RH, -3600, 60, 200, hand_steps, rh);
    mr_assess_climate(&f->a);
    const struct mr_check *c = hand_check(f, "climate.humidity", 0, 1);
    expect_outcome(c, MR_DOES_NOT_CONFORM);
    cr_expect_not_null(strstr(c->detail, "after the window"), "%s", c->detail);
    hand_free(f);
}

Test(climate, gaps_are_bridged_up_to_the_greatest_gap_and_never_beyond) {
    static const struct {
        double gap_s;
        enum mr_outcome want;
    } rows[] = {{14 * 60, MR_CONFORMS}, {15 * 60, MR_CONFORMS}, {16 * 60, MR_NOT_SHOWN}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = one_zone("[climate]\ndew-point spread minimum = none\n");
        /* Missing from 60 s after the start until gap_s after the last sample before: those rows have no value. */
        const double rh[] = {60, 60, rows[i].gap_s, NAN, end, end, end};
        hand_track(f, "H1", MR_M_RH, -3600, 60, 181, hand_steps, rh);
        mr_assess_climate(&f->a);
        const struct mr_check *c = hand_check(f, "climate.humidity", 0, 1);
        expect_outcome(c, rows[i].want);
        cr_expect_eq(hand_count(f, "climate-coverage"), rows[i].want == MR_NOT_SHOWN ? 1 : 0, "gap of %g s",
                     rows[i].gap_s);
        if (rows[i].want == MR_NOT_SHOWN)
            cr_expect_float_eq(hand_finding(f, "climate-coverage", 0)->measured, 100.0 * (1800 - 960) / 1800, 1e-6);
        hand_free(f);
    }
}

/* A log that goes on every minute and has nothing for most of a coat was off or in a fault then; a slow one was not.
 * The window lasts ten minutes, all gaps are shorter than the greatest. */
Test(climate, a_record_that_falls_silent_for_most_of_a_coat_does_not_show_it) {
    static const struct {
        double from_s, to_s; /* without a value */
        int step_s;
        bool second; /* another hygrometer goes on */
        enum mr_outcome want;
    } rows[] = {{60, 540, 60, false, MR_NOT_SHOWN},     {-60, 660, 60, false, MR_NOT_SHOWN},
                {60, 300, 60, false, MR_CONFORMS},      {-300, 60, 60, false, MR_CONFORMS},
                {60, 540, 60, true, MR_CONFORMS},       {-3600, -3600, 600, false, MR_CONFORMS},
                {-3600, -3600, 60, false, MR_CONFORMS}, {10, 590, 300, false, MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = hand_new(job_si);
        hand_zone(f, "Deck 1", 30, 1);
        hand_shift(f, "2026-05-11", 0, 600);
        hand_window(f, 0, 1, 0, 600);
        const double air[] = {20}, steel[] = {25}, flat[] = {60},
                     rh[] = {60, rows[i].from_s, rows[i].to_s, NAN, end, end, end};
        const size_t n = (size_t)(7200 / rows[i].step_s) + 1;
        hand_track(f, "H1", MR_M_AIR, -3600, rows[i].step_s, n, hand_flat, air);
        hand_track(f, "H1", MR_M_STEEL, -3600, rows[i].step_s, n, hand_flat, steel);
        hand_track(f, "H1", MR_M_RH, -3600, rows[i].step_s, n, hand_steps, rh);
        if (rows[i].second)
            hand_track(f, "H2", MR_M_RH, -3600, 60, 121, hand_flat, flat);
        mr_assess_climate(&f->a);
        expect_outcome(hand_check(f, "climate.humidity", 0, 1), rows[i].want);
        expect_outcome(hand_check(f, "climate.spread", 0, 1), rows[i].want);
        cr_expect_eq(hand_count(f, "climate-lost"), rows[i].want == MR_NOT_SHOWN ? 1 : 0, "row %zu", i);
        hand_free(f);
    }
}

Test(climate, a_violation_does_not_conform_however_little_is_covered) {
    struct hand *f = one_zone("[climate]\ndew-point spread minimum = none\n");
    const double rh[] = {95};
    hand_track(f, "H1", MR_M_RH, 300, 60, 3, hand_flat, rh);
    mr_assess_climate(&f->a);
    expect_outcome(hand_check(f, "climate.humidity", 0, 1), MR_DOES_NOT_CONFORM);
    cr_expect_eq(hand_count(f, "climate-coverage"), 1);
    hand_free(f);
}

Test(climate, without_data_nothing_is_shown_and_one_finding_says_so) {
    struct hand *f = one_zone(job_si);
    mr_assess_climate(&f->a);
    expect_outcome(hand_check(f, "climate.spread", 0, 1), MR_NOT_SHOWN);
    expect_outcome(hand_check(f, "climate.humidity", 0, 1), MR_NOT_SHOWN);
    cr_expect_eq(f->out.findings.n, 1);
    cr_expect_eq(f->out.findings.v[0].severity, MR_WARNING);
    hand_free(f);
}

Test(climate, a_required_coat_without_a_window_is_not_shown) {
    struct hand *f = hand_new(job_si);
    hand_zone(f, "Deck 1", 30, 2);
    hand_shift(f, "s", 0, 1800);
    hand_window(f, 0, 1, 0, 1800);
    dry_day(f, 18);
    mr_assess_climate(&f->a);
    expect_outcome(hand_check(f, "climate.window", 0, 2), MR_NOT_SHOWN);
    cr_expect_null(hand_check(f, "climate.window", 0, 1));
    hand_free(f);
}

Test(climate, not_required_is_said_once_per_zone) {
    struct hand *f = one_zone("[climate]\nrequired = no\n");
    mr_assess_climate(&f->a);
    cr_expect_eq(f->out.checks.n, 1);
    expect_outcome(hand_check(f, "climate", 0, 0), MR_NOT_REQUIRED);
    hand_free(f);
}

Test(climate, a_logged_dew_point_that_disagrees_with_the_computed_one_is_found) {
    struct hand *f = one_zone(job_si);
    dry_day(f, 18);
    const double dew[] = {mr_dew_point_c(20, 60) - 2.5};
    hand_track(f, "H1", MR_M_DEW, -3600, 60, 181, hand_flat, dew);
    mr_assess_climate(&f->a);
    const struct mr_finding *found = hand_finding(f, "dew-point-differs", 0);
    cr_assert_not_null(found);
    cr_expect_float_eq(found->measured, 2.5, 1e-9);
    cr_expect_str_eq(hand_cell(hand_table(f, "climate"), 0, "dew_source")->text, "logged");
    hand_free(f);
}

Test(climate, bare_steel_may_not_be_too_hot_but_the_reaction_may_warm_it) {
    struct hand *f = one_zone("[climate]\nsteel maximum = 40 degC\nlead time = 5 min\ndew-point spread minimum = "
                              "none\nhumidity maximum = none\n");
    const double hot_later[] = {30, 60, 1800, 46, end, end, end};
    hand_track(f, "H1", MR_M_STEEL, -600, 10, 400, hand_steps, hot_later);
    mr_assess_climate(&f->a);
    expect_outcome(hand_check(f, "climate.steel-maximum", 0, 1), MR_CONFORMS);
    hand_free(f);
}

Test(climate, a_probe_speaks_for_a_zone_only_while_it_stays_there) {
    struct hand *f =
        one_zone("[climate]\nsteel minimum = 10 degC\ndew-point spread minimum = none\nhumidity maximum = "
                 "none\ncure time = 10 min\n");
    /* The probe leaves for a cold zone five minutes after the window. */
    const double moved[] = {20, 2100, 9999, 2, end, end, end};
    size_t k = hand_track(f, "T1", MR_M_PROBE_TEMP, -600, 10, 400, hand_steps, moved);
    struct mr_stay here = {0, false, hand_ms(-600), hand_ms(2090), MR_ROUTE_ASSIGNED},
                   there = {1, false, hand_ms(2100), hand_ms(9999), MR_ROUTE_ASSIGNED};
    hand_zone(f, "Deck 2", 30, 1);
    MR_PUSH(f->arena, &f->al.tracks.v[k].stays, here);
    MR_PUSH(f->arena, &f->al.tracks.v[k].stays, there);
    mr_assess_climate(&f->a);
    const struct mr_check *c = hand_check(f, "climate.steel-minimum", 0, 1);
    expect_outcome(c, MR_NOT_SHOWN);
    cr_expect_float_eq(c->measured, 20, 1e-12, "the other zone's 2 degC are not this zone's");
    hand_free(f);
}

Test(climate, several_hygrometers_the_one_of_the_zone_serves) {
    struct hand *f = one_zone("[climate]\ndew-point spread minimum = none\n");
    const double wet[] = {97}, dry[] = {50};
    size_t general = hand_track(f, "H0", MR_M_RH, -3600, 60, 181, hand_flat, wet);
    size_t own = hand_track(f, "H1", MR_M_RH, -3600, 60, 181, hand_flat, dry);
    struct mr_stay stay = {0, false, INT64_MIN, INT64_MAX, MR_ROUTE_ASSIGNED};
    MR_PUSH(f->arena, &f->al.tracks.v[own].stays, stay);
    (void)general;
    mr_assess_climate(&f->a);
    const struct mr_check *c = hand_check(f, "climate.humidity", 0, 1);
    expect_outcome(c, MR_NOT_SHOWN); /* nobody states where the damp one stood */
    cr_expect_float_eq(c->measured, 50, 1e-12);
    cr_expect_str_eq(hand_cell(hand_table(f, "climate"), 0, "air_instrument")->text, "H1");
    hand_free(f);
}

/* Humidity of 60 % with one excursion to 90 %, sampled every step seconds over the window; the check. */
static struct hand *excursion(const char *more, double step_s, double from_s, double to_s) {
    struct hand *f = one_zone(more);
    const double rh[] = {60, from_s, to_s, 90, end, end, end};
    hand_track(f, "H1", MR_M_RH, -600, step_s, (size_t)(3000 / step_s), hand_steps, rh);
    mr_assess_climate(&f->a);
    return f;
}

Test(climate, an_excursion_too_short_for_the_sensor_or_of_one_sample_is_kept_apart) {
    static const char job[] = "[climate]\nhumidity maximum = 85 %\ndew-point spread minimum = none\n";
    static const struct {
        double step_s, from_s, to_s;
        enum mr_outcome want;
        size_t brief;
    } rows[] = {
        {1, 600, 630, MR_CONFORMS, 1},          /* 30 s in the record of every second: shorter than the response */
        {1, 600, 700, MR_DOES_NOT_CONFORM, 0},  /* 100 s */
        {60, 600, 640, MR_NOT_SHOWN, 1},        /* one sample a minute apart from its fellows: up to two minutes */
        {60, 600, 760, MR_DOES_NOT_CONFORM, 0}, /* three samples */
        {600, 600, 700, MR_NOT_SHOWN, 1},       /* one sample in ten minutes condemns nothing, and clears nothing */
        {1, -10, 30, MR_NOT_SHOWN, 1},          /* runs in from before the judged time */
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = excursion(job, rows[i].step_s, rows[i].from_s, rows[i].to_s);
        expect_outcome(hand_check(f, "climate.humidity", 0, 1), rows[i].want);
        cr_expect_eq(hand_count(f, "brief-excursion"), rows[i].brief, "row %zu", i);
        cr_expect_eq(hand_count(f, "humidity"), rows[i].want == MR_DOES_NOT_CONFORM, "row %zu", i);
        hand_free(f);
    }
}

Test(climate, brief_excursions_that_keep_coming_back_clear_nothing) {
    struct hand *f = one_zone("[climate]\nhumidity maximum = 85 %\ndew-point spread minimum = none\n");
    const double rh[] = {60, 100, 130, 90, 300, 330, 90, 500, 530, 90, end, end, end};
    hand_track(f, "H1", MR_M_RH, -600, 1, 3000, hand_steps, rh);
    mr_assess_climate(&f->a);
    expect_outcome(hand_check(f, "climate.humidity", 0, 1), MR_NOT_SHOWN);
    hand_free(f);
}

/* JCGM 106:2012: a value nearer to its limit than its expanded uncertainty is neither accepted nor rejected. */
Test(climate, limits_are_judged_with_the_sensors_uncertainty_where_it_is_given) {
    static const struct {
        double rh_pct;
        const char *uncertainty;
        enum mr_outcome want;
    } rows[] = {{84, "", MR_CONFORMS},         {84, "2 %", MR_NOT_SHOWN}, {82.9, "2 %", MR_CONFORMS},
                {86, "", MR_DOES_NOT_CONFORM}, {86, "2 %", MR_NOT_SHOWN}, {87.1, "2 %", MR_DOES_NOT_CONFORM}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        char job[160];
        snprintf(job, sizeof job, "[climate]\nhumidity maximum = 85 %%\ndew-point spread minimum = none\n%s%s\n",
                 *rows[i].uncertainty ? "humidity uncertainty = " : "", rows[i].uncertainty);
        struct hand *f = one_zone(job);
        hand_track(f, "H1", MR_M_RH, -600, 60, 60, hand_flat, &rows[i].rh_pct);
        mr_assess_climate(&f->a);
        expect_outcome(hand_check(f, "climate.humidity", 0, 1), rows[i].want);
        hand_free(f);
    }
}

Test(climate, a_longer_cure_time_never_softens_a_missed_limit) {
    /* H1 sees the zone's humid hour and breaks off; H2 covers the longer time and sees none of it. */
    static const char *const cure[] = {"10 min", "1 h", "5 h", "20 h"};
    for (size_t i = 0; i < MR_COUNT(cure); i++) {
        char job[160];
        snprintf(job, sizeof job,
                 "[climate]\nhumidity maximum = 85 %%\ndew-point spread minimum = none\ncure time = %s\n", cure[i]);
        struct hand *f = one_zone(job);
        const double humid[] = {90}, dry[] = {60};
        hand_track(f, "H1", MR_M_RH, -60, 60, 45, hand_flat, humid);
        hand_track(f, "H2", MR_M_RH, 1500, 60, 1300, hand_flat, dry);
        mr_assess_climate(&f->a);
        expect_outcome(hand_check(f, "climate.humidity", 0, 1), MR_DOES_NOT_CONFORM);
        hand_free(f);
    }
}
