/*
 * summary_stats.c - centre, spread, quantiles and their intervals. The contract stands in summary_stats.h.
 *
 * The mean is taken in long double and corrected once by the mean of the residuals, the variance about that mean: on
 * the hardest of NIST's univariate sets (NumAcc4) eleven digits of the SD survive.
 */
#include "numeric/summary_stats.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>

static long double exact_mean(const double *x, size_t n) {
    long double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += (long double)x[i];
    long double mean = sum / (long double)n;
    long double rest = 0;
    for (size_t i = 0; i < n; i++)
        rest += (long double)x[i] - mean;
    return mean + rest / (long double)n;
}

struct mr_moments mr_moments_of(const double *x, size_t n) {
    struct mr_moments m = {n, MR_NAN, MR_NAN, MR_NAN, MR_NAN};
    if (n == 0)
        return m;
    long double mean = exact_mean(x, n), squares = 0;
    m.mean = (double)mean;
    m.min = m.max = x[0];
    for (size_t i = 0; i < n; i++) {
        long double d = (long double)x[i] - mean;
        squares += d * d;
        m.min = x[i] < m.min ? x[i] : m.min;
        m.max = x[i] > m.max ? x[i] : m.max;
    }
    if (n > 1)
        m.sd = (double)sqrtl(squares / (long double)(n - 1));
    return m;
}

double mr_quantile(const double *sorted, size_t n, double p, enum mr_quantile_rule rule) {
    if (n == 0 || !(p >= 0 && p <= 1))
        return MR_NAN;
    double m = rule == MR_Q6 ? p : rule == MR_Q7 ? 1 - p : (p + 1) / 3;
    double at = (double)n * p + m;
    /* p is a binary fraction: a position that is whole but for its last bits is whole */
    double whole = floor(at + 4 * DBL_EPSILON * (double)n), part = at - whole;
    if (part < 4 * DBL_EPSILON * (double)n)
        part = 0;
    if (whole < 1)
        return sorted[0];
    if (whole >= (double)n)
        return sorted[n - 1];
    size_t j = (size_t)whole;
    return sorted[j - 1] + part * (sorted[j] - sorted[j - 1]);
}

double mr_mad(const double *x, size_t n, double *work) {
    if (n == 0)
        return MR_NAN;
    for (size_t i = 0; i < n; i++)
        work[i] = x[i];
    double centre = mr_median(work, n);
    for (size_t i = 0; i < n; i++)
        work[i] = fabs(x[i] - centre);
    return 1.482602218505602 * mr_median(work, n); /* 1 / normal quantile of 3/4 */
}

double mr_lag1(const double *x, size_t n) {
    if (n < 2)
        return MR_NAN;
    long double mean = exact_mean(x, n), products = 0, squares = 0;
    for (size_t i = 0; i < n; i++) {
        long double d = (long double)x[i] - mean;
        squares += d * d;
        if (i + 1 < n)
            products += d * ((long double)x[i + 1] - mean);
    }
    return squares > 0 ? (double)(products / squares) : MR_NAN;
}

struct mr_interval mr_mean_interval(double mean, double sd, size_t n, double confidence) {
    if (n < 2 || isnan(mean) || isnan(sd))
        return (struct mr_interval){MR_NAN, MR_NAN};
    double half = mr_t_q((1 + confidence) / 2, (double)(n - 1)) * sd / sqrt((double)n);
    return (struct mr_interval){mean - half, mean + half};
}

struct mr_interval mr_sd_interval(double sd, size_t n, double confidence) {
    if (n < 2 || isnan(sd))
        return (struct mr_interval){MR_NAN, MR_NAN};
    double df = (double)(n - 1);
    return (struct mr_interval){sd * sqrt(df / mr_chi2_q((1 + confidence) / 2, df)),
                                sd * sqrt(df / mr_chi2_q((1 - confidence) / 2, df))};
}
