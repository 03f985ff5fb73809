/*
 * distributions.c - the only door to libRmath. Arguments are checked here, because the library prints a warning to
 * the standard output where a function is asked for something that it cannot answer.
 */
#include "numeric/distributions.h"
#include "milrise/base.h"

#include <math.h>

#define MATHLIB_STANDALONE
#include <Rmath.h>

static bool is_share(double p) {
    return p >= 0 && p <= 1; /* false for NaN */
}

static bool is_df(double df) {
    return df > 0 && isfinite(df);
}

double mr_normal_p(double x) {
    return isnan(x) ? MR_NAN : pnorm5(x, 0, 1, 1, 0);
}

double mr_normal_q(double p) {
    return is_share(p) ? qnorm5(p, 0, 1, 1, 0) : MR_NAN;
}

double mr_log_normal_p(double x, int upper) {
    return isnan(x) ? MR_NAN : pnorm5(x, 0, 1, !upper, 1);
}

double mr_t_p(double x, double df) {
    return !isnan(x) && is_df(df) ? pt(x, df, 1, 0) : MR_NAN;
}

double mr_t_q(double p, double df) {
    return is_share(p) && is_df(df) ? qt(p, df, 1, 0) : MR_NAN;
}

double mr_chi2_p(double x, double df) {
    return !isnan(x) && is_df(df) ? pchisq(x, df, 1, 0) : MR_NAN;
}

double mr_chi2_q(double p, double df) {
    return is_share(p) && is_df(df) ? qchisq(p, df, 1, 0) : MR_NAN;
}

double mr_gamma_ln(double x) {
    return x > 0 && isfinite(x) ? lgammafn(x) : MR_NAN;
}
