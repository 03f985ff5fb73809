/*
 * activity.c - when was the trigger pulled, as a line's pressure tells.
 *
 * First level: a line that stands above a share of its working pressure is charged. The working pressure is the 90th
 * percentile of what stands above the pressure that counts as relieved, from an even sample of the log: windows fill
 * hours, and neither a surge nor a night in the rack moves it. Second level: a charged line with the trigger shut
 * stands at the regulator's static pressure; with the trigger pulled the flow takes some of it. Where a charged
 * stretch has two such levels, clearly apart, the lower one is spraying. The cut between them is Otsu's (N. Otsu, A
 * threshold selection method from gray-level histograms, IEEE Trans. SMC 9, 1979); "clearly" means that the means
 * stand at least five within-level deviations apart (two halves of one normal distribution stand 2.7 apart, of one
 * uniform distribution 3.5). Where there is one level only, charged counts as spraying. A moment belongs to the level
 * of most samples around it, so that ripple and turns of the gun make no edges.
 */
#include "align/align_state.h"
#include "numeric/select.h"

#include <math.h>
#include <stdlib.h>

enum { SAMPLE = 20000, STRETCH_SAMPLE = 4000, LEAST = 10, AROUND_MS = 5500, AROUND_LEAST = 1 };

/* NaN where the line was never charged. */
static double threshold_kpa(struct mr_align_state *st, const struct mr_track *track) {
    double relieved = mr_set_num(&st->job->settings, MR_RELIEVED_BELOW),
           share = mr_set_num(&st->job->settings, MR_ACTIVE_SHARE);
    if (isnan(relieved) || relieved < 0)
        relieved = 0;
    size_t stride = track->n / SAMPLE + 1, n = 0;
    double *v = MR_ARRAY(st->arena, double, track->n / stride + 1);
    for (size_t i = 0; i < track->n; i += stride)
        if (mr_track_value(track, i) > relieved)
            v[n++] = mr_track_value(track, i);
    double level = (double)NAN;
    if (n >= LEAST) {
        level = mr_select_kth(v, n, n * 9 / 10);
    }
    mr_arena_drop(st->arena, v);
    double above = level * (isnan(share) ? 0.5 : share / 100);
    return above < relieved ? relieved : above;
}

/* The cut between two levels of sorted values, or NaN where they are one. */
static double two_levels(const double *v, size_t n) {
    double sum = 0, squares = 0, best = 0, low_sum = 0;
    size_t cut = 0;
    for (size_t i = 0; i < n; i++) {
        sum += v[i] - v[0];
        squares += (v[i] - v[0]) * (v[i] - v[0]);
    }
    for (size_t i = 0; i + 1 < n; i++) {
        low_sum += v[i] - v[0];
        double a = (double)(i + 1), b = (double)(n - i - 1), apart = (sum - low_sum) / b - low_sum / a;
        if (a * b * apart * apart > best) {
            best = a * b * apart * apart;
            cut = i + 1;
        }
    }
    if (cut < n / 20 + 1 || n - cut < n / 20 + 1)
        return (double)NAN;
    double low = 0;
    for (size_t i = 0; i < cut; i++)
        low += (v[i] - v[0]) / (double)cut;
    double high = (sum - low * (double)cut) / (double)(n - cut);
    double between = best / (double)n / (double)n,
           within = squares / (double)n - sum / (double)n * (sum / (double)n) - between;
    if (within > 0 && high - low < 5 * sqrt(within))
        return (double)NAN;
    return v[0] + (low + high) / 2;
}

/* Cut for the charged stretch [i0, i1); the outermost hundredths (ramps, short faults) are left out. */
static double cut_of(struct mr_align_state *st, const struct mr_track *track, size_t i0, size_t i1, double above) {
    size_t stride = (i1 - i0) / STRETCH_SAMPLE + 1, n = 0;
    double *v = MR_ARRAY(st->arena, double, (i1 - i0) / stride + 1);
    for (size_t i = i0; i < i1; i += stride)
        if (mr_track_value(track, i) >= above)
            v[n++] = mr_track_value(track, i);
    double cut = (double)NAN;
    if (n >= 3 * LEAST) {
        mr_sort(v, n);
        cut = two_levels(v + n / 50, n - 2 * (n / 50));
    }
    mr_arena_drop(st->arena, v);
    return cut;
}

static void add_span(struct mr_align_state *st, mr_spans *out, int64_t t0, int64_t t1, int64_t pause_ms) {
    struct mr_span *last = out->n ? &out->v[out->n - 1] : NULL;
    if (last && t0 - last->t1_utc_ms <= pause_ms) {
        last->t1_utc_ms = t1;
        return;
    }
    struct mr_span span = {t0, t1};
    MR_PUSH(st->arena, out, span);
}

/* Moments of the stretch in which most samples within five seconds stand under the cut. */
static void add_pulled(struct mr_align_state *st, const struct mr_track *t, size_t i0, size_t i1, double cut,
                       int64_t pause_ms, mr_spans *out) {
    size_t lo = i0, hi = i0, under = 0, known = 0, first = i1;
    for (size_t i = i0; i <= i1; i++) {
        bool pulled = false;
        if (i < i1) {
            for (; hi < i1 && (hi <= i + AROUND_LEAST || mr_track_ms(t, hi) - mr_track_ms(t, i) <= AROUND_MS); hi++) {
                under += mr_track_value(t, hi) < cut ? 1 : 0;
                known += isnan(mr_track_value(t, hi)) ? 0 : 1;
            }
            for (; lo + AROUND_LEAST < i && mr_track_ms(t, i) - mr_track_ms(t, lo) > AROUND_MS; lo++) {
                under -= mr_track_value(t, lo) < cut ? 1 : 0;
                known -= isnan(mr_track_value(t, lo)) ? 0 : 1;
            }
            pulled = under * 2 > known;
        }
        if (pulled && first == i1)
            first = i;
        if (!pulled && first < i1) {
            add_span(st, out, mr_track_ms(t, first), mr_track_ms(t, i - 1), pause_ms);
            first = i1;
        }
    }
}

void mr_track_activity(struct mr_align_state *st, const struct mr_track *track, mr_spans *out) {
    double above = threshold_kpa(st, track);
    int64_t pause_ms = mr_align_setting_ms(st, MR_ACTIVE_PAUSE);
    for (size_t i = 0, end; i < track->n && !isnan(above); i = end) {
        end = i + 1;
        if (!(mr_track_value(track, i) >= above))
            continue;
        /* A drop shorter than the pause, or missing values, do not end the charged stretch. */
        size_t last = i;
        for (; end < track->n && mr_track_ms(track, end) - mr_track_ms(track, last) <= pause_ms; end++)
            if (mr_track_value(track, end) >= above)
                last = end;
        if (last == i)
            continue; /* a single sample is no pull */
        end = last + 1;
        double cut = cut_of(st, track, i, end, above);
        if (isnan(cut))
            add_span(st, out, mr_track_ms(track, i), mr_track_ms(track, last), pause_ms);
        else
            add_pulled(st, track, i, end, cut, pause_ms, out);
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
