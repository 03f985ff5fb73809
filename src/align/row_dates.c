/*
 * row_dates.c - single rows of the spray log whose date is wrong: by half a day, a day, a year, or with day and month
 * exchanged.
 *
 * As given the lines stood idle, or served another coat; so read they were under pressure with no other coat to
 * account for it, or the zone's probe warmed, or the row falls between its neighbours in the log. A pressure log
 * bears witness only where it agrees with the other rows. Where two readings are as good as each other none is named.
 */
#include "align/hypotheses.h"

#include <stdlib.h>

enum { LEAST_WITNESS = 3 };

static const int64_t hour_ms = 3600000;

struct row_search {
    struct mr_align_state *st;
    struct mr_coat_events events;
    const bool *witness; /* shape: clocks; pressure logs that agree with most rows */
    int64_t longest_ms;  /* of all coats */
};

/* The share of t0..t1 under pressure, as the witness that knows most says; -1 where none covers it. */
static double pulled(const struct row_search *s, int64_t t0_ms, int64_t t1_ms) {
    double most = -1;
    for (size_t i = 0; i < s->st->out->tracks.n; i++) {
        const struct mr_track *t = &s->st->out->tracks.v[i];
        size_t first = mr_track_first(t, t0_ms);
        if ((t->meaning != MR_M_LINE_A && t->meaning != MR_M_LINE_B) || !s->witness[t->clock] || first == t->n ||
            mr_track_ms(t, first) > t1_ms)
            continue;
        double share = mr_pulled_share(&s->events.pulls[t->clock], t0_ms, t1_ms);
        most = share > most ? share : most;
    }
    return most;
}

/* The first coat that begins at a moment or after it. */
static size_t first_coat(const struct row_search *s, int64_t t_ms) {
    size_t lo = 0, hi = s->events.coats.n;
    while (lo < hi) {
        size_t mid = lo + (hi - lo) / 2;
        if (s->events.coats.v[mid]->t0_utc_ms < t_ms)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

/* Whether another coat was logged for a fifth of t0..t1 or more. */
static bool is_taken(const struct row_search *s, const struct mr_window *w, int64_t t0_ms, int64_t t1_ms) {
    for (size_t i = first_coat(s, t0_ms - s->longest_ms); i < s->events.coats.n; i++) {
        const struct mr_window *o = s->events.coats.v[i];
        if (o->t0_utc_ms > t1_ms)
            break;
        int64_t from = o->t0_utc_ms > t0_ms ? o->t0_utc_ms : t0_ms, to = o->t1_utc_ms < t1_ms ? o->t1_utc_ms : t1_ms;
        if (o != w && 5 * (to - from) >= t1_ms - t0_ms)
            return true;
    }
    return false;
}

/* Whether another coat of the zone accounts for heat at a moment. */
static bool has_other_cause(const struct row_search *s, const struct mr_window *w, int64_t t_ms) {
    for (size_t i = 0; i < s->events.coats.n; i++) {
        const struct mr_window *o = s->events.coats.v[i];
        if (o != w && o->zone == w->zone && t_ms >= o->t0_utc_ms - s->events.tolerance_ms &&
            t_ms <= o->t1_utc_ms + s->events.lag_ms + s->events.tolerance_ms)
            return true;
    }
    return false;
}

/* Whether a probe on the window's zone warmed in t0..t1 and no other coat accounts for it. */
static bool warmed(const struct row_search *s, const struct mr_window *w, int64_t t0_ms, int64_t t1_ms) {
    for (size_t i = 0; i < s->st->onsets.n; i++) {
        const struct mr_onset *o = &s->st->onsets.v[i];
        if (o->t_utc_ms < t0_ms - s->events.tolerance_ms ||
            o->t_utc_ms > t1_ms + s->events.lag_ms + s->events.tolerance_ms)
            continue;
        if (mr_track_zone(s->st->out, &s->st->out->tracks.v[o->track], o->t_utc_ms, NULL, NULL) == w->zone &&
            !has_other_cause(s, w, o->t_utc_ms))
            return true;
    }
    return false;
}

/* Whether the log but for one row goes forward: only then does its order say anything of that row's date. */
static bool rest_goes_forward(const struct mr_data *d, size_t but) {
    int64_t last_ms = MR_T_NONE;
    size_t seen = 0;
    for (size_t i = 0; i < d->sprays.n; i++) {
        const struct mr_spray *r = &d->sprays.v[i];
        if (i == but || r->file != d->sprays.v[but].file || r->start_ms == MR_T_NONE)
            continue;
        if (last_ms != MR_T_NONE && r->start_ms < last_ms)
            return false;
        last_ms = r->start_ms;
        seen++;
    }
    return seen >= 4;
}

/* Whether the row would fall between its neighbours in the log, as it does not as given. */
static bool in_order(const struct row_search *s, const struct mr_window *w, int64_t moved_ms) {
    const struct mr_data *d = s->st->data;
    const size_t at = (size_t)(w->log - d->sprays.v);
    if (at == 0 || at + 1 >= d->sprays.n)
        return false;
    const struct mr_spray *a = &d->sprays.v[at - 1], *b = &d->sprays.v[at + 1];
    int64_t given = w->log->start_ms, read = given + moved_ms;
    if (a->file != w->log->file || b->file != w->log->file || a->start_ms == MR_T_NONE || b->start_ms == MR_T_NONE)
        return false;
    bool was = given >= a->start_ms && given <= b->start_ms;
    return !was && read >= a->start_ms && read <= b->start_ms && rest_goes_forward(d, at);
}

/* How many witnesses speak for a reading; 0 where one speaks against it. */
static int support(const struct row_search *s, const struct mr_window *w, int64_t t0_ms) {
    int64_t t1_ms = t0_ms + (w->t1_utc_ms - w->t0_utc_ms);
    double share = pulled(s, t0_ms, t1_ms);
    if ((share >= 0 && share < 0.5) || is_taken(s, w, t0_ms, t1_ms))
        return 0;
    int order = in_order(s, w, t0_ms - w->t0_utc_ms);
    return (share >= 0.5) + order + ((share >= 0.5 || order) && warmed(s, w, t0_ms, t1_ms));
}

static void doubt_row(struct row_search *s, struct mr_window *w, int64_t true_ms, int witnesses) {
    struct mr_align_state *st = s->st;
    struct mr_clock_doubt d = {.kind = MR_DOUBT_ROW,
                               .clock = MR_NONE,
                               .offset_s = (double)(w->t0_utc_ms - true_ms) / 1000,
                               .fits = (size_t)witnesses,
                               .seen = (size_t)witnesses};
    w->date_error_ms = w->t0_utc_ms - true_ms;
    d.who = mr_printf(st->arena, "the date of line %u of %s", w->log->line, w->place.file);
    d.looks = "wrong";
    d.paste = mr_printf(st->arena, "%.16s", mr_local_text(st->arena, st->out, true_ms));
    MR_PUSH(st->arena, &d.places, w->place);
    MR_PUSH(st->arena, &st->out->doubts, d);
}

static void look_at_row(struct row_search *s, struct mr_window *w) {
    int64_t t0 = w->t0_utc_ms;
    bool own_pressure = pulled(s, t0, w->t1_utc_ms) >= 0.5 && !is_taken(s, w, t0, w->t1_utc_ms);
    if (own_pressure || warmed(s, w, t0, w->t1_utc_ms))
        return;
    static const int64_t hours[] = {24, -24, 48, -48, 12, -12, 365 * 24, -365 * 24, 366 * 24, -366 * 24};
    struct mr_time_reading reading[MR_COUNT(hours) + 1] = {{.swapped = true}};
    for (size_t i = 0; i < MR_COUNT(hours); i++)
        reading[i + 1].offset_ms = hours[i] * hour_ms;
    for (size_t i = 0; i < MR_COUNT(reading); i++)
        reading[i].zone = s->st->files[w->log->file].timing.zone;
    int most = 0;
    int64_t best = MR_T_NONE;
    for (size_t i = 0; i < MR_COUNT(reading); i++) {
        int64_t at = mr_shown_at(s->st, &reading[i], t0);
        int n = at == MR_T_NONE || at == t0 ? 0 : support(s, w, at);
        if (n >= most && n > 0)
            best = n == most ? MR_T_NONE : at;
        most = n > most ? n : most;
    }
    if (best != MR_T_NONE)
        doubt_row(s, w, best, most);
}

void mr_align_doubt_rows(struct mr_align_state *st) {
    struct row_search s = {.st = st, .events = mr_coat_events(st)};
    const struct mr_time_reading as_given = {0};
    bool *witness = MR_ARRAY(st->arena, bool, st->out->clocks.n);
    for (size_t i = 0; i < st->out->clocks.n; i++) {
        struct mr_fit_count n = mr_clock_fits(st, &s.events, i, &as_given);
        witness[i] = n.fits >= LEAST_WITNESS && 2 * n.fits >= n.seen && !mr_clock_is_doubted(st, i);
    }
    s.witness = witness;
    for (size_t i = 0; i < s.events.coats.n; i++) {
        const int64_t ms = s.events.coats.v[i]->t1_utc_ms - s.events.coats.v[i]->t0_utc_ms;
        s.longest_ms = ms > s.longest_ms ? ms : s.longest_ms;
    }
    for (size_t i = 0; i < st->out->doubts.n; i++)
        if (st->out->doubts.v[i].kind == MR_DOUBT_LOG)
            return;
    for (size_t i = 0; i < st->out->windows.n; i++) {
        struct mr_window *w = &st->out->windows.v[i];
        if (!w->found && w->t1_utc_ms > w->t0_utc_ms)
            look_at_row(&s, w);
    }
}
