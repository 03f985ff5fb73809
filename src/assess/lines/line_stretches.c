/*
 * line_stretches.c - see line_stretches.h.
 */
#include "assess/lines/line_stretches.h"

#include <math.h>

static bool gap_after(const struct mr_line_work *w, size_t i) {
    return i + 1 < w->n && w->t_ms[i + 1] - w->t_ms[i] > w->gap_ms;
}

int64_t mr_line_hold_end(const struct mr_line_work *w, size_t i) {
    return w->t_ms[i] + (int64_t)w->hold_ms[i];
}

double mr_held_most(const double *x, const int64_t *t_ms, const double *hold_ms, const unsigned char *off, size_t n,
                    int64_t event_ms, size_t *queue) {
    double most = MR_NAN;
    size_t head = 0, tail = 0, from = 0; /* queue[head..tail): rising values, so the head is the least of from..i */
    for (size_t i = 0; i < n; i++) {
        if (isnan(x[i]) || off[i]) {
            from = i + 1;
            head = tail = 0;
            continue;
        }
        if (i > from && (double)(t_ms[i] - t_ms[i - 1]) > hold_ms[i - 1]) { /* a gap */
            from = i;
            head = tail = 0;
        }
        while (tail > head && x[queue[tail - 1]] >= x[i])
            tail--;
        queue[tail++] = i;
        double end = (double)t_ms[i] + hold_ms[i];
        while (from + 1 < i && end - (double)t_ms[from + 1] >= (double)event_ms)
            from++;
        while (queue[head] < from)
            head++;
        if (i > from && end - (double)t_ms[from] >= (double)event_ms && !(x[queue[head]] <= most))
            most = x[queue[head]];
    }
    return most;
}

/* How long a stretch from sample i to j may have lasted if the samples that are missing beside it belonged to it. */
static int64_t may_last_ms(const struct mr_line_work *w, const double *v, size_t i, size_t j) {
    size_t before = i, after = j + 1;
    while (before > 0 && isnan(v[before - 1]))
        before--;
    while (after < w->n && isnan(v[after]))
        after++;
    int64_t from = w->t_ms[before], to = after < w->n ? w->t_ms[after] : mr_line_hold_end(w, after - 1);
    if (before > 0 && (double)(from - w->t_ms[before - 1]) > MR_LINE_MISSED * w->usual_ms)
        from = w->t_ms[before - 1] + (int64_t)w->usual_ms;
    return to - from;
}

void mr_line_stretches(struct mr_line_work *w, const struct mr_line_look *look, mr_line_events *out) {
    struct mr_line_event pattern = look->pattern;
    for (size_t i = look->lo; i < look->hi;) {
        if (!look->holds(w, i, look->ctx)) {
            i++;
            continue;
        }
        size_t j = i;
        while (j + 1 < look->hi && !gap_after(w, j) && look->holds(w, j + 1, look->ctx))
            j++;
        pattern.t0_ms = w->t_ms[i];
        pattern.t1_ms = mr_line_hold_end(w, j);
        const bool lasts = pattern.t1_ms - pattern.t0_ms >= look->event_ms;
        if (j > i && lasts) {
            MR_PUSH(w->arena, out, pattern);
        } else {
            MR_PUSH(w->arena, &w->brief, pattern);
            w->lone[pattern.kind] += lasts || (look->v && may_last_ms(w, look->v, i, j) >= look->event_ms);
            w->off[i] |= lasts && pattern.kind != MR_LINE_IMBALANCE;
        }
        i = j + 1;
    }
}
