/*
 * tolerance_factor.c - factors of tolerance intervals for a normal population.
 *
 * Both exact factors are solved from the same kind of integral: over the error z of the sample mean (in units of its
 * own standard deviation), of the probability that the sample SD is large enough. Two-sided: s must reach r(z/sqrt n)
 * / k, where r is the half width that holds the coverage when the centre is off by z/sqrt n. One-sided: s must reach
 * (z_p
 * - z/sqrt n) / k; that equals the quantile of the noncentral t, without its numerical trouble at large n.
 * Gauss-Legendre panels (GSL) give more than nine digits.
 */
#include "numeric/summary_stats.h"

#include <gsl/gsl_integration.h>
#include <math.h>

#define NODES 32 /* in each panel */
#define PANELS 4
#define REACH 8.5 /* normal deviates beyond this weigh less than 1e-16 */

/* One abscissa: what s / sigma must reach times k, and the weight with the normal density. */
struct node {
    double need, weight;
};

struct integral {
    struct node node[PANELS * NODES];
    size_t n;
    double always; /* weight of the region where any s suffices */
    double df;
};

/* Half width that holds `coverage` about a centre that is off by `shift` >= 0. Newton, kept inside a bracket. */
static double half_width(double shift, double coverage) {
    double low = 0, high = shift + 40, r = shift + mr_normal_q((1 + coverage) / 2);
    for (int i = 0; i < 100; i++) {
        double miss = mr_normal_p(shift + r) - mr_normal_p(shift - r) - coverage;
        if (miss > 0)
            high = r;
        else
            low = r;
        double slope =
            (exp(-0.5 * (shift + r) * (shift + r)) + exp(-0.5 * (shift - r) * (shift - r))) / sqrt(2 * M_PI);
        double next = r - miss / slope;
        if (!(next > low && next < high))
            next = 0.5 * (low + high);
        if (fabs(next - r) < 1e-14 * (1 + r))
            return next;
        r = next;
    }
    return r;
}

static void fill_panels(struct integral *in, double from, double to) {
    gsl_integration_glfixed_table *rule = gsl_integration_glfixed_table_alloc(NODES);
    double step = (to - from) / PANELS;
    for (size_t p = 0; p < PANELS; p++)
        for (size_t i = 0; i < NODES; i++) {
            struct node *node = &in->node[in->n++];
            double a = from + (double)p * step;
            gsl_integration_glfixed_point(a, a + step, i, &node->need, &node->weight, rule);
            node->weight *= exp(-0.5 * node->need * node->need) / sqrt(2 * M_PI);
        }
    gsl_integration_glfixed_table_free(rule);
}

static double reached(const struct integral *in, double k) {
    double sum = in->always;
    for (size_t i = 0; i < in->n; i++) {
        double ratio = in->node[i].need / k;
        sum += in->node[i].weight * (1 - mr_chi2_p(in->df * ratio * ratio, in->df));
    }
    return sum;
}

/* The k at which the confidence is reached; it rises with k. False position with halved weights (Illinois), in log k.
 */
static double solve(const struct integral *in, double confidence, double start) {
    double low = log(start / 2), high = log(start * 2);
    double at_low = reached(in, exp(low)) - confidence, at_high = reached(in, exp(high)) - confidence;
    for (int i = 0; i < 60 && at_low > 0; i++) {
        low -= 0.7;
        at_low = reached(in, exp(low)) - confidence;
    }
    for (int i = 0; i < 60 && at_high < 0; i++) {
        high += 0.7;
        at_high = reached(in, exp(high)) - confidence;
    }
    if (at_low > 0 || at_high < 0)
        return MR_NAN;
    double x = high;
    for (int i = 0; i < 200 && high - low > 1e-12; i++) {
        double next = (low * at_high - high * at_low) / (at_high - at_low);
        if (fabs(next - x) < 1e-13)
            return exp(next);
        x = next;
        double at = reached(in, exp(x)) - confidence;
        if (at < 0) {
            low = x, at_low = at;
            at_high *= 0.5;
        } else {
            high = x, at_high = at;
            at_low *= 0.5;
        }
    }
    return exp(x);
}

/* Below one half the factors change sign or meaning; nobody asks for such an interval. */
static bool is_asked_well(size_t n, double coverage, double confidence) {
    return n >= 2 && coverage > 0.5 && coverage < 1 && confidence > 0.5 && confidence < 1;
}

double mr_tolerance_k2(size_t n, double coverage, double confidence) {
    if (!is_asked_well(n, coverage, confidence))
        return MR_NAN;
    struct integral in = {.df = (double)(n - 1)};
    fill_panels(&in, 0, REACH);
    for (size_t i = 0; i < in.n; i++) {
        in.node[i].need = half_width(in.node[i].need / sqrt((double)n), coverage);
        in.node[i].weight *= 2; /* both signs of z */
    }
    return solve(&in, confidence, mr_tolerance_k2_howe(n, coverage, confidence));
}

double mr_tolerance_k1(size_t n, double coverage, double confidence) {
    if (!is_asked_well(n, coverage, confidence))
        return MR_NAN;
    struct integral in = {.df = (double)(n - 1)};
    double root_n = sqrt((double)n), zp = mr_normal_q(coverage);
    double edge = fmin(REACH, zp * root_n); /* beyond it any s is large enough */
    in.always = 1 - mr_normal_p(zp * root_n);
    fill_panels(&in, -REACH, edge);
    for (size_t i = 0; i < in.n; i++)
        in.node[i].need = zp - in.node[i].need / root_n;
    return solve(&in, confidence, mr_tolerance_k2_howe(n, coverage, confidence));
}

double mr_tolerance_k2_howe(size_t n, double coverage, double confidence) {
    if (n < 2)
        return MR_NAN;
    double df = (double)(n - 1), z = mr_normal_q((1 + coverage) / 2);
    return z * sqrt(df * (1 + 1 / (double)n) / mr_chi2_q(1 - confidence, df));
}
