/*
 * fit_design.h - the linear algebra under heat_fit.c: the columns of a fit, whitened by the weather, and what they
 * leave.
 *
 * Line and references do not move during a search, so for one weather they are whitened and made orthonormal once;
 * the few columns of the pulses are whitened and what base explains of them is taken off at each step. What is left
 * is a problem of one to four columns a pulse. All columns stand one after the other, `stride` apart.
 *
 *   fit_design.c   from a task to its columns
 *   fit_solve.c    sizes, steps and their covariance at a point
 *   fit_weather.c  the weather from the record, and what a fit leaves of it
 */
#ifndef MILRISE_ASSESS_HEAT_FIT_DESIGN_H
#define MILRISE_ASSESS_HEAT_FIT_DESIGN_H

#include "assess/heat/heat.h"

enum { MR_FIT_LINE = 3, MR_FIT_BASE = MR_FIT_LINE + 2 * MR_HEAT_REFERENCES };
enum { MR_FIT_PULSES = 3 * MR_HEAT_TOGETHER + 1, MR_FIT_COLUMNS = MR_FIT_BASE + MR_FIT_PULSES };

#define MR_FIT_OWN 4.0 /* by how much more the flux wanders at a pulse's peak, where it grows with the pulse */

struct mr_fit_point { /* where the search stands */
    double onset_s[MR_HEAT_TOGETHER], ln_k[MR_HEAT_TOGETHER], ln_p;
    double size[MR_HEAT_TOGETHER]; /* A k of each event, K/s: solved for */
    double chi2;                   /* with the priors' share */
};

struct mr_fit_normal { /* all columns of the pulses at once, at a point: sizes, onsets, ln k, ln p */
    size_t columns;
    double coef[MR_FIT_PULSES];
    double inverse[MR_FIT_PULSES * MR_FIT_PULSES];
    double chi2; /* that the step promises */
};

struct mr_fit_design {
    size_t n, m, n_base, stride;
    double zero_s;  /* of the line */
    double unit_s;  /* the line's slope and bend are in K per this time, so that all columns are of order one */
    double shift_c; /* taken off the record, so that squares stay small */
    double *t_s, *c, *weight;         /* shape: n */
    double *base;                     /* n_base columns, as made */
    double *raw;                      /* shape, and its slopes by onset, ln k and ln p, of each pulse: 4 m columns */
    double *pulse;                    /* the pulses' columns, whitened, base taken off: 3 m + 1 */
    double *left;                     /* shape: n, of the record, likewise */
    double *work;                     /* room for all columns and the record, twice */
    size_t first;                     /* no pulse before this sample */
    struct mr_whitener filter, trial; /* of the weather; of one that is tried */
    double *q;                        /* base, whitened and orthonormal: n_base columns */
    double q_of[MR_FIT_BASE * MR_FIT_BASE]; /* upper triangle that makes whitened base of q */
    double record_q[MR_FIT_BASE];           /* share of each q in the record */
    double *record;                         /* shape: n, the record, whitened, base taken off */
    double total;                           /* sum of squares of the record */
    struct mr_disturbance weather;
    double *excess; /* shape: n, of the pulses where the weather was learnt last, over their greatest */
    struct mr_heat_usual usual;
    double sigma2; /* of the noise, for the weight of what is usual */
    double misfit; /* mean square of the whitened residuals in the pulses over that of the record */
    struct mr_fit_normal *normal;
};

#define MR_FIT_WIDTH(d) ((d)->n_base + 3 * (d)->m + 2) /* all columns and the record */

/** mr_fit_design_of - bins, references and start values of a task. false: too few samples. */
bool mr_fit_design_of(const struct mr_heat_task *task, struct mr_fit_design *out);

/** mr_fit_settle_base - base and record for the weather and samples as they are now; to be called when either has
 * changed. false: base's columns cannot be told apart. */
bool mr_fit_settle_base(struct mr_fit_design *d);

/** mr_fit_solve - sizes at a point, with its sum of squares; fills raw and left. false: the columns cannot be told
 * apart. */
bool mr_fit_solve(struct mr_fit_design *d, struct mr_fit_point *at);

/** mr_fit_step - the next step from the point that was solved last, with the inverse, into d->normal. */
bool mr_fit_step(struct mr_fit_design *d, const struct mr_fit_point *at);

/** mr_fit_sizes - as mr_fit_solve, with the standard errors of the sizes, shape: m; onsets, rates and cooling held.
 */
bool mr_fit_sizes(struct mr_fit_design *d, struct mr_fit_point *at, double *out_se);

/** mr_fit_base - line and references at a point that was solved last, shape: n_base. */
void mr_fit_base(const struct mr_fit_design *d, const struct mr_fit_point *at, double *out);

/** mr_fit_inside - no parameter on a bound. */
bool mr_fit_inside(const struct mr_fit_design *d, const struct mr_fit_point *at);

/** mr_fit_learn - the weather that makes the record at this point likeliest, and base settled for it. slopes: with
 * onset, rate and cooling of the events free, which takes events. false: it cannot be told. */
bool mr_fit_learn(struct mr_fit_design *d, struct mr_fit_point *at, bool slopes);

/** mr_fit_own_weather - where the record is clearly likelier with a weather that grows with the pulses' own heat: the
 * share of it that would be there without them becomes d's weather, and base settled for it. false: it does not. */
bool mr_fit_own_weather(struct mr_fit_design *d, struct mr_fit_point *at);

/** mr_fit_weather_of_others - after mr_fit_own_weather: d's weather grows with the heat of all pulses but this one,
 * for what gusts do to the tail of one coat is doubt about the next; at is solved. false: it cannot be told. */
bool mr_fit_weather_of_others(struct mr_fit_design *d, struct mr_fit_point *at, size_t pulse);

/** mr_fit_trim - leaves out one or two samples in a row that lie far from the solution; true where any was. */
bool mr_fit_trim(struct mr_fit_design *d, struct mr_fit_point *at);

/** mr_fit_local - by how much the variance is wider, because the pulses fit worse than the rest; at least 1. */
double mr_fit_local(struct mr_fit_design *d, const struct mr_fit_point *at);

/** mr_fit_rmse - of the record about curve, line and references, K. */
double mr_fit_rmse(const struct mr_fit_design *d, const struct mr_fit_point *at);

/** mr_fit_criterion - minus twice the log likelihood, to compare fits of the same bins. */
double mr_fit_criterion(struct mr_fit_design *d, struct mr_fit_point *at);

/** mr_fit_dot - sum of products. */
double mr_fit_dot(const double *a, const double *b, size_t n);

#endif
