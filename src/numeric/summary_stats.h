/*
 * summary_stats.h - pure statistics on arrays of doubles. No units, no zones, no verdicts.
 *
 * Every function takes finite values and keeps nothing. `sorted` means ascending (mr_sort). What is not defined for
 * so few values is NaN, never 0. Sums run in long double, variances in two passes about the mean.
 * Confidence and coverage are shares between 0 and 1, not percent.
 * Sources stand beside each function; HB = NIST/SEMATECH e-Handbook of Statistical Methods, with its section.
 * Tests: tests/published/test_pub_stats*.c, tests/property/test_prop_stats.c (against SciPy).
 */
#ifndef MILRISE_NUMERIC_SUMMARY_STATS_H
#define MILRISE_NUMERIC_SUMMARY_STATS_H

#include "milrise/base.h"
#include "numeric/distributions.h"
#include "numeric/select.h"

struct mr_interval {
    double low, high; /* NaN where not defined; infinite on an open side */
};

/* ---- centre and spread (summary_stats.c) ---- */

struct mr_moments {
    size_t n;
    double mean;     /* NaN for n = 0 */
    double sd;       /* n - 1 in the divisor; NaN for n < 2 */
    double min, max; /* NaN for n = 0 */
};

/** mr_moments_of - the above. Any order. */
struct mr_moments mr_moments_of(const double *x, size_t n);

/* Rules for quantiles, numbered as by Hyndman and Fan, The American Statistician 50 (1996) 361. */
enum mr_quantile_rule {
    MR_Q6 = 6, /* p(n + 1); HB 7.2.6.2. The rule of every quartile in the reports. */
    MR_Q7 = 7, /* 1 + p(n - 1); default of many programs */
    MR_Q8 = 8, /* about median-unbiased */
};

/** mr_quantile - the p-quantile, linear between order statistics, held at the ends. NaN for n = 0. */
double mr_quantile(const double *sorted, size_t n, double p, enum mr_quantile_rule rule);

/** mr_mad - 1.4826 times the median distance from the median: estimates the SD of a normal sample.
 *  work: room for n doubles, may not be x; x may stand in any order. */
double mr_mad(const double *x, size_t n, double *work);

/** mr_lag1 - lag-1 autocorrelation in the order given; sum (y_i - m)(y_i+1 - m) / sum (y_i - m)^2. HB 1.3.5.12.
 *  NaN for n < 2 or constant values. */
double mr_lag1(const double *x, size_t n);

/** mr_mean_interval, mr_sd_interval - two-sided, normal theory. HB 1.3.5.2, 7.2.3.1. NaN for n < 2. */
struct mr_interval mr_mean_interval(double mean, double sd, size_t n, double confidence);
struct mr_interval mr_sd_interval(double sd, size_t n, double confidence);

/* ---- tolerance intervals (tolerance_factor.c) ---- */

/** mr_tolerance_k2 - exact two-sided factor: mean +- k sd holds at least `coverage` of a normal population with the
 *  confidence given. ISO 16269-6:2014, both parameters unknown. NaN for n < 2. */
double mr_tolerance_k2(size_t n, double coverage, double confidence);

/** mr_tolerance_k1 - exact one-sided factor (the same number as by the noncentral t). HB 7.2.6.3. */
double mr_tolerance_k1(size_t n, double coverage, double confidence);

/** mr_tolerance_k2_howe - the published approximation. HB 7.2.6.3. */
double mr_tolerance_k2_howe(size_t n, double coverage, double confidence);

/* ---- tests (sample_tests.c) ---- */

struct mr_outlier {
    size_t index;    /* of the value farthest from the mean; the first of equals */
    double g;        /* its distance in SD; NaN for n < 3 or constant values */
    double critical; /* two-sided */
    bool out;
};

/** mr_grubbs - one outlier on either side at significance alpha. HB 1.3.5.17.1. */
struct mr_outlier mr_grubbs(const double *x, size_t n, double alpha);

/** mr_grubbs_critical - sides 1 or 2. */
double mr_grubbs_critical(size_t n, double alpha, int sides);

/** mr_esd - generalised extreme studentised deviate test for up to max_out outliers. B. Rosner, Technometrics 25
 *  (1983) 165; HB 1.3.5.17.3. Writes max_out steps, the most extreme first: index into x, statistic, critical value.
 *  work: room for n doubles. Returns how many are outliers. Steps that n does not allow have g NaN. */
size_t mr_esd(const double *x, size_t n, size_t max_out, double alpha, double *work, struct mr_outlier *steps);

struct mr_normality {
    double a2, a2_star; /* Anderson-Darling; adjusted for the estimated mean and SD */
    double p;           /* NaN for n < 8 or constant values */
};

/** mr_anderson_darling - normality. R. B. D'Agostino, M. A. Stephens, Goodness-of-Fit Techniques (1986), table 4.9.
 */
struct mr_normality mr_anderson_darling(const double *sorted, size_t n);

struct mr_runs {
    size_t above, below, runs; /* a value equal to the median counts as above */
    double z, p;               /* two-sided; NaN where one side is empty */
};

/** mr_runs_test - randomness of the order, about the median given. HB 1.3.5.13. */
struct mr_runs mr_runs_test(const double *x, size_t n, double median);

/* ---- control charts (control_limits.c) ---- */

struct mr_control_limits {
    double centre, low, high; /* limits at three sigma; NaN for too few values */
};

/** mr_individuals - limits of single values in order of time, from the moving ranges of two. HB 6.3.2.2. */
struct mr_control_limits mr_individuals(const double *x, size_t n);

/** mr_xbar_s - limits of subgroup means and SDs from subgroup means, SDs and sizes; sizes may differ, the limits are
 * for subgroups of `size`. HB 6.3.2.1. Subgroups of fewer than 2 are left out. */
void mr_xbar_s(const double *mean, const double *sd, const size_t *n, size_t groups, size_t size,
               struct mr_control_limits *out_xbar, struct mr_control_limits *out_s);

/* ---- limits and doubt (capability.c) ---- */

struct mr_capability {
    double cp, cpl, cpu, cpk, cpm; /* NaN where a limit or target is missing */
    struct mr_interval cp_ci, cpk_ci;
};

/** mr_capability - low or high may be NaN; target NaN: no cpm. HB 6.1.6; cp limits by chi squared, cpk limits by
 *  A. F. Bissell, Applied Statistics 39 (1990) 331. */
struct mr_capability mr_capability_of(double mean, double sd, size_t n, double low, double high, double target,
                                      double confidence);

/** mr_conformance_p - probability that the true value lies in [low, high], given the measured one and its standard
 *  uncertainty (normal). JCGM 106:2012, 7.4. NaN limits are open sides. u = 0: 0 or 1. */
double mr_conformance_p(double measured, double u, double low, double high);

/* ---- variance components (nested_variance.c) ---- */

/* Levels: 0 = readings within spots, 1 = spots within areas, 2 = between areas. */
struct mr_nested {
    double ss[3];
    size_t df[3];
    double ms[3];        /* NaN where df is 0 */
    double component[3]; /* variance; NaN where not estimable; may be negative, as the method gives it */
    double n0[3]; /* coefficients: n0[0] of spots within areas, n0[1] and n0[2] of spots and areas in the area line */
};

/** mr_nested_anova - three levels, any numbers. x is ordered by area, then spot; area[i] and spot[i] are labels that
 * change where a new one begins (a spot label may recur in another area). Expected mean squares after S. R. Searle,
 * Linear Models (1971), chapter 11. */
struct mr_nested mr_nested_anova(const double *x, const size_t *area, const size_t *spot, size_t n);

#endif
