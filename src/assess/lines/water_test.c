/*
 * water_test.c - a water test that the spray log mentions, held against the pressures of that time: the lines reach
 * the pressure, and hold it. A valve relieves water in seconds; what sinks for longer leaks. That is a project
 * decision.
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

enum { HOLD_MS = 30000 }; /* least time to hold; the longest that a valve takes */

/* How the lower of both lines behaved once it was near the test's pressure. */
struct water_hold {
    int64_t from_ms, to_ms;     /* the longest stretch near the pressure */
    double first_kpa, last_kpa; /* mean of its first and its last quarter */
    int64_t sinks_ms;           /* how long it then took to half of that pressure, or as far as it was logged */
};

static double lower_of(const struct mr_line_tracks *t, size_t i, int64_t gap_ms) {
    return fmin(mr_track_value(t->a, i), mr_track_at(t->b, mr_track_ms(t->a, i), gap_ms, NULL));
}

static double mean_over(const struct mr_line_tracks *t, int64_t from_ms, int64_t to_ms, int64_t gap_ms) {
    double sum = 0.0;
    size_t n = 0;
    for (size_t i = mr_track_first(t->a, from_ms); i < t->a->n && mr_track_ms(t->a, i) <= to_ms; i++)
        if (!isnan(lower_of(t, i, gap_ms))) {
            sum += lower_of(t, i, gap_ms);
            n++;
        }
    return n ? sum / (double)n : MR_NAN;
}

static struct water_hold hold_of(const struct mr_line_tracks *t, int64_t t0_ms, int64_t t1_ms, double near_kpa,
                                 int64_t gap_ms) {
    struct water_hold h = {0, 0, MR_NAN, MR_NAN, 0};
    int64_t from = MR_T_NONE, sinks_to = MR_T_NONE;
    bool sinking = false;
    for (size_t i = mr_track_first(t->a, t0_ms); i < t->a->n && mr_track_ms(t->a, i) <= t1_ms; i++) {
        const int64_t at = mr_track_ms(t->a, i);
        const double kpa = lower_of(t, i, gap_ms);
        if (kpa >= near_kpa) {
            from = from == MR_T_NONE ? at : from;
            if (at - from >= h.to_ms - h.from_ms) {
                h.from_ms = from;
                h.to_ms = sinks_to = at;
                sinking = true;
            }
            continue;
        }
        from = MR_T_NONE;
        sinking = sinking && kpa >= near_kpa / 2.0;
        sinks_to = sinking ? at : sinks_to;
    }
    const int64_t quarter = (h.to_ms - h.from_ms) / 4;
    h.first_kpa = mean_over(t, h.from_ms, h.from_ms + quarter, gap_ms);
    h.last_kpa = mean_over(t, h.to_ms - quarter, h.to_ms, gap_ms);
    h.sinks_ms = sinks_to == MR_T_NONE ? 0 : sinks_to - h.to_ms;
    return h;
}

/* What speaks against the test once the pressure was reached; NULL where nothing does. */
static const char *not_held(struct mr_assess *a, const struct water_hold *h, enum mr_unit unit, int decimals,
                            double fall_share, enum mr_outcome *out) {
    const double least_kpa = (1.0 - fall_share) * h->first_kpa;
    const bool fell = h->last_kpa < least_kpa;
    const bool sank = h->sinks_ms > HOLD_MS;
    *out = fell || sank ? MR_DOES_NOT_CONFORM : MR_NOT_SHOWN;
    if (fell)
        return mr_printf(a->arena, "fell from %s to %s in %s",
                         mr_value_text(a, mr_from_canonical(unit, h->first_kpa), unit, decimals),
                         mr_value_text(a, mr_from_canonical(unit, h->last_kpa), unit, decimals),
                         mr_ms_text(a, (double)(h->to_ms - h->from_ms)));
    if (sank)
        return mr_printf(a->arena, "held it for %s and then sank for %s",
                         mr_ms_text(a, (double)(h->to_ms - h->from_ms)), mr_ms_text(a, (double)h->sinks_ms));
    if (h->to_ms - h->from_ms < HOLD_MS)
        return mr_printf(a->arena, "held it for only %s", mr_ms_text(a, (double)(h->to_ms - h->from_ms)));
    return NULL;
}

static void find_failed(struct mr_assess *a, const struct mr_check *c, const struct mr_action_at *at,
                        const char *what) {
    struct mr_finding f = mr_finding_of(c, "water-test", c->outcome == MR_DOES_NOT_CONFORM ? MR_ERROR : MR_WARNING);
    f.t0_utc_ms = at->t0_utc_ms;
    f.t1_utc_ms = at->t1_utc_ms;
    f.what =
        mr_printf(a->arena, "A water test is logged for %s, but the lines %s.", mr_moment_text(a, f.t0_utc_ms), what);
    f.next_step = "Find out how the test was done, and inspect hoses and fittings.";
    f.caution = mr_caution_relieve;
    mr_add_finding(a, &f);
}

/* Judged where one is logged; whether one is asked for at all is the shift record's business. */
static void judge_water_test(struct mr_assess *a, const struct mr_action_at *at) {
    const struct mr_settings *settings = &a->job->settings;
    struct mr_limit test = mr_limit_of(a, settings, MR_WATER_TEST);
    if (!test.set)
        return;
    const double tolerance = mr_set_num(settings, MR_WATER_TOL) / 100.0;
    double near_kpa = mr_set_num(settings, MR_WATER_TEST) * (1.0 - tolerance);
    int64_t minute = 60000, gap = mr_setting_ms(settings, MR_LINE_GAP), t0 = at->t0_utc_ms - minute,
            t1 = at->t1_utc_ms + minute;
    struct mr_line_tracks tracks = mr_line_tracks_for(a->aligned, MR_NONE, t0, t1, gap);
    double reached = reached_kpa(&tracks, t0, t1);
    struct mr_check c = mr_blank_check("lines.water-test", "water test before the shift", "lines", MR_NONE, 0);
    c.outcome = isnan(reached) || reached >= near_kpa ? MR_CONFORMS : MR_DOES_NOT_CONFORM;
    c.unit = test.unit;
    c.decimals = test.decimals;
    c.measured = mr_from_canonical(test.unit, reached);
    c.limit_low = mr_from_canonical(test.unit, near_kpa);
    c.rule = mr_printf(a->arena, "the lines hold water near %s before the shift",
                       mr_value_text(a, test.written, test.unit, -1));
    c.source = test.source;
    const char *top = mr_value_text(a, c.measured, c.unit, c.decimals), *against = NULL;
    enum mr_outcome worse = MR_CONFORMS;
    if (reached >= near_kpa) {
        const struct water_hold held = hold_of(&tracks, t0, t1, near_kpa, gap);
        against = not_held(a, &held, c.unit, c.decimals, tolerance, &worse);
        c.outcome = against ? worse : c.outcome;
    }
    if (at->log->failed) {
        against = "did not hold it, as the log says";
        c.outcome = MR_DOES_NOT_CONFORM;
    }
    c.detail =
        at->log->failed
            ? mr_printf(a->arena, "Logged at %s as \"%s\".", mr_moment_text(a, at->t0_utc_ms), at->log->action_text)
        : isnan(reached)
            ? mr_printf(a->arena, "Logged at %s; no pressures to confirm it.", mr_moment_text(a, at->t0_utc_ms))
            : mr_printf(a->arena, "Logged at %s; both lines reached %s%s%s.", mr_moment_text(a, at->t0_utc_ms), top,
                        against ? ", " : "", against ? against : "");
    mr_add_evidence(a, &c.evidence, at->place, "water test as logged");
    mr_evidence_track(a, &c.evidence, tracks.a, t0, t1, "pressures during the test");
    mr_add_check(a, &c);
    if (against || reached < near_kpa)
        find_failed(a, &c, at, against ? against : mr_printf(a->arena, "reached only %s", top));
}

void mr_assess_water_tests(struct mr_assess *a) {
    if (!mr_set_flag(&a->job->settings, MR_LINES_REQUIRED))
        return;
    for (size_t i = 0; i < a->aligned->actions.n; i++)
        if (a->aligned->actions.v[i].log->action == MR_ACTION_WATER_TEST)
            judge_water_test(a, &a->aligned->actions.v[i]);
}
