/*
 * heat_curve.c - the closed form of the lumped heat balance. See heat.h.
 *
 * With p = 1/tau and q = k, theta = A q h(s) where h = (exp(-p s) - exp(-q s)) / (q - p). Written as
 * h = s exp(-p s) phi((q - p) s), phi(x) = (1 - exp(-x))/x, it has no 0/0 where the rates are equal. p is taken as
 * the smaller rate so that x is never negative and nothing overflows; h is symmetric, so this changes nothing.
 */
#include "assess/heat/heat.h"

#include <math.h>

/* phi and its derivative at x, where e is exp(-x). Below 1e-2 by series: the next term left out is under 1e-12. */
static inline double phi(double x, double e, double *out_slope) {
    if (x < 1e-2) {
        *out_slope = -0.5 + x * (1.0 / 3.0 + x * (-1.0 / 8.0 + x * (1.0 / 30.0 + x * (-1.0 / 144.0 + x / 840.0))));
        return 1.0 + x * (-0.5 + x * (1.0 / 6.0 + x * (-1.0 / 24.0 + x * (1.0 / 120.0 - x / 720.0))));
    }
    double value = (x > 0.7 ? 1.0 - e : -expm1(-x)) / x; /* beyond 0.7 the difference keeps its digits */
    *out_slope = (e - value) / x;
    return value;
}

/* h and its slopes by the slower rate, the faster and s, where decay is exp(-slow s) and e is exp(-(fast - slow) s).
 */
static inline double shape_of(double s, double slow, double fast, double decay, double e, double out[3]) {
    double x = (fast - slow) * s, slope;
    double value = phi(x, e, &slope), h = s * decay * value, d_fast = s * s * decay * slope;
    out[0] = -s * h - d_fast;
    out[1] = d_fast;
    out[2] = decay * (value * (1.0 - slow * s) + x * slope);
    return h;
}

double mr_heat_shape(double s, double p, double q, double *out_dp, double *out_dq, double *out_ds) {
    double slow = fmin(p, q), fast = fmax(p, q), d[3];
    double h = shape_of(s, slow, fast, exp(-slow * s), exp(-(fast - slow) * s), d);
    if (out_dp)
        *out_dp = d[p > q];
    if (out_dq)
        *out_dq = d[p <= q];
    if (out_ds)
        *out_ds = d[2];
    return h;
}

void mr_heat_shapes(size_t n, const double *t_s, double onset_s, double p, double q, struct mr_heat_shapes *out) {
    enum { AFRESH = 16 }; /* products in a row lose a digit in ten at most */
    double slow = fmin(p, q), fast = fmax(p, q), dt = -1.0, d[3], decay = 0.0, e = 0.0, by_slow = 0.0, by_gap = 0.0;
    for (size_t i = 0, in_row = AFRESH; i < n; i++) {
        double s = t_s[i] - onset_s, step = i ? t_s[i] - t_s[i - 1] : 0.0;
        if (!(s > 0.0)) {
            out->h[i] = out->ds[i] = out->dp[i] = out->dq[i] = 0.0;
            continue;
        }
        if (fabs(step - dt) > 1e-9 * step) {
            dt = step;
            by_slow = exp(-slow * dt);
            by_gap = exp(-(fast - slow) * dt);
            in_row = AFRESH;
        }
        bool afresh = in_row >= AFRESH;
        decay = afresh ? exp(-slow * s) : decay * by_slow;
        e = afresh ? exp(-(fast - slow) * s) : e * by_gap;
        in_row = afresh ? 1 : in_row + 1;
        out->h[i] = shape_of(s, slow, fast, decay, e, d);
        out->dp[i] = d[p > q];
        out->dq[i] = d[p <= q];
        out->ds[i] = d[2];
    }
}

double mr_heat_rise(const struct mr_heat_curve *curve, double t_s) {
    double s = t_s - curve->onset_s;
    if (!(s > 0.0))
        return 0.0;
    return curve->adiabatic_k * curve->k_per_s *
           mr_heat_shape(s, 1.0 / curve->tau_s, curve->k_per_s, NULL, NULL, NULL);
}

/* ln(a)/(a - 1), which is 1 at a = 1; the series serves nearer than 1e-4, where its error is under 1e-16. */
static double log_over(double a) {
    double d = a - 1.0;
    if (fabs(d) < 1e-4)
        return 1.0 - d * (0.5 - d * (1.0 / 3.0 - d * 0.25));
    return log(a) / d;
}

double mr_heat_peak_rise(const struct mr_heat_curve *curve) {
    return curve->adiabatic_k * exp(-log_over(curve->k_per_s * curve->tau_s));
}

double mr_heat_peak_delay(const struct mr_heat_curve *curve) {
    return curve->tau_s * log_over(curve->k_per_s * curve->tau_s);
}

double mr_heat_found_c(const struct mr_heat_found *event, double t_s) {
    if (isnan(event->line_c))
        return MR_NAN;
    double u = t_s - event->curve.onset_s;
    double c =
        event->line_c + u * (event->drift_k_per_s + u * event->bend_k_per_s2) + mr_heat_rise(&event->curve, t_s);
    for (size_t i = 0; i < event->n_carried; i++)
        c += mr_heat_rise(&event->carried[i], t_s);
    return c;
}

/* ---- the curve of an event, for charts and the workbook ---- */

/* Straight between the moments that were kept, level outside them. */
static double shared_k(const struct mr_heat_event *event, int64_t t_utc_ms) {
    const struct mr_heat_share *s = event->shared;
    size_t i = 0;
    if (event->n_shared == 0)
        return 0;
    while (i < event->n_shared && s[i].t_utc_ms <= t_utc_ms)
        i++;
    if (i == 0 || i == event->n_shared)
        return s[i ? i - 1 : 0].k;
    const double part = (double)(t_utc_ms - s[i - 1].t_utc_ms) / (double)(s[i].t_utc_ms - s[i - 1].t_utc_ms);
    return s[i - 1].k + part * (s[i].k - s[i - 1].k);
}

double mr_heat_without_c(const struct mr_heat_event *event, int64_t t_utc_ms) {
    if (t_utc_ms < event->t_baseline || isnan(event->line_c))
        return MR_NAN;
    double u = (double)(t_utc_ms - event->t_onset) * 1e-3;
    double c = event->line_c + u * (event->drift_k_per_s + u * event->bend_k_per_s2) + shared_k(event, t_utc_ms);
    for (size_t i = 0; i < event->n_carried; i++) {
        const struct mr_heat_term *term = &event->carried[i];
        struct mr_heat_curve tail = {-term->before_s, term->adiabatic_k, term->k_per_s, term->tau_s};
        c += mr_heat_rise(&tail, u);
    }
    return c;
}

double mr_heat_model_c(const struct mr_heat_event *event, int64_t t_utc_ms) {
    if (isnan(event->rise_adiabatic_k))
        return MR_NAN;
    struct mr_heat_curve own = {0.0, event->rise_adiabatic_k, event->k_per_s, event->tau_s};
    return mr_heat_without_c(event, t_utc_ms) + mr_heat_rise(&own, (double)(t_utc_ms - event->t_onset) * 1e-3);
}
