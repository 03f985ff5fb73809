/*
 * heat.h - the heat of a reacting film, found and measured in any series of temperatures.
 *
 * Pure functions on arrays of time and value; nothing here knows zones, coats or limits. The physics is the lumped
 * heat balance of a thin film on a plate (both at one temperature, Biot number well under 0.1): heat released at
 * first order with rate k, lost with time constant tau. From its onset on, one event stands above the line that the
 * steel would have followed without it as
 *
 *     theta(s) = A a/(a - 1) (exp(-s/tau) - exp(-k s)),   a = k tau,   A = adiabatic rise (heat loss put back)
 *
 * with its peak A a^(-1/(a-1)) at tau ln(a)/(a - 1) and the area A tau. Swapping k with 1/tau and A with a A gives
 * the same curve: data alone cannot tell them apart. The reaction is taken as the faster of the two, as it is on
 * steel.
 *
 * Calling order: mr_heat_find does everything. It cleans and bins the series (heat_reduce.c), looks for rises at
 * every time scale up to the one asked for (heat_detect.c), fits overlapping events together with one common cooling
 * constant and a straight or slightly bent drift (heat_fit.c), and measures each (heat_find.c). One pass over the
 * samples, then work on bins: the cost is linear in the length of the series. No time is built in: every width is a
 * share of `slowest_s`.
 */
#ifndef MILRISE_ASSESS_HEAT_HEAT_H
#define MILRISE_ASSESS_HEAT_HEAT_H

#include "assess/heat/disturbance.h"
#include "milrise/assess.h"

struct mr_heat_curve { /* one event above its line */
    double onset_s;
    double adiabatic_k; /* A */
    double k_per_s;
    double tau_s;
};

/** mr_heat_rise - theta at t_s, K; 0 before the onset. Exact also where k tau is 1 or near it. */
double mr_heat_rise(const struct mr_heat_curve *curve, double t_s);

/** mr_heat_peak_rise, mr_heat_peak_delay - height of the peak in K and its time after the onset in s. */
double mr_heat_peak_rise(const struct mr_heat_curve *curve);
double mr_heat_peak_delay(const struct mr_heat_curve *curve);

/** mr_heat_shape - h(s) = theta / (A k) for rates p = 1/tau and q = k, symmetric in them, and its derivatives by p, q
 * and s (NULL = not wanted). s >= 0. */
double mr_heat_shape(double s, double p, double q, double *out_dp, double *out_dq, double *out_ds);

/** mr_heat_shapes - the same at n rising moments; 0 where s is not above 0. */
struct mr_heat_shapes {
    double *h, *ds, *dp, *dq; /* shape: n each */
};
void mr_heat_shapes(size_t n, const double *t_s, double onset_s, double p, double q, struct mr_heat_shapes *out);

/* A series to search. Either t_s, or t_ms with the moment that counts as 0 s. */
struct mr_heat_series {
    size_t n;
    const double *t_s;     /* shape: n, strictly rising; NULL where t_ms serves */
    struct mr_wholes t_ms; /* shape: n, strictly rising */
    int64_t zero_ms;
    struct mr_reals value; /* shape: n, °C; NaN where missing */
};

#define MR_HEAT_REFERENCES 3 /* reference probes in one fit at most */

/* What another probe saw: a plate under the same sky, or the air. */
struct mr_heat_reference {
    size_t n;
    struct mr_wholes t_ms; /* shape: n, strictly rising */
    struct mr_reals value; /* shape: n, °C; NaN where missing */
    size_t n_busy;
    const int64_t (*busy_ms)[2]; /* stretches in which it was itself sprayed or still warm from it */
    bool air;
};

struct mr_heat_references {
    size_t n;
    const struct mr_heat_reference *v;
};

/* What is known of steel and material before the record is seen: medians and deviations of the logarithm. 0: nothing.
 */
struct mr_heat_usual {
    double tau_s, tau_log_sd;
    double k_per_s, k_log_sd;
};

/* Where a pulse is expected. An onset from `early_ms` to `last_ms` is looked at, one from `from_ms` to `late_ms` is
 * in time. */
struct mr_heat_focus {
    int64_t early_ms, from_ms, late_ms, last_ms;
};

/* What the record says where no pulse was found in time: the likeliest pulse of usual shape, whatever its onset, and
 * how great one could be without being noticed. NaN where the record does not say. */
struct mr_heat_absence {
    double rise_k, rise_se_k, most_k;
    double warmed_k; /* by how much the record left the line it followed before, whatever the shape */
    bool weather;    /* most of the doubt is weather */
    bool as_the_air; /* the record follows the air's as closely as its noise allows */
};

struct mr_heat_options {
    double
        slowest_s;  /* longest time from onset to peak that still is an event, not drift; 0 = a tenth of the record */
    double least_k; /* rises smaller than this are not looked for; 0 = what stands clear of the noise */
    const struct mr_heat_references *references; /* NULL: none; needs t_ms */
    const struct mr_heat_usual *usual;           /* NULL: nothing */
    size_t n_focus;
    const struct mr_heat_focus *focus; /* in order of time: only events in one of these are fitted; NULL: all */
    struct mr_heat_absence *absence;   /* out, shape: n_focus; NULL with focus */
};

/* What the references told of the record, at some moments of it: the fitted curve stands on it. */
enum { MR_HEAT_SHARED = 48 };
struct mr_heat_shared {
    size_t n; /* 0: no references */
    double t_s[MR_HEAT_SHARED], k[MR_HEAT_SHARED];
};

struct mr_heat_found {
    double baseline_from_s;        /* where the baseline begins */
    double onset_s, peak_s, end_s; /* end: where the record, the next event or nine tenths of the cooling end it */
    double baseline_c, peak_c;
    double rise_k, rise_se_k; /* plain: peak minus baseline */
    double rate_k_per_s, time_above_half_s, area_k_s;
    bool no_baseline; /* the record begins in the event: its rise is a lower bound */
    bool no_peak;     /* the record ends before the rise does */
    bool aside;       /* outside the focus, so not fitted */
    enum mr_fit fit;
    const char *fit_note;       /* static text; "" where nothing is to be said */
    struct mr_heat_curve curve; /* of the fit; NaN without one, likewise below */
    double onset_se_s, adiabatic_se_k, k_se, tau_se;
    double rise_fit_k, rise_fit_se_k;
    double line_c, drift_k_per_s; /* the line without any event: at the onset, and its slope there */
    double bend_k_per_s2;         /* its bend: K per s2; 0 where straight */
    double rmse_k;
    struct mr_disturbance disturbance; /* the weather as the fit found it */
    double noise_k;                    /* of a bin */
    double resolution_k;               /* of the record */
    size_t n_references;               /* columns of reference probes in the fit */
    struct mr_heat_shared shared;
    double misfit;      /* see mr_heat_fit */
    double gust_log_sd; /* by how much the loss until the peak may differ from the record's, of its logarithm */
    size_t n_carried;
    const struct mr_heat_curve *carried; /* earlier events whose tails this one stands on */
};
typedef MR_VEC(struct mr_heat_found) mr_heat_list;

/** mr_heat_find - every event of a series, in order of time, in arena. scratch may be the same arena. */
void mr_heat_find(struct mr_arena *arena, struct mr_arena *scratch, const struct mr_heat_series *series,
                  const struct mr_heat_options *options, mr_heat_list *out);

/** mr_heat_found_c - the whole fitted curve of an event (line, earlier tails, own rise) at t_s; NaN without a fit. */
double mr_heat_found_c(const struct mr_heat_found *event, double t_s);

/* ---- between the files of this room ---- */

struct mr_heat_bins { /* the series, cleaned and binned */
    size_t n;
    double *t_s, *c;     /* shape: n; mean time and mean value of the good samples of each bin */
    double *weight;      /* shape: n; number of samples over the usual number */
    double noise_k;      /* standard deviation of one usual bin, from second differences; at least the resolution's */
    double resolution_k; /* of the record: the smallest step between two values */
    double step_s;       /* usual distance of bins */
    double slowest_s;    /* the option, with its default worked out */
    double least_k;
    size_t n_spikes; /* samples set aside */
};

/** mr_heat_reduce - clean and bin. Bins are slowest_s/180 wide; a series that is slower than that keeps its samples.
 */
void mr_heat_reduce(struct mr_arena *arena, const struct mr_heat_series *series,
                    const struct mr_heat_options *options, struct mr_heat_bins *out);

struct mr_heat_candidate {
    double onset_s, peak_s, end_s;
    double valley_c, peak_c;         /* smoothed */
    size_t segment_from, segment_to; /* bins without a long gap between, [from, to) */
};
typedef MR_VEC(struct mr_heat_candidate) mr_heat_candidates;

/** mr_heat_detect - rises of bins in order of time. whole: the record itself, whose slow drift is taken off and whose
 * jumps are known; else the residuals of a fit. */
void mr_heat_detect(struct mr_arena *arena, const struct mr_heat_bins *bins, bool whole, mr_heat_candidates *out);

#define MR_HEAT_TOGETHER 6 /* events fitted together at most */

struct mr_heat_room {
    double *v;
    size_t n;
};

struct mr_heat_task {          /* m candidates to be fitted to bins [from, to) */
    struct mr_arena *work;     /* may be reset after the call */
    struct mr_arena *scratch;  /* of the whole search */
    struct mr_heat_room *room; /* for the columns of one fit after the other, in scratch */
    const struct mr_heat_bins *bins;
    size_t from, to;
    const struct mr_heat_candidate *candidates; /* shape: m */
    size_t m;
    const struct mr_heat_curve *carried; /* earlier events, taken off first, shape: n_carried */
    size_t n_carried;
    int64_t zero_ms;                             /* the bins' 0 s */
    const struct mr_heat_references *references; /* NULL: none */
    const struct mr_heat_usual *usual;           /* NULL: nothing */
};

struct mr_heat_fit { /* of events that overlap */
    size_t m;
    struct mr_heat_curve curve[MR_HEAT_TOGETHER];
    double onset_se[MR_HEAT_TOGETHER], adiabatic_se[MR_HEAT_TOGETHER], k_se[MR_HEAT_TOGETHER];
    double rise[MR_HEAT_TOGETHER], rise_se[MR_HEAT_TOGETHER];
    double tau_se;
    double gust_log_sd[MR_HEAT_TOGETHER];    /* see mr_heat_found */
    double line_c, line_at_s, drift_k_per_s; /* line_c and its slope at line_at_s */
    double bend_k_per_s2;
    double rmse_k; /* of the record about the curve: noise and weather */
    struct mr_disturbance disturbance;
    size_t n_references;
    struct mr_heat_shared shared;
    double misfit;    /* mean square of the whitened residuals in the pulses over that of the record */
    double criterion; /* minus twice the log likelihood, to compare fits of the same bins */
};

/** mr_heat_fit_events - fit the candidates of a task.
 *  Returns: MR_OK; MR_E_FEW; MR_E_NOFIT where no stationary point inside the bounds was reached or the columns cannot
 *  be told apart: out then holds nothing. */
enum mr_status mr_heat_fit_events(const struct mr_heat_task *task, struct mr_heat_fit *out) MR_MUST_USE;

/** mr_heat_fit_promise - what the criterion of a task could come down to, by the first step from a narrower fit that
 * knew all candidates but number `more`; in the weather of that fit. */
double mr_heat_fit_promise(const struct mr_heat_task *task, const struct mr_heat_fit *narrow, size_t more);

/** mr_heat_absent - how great a pulse with its onset in [from_s, late_s] could be in bins [from, to) of a task; the
 * task's candidates are not read. */
struct mr_heat_absence mr_heat_absent(struct mr_heat_task task, double from_s, double late_s);

/** mr_heat_references - the columns of the references that go with the record c at t_s, shape: n each, at most two
 * for each of MR_HEAT_REFERENCES. Returns: how many columns. */
size_t mr_heat_references(const struct mr_heat_task *task, size_t n, const double *t_s, const double *c, double *out);

/** mr_heat_bin_at - first bin at or after t_s. */
size_t mr_heat_bin_at(const struct mr_heat_bins *bins, double t_s);

/** mr_heat_as_the_air - whether the record c + shift_c at t_s follows a reference of the air as closely as its noise
 * allows; in air that does not stir, whether it is as warm. */
bool mr_heat_as_the_air(const struct mr_heat_task *task, size_t n, const double *t_s, const double *c,
                        double shift_c);

#endif
