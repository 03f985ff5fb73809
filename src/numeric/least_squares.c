/*
 * least_squares.c - least squares, from GSL. See least_squares.h; no other file includes GSL's solvers.
 */
#include "numeric/least_squares.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit.h>
#include <pthread.h>

/* A fit that lacks memory must not pass for one that does not converge: the figures would change. */
static void on_error(const char *reason, const char *file, int line, int code) {
    (void)reason;
    (void)file;
    (void)line;
    if (code == GSL_ENOMEM)
        mr_out_of_memory();
}

static void set_handler(void) {
    gsl_set_error_handler(on_error);
}

static void quiet(void) {
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    pthread_once(&once, set_handler);
}

enum { GRAM_MOST = 64 };

enum mr_status mr_lsq_gram(size_t p, const double *gram, double *coef, double *out_chi2, double *out_inverse,
                           double *out_log_det) {
    double scale[GRAM_MOST], a[GRAM_MOST * GRAM_MOST], log_det = 0.0;
    size_t width = p + 1;
    if (p == 0 || p > GRAM_MOST)
        return MR_E_NOFIT;
    quiet();
    for (size_t i = 0; i < p; i++) {
        double own = gram[i * width + i];
        if (!(own > 0.0) || !isfinite(own))
            return MR_E_NOFIT;
        scale[i] = 1.0 / sqrt(own);
        log_det += log(own);
    }
    for (size_t i = 0; i < p; i++)
        for (size_t j = 0; j < p; j++)
            a[i * p + j] = gram[i * width + j] * scale[i] * scale[j];
    gsl_matrix_view m = gsl_matrix_view_array(a, p, p);
    gsl_vector_view x = gsl_vector_view_array(coef, p);
    for (size_t i = 0; i < p; i++)
        coef[i] = gram[i * width + p] * scale[i];
    if (gsl_linalg_cholesky_decomp1(&m.matrix) != GSL_SUCCESS)
        return MR_E_NOFIT;
    for (size_t i = 0; i < p; i++) {
        if (!(a[i * p + i] > 1e-6)) /* the share of a column that the others do not explain, as its root */
            return MR_E_NOFIT;
        log_det += 2.0 * log(a[i * p + i]);
    }
    gsl_linalg_cholesky_svx(&m.matrix, &x.vector);
    double chi2 = gram[p * width + p];
    for (size_t i = 0; i < p; i++) {
        coef[i] *= scale[i];
        chi2 -= coef[i] * gram[i * width + p];
    }
    if (out_inverse) {
        gsl_linalg_cholesky_invert(&m.matrix);
        for (size_t i = 0; i < p; i++)
            for (size_t j = 0; j < p; j++)
                out_inverse[i * p + j] = a[i * p + j] * scale[i] * scale[j];
    }
    *out_chi2 = fmax(chi2, 0.0);
    *out_log_det = log_det;
    return MR_OK;
}

enum mr_status mr_lsq_robust_line(const double *x, const double *y, size_t n, struct mr_lsq_line *out) {
    if (n < 4)
        return MR_E_FEW;
    quiet();
    enum mr_status status = MR_E_NOFIT;
    gsl_matrix *design = gsl_matrix_alloc(n, 2);
    gsl_vector *c = gsl_vector_alloc(2);
    gsl_matrix *cov = gsl_matrix_alloc(2, 2);
    gsl_multifit_robust_workspace *work = gsl_multifit_robust_alloc(gsl_multifit_robust_bisquare, n, 2);
    if (!design || !c || !cov || !work) /* whoever has set another handler since */
        mr_out_of_memory();
    for (size_t i = 0; i < n; i++) {
        gsl_matrix_set(design, i, 0, 1.0);
        gsl_matrix_set(design, i, 1, x[i]);
    }
    gsl_vector_const_view values = gsl_vector_const_view_array(y, n);
    int rc = gsl_multifit_robust(design, &values.vector, c, cov, work);
    if (rc == GSL_SUCCESS || rc == GSL_EMAXITER) {
        gsl_multifit_robust_stats stats = gsl_multifit_robust_statistics(work);
        *out = (struct mr_lsq_line){.intercept = gsl_vector_get(c, 0),
                                    .slope = gsl_vector_get(c, 1),
                                    .intercept_se = sqrt(gsl_matrix_get(cov, 0, 0)),
                                    .slope_se = sqrt(gsl_matrix_get(cov, 1, 1)),
                                    .sigma = stats.sigma,
                                    .r2 = stats.Rsq};
        if (isfinite(out->intercept) && isfinite(out->slope) && isfinite(out->intercept_se) &&
            isfinite(out->slope_se))
            status = MR_OK;
    }
    gsl_multifit_robust_free(work);
    gsl_matrix_free(cov);
    gsl_vector_free(c);
    gsl_matrix_free(design);
    return status;
}
