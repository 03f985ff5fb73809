/*
 * clock_job.h - random whole jobs, as the texts of their exports and a job file, whose clocks, dates and places are
 * right or wrong as planted; and what a report says of each coat.
 */
#ifndef MILRISE_TESTS_PROPERTY_CLOCK_JOB_H
#define MILRISE_TESTS_PROPERTY_CLOCK_JOB_H

#include "milrise/assess.h"

#include <stdbool.h>
#include <stdint.h>

enum clock_fault {
    CLOCK_SOUND,
    CLOCK_MINUTES,   /* the clock of K1, by 3 to 40 min */
    CLOCK_HOUR,      /* of K1, by 1 h, 2 h or 5 h */
    CLOCK_SIX_HOURS, /* of K1 */
    CLOCK_DAY,       /* of K1, by a day or two */
    CLOCK_YEAR,      /* of K1 */
    CLOCK_SWAPPED,   /* K1 writes day and month exchanged */
    CLOCK_SESSION,   /* only the last of K1's files is off, by a day */
    CLOCK_LINES,     /* the pressure logger, by minutes, hours or a day */
    CLOCK_LOGGERS,   /* the job file has K1 and K2 the wrong way round */
    CLOCK_CHANNELS,  /* the job file has two channels of K1 the wrong way round */
    CLOCK_LOG_ROW,   /* one row of the spray log has a wrong date */
    CLOCK_LOG_HOUR,  /* the whole spray log is an hour off */
    CLOCK_FAULTS
};
extern const char *const clock_fault_text[CLOCK_FAULTS];

enum { CLOCK_ZONES = 8, CLOCK_DAYS = 3, CLOCK_COATS = CLOCK_ZONES * CLOCK_DAYS, CLOCK_FILES = 12 };

struct clock_coat {
    int zone, day;     /* zone z hangs on logger z mod 2 */
    double t0_s, t1_s; /* seconds since the day's midnight */
    double hit_s, rise_k, rate_per_s, tau_s;
    bool dead;      /* no heat */
    bool imbalance; /* line B a fifth low for 40 s */
};

struct clock_job {
    uint64_t seed;
    enum clock_fault fault;
    int zones, days, loggers;
    int64_t day_s[CLOCK_DAYS]; /* midnight of each working day, s since 1970 */
    int n_coats;
    struct clock_coat coat[CLOCK_COATS]; /* in order of time */
    double k1_off_s, lines_off_s, log_off_s, row_off_s, session_off_s;
    int bad_row;                      /* coat whose row is off */
    bool swapped;                     /* dates of K1 */
    int exchanged[2];                 /* zones whose channels are exchanged in the job file; -1 */
    bool loggers_exchanged;           /* in the job file */
    bool cloudy, long_logs, mirrored; /* mirrored: the second date is the first with day and month exchanged */
};

/* What the report says: of the checks of heat and of lines of one coat the worst; and of the job. */
struct clock_verdict {
    enum mr_outcome heat[CLOCK_COATS], lines[CLOCK_COATS];
    enum mr_outcome pauses;            /* the worst check of a pause, anywhere */
    enum mr_outcome zone[CLOCK_ZONES]; /* worst of heat and lines over its coats */
    size_t doubts;
    const char *told;  /* doubts and findings in words; in the arena */
    const char *paste; /* of the first doubt; "" */
};

/** clock_draw - the job of a seed, with a fault or (CLOCK_SOUND) none; both have the same truth. */
struct clock_job clock_draw(uint64_t seed, enum clock_fault fault);

/** clock_hangs - whether a coat's heat (lines: its pressures) is recorded at a wrong time or in a wrong place. */
bool clock_hangs(const struct clock_job *j, int coat, bool lines);

/** clock_judge - the job through all stages; extra: further lines of the job file. */
struct clock_verdict clock_judge(struct mr_arena *arena, const struct clock_job *j, const char *extra);

#endif
