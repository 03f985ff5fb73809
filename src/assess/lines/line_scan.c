/*
 * line_scan.c - see line_scan.h. The order of work: load the window on one grid of moments; find the medians and with
 * them the span in which the lines are up; mark dropouts, surges and pauses; judge balance and ripple on what is
 * left; then the main pressure over the same span. The median, not the mean, is the reference, so that a long dropout
 * does not lower it.
 */
#include "assess/lines/line_grid.h"
#include "assess/lines/line_stretches.h"

#include "numeric/select.h"
#include "numeric/stable_sort.h"

#include <math.h>
#include <string.h>

/* --- the lines --------------------------------------------------------------------------------------- */

/* Levels against which samples are held. */
struct levels {
    double down_a, down_b, surge_a, surge_b; /* kPa; NaN compares false */
    double imbalance_pct;
};

static bool is_down(double x, double level) {
    return x < level;
}
static bool both_down(const struct mr_line_work *w, size_t i, const void *ctx) {
    const struct levels *l = ctx;
    return is_down(w->a[i], l->down_a) && is_down(w->b[i], l->down_b);
}
static bool a_down(const struct mr_line_work *w, size_t i, const void *ctx) {
    return w->off[i] == 0 && is_down(w->a[i], ((const struct levels *)ctx)->down_a);
}
static bool b_down(const struct mr_line_work *w, size_t i, const void *ctx) {
    return w->off[i] == 0 && is_down(w->b[i], ((const struct levels *)ctx)->down_b);
}
static bool a_surges(const struct mr_line_work *w, size_t i, const void *ctx) {
    return w->off[i] == 0 && w->a[i] > ((const struct levels *)ctx)->surge_a;
}
static bool b_surges(const struct mr_line_work *w, size_t i, const void *ctx) {
    return w->off[i] == 0 && w->b[i] > ((const struct levels *)ctx)->surge_b;
}
static bool unbalanced(const struct mr_line_work *w, size_t i, const void *ctx) {
    double limit = ((const struct levels *)ctx)->imbalance_pct;
    return w->off[i] == 0 && w->x[i] > limit + 1e-9 * limit;
}

/* Median over the samples that are under pressure. */
static double median_up(struct mr_line_work *w, const double *v, double relieved_kpa) {
    size_t n = 0;
    for (size_t i = 0; i < w->n; i++)
        if (v[i] >= relieved_kpa)
            w->scratch[n++] = v[i];
    return mr_median(w->scratch, n);
}

/* Under this a line is down. One that never comes up in the window has no median: then relieved is down. */
static double down_level(double median_kpa, const struct mr_line_limits *limits) {
    return isnan(median_kpa) ? limits->relieved_kpa : median_kpa * limits->dropout_pct / 100.0;
}

static double extreme_of(const struct mr_line_work *w, const struct mr_line_event *e, const double *v, bool highest) {
    double found = MR_NAN;
    for (size_t i = mr_line_at(w, e->t0_ms); i < w->n && w->t_ms[i] < e->t1_ms; i++)
        if (!isnan(v[i]) && !(highest ? v[i] <= found : v[i] >= found))
            found = v[i];
    return found;
}

static void take_out(struct mr_line_work *w, int64_t t0_ms, int64_t t1_ms) {
    for (size_t i = mr_line_at(w, t0_ms); i < w->n && w->t_ms[i] <= t1_ms; i++)
        w->off[i] = 1;
}

/* Fills in the extremes of events [from..) and takes them, with the settling time around, out of balance and ripple.
 */
static void close_events(struct mr_line_work *w, mr_line_events *events, size_t from, int64_t settle_ms) {
    for (size_t k = from; k < events->n; k++) {
        struct mr_line_event *e = &events->v[k];
        bool highest = e->kind == MR_LINE_SURGE || e->kind == MR_LINE_IMBALANCE;
        if (e->line == '+' && e->kind != MR_LINE_IMBALANCE)
            e->extreme = fmax(extreme_of(w, e, w->a, false), extreme_of(w, e, w->b, false));
        else
            e->extreme = extreme_of(w, e,
                                    e->kind == MR_LINE_IMBALANCE ? w->x
                                    : e->line == 'A'             ? w->a
                                                                 : w->b,
                                    highest);
        if (e->kind != MR_LINE_IMBALANCE)
            take_out(w, e->t0_ms - settle_ms, e->t1_ms + settle_ms);
    }
}

static void find_line_events(struct mr_line_work *w, size_t lo, size_t hi, const struct mr_line_limits *limits,
                             const struct levels *levels, mr_line_events *events) {
    struct mr_line_event both = {MR_LINE_BOTH_DOWN, '+', 0, 0, MR_NAN};
    size_t first = events->n;
    struct mr_line_look look = {lo, hi, both_down, levels, NULL, limits->event_ms, both};
    mr_line_stretches(w, &look, events);
    for (size_t k = first; k < events->n; k++)
        if (events->v[k].t1_ms - events->v[k].t0_ms > limits->pause_ms)
            events->v[k].kind = MR_LINE_PAUSE;
    close_events(w, events, first, limits->settle_ms);
    static const struct {
        mr_line_condition holds;
        enum mr_line_kind kind;
        char line;
    } kinds[] = {{a_down, MR_LINE_DROPOUT, 'A'},
                 {b_down, MR_LINE_DROPOUT, 'B'},
                 {a_surges, MR_LINE_SURGE, 'A'},
                 {b_surges, MR_LINE_SURGE, 'B'}};
    first = events->n;
    for (size_t k = 0; k < MR_COUNT(kinds); k++) {
        look.pattern = (struct mr_line_event){kinds[k].kind, kinds[k].line, 0, 0, MR_NAN};
        look.holds = kinds[k].holds;
        look.v = kinds[k].line == 'A' ? w->a : w->b;
        mr_line_stretches(w, &look, events);
    }
    close_events(w, events, first, limits->settle_ms);
}

/* Mean and sample SD over mean of the samples that count; *without_worst: of all but the one that strays most. */
static void ripple_of(const struct mr_line_work *w, const double *v, size_t lo, size_t hi, double *out_mean,
                      double *out_pct, double *without_worst) {
    double mean = 0.0, sum2 = 0.0, worst = MR_NAN;
    size_t n = 0;
    for (size_t i = lo; i < hi; i++) {
        if (w->off[i] || isnan(v[i]))
            continue;
        double d = v[i] - mean;
        mean += d / (double)++n;
        sum2 += d * (v[i] - mean);
    }
    for (size_t i = lo; i < hi; i++)
        if (!w->off[i] && !isnan(v[i]) && !(fabs(v[i] - mean) <= fabs(worst - mean)))
            worst = v[i];
    *out_mean = n > 0 ? mean : MR_NAN;
    *out_pct = n > 1 && mean > 0.0 ? 100.0 * sqrt(sum2 / (double)(n - 1)) / mean : MR_NAN;
    if (n < 3 || !(mean > 0.0))
        return;
    double left = (double)(n - 1), d = worst - mean, rest = fmax(sum2 - d * d * (double)n / left, 0.0);
    *without_worst = fmax(*without_worst, 100.0 * sqrt(rest / (left - 1.0)) / (mean - d / left));
}

/* Which line stands lower on the whole of an event. */
static char low_line(const struct mr_line_work *w, const struct mr_line_event *e) {
    double apart = 0.0;
    for (size_t i = mr_line_at(w, e->t0_ms); i < w->n && w->t_ms[i] < e->t1_ms; i++)
        apart += isnan(w->a[i]) || isnan(w->b[i]) ? 0.0 : w->a[i] - w->b[i];
    return apart < 0.0 ? 'A' : 'B';
}

static void judge_balance(struct mr_line_work *w, size_t lo, size_t hi, const struct mr_line_limits *limits,
                          const struct levels *levels, struct mr_line_result *out) {
    double sum = 0.0;
    size_t n = 0;
    for (size_t i = lo; i < hi; i++) {
        double mean = (w->a[i] + w->b[i]) / 2.0;
        w->x[i] = mean > 0.0 ? 100.0 * fabs(w->a[i] - w->b[i]) / mean : MR_NAN;
        if (w->off[i] || isnan(w->x[i]))
            continue;
        sum += 100.0 * (w->a[i] - w->b[i]) / mean;
        n++;
    }
    out->imbalance_mean_pct = n > 0 ? sum / (double)n : MR_NAN;
    out->imbalance_held_pct =
        mr_held_most(w->x + lo, w->t_ms + lo, w->hold_ms + lo, w->off + lo, hi - lo, limits->event_ms, w->queue);
    struct mr_line_event pattern = {MR_LINE_IMBALANCE, '+', 0, 0, MR_NAN};
    const struct mr_line_look look = {lo, hi, unbalanced, levels, w->x, limits->event_ms, pattern};
    size_t first = out->events.n;
    mr_line_stretches(w, &look, &out->events);
    close_events(w, &out->events, first, 0);
    for (size_t k = first; k < out->events.n; k++)
        out->events.v[k].line = low_line(w, &out->events.v[k]);
    for (size_t k = first; k < out->events.n; k++)
        take_out(w, out->events.v[k].t0_ms - limits->settle_ms, out->events.v[k].t1_ms + limits->settle_ms);
}

/* The samples of the span that counts: lo..hi; false where the lines are never up for longer than they settle. */
static bool find_span(const struct mr_line_work *w, const struct levels *l, int64_t settle_ms,
                      struct mr_line_result *out, size_t *out_lo, size_t *out_hi) {
    size_t lo = MR_NONE, hi = 0;
    for (size_t i = 0; i < w->n; i++) {
        if (!(w->a[i] >= l->down_a || w->b[i] >= l->down_b))
            continue;
        lo = lo == MR_NONE ? i : lo;
        hi = i + 1;
    }
    if (lo == MR_NONE)
        return false;
    out->pressed_from_ms = w->t_ms[lo];
    out->pressed_to_ms = hi < w->n ? w->t_ms[hi] : mr_line_hold_end(w, hi - 1);
    int64_t from = w->t_ms[lo] + settle_ms, to = w->t_ms[hi - 1] - settle_ms;
    while (lo < hi && w->t_ms[lo] < from)
        lo++;
    while (hi > lo && w->t_ms[hi - 1] > to)
        hi--;
    *out_lo = lo;
    *out_hi = hi;
    return lo < hi;
}

static double covered_pct(const struct mr_line_work *w, int64_t t0_ms, int64_t t1_ms, const double *first,
                          const double *second) {
    double covered = 0.0;
    for (size_t i = 0; i < w->n; i++)
        if (!isnan(first[i]) && (second == NULL || !isnan(second[i])))
            covered += w->hold_ms[i];
    return t1_ms > t0_ms ? fmin(100.0, 100.0 * covered / (double)(t1_ms - t0_ms)) : w->n > 0 ? 100.0 : 0.0;
}

/* --- the main pressure ------------------------------------------------------------------------------- */

struct main_band {
    double low, high;
};
static bool main_low(const struct mr_line_work *w, size_t i, const void *ctx) {
    double low = ((const struct main_band *)ctx)->low;
    return w->off[i] == 0 && w->a[i] < low - 1e-9 * low;
}
static bool main_high(const struct mr_line_work *w, size_t i, const void *ctx) {
    double high = ((const struct main_band *)ctx)->high;
    return w->off[i] == 0 && w->a[i] > high + 1e-9 * high;
}

/* The window's main pressure in w->a, over the span in which the lines are up and outside pauses. */
static void judge_main(struct mr_line_work *w, const struct mr_line_limits *limits, struct mr_line_result *out) {
    size_t lo = 0, hi = w->n, n = 0, n_before = out->events.n;
    if (w->n == 0) /* a coat that stops before it starts has no samples */
        return;
    while (lo < hi && w->t_ms[lo] < out->up_from_ms)
        lo++;
    while (hi > lo && w->t_ms[hi - 1] > out->up_to_ms)
        hi--;
    for (size_t k = 0; k < n_before; k++)
        if (out->events.v[k].kind == MR_LINE_PAUSE)
            take_out(w, out->events.v[k].t0_ms - limits->settle_ms, out->events.v[k].t1_ms + limits->settle_ms);
    double sum = 0.0;
    for (size_t i = lo; i < hi; i++) {
        w->x[i] = -w->a[i];
        if (w->off[i] == 0 && !isnan(w->a[i])) {
            out->main_judged_ms += w->hold_ms[i];
            sum += w->a[i];
            n++;
        }
    }
    out->main_mean_kpa = n > 0 ? sum / (double)n : MR_NAN;
    out->main_high_kpa =
        mr_held_most(w->a + lo, w->t_ms + lo, w->hold_ms + lo, w->off + lo, hi - lo, limits->event_ms, w->queue);
    out->main_low_kpa =
        -mr_held_most(w->x + lo, w->t_ms + lo, w->hold_ms + lo, w->off + lo, hi - lo, limits->event_ms, w->queue);
    struct main_band band = {limits->main_min_kpa, limits->main_max_kpa};
    struct mr_line_event pattern = {MR_LINE_MAIN_LOW, 'M', 0, 0, MR_NAN};
    struct mr_line_look look = {lo, hi, main_low, &band, w->a, limits->event_ms, pattern};
    mr_line_stretches(w, &look, &out->events);
    look.holds = main_high;
    look.pattern.kind = MR_LINE_MAIN_HIGH;
    mr_line_stretches(w, &look, &out->events);
    for (size_t k = n_before; k < out->events.n; k++)
        out->events.v[k].extreme = extreme_of(w, &out->events.v[k], w->a, out->events.v[k].kind == MR_LINE_MAIN_HIGH);
}

static int order_events(const void *a, const void *b) {
    const struct mr_line_event *x = a, *y = b;
    return x->t0_ms != y->t0_ms ? MR_ORDER(x->t0_ms, y->t0_ms) : MR_ORDER(x->kind, y->kind);
}

static double down_ms(const struct mr_line_work *w, const struct levels *l) {
    double sum = 0.0;
    for (size_t i = 0; i < w->n; i++)
        if (!(isnan(w->a[i]) && isnan(w->b[i])) && !(w->a[i] >= l->down_a) && !(w->b[i] >= l->down_b))
            sum += w->hold_ms[i];
    return sum;
}

static void scan_lines(struct mr_line_work *w, const struct mr_track *line_a, const struct mr_track *line_b,
                       int64_t t0_ms, int64_t t1_ms, const struct mr_line_limits *limits,
                       struct mr_line_result *out) {
    bool a_first = line_a != NULL && line_a->n > 0;
    if (!a_first && (line_b == NULL || line_b->n == 0))
        return;
    mr_line_load(w, a_first ? line_a : line_b, a_first ? line_b : NULL, t0_ms, t1_ms, limits);
    if (!a_first) {
        double *swap = w->a;
        w->a = w->b;
        w->b = swap;
    }
    out->coverage_pct = covered_pct(w, t0_ms, t1_ms, w->a, w->b);
    struct levels levels = {.imbalance_pct = limits->imbalance_pct};
    out->median_a_kpa = median_up(w, w->a, limits->relieved_kpa);
    out->median_b_kpa = median_up(w, w->b, limits->relieved_kpa);
    levels.down_a = down_level(out->median_a_kpa, limits);
    levels.down_b = down_level(out->median_b_kpa, limits);
    out->down_ms = down_ms(w, &levels);
    levels.surge_a = out->median_a_kpa * limits->surge_pct / 100.0;
    levels.surge_b = out->median_b_kpa * limits->surge_pct / 100.0;
    size_t lo, hi;
    if (!find_span(w, &levels, limits->settle_ms, out, &lo, &hi))
        return;
    out->up = true;
    out->up_from_ms = w->t_ms[lo];
    out->up_to_ms = w->t_ms[hi - 1];
    find_line_events(w, lo, hi, limits, &levels, &out->events);
    judge_balance(w, lo, hi, limits, &levels, out);
    ripple_of(w, w->a, lo, hi, &out->mean_a_kpa, &out->ripple_a_pct, &out->ripple_without_worst_pct);
    ripple_of(w, w->b, lo, hi, &out->mean_b_kpa, &out->ripple_b_pct, &out->ripple_without_worst_pct);
}

void mr_line_scan(struct mr_line_work *w, const struct mr_track *line_a, const struct mr_track *line_b,
                  const struct mr_track *main_line, int64_t t0_ms, int64_t t1_ms, const struct mr_line_limits *limits,
                  struct mr_line_result *out) {
    *out = (struct mr_line_result){.up_from_ms = t0_ms,
                                   .up_to_ms = t1_ms,
                                   .mean_a_kpa = MR_NAN,
                                   .mean_b_kpa = MR_NAN,
                                   .median_a_kpa = MR_NAN,
                                   .median_b_kpa = MR_NAN,
                                   .ripple_a_pct = MR_NAN,
                                   .ripple_b_pct = MR_NAN,
                                   .imbalance_mean_pct = MR_NAN,
                                   .imbalance_held_pct = MR_NAN,
                                   .main_mean_kpa = MR_NAN,
                                   .main_low_kpa = MR_NAN,
                                   .main_high_kpa = MR_NAN};
    memset(w->lone, 0, sizeof w->lone);
    w->brief = (mr_line_events){0};
    scan_lines(w, line_a, line_b, t0_ms, t1_ms, limits, out);
    if (main_line != NULL && main_line->n > 0) {
        mr_line_load(w, main_line, NULL, t0_ms, t1_ms, limits);
        out->main_coverage_pct = covered_pct(w, t0_ms, t1_ms, w->a, NULL);
        judge_main(w, limits, out);
    }
    memcpy(out->lone, w->lone, sizeof w->lone);
    out->brief = w->brief;
    mr_sort_stable(w->arena, out->brief.v, out->brief.n, sizeof *out->brief.v, order_events);
    mr_sort_stable(w->arena, out->events.v, out->events.n, sizeof *out->events.v, order_events);
}
