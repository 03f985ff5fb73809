/*
 * fit_solve.c - sizes, steps and their covariance at a point. See fit_design.h.
 */
#include "assess/heat/fit_design.h"
#include "numeric/least_squares.h"

#include <math.h>
#include <string.h>

static const double APART = 1e-6; /* the share of a column that the others must leave */

/* Eight sums side by side, so that no product waits for the one before. */
MR_WIDE double mr_fit_dot(const double *a, const double *b, size_t n) {
    double sum[8] = {0.0}, rest = 0.0;
    size_t i = 0;
    for (; i + 8 <= n; i += 8)
        for (size_t k = 0; k < 8; k++)
            sum[k] += a[i + k] * b[i + k];
    for (; i < n; i++)
        rest += a[i] * b[i];
    return ((sum[0] + sum[4]) + (sum[1] + sum[5])) + ((sum[2] + sum[6]) + (sum[3] + sum[7])) + rest;
}

MR_WIDE static void take_off(double *restrict from, const double *restrict what, double share, size_t n) {
    for (size_t i = 0; i < n; i++)
        from[i] -= share * what[i];
}

/* ---- base ---- */

bool mr_fit_settle_base(struct mr_fit_design *d) {
    size_t n = d->n;
    mr_whitener_set(&d->weather, n, d->t_s, d->weight, d->excess, &d->filter);
    for (size_t a = 0; a < d->n_base; a++)
        memcpy(d->q + a * d->stride, d->base + a * d->stride, n * sizeof *d->q);
    memcpy(d->record, d->c, n * sizeof *d->record);
    mr_whiten(&d->filter, 0, d->n_base, d->stride, d->q);
    mr_whiten(&d->filter, 0, 1, d->stride, d->record);
    for (size_t a = 0; a < d->n_base; a++) {
        double *q = d->q + a * d->stride, whole = mr_fit_dot(q, q, n);
        double *col = d->q_of + a;
        for (size_t b = 0; b <= a; b++)
            col[b * MR_FIT_BASE] = 0.0;
        double left = whole;
        for (size_t round = 0; round < 2; round++) { /* twice is enough: W. Kahan, in Parlett 1980 (from memory) */
            for (size_t b = 0; b < a; b++) {
                double share = mr_fit_dot(d->q + b * d->stride, q, n);
                take_off(q, d->q + b * d->stride, share, n);
                col[b * MR_FIT_BASE] += share;
            }
            left = mr_fit_dot(q, q, n);
            if (left > 0.01 * whole)
                break;
        }
        if (!(left > APART * APART * whole))
            return false;
        double root = sqrt(left);
        for (size_t i = 0; i < n; i++)
            q[i] /= root;
        col[a * MR_FIT_BASE] = root;
    }
    for (size_t a = 0; a < d->n_base; a++) {
        d->record_q[a] = mr_fit_dot(d->q + a * d->stride, d->record, n);
        take_off(d->record, d->q + a * d->stride, d->record_q[a], n);
    }
    return true;
}

/* A column of the pulses, as made, becomes white and loses what base explains of it. false: base explains it all. */
static bool clear_of_base(const struct mr_fit_design *d, double *column) {
    size_t from = d->first, n = d->n - from;
    double whole = mr_fit_dot(column + from, column + from, n), share[MR_FIT_BASE];
    for (size_t a = 0; a < d->n_base; a++)
        share[a] = mr_fit_dot(d->q + a * d->stride + from, column + from, n);
    for (size_t a = 0; a < d->n_base; a++)
        take_off(column, d->q + a * d->stride, share[a], d->n);
    return mr_fit_dot(column, column, d->n) > APART * APART * whole;
}

/* ---- pulses ---- */

/* Shapes and slopes of all pulses into d->raw. */
static void lay_pulses(struct mr_fit_design *d, const struct mr_fit_point *at) {
    double p = exp(at->ln_p), begin = at->onset_s[0];
    for (size_t j = 1; j < d->m; j++)
        begin = fmin(begin, at->onset_s[j]);
    size_t from = 0;
    while (from < d->n && d->t_s[from] <= begin)
        from++;
    d->first = from;
    for (size_t j = 0; j < d->m; j++) {
        double *shape = d->raw + 4 * j * d->stride, *onset = shape + d->stride, *rate = onset + d->stride,
               *cool = rate + d->stride, q = exp(at->ln_k[j]);
        struct mr_heat_shapes out = {shape + from, onset + from, cool + from, rate + from};
        mr_heat_shapes(d->n - from, d->t_s + from, at->onset_s[j], p, q, &out);
        for (size_t i = from; i < d->n; i++) {
            onset[i] = -onset[i];
            rate[i] *= q;
            cool[i] *= p;
        }
    }
}

struct pull {           /* of what is usual on one parameter */
    double from, share; /* distance to the usual value; weight */
};

static struct pull pull_of(double sigma2, double usual, double log_sd, double ln) {
    if (!(usual > 0.0))
        return (struct pull){0.0, 0.0};
    return (struct pull){log(usual) - ln, sigma2 / (log_sd * log_sd)};
}

static double pulls(const struct mr_fit_design *d, const struct mr_fit_point *at) {
    struct pull p = pull_of(d->sigma2, d->usual.tau_s, d->usual.tau_log_sd, -at->ln_p);
    double sum = p.share * p.from * p.from;
    for (size_t j = 0; j < d->m; j++) {
        struct pull k = pull_of(d->sigma2, d->usual.k_per_s, d->usual.k_log_sd, at->ln_k[j]);
        sum += k.share * k.from * k.from;
    }
    return sum;
}

static void add_pull(double *gram, size_t width, size_t column, struct pull p, double sign) {
    gram[column * width + column] += p.share;
    gram[column * width + width - 1] += sign * p.share * p.from;
    gram[(width - 1) * width + column] += sign * p.share * p.from;
    gram[width * width - 1] += p.share * p.from * p.from;
}

static void add_pulls(const struct mr_fit_design *d, const struct mr_fit_point *at, double *gram, size_t width) {
    add_pull(gram, width, width - 2, pull_of(d->sigma2, d->usual.tau_s, d->usual.tau_log_sd, -at->ln_p), -1.0);
    for (size_t j = 0; j < d->m; j++)
        add_pull(gram, width, 2 * d->m + j, pull_of(d->sigma2, d->usual.k_per_s, d->usual.k_log_sd, at->ln_k[j]),
                 1.0);
}

/* Products of the first `columns` columns of the pulses and of what is left. */
static void gram_of(const struct mr_fit_design *d, size_t columns, const double *right, double *gram) {
    size_t width = columns + 1;
    for (size_t a = 0; a < width; a++) {
        const double *of_a = a < columns ? d->pulse + a * d->stride : right;
        for (size_t b = a; b < width; b++) {
            const double *of_b = b < columns ? d->pulse + b * d->stride : right;
            gram[a * width + b] = gram[b * width + a] = mr_fit_dot(of_a, of_b, d->n);
        }
    }
}

/* Sizes by products; inverse: NULL = not wanted. */
static bool solve_sizes(struct mr_fit_design *d, struct mr_fit_point *at, double *inverse) {
    double gram[(MR_HEAT_TOGETHER + 1) * (MR_HEAT_TOGETHER + 1)], log_det;
    lay_pulses(d, at);
    for (size_t j = 0; j < d->m; j++) {
        double *column = d->pulse + j * d->stride;
        memset(column, 0, d->first * sizeof *column);
        memcpy(column + d->first, d->raw + 4 * j * d->stride + d->first, (d->n - d->first) * sizeof *column);
    }
    mr_whiten(&d->filter, d->first, d->m, d->stride, d->pulse);
    for (size_t j = 0; j < d->m; j++)
        if (!clear_of_base(d, d->pulse + j * d->stride))
            return false;
    gram_of(d, d->m, d->record, gram);
    if (mr_lsq_gram(d->m, gram, at->size, &at->chi2, inverse, &log_det) != MR_OK)
        return false;
    memcpy(d->left, d->record, d->n * sizeof *d->left);
    for (size_t j = 0; j < d->m; j++)
        take_off(d->left, d->pulse + j * d->stride, at->size[j], d->n);
    at->chi2 = mr_fit_dot(d->left, d->left, d->n); /* the difference of products would lose its digits */
    return isfinite(at->chi2);
}

bool mr_fit_solve(struct mr_fit_design *d, struct mr_fit_point *at) {
    if (!solve_sizes(d, at, NULL))
        return false;
    at->chi2 += pulls(d, at);
    return true;
}

bool mr_fit_step(struct mr_fit_design *d, const struct mr_fit_point *at) {
    double gram[(MR_FIT_PULSES + 1) * (MR_FIT_PULSES + 1)], log_det;
    size_t m = d->m, columns = 3 * m + 1, stride = d->stride, n = d->n;
    double *cool = d->pulse + 3 * m * stride;
    memset(d->pulse + m * stride, 0, (2 * m + 1) * stride * sizeof *cool);
    for (size_t j = 0; j < m; j++) {
        const double *raw = d->raw + 4 * j * stride;
        double *onset = d->pulse + (m + j) * stride, *rate = d->pulse + (2 * m + j) * stride;
        for (size_t i = d->first; i < n; i++) {
            onset[i] = at->size[j] * raw[stride + i];
            rate[i] = at->size[j] * raw[2 * stride + i];
            cool[i] += at->size[j] * raw[3 * stride + i];
        }
    }
    mr_whiten(&d->filter, d->first, 2 * m + 1, stride, d->pulse + m * stride);
    for (size_t a = m; a < columns; a++)
        if (!clear_of_base(d, d->pulse + a * stride))
            return false;
    gram_of(d, columns, d->left, gram);
    add_pulls(d, at, gram, columns + 1);
    d->normal->columns = columns;
    return mr_lsq_gram(columns, gram, d->normal->coef, &d->normal->chi2, d->normal->inverse, &log_det) == MR_OK;
}

bool mr_fit_sizes(struct mr_fit_design *d, struct mr_fit_point *at, double *out_se) {
    double inverse[MR_HEAT_TOGETHER * MR_HEAT_TOGETHER];
    if (!solve_sizes(d, at, inverse))
        return false;
    double sigma2 = at->chi2 / (double)(d->n - d->n_base - d->m);
    for (size_t j = 0; j < d->m; j++)
        out_se[j] = sqrt(sigma2 * inverse[j * (d->m + 1)]);
    return true;
}

/* Back substitution: base's share of what the record has over the pulses. */
void mr_fit_base(const struct mr_fit_design *d, const struct mr_fit_point *at, double *out) {
    size_t n = d->n - d->first;
    double *column = d->work, share[MR_FIT_BASE];
    memcpy(share, d->record_q, sizeof share);
    for (size_t j = 0; j < d->m; j++) {
        memcpy(column, d->raw + 4 * j * d->stride, d->n * sizeof *column);
        mr_whiten(&d->filter, d->first, 1, d->stride, column);
        for (size_t a = 0; a < d->n_base; a++)
            share[a] -= at->size[j] * mr_fit_dot(d->q + a * d->stride + d->first, column + d->first, n);
    }
    for (size_t a = d->n_base; a-- > 0;) {
        for (size_t b = a + 1; b < d->n_base; b++)
            share[a] -= d->q_of[a * MR_FIT_BASE + b] * out[b];
        out[a] = share[a] / d->q_of[a * MR_FIT_BASE + a];
    }
}

bool mr_fit_inside(const struct mr_fit_design *d, const struct mr_fit_point *at) {
    double step = d->t_s[d->n - 1] - d->t_s[0];
    if (!(exp(-at->ln_p) < 30.0 * step))
        return false;
    for (size_t j = 0; j < d->m; j++)
        if (!(exp(-at->ln_k[j]) < step) || !(at->ln_k[j] < log(1e5 / d->unit_s)))
            return false;
    return true;
}
