/*
 * heat_fit.c - overlapping events fitted together by generalised least squares. See heat.h.
 *
 * Model of the record between two moments: a slightly bent line, what reference probes saw, and for each event the
 * closed form of heat_curve.c; what is left is the weather of disturbance.h. Events that overlap sit on the same
 * steel in the same air, so they share one cooling constant; each has its own onset, size and rate. Line, references
 * and sizes are linear and are solved for exactly at each step (variable projection, Golub and Pereyra 1973, with
 * Kaufman's short Jacobian), so that only onsets, ln rates and one ln cooling constant are searched, by Gauss-Newton
 * steps that are shortened until they help. The disturbance's size and time of correlation come from the same record
 * by restricted maximum likelihood (Patterson and Thompson 1971) with the curve's own columns taken out.
 */
#include "assess/heat/fit_design.h"
#include "numeric/distributions.h"

#include <math.h>

/* The sum of squares has a kink wherever an onset passes a sample, so it is no parabola in the onset: over 2 000
 * simulated events the interval from its covariance held the true onset in 92 of 100, and in 95 with this factor. */
static const double ONSET_WIDER = 1.15;

static const double KINK = 6.0;                 /* what a step may still promise at such a kink, in variances */
static const double NEAR = 0.1, AT_REST = 1e-3; /* what it may promise on the way, and at the end */

/* No reaction is of first order alone: a share of the rise. */
static const double SHAPE_OFF = 0.003;

enum { STEPS = 100 };

/* ---- steps ---- */

static bool move(struct mr_fit_design *d, const struct mr_fit_point *from, const double *delta, double share,
                 struct mr_fit_point *to) {
    double most = d->unit_s / 6.0;
    *to = *from;
    for (size_t j = 0; j < d->m; j++) {
        to->onset_s[j] += share * fmin(fmax(delta[j], -most), most);
        to->ln_k[j] += share * fmin(fmax(delta[d->m + j], -0.7), 0.7);
    }
    to->ln_p += share * fmin(fmax(delta[2 * d->m], -0.7), 0.7);
    return mr_fit_solve(d, to);
}

static const double *without_onsets(const struct mr_fit_design *d, const double *delta, double *out) {
    for (size_t i = 0; i < 2 * d->m + 1; i++)
        out[i] = i < d->m ? 0.0 : delta[i];
    return out;
}

/* Gauss-Newton from *at until a step promises less than `enough` variances; true where it came to rest inside the
 * bounds. */
static bool descend(struct mr_fit_design *d, struct mr_fit_point *at, double enough) {
    const struct mr_fit_normal *normal = d->normal;
    double held[2 * MR_HEAT_TOGETHER + 1];
    if (!mr_fit_solve(d, at))
        return false;
    for (int step = 0; step < STEPS; step++) {
        if (!mr_fit_step(d, at))
            return false;
        double sigma2 = at->chi2 / (double)(d->n - d->n_base - normal->columns), gain = at->chi2 - normal->chi2;
        if (gain < enough * sigma2 + 1e-24 * d->total)
            return mr_fit_inside(d, at);
        const double *delta = normal->coef + d->m;
        struct mr_fit_point next;
        double share = 1.0;
        bool better = false;
        int halves = gain < KINK * sigma2 ? 3 : 7;
        for (int half = 0; half < halves && !better; half++, share *= 0.5)
            better = move(d, at, delta, share, &next) && next.chi2 < at->chi2;
        if (!better) /* an onset on a sample, where the sum of squares has a kink: the rest may still move */
            better = move(d, at, without_onsets(d, delta, held), 1.0, &next) && next.chi2 < at->chi2 * (1.0 - 1e-6);
        if (!better)
            return gain < KINK * sigma2 + 1e-22 * d->total && mr_fit_inside(d, at);
        *at = next;
    }
    return false;
}

/* The sum of squares has a small dip between any two samples that an onset can lie between: try the neighbouring
 * ones. */
static void settle_onsets(struct mr_fit_design *d, double step_s, struct mr_fit_point *best) {
    size_t columns = 3 * d->m + 1;
    double sigma2 = best->chi2 / (double)(d->n - d->n_base - columns), se[MR_HEAT_TOGETHER];
    if (!mr_fit_solve(d, best) || !mr_fit_step(d, best))
        return;
    for (size_t j = 0; j < d->m; j++)
        se[j] = sqrt(sigma2 * d->normal->inverse[(d->m + j) * (columns + 1)]);
    for (size_t j = 0; j < d->m; j++)
        for (int side = -1; side <= 1; side += 2) {
            if (se[j] > step_s)
                continue; /* too shallow a dip to be caught in */
            struct mr_fit_point near = *best;
            near.onset_s[j] += 0.8 * side * step_s;
            if (descend(d, &near, NEAR) && near.chi2 < best->chi2)
                *best = near;
        }
}

/* ---- start ---- */

/* a = k tau for which the peak comes at `delay` on a curve of cooling constant tau: ln(a)/(a - 1) falls with a. */
static double sharpness(double delay_over_tau) {
    double lo = 1.0001, hi = 1e5;
    for (int i = 0; i < 40; i++) {
        double mid = sqrt(lo * hi);
        if (log(mid) / (mid - 1.0) > delay_over_tau)
            lo = mid;
        else
            hi = mid;
    }
    return sqrt(lo * hi);
}

static void start(const struct mr_fit_design *d, const struct mr_heat_candidate *candidates, double stretch,
                  struct mr_fit_point *at) {
    const struct mr_heat_candidate *last = &candidates[d->m - 1];
    double tail = fmax(last->end_s - last->peak_s, (last->peak_s - last->onset_s));
    double tau = stretch * fmax(tail / 2.3, d->unit_s * 1e-3);
    if (d->usual.tau_s > 0.0)
        tau = stretch * d->usual.tau_s;
    *at = (struct mr_fit_point){.ln_p = -log(tau)};
    for (size_t j = 0; j < d->m; j++) {
        double delay = fmax(candidates[j].peak_s - candidates[j].onset_s, 1e-3 * d->unit_s);
        at->onset_s[j] = candidates[j].onset_s;
        at->ln_k[j] = log(sharpness(fmin(delay / tau, 0.99)) / tau);
    }
}

/* One event has a mirror image, reaction and cooling exchanged, and several with one cooling constant have one too:
 * cooling fast, reacting slowly, each at its own rate. True where *at looks like it; then it becomes the other. */
static bool unmirror(const struct mr_fit_design *d, struct mr_fit_point *at) {
    double mean = 0.0;
    for (size_t j = 0; j < d->m; j++)
        mean += at->ln_k[j] / (double)d->m;
    if (mean >= at->ln_p)
        return false;
    for (size_t j = 0; j < d->m; j++)
        at->ln_k[j] = at->ln_p;
    at->ln_p = mean;
    return true;
}

/* The best of several starts: where sizes, line and references alone explain most. The others serve where it leads
 * nowhere. */
static bool best_start(struct mr_fit_design *d, const struct mr_heat_candidate *candidates,
                       struct mr_fit_point *best) {
    static const double stretches[] = {1.0, 0.4, 2.5};
    struct mr_fit_point at[MR_COUNT(stretches)];
    bool open[MR_COUNT(stretches)];
    for (size_t s = 0; s < MR_COUNT(stretches); s++) {
        start(d, candidates, stretches[s], &at[s]);
        open[s] = mr_fit_solve(d, &at[s]);
    }
    for (;;) {
        size_t next = MR_NONE;
        for (size_t s = 0; s < MR_COUNT(stretches); s++)
            if (open[s] && (next == MR_NONE || at[s].chi2 < at[next].chi2))
                next = s;
        if (next == MR_NONE)
            return false;
        open[next] = false;
        *best = at[next];
        if (descend(d, best, NEAR) && (!unmirror(d, best) || descend(d, best, NEAR)))
            return true;
    }
}

/* ---- what is reported ---- */

/* Slope of ln(ln(a)/(a - 1)) by ln a, times ln(a)/(a - 1): how the peak's share answers to a. */
static double share_slope(double a) {
    double e = a - 1.0;
    if (fabs(e) < 1e-3)
        return -0.5 + e / 6.0;
    return (e - a * log(a)) / (e * e);
}

/* The weather is itself estimated, from as many flux values as the record holds apart (one for each two times of
 * correlation): the interval is that of Student's t. A record of a few of them tells little more than three. */
static double learnt(const struct mr_fit_design *d) {
    double apart = 0.5 * (d->t_s[d->n - 1] - d->t_s[0]) * d->weather.rate;
    return mr_t_q(0.975, fmax(apart, 3.0)) / mr_normal_q(0.975);
}

static void report_event(const struct mr_fit_design *d, const struct mr_fit_point *x, const double *cov, double s2,
                         size_t j, struct mr_heat_fit *out) {
    size_t columns = 3 * d->m + 1, b = j, t0 = d->m + j, q = t0 + d->m, p = columns - 1;
    struct mr_heat_curve *curve = &out->curve[j];
    double k = exp(x->ln_k[j]), size = x->size[j];
    *curve = (struct mr_heat_curve){
        .onset_s = x->onset_s[j], .adiabatic_k = size / k, .k_per_s = k, .tau_s = exp(-x->ln_p)};
    out->onset_se[j] = ONSET_WIDER * sqrt(s2 * cov[t0 * columns + t0]);
    out->k_se[j] = k * sqrt(s2 * cov[q * columns + q]);
    /* ln A = ln B - ln k; ln rise = ln B - ln k - f(a), ln a = ln k - ln p */
    double f = share_slope(k * curve->tau_s), g[3] = {1.0 / size, -1.0 - f, f}, rise = 0.0, all = 0.0;
    size_t at[3] = {b, q, p};
    for (size_t u = 0; u < 3; u++)
        for (size_t v = 0; v < 3; v++)
            rise += g[u] * g[v] * cov[at[u] * columns + at[v]];
    all = cov[b * columns + b] / (size * size) - 2.0 * cov[b * columns + q] / size + cov[q * columns + q];
    out->adiabatic_se[j] = fabs(curve->adiabatic_k) * sqrt(s2 * fmax(all, 0.0));
    out->rise[j] = mr_heat_peak_rise(curve);
    double weather = d->weather.flux > 1e-6 / d->unit_s ? learnt(d) : 1.0;
    out->rise_se[j] = fabs(out->rise[j]) * hypot(weather * sqrt(s2 * fmax(rise, 0.0)), SHAPE_OFF);
}

/* The references' share in the record, thinned out: curves are drawn on it, nothing is judged by it. */
static void keep_shared(const struct mr_fit_design *d, const double *base, struct mr_heat_shared *out) {
    out->n = d->n_base == MR_FIT_LINE ? 0 : d->n < MR_HEAT_SHARED ? d->n : MR_HEAT_SHARED;
    for (size_t k = 0; k < out->n; k++) {
        const size_t i = out->n == 1 ? 0 : k * (d->n - 1) / (out->n - 1);
        out->t_s[k] = d->t_s[i];
        out->k[k] = 0;
        for (size_t j = MR_FIT_LINE; j < d->n_base; j++)
            out->k[k] += base[j] * d->base[j * d->stride + i];
    }
}

static void report(struct mr_fit_design *d, const struct mr_fit_point *x, struct mr_heat_fit *out) {
    const struct mr_fit_normal *normal = d->normal;
    double s2 = x->chi2 / (double)(d->n - d->n_base - normal->columns) * mr_fit_local(d, x), base[MR_FIT_BASE];
    size_t p = normal->columns - 1;
    mr_fit_base(d, x, base);
    out->m = d->m;
    out->line_c = base[0] + d->shift_c;
    out->line_at_s = d->zero_s;
    out->drift_k_per_s = base[1] / d->unit_s;
    out->bend_k_per_s2 = base[2] / (d->unit_s * d->unit_s);
    out->tau_se = exp(-x->ln_p) * sqrt(s2 * normal->inverse[p * normal->columns + p]);
    out->rmse_k = mr_fit_rmse(d, x);
    out->disturbance = d->weather;
    out->n_references = d->n_base - MR_FIT_LINE;
    keep_shared(d, base, &out->shared);
    out->misfit = d->misfit;
    for (size_t j = 0; j < d->m; j++)
        report_event(d, x, normal->inverse, s2, j, out);
}

/* The flux that grows with the pulse, over what the plate loses at its peak, is how far the loss wanders; from onset
 * to peak some of that averages out. */
static double gusts(const struct mr_fit_design *d, const struct mr_fit_point *x, const struct mr_heat_curve *curve) {
    double flux = MR_FIT_OWN * d->weather.flux * sqrt(d->sigma2), lost = mr_heat_peak_rise(curve) * exp(x->ln_p);
    double times = mr_heat_peak_delay(curve) * d->weather.rate;
    return flux / lost * sqrt(2.0 * (times - 1.0 + exp(-times))) / times;
}

/* Gusts change the loss, so that the weather grows with the pulse's own heat. That share belongs to the rise as it
 * was, and not to its doubt, which is of what the steel would have done without the coat. */
static void leave_out_own_weather(struct mr_fit_design *d, struct mr_fit_point *x, struct mr_heat_fit *out) {
    if (!mr_fit_own_weather(d, x) || !mr_fit_solve(d, x) || !mr_fit_step(d, x))
        return;
    for (size_t j = 0; j < d->m; j++)
        report_event(d, x, d->normal->inverse, d->sigma2, j, out);
    for (size_t j = 0; j < d->m; j++)
        out->gust_log_sd[j] = gusts(d, x, &out->curve[j]);
    for (size_t j = 0; j < d->m && d->m > 1; j++) {
        double alone = out->rise_se[j];
        if (!mr_fit_weather_of_others(d, x, j) || !mr_fit_step(d, x))
            return;
        report_event(d, x, d->normal->inverse, d->sigma2, j, out);
        out->rise_se[j] = fmax(out->rise_se[j], alone);
    }
}

enum mr_status mr_heat_fit_events(const struct mr_heat_task *task, struct mr_heat_fit *out) {
    struct mr_fit_design d;
    struct mr_fit_point best;
    *out = (struct mr_heat_fit){.m = 0};
    if (!mr_fit_design_of(task, &d))
        return MR_E_FEW;
    if (!best_start(&d, task->candidates, &best))
        return MR_E_NOFIT;
    if (mr_fit_trim(&d, &best) && (!mr_fit_settle_base(&d) || !descend(&d, &best, NEAR)))
        return MR_E_NOFIT;
    for (int round = 0; round < 2; round++)
        if (mr_fit_learn(&d, &best, true) && !descend(&d, &best, NEAR))
            return MR_E_NOFIT;
    settle_onsets(&d, task->bins->step_s, &best);
    unmirror(&d, &best);
    if (!descend(&d, &best, AT_REST) || !mr_fit_solve(&d, &best) || !mr_fit_step(&d, &best))
        return MR_E_NOFIT;
    report(&d, &best, out);
    out->criterion = mr_fit_criterion(&d, &best);
    leave_out_own_weather(&d, &best, out);
    return MR_OK;
}

double mr_heat_fit_promise(const struct mr_heat_task *task, const struct mr_heat_fit *narrow, size_t more) {
    struct mr_fit_design d;
    struct mr_fit_point at;
    if (!mr_fit_design_of(task, &d))
        return HUGE_VAL;
    d.weather = narrow->disturbance;
    if (!mr_fit_settle_base(&d))
        return HUGE_VAL;
    start(&d, task->candidates, 1.0, &at);
    at.ln_p = -log(narrow->curve[0].tau_s);
    for (size_t j = 0; j < d.m; j++)
        if (j != more) {
            at.onset_s[j] = narrow->curve[j - (j > more)].onset_s;
            at.ln_k[j] = log(narrow->curve[j - (j > more)].k_per_s);
        }
    if (!mr_fit_solve(&d, &at) || !mr_fit_step(&d, &at))
        return HUGE_VAL;
    double chi2 = fmax(d.normal->chi2, 1e-300);
    return (double)d.n * log(chi2 / (double)d.n) + d.filter.log_det;
}
