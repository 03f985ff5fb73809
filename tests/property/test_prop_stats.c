/*
 * Statistics of thousands of seeded random samples against NumPy and SciPy: tests/support/expect/statistics.py
 * rebuilds the table. Both sides draw the samples from splitmix64, so the table holds results only, to 11 digits.
 */
#include "numeric/summary_stats.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define TABLE "tests/support/expect/statistics.tsv"
#define COLUMNS 19

static uint64_t next_random(uint64_t *state) {
    uint64_t z = (*state += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

static size_t draw(uint64_t seed, double *x) {
    uint64_t state = seed;
    size_t n = 8 + next_random(&state) % 53;
    uint64_t centre = 1000 + next_random(&state) % 4000, width = 20 + next_random(&state) % 600;
    for (size_t i = 0; i < n; i++) {
        uint64_t sum = centre;
        for (int k = 0; k < 4; k++)
            sum += next_random(&state) % width;
        x[i] = (double)sum / 10;
    }
    return n;
}

static void compute(const double *x, size_t n, double *out) {
    double sorted[64], work[64];
    struct mr_moments m = mr_moments_of(x, n);
    memcpy(sorted, x, n * sizeof *x);
    mr_sort(sorted, n);
    struct mr_outlier g = mr_grubbs(x, n, 0.05);
    struct mr_interval sd = mr_sd_interval(m.sd, n, 0.95);
    double low = m.mean - 2.5 * m.sd, high = m.mean + 3.5 * m.sd;
    struct mr_capability c = mr_capability_of(m.mean, m.sd, n, low, high, NAN, 0.95);
    const double values[COLUMNS] = {(double)n,
                                    m.mean,
                                    m.sd,
                                    mr_quantile(sorted, n, 0.25, MR_Q6),
                                    mr_median(sorted, n),
                                    mr_quantile(sorted, n, 0.75, MR_Q6),
                                    mr_quantile(sorted, n, 0.9, MR_Q7),
                                    mr_quantile(sorted, n, 0.9, MR_Q8),
                                    mr_mad(x, n, work),
                                    mr_lag1(x, n),
                                    mr_mean_interval(m.mean, m.sd, n, 0.95).low,
                                    sd.low,
                                    sd.high,
                                    g.g,
                                    g.critical,
                                    mr_anderson_darling(sorted, n).a2,
                                    mr_runs_test(x, n, mr_median(sorted, n)).z,
                                    c.cpk_ci.low,
                                    mr_conformance_p(x[0], m.sd / 3, low, high)};
    memcpy(out, values, sizeof values);
}

static const char *const names[COLUMNS] = {
    "n",        "mean",   "sd",      "q1",     "median",          "q3", "p90 rule 7", "p90 rule 8", "mad", "lag 1",
    "mean low", "sd low", "sd high", "grubbs", "grubbs critical", "A2", "runs Z",     "cpk low",    "p"};

static bool near(double got, double want, double relative) {
    return fabs(got - want) <= relative * fmax(fabs(want), 1e-3);
}

Test(prop_stats, thousands_of_samples_agree_with_scipy) {
    FILE *f = fopen(TABLE, "r");
    cr_assert_not_null(f, "%s is not there: run the tests from the project's folder", TABLE);
    char line[1024];
    size_t cases = 0, factors = 0, wrong = 0;
    while (fgets(line, sizeof line, f)) {
        double k[6];
        if (line[0] == '#')
            continue;
        if (sscanf(line, "factor\t%lf\t%lf\t%lf\t%lf\t%lf", &k[0], &k[1], &k[2], &k[3], &k[4]) == 5) {
            double two = mr_tolerance_k2((size_t)k[0], k[1], k[2]), one = mr_tolerance_k1((size_t)k[0], k[1], k[2]);
            factors++;
            cr_expect(near(two, k[3], 1e-7) && near(one, k[4], 1e-7), "n %g, %g/%g: %.9g %.9g, SciPy %.9g %.9g", k[0],
                      k[1], k[2], two, one, k[3], k[4]);
            continue;
        }
        double x[64], got[COLUMNS];
        char *at = line;
        size_t n = draw(strtoull(at, &at, 10), x);
        compute(x, n, got);
        cases++;
        for (size_t i = 0; i < COLUMNS; i++) {
            double want = strtod(at, &at);
            if (!near(got[i], want, 2e-9) && wrong++ < 10)
                cr_expect(false, "case %zu, %s: %.12g, SciPy %.12g", cases, names[i], got[i], want);
        }
    }
    fclose(f);
    cr_expect_eq(wrong, 0);
    cr_expect_eq(cases, 2500);
    cr_expect_gt(factors, 80);
}

/* Order does not matter where it should not; a shift moves, a scale scales. */
Test(prop_stats, laws_of_order_shift_and_scale) {
    for (uint64_t seed = 1; seed <= 500; seed++) {
        double x[64], y[64], sx[64], sy[64];
        size_t n = draw(seed, x);
        for (size_t i = 0; i < n; i++)
            y[i] = 3 * x[n - 1 - i] + 100;
        struct mr_moments a = mr_moments_of(x, n), b = mr_moments_of(y, n);
        memcpy(sx, x, sizeof x), memcpy(sy, y, sizeof y);
        mr_sort(sx, n), mr_sort(sy, n);
        cr_expect(near(b.mean, 3 * a.mean + 100, 1e-13) && near(b.sd, 3 * a.sd, 1e-12), "seed %u", (unsigned)seed);
        cr_expect(near(mr_quantile(sy, n, 0.3, MR_Q6), 3 * mr_quantile(sx, n, 0.3, MR_Q6) + 100, 1e-13), "seed %u",
                  (unsigned)seed);
        cr_expect(near(mr_grubbs(y, n, 0.05).g, mr_grubbs(x, n, 0.05).g, 1e-11), "seed %u", (unsigned)seed);
        cr_expect(near(mr_lag1(y, n), mr_lag1(x, n), 1e-10), "seed %u", (unsigned)seed);
    }
}

Test(prop_stats, too_few_values_give_nan_never_zero) {
    double one[1] = {5};
    cr_expect(isnan(mr_moments_of(one, 0).mean) && isnan(mr_moments_of(one, 1).sd) && isnan(mr_lag1(one, 1)));
    cr_expect(isnan(mr_quantile(one, 0, 0.5, MR_Q6)) && isnan(mr_median(one, 0)));
    cr_expect(isnan(mr_mean_interval(5, MR_NAN, 1, 0.95).low) && isnan(mr_sd_interval(MR_NAN, 1, 0.95).high));
    cr_expect(isnan(mr_tolerance_k2(1, 0.95, 0.95)) && isnan(mr_tolerance_k1(1, 0.95, 0.95)) &&
              isnan(mr_grubbs(one, 1, 0.05).g));
    cr_expect(isnan(mr_anderson_darling(one, 1).a2) && isnan(mr_runs_test(one, 1, 5).z) &&
              isnan(mr_individuals(one, 1).centre));
    cr_expect(isnan(mr_t_q(0.5, -1)) && isnan(mr_chi2_q(2, 3)) && isnan(mr_normal_q(MR_NAN)),
              "bad arguments are answered, not printed");
}
