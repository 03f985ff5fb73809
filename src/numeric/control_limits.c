/*
 * control_limits.c - limits of control charts, and the constants behind them.
 */
#include "numeric/summary_stats.h"

#include <gsl/gsl_integration.h>
#include <math.h>

double mr_c4(size_t n) {
    if (n < 2)
        return MR_NAN;
    double half = (double)n / 2;
    return sqrt(2 / (double)(n - 1)) * exp(mr_gamma_ln(half) - mr_gamma_ln(half - 0.5));
}

/* Probability that the range of n standard normal values exceeds w: 1 - n int phi(x) (Phi(x + w) - Phi(x))^(n-1) dx.
 */
static double range_exceeds(double w, size_t n, const gsl_integration_glfixed_table *rule) {
    double inside = 0;
    for (size_t i = 0; i < rule->n; i++) {
        double x, weight;
        gsl_integration_glfixed_point(-8.5, 8.5, i, &x, &weight, rule);
        inside += weight * exp(-0.5 * x * x) * pow(mr_normal_p(x + w) - mr_normal_p(x), (double)n - 1);
    }
    return 1 - (double)n * inside / sqrt(2 * M_PI);
}

/* Mean and SD of that range. */
static void range_moments(size_t n, double *out_d2, double *out_d3) {
    gsl_integration_glfixed_table *rule = gsl_integration_glfixed_table_alloc(96);
    double first = 0, second = 0;
    for (size_t i = 0; i < rule->n; i++) {
        double w, weight;
        gsl_integration_glfixed_point(0, 14, i, &w, &weight, rule);
        double tail = weight * range_exceeds(w, n, rule);
        first += tail;
        second += 2 * w * tail;
    }
    gsl_integration_glfixed_table_free(rule);
    *out_d2 = first;
    *out_d3 = sqrt(second - first * first);
}

struct mr_shewhart mr_shewhart_constants(size_t n) {
    struct mr_shewhart k = {MR_NAN, MR_NAN, MR_NAN, MR_NAN, MR_NAN, MR_NAN, MR_NAN, MR_NAN, MR_NAN};
    if (n < 2 || n > 100)
        return k;
    double root_n = sqrt((double)n);
    range_moments(n, &k.d2, &k.d3);
    k.c4 = mr_c4(n);
    k.A2 = 3 / (k.d2 * root_n);
    k.A3 = 3 / (k.c4 * root_n);
    k.D3 = fmax(0, 1 - 3 * k.d3 / k.d2);
    k.D4 = 1 + 3 * k.d3 / k.d2;
    double spread = 3 * sqrt(1 - k.c4 * k.c4) / k.c4;
    k.B3 = fmax(0, 1 - spread);
    k.B4 = 1 + spread;
    return k;
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
        sigma += (long double)(sd[i] / mr_c4(n[i]));
        used++;
    }
    if (used < 2 || size < 2)
        return;
    double centre = (double)(sum / values), s = (double)(sigma / (long double)used), c4 = mr_c4(size);
    double half = 3 * s / sqrt((double)size), spread = 3 * s * sqrt(1 - c4 * c4);
    *out_xbar = (struct mr_control_limits){centre, centre - half, centre + half};
    *out_s = (struct mr_control_limits){s * c4, fmax(0, s * c4 - spread), s * c4 + spread};
}

struct mr_control_limits mr_ewma(const double *x, size_t n, double lambda, double target, double sigma, double *out) {
    double at = target, half = 3 * sigma * sqrt(lambda / (2 - lambda));
    for (size_t i = 0; i < n; i++) {
        at = lambda * x[i] + (1 - lambda) * at;
        out[i] = at;
    }
    return (struct mr_control_limits){target, target - half, target + half};
}
