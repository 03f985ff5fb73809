/*
 * control_limits.c - limits of control charts, and the constants behind them.
 */
#include "numeric/summary_stats.h"

#include <math.h>

static double c4_of(size_t n) {
    if (n < 2)
        return MR_NAN;
    double half = (double)n / 2;
    return sqrt(2 / (double)(n - 1)) * exp(mr_gamma_ln(half) - mr_gamma_ln(half - 0.5));
}

struct mr_control_limits mr_individuals(const double *x, size_t n) {
    struct mr_control_limits c = {MR_NAN, MR_NAN, MR_NAN};
    if (n < 2)
        return c;
    long double ranges = 0;
    for (size_t i = 1; i < n; i++)
        ranges += (long double)fabs(x[i] - x[i - 1]);
    c.centre = mr_moments_of(x, n).mean;
    double half = 3 * (double)(ranges / (long double)(n - 1)) / 1.128; /* d2 for 2, as the Handbook rounds it */
    c.low = c.centre - half;
    c.high = c.centre + half;
    return c;
}

void mr_xbar_s(const double *mean, const double *sd, const size_t *n, size_t groups, size_t size,
               struct mr_control_limits *out_xbar, struct mr_control_limits *out_s) {
    *out_xbar = *out_s = (struct mr_control_limits){MR_NAN, MR_NAN, MR_NAN};
    long double sum = 0, sigma = 0, values = 0;
    size_t used = 0;
    for (size_t i = 0; i < groups; i++) {
        if (n[i] < 2)
            continue;
        sum += (long double)mean[i] * (long double)n[i];
        values += (long double)n[i];
        sigma += (long double)(sd[i] / c4_of(n[i]));
        used++;
    }
    if (used < 2 || size < 2)
        return;
    double centre = (double)(sum / values), s = (double)(sigma / (long double)used), c4 = c4_of(size);
    double half = 3 * s / sqrt((double)size), spread = 3 * s * sqrt(1 - c4 * c4);
    *out_xbar = (struct mr_control_limits){centre, centre - half, centre + half};
    *out_s = (struct mr_control_limits){s * c4, fmax(0, s * c4 - spread), s * c4 + spread};
}
