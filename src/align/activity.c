/*
 * activity.c - when was the trigger pulled: stretches in which a line stands above a share of its working pressure.
 *
 * The working pressure is the 90th percentile of what stands above the pressure that counts as relieved, from an even
 * sample of the log: windows fill hours, and neither a surge nor a night in the rack moves it. A single sample above the
 * threshold is no pull; a short drop is no release.
 */
#include "align/making.h"

#include <math.h>
#include <stdlib.h>

enum { SAMPLE = 20000, LEAST = 10 };

static int by_value(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* NaN where the line was never charged. */
static double threshold_kpa(struct mr_making *m, const struct mr_track *track) {
    double relieved = mr_set_num(&m->job->settings, MR_RELIEVED_BELOW), share = mr_set_num(&m->job->settings, MR_ACTIVE_SHARE);
    if (isnan(relieved) || relieved < 0)
        relieved = 0;
    size_t stride = track->n / SAMPLE + 1, n = 0;
    double *v = MR_ARRAY(m->arena, double, track->n / stride + 1);
    for (size_t i = 0; i < track->n; i += stride)
        if (track->value[i] > relieved)
            v[n++] = track->value[i];
    double level = (double)NAN;
    if (n >= LEAST) {
        qsort(v, n, sizeof *v, by_value);
        level = v[n * 9 / 10];
    }
    mr_arena_drop(m->arena, v);
    double above = level * (isnan(share) ? 0.5 : share / 100);
    return above < relieved ? relieved : above;
}

void mr_track_activity(struct mr_making *m, const struct mr_track *track, mr_spans *out) {
    double above = threshold_kpa(m, track);
    int64_t pause_ms = mr_make_setting_ms(m, MR_ACTIVE_PAUSE);
    if (isnan(above))
        return;
    bool pulled = false;
    for (size_t i = 0; i + 1 < track->n; i++) {
        /* NaN compares false: a missing value is no pull. */
        bool high = track->value[i] >= above && track->value[i + 1] >= above &&
                    track->t_utc_ms[i + 1] - track->t_utc_ms[i] <= pause_ms;
        if (!high) {
            pulled = false;
            continue;
        }
        int64_t t0 = track->t_utc_ms[i], t1 = track->t_utc_ms[i + 1];
        struct mr_span *last = out->n ? &out->v[out->n - 1] : NULL;
        if (last && (pulled || t0 - last->t1_utc_ms <= pause_ms)) {
            last->t1_utc_ms = t1;
        } else {
            struct mr_span span = {t0, t1};
            MR_PUSH(m->arena, out, span);
        }
        pulled = true;
    }
}

static int by_span(const void *a, const void *b) {
    const struct mr_span *x = a, *y = b;
    if (x->t0_utc_ms != y->t0_utc_ms)
        return x->t0_utc_ms < y->t0_utc_ms ? -1 : 1;
    return (x->t1_utc_ms > y->t1_utc_ms) - (x->t1_utc_ms < y->t1_utc_ms);
}

void mr_spans_join(mr_spans *spans, int64_t gap_ms) {
    if (!spans->n)
        return;
    qsort(spans->v, spans->n, sizeof *spans->v, by_span);
    size_t n = 1;
    for (size_t i = 1; i < spans->n; i++) {
        struct mr_span *last = &spans->v[n - 1];
        if (spans->v[i].t0_utc_ms - last->t1_utc_ms <= gap_ms) {
            if (spans->v[i].t1_utc_ms > last->t1_utc_ms)
                last->t1_utc_ms = spans->v[i].t1_utc_ms;
        } else {
            spans->v[n++] = spans->v[i];
        }
    }
    spans->n = n;
}
