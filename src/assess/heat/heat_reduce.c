/*
 * heat_reduce.c - a long temperature record, cleaned of spikes and binned, in one pass. See heat.h.
 *
 * Noise, resolution and range are judged on a few thousand samples spread evenly over the record, so that the one
 * pass can already tell a spike. Set aside are: one or two samples that leave their neighbours and come back; and
 * longer excursions that leave by more than half the record's range between two samples and come back within
 * slowest/15, as a loose plug makes. What leaves and stays is a new level and is kept.
 */
#include "assess/heat/heat.h"
#include "numeric/search.h"
#include "numeric/select.h"

#include <math.h>
#include <string.h>

enum { PROBES = 4096 };

static int by_time(const void *item, const void *key) {
    const double *a = item, *b = key;
    return MR_ORDER(*a, *b);
}

size_t mr_heat_bin_at(const struct mr_heat_bins *bins, double t_s) {
    return mr_first_from(&t_s, bins->t_s, bins->n, sizeof *bins->t_s, by_time);
}

static double time_of(const struct mr_heat_series *series, size_t i) {
    return series->t_s ? series->t_s[i] : (double)(mr_whole(&series->t_ms, i) - series->zero_ms) * 1e-3;
}

struct record_traits { /* what a sparse look over the record shows */
    double dt_s, noise_k, resolution_k, range_k;
};

/* Second difference of three samples at uneven distances, scaled to the noise of one. */
static double unevenness(double t0, double t1, double t2, double a, double b, double c) {
    double w = (t2 - t1) / (t2 - t0);
    return fabs(b - w * a - (1.0 - w) * c) / sqrt(1.0 + w * w + (1.0 - w) * (1.0 - w));
}

static struct record_traits traits_of(struct mr_arena *arena, const struct mr_heat_series *series) {
    struct record_traits look = {.dt_s = 0.0, .resolution_k = HUGE_VAL};
    double *dt = MR_ARRAY(arena, double, PROBES), *rough = MR_ARRAY(arena, double, PROBES),
           *c = MR_ARRAY(arena, double, PROBES);
    size_t n = 0, n_c = 0, inner = series->n > 2 ? series->n - 2 : 0;
    size_t count = inner < PROBES ? inner : PROBES;
    for (size_t p = 0; p < count; p++) {
        size_t i = 1 + (size_t)((double)p * (double)inner / (double)count);
        double a = mr_real(&series->value, i - 1), b = mr_real(&series->value, i), e = mr_real(&series->value, i + 1);
        if (!isnan(b))
            c[n_c++] = b;
        if (isnan(a) || isnan(b) || isnan(e))
            continue;
        double t0 = time_of(series, i - 1), t1 = time_of(series, i), t2 = time_of(series, i + 1);
        dt[n] = t1 - t0;
        rough[n++] = unevenness(t0, t1, t2, a, b, e);
        if (fabs(b - a) > 0.0)
            look.resolution_k = fmin(look.resolution_k, fabs(b - a));
    }
    if (!isfinite(look.resolution_k))
        look.resolution_k = 0.0;
    look.dt_s = n ? mr_median(dt, n) : 0.0;
    double noise = n ? 1.4826 * mr_median(rough, n) : 0.0;
    look.noise_k = fmax(noise, look.resolution_k / sqrt(12.0)); /* rounding to a step is uniform noise */
    if (n_c) {
        double high = mr_select_kth(c, n_c, n_c - 1 - n_c / 32);
        look.range_k = high - mr_select_kth(c, n_c, n_c / 32);
    }
    mr_arena_drop(arena, dt);
    mr_arena_drop(arena, rough);
    mr_arena_drop(arena, c);
    return look;
}

struct cleaner {
    const struct mr_heat_series *series;
    double small_k, large_k; /* steps that are looked at */
    double longest_s;        /* of an excursion */
    double last;             /* last good value; NaN at the start */
};

/* First sample after an excursion that begins at i, or i itself where it is none. */
static size_t back_again(const struct cleaner *clean, size_t i) {
    const struct mr_heat_series *s = clean->series;
    double jump = fabs(mr_real(&s->value, i) - clean->last), size = jump, t = time_of(s, i);
    double back = fmax(clean->small_k, 0.2 * jump); /* the steel may have warmed in the meantime */
    size_t seen = 0;
    for (size_t j = i; j < s->n; j++) {
        if (isnan(mr_real(&s->value, j)))
            continue;
        if (fabs(mr_real(&s->value, j) - clean->last) <= back)
            return j;
        size = fmin(size, fabs(mr_real(&s->value, j) - clean->last));
        if (++seen > 2 && (size <= clean->large_k || time_of(s, j) - t > clean->longest_s))
            return i;
    }
    return seen <= 2 ? s->n : i; /* the record ends in it */
}

struct binning {
    struct mr_heat_bins *out;
    double width_s; /* 0 = every sample is a bin */
    double zero_s;
    int64_t bin;
    double sum_t, sum_c;
    uint64_t count;
};

static void close_bin(struct binning *b) {
    if (b->count == 0)
        return;
    size_t i = b->out->n++;
    b->out->t_s[i] = b->sum_t / (double)b->count;
    b->out->c[i] = b->sum_c / (double)b->count;
    b->out->weight[i] = (double)b->count;
    b->sum_t = b->sum_c = 0.0;
    b->count = 0;
}

static void take(struct binning *b, double t_s, double c) {
    int64_t bin = b->width_s > 0.0 ? (int64_t)floor((t_s - b->zero_s) / b->width_s) : b->bin + 1;
    if (bin != b->bin)
        close_bin(b);
    b->bin = bin;
    b->sum_t += t_s;
    b->sum_c += c;
    b->count++;
}

/* Weights around 1, and the noise of a bin from the bins themselves: noise that drifts slowly does not average away.
 */
static void settle(struct mr_arena *arena, struct mr_heat_bins *out, const struct record_traits *look) {
    if (out->n < 3) {
        for (size_t i = 0; i < out->n; i++)
            out->weight[i] = 1.0;
        out->noise_k = look->noise_k;
        return;
    }
    double *work = MR_ARRAY(arena, double, out->n);
    memcpy(work, out->weight, out->n * sizeof *work);
    double usual = mr_median(work, out->n);
    for (size_t i = 0; i < out->n; i++)
        out->weight[i] /= usual;
    for (size_t i = 1; i < out->n; i++)
        work[i - 1] = out->t_s[i] - out->t_s[i - 1];
    out->step_s = mr_median(work, out->n - 1);
    for (size_t i = 1; i + 1 < out->n; i++)
        work[i - 1] =
            unevenness(out->t_s[i - 1], out->t_s[i], out->t_s[i + 1], out->c[i - 1], out->c[i], out->c[i + 1]);
    double noise = 1.4826 * mr_median(work, out->n - 2);
    out->noise_k = fmax(noise, look->resolution_k / sqrt(12.0 * usual));
    out->resolution_k = look->resolution_k;
    mr_arena_drop(arena, work);
}

void mr_heat_reduce(struct mr_arena *arena, const struct mr_heat_series *series,
                    const struct mr_heat_options *options, struct mr_heat_bins *out) {
    *out = (struct mr_heat_bins){.noise_k = 0.0};
    if (series->n == 0)
        return;
    double zero = time_of(series, 0), span = time_of(series, series->n - 1) - zero;
    out->slowest_s = options->slowest_s > 0.0 ? options->slowest_s : span / 10.0;
    out->least_k = options->least_k;
    struct record_traits look = traits_of(arena, series);
    struct binning bins = {.out = out, .zero_s = zero, .bin = -1};
    double width = out->slowest_s / 180.0;
    if (look.dt_s < 0.75 * width && width > 0.0)
        bins.width_s = width;
    double room = bins.width_s > 0.0 ? fmin((double)series->n, span / width + 2.0) : (double)series->n;
    out->t_s = MR_ARRAY(arena, double, (size_t)room);
    out->c = MR_ARRAY(arena, double, (size_t)room);
    out->weight = MR_ARRAY(arena, double, (size_t)room);
    struct cleaner clean = {.series = series, .last = MR_NAN, .longest_s = out->slowest_s / 15.0};
    clean.small_k = fmax(fmax(6.0 * look.noise_k, 3.0 * look.resolution_k), 0.05 * look.range_k);
    clean.large_k = fmax(2.0 * clean.small_k, 0.5 * look.range_k);
    for (size_t i = 0; i < series->n; i++) {
        double c = mr_real(&series->value, i);
        if (isnan(c))
            continue;
        if (fabs(c - clean.last) > clean.small_k) {
            size_t next = back_again(&clean, i);
            if (next > i) {
                out->n_spikes += next - i;
                i = next - 1;
                continue;
            }
        }
        clean.last = c;
        take(&bins, time_of(series, i), c);
    }
    close_bin(&bins);
    settle(arena, out, &look);
    out->least_k = fmax(out->least_k, 2.0 * look.resolution_k); /* one step up and down is no event */
}
