/*
 * detected_windows.c - windows of zones that the spray log does not know, found in the data and marked as found.
 *
 * Best: a pressure log that stands for the zone. Else onsets of heat on the zone's probes: those within one activity
 * of the gun make one window, as long as that activity where no other zone claims it, else from the first to the last
 * onset. Without pressure logs, onsets closer than the window gap make one window.
 *
 * Of a zone that the log knows, none is found: a pull of the trigger outside all its rows, and heat that a probe on
 * the zone shows with it, are kept as spraying that no row explains. Either of them alone may be a flush or the sun.
 */
#include "align/align_state.h"
#include "numeric/search.h"

#include <math.h>
#include <stdlib.h>

static const size_t shared = MR_ZONE_AMBIGUOUS;

struct finder {
    struct mr_align_state *st;
    mr_spans gun;     /* activity of the gun, joined over the window gap */
    size_t *claimant; /* shape: gun.n; zone, MR_NONE or shared */
    bool *logged;     /* shape: zones */
    int *coats;       /* shape: zones, windows found so far */
    int64_t gap_ms, lag_ms;
};

static void add_window(struct finder *f, size_t zone, int64_t t0, int64_t t1, size_t track) {
    struct mr_alignment *a = f->st->out;
    size_t i = mr_track_first(&a->tracks.v[track], t0);
    struct mr_window w = {.zone = zone,
                          .coat = ++f->coats[zone],
                          .t0_utc_ms = t0,
                          .t1_utc_ms = t1,
                          .found = true,
                          .place = mr_track_place(a, &a->tracks.v[track], i)};
    MR_PUSH(f->st->arena, &a->windows, w);
}

static int by_start(const void *item, const void *key) {
    const struct mr_span *span = item;
    return mr_order_ms(&span->t0_utc_ms, key);
}

/* The last activity that has begun at a moment, or MR_NONE. */
static size_t span_before(const struct finder *f, int64_t t_utc_ms) {
    size_t begun = mr_first_after(&t_utc_ms, f->gun.v, f->gun.n, sizeof *f->gun.v, by_start);
    return begun > 0 ? begun - 1 : MR_NONE;
}

/* The activity that a moment on the steel belongs to, or MR_NONE: heat shows a little after the spray. */
static size_t span_of(const struct finder *f, int64_t t_utc_ms) {
    size_t k = span_before(f, t_utc_ms);
    return k != MR_NONE && t_utc_ms <= f->gun.v[k].t1_utc_ms + f->lag_ms ? k : MR_NONE;
}

static void claim(struct finder *f, size_t span, size_t zone) {
    if (span != MR_NONE && f->claimant[span] != zone)
        f->claimant[span] = f->claimant[span] == MR_NONE ? zone : shared;
}

static void claim_spans(struct finder *f) {
    const struct mr_alignment *a = f->st->out;
    for (size_t i = 0; i < f->gun.n; i++)
        f->claimant[i] = MR_NONE;
    for (size_t i = 0; i < f->st->onsets.n; i++)
        if (f->st->onsets.v[i].zone != MR_NONE)
            claim(f, span_of(f, f->st->onsets.v[i].t_utc_ms), f->st->onsets.v[i].zone);
    for (size_t i = 0; i < a->windows.n; i++) {
        const struct mr_window *w = &a->windows.v[i];
        size_t k = span_before(f, w->t1_utc_ms);
        for (; k != MR_NONE && f->gun.v[k].t1_utc_ms >= w->t0_utc_ms; k = k ? k - 1 : MR_NONE)
            claim(f, k, w->zone);
    }
}

/* Windows from pressure logs that stand for one zone. Returns whether the zone has such a log. */
static bool from_own_lines(struct finder *f, size_t zone) {
    const struct mr_alignment *a = f->st->out;
    mr_spans spans = {0};
    size_t track = MR_NONE;
    for (size_t i = 0; i < a->tracks.n; i++)
        for (size_t s = 0; s < a->tracks.v[i].stays.n; s++) {
            const struct mr_stay *stay = &a->tracks.v[i].stays.v[s];
            if (stay->zone != zone || stay->gun)
                continue;
            for (size_t k = 0; k < f->st->track_activity[i].n; k++) {
                struct mr_span span = f->st->track_activity[i].v[k];
                span.t0_utc_ms = span.t0_utc_ms > stay->t0_utc_ms ? span.t0_utc_ms : stay->t0_utc_ms;
                span.t1_utc_ms = span.t1_utc_ms < stay->t1_utc_ms ? span.t1_utc_ms : stay->t1_utc_ms;
                if (span.t0_utc_ms > span.t1_utc_ms)
                    continue;
                track = i;
                MR_PUSH(f->st->arena, &spans, span);
            }
        }
    mr_spans_join(&spans, f->gap_ms);
    for (size_t i = 0; i < spans.n; i++)
        add_window(f, zone, spans.v[i].t0_utc_ms, spans.v[i].t1_utc_ms, track);
    return spans.n > 0;
}

static int by_zone(const void *a, const void *b) {
    const struct mr_onset *x = a, *y = b;
    if (x->zone != y->zone)
        return x->zone < y->zone ? -1 : 1;
    return (x->t_utc_ms > y->t_utc_ms) - (x->t_utc_ms < y->t_utc_ms);
}

/* Onsets v[0..n) of one zone, in order of time. */
static void from_onsets(struct finder *f, const struct mr_onset *v, size_t n) {
    for (size_t i = 0, end; i < n; i = end) {
        size_t span = span_of(f, v[i].t_utc_ms);
        for (end = i + 1; end < n; end++) {
            bool together = span != MR_NONE ? span_of(f, v[end].t_utc_ms) == span
                                            : span_of(f, v[end].t_utc_ms) == MR_NONE &&
                                                  v[end].t_utc_ms - v[end - 1].t_utc_ms <= f->gap_ms;
            if (!together)
                break;
        }
        int64_t t0 = v[i].t_utc_ms, t1 = v[end - 1].t_utc_ms;
        if (span != MR_NONE && f->claimant[span] == v[i].zone) {
            t0 = f->gun.v[span].t0_utc_ms;
            t1 = f->gun.v[span].t1_utc_ms;
        }
        add_window(f, v[i].zone, t0, t1, v[i].track);
    }
}

void mr_align_detected_windows(struct mr_align_state *st) {
    struct mr_alignment *a = st->out;
    struct finder f = {
        .st = st, .gap_ms = mr_align_setting_ms(st, MR_WINDOW_GAP), .lag_ms = mr_align_setting_ms(st, MR_ONSET_LAG)};
    for (size_t i = 0; i < st->activity.n; i++)
        MR_PUSH(st->arena, &f.gun, st->activity.v[i]);
    mr_spans_join(&f.gun, f.gap_ms);
    f.claimant = MR_ARRAY(st->arena, size_t, f.gun.n);
    f.logged = MR_ARRAY(st->arena, bool, a->zones.n);
    f.coats = MR_ARRAY(st->arena, int, a->zones.n);
    for (size_t i = 0; i < a->windows.n; i++)
        f.logged[a->windows.v[i].zone] = true;
    claim_spans(&f);
    mr_onsets onsets = {0};
    for (size_t i = 0; i < st->onsets.n; i++)
        if (st->onsets.v[i].zone != MR_NONE)
            MR_PUSH(st->arena, &onsets, st->onsets.v[i]);
    if (onsets.n)
        qsort(onsets.v, onsets.n, sizeof *onsets.v, by_zone);
    for (size_t zone = 0, i = 0; zone < a->zones.n; zone++) {
        size_t first = i;
        while (i < onsets.n && onsets.v[i].zone == zone)
            i++;
        if (!f.logged[zone] && !from_own_lines(&f, zone) && i > first)
            from_onsets(&f, onsets.v + first, i - first);
    }
}

/* --- spraying that no row explains --------------------------------------------------------------------- */

/* How far hand-kept times may be off before a row explains nothing; of a rise that may be a coat's. */
enum { SLACK_MS = 600000 };
static const double LEAST_SHARE = 0.5, LEAST_K = 2.0; /* of the band's lower end; where there is none */

static bool touches(int64_t a0, int64_t a1, int64_t b0, int64_t b1) {
    return a0 <= b1 + SLACK_MS && b0 <= a1 + SLACK_MS;
}

/* Whether a coat of any zone or another row of the spray log lies there, or near. */
static bool is_explained(const struct mr_alignment *a, int64_t t0, int64_t t1) {
    for (size_t i = 0; i < a->windows.n; i++)
        if (touches(t0, t1, a->windows.v[i].t0_utc_ms, a->windows.v[i].t1_utc_ms))
            return true;
    for (size_t i = 0; i < a->actions.n; i++) {
        const struct mr_action_at *x = &a->actions.v[i];
        if (x->t0_utc_ms != MR_T_NONE && touches(t0, t1, x->t0_utc_ms, x->t1_utc_ms))
            return true;
    }
    return false;
}

static bool is_logged(const struct mr_alignment *a) {
    for (size_t i = 0; i < a->windows.n; i++)
        if (a->windows.v[i].log)
            return true;
    return false;
}

static bool is_great(const struct mr_align_state *st, const struct mr_onset *o) {
    const double low = mr_set_num(st->out->zones.v[o->zone].settings, MR_RISE_MIN);
    return o->rise_k >= (isnan(low) ? LEAST_K : LEAST_SHARE * low);
}

void mr_align_unlogged(struct mr_align_state *st) {
    struct mr_alignment *a = st->out;
    const int64_t lag = mr_align_setting_ms(st, MR_ONSET_LAG) + mr_align_setting_ms(st, MR_CLOCK_TOLERANCE);
    a->unlogged.n = 0;
    if (!is_logged(a))
        return;
    for (size_t k = 0; k < st->activity.n; k++) {
        const struct mr_span *gun = &st->activity.v[k];
        if (is_explained(a, gun->t0_utc_ms, gun->t1_utc_ms))
            continue;
        for (size_t i = 0; i < st->onsets.n; i++) {
            const struct mr_onset *o = &st->onsets.v[i];
            if (o->zone >= a->zones.n || o->t_utc_ms < gun->t0_utc_ms || o->t_utc_ms > gun->t1_utc_ms + lag ||
                !is_great(st, o))
                continue;
            struct mr_unlogged u = {o->zone, gun->t0_utc_ms, gun->t1_utc_ms, o->t_utc_ms, o->track};
            MR_PUSH(st->arena, &a->unlogged, u);
        }
    }
}
