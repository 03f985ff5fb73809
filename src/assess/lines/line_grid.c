/*
 * line_grid.c - one window of two lines on one grid of moments, in buffers that serve window after window.
 */
#include "assess/lines/line_grid.h"
#include "numeric/interpolate.h"
#include "numeric/search.h"
#include "numeric/select.h"

#include <math.h>

static void need_room(struct mr_line_work *w, size_t n) {
    if (n <= w->cap)
        return;
    size_t cap = n + n / 2 + 64;
    mr_arena_drop(w->arena, w->t_ms);
    mr_arena_drop(w->arena, w->a);
    mr_arena_drop(w->arena, w->b);
    mr_arena_drop(w->arena, w->x);
    mr_arena_drop(w->arena, w->hold_ms);
    mr_arena_drop(w->arena, w->scratch);
    mr_arena_drop(w->arena, w->off);
    mr_arena_drop(w->arena, w->queue);
    w->t_ms = MR_ARRAY(w->arena, int64_t, cap);
    w->a = MR_ARRAY(w->arena, double, cap);
    w->b = MR_ARRAY(w->arena, double, cap);
    w->x = MR_ARRAY(w->arena, double, cap);
    w->hold_ms = MR_ARRAY(w->arena, double, cap);
    w->scratch = MR_ARRAY(w->arena, double, cap);
    w->off = MR_ARRAY(w->arena, unsigned char, cap);
    w->queue = MR_ARRAY(w->arena, size_t, cap);
    w->cap = cap;
}

/* Value at a moment, from a cursor that only moves forward. */
static double follow(const struct mr_track *track, size_t *i, int64_t t_ms, int64_t gap_ms) {
    if (track == NULL || track->n == 0)
        return MR_NAN;
    while (*i + 1 < track->n && mr_track_ms(track, *i + 1) <= t_ms)
        (*i)++;
    int64_t t0 = mr_track_ms(track, *i);
    if (t0 == t_ms)
        return mr_track_value(track, *i);
    if (t0 > t_ms || *i + 1 >= track->n || mr_track_ms(track, *i + 1) - t0 > gap_ms)
        return MR_NAN;
    return mr_between(t0, mr_track_value(track, *i), mr_track_ms(track, *i + 1), mr_track_value(track, *i + 1), t_ms);
}

/* The first sample at or after a moment. */
size_t mr_line_at(const struct mr_line_work *w, int64_t t_ms) {
    return mr_first_ms_from(w->t_ms, w->n, t_ms);
}

/* How long each sample holds: until the next, but no longer than a usual step where samples are missing after it or
 * the window ends. */
static void set_holds(struct mr_line_work *w, int64_t end_ms) {
    const int64_t gap_ms = w->gap_ms;
    double usual = (double)gap_ms;
    for (size_t i = 0; i + 1 < w->n; i++)
        w->scratch[i] = (double)(w->t_ms[i + 1] - w->t_ms[i]);
    if (w->n > 1)
        usual = fmin(usual, mr_select_kth(w->scratch, w->n - 1, (w->n - 1) / 2));
    w->usual_ms = usual;
    for (size_t i = 0; i < w->n; i++) {
        bool last = i + 1 == w->n;
        double step = last ? (double)(end_ms - w->t_ms[i]) : (double)(w->t_ms[i + 1] - w->t_ms[i]);
        w->hold_ms[i] = !last && step <= fmin((double)gap_ms, MR_LINE_MISSED * usual) ? step : fmin(step, usual);
    }
}

double mr_line_step_ms(struct mr_line_work *w, const struct mr_track *track, int64_t t0_ms, int64_t t1_ms) {
    size_t lo = mr_track_first(track, t0_ms), hi = mr_track_first(track, t1_ms + 1), n = 0;
    int64_t before_ms = MR_T_NONE;
    need_room(w, hi - lo);
    for (size_t i = lo; i < hi; i++) {
        if (isnan(mr_track_value(track, i)))
            continue;
        const int64_t t_ms = mr_track_ms(track, i);
        if (before_ms != MR_T_NONE)
            w->scratch[n++] = (double)(t_ms - before_ms);
        before_ms = t_ms;
    }
    return n ? mr_select_kth(w->scratch, n, (n - 1) / 4) : MR_NAN;
}

int64_t mr_line_hole_ms(double step_ms, int64_t event_ms) {
    return isnan(step_ms) ? INT64_MAX : (int64_t)(step_ms + fmax((double)event_ms, 0.75 * step_ms));
}

/* The longest time between two samples of a track that is neither a gap nor a hole; of the second line, whose values
 * are interpolated, the longest in which none is missing. */
static int64_t break_ms(struct mr_line_work *w, const struct mr_track *track, int64_t t0_ms, int64_t t1_ms,
                        const struct mr_line_limits *limits, bool none_missing) {
    const double step = mr_line_step_ms(w, track, t0_ms, t1_ms);
    const int64_t hole_ms = mr_line_hole_ms(step, limits->event_ms);
    if (none_missing && MR_LINE_MISSED * step < (double)limits->gap_ms)
        return (int64_t)(MR_LINE_MISSED * step);
    return hole_ms <= limits->gap_ms ? hole_ms - 1 : limits->gap_ms;
}

/* The moments are those of one line; the other's values are taken at them. */
void mr_line_load(struct mr_line_work *w, const struct mr_track *first, const struct mr_track *second, int64_t t0,
                  int64_t t1, const struct mr_line_limits *limits) {
    size_t lo = mr_track_first(first, t0), hi = mr_track_first(first, t1 + 1);
    need_room(w, hi - lo);
    const int64_t second_ms = second == NULL ? 0 : break_ms(w, second, t0, t1, limits, true);
    w->gap_ms = break_ms(w, first, t0, t1, limits, false);
    w->n = hi - lo;
    size_t k = second == NULL ? 0 : mr_track_first(second, t0);
    k -= second != NULL && k > 0;
    for (size_t i = 0; i < w->n; i++) {
        w->t_ms[i] = mr_track_ms(first, lo + i);
        w->a[i] = mr_track_value(first, lo + i);
        w->b[i] = follow(second, &k, w->t_ms[i], second_ms);
        w->off[i] = 0;
    }
    set_holds(w, t1);
}
