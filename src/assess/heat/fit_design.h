/*
 * fit_design.h - the linear algebra under heat_fit.c: the columns of a fit, whitened by the weather, and what they
 * leave.
 */
#ifndef MILRISE_ASSESS_HEAT_FIT_DESIGN_H
#define MILRISE_ASSESS_HEAT_FIT_DESIGN_H

#include "assess/heat/heat.h"

enum { MR_FIT_LINE = 3, MR_FIT_BASE = MR_FIT_LINE + 2 * MR_HEAT_REFERENCES };
enum { MR_FIT_COLUMNS = MR_FIT_BASE + 3 * MR_HEAT_TOGETHER + 1 };

struct mr_fit_point { /* where the search stands */
    double onset_s[MR_HEAT_TOGETHER], ln_k[MR_HEAT_TOGETHER], ln_p;
    double size[MR_HEAT_TOGETHER]; /* A k of each event, K/s: solved for, as are the next two */
    double base[MR_FIT_BASE];
    double chi2; /* with the priors' share */
};

struct mr_fit_normal { /* all columns at once, at a point */
    size_t columns;
    double coef[MR_FIT_COLUMNS]; /* steps of base, sizes, onsets, ln k and ln p */
    double inverse[MR_FIT_COLUMNS * MR_FIT_COLUMNS];
    double chi2; /* that the step promises */
};

struct mr_fit_design {
    size_t n, m, n_base;
    double zero_s;  /* of the line */
    double unit_s;  /* the line's slope and bend are in K per this time, so that all columns are of order one */
    double shift_c; /* taken off the record, so that squares stay small */
    double *t_s, *c, *weight; /* shape: n */
    double *base;             /* shape: n × n_base */
    double *plain, *rows;     /* shape: n × columns + 1: as made, as whitened */
    double total;             /* sum of squares of the record */
    struct mr_disturbance weather;
    struct mr_heat_usual usual;
    double sigma2; /* of the noise, for the weight of what is usual */
    double misfit; /* mean square of the whitened residuals in the pulses over that of the record */
    struct mr_fit_normal *normal;
};

/** mr_fit_design_of - bins, references and start values of a task. false: too few samples. */
bool mr_fit_design_of(const struct mr_heat_task *task, struct mr_fit_design *out);

/** mr_fit_solve - sizes, line and references at a point, with its sum of squares; normal: with the next step and the
 * inverse; NULL = not wanted. false: the columns cannot be told apart. */
bool mr_fit_solve(const struct mr_fit_design *d, struct mr_fit_point *at, struct mr_fit_normal *normal);

/** mr_fit_inside - no parameter on a bound. */
bool mr_fit_inside(const struct mr_fit_design *d, const struct mr_fit_point *at);

/** mr_fit_learn - the weather that makes the record at this point likeliest. slopes: with onset, rate and cooling of
 * the events free, which takes events. false: it cannot be told. */
bool mr_fit_learn(struct mr_fit_design *d, const struct mr_fit_point *at, bool slopes);

/** mr_fit_sizes - as mr_fit_solve, with the standard errors of the sizes, shape: m; onsets, rates and cooling held.
 */
bool mr_fit_sizes(const struct mr_fit_design *d, struct mr_fit_point *at, double *out_se);

/** mr_fit_trim - leaves out one or two samples in a row that lie far from the solution; true where any was. */
bool mr_fit_trim(struct mr_fit_design *d, const struct mr_fit_point *at);

/** mr_fit_local - by how much the variance is wider, because the pulses fit worse than the rest; at least 1. */
double mr_fit_local(struct mr_fit_design *d, const struct mr_fit_point *at);

/** mr_fit_rmse - of the record about curve, line and references, K. */
double mr_fit_rmse(const struct mr_fit_design *d, const struct mr_fit_point *at);

/** mr_fit_criterion - minus twice the log likelihood, to compare fits of the same bins. */
double mr_fit_criterion(struct mr_fit_design *d, const struct mr_fit_point *at);

#endif
