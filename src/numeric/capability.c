/*
 * capability.c - a distribution against limits, and a measured value with its doubt against limits.
 */
#include "numeric/summary_stats.h"

#include <math.h>

struct mr_capability mr_capability_of(double mean, double sd, size_t n, double low, double high, double target,
                                      double confidence) {
    struct mr_capability c = {MR_NAN, MR_NAN, MR_NAN, MR_NAN, MR_NAN, {MR_NAN, MR_NAN}, {MR_NAN, MR_NAN}};
    if (n < 2 || !(sd > 0) || isnan(mean))
        return c;
    double df = (double)(n - 1);
    c.cpl = (mean - low) / (3 * sd);
    c.cpu = (high - mean) / (3 * sd);
    c.cp = (high - low) / (6 * sd);
    c.cpk = isnan(c.cpl) ? c.cpu : isnan(c.cpu) ? c.cpl : fmin(c.cpl, c.cpu);
    c.cpm = (high - low) / (6 * sqrt(sd * sd + (mean - target) * (mean - target)));
    if (!isnan(c.cp))
        c.cp_ci = (struct mr_interval){c.cp * sqrt(mr_chi2_q((1 - confidence) / 2, df) / df),
                                       c.cp * sqrt(mr_chi2_q((1 + confidence) / 2, df) / df)};
    if (!isnan(c.cpk)) {
        double half = mr_normal_q((1 + confidence) / 2) * sqrt(1 / (9 * (double)n) + c.cpk * c.cpk / (2 * df));
        c.cpk_ci = (struct mr_interval){c.cpk - half, c.cpk + half};
    }
    return c;
}

double mr_conformance_p(double measured, double u, double low, double high) {
    if (isnan(measured) || !(u >= 0))
        return MR_NAN;
    if (!(u > 0))
        return measured < low || measured > high ? 0 : 1; /* a missing limit is never passed */
    double a = isnan(low) ? -HUGE_VAL : (low - measured) / u, b = isnan(high) ? HUGE_VAL : (high - measured) / u;
    /* in the upper tail both probabilities are near 1: take them from the other side */
    return a > 0 ? mr_normal_p(-a) - mr_normal_p(-b) : mr_normal_p(b) - mr_normal_p(a);
}
