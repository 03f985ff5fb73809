/*
 * sweep.c - the pass described in sweep.h. A cursor per track knows the valid samples on both sides of the moment;
 * each step goes to the nearest next sample of any track, so between two steps every track is one straight line or
 * unknown.
 */
#include "assess/climate/sweep.h"

#include "numeric/dew_point.h"

#include "milrise/assess.h"
#include "numeric/interpolate.h"

#include <math.h>
#include <string.h>

enum { AIR, RH, STEEL, DEW, LOGGED, N_TRACKS };

struct cursor {
    const struct mr_track *track;
    size_t before, after; /* valid sample at or before the moment (MR_NONE), next valid one after it (n) */
};

static size_t next_valid(const struct mr_track *track, size_t i) {
    while (i < track->n && isnan(mr_track_value(track, i)))
        i++;
    return i;
}

static struct cursor cursor_at(const struct mr_track *track, int64_t t_ms) {
    struct cursor c = {track, MR_NONE, 0};
    if (track == NULL)
        return c;
    size_t i = mr_track_first(track, t_ms);
    for (size_t k = i; k-- > 0;) {
        if (!isnan(mr_track_value(track, k))) {
            c.before = k;
            break;
        }
    }
    c.after = next_valid(track, i);
    return c;
}

static void advance(struct cursor *c, int64_t t_ms) {
    while (c->track != NULL && c->after < c->track->n && mr_track_ms(c->track, c->after) <= t_ms) {
        c->before = c->after;
        c->after = next_valid(c->track, c->after + 1);
    }
}

/* Whether the track runs as one straight line from its sample before to its sample after. */
static bool bridged(const struct cursor *c, int64_t gap_ms) {
    return c->track != NULL && c->before != MR_NONE && c->after < c->track->n &&
           mr_track_ms(c->track, c->after) - mr_track_ms(c->track, c->before) <= gap_ms;
}

static double on_line(const struct cursor *c, int64_t t_ms) {
    const struct mr_track *k = c->track;
    int64_t t0 = mr_track_ms(k, c->before), t1 = mr_track_ms(k, c->after);
    if (t_ms == t1)
        return mr_track_value(k, c->after);
    return mr_between(t0, mr_track_value(k, c->before), t1, mr_track_value(k, c->after), t_ms);
}

/* Value at the moment the cursor stands at; NaN where not known. */
static double at_moment(const struct cursor *c, int64_t t_ms, int64_t gap_ms) {
    if (c->track == NULL || c->before == MR_NONE)
        return MR_NAN;
    if (mr_track_ms(c->track, c->before) == t_ms)
        return mr_track_value(c->track, c->before);
    return bridged(c, gap_ms) ? on_line(c, t_ms) : MR_NAN;
}

/* The last dew point that was worked out: the end of one line is the start of the next, and logarithms are slow. */
struct memo {
    double from[2], dew_c;
};

static double computed_dew(const double v[N_TRACKS], struct memo *memo) {
    const double from[2] = {v[AIR], v[RH]};
    if (memcmp(from, memo->from, sizeof from) != 0) {
        memcpy(memo->from, from, sizeof from);
        memo->dew_c = mr_dew_point_c(v[AIR], v[RH]);
    }
    return memo->dew_c;
}

/* Quantities from the tracks' values; NaN spreads by itself. */
static void quantities(const double v[N_TRACKS], bool dew_logged, struct memo *memo, double out[MR_Q_COUNT]) {
    out[MR_Q_AIR] = v[AIR];
    out[MR_Q_RH] = v[RH];
    out[MR_Q_STEEL] = v[STEEL];
    out[MR_Q_DEW] = dew_logged ? v[DEW] : computed_dew(v, memo);
    out[MR_Q_SPREAD] = v[STEEL] - out[MR_Q_DEW];
}

/* How far out of the limit, in the limit's unit; 0 within it, also within what unit conversion may disturb. */
static double excess(const struct mr_watch *w, double canonical, double *out_value) {
    double value = mr_from_canonical(w->unit, canonical),
           e = (w->upper ? value - w->limit : w->limit - value) - w->uncertainty;
    *out_value = value;
    return e > 1e-9 * fmax(1.0, fabs(w->limit)) ? e : fmin(e, 0.0);
}

/* An excursion is over: counted as out of the limit, or kept apart where it is too short to be told from the sensor's
 * own lag. One that the period cuts short, or that one sample shows, may have been longer than was seen. */
static void close_excursion(struct mr_watch *w, int64_t t_ms) {
    if (!w->going)
        return;
    w->going = false;
    bool lone = w->samples < 2, brief = w->length_ms < (double)w->response_ms;
    /* From the last moment within the limit to the next one: so long it may have lasted. */
    bool open = w->within_ms == MR_T_NONE || t_ms == MR_T_NONE || t_ms - w->within_ms >= w->response_ms;
    if (w->brief_apart && w->to_ms > w->from_ms && (lone || brief)) {
        w->n_brief++;
        w->brief_ms += w->length_ms;
        w->brief_open |= open || w->since_ms <= (double)w->from_ms || w->until_ms >= (double)w->to_ms;
        return;
    }
    w->out_ms += w->length_ms;
    if (w->first_out_ms == MR_T_NONE)
        w->first_out_ms = (int64_t)floor(w->since_ms);
    w->last_out_ms = (int64_t)ceil(w->until_ms);
}

static void go_on(struct mr_watch *w, double from_ms, double to_ms) {
    if (!w->going) {
        w->going = true;
        w->since_ms = from_ms;
        w->length_ms = 0.0;
        w->samples = 0;
    }
    w->until_ms = to_ms;
    w->length_ms += to_ms - from_ms;
}

/* sampled: one of the quantity's tracks has a sample at this moment. */
static void watch_moment(struct mr_watch *w, int64_t t_ms, double canonical, bool sampled) {
    if (t_ms < w->from_ms || t_ms > w->to_ms)
        return;
    if (isnan(canonical)) {
        close_excursion(w, MR_T_NONE);
        return;
    }
    double value, e = excess(w, canonical, &value);
    if (isnan(w->worst) || (w->upper ? value > w->worst : value < w->worst)) {
        w->worst = value;
        w->worst_ms = t_ms;
    }
    if (e > 0.0) {
        go_on(w, (double)t_ms, (double)t_ms);
        w->samples += sampled && w->last_ms != t_ms;
    } else {
        close_excursion(w, t_ms);
        w->within_ms = t_ms;
    }
    w->last_ms = t_ms;
}

static void watch_line(struct mr_watch *w, int64_t t0_ms, int64_t t1_ms, double v0, double v1) {
    if (t0_ms < w->from_ms || t1_ms > w->to_ms)
        return;
    if (isnan(v0) || isnan(v1)) {
        close_excursion(w, MR_T_NONE);
        return;
    }
    double dt = (double)(t1_ms - t0_ms), value, e0 = excess(w, v0, &value), e1 = excess(w, v1, &value);
    w->covered_ms += dt;
    if (e0 <= 0.0 && e1 <= 0.0)
        return;
    double a = 0.0, b = 1.0; /* the share of the line that is out */
    if (e0 <= 0.0)
        a = e0 / (e0 - e1);
    else if (e1 <= 0.0)
        b = e0 / (e0 - e1);
    go_on(w, (double)t0_ms + a * dt, (double)t0_ms + b * dt);
}

static void widen(struct mr_extremes *x, double v) {
    if (isnan(v))
        return;
    x->low = isnan(x->low) ? v : fmin(x->low, v);
    x->high = isnan(x->high) ? v : fmax(x->high, v);
}

/* What the least spread was worked out from. */
static void keep_least(struct mr_extremes *x, int64_t t_ms, const double q[MR_Q_COUNT]) {
    const double from[] = {q[MR_Q_AIR], q[MR_Q_RH], q[MR_Q_STEEL], q[MR_Q_DEW]};
    if (isnan(q[MR_Q_SPREAD]) || (x->low_ms != MR_T_NONE && q[MR_Q_SPREAD] >= x->low))
        return;
    x->low_ms = t_ms;
    memcpy(x->low_from, from, sizeof from);
}

/* The next moment at which anything changes, at most limit. */
static int64_t next_step(const struct cursor *cursors, int64_t t_ms, int64_t to_ms, size_t n,
                         const struct mr_watch *w) {
    int64_t next = to_ms;
    for (size_t k = 0; k < N_TRACKS; k++) {
        const struct cursor *c = &cursors[k];
        if (c->track != NULL && c->after < c->track->n && mr_track_ms(c->track, c->after) < next)
            next = mr_track_ms(c->track, c->after);
    }
    for (size_t i = 0; i < n; i++) {
        if (w[i].from_ms > t_ms && w[i].from_ms < next)
            next = w[i].from_ms;
        if (w[i].to_ms > t_ms && w[i].to_ms < next)
            next = w[i].to_ms;
    }
    return next;
}

static void compare_dew(struct mr_dew_compare *compare, double logged_c, double computed_c, int64_t t_ms) {
    if (compare == NULL || isnan(logged_c) || isnan(computed_c))
        return;
    double d = fabs(logged_c - computed_c);
    compare->n++;
    compare->sum_k += d;
    if (d > compare->worst_k) {
        compare->worst_k = d;
        compare->worst_ms = t_ms;
    }
}

void mr_sweep_begin(size_t n, struct mr_watch *watches, struct mr_extremes *extremes) {
    for (size_t i = 0; i < n; i++) {
        watches[i].worst = MR_NAN;
        watches[i].worst_ms = watches[i].first_out_ms = watches[i].last_out_ms = MR_T_NONE;
        watches[i].out_ms = watches[i].covered_ms = watches[i].coverage_pct = watches[i].brief_ms = 0.0;
        watches[i].n_brief = 0;
        watches[i].going = watches[i].brief_open = false;
        watches[i].last_ms = watches[i].within_ms = MR_T_NONE;
    }
    for (size_t q = 0; q < MR_Q_COUNT; q++)
        extremes[q] = (struct mr_extremes){MR_NAN, MR_NAN, 0.0, MR_T_NONE, {MR_NAN, MR_NAN, MR_NAN, MR_NAN}};
}

void mr_sweep_end(size_t n, struct mr_watch *watches) {
    for (size_t i = 0; i < n; i++) {
        struct mr_watch *w = &watches[i];
        close_excursion(w, MR_T_NONE);
        double span = (double)(w->to_ms - w->from_ms);
        w->coverage_pct = span > 0.0 ? 100.0 * w->covered_ms / span : isnan(w->worst) ? 0.0 : 100.0;
    }
}

/* The tracks that a quantity is worked out from: without and with a logged dew point. */
static const bool behind[MR_Q_COUNT][2][N_TRACKS] = {
    [MR_Q_SPREAD] = {{[AIR] = true, [RH] = true, [STEEL] = true}, {[STEEL] = true, [DEW] = true}},
    [MR_Q_RH] = {{[RH] = true}, {[RH] = true}},
    [MR_Q_AIR] = {{[AIR] = true}, {[AIR] = true}},
    [MR_Q_STEEL] = {{[STEEL] = true}, {[STEEL] = true}},
    [MR_Q_DEW] = {{[AIR] = true, [RH] = true}, {[DEW] = true}}};

/* Whether a track that a quantity is worked out from has a sample at the moment its cursor stands at. */
static bool is_sampled(const struct cursor c[N_TRACKS], enum mr_quantity quantity, bool dew_logged, int64_t t_ms) {
    for (size_t k = 0; k < N_TRACKS; k++)
        if (behind[quantity][dew_logged][k] && c[k].before != MR_NONE && mr_track_ms(c[k].track, c[k].before) == t_ms)
            return true;
    return false;
}

void mr_sweep_on(const struct mr_climate_tracks *tracks, int64_t from_ms, int64_t to_ms, int64_t gap_ms, size_t n,
                 struct mr_watch *watches, struct mr_extremes *extremes, const struct mr_track *logged_dew,
                 struct mr_dew_compare *compare) {
    const struct mr_track *used[N_TRACKS] = {tracks->air, tracks->rh, tracks->steel, tracks->dew, logged_dew};
    struct cursor c[N_TRACKS];
    struct memo memo = {{MR_NAN, MR_NAN}, MR_NAN};
    for (size_t k = 0; k < N_TRACKS; k++)
        c[k] = cursor_at(used[k], from_ms);
    for (int64_t t = from_ms;;) {
        double v[N_TRACKS], q0[MR_Q_COUNT], q1[MR_Q_COUNT];
        for (size_t k = 0; k < N_TRACKS; k++) {
            advance(&c[k], t);
            v[k] = at_moment(&c[k], t, gap_ms);
        }
        quantities(v, tracks->dew != NULL, &memo, q0);
        if (logged_dew != NULL && c[LOGGED].before != MR_NONE && mr_track_ms(logged_dew, c[LOGGED].before) == t)
            compare_dew(compare, v[LOGGED], mr_dew_point_c(v[AIR], v[RH]), t);
        keep_least(&extremes[MR_Q_SPREAD], t, q0);
        for (size_t q = 0; q < MR_Q_COUNT; q++)
            widen(&extremes[q], q0[q]);
        for (size_t i = 0; i < n; i++)
            watch_moment(&watches[i], t, q0[watches[i].quantity],
                         is_sampled(c, watches[i].quantity, tracks->dew != NULL, t));
        if (t >= to_ms)
            break;
        int64_t next = next_step(c, t, to_ms, n, watches);
        for (size_t k = 0; k < N_TRACKS; k++)
            v[k] = bridged(&c[k], gap_ms) ? on_line(&c[k], next) : MR_NAN;
        quantities(v, tracks->dew != NULL, &memo, q1);
        for (size_t i = 0; i < n; i++)
            watch_line(&watches[i], t, next, q0[watches[i].quantity], q1[watches[i].quantity]);
        for (size_t q = 0; q < MR_Q_COUNT; q++)
            extremes[q].covered_ms += isnan(q0[q]) || isnan(q1[q]) ? 0.0 : (double)(next - t);
        t = next;
    }
}

void mr_sweep(const struct mr_climate_tracks *tracks, int64_t from_ms, int64_t to_ms, int64_t gap_ms, size_t n,
              struct mr_watch *watches, struct mr_extremes *extremes, const struct mr_track *logged_dew,
              struct mr_dew_compare *compare) {
    mr_sweep_begin(n, watches, extremes);
    mr_sweep_on(tracks, from_ms, to_ms, gap_ms, n, watches, extremes, logged_dew, compare);
    mr_sweep_end(n, watches);
}

double mr_track_cover_ms(const struct mr_track *track, int64_t from_ms, int64_t to_ms, int64_t gap_ms) {
    struct cursor c = cursor_at(track, from_ms);
    double covered = 0.0;
    for (int64_t t = from_ms; track != NULL && t < to_ms;) {
        advance(&c, t);
        if (c.after >= track->n)
            break;
        int64_t next = mr_track_ms(track, c.after) < to_ms ? mr_track_ms(track, c.after) : to_ms;
        covered += bridged(&c, gap_ms) ? (double)(next - t) : 0.0;
        t = next;
    }
    return covered;
}
