/*
 * hypotheses.c - see hypotheses.h.
 */
#include "align/hypotheses.h"

#include "base/text.h"

#include <stdlib.h>

static const int64_t least_pull_ms = 60000; /* shorter pulls are checks of the mix */

struct mr_event_mark {
    uint32_t turn, *onset,
        *pull;              /* turn: the count that runs; the others: in which an event was last accounted for */
    size_t *onset0, *pull0; /* first of a track, of a clock */
};

/* One place in the marks for every event. */
static struct mr_event_mark *marks_of(struct mr_align_state *st, const struct mr_coat_events *e) {
    const struct mr_alignment *a = st->out;
    struct mr_event_mark *m = MR_NEW(st->arena, struct mr_event_mark);
    size_t onsets = 0, pulls = 0;
    m->onset0 = MR_ARRAY(st->arena, size_t, a->tracks.n);
    m->pull0 = MR_ARRAY(st->arena, size_t, a->clocks.n);
    for (size_t i = 0; i < a->tracks.n; onsets += e->onsets[i++].n)
        m->onset0[i] = onsets;
    for (size_t i = 0; i < a->clocks.n; pulls += e->pulls[i++].n)
        m->pull0[i] = pulls;
    m->onset = MR_ARRAY(st->arena, uint32_t, onsets);
    m->pull = MR_ARRAY(st->arena, uint32_t, pulls);
    return m;
}

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
    e.marks = marks_of(st, &e);
    return e;
}

const struct mr_tzone *mr_clock_zone(const struct mr_align_state *st, size_t clock) {
    for (size_t i = 0; i < st->data->files.n && clock != MR_NONE; i++)
        if (st->files[i].timing.clock == clock)
            return st->files[i].timing.zone;
    return NULL;
}

/* The date with day and month exchanged, the time of day kept; MR_T_NONE where no such date exists. */
static int64_t exchanged_date(int64_t local_ms) {
    int64_t days = local_ms / MR_DAY_MS - (local_ms % MR_DAY_MS < 0);
    int year, month, day;
    mr_civil_from_days(days, &year, &month, &day);
    return day > 12 ? MR_T_NONE : local_ms + (mr_days_from_civil(year, day, month) - days) * MR_DAY_MS;
}

/* A wrong date keeps the hour that the clock shows, though the two dates may lie on either side of the change
 * between summer and winter time. */
int64_t mr_shown_at(const struct mr_align_state *st, const struct mr_time_reading *reading, int64_t true_utc_ms) {
    if (!reading->swapped && (reading->offset_ms % MR_DAY_MS != 0 || !reading->zone))
        return true_utc_ms + reading->offset_ms;
    int64_t apart =
        reading->zone ? mr_tz_offset(reading->zone, true_utc_ms) : mr_local_ms(st->out, true_utc_ms) - true_utc_ms;
    int64_t local = true_utc_ms + apart;
    local = reading->swapped ? exchanged_date(local) : local + reading->offset_ms;
    if (local == MR_T_NONE || !reading->zone)
        return local == MR_T_NONE ? MR_T_NONE : local - apart;
    struct mr_tz_cursor cursor = mr_tz_cursor(reading->zone);
    return mr_tz_to_utc(&cursor, local).first_utc_ms;
}

int64_t mr_elapsed_ms(const struct mr_align_state *st, const struct mr_time_reading *reading) {
    if (!st->out->windows.n || reading->swapped)
        return reading->offset_ms;
    int64_t first = st->out->windows.v[0].t0_utc_ms;
    return mr_shown_at(st, reading, first) - first;
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
    return i < track->n && mr_track_ms(track, i) <= t1_ms;
}

static size_t zone_at(const struct mr_align_state *st, size_t track, const struct mr_window *w) {
    int64_t middle = w->t0_utc_ms + (w->t1_utc_ms - w->t0_utc_ms) / 2;
    return mr_track_zone(st->out, &st->out->tracks.v[track], middle, NULL, NULL);
}

/* Whether the window of another coat, a minute more or less, holds a moment that this coat's own does not. */
static bool is_anothers(const struct mr_coat_events *e, const struct mr_window *own, int64_t t_ms) {
    const int64_t slack = e->tolerance_ms / 2;
    if (t_ms >= own->t0_utc_ms - slack && t_ms <= own->t1_utc_ms + e->lag_ms)
        return false;
    for (size_t i = 0; i < e->coats.n && e->coats.v[i]->t0_utc_ms <= t_ms; i++)
        if (e->coats.v[i]->zone != own->zone && t_ms <= e->coats.v[i]->t1_utc_ms)
            return true;
    return false;
}

/* The heat of one coat on one track: *seen and *fits are set, never cleared. */
static void look_for_heat(const struct mr_align_state *st, const struct mr_coat_events *e, size_t track,
                          const struct mr_window *w, const struct mr_time_reading *reading, bool *seen, bool *fits) {
    int64_t t0 = mr_shown_at(st, reading, w->t0_utc_ms), t1 = mr_shown_at(st, reading, w->t1_utc_ms);
    if (t0 == MR_T_NONE || t1 == MR_T_NONE || !covers(&st->out->tracks.v[track], t0, t1))
        return;
    *seen = true;
    for (size_t i = first_span(&e->onsets[track], t0 - e->tolerance_ms); i < e->onsets[track].n; i++) {
        int64_t at = e->onsets[track].v[i].t0_utc_ms;
        if (at > t1 + e->lag_ms + e->tolerance_ms)
            break;
        if (is_anothers(e, w, w->t0_utc_ms + (at - t0)))
            continue;
        *fits = true;
        e->marks->onset[e->marks->onset0[track] + i] = e->marks->turn;
    }
}

static void look_for_pressure(const struct mr_align_state *st, const struct mr_coat_events *e, size_t track,
                              const struct mr_window *w, const struct mr_time_reading *reading, bool *seen,
                              bool *fits) {
    int64_t t0 = mr_shown_at(st, reading, w->t0_utc_ms), t1 = mr_shown_at(st, reading, w->t1_utc_ms);
    const struct mr_track *t = &st->out->tracks.v[track];
    if (t0 == MR_T_NONE || t1 == MR_T_NONE || !covers(t, t0, t1))
        return;
    *seen = true;
    const mr_spans *pulls = &e->pulls[t->clock];
    if (mr_pulled_share(pulls, t0, t1) < 0.5)
        return;
    *fits = true;
    for (size_t i = first_span(pulls, t0); i < pulls->n && pulls->v[i].t0_utc_ms < t1; i++)
        e->marks->pull[e->marks->pull0[t->clock] + i] = e->marks->turn;
}

/* Onsets of placed probes and pulls of the clock that the count just made left without a coat. */
static size_t orphans_of(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock) {
    const struct mr_event_mark *m = e->marks;
    size_t n = 0;
    for (size_t i = 0; i < st->out->tracks.n; i++) {
        const struct mr_track *t = &st->out->tracks.v[i];
        for (size_t k = 0; k < e->onsets[i].n && t->clock == clock && t->meaning == MR_M_PROBE_TEMP; k++)
            n += m->onset[m->onset0[i] + k] != m->turn &&
                 mr_track_zone(st->out, t, e->onsets[i].v[k].t0_utc_ms, NULL, NULL) != MR_NONE;
    }
    for (size_t k = 0; k < e->pulls[clock].n; k++)
        n += m->pull[m->pull0[clock] + k] != m->turn &&
             e->pulls[clock].v[k].t1_utc_ms - e->pulls[clock].v[k].t0_utc_ms >= least_pull_ms;
    return n;
}

struct mr_fit_count mr_clock_fits(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock,
                                  const struct mr_time_reading *reading) {
    struct mr_fit_count n = {0};
    e->marks->turn++;
    for (size_t c = 0; c < e->coats.n; c++) {
        bool seen = false, fits = false;
        for (size_t i = 0; i < st->out->tracks.n; i++) {
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
    n.orphans = orphans_of(st, e, clock);
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
    if (ms % MR_DAY_MS == 0 && ms / MR_DAY_MS > 2)
        return mr_printf(arena, "%lld days %s", (long long)(ms / MR_DAY_MS), way);
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
