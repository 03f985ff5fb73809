/*
 * nested_variance.c - how much of the scatter sits within spots, between spots, between areas.
 *
 * Method of moments: each mean square is set equal to its expectation. With unequal numbers the coefficients are not
 * the plain counts; S. R. Searle, Linear Models (1971), chapter 11, gives them for the nested case. A component may
 * come out below zero; it is given as it comes, and the report says so.
 */
#include "numeric/summary_stats.h"

#include <math.h>

struct sums {
    long double total;            /* of the values */
    long double within_ss;        /* readings about their spot */
    long double spot_means_ss;    /* sum of n_ij mean_ij^2 */
    long double area_means_ss;    /* sum of n_i mean_i^2 */
    long double spot_share;       /* sum over areas of (sum of n_ij^2) / n_i */
    long double spot_n2, area_n2; /* sums of n_ij^2 and of n_i^2 */
    size_t spots, areas;
};

static size_t group_end(const size_t *area, const size_t *spot, size_t from, size_t n) {
    size_t i = from + 1;
    while (i < n && area[i] == area[from] && (!spot || spot[i] == spot[from]))
        i++;
    return i;
}

static void add_spot(struct sums *s, const double *x, size_t n, long double shift, long double *area_sum,
                     long double *area_n2) {
    long double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += (long double)x[i] - shift;
    long double mean = sum / (long double)n;
    for (size_t i = 0; i < n; i++)
        s->within_ss += ((long double)x[i] - shift - mean) * ((long double)x[i] - shift - mean);
    long double count = (long double)n;
    s->spot_means_ss += count * mean * mean;
    s->spot_n2 += count * count;
    s->spots++;
    *area_sum += sum;
    *area_n2 += count * count;
}

struct mr_nested mr_nested_anova(const double *x, const size_t *area, const size_t *spot, size_t n) {
    struct mr_nested r = {
        .component = {MR_NAN, MR_NAN, MR_NAN}, .ms = {MR_NAN, MR_NAN, MR_NAN}, .n0 = {MR_NAN, MR_NAN, MR_NAN}};
    if (n < 2)
        return r;
    struct sums s = {0};
    long double shift =
        (long double)mr_moments_of(x, n).mean; /* sums of squares are taken about it, so that no digits cancel */
    for (size_t a = 0; a < n;) {
        size_t end = group_end(area, NULL, a, n);
        long double area_sum = 0, area_n2 = 0, count = (long double)(end - a);
        for (size_t i = a; i < end;) {
            size_t stop = group_end(area, spot, i, end);
            add_spot(&s, x + i, stop - i, shift, &area_sum, &area_n2);
            i = stop;
        }
        s.area_means_ss += area_sum * area_sum / count;
        s.area_n2 += count * count;
        s.spot_share += area_n2 / count;
        s.total += area_sum;
        s.areas++;
        a = end;
    }
    long double all = (long double)n;
    r.ss[0] = (double)s.within_ss;
    r.ss[1] = (double)(s.spot_means_ss - s.area_means_ss);
    r.ss[2] = (double)(s.area_means_ss - s.total * s.total / all);
    r.df[0] = n - s.spots;
    r.df[1] = s.spots - s.areas;
    r.df[2] = s.areas - 1;
    for (int level = 0; level < 3; level++)
        if (r.df[level] > 0)
            r.ms[level] = r.ss[level] / (double)r.df[level];
    r.n0[0] = (double)((all - s.spot_share) / (long double)r.df[1]);
    r.n0[1] = (double)((s.spot_share - s.spot_n2 / all) / (long double)r.df[2]);
    r.n0[2] = (double)((all - s.area_n2 / all) / (long double)r.df[2]);
    r.component[0] = r.ms[0];
    r.component[1] = (r.ms[1] - r.ms[0]) / r.n0[0];
    r.component[2] = (r.ms[2] - r.ms[0] - r.n0[1] * r.component[1]) / r.n0[2];
    return r;
}
