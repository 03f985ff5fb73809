/*
 * water_test.c - a water test that the spray log mentions, held against the pressures of that time.
 */
#include "assess/lines/lines.h"

#include <math.h>

/* Highest pressure that both lines reached in t0..t1, kPa; NaN without data. */
static double reached_kpa(const struct mr_line_tracks *tracks, int64_t t0_ms, int64_t t1_ms) {
    const struct mr_track *both[2] = {tracks->a, tracks->b};
    double least = MR_NAN;
    for (size_t k = 0; k < 2; k++) {
        double top = MR_NAN;
        for (size_t i = both[k] == NULL ? 0 : mr_track_first(both[k], t0_ms);
             both[k] != NULL && i < both[k]->n && mr_track_ms(both[k], i) <= t1_ms; i++)
            top = isnan(top) ? mr_track_value(both[k], i) : fmax(top, mr_track_value(both[k], i));
        if (isnan(top))
            return MR_NAN;
        least = isnan(least) ? top : fmin(least, top);
    }
    return least;
}

/* Judged where one is logged; whether one is asked for at all is the shift record's business. */
static void judge_water_test(struct mr_assess *a, const struct mr_action_at *at) {
    const struct mr_settings *settings = &a->job->settings;
    struct mr_limit test = mr_limit_of(a, settings, MR_WATER_TEST);
    if (!test.set)
        return;
    double near_kpa = mr_set_num(settings, MR_WATER_TEST) * (1.0 - mr_set_num(settings, MR_WATER_TOL) / 100.0);
    int64_t minute = 60000, gap = mr_setting_ms(settings, MR_LINE_GAP);
    struct mr_line_tracks tracks =
        mr_line_tracks_for(a->aligned, MR_NONE, at->t0_utc_ms - minute, at->t1_utc_ms + minute, gap);
    double reached = reached_kpa(&tracks, at->t0_utc_ms - minute, at->t1_utc_ms + minute);
    struct mr_check c = mr_blank_check("lines.water-test", "water test before the shift", "lines", MR_NONE, 0);
    c.outcome = isnan(reached) || reached >= near_kpa ? MR_CONFORMS : MR_DOES_NOT_CONFORM;
    c.unit = test.unit;
    c.decimals = test.decimals;
    c.measured = mr_from_canonical(test.unit, reached);
    c.limit_low = mr_from_canonical(test.unit, near_kpa);
    c.rule = mr_printf(a->arena, "the lines hold water near %s before the shift",
                       mr_value_text(a, test.written, test.unit, -1));
    c.source = test.source;
    c.detail =
        isnan(reached)
            ? mr_printf(a->arena, "Logged at %s; no pressures to confirm it.", mr_moment_text(a, at->t0_utc_ms))
            : mr_printf(a->arena, "Logged at %s; both lines reached %s.", mr_moment_text(a, at->t0_utc_ms),
                        mr_value_text(a, c.measured, c.unit, c.decimals));
    mr_add_evidence(a, &c.evidence, at->place, "water test as logged");
    mr_evidence_track(a, &c.evidence, tracks.a, at->t0_utc_ms - minute, at->t1_utc_ms + minute,
                      "pressures during the test");
    mr_add_check(a, &c);
    if (c.outcome == MR_CONFORMS)
        return;
    struct mr_finding f = mr_finding_of(&c, "water-test", MR_ERROR);
    f.t0_utc_ms = at->t0_utc_ms;
    f.t1_utc_ms = at->t1_utc_ms;
    f.what = mr_printf(a->arena, "A water test is logged for %s, but the lines reached only %s.",
                       mr_moment_text(a, f.t0_utc_ms), mr_value_text(a, c.measured, c.unit, c.decimals));
    f.next_step = "Find out how the test was done, and inspect hoses and fittings.";
    f.caution = mr_caution_relieve;
    mr_add_finding(a, &f);
}

void mr_assess_water_tests(struct mr_assess *a) {
    if (!mr_set_flag(&a->job->settings, MR_LINES_REQUIRED))
        return;
    for (size_t i = 0; i < a->aligned->actions.n; i++)
        if (a->aligned->actions.v[i].log->action == MR_ACTION_WATER_TEST)
            judge_water_test(a, &a->aligned->actions.v[i]);
}
