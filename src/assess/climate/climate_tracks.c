/*
 * climate_tracks.c - which instrument's tracks stand for a zone's climate over a coat's time.
 *
 * Align knows which track serves at a moment; a judgement over half an hour needs one that serves throughout. So
 * align is asked at many moments, and its most frequent answer is kept; a less frequent one only where that covers
 * too little.
 */
#include "assess/climate/climate.h"

#include <math.h>
#include <string.h>

#define N_CANDIDATES 8
struct candidates {
    size_t n;
    const struct mr_track *track[N_CANDIDATES];
    size_t times[N_CANDIDATES]; /* how often align would have used it */
};

/* Counts a track; the list stays in order of use, the first met first among equals. */
static void offer(struct candidates *c, const struct mr_track *track) {
    if (track == NULL)
        return;
    size_t i = 0;
    while (i < c->n && c->track[i] != track)
        i++;
    if (i == c->n) {
        if (c->n == N_CANDIDATES)
            return;
        c->track[c->n] = track;
        c->times[c->n++] = 0;
    }
    c->times[i]++;
    for (; i > 0 && c->times[i] > c->times[i - 1]; i--) {
        const struct mr_track *swap = c->track[i];
        size_t times = c->times[i];
        c->track[i] = c->track[i - 1];
        c->times[i] = c->times[i - 1];
        c->track[i - 1] = swap;
        c->times[i - 1] = times;
    }
}

/* A probe that moves between zones speaks for this one only while it stays there: the track cut to that stay. */
const struct mr_track *mr_track_while_there(struct mr_assess *a, const struct mr_track *track,
                                            const struct mr_period *p) {
    const struct mr_stay *best = NULL;
    int64_t best_ms = -1;
    for (size_t i = 0; i < track->stays.n; i++) {
        const struct mr_stay *s = &track->stays.v[i];
        if (s->gun || s->zone != p->window->zone)
            continue;
        int64_t from = s->t0_utc_ms > p->from_ms ? s->t0_utc_ms : p->from_ms,
                to = s->t1_utc_ms < p->to_ms ? s->t1_utc_ms : p->to_ms;
        if (to - from > best_ms) {
            best = s;
            best_ms = to - from;
        }
    }
    if (best == NULL || (best->t0_utc_ms <= p->from_ms && best->t1_utc_ms >= p->to_ms))
        return track;
    size_t lo = mr_track_first(track, best->t0_utc_ms);
    size_t hi = best->t1_utc_ms == INT64_MAX ? track->n : mr_track_first(track, best->t1_utc_ms + 1);
    struct mr_track *cut = MR_NEW(a->arena, struct mr_track);
    *cut = *track;
    cut->n = hi - lo;
    cut->t_utc_ms = mr_wholes_from(cut->t_utc_ms, lo);
    cut->value = mr_reals_from(cut->value, lo);
    cut->line = mr_wholes_from(cut->line, lo);
    cut->file = mr_wholes_from(cut->file, lo);
    return cut;
}

/* The most used that covers enough; else the one that covers most. *out_whole is the track that it was cut from. */
static const struct mr_track *best_track(struct mr_assess *a, const struct candidates *c, const struct mr_period *p,
                                         const struct mr_track **out_whole) {
    const struct mr_track *best = NULL;
    double span = (double)(p->to_ms - p->from_ms), enough = mr_set_num(p->settings, MR_CLIMATE_COVER) / 100.0 * span;
    double best_ms = -1.0;
    for (size_t i = 0; i < c->n; i++) {
        const struct mr_track *track = mr_track_while_there(a, c->track[i], p);
        double covered = mr_track_cover_ms(track, p->from_ms, p->to_ms, p->gap_ms);
        if (covered > best_ms) {
            best = track;
            best_ms = covered;
            *out_whole = c->track[i];
        }
        if (covered >= enough)
            break;
    }
    return best;
}

struct all_candidates {
    struct candidates air, rh, steel, dew;
};

static void ask_at(const struct mr_assess *a, const struct mr_period *p, int64_t t_ms, struct all_candidates *c) {
    struct mr_climate at = mr_climate_at(a->aligned, p->window->zone, t_ms, p->gap_ms);
    offer(&c->air, at.air);
    offer(&c->rh, at.rh);
    offer(&c->steel, at.steel);
    offer(&c->dew, at.dew);
}

static bool is_climate(enum mr_meaning m) {
    return m == MR_M_AIR || m == MR_M_RH || m == MR_M_STEEL || m == MR_M_DEW || m == MR_M_PROBE_TEMP;
}

/* Asks align which tracks it would use, at moments closer than the greatest gap and at the first sample of each
 * track, so that no short one is missed. One of each kind then serves the whole period: an instrument that changes in
 * mid-window would read as a jump of the weather. */
void mr_choose_tracks(struct mr_assess *a, struct mr_period *p) {
    struct all_candidates c = {0};
    int64_t step = p->gap_ms / 2 > 1000 ? p->gap_ms / 2 : 1000, span = p->to_ms - p->from_ms;
    if (span / step > 200)
        step = span / 200;
    for (int64_t t = p->from_ms;; t = t + step < p->to_ms ? t + step : p->to_ms) {
        ask_at(a, p, t, &c);
        if (t >= p->to_ms)
            break;
    }
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *track = &a->aligned->tracks.v[i];
        size_t first = is_climate(track->meaning) ? mr_track_first(track, p->from_ms) : track->n;
        if (first < track->n && mr_track_ms(track, first) <= p->to_ms)
            ask_at(a, p, mr_track_ms(track, first), &c);
    }
    const struct mr_track *whole = NULL;
    p->tracks.air = best_track(a, &c.air, p, &whole);
    p->tracks.rh = best_track(a, &c.rh, p, &whole);
    p->tracks.steel = best_track(a, &c.steel, p, &whole);
    p->logged_dew = best_track(a, &c.dew, p, &whole);
    p->tracks.dew = p->logged_dew;
    p->dew_index = c.dew.n > 0 ? (size_t)(whole - a->aligned->tracks.v) : MR_NONE;
    if (p->logged_dew == NULL || p->tracks.air == NULL || p->tracks.rh == NULL)
        return;
    double logged = mr_track_cover_ms(p->logged_dew, p->from_ms, p->to_ms, p->gap_ms);
    double computed = fmin(mr_track_cover_ms(p->tracks.air, p->from_ms, p->to_ms, p->gap_ms),
                           mr_track_cover_ms(p->tracks.rh, p->from_ms, p->to_ms, p->gap_ms));
    /* The zone's own air outweighs another instrument's dew point; the same instrument's logged one comes first. */
    bool same = strcmp(p->logged_dew->instrument, p->tracks.rh->instrument) == 0;
    if (same ? computed > logged : computed >= logged)
        p->tracks.dew = NULL;
    if (!same)
        p->logged_dew = NULL; /* not to be compared with this air */
}
