/*
 * sample_tests.c - outliers, normality, randomness of the order.
 */
#include "numeric/summary_stats.h"

#include <math.h>

double mr_grubbs_critical(size_t n, double alpha, int sides) {
    if (n < 3)
        return MR_NAN;
    double count = (double)n, t = mr_t_q(1 - alpha / (sides * count), count - 2);
    return (count - 1) / sqrt(count) * sqrt(t * t / (count - 2 + t * t));
}

/* The value farthest from the mean and its distance in SD. */
static struct mr_outlier farthest(const double *x, size_t n) {
    struct mr_outlier far = {0, MR_NAN, MR_NAN, false};
    struct mr_moments m = mr_moments_of(x, n);
    if (n < 3 || !(m.sd > 0))
        return far;
    for (size_t i = 1; i < n; i++)
        if (fabs(x[i] - m.mean) > fabs(x[far.index] - m.mean))
            far.index = i;
    far.g = fabs(x[far.index] - m.mean) / m.sd;
    return far;
}

struct mr_outlier mr_grubbs(const double *x, size_t n, double alpha) {
    struct mr_outlier far = farthest(x, n);
    far.critical = mr_grubbs_critical(n, alpha, 2);
    far.out = far.g > far.critical;
    return far;
}

size_t mr_esd(const double *x, size_t n, size_t max_out, double alpha, double *work, struct mr_outlier *steps) {
    size_t left = n, found = 0;
    for (size_t i = 0; i < n; i++)
        work[i] = x[i];
    for (size_t step = 0; step < max_out; step++) {
        struct mr_outlier far = farthest(work, left);
        far.critical = mr_grubbs_critical(left, alpha, 2); /* the same formula in the count that is left */
        far.out = far.g > far.critical;
        if (far.out)
            found = step + 1;
        steps[step] = far;
        if (isnan(far.g))
            continue;
        double value = work[far.index];
        for (size_t i = far.index + 1; i < left; i++) /* order is kept, so that ties resolve to the first */
            work[i - 1] = work[i];
        left--;
        /* Back to an index into x: the same value, not yet named by an earlier step. */
        for (size_t i = 0; i < n; i++) {
            bool named = x[i] < value || x[i] > value;
            for (size_t s = 0; s < step && !named; s++)
                named = steps[s].index == i && !isnan(steps[s].g);
            if (!named) {
                steps[step].index = i;
                break;
            }
        }
    }
    for (size_t step = 0; step < max_out; step++)
        steps[step].out = step < found; /* Rosner: all up to the last step that exceeds its critical value */
    return found;
}

static double anderson_darling_p(double a) {
    if (a < 0.2)
        return 1 - exp(-13.436 + 101.14 * a - 223.73 * a * a);
    if (a < 0.34)
        return 1 - exp(-8.318 + 42.796 * a - 59.938 * a * a);
    if (a < 0.6)
        return exp(0.9177 - 4.279 * a - 1.38 * a * a);
    return a < 10 ? exp(1.2937 - 5.709 * a + 0.0186 * a * a) : 3.7e-24;
}

struct mr_normality mr_anderson_darling(const double *sorted, size_t n) {
    struct mr_normality r = {MR_NAN, MR_NAN, MR_NAN};
    struct mr_moments m = mr_moments_of(sorted, n);
    if (n < 8 || !(m.sd > 0))
        return r;
    long double sum = 0;
    for (size_t i = 0; i < n; i++) {
        double low = (sorted[i] - m.mean) / m.sd, high = (sorted[n - 1 - i] - m.mean) / m.sd;
        sum += (long double)(2 * i + 1) * (long double)(mr_log_normal_p(low, 0) + mr_log_normal_p(high, 1));
    }
    double count = (double)n;
    r.a2 = (double)(-(long double)n - sum / (long double)n);
    r.a2_star = r.a2 * (1 + 0.75 / count + 2.25 / (count * count));
    r.p = anderson_darling_p(r.a2_star);
    return r;
}

struct mr_runs mr_runs_test(const double *x, size_t n, double median) {
    struct mr_runs r = {0, 0, 0, MR_NAN, MR_NAN};
    bool was = false;
    for (size_t i = 0; i < n; i++) {
        bool above = x[i] >= median;
        if (above)
            r.above++;
        else
            r.below++;
        if (i == 0 || above != was)
            r.runs++;
        was = above;
    }
    double a = (double)r.above, b = (double)r.below, all = a + b;
    double variance = 2 * a * b * (2 * a * b - all) / (all * all * (all - 1));
    if (r.above == 0 || r.below == 0 || !(variance > 0))
        return r;
    r.z = ((double)r.runs - (2 * a * b / all + 1)) / sqrt(variance);
    r.p = 2 * mr_normal_p(-fabs(r.z));
    return r;
}
