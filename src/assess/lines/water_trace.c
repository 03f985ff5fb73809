/*
 * water_trace.c - see water_trace.h. A log that begins with relieved lines, longer before the first coat than the
 * longest pause, was on before the work; a test of a minute would stand in it. Less is the lines being charged to
 * spray. Both times are project decisions.
 */
#include "assess/lines/water_trace.h"

#include "assess/finding/finding_text.h"
#include "assess/lines/line_tracks.h"

#include <math.h>
#include <string.h>

static const double LEAST_MS = 60e3;

bool mr_is_water_test(const char *folded) {
    static const char *const tested[] = {"water", "leak", "pressure"}, *const whole[] = {"dichtheit", "druckprobe"};
    for (size_t i = 0; i < MR_COUNT(whole); i++)
        if (strstr(folded, whole[i]) != NULL)
            return true;
    for (size_t i = 0; i < MR_COUNT(tested); i++)
        if (strstr(folded, tested[i]) != NULL && (strstr(folded, "test") != NULL || strstr(folded, "check") != NULL))
            return true;
    return false;
}

/* The first trigger pull of a shift that its windows know; MR_T_NONE. */
static int64_t first_pull_ms(const struct mr_alignment *al, size_t shift) {
    int64_t first = MR_T_NONE;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift == shift && !w->no_start && w->date_error_ms == 0 &&
            (first == MR_T_NONE || w->t0_utc_ms < first))
            first = w->t0_utc_ms;
    }
    return first;
}

static bool has_row(const struct mr_alignment *al, int64_t from_ms, int64_t to_ms) {
    for (size_t i = 0; i < al->actions.n; i++)
        if (al->actions.v[i].log->action == MR_ACTION_WATER_TEST && al->actions.v[i].t0_utc_ms >= from_ms &&
            al->actions.v[i].t0_utc_ms <= to_ms)
            return true;
    return false;
}

bool mr_water_untraced(struct mr_assess *a, size_t shift, mr_evidence_list *list) {
    const struct mr_settings *s = &a->job->settings;
    const int64_t pull = first_pull_ms(a->aligned, shift), gap = mr_setting_ms(s, MR_LINE_GAP);
    const double test = mr_set_num(s, MR_WATER_TEST), near_kpa = test * (1.0 - mr_set_num(s, MR_WATER_TOL) / 100.0);
    if (pull == MR_T_NONE || isnan(test) || !mr_set_flag(s, MR_LINES_REQUIRED))
        return false;
    const int64_t from = pull - mr_setting_ms(s, MR_SHIFT_BREAK);
    const struct mr_line_tracks t = mr_line_tracks_for(a->aligned, MR_NONE, from, pull, gap);
    if (!t.a || !t.b || has_row(a->aligned, from, pull))
        return false;
    size_t i = mr_track_first(t.a, from);
    const int64_t begins = i < t.a->n ? mr_track_ms(t.a, i) : pull;
    if (pull - begins < mr_setting_ms(s, MR_PAUSE_MAX) ||
        !(mr_track_value(t.a, i) < mr_set_num(s, MR_RELIEVED_BELOW)))
        return false;
    double tested_ms = 0.0;
    for (; i + 1 < t.a->n && mr_track_ms(t.a, i) < pull; i++) {
        const int64_t step = mr_track_ms(t.a, i + 1) - mr_track_ms(t.a, i);
        if (step > gap)
            return false; /* the test may lie in the gap */
        if (mr_track_value(t.a, i) >= near_kpa && mr_track_at(t.b, mr_track_ms(t.a, i), gap, NULL) >= near_kpa)
            tested_ms += (double)step;
    }
    if (tested_ms >= LEAST_MS)
        return false;
    mr_evidence_track(a, list, t.a, begins, pull, "the lines before the first coat");
    return true;
}
