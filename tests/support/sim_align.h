/*
 * sim_align.h - seeded jobs whose clocks are known: windows on zones, heat on probes, pressure on lines, a hand-kept
 * log.
 *
 * What varies from job to job: lengths of windows and pauses, where a probe sits in its zone (so when the film lands
 * on it), the heat, its speed, sun and noise, spikes, and how sloppily the spray log is kept. Shares no code with the
 * library.
 */
#ifndef TESTS_SUPPORT_SIM_ALIGN_H
#define TESTS_SUPPORT_SIM_ALIGN_H

#include "support/align_fixture.h"

struct alignsim_plan {
    uint64_t seed;
    int zones, coats, loggers; /* zone z hangs on logger z mod loggers */
    double width_min[2];       /* shortest and longest window, minutes */
    bool log, lines;           /* a spray log, a line pressure logger "PL" */
    bool charged;              /* lines stay charged between windows: the trigger shows as a small drop */
    double log_unit_s;         /* times of the log are multiples of this */
    double log_error_s;        /* SD of its starts and stops before that */
    double off_s[8];           /* clock error, shown minus true: loggers 0.., then the line logger at [loggers] */
    double drift_s_per_day[8]; /* likewise, from the first midnight */
    bool dates_swapped[8];     /* likewise: shows 11 May as 5 November */
    double log_off_s;          /* of the whole spray log */
    int bad_row;               /* row of the spray log, from 1, whose date is off by bad_row_s; 0: none */
    double bad_row_s;
    bool channels_exchanged; /* the job assigns the first two channels of K0 the wrong way round */
    bool loggers_exchanged;  /* the job has K0 and K1 the wrong way round */
    double dead_share;       /* coats that give no heat at all */
};

/** alignsim_make - fills a fresh fixture: instruments "K0", "K1", ..., "PL"; zones "Z0", ...; all channels assigned.
 */
void alignsim_make(struct fixture *f, const struct alignsim_plan *plan);

/** alignsim_plan - eight zones, two coats, two loggers, log and lines, no clock off. */
struct alignsim_plan alignsim_plan(uint64_t seed);

/* A small generator for tests: splitmix64, uniform in [low, high). */
double alignsim_uniform(uint64_t *state, double low, double high);

#endif
