/*
 * least_squares.h - least squares, from GSL. The only header behind which GSL's solvers stand.
 *
 * GSL calls its error handler, which aborts the process, unless that handler is off. The first call of either
 * function turns it off for the whole process, once, and it stays off: GSL calls then return their status, which
 * these functions pass on. A program that embeds milrise and wants a handler of its own for other GSL calls sets it
 * after its first job.
 */
#ifndef MILRISE_NUMERIC_LEAST_SQUARES_H
#define MILRISE_NUMERIC_LEAST_SQUARES_H

#include "milrise/arena.h"

#include <math.h>

/* A sum of squares to be made least: n residuals of p parameters. */
struct mr_lsq {
    size_t n, p;
    void *ctx;
    /* residual: shape n. Each entry already carries the square root of its weight. */
    void (*residual)(void *ctx, const double *x, double *residual);
    /* jacobian: shape n × p, row by row: d residual[i] / d x[j]. */
    void (*jacobian)(void *ctx, const double *x, double *jacobian);
    size_t max_steps;
};

/** mr_lsq_solve - trust region (Levenberg-Marquardt steps, scaled as by Moré), analytic Jacobian.
 *
 *  x            in/out  start, then the solution, shape: p; left at the best point reached on MR_E_NOFIT
 *  out_chi2     out     sum of squares at the solution
 *  out_unscaled out     (J'J)^-1, shape: p × p; times the residual variance it is the covariance; NULL = not wanted
 *  out_steps    out     steps taken; NULL = not wanted
 *
 *  Returns: MR_OK; MR_E_FEW where n <= p; MR_E_NOFIT where no stationary point was reached.
 *  Source:  GSL 2.7, gsl_multifit_nlinear; Moré 1978. */
enum mr_status mr_lsq_solve(const struct mr_lsq *problem, double *x, double *out_chi2, double *out_unscaled,
                            size_t *out_steps) MR_MUST_USE;

/* A straight line through scattered points with a few bad ones among them. */
struct mr_lsq_line {
    double intercept, slope;
    double intercept_se, slope_se;
    double sigma; /* robust scale of the residuals */
    double r2;    /* share of the spread that the line explains, robustly weighted */
};

/** mr_lsq_robust_line - bisquare M-estimate of y on x, shape: n. Returns: MR_OK; MR_E_FEW where n < 4; MR_E_NOFIT.
 *  Source:  GSL 2.7, gsl_multifit_robust with Tukey's bisquare and its default tuning. */
enum mr_status mr_lsq_robust_line(const double *x, const double *y, size_t n, struct mr_lsq_line *out) MR_MUST_USE;

#endif
