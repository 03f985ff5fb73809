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

/** mr_lsq_gram - linear least squares from the products of its columns, for problems whose columns are many rows long
 * and few.
 *
 *  p            number of columns, at most 64
 *  gram         products of the columns and, last, of the right side: shape (p + 1) × (p + 1), row by row
 *  coef         out, shape: p
 *  out_chi2     sum of squares left
 *  out_inverse  inverse of the columns' products, shape: p × p; NULL = not wanted
 *  out_log_det  logarithm of their determinant
 *
 *  Returns: MR_OK; MR_E_NOFIT where the columns cannot be told apart. Nothing is allocated.
 *  Source:  GSL 2.7, gsl_linalg_cholesky; columns scaled to one. */
enum mr_status mr_lsq_gram(size_t p, const double *gram, double *coef, double *out_chi2, double *out_inverse,
                           double *out_log_det) MR_MUST_USE;

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
