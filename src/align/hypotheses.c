/*
 * hypotheses.c - see hypotheses.h.
 */
#include "align/hypotheses.h"

#include "base/text.h"

#include <stdlib.h>

static const int64_t day_ms = 86400000;

struct mr_coat_events mr_coat_events(struct mr_align_state *st) {
    const struct mr_alignment *a = st->out;
    struct mr_coat_events e = {.onsets = MR_ARRAY(st->arena, mr_spans, a->tracks.n),
                               .pulls = MR_ARRAY(st->arena, mr_spans, a->clocks.n),
                               .tolerance_ms = 2 * mr_align_setting_ms(st, MR_CLOCK_TOLERANCE),
                               .lag_ms = mr_align_setting_ms(st, MR_ONSET_LAG)};
    for (size_t i = 0; i < a->windows.n; i++)
        if (!a->windows.v[i].found && a->windows.v[i].t1_utc_ms > a->windows.v[i].t0_utc_ms)
            MR_PUSH(st->arena, &e.coats, &a->windows.v[i]);
    for (size_t i = 0; i < st->onsets.n; i++) {
        struct mr_span at = {st->onsets.v[i].t_utc_ms, st->onsets.v[i].t_utc_ms};
        MR_PUSH(st->arena, &e.onsets[st->onsets.v[i].track], at);
    }
    for (size_t i = 0; i < a->tracks.n; i++)
        for (size_t k = 0; k < st->track_activity[i].n; k++)
            MR_PUSH(st->arena, &e.pulls[a->tracks.v[i].clock], st->track_activity[i].v[k]);
    for (size_t i = 0; i < a->clocks.n; i++)
        mr_spans_join(&e.pulls[i], mr_align_setting_ms(st, MR_ACTIVE_PAUSE));
    return e;
}

int64_t mr_shown_at(const struct mr_align_state *st, const struct mr_time_reading *reading, int64_t true_utc_ms) {
    if (!reading->swapped)
        return true_utc_ms + reading->offset_ms;
    int64_t local = mr_local_ms(st->out, true_utc_ms), apart = local - true_utc_ms;
    int64_t days = local / day_ms - (local % day_ms < 0);
    int year, month, day;
    mr_civil_from_days(days, &year, &month, &day);
    return day > 12 ? MR_T_NONE : local - days * day_ms + mr_days_from_civil(year, day, month) * day_ms - apart;
}

/* First span that ends at or after a moment. */
static size_t first_span(const mr_spans *spans, int64_t t_ms) {
    size_t lo = 0, hi = spans->n;
    while (lo < hi) {
        size_t mid = lo + (hi - lo) / 2;
        if (spans->v[mid].t1_utc_ms < t_ms)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

double mr_pulled_share(const mr_spans *pulls, int64_t t0_ms, int64_t t1_ms) {
    int64_t under = 0;
    for (size_t i = first_span(pulls, t0_ms); i < pulls->n && pulls->v[i].t0_utc_ms < t1_ms; i++) {
        int64_t from = pulls->v[i].t0_utc_ms > t0_ms ? pulls->v[i].t0_utc_ms : t0_ms,
                to = pulls->v[i].t1_utc_ms < t1_ms ? pulls->v[i].t1_utc_ms : t1_ms;
        under += to - from;
    }
    return t1_ms > t0_ms ? (double)under / (double)(t1_ms - t0_ms) : 0;
}

/* Whether the track has samples in t0..t1. */
static bool covers(const struct mr_track *track, int64_t t0_ms, int64_t t1_ms) {
    size_t i = mr_track_first(track, t0_ms);
    return i < track->n && track->t_utc_ms[i] <= t1_ms;
}

static size_t zone_at(const struct mr_align_state *st, size_t track, const struct mr_window *w) {
    int64_t middle = w->t0_utc_ms + (w->t1_utc_ms - w->t0_utc_ms) / 2;
    return mr_track_zone(st->out, &st->out->tracks.v[track], middle, NULL, NULL);
}

/* The heat of one coat on one track: *seen and *fits are set, never cleared. */
static void look_for_heat(const struct mr_align_state *st, const struct mr_coat_events *e, size_t track,
                          const struct mr_window *w, const struct mr_time_reading *reading, bool *seen, bool *fits) {
    int64_t t0 = mr_shown_at(st, reading, w->t0_utc_ms), t1 = mr_shown_at(st, reading, w->t1_utc_ms);
    if (t0 == MR_T_NONE || t1 == MR_T_NONE || !covers(&st->out->tracks.v[track], t0, t1))
        return;
    *seen = true;
    size_t i = first_span(&e->onsets[track], t0 - e->tolerance_ms);
    *fits |= i < e->onsets[track].n && e->onsets[track].v[i].t0_utc_ms <= t1 + e->lag_ms + e->tolerance_ms;
}

static void look_for_pressure(const struct mr_align_state *st, const struct mr_coat_events *e, size_t track,
                              const struct mr_window *w, const struct mr_time_reading *reading, bool *seen,
                              bool *fits) {
    int64_t t0 = mr_shown_at(st, reading, w->t0_utc_ms), t1 = mr_shown_at(st, reading, w->t1_utc_ms);
    const struct mr_track *t = &st->out->tracks.v[track];
    if (t0 == MR_T_NONE || t1 == MR_T_NONE || !covers(t, t0, t1))
        return;
    *seen = true;
    *fits |= mr_pulled_share(&e->pulls[t->clock], t0, t1) >= 0.5;
}

struct mr_fit_count mr_clock_fits(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock,
                                  const struct mr_time_reading *reading) {
    struct mr_fit_count n = {0};
    for (size_t c = 0; c < e->coats.n; c++) {
        bool seen = false, fits = false;
        for (size_t i = 0; i < st->out->tracks.n && !fits; i++) {
            const struct mr_track *t = &st->out->tracks.v[i];
            if (t->clock != clock)
                continue;
            if (t->meaning == MR_M_LINE_A || t->meaning == MR_M_LINE_B)
                look_for_pressure(st, e, i, e->coats.v[c], reading, &seen, &fits);
            else if (t->meaning == MR_M_PROBE_TEMP && zone_at(st, i, e->coats.v[c]) == e->coats.v[c]->zone)
                look_for_heat(st, e, i, e->coats.v[c], reading, &seen, &fits);
        }
        n.seen += seen;
        n.fits += fits;
    }
    return n;
}

struct mr_fit_count mr_channel_fits(const struct mr_align_state *st, const struct mr_coat_events *e, size_t track,
                                    size_t stands_as) {
    const struct mr_time_reading as_given = {0};
    struct mr_fit_count n = {0};
    for (size_t c = 0; c < e->coats.n; c++) {
        bool seen = false, fits = false;
        if (zone_at(st, stands_as, e->coats.v[c]) == e->coats.v[c]->zone)
            look_for_heat(st, e, track, e->coats.v[c], &as_given, &seen, &fits);
        n.seen += seen;
        n.fits += fits;
    }
    return n;
}

void mr_doubt_files(struct mr_align_state *st, struct mr_clock_doubt *doubt, size_t clock) {
    for (size_t i = 0; i < st->data->files.n; i++)
        if (st->files[i].timing.clock == clock && clock != MR_NONE)
            MR_PUSH(st->arena, &doubt->places, mr_align_place(st, (uint32_t)i, 0));
}

const char *mr_error_words(struct mr_arena *arena, int64_t offset_ms) {
    const char *way = offset_ms > 0 ? "fast" : "slow";
    int64_t ms = offset_ms < 0 ? -offset_ms : offset_ms;
    if (ms % day_ms == 0 && ms / day_ms > 2)
        return mr_printf(arena, "%lld days %s", (long long)(ms / day_ms), way);
    if (ms % 3600000 == 0)
        return mr_printf(arena, "%lld h %s", (long long)(ms / 3600000), way);
    return mr_printf(arena, "%.1f min %s", (double)ms / 60e3, way);
}

bool mr_clock_is_doubted(const struct mr_align_state *st, size_t clock) {
    for (size_t i = 0; i < st->out->doubts.n; i++)
        if (st->out->doubts.v[i].clock == clock && clock != MR_NONE && !st->out->doubts.v[i].applied)
            return true;
    return false;
}
