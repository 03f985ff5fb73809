/*
 * heat_fit.c - overlapping events fitted together by least squares. See heat.h.
 *
 * Model of the record between two moments: a straight line (level and sun drift) plus, for each event, the closed
 * form of heat_curve.c. Events that overlap sit on the same steel in the same air, so they share one cooling
 * constant; each has its own onset, size and rate. Parameters, so that none needs a bound: line level, line slope, ln
 * p (p = 1/tau), and per event its onset, ln B (B = A k) and ln q (q = k). Standard errors come from the covariance
 * with the residual variance, widened by (1 + r)/(1 - r) where the residuals' lag-1 correlation r is surely above
 * zero. Single samples that lie beyond five deviations of the first solution are left out and the fit is repeated.
 */
#include "assess/heat/heat.h"
#include "numeric/least_squares.h"
#include "numeric/select.h"

#include <math.h>
#include <string.h>

/* The sum of squares has a kink wherever an onset passes a sample, so it is no parabola in the onset: over 2 000
 * simulated events the interval from its covariance held the true onset in 92 of 100, and in 95 with this factor. */
static const double ONSET_WIDER = 1.15;

enum { LINE = 3, EACH = 3, P_MAX = LINE + EACH * MR_HEAT_TOGETHER + 1, STEPS = 120 };

struct data {
    size_t n, m;
    double zero_s;          /* of the line's slope */
    double unit_s;          /* the slope is fitted in K per this time, so that all parameters are of order one */
    bool bent;              /* the line bends: its last parameter is K per unit_s squared */
    double *t, *c, *root_w; /* shape: n */
};

static size_t columns_of(const struct data *d) {
    return LINE + EACH * d->m + (d->bent ? 1 : 0);
}

static void residual(void *ctx, const double *x, double *out) {
    const struct data *d = ctx;
    double p = exp(x[2]), bend = d->bent ? x[columns_of(d) - 1] : 0.0;
    for (size_t i = 0; i < d->n; i++) {
        double u = (d->t[i] - d->zero_s) / d->unit_s;
        out[i] = x[0] + u * (x[1] + u * bend) - d->c[i];
    }
    for (size_t j = 0; j < d->m; j++) {
        const double *e = x + LINE + EACH * j;
        double b = exp(e[1]), q = exp(e[2]);
        for (size_t i = 0; i < d->n; i++)
            if (d->t[i] > e[0])
                out[i] += b * mr_heat_shape(d->t[i] - e[0], p, q, NULL, NULL, NULL);
    }
    for (size_t i = 0; i < d->n; i++)
        out[i] *= d->root_w[i];
}

static void jacobian(void *ctx, const double *x, double *out) {
    const struct data *d = ctx;
    size_t columns = columns_of(d);
    double p = exp(x[2]);
    memset(out, 0, d->n * columns * sizeof *out);
    for (size_t i = 0; i < d->n; i++) {
        double *row = out + i * columns, w = d->root_w[i], u = (d->t[i] - d->zero_s) / d->unit_s;
        row[0] = w;
        row[1] = w * u;
        if (d->bent)
            row[columns - 1] = w * u * u;
        for (size_t j = 0; j < d->m; j++) {
            const double *e = x + LINE + EACH * j;
            if (d->t[i] <= e[0])
                continue;
            double b = w * exp(e[1]), q = exp(e[2]), dp, dq, ds;
            double h = mr_heat_shape(d->t[i] - e[0], p, q, &dp, &dq, &ds);
            row[2] += b * dp * p;
            row[LINE + EACH * j] = -b * ds;
            row[LINE + EACH * j + 1] = b * h;
            row[LINE + EACH * j + 2] = b * dq * q;
        }
    }
}

/* a = k tau for which the peak comes at `delay` on a curve of cooling constant tau: ln(a)/(a - 1) falls with a. */
static double sharpness(double delay_over_tau) {
    double lo = 1.0001, hi = 1e5;
    for (int i = 0; i < 60; i++) {
        double mid = sqrt(lo * hi);
        if (log(mid) / (mid - 1.0) > delay_over_tau)
            lo = mid;
        else
            hi = mid;
    }
    return sqrt(lo * hi);
}

/* Where to begin: sizes from the candidates, the cooling constant from the last one's tail times `stretch`. */
static void start(const struct data *d, const struct mr_heat_candidate *candidates, double stretch, double *x) {
    const struct mr_heat_candidate *last = &candidates[d->m - 1];
    double tail = fmax(last->end_s - last->peak_s, (last->peak_s - last->onset_s));
    double tau = stretch * fmax(tail / 2.3, d->unit_s * 1e-3);
    x[0] = candidates[0].valley_c;
    x[1] = 0.0;
    x[2] = -log(tau);
    for (size_t j = 0; j < d->m; j++) {
        double delay = fmax(candidates[j].peak_s - candidates[j].onset_s, 1e-3 * d->unit_s);
        double a = sharpness(fmin(delay / tau, 0.99));
        double size = fmax(candidates[j].peak_c - candidates[j].valley_c, 1e-9);
        double k = a / tau, adiabatic = size * exp(log(a) / (a - 1.0));
        x[LINE + EACH * j] = candidates[j].onset_s;
        x[LINE + EACH * j + 1] = log(adiabatic * k);
        x[LINE + EACH * j + 2] = log(k);
    }
}

/* Leaves out single samples (at most two in a row) far from the solution; true where any was. */
static bool trim(struct mr_arena *scratch, struct data *d, const double *x) {
    double *r = MR_ARRAY(scratch, double, d->n), *size = MR_ARRAY(scratch, double, d->n);
    residual(d, x, r);
    for (size_t i = 0; i < d->n; i++)
        size[i] = fabs(r[i]);
    double limit = 5.0 * 1.4826 * mr_median(size, d->n);
    bool any = false;
    for (size_t i = 0; i < d->n;) {
        size_t j = i;
        while (j < d->n && fabs(r[j]) > limit)
            j++;
        if (j > i && j - i <= 2 && limit > 1e-9) {
            any = true;
            for (size_t q = i; q < j; q++)
                d->root_w[q] = 0.0;
        }
        i = j + 1;
    }
    if (any) {
        size_t kept = 0;
        for (size_t i = 0; i < d->n; i++)
            if (d->root_w[i] > 0.0) {
                d->t[kept] = d->t[i];
                d->c[kept] = d->c[i];
                d->root_w[kept++] = d->root_w[i];
            }
        d->n = kept;
    }
    return any;
}

/* Residual variance, times the widening for residuals that hang together. */
static double variance(struct mr_arena *scratch, struct data *d, const double *x, double chi2, double *out_rmse) {
    double *r = MR_ARRAY(scratch, double, d->n), sum = 0.0, lagged = 0.0;
    residual(d, x, r);
    for (size_t i = 0; i < d->n; i++) {
        sum += r[i] * r[i];
        if (i)
            lagged += r[i] * r[i - 1];
    }
    double corr = sum > 0.0 ? lagged / sum : 0.0, n = (double)d->n;
    double widen = corr > 3.0 / sqrt(n) ? (1.0 + fmin(corr, 0.95)) / (1.0 - fmin(corr, 0.95)) : 1.0;
    double s2 = chi2 / (n - (double)columns_of(d));
    *out_rmse = sqrt(s2);
    return s2 * widen;
}

/* One event alone: the faster rate is the reaction. Swapping leaves curve, B and rise as they are. */
static void order_rates(const struct data *d, double *x, double *cov) {
    size_t columns = columns_of(d);
    if (d->m != 1 || x[2] <= x[LINE + 2])
        return;
    double keep = x[2];
    x[2] = x[LINE + 2];
    x[LINE + 2] = keep;
    for (size_t j = 0; j < columns; j++) {
        keep = cov[2 * columns + j];
        cov[2 * columns + j] = cov[(LINE + 2) * columns + j];
        cov[(LINE + 2) * columns + j] = keep;
    }
    for (size_t i = 0; i < columns; i++) {
        keep = cov[i * columns + 2];
        cov[i * columns + 2] = cov[i * columns + LINE + 2];
        cov[i * columns + LINE + 2] = keep;
    }
}

/* Slope of ln(ln(a)/(a - 1)) by ln a, times ln(a)/(a - 1): how the peak's share answers to a. */
static double share_slope(double a) {
    double e = a - 1.0;
    if (fabs(e) < 1e-3)
        return -0.5 + e / 6.0;
    return (e - a * log(a)) / (e * e);
}

static void report(const struct data *d, const double *x, const double *cov, double s2, struct mr_heat_fit *out) {
    size_t columns = columns_of(d);
    double tau = exp(-x[2]);
    out->m = d->m;
    out->line_c = x[0];
    out->line_at_s = d->zero_s;
    out->drift_k_per_s = x[1] / d->unit_s;
    out->bend_k_per_s2 = d->bent ? x[columns - 1] / (d->unit_s * d->unit_s) : 0.0;
    out->tau_se = tau * sqrt(s2 * cov[2 * columns + 2]);
    for (size_t j = 0; j < d->m; j++) {
        size_t t0 = LINE + EACH * j, b = t0 + 1, q = t0 + 2;
        struct mr_heat_curve *curve = &out->curve[j];
        *curve = (struct mr_heat_curve){
            .onset_s = x[t0], .adiabatic_k = exp(x[b] - x[q]), .k_per_s = exp(x[q]), .tau_s = tau};
        out->onset_se[j] = ONSET_WIDER * sqrt(s2 * cov[t0 * columns + t0]);
        out->k_se[j] = curve->k_per_s * sqrt(s2 * cov[q * columns + q]);
        double spread = cov[b * columns + b] + cov[q * columns + q] - 2.0 * cov[b * columns + q];
        out->adiabatic_se[j] = curve->adiabatic_k * sqrt(s2 * fmax(spread, 0.0));
        /* ln rise = ln B - ln q - f(a), ln a = ln q - ln p */
        double f = share_slope(curve->k_per_s * tau);
        double g[3] = {1.0, -1.0 - f, f};
        size_t at[3] = {b, q, 2};
        double var = 0.0;
        for (size_t u = 0; u < 3; u++)
            for (size_t v = 0; v < 3; v++)
                var += g[u] * g[v] * cov[at[u] * columns + at[v]];
        out->rise[j] = mr_heat_peak_rise(curve);
        out->rise_se[j] = out->rise[j] * sqrt(s2 * fmax(var, 0.0));
    }
}

static void gather(const struct mr_heat_bins *bins, size_t from, const struct mr_heat_curve *carried,
                   size_t n_carried, struct data *d) {
    for (size_t i = 0; i < d->n; i++) {
        d->t[i] = bins->t_s[from + i];
        d->c[i] = bins->c[from + i];
        d->root_w[i] = sqrt(bins->weight[from + i]);
        for (size_t j = 0; j < n_carried; j++)
            d->c[i] -= mr_heat_rise(&carried[j], d->t[i]);
    }
}

struct answer {
    double x[P_MAX], chi2, cov[P_MAX * P_MAX];
};

/* The solver once, from a->x. */
static bool solve(const struct data *d, struct answer *a) {
    struct data copy = *d;
    struct mr_lsq problem = {
        .n = d->n, .p = columns_of(d), .ctx = &copy, .residual = residual, .jacobian = jacobian, .max_steps = STEPS};
    return mr_lsq_solve(&problem, a->x, &a->chi2, a->cov, NULL) == MR_OK;
}

/* Several events with one cooling constant have a mirror image too: cooling fast, reacting slowly, each at its own
 * rate. True where x looks like it; then x becomes the start for the other side. */
static bool unmirror(const struct data *d, double *x) {
    double mean = 0.0;
    for (size_t j = 0; j < d->m; j++)
        mean += x[LINE + EACH * j + 2] / (double)d->m;
    if (d->m == 1 || mean >= x[2])
        return false;
    for (size_t j = 0; j < d->m; j++)
        x[LINE + EACH * j + 2] = x[2];
    x[2] = mean;
    return true;
}

/* The best of several starts. */
static bool best_start(const struct data *d, const struct mr_heat_bins *bins,
                       const struct mr_heat_candidate *candidates, struct answer *best) {
    static const double stretches[] = {1.0, 0.4, 2.5};
    best->chi2 = HUGE_VAL;
    for (size_t s = 0; s < MR_COUNT(stretches); s++) {
        struct answer a = {.chi2 = HUGE_VAL};
        start(d, candidates, stretches[s], a.x);
        if (!solve(d, &a) || (unmirror(d, a.x) && !solve(d, &a)))
            continue;
        if (a.chi2 < best->chi2)
            *best = a;
        double rmse = sqrt(best->chi2 / (double)(d->n - columns_of(d)));
        if (rmse < 1.5 * bins->noise_k + 0.005 * (candidates[0].peak_c - candidates[0].valley_c))
            break;
    }
    return isfinite(best->chi2);
}

/* The sum of squares has a small dip between any two samples that an onset can lie between: try the neighbouring
 * ones.
 */
static void settle_onsets(const struct data *d, double step_s, struct answer *best) {
    for (size_t j = 0; j < d->m; j++)
        for (int side = -1; side <= 1; side += 2) {
            struct answer a = *best;
            a.x[LINE + EACH * j] += 0.8 * side * step_s;
            if (solve(d, &a) && a.chi2 < best->chi2)
                *best = a;
        }
}

/* Drift is never quite straight, and a bend that is left out makes cooling constant and rise wrong by more than their
 * standard errors say. So the line may bend, unless the record cannot tell a bend from the cooling: then the fit runs
 * off to a cooling constant beyond the record or a peak beyond the slowest event, and the straight line holds. */
static void try_bend(struct data *d, struct answer *best) {
    double span = d->t[d->n - 1] - d->t[0];
    struct answer a = *best;
    d->bent = true;
    a.x[columns_of(d) - 1] = 0.0;
    bool fits = d->n > columns_of(d) + 2 && solve(d, &a) && exp(-a.x[2]) < span;
    for (size_t j = 0; fits && j < d->m; j++) {
        struct mr_heat_curve curve = {
            .adiabatic_k = 1.0, .k_per_s = exp(a.x[LINE + EACH * j + 2]), .tau_s = exp(-a.x[2])};
        fits = mr_heat_peak_delay(&curve) < d->unit_s;
    }
    d->bent = fits;
    if (fits)
        *best = a;
}

enum mr_status mr_heat_fit_events(struct mr_arena *scratch, const struct mr_heat_bins *bins, size_t from, size_t to,
                                  const struct mr_heat_candidate *candidates, size_t m,
                                  const struct mr_heat_curve *carried, size_t n_carried, struct mr_heat_fit *out) {
    *out = (struct mr_heat_fit){.converged = false};
    struct data d = {.n = to - from, .m = m, .unit_s = bins->slowest_s, .zero_s = candidates[0].onset_s};
    if (m > MR_HEAT_TOGETHER || to < from || d.n <= columns_of(&d) + 2)
        return MR_E_FEW;
    d.t = MR_ARRAY(scratch, double, d.n);
    d.c = MR_ARRAY(scratch, double, d.n);
    d.root_w = MR_ARRAY(scratch, double, d.n);
    gather(bins, from, carried, n_carried, &d);
    struct answer best;
    if (!best_start(&d, bins, candidates, &best))
        return MR_E_NOFIT;
    if (trim(scratch, &d, best.x) && (d.n <= columns_of(&d) + 2 || !solve(&d, &best)))
        return MR_E_NOFIT;
    settle_onsets(&d, bins->step_s, &best);
    try_bend(&d, &best);
    order_rates(&d, best.x, best.cov);
    double s2 = variance(scratch, &d, best.x, best.chi2, &out->rmse_k);
    report(&d, best.x, best.cov, s2, out);
    out->chi2 = best.chi2;
    out->converged = true;
    return MR_OK;
}
