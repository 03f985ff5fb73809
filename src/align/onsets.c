/*
 * onsets.c - from when does a probe warm as under a landing film.
 *
 * The log is read in bins of at least ten seconds, each the median of its samples, so that single spikes vanish. In a
 * running comparison of one minute with the minute before, a warming clear of the log's own noise raises a suspicion;
 * it is an onset where, within five minutes, the steel leaves the straight line through the four minutes before by
 * the least rise. Sun and cooling are such straight lines. The onset is where a line through the early rise meets
 * that base line. One pass; the assess stage judges the heat itself, with a fitted curve.
 */
#include "align/align_state.h"
#include "numeric/select.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Seconds, all common practice with no source: the reaction runs for minutes, instruments log every 1 to 10 s. */
enum { BIN_S = 10, COMPARE_S = 60, BASE_S = 240, RISE_S = 300, BREAK_S = 120, BIN_MAX = 64 };

struct bins { /* one unbroken stretch of a log */
    size_t n, cap;
    double *t_s, *v, *sum; /* since the stretch's first sample; sum: of v up to and with this bin */
    int64_t t0_utc_ms;
};

static void add_bin(struct bins *b, double t_s, double v) {
    b->t_s[b->n] = t_s;
    b->v[b->n++] = v;
}

/* Spikes of a log that gives few samples to a bin: each bin becomes the median of the five around it, of three where
 * bins are far apart. What rises steadily stays as it is. */
static void quiet(struct bins *b) {
    size_t reach = b->n > 1 && (b->t_s[b->n - 1] - b->t_s[0]) / (double)(b->n - 1) <= 1.5 * BIN_S ? 2 : 1;
    double before[2] = {b->v[0], b->v[0]};
    for (size_t i = 0; i < b->n; i++) {
        double around[5];
        size_t n = 0;
        for (size_t k = 0; k < reach && k < i; k++)
            around[n++] = before[k];
        for (size_t k = i; k <= i + reach && k < b->n; k++)
            around[n++] = b->v[k];
        before[1] = before[0];
        before[0] = b->v[i];
        b->v[i] = mr_median(around, n);
        b->sum[i] = b->v[i] + (i ? b->sum[i - 1] : 0);
    }
}

/* Fills bins from sample i on until the log breaks off; returns where it did. */
static size_t fill(struct bins *b, const struct mr_track *track, size_t i, int64_t break_ms) {
    b->n = 0;
    b->t0_utc_ms = mr_track_ms(track, i);
    double held[BIN_MAX], t_sum = 0;
    size_t n = 0;
    int64_t bin = -1, last = b->t0_utc_ms;
    for (; i < track->n && mr_track_ms(track, i) - last <= break_ms; i++) {
        if (isnan(mr_track_value(track, i)))
            continue;
        last = mr_track_ms(track, i);
        int64_t k = (last - b->t0_utc_ms) / (BIN_S * 1000);
        if (n && (k != bin || n == BIN_MAX)) {
            add_bin(b, t_sum / (double)n, mr_median(held, n));
            n = 0;
            t_sum = 0;
        }
        bin = k;
        t_sum += (double)(last - b->t0_utc_ms) / 1000;
        held[n++] = mr_track_value(track, i);
    }
    if (n)
        add_bin(b, t_sum / (double)n, mr_median(held, n));
    if (b->n)
        quiet(b);
    return i;
}

/* First bin at or after t_s, searched forward from a bin known to lie before it. */
static size_t bin_from(const struct bins *b, size_t i, double t_s) {
    while (i < b->n && b->t_s[i] < t_s)
        i++;
    return i;
}

static double mean_of(const struct bins *b, size_t i0, size_t i1) {
    return (b->sum[i1 - 1] - (i0 ? b->sum[i0 - 1] : 0)) / (double)(i1 - i0);
}

/* Noise of a bin: from the differences between neighbours, by their median, so that rises do not count. */
static double noise_of(struct mr_align_state *st, const struct bins *b) {
    if (b->n < 8)
        return 0;
    size_t stride = b->n / 20000 + 1, n = 0;
    double *d = MR_ARRAY(st->arena, double, b->n / stride + 1);
    for (size_t i = 1; i < b->n; i += stride)
        d[n++] = fabs(b->v[i] - b->v[i - 1]);
    double noise = 1.4826 * mr_select_kth(d, n, n / 2) / sqrt(2.0);
    mr_arena_drop(st->arena, d);
    return noise;
}

struct base_line {
    double level, slope; /* at t = 0 of the stretch */
};

/* Straight line through bins i0 to i1; level where they are too few for a slope. */
static struct base_line line_through(const struct bins *b, size_t i0, size_t i1) {
    double n = (double)(i1 - i0), t = 0, v = 0, tt = 0, tv = 0;
    for (size_t i = i0; i < i1; i++) {
        t += b->t_s[i];
        v += b->v[i];
    }
    t /= n;
    v /= n;
    for (size_t i = i0; i < i1; i++) {
        tt += (b->t_s[i] - t) * (b->t_s[i] - t);
        tv += (b->t_s[i] - t) * (b->v[i] - v);
    }
    double slope = i1 - i0 >= 6 && tt > 0 ? tv / tt : 0;
    return (struct base_line){v - slope * t, slope};
}

static double above_line(const struct bins *b, struct base_line base, size_t i) {
    return b->v[i] - (base.level + base.slope * b->t_s[i]);
}

/* Where a line through the early rise (from a tenth to half of what the first minutes bring) meets the base line. */
static double meets_base(const struct bins *b, struct base_line base, size_t i0, size_t i1, double rise) {
    size_t low = i0;
    while (low < i1 && above_line(b, base, low) < 0.1 * rise)
        low++;
    while (low > i0 && above_line(b, base, low - 1) > 0.05 * rise)
        low--;
    size_t high = low;
    while (high < i1 && above_line(b, base, high) < 0.5 * rise)
        high++;
    if (high >= i1)
        return b->t_s[low < i1 ? low : i1 - 1];
    if (high == low)
        return low > 0 ? (b->t_s[low] + b->t_s[low - 1]) / 2 : b->t_s[low];
    double t0 = b->t_s[low], t1 = b->t_s[high], d0 = above_line(b, base, low), d1 = above_line(b, base, high);
    double back = d1 > d0 ? d0 * (t1 - t0) / (d1 - d0) : 0;
    return t0 - (back < 2 * BIN_S ? back : 2 * BIN_S);
}

/* Judges the suspicion at bin i. Returns the bin to go on from. */
static size_t judge(struct mr_align_state *st, size_t track, const struct bins *b, size_t i, double least_k,
                    mr_onsets *out) {
    size_t base0 = i;
    while (base0 > 0 && b->t_s[i] - b->t_s[base0 - 1] <= BASE_S + COMPARE_S)
        base0--;
    size_t base1 = i;
    while (base1 > base0 + 1 && b->t_s[i] - b->t_s[base1 - 1] < COMPARE_S / 2)
        base1--;
    struct base_line base = line_through(b, base0, base1);
    size_t end = bin_from(b, i, b->t_s[i] + RISE_S), peak = i;
    for (size_t k = i; k < end; k++)
        if (above_line(b, base, k) > above_line(b, base, peak))
            peak = k;
    double rise = above_line(b, base, peak);
    if (rise < least_k)
        return i + 1;
    int64_t t = b->t0_utc_ms + (int64_t)(meets_base(b, base, base1 > 0 ? base1 - 1 : 0, peak + 1, rise) * 1000);
    struct mr_onset onset = {t, track, MR_NONE, rise};
    MR_PUSH(st->arena, out, onset);
    /* The same rise raises no second suspicion: go on once it has turned. */
    while (peak + 1 < b->n && b->t_s[peak + 1] - b->t_s[peak] <= BREAK_S && b->v[peak + 1] >= b->v[peak])
        peak++;
    return bin_from(b, peak, b->t_s[peak] + COMPARE_S);
}

static void search(struct mr_align_state *st, size_t track, const struct bins *b, double least_k, mr_onsets *out) {
    double clear = 4 * noise_of(st, b);
    double suspicion = clear > least_k / 4 ? clear : least_k / 4;
    size_t before = 0, after = 0;
    for (size_t i = 1; i < b->n; i++) {
        while (b->t_s[before] < b->t_s[i] - COMPARE_S)
            before++;
        after = bin_from(b, after > i ? after : i, b->t_s[i] + COMPARE_S);
        if (before >= i || after <= i || mean_of(b, i, after) - mean_of(b, before, i) < suspicion)
            continue;
        size_t next = judge(st, track, b, i, least_k, out);
        i = next > i + 1 ? next - 1 : i;
    }
}

void mr_track_onsets(struct mr_align_state *st, size_t track_index, mr_onsets *out) {
    const struct mr_track *track = &st->out->tracks.v[track_index];
    double least_k = mr_set_num(&st->job->settings, MR_ONSET_RISE);
    if (isnan(least_k) || least_k <= 0 || track->n == 0)
        return;
    size_t span_bins = (size_t)((mr_track_ms(track, track->n - 1) - mr_track_ms(track, 0)) / (BIN_S * 1000)) +
                       track->n / BIN_MAX + 2;
    struct bins b = {.cap = span_bins < track->n ? span_bins : track->n};
    b.t_s = MR_ARRAY(st->arena, double, b.cap);
    b.v = MR_ARRAY(st->arena, double, b.cap);
    b.sum = MR_ARRAY(st->arena, double, b.cap);
    for (size_t i = 0; i < track->n;) {
        size_t next = fill(&b, track, i, BREAK_S * 1000);
        if (b.n > 3)
            search(st, track_index, &b, least_k, out);
        i = next > i ? next : i + 1;
    }
    mr_arena_drop(st->arena, b.sum);
    mr_arena_drop(st->arena, b.v);
    mr_arena_drop(st->arena, b.t_s);
}
