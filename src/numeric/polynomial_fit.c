/*
 * polynomial_fit.c - least squares of a polynomial in one variable, by GSL's singular values.
 *
 * x is centred and scaled to about [-1, 1] before the fit: in the raw powers of Pontius' loads half of the digits
 * would be gone. Coefficients and their covariance are carried back by the binomial theorem.
 */
#include "numeric/summary_stats.h"

#include <gsl/gsl_multifit.h>
#include <math.h>

static bool has_distinct(const double *x, size_t n, size_t want) {
    double seen[MR_LINE_MAX_TERMS];
    size_t k = 0;
    for (size_t i = 0; i < n && k < want; i++) {
        bool known = false;
        for (size_t j = 0; j < k; j++)
            known = known || !(x[i] < seen[j] || x[i] > seen[j]);
        if (!known)
            seen[k++] = x[i];
    }
    return k >= want;
}

/* back[i][j]: what coefficient j of u = (x - centre) / scale adds to coefficient i of x. */
static void carry_back(double centre, double scale, size_t terms, double back[MR_LINE_MAX_TERMS][MR_LINE_MAX_TERMS]) {
    for (size_t j = 0; j < terms; j++) {
        double binomial = 1;
        for (size_t i = j + 1; i-- > 0;) { /* x^i from (x - centre)^j */
            back[i][j] = binomial * pow(-centre, (double)(j - i)) / pow(scale, (double)j);
            binomial = binomial * (double)i / (double)(j - i + 1);
        }
    }
}

static void finish(const double *y, const double *weights, size_t n, const gsl_vector *c, const gsl_matrix *design,
                   struct mr_fit_line *out) {
    long double sum = 0, weight = 0, rest = 0, total = 0;
    for (size_t i = 0; i < n; i++) {
        long double w = weights ? (long double)weights[i] : 1;
        sum += w * (long double)y[i];
        weight += w;
    }
    for (size_t i = 0; i < n; i++) {
        long double w = weights ? (long double)weights[i] : 1, fit = 0;
        for (size_t j = 0; j < out->terms; j++)
            fit += (long double)gsl_vector_get(c, j) * (long double)gsl_matrix_get(design, i, j);
        rest += w * ((long double)y[i] - fit) * ((long double)y[i] - fit);
        total += w * ((long double)y[i] - sum / weight) * ((long double)y[i] - sum / weight);
    }
    out->ss_residual = (double)rest;
    out->ss_regression = (double)(total - rest);
    out->residual_sd = (double)sqrtl(rest / (long double)out->df);
    out->r2 = (double)(1 - rest / total);
    out->f = (double)((total - rest) / (long double)(out->terms - 1) / (rest / (long double)out->df));
}

static void carry_coefficients(const gsl_vector *c, const gsl_matrix *covariance, double centre, double scale,
                               struct mr_fit_line *out) {
    double back[MR_LINE_MAX_TERMS][MR_LINE_MAX_TERMS] = {{0}};
    carry_back(centre, scale, out->terms, back);
    double cov[MR_LINE_MAX_TERMS][MR_LINE_MAX_TERMS] = {{0}};
    for (size_t i = 0; i < out->terms; i++) {
        long double b = 0;
        for (size_t j = 0; j < out->terms; j++)
            b += (long double)back[i][j] * (long double)gsl_vector_get(c, j);
        out->b[i] = (double)b;
        for (size_t k = 0; k < out->terms; k++) {
            long double sum = 0;
            for (size_t p = 0; p < out->terms; p++)
                for (size_t q = 0; q < out->terms; q++)
                    sum += (long double)back[i][p] * (long double)gsl_matrix_get(covariance, p, q) *
                           (long double)back[k][q];
            cov[i][k] = (double)sum;
        }
        out->se[i] = sqrt(cov[i][i]);
    }
    out->cov01 = cov[0][1];
}

bool mr_fit_polynomial(const double *x, const double *y, const double *weights, size_t n, size_t terms,
                       struct mr_fit_line *out) {
    if (terms < 2 || terms > MR_LINE_MAX_TERMS || n <= terms || !has_distinct(x, n, terms))
        return false;
    struct mr_moments m = mr_moments_of(x, n);
    double centre = m.mean, scale = fmax(m.max - m.mean, m.mean - m.min);
    *out = (struct mr_fit_line){.terms = terms, .df = n - terms};
    gsl_matrix *design = gsl_matrix_alloc(n, terms), *covariance = gsl_matrix_alloc(terms, terms);
    gsl_vector *c = gsl_vector_alloc(terms);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(n, terms);
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < terms; j++)
            gsl_matrix_set(design, i, j, j == 0 ? 1 : gsl_matrix_get(design, i, j - 1) * ((x[i] - centre) / scale));
    gsl_vector_const_view wanted = gsl_vector_const_view_array(y, n);
    double chi2;
    if (weights) {
        gsl_vector_const_view w = gsl_vector_const_view_array(weights, n);
        gsl_multifit_wlinear(design, &w.vector, &wanted.vector, c, covariance, &chi2, work);
        gsl_matrix_scale(covariance, chi2 / (double)out->df); /* weights are relative */
    } else {
        gsl_multifit_linear(design, &wanted.vector, c, covariance, &chi2, work);
    }
    carry_coefficients(c, covariance, centre, scale, out);
    finish(y, weights, n, c, design, out);
    gsl_multifit_linear_free(work);
    gsl_vector_free(c);
    gsl_matrix_free(covariance);
    gsl_matrix_free(design);
    return true;
}
