/*
 * heat_curve.c - the closed form of the lumped heat balance. See heat.h.
 *
 * With p = 1/tau and q = k, theta = A q h(s) where h = (exp(-p s) - exp(-q s)) / (q - p). Written as
 * h = s exp(-p s) phi((q - p) s), phi(x) = (1 - exp(-x))/x, it has no 0/0 where the rates are equal. p is taken as
 * the smaller rate so that x is never negative and nothing overflows; h is symmetric, so this changes nothing.
 */
#include "assess/heat/heat.h"

#include <math.h>

/* phi and its derivative. Below 1e-2 by series: the next term left out is under 1e-12. */
static double phi(double x, double *out_slope) {
    if (x < 1e-2) {
        *out_slope = -0.5 + x * (1.0 / 3.0 + x * (-1.0 / 8.0 + x * (1.0 / 30.0 + x * (-1.0 / 144.0 + x / 840.0))));
        return 1.0 + x * (-0.5 + x * (1.0 / 6.0 + x * (-1.0 / 24.0 + x * (1.0 / 120.0 - x / 720.0))));
    }
    double e = exp(-x), value = (x > 0.7 ? 1.0 - e : -expm1(-x)) / x; /* beyond 0.7 the difference keeps its digits */
    *out_slope = (e - value) / x;
    return value;
}

double mr_heat_shape(double s, double p, double q, double *out_dp, double *out_dq, double *out_ds) {
    double slow = fmin(p, q), fast = fmax(p, q);
    double x = (fast - slow) * s, slope;
    double value = phi(x, &slope), decay = exp(-slow * s);
    double h = s * decay * value;
    double d_fast = s * s * decay * slope, d_slow = -s * h - d_fast;
    if (out_dp)
        *out_dp = p <= q ? d_slow : d_fast;
    if (out_dq)
        *out_dq = p <= q ? d_fast : d_slow;
    if (out_ds)
        *out_ds = decay * (value * (1.0 - slow * s) + x * slope);
    return h;
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
