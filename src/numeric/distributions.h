/*
 * distributions.h - probabilities and quantiles of the distributions that the assessment needs.
 *
 * The functions are R's own (libRmath); distributions.c is the only file that includes its header. That library
 * prints a line on arguments it dislikes, so every wrapper checks them first and answers NaN. p is always the lower
 * tail probability, 0 <= p <= 1.
 */
#ifndef MILRISE_NUMERIC_DISTRIBUTIONS_H
#define MILRISE_NUMERIC_DISTRIBUTIONS_H

/** mr_normal_p, mr_normal_q - standard normal. */
double mr_normal_p(double x);
double mr_normal_q(double p);

/** mr_t_p, mr_t_q - Student's t with df > 0 (not necessarily whole). */
double mr_t_p(double x, double df);
double mr_t_q(double p, double df);

/** mr_chi2_p, mr_chi2_q - chi squared with df > 0. */
double mr_chi2_p(double x, double df);
double mr_chi2_q(double p, double df);

/** mr_log_normal_p - logarithm of the standard normal probability; upper: of the upper tail. Exact far out. */
double mr_log_normal_p(double x, int upper);

/** mr_gamma_ln - logarithm of the gamma function of x > 0. */
double mr_gamma_ln(double x);

#endif
