/*
 * least_squares.c - least squares, from GSL. See least_squares.h; no other file includes GSL's solvers.
 */
#include "numeric/least_squares.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <pthread.h>
#include <string.h>

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

/* GSL's vectors of a workspace are contiguous (stride 1), its matrices have tda = columns. */
static int call_residual(const gsl_vector *x, void *params, gsl_vector *f) {
    const struct mr_lsq *problem = params;
    problem->residual(problem->ctx, x->data, f->data);
    for (size_t i = 0; i < problem->n; i++)
        if (!isfinite(f->data[i]))
            return GSL_EDOM;
    return GSL_SUCCESS;
}

static int call_jacobian(const gsl_vector *x, void *params, gsl_matrix *jacobian) {
    const struct mr_lsq *problem = params;
    problem->jacobian(problem->ctx, x->data, jacobian->data);
    return GSL_SUCCESS;
}

/* (J'J)^-1 at the solution; false where the parameters cannot be told apart. */
static bool unscaled_covariance(const gsl_multifit_nlinear_workspace *work, size_t p, double *out) {
    gsl_matrix_view view = gsl_matrix_view_array(out, p, p);
    if (gsl_multifit_nlinear_covar(gsl_multifit_nlinear_jac(work), 0.0, &view.matrix) != GSL_SUCCESS)
        return false;
    for (size_t i = 0; i < p; i++)
        if (!isfinite(out[i * p + i]) || out[i * p + i] <= 0.0)
            return false;
    return true;
}

/* No further step lowers the sum of squares: at the bottom this is the end, elsewhere it is a failure, and GSL says
 * the same for both. The cosine between a column of J and the residuals, times sqrt(n - p), is how many standard
 * errors the parameter is away from its best value. Half of one is allowed, because a residual may have a kink at the
 * very bottom.
 */
static bool stationary(const gsl_multifit_nlinear_workspace *work, double chi2) {
    const gsl_vector *f = gsl_multifit_nlinear_residual(work);
    const gsl_matrix *jacobian = gsl_multifit_nlinear_jac(work);
    double f_norm = sqrt(chi2), allowed = 0.5 / sqrt((double)(jacobian->size1 - jacobian->size2));
    for (size_t j = 0; j < jacobian->size2; j++) {
        gsl_vector_const_view column = gsl_matrix_const_column(jacobian, j);
        double dot = 0.0, norm = gsl_blas_dnrm2(&column.vector);
        gsl_blas_ddot(&column.vector, f, &dot);
        if (fabs(dot) > allowed * norm * f_norm)
            return false;
    }
    return true;
}

enum mr_status mr_lsq_solve(const struct mr_lsq *problem, double *x, double *out_chi2, double *out_unscaled,
                            size_t *out_steps) {
    if (problem->n <= problem->p)
        return MR_E_FEW;
    quiet();
    gsl_multifit_nlinear_parameters options = gsl_multifit_nlinear_default_parameters();
    options.scale = gsl_multifit_nlinear_scale_more;
    options.solver = gsl_multifit_nlinear_solver_qr;
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &options, problem->n, problem->p);
    if (!work)
        return MR_E_NOFIT;
    /* GSL takes its parameters without const and only passes them back. */
    struct mr_lsq copy = *problem;
    gsl_multifit_nlinear_fdf system = {
        .f = call_residual, .df = call_jacobian, .n = problem->n, .p = problem->p, .params = &copy};
    gsl_vector_view start = gsl_vector_view_array(x, problem->p);
    enum mr_status status = MR_E_NOFIT;
    double chi2 = MR_NAN;
    if (gsl_multifit_nlinear_init(&start.vector, &system, work) == GSL_SUCCESS) {
        int info = 0;
        int rc = gsl_multifit_nlinear_driver(problem->max_steps, 1e-9, 1e-10, 0.0, NULL, NULL, &info, work);
        gsl_vector *f = gsl_multifit_nlinear_residual(work);
        chi2 = 0.0;
        gsl_blas_ddot(f, f, &chi2);
        memcpy(x, gsl_multifit_nlinear_position(work)->data, problem->p * sizeof *x);
        bool arrived = rc == GSL_SUCCESS || stationary(work, chi2);
        if (arrived && isfinite(chi2) && (!out_unscaled || unscaled_covariance(work, problem->p, out_unscaled)))
            status = MR_OK;
        if (out_steps)
            *out_steps = gsl_multifit_nlinear_niter(work);
    }
    *out_chi2 = chi2;
    gsl_multifit_nlinear_free(work);
    return status;
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
    if (design && c && cov && work) {
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
    }
    gsl_multifit_robust_free(work); /* the free functions of GSL take NULL */
    gsl_matrix_free(cov);
    gsl_vector_free(c);
    gsl_matrix_free(design);
    return status;
}
