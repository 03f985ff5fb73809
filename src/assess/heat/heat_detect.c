/*
 * heat_detect.c - where a record rises as a reaction makes it rise. See heat.h.
 *
 * Three linear steps: take off what is slower than an event (medians of long blocks, joined by straight lines);
 * average over as few neighbours as the noise demands; then walk through the record and note each climb from a low
 * point to a high point that is larger than both the least rise asked for and what noise can do. The walk knows no
 * time scale: it finds a rise of three minutes and one of three hours alike. A climb is no reaction where one step
 * makes most of it (a probe moved, a channel swapped) or where it takes longer than the slowest event. Rejected:
 * matched filters over a grid of curves, dearer and no surer at the noise met here.
 */
#include "assess/heat/heat.h"
#include "numeric/select.h"

#include <math.h>
#include <string.h>

static const double CLEAR_OF_NOISE = 8.0; /* so many deviations of the averaged noise a rise must have */
static const double STEP_SHARE = 0.6;     /* one step with more than this share of a climb is a jump */

struct climb_search {
    const struct mr_heat_bins *bins;
    const double *y; /* shape: bins->n, what is searched */
    double threshold_k;
    double half_width_s; /* of the averaging */
    bool whole;          /* the record itself is searched, not a residual */
    mr_heat_candidates *out;
    struct mr_arena *arena;
};

/* Medians of blocks as wide as the slowest event, smoothed once more by a median of five, joined by straight lines.
 * Only its climbs count: to take off a fall would make climbs where there were none. */
static void slow_part(struct mr_arena *arena, const struct mr_heat_bins *bins, double *out) {
    size_t n_bins = bins->n;
    double width = bins->slowest_s, t0 = bins->t_s[0], span = bins->t_s[n_bins - 1] - t0;
    size_t blocks = width > 0.0 ? (size_t)(span / width) + 1 : 1;
    memset(out, 0, n_bins * sizeof *out);
    if (blocks < 6) /* too short a record to tell drift from events */
        return;
    double *middle = MR_ARRAY(arena, double, blocks), *smooth = MR_ARRAY(arena, double, blocks);
    double *work = MR_ARRAY(arena, double, n_bins);
    for (size_t b = 0, i = 0; b < blocks; b++) {
        size_t n = 0;
        for (; i < n_bins && (bins->t_s[i] - t0 < (double)(b + 1) * width || b + 1 == blocks); i++)
            work[n++] = bins->c[i];
        middle[b] = n ? mr_median(work, n) : (b ? middle[b - 1] : 0.0);
    }
    for (size_t b = 0; b < blocks; b++) {
        double five[5];
        size_t n = 0, reach = b < 2 ? b : 2;
        if (blocks - 1 - b < reach)
            reach = blocks - 1 - b;
        for (size_t j = b - reach; j <= b + reach; j++)
            five[n++] = middle[j];
        smooth[b] = mr_median(five, n);
    }
    middle[0] = 0.0;
    for (size_t b = 1; b < blocks; b++)
        middle[b] = middle[b - 1] + fmax(smooth[b] - smooth[b - 1], 0.0);
    for (size_t i = 0; i < n_bins; i++) {
        double x = (bins->t_s[i] - t0) / width - 0.5;
        double at = fmin(fmax(x, 0.0), (double)(blocks - 1));
        size_t b = (size_t)at < blocks - 1 ? (size_t)at : blocks - 2;
        out[i] = middle[b] + (at - (double)b) * (middle[b + 1] - middle[b]);
    }
    mr_arena_drop(arena, work);
}

/* Weighted running mean over +- half_width_s. */
static void average(const struct mr_heat_bins *bins, const double *in, double half_width_s, double *out) {
    size_t a = 0, b = 0;
    double sum = 0.0, weight = 0.0;
    for (size_t i = 0; i < bins->n; i++) {
        for (; b < bins->n && bins->t_s[b] <= bins->t_s[i] + half_width_s; b++) {
            sum += bins->weight[b] * in[b];
            weight += bins->weight[b];
        }
        for (; bins->t_s[a] < bins->t_s[i] - half_width_s; a++) {
            sum -= bins->weight[a] * in[a];
            weight -= bins->weight[a];
        }
        out[i] = sum / weight;
    }
}

/* Noise of the averaged series at the distance of its own width, drift and cooling tails taken out by differencing.
 */
static double averaged_noise(struct mr_arena *arena, const struct mr_heat_bins *bins, const double *y, size_t lag) {
    if (bins->n < 4 * lag + 8)
        return 0.0;
    double *work = MR_ARRAY(arena, double, bins->n);
    size_t n = 0;
    for (size_t i = lag; i + lag < bins->n; i++)
        if (bins->t_s[i + lag] - bins->t_s[i - lag] < 3.0 * (double)lag * bins->step_s)
            work[n++] = fabs(y[i] - 0.5 * (y[i - lag] + y[i + lag]));
    double noise = n ? 1.4826 * mr_median(work, n) / sqrt(1.5) : 0.0;
    mr_arena_drop(arena, work);
    return noise;
}

/* Time at which the climb to the peak at bin hi last rose through a level, going back from `before`. */
static double last_rise_through(const struct climb_search *w, size_t lo, size_t before, double level) {
    for (size_t i = before; i > lo; i--)
        if (w->y[i - 1] < level && w->y[i] >= level)
            return w->bins->t_s[i - 1] +
                   (w->bins->t_s[i] - w->bins->t_s[i - 1]) * (level - w->y[i - 1]) / (w->y[i] - w->y[i - 1]);
    return w->bins->t_s[lo];
}

/* From the peak on: when nine tenths of the rise are gone, or where the segment or four slowest events end. */
static double end_of(const struct climb_search *w, size_t hi, double low) {
    double level = low + 0.1 * (w->y[hi] - low), limit = w->bins->t_s[hi] + 4.0 * w->bins->slowest_s;
    size_t i = hi;
    while (i + 1 < w->bins->n && w->y[i] > level && w->bins->t_s[i] < limit)
        i++;
    return w->bins->t_s[i];
}

/* One step of the cleaned record that makes most of the climb, where the sampling would have shown more of them. */
static bool is_jump(const struct climb_search *w, size_t lo, size_t hi, double rise) {
    const struct mr_heat_bins *b = w->bins;
    if (!w->whole || b->step_s > b->slowest_s / 40.0)
        return false;
    double need = STEP_SHARE * rise + 4.0 * b->noise_k;
    size_t reach = (size_t)(w->half_width_s / b->step_s) + 1;
    size_t from = lo > reach ? lo - reach : 0, to = hi + reach < b->n ? hi + reach : b->n - 1;
    for (size_t i = from; i < to; i++)
        if (b->c[i + 1] - b->c[i] > need)
            return true;
    return false;
}

/* The climb as a candidate. The curve rises fastest at its onset, so the chord of its lower part, carried down, ends
 * near there. */
static void take(struct climb_search *w, size_t lo, size_t hi) {
    const double *t = w->bins->t_s;
    double rise = w->y[hi] - w->y[lo];
    if (is_jump(w, lo, hi, rise))
        return;
    double t60 = last_rise_through(w, lo, hi, w->y[lo] + 0.60 * rise);
    size_t i60 = mr_heat_bin_at(w->bins, t60);
    double t25 = last_rise_through(w, lo, i60, w->y[lo] + 0.25 * rise);
    double onset = fmax(t25 - (t60 - t25) * (0.25 / 0.35), t[lo]);
    if (t[hi] - onset > 1.5 * w->bins->slowest_s || t60 - onset > w->bins->slowest_s)
        return;
    struct mr_heat_candidate found = {.onset_s = onset,
                                      .peak_s = t[hi],
                                      .end_s = end_of(w, hi, w->y[lo]),
                                      .valley_c = w->y[lo],
                                      .peak_c = w->y[hi]};
    MR_PUSH(w->arena, w->out, found);
}

/* Where the climb from lo to hi leaves what came before: the bin farthest below the chord between them. */
static size_t foot_of(const struct climb_search *w, size_t lo, size_t hi) {
    const double *t = w->bins->t_s, *y = w->y;
    double slope = (y[hi] - y[lo]) / (t[hi] - t[lo]), best = 0.0;
    size_t at = lo;
    for (size_t i = lo; i <= hi; i++) {
        double below = slope * (t[i] - t[lo]) - (y[i] - y[lo]);
        if (below > best) {
            best = below;
            at = i;
        }
    }
    return at;
}

/* The highest bin of [lo, hi] above a drift of `slope`. */
static size_t top_of(const struct climb_search *w, size_t lo, size_t hi, double slope) {
    size_t at = lo;
    for (size_t i = lo; i <= hi; i++)
        if (w->y[i] - w->y[at] > slope * (w->bins->t_s[i] - w->bins->t_s[at]))
            at = i;
    return at;
}

/* A climb longer than the slowest event is drift that may hold events: a steep piece between two elbows that gains by
 * the threshold more than the drift before it would have. Where there is one, the pieces before and after are looked
 * at too. */
static void consider(struct climb_search *w, size_t lo, size_t hi, int depth) {
    const double *t = w->bins->t_s, *y = w->y, slow = w->bins->slowest_s;
    if (hi <= lo || y[hi] - y[lo] < w->threshold_k)
        return;
    if (t[hi] - t[lo] <= slow) {
        take(w, lo, hi);
        return;
    }
    size_t from = lo, to = lo;
    for (size_t i = lo, j = lo; j <= hi; j++) {
        while (t[j] - t[i] > slow / 3.0)
            i++;
        if (y[j] - y[i] > y[to] - y[from]) {
            from = i;
            to = j;
        }
    }
    size_t left = from, right = to;
    while (left > lo && t[from] - t[left] < slow / 2.0)
        left--;
    while (right < hi && t[right] - t[to] < slow / 2.0)
        right++;
    size_t foot = foot_of(w, left, to);
    double before = foot > left ? fmax((y[foot] - y[left]) / (t[foot] - t[left]), 0.0) : 0.0;
    size_t top = top_of(w, foot, right, before);
    double drifted = before * (t[top] - t[foot]), gain = y[top] - y[foot];
    if (top <= foot || gain - drifted < fmax(w->threshold_k, drifted) || depth == 0)
        return;
    consider(w, lo, foot, depth - 1);
    take(w, foot, top);
    consider(w, top, hi, depth - 1);
}

/* From low point to high point and on: a turn counts once the series has gone back by the threshold. */
static void climb(struct climb_search *w) {
    size_t lo = 0, hi = 0;
    bool rising = false;
    for (size_t i = 1; i < w->bins->n; i++) {
        double y = w->y[i];
        if (!rising) {
            if (y < w->y[lo])
                lo = i;
            if (y - w->y[lo] >= w->threshold_k) {
                rising = true;
                hi = i;
            }
        } else if (y > w->y[hi]) {
            hi = i;
        } else if (w->y[hi] - y >= w->threshold_k) {
            consider(w, lo, hi, MR_HEAT_TOGETHER);
            rising = false;
            lo = i;
        }
    }
    if (rising)
        consider(w, lo, hi, MR_HEAT_TOGETHER);
}

/* A stretch without a long gap. Bins are those of the stretch alone; it begins at bin `offset` of the record. */
static void search(struct mr_arena *arena, const struct mr_heat_bins *bins, bool whole, size_t offset,
                   mr_heat_candidates *out) {
    size_t n = bins->n, before = out->n;
    if (n < 5)
        return;
    double *flat = MR_ARRAY(arena, double, n), *y = MR_ARRAY(arena, double, n);
    if (whole)
        slow_part(arena, bins, flat);
    for (size_t i = 0; i < n; i++)
        flat[i] = bins->c[i] - flat[i];
    /* As many neighbours as bring the noise to an eighth of the least rise, within slowest/15. */
    double wanted = bins->least_k > 0.0 ? bins->noise_k * CLEAR_OF_NOISE / bins->least_k : HUGE_VAL;
    double width = fmin(wanted * wanted * bins->step_s, bins->slowest_s / 15.0);
    average(bins, flat, width / 2.0, y);
    double many = bins->step_s > 0.0 ? fmax(1.0, 2.0 * floor(width / 2.0 / bins->step_s) + 1.0) : 1.0;
    double noise = fmax(bins->noise_k / sqrt(many), averaged_noise(arena, bins, y, (size_t)many));
    struct climb_search walk = {.bins = bins,
                                .y = y,
                                .threshold_k = fmax(bins->least_k, CLEAR_OF_NOISE * noise),
                                .half_width_s = width / 2.0,
                                .whole = whole,
                                .out = out,
                                .arena = arena};
    if (walk.threshold_k > 0.0)
        climb(&walk);
    for (size_t i = before; i < out->n; i++) {
        out->v[i].segment_from = offset;
        out->v[i].segment_to = offset + n;
    }
    mr_arena_drop(arena, flat);
    mr_arena_drop(arena, y);
}

void mr_heat_detect(struct mr_arena *arena, const struct mr_heat_bins *bins, bool whole, mr_heat_candidates *out) {
    double gap = fmax(bins->slowest_s / 4.0, 6.0 * bins->step_s);
    for (size_t a = 0; a < bins->n;) {
        size_t b = a + 1;
        while (b < bins->n && bins->t_s[b] - bins->t_s[b - 1] <= gap)
            b++;
        struct mr_heat_bins part = *bins;
        part.t_s += a;
        part.c += a;
        part.weight += a;
        part.n = b - a;
        search(arena, &part, whole, a, out);
        a = b;
    }
}
