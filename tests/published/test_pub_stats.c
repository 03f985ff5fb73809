/*
 * Statistics against published numbers. Each row names document and place; its tolerance is half of the last digit
 * printed there. Where a reference prints more digits than a double can hold on that set, the tolerance is relative
 * and says so. "Calculated" marks values computed in exact rationals or 60-digit decimals from published data, not
 * printed anywhere.
 */
#include "numeric/summary_stats.h"
#include "published/nist_sets.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

struct value {
    const char *what;
    double got, want, tolerance;
};

static void near(const struct value *rows, size_t n) {
    for (size_t i = 0; i < n; i++)
        cr_expect(fabs(rows[i].got - rows[i].want) <= rows[i].tolerance,
                  "%s: got %.17g, published %.17g, off by %.2g > %.2g", rows[i].what, rows[i].got, rows[i].want,
                  fabs(rows[i].got - rows[i].want), rows[i].tolerance);
}

#define NEAR(...)                                                                                                    \
    do {                                                                                                             \
        const struct value rows_[] = {__VA_ARGS__};                                                                  \
        near(rows_, sizeof rows_ / sizeof rows_[0]);                                                                 \
    } while (0)

/* NumAcc2 to 4: base + 0.2, then base + 0.1 and base + 0.3 in turns. */
static void fill_numacc(double *x, double low, double middle, double high) {
    x[0] = middle;
    for (size_t i = 1; i < 1001; i++)
        x[i] = i % 2 ? low : high;
}

/* NIST Statistical Reference Datasets, univariate: certified mean, SD (n - 1) and lag-1 autocorrelation, 15 digits.
 */
Test(published_stats, all_nine_nist_univariate_sets) {
    static double pi[5000], acc2[1001], acc3[1001], acc4[1001];
    static const double acc1[3] = {10000001, 10000003, 10000002};
    for (size_t i = 0; i < 5000; i++)
        pi[i] = nist_pidigits[i] - '0';
    fill_numacc(acc2, 1.1, 1.2, 1.3);
    fill_numacc(acc3, 1000000.1, 1000000.2, 1000000.3);
    fill_numacc(acc4, 10000000.1, 10000000.2, 10000000.3);
    const struct {
        const char *name;
        const double *x;
        size_t n;
        double mean, sd, lag1;
        double relative; /* what doubles as inputs allow: the stored 10000000.1 is itself off by 4e-10 of 0.1 */
    } rows[] = {
        {"Lew", nist_lew, 200, -177.435000000000, 277.332168044316, -0.307304800605679, 5e-15},
        {"Lottery", nist_lottery, 218, 518.958715596330, 291.699727470969, -0.120948622967393, 5e-15},
        {"Mavro", nist_mavro, 50, 2.00185600000000, 0.000429123454003053, 0.937989183438248, 1e-12},
        {"Michelso", nist_michelso, 100, 299.852400000000, 0.0790105478190518, 0.535199668621283, 1e-12},
        {"NumAcc1", acc1, 3, 10000002, 1, -0.5, 0},
        {"NumAcc2", acc2, 1001, 1.2, 0.1, -0.999, 1e-14},
        {"NumAcc3", acc3, 1001, 1000000.2, 0.1, -0.999, 1e-9},
        {"NumAcc4", acc4, 1001, 10000000.2, 0.1, -0.999, 1e-8},
        {"PiDigits", pi, 5000, 4.53480000000000, 2.86733906028871, -0.00355099287237972, 5e-15},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct mr_moments m = mr_moments_of(rows[i].x, rows[i].n);
        NEAR({rows[i].name, m.mean, rows[i].mean, 5e-15 * fabs(rows[i].mean)},
             {rows[i].name, m.sd, rows[i].sd, rows[i].relative * rows[i].sd},
             {rows[i].name, mr_lag1(rows[i].x, rows[i].n), rows[i].lag1, fmax(rows[i].relative, 1e-14)});
    }
}

/* NIST/SEMATECH e-Handbook 1.3.5.2 and the case study 1.4.2.8, heat flow meter. */
Test(published_stats, heat_flow_meter) {
    struct mr_moments m = mr_moments_of(nist_zarr13, 195);
    struct mr_interval ci = mr_mean_interval(m.mean, m.sd, 195, 0.95);
    double sorted[195];
    memcpy(sorted, nist_zarr13, sizeof sorted);
    mr_sort(sorted, 195);
    struct mr_runs runs = mr_runs_test(nist_zarr13, 195, mr_median(sorted, 195));
    struct mr_normality ad = mr_anderson_darling(sorted, 195);
    struct mr_outlier grubbs = mr_grubbs(nist_zarr13, 195, 0.05);
    NEAR({"mean (printed cut off, not rounded)", m.mean, 9.261460, 1e-6}, {"sd", m.sd, 0.022789, 5e-7},
         {"sd of mean", m.sd / sqrt(195), 0.001632, 5e-7}, {"t", mr_t_q(0.975, 194), 1.9723, 5e-5},
         {"CI low", ci.low, 9.258242, 5e-7}, {"CI high", ci.high, 9.264679, 5e-7},
         {"range", m.max - m.min, 0.131125, 1e-12}, {"lag 1", mr_lag1(nist_zarr13, 195), 0.280578, 5e-7},
         {"A2", ad.a2, 0.1265, 5e-5}, {"A2 p", ad.p, 0.985, 5e-4}, {"G", grubbs.g, 2.9186, 5e-5},
         {"runs Z", runs.z, -3.2306, 5e-5}, {"runs p", runs.p, 0.001235, 5e-7});
    cr_expect_not(grubbs.out);
}

/* e-Handbook 1.3.5.13, beam deflections. */
Test(published_stats, runs_of_beam_deflections) {
    double sorted[200];
    memcpy(sorted, nist_lew, sizeof sorted);
    mr_sort(sorted, 200);
    struct mr_runs r = mr_runs_test(nist_lew, 200, mr_median(sorted, 200));
    NEAR({"Z", r.z, 2.6938, 5e-5}, {"p", r.p, 0.007065, 5e-7});
    cr_expect_eq(r.runs, 120);
    cr_expect_eq(r.above, 100);
}

/* e-Handbook 1.3.5.17.1 (prints 2.4687, cut off; 2.468765 in public tests that cite it; one-sided 5 %
 * critical 2.032).
 */
Test(published_stats, grubbs_eight_values) {
    struct mr_outlier g = mr_grubbs(nist_grubbs8, 8, 0.05);
    NEAR({"G", g.g, 2.468765, 5e-7}, {"one-sided", mr_grubbs_critical(8, 0.05, 1), 2.032, 5e-4},
         {"two-sided, calculated", g.critical, 2.1266451, 5e-8});
    cr_expect(g.out);
    cr_expect_eq(g.index, 7);
}

/* e-Handbook 1.3.5.17.3; B. Rosner, Technometrics 25 (1983) 165: three outliers, which Grubbs' test masks. */
Test(published_stats, rosner_54_values) {
    static const double r[10] = {3.1189, 2.9430, 3.1794, 2.8102, 2.8156, 2.8482, 2.2793, 2.3104, 2.1016, 2.0672};
    static const double lambda[10] = {3.1588, 3.1514, 3.1439, 3.1362, 3.1282, 3.1201, 3.1118, 3.1032, 3.0945, 3.0854};
    struct mr_outlier steps[10];
    double work[54];
    cr_expect_eq(mr_esd(nist_rosner54, 54, 10, 0.05, work, steps), 3);
    for (size_t i = 0; i < 10; i++)
        NEAR({"R", steps[i].g, r[i], 5.1e-5}, {"lambda", steps[i].critical, lambda[i], 5.1e-5});
    cr_expect_eq(steps[0].index, 53);
    cr_expect_eq(steps[1].index, 52);
    cr_expect_eq(steps[2].index, 51);
    cr_expect_not(mr_grubbs(nist_rosner54, 54, 0.05).out, "a single test is masked");
}

/* e-Handbook 7.2.6.2 (90th percentile 95.1981), Hyndman and Fan's rules 7 and 8 calculated; 7.1.6 quartiles from
 * memory. */
Test(published_stats, percentiles) {
    double x[12], y[90];
    memcpy(x, nist_percentile12, sizeof x);
    mr_sort(x, 12);
    memcpy(y, nist_compare716, sizeof y);
    mr_sort(y, 90);
    NEAR({"rule 6", mr_quantile(x, 12, 0.9, MR_Q6), 95.1981, 5e-5},
         {"rule 7", mr_quantile(x, 12, 0.9, MR_Q7), 95.19568, 5e-6},
         {"rule 8", mr_quantile(x, 12, 0.9, MR_Q8), 95.19724, 5e-6}, {"median", mr_median(y, 90), 559.5, 0},
         {"lower quartile", mr_quantile(y, 90, 0.25, MR_Q6), 429.75, 0},
         {"upper quartile", mr_quantile(y, 90, 0.75, MR_Q6), 742.25, 0});
}

/* e-Handbook 7.2.6.3 (N 43, p 0.90, confidence 0.99; N 6), and exact factors as ISO 16269-6 tabulates them
 * (calculated). */
Test(published_stats, tolerance_factors) {
    NEAR({"z", mr_normal_q(0.95), 1.645, 5e-4}, {"chi squared", mr_chi2_q(0.01, 42), 23.650, 5e-4},
         {"k2 by Howe", mr_tolerance_k2_howe(43, 0.90, 0.99), 2.217, 5e-4},
         {"k2 exact", mr_tolerance_k2(43, 0.90, 0.99), 2.222825, 5e-7},
         {"k1", mr_tolerance_k1(43, 0.90, 0.99), 1.8740, 5e-5},
         {"k1, N 6", mr_tolerance_k1(6, 0.90, 0.99), 4.4111, 5e-5});
    static const struct {
        size_t n;
        double two_sided, one_sided;
    } rows[] = {{5, 5.07687, 4.20268},  {6, 4.42215, 3.70768},  {10, 3.39343, 2.91096}, {20, 2.76035, 2.39600},
                {30, 2.55489, 2.21984}, {50, 2.38156, 2.06499}, {100, 2.23388, 1.92654}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        NEAR({"two-sided 95/95", mr_tolerance_k2(rows[i].n, 0.95, 0.95), rows[i].two_sided, 5.1e-6},
             {"one-sided 95/95", mr_tolerance_k1(rows[i].n, 0.95, 0.95), rows[i].one_sided, 5.1e-6});
    NEAR({"n 2, 90/95", mr_tolerance_k2(2, 0.90, 0.95), 31.0922, 5e-5},
         {"n 10, 90/95", mr_tolerance_k2(10, 0.90, 0.95), 2.85631, 5e-6});
}

/* e-Handbook 6.1.6: USL 20, LSL 8, mean 16, s 2; cp limits by the formula of Chou, Owen and Borrego (1990),
 * calculated.
 */
Test(published_stats, capability) {
    struct mr_capability c = mr_capability_of(16, 2, 50, 8, 20, 14, 0.95);
    NEAR({"Cp", c.cp, 1.0, 1e-15}, {"Cpk", c.cpk, 0.6667, 5e-5}, {"Cpu", c.cpu, 0.6667, 5e-5},
         {"Cpl", c.cpl, 1.3333, 5e-5}, {"Cpm", c.cpm, 0.7071, 5e-5}, {"Cp low", c.cp_ci.low, 0.802482, 5e-7},
         {"Cp high", c.cp_ci.high, 1.197126, 5e-7});
}

/* e-Handbook 6.3.2.2 (inputs from memory; they reproduce the published results). */
Test(published_stats, individuals) {
    static const double imr[10] = {49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
    struct mr_control_limits c = mr_individuals(imr, 10);
    NEAR({"mean", c.centre, 50.81, 1e-12}, {"UCL", c.high, 55.8041, 5e-5},
         {"LCL, calculated", c.low, 45.81591, 5e-6});
}

/* NIST Dataplot, SILICON: 20 groups of 5 (calculated). */
Test(published_stats, xbar_and_s_chart) {
    double mean[20], sd[20];
    size_t n[20];
    for (size_t g = 0; g < 20; g++) {
        struct mr_moments m = mr_moments_of(nist_silicon + 5 * g, 5);
        mean[g] = m.mean, sd[g] = m.sd, n[g] = 5;
    }
    struct mr_control_limits x, s;
    mr_xbar_s(mean, sd, n, 20, 5, &x, &s);
    NEAR({"mean of means", x.centre, 23.726, 1e-12}, {"mean of s", s.centre, 0.82065818, 5e-9},
         {"LCL", x.low, 22.55468, 5e-6}, {"UCL", x.high, 24.89732, 5e-6}, {"S UCL", s.high, 1.71435, 5e-6},
         {"S LCL", s.low, 0, 0});
}

/* e-Handbook 3.5.1, film thickness in a furnace, 560 +- 100 angstrom (capability from memory; components calculated).
 */
Test(published_stats, furnace_film_thickness) {
    size_t run[168], zone[168];
    for (size_t i = 0; i < 168; i++)
        run[i] = i / 8, zone[i] = i / 2;
    struct mr_moments m = mr_moments_of(nist_furnace, 168);
    struct mr_capability c = mr_capability_of(m.mean, m.sd, 168, 460, 660, 560, 0.95);
    struct mr_nested a = mr_nested_anova(nist_furnace, run, zone, 168);
    NEAR({"mean", m.mean, 563.0357, 5e-5}, {"s", m.sd, 25.3847, 5e-5}, {"Cp", c.cp, 1.313, 5e-4},
         {"Cpk", c.cpk, 1.273, 5e-4}, {"SS runs", a.ss[2], 61442.286, 5e-4}, {"SS zones", a.ss[1], 36014.5, 1e-6},
         {"SS wafers", a.ss[0], 10155, 1e-6}, {"run", a.component[2], 312.557, 5e-4},
         {"zone in run", a.component[1], 225.383, 5e-4}, {"wafer", a.component[0], 120.893, 5e-4});
    cr_expect_eq(a.df[2], 20);
    cr_expect_eq(a.df[1], 63);
    cr_expect_eq(a.df[0], 84);
    static const double means[4] = {561.42857, 566.59524, 563.57143, 560.54762},
                        sds[4] = {24.43522, 19.59973, 31.32220, 25.30034};
    for (size_t z = 0; z < 4; z++) {
        double x[42];
        for (size_t r = 0; r < 21; r++)
            memcpy(x + 2 * r, nist_furnace + 8 * r + 2 * z, 2 * sizeof *x);
        struct mr_moments by_zone = mr_moments_of(x, 42);
        NEAR({"mean by zone", by_zone.mean, means[z], 5e-6}, {"s by zone", by_zone.sd, sds[z], 5e-6});
    }
}

/* Anderson-Darling by the formula of Stephens (1986); values calculated, p as by the R package nortest. */
Test(published_stats, anderson_darling) {
    const struct {
        const char *name;
        const double *x;
        size_t n;
        double a2, star, p, p_tolerance;
    } rows[] = {
        {"ZARR13", nist_zarr13, 195, 0.126479, 0.126973, 0.985, 5e-4},
        {"SPAGON1", nist_spagon1, 16, 0.238862, 0.252158, 0.738, 5.1e-4},
        {"SPAGON2", nist_spagon2, 16, 0.580552, 0.612868, 0.111, 5e-4},
        {"Mavro", nist_mavro, 50, 1.668465, 1.694994, 0.00024, 5e-6},
        {"Lew", nist_lew, 200, 6.000647, 6.023487, 0, 1e-10},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double x[200];
        memcpy(x, rows[i].x, rows[i].n * sizeof *x);
        mr_sort(x, rows[i].n);
        struct mr_normality a = mr_anderson_darling(x, rows[i].n);
        NEAR({rows[i].name, a.a2, rows[i].a2, 5.1e-7}, {rows[i].name, a.a2_star, rows[i].star, 5.1e-7},
             {rows[i].name, a.p, rows[i].p, rows[i].p_tolerance});
    }
}

/* JCGM 106:2012, the Zener diode example (from memory): limit -5.40 V, measured -5.47 V, u 0.05 V: 0.92. Film:
 * calculated. */
Test(published_stats, conformance_probability) {
    NEAR({"Zener diode", mr_conformance_p(-5.47, 0.05, NAN, -5.40), 0.92, 5e-3},
         {"the same, calculated", mr_conformance_p(-5.47, 0.05, NAN, -5.40), 0.91924, 5e-6},
         {"film 310 in 300..500, u 3 %", mr_conformance_p(310, 9.3, 300, 500), 0.8589, 5e-5},
         {"at the limit: half, ILAC-G8", mr_conformance_p(300, 9, 300, NAN), 0.5, 1e-15},
         {"2u inside: 2.28 % false accept", 1 - mr_conformance_p(318, 9, 300, NAN), 0.0228, 5e-5},
         {"u = 0 inside", mr_conformance_p(300, 0, 300, 500), 1, 0},
         {"u = 0 outside", mr_conformance_p(299, 0, 300, 500), 0, 0});
}

/* NIST Dataplot sets, summary numbers (calculated). */
Test(published_stats, small_sets) {
    struct mr_moments s1 = mr_moments_of(nist_spagon1, 16), s2 = mr_moments_of(nist_spagon2, 16);
    struct mr_moments r = mr_moments_of(nist_natr21, 10), l = mr_moments_of(nist_nels6, 30);
    struct mr_interval ci = mr_mean_interval(s1.mean, s1.sd, 16, 0.95);
    NEAR({"SPAGON1 mean", s1.mean, 3200, 1e-9}, {"SPAGON1 s", s1.sd, 182.39956, 5e-6},
         {"CI low", ci.low, 3102.806, 5e-4}, {"CI high", ci.high, 3297.194, 5e-4},
         {"SPAGON2 mean", s2.mean, 3150, 1e-9}, {"SPAGON2 s", s2.sd, 245.71094, 5e-6},
         {"NATR21 mean", r.mean, 0.126, 1e-12}, {"NATR21 s", r.sd, 0.00359011, 5e-9},
         {"NELS6 mean", l.mean, 46.23, 1e-12}, {"NELS6 s", l.sd, 1.1323305, 5e-8});
}
