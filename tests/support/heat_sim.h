/*
 * heat_sim.h - seeded temperature records whose truth is known, for tests and for `make heat-table`.
 */
#ifndef TEST_HEAT_SIM_H
#define TEST_HEAT_SIM_H

#include "assess/heat/heat.h"

struct heat_rng { /* splitmix64 */
    uint64_t state;
};
double heat_uniform(struct heat_rng *rng, double low, double high);
double heat_normal(struct heat_rng *rng);

struct heat_plan {
    uint64_t seed;
    int coats;     /* events in the record */
    double rise_k; /* peak of each */
    double dt_s;   /* sampling */
    double noise_k;
    double spacing_s;         /* from onset to onset; 0 = 2 h */
    double drift_k;           /* swing of a slow sine, 8 h long, with a random phase */
    double drift_k_per_h;     /* straight drift */
    double spikes_per_h;      /* single samples off by 5 to 60 K */
    double dropouts_per_h;    /* stretches up to 90 s: missing, or at -40 °C */
    double step_k;            /* resolution; 0 = exact */
    double lead_s, tail_s;    /* record before the first onset and after the last; 0 = 1 h and 1.5 h */
    double k_low, k_high;     /* reaction rate, 1/s; 0 = 1/150 .. 1/50 */
    double tau_low, tau_high; /* 0 = 900 .. 2400 s */
};

struct heat_record {
    size_t n;
    double *t_s, *c; /* shape: n */
    int coats;
    struct mr_heat_curve truth[12];
};

/** heat_make - the record of a plan, in arena. */
struct heat_record heat_make(struct mr_arena *arena, const struct heat_plan *plan);

struct heat_score {
    int events, found, missed, wrong;
    double worst_onset_s, sum_onset_s; /* of those found */
};

/** heat_score_add - match found events with the truth (within 0.4 of the spacing and 300 s) and count. */
void heat_score_add(struct heat_score *score, const struct heat_record *record, const mr_heat_list *found);

/* A job of zones whose heat is to fit their film. Each zone has one coat of 100 to 160 µm on 3 to 6 mm of steel,
 * logged every 10 s with 0.3 K of noise; its heat comes from fits of that log, not from the truth. */
struct heat_job {
    uint64_t seed;
    size_t zones;
    double scatter; /* of the film at the probe against the zone's mean as measured, share */
    size_t bad;     /* zones whose heat is multiplied by `share`, the first ones */
    double share;
};
struct heat_job_score {
    size_t jobs, jobs_with_bad_found, jobs_with_false, bad_found, false_found;
};

/** heat_job_run - simulate, fit and judge one job with the band of 99 %, and count. through_fits false: heats with a
 * standard error of 1.5 % in place of simulated logs, for many jobs. */
void heat_job_run(struct mr_arena *arena, const struct heat_job *job, bool through_fits,
                  struct heat_job_score *score);

#endif
