/*
 * roll_up.h - all jobs of a share on one page, as a workbook, and as JSON.
 */
#ifndef MILRISE_CLI_ROLL_UP_H
#define MILRISE_CLI_ROLL_UP_H

#include "cli/job_state.h"
#include "milrise/table.h"

#define MR_ROLL_UP "roll-up" /* the folder below the share */

struct mr_roll_job {
    const char *dir;
    struct mr_job_state state;
    bool reported; /* by this sweep */
    bool due;      /* its files, or milrise, changed since the last report */
};

struct mr_roll_up {
    MR_VEC(struct mr_roll_job) jobs;
};

/* An instrument whose certificate has ended or ends soon, with the jobs that state it. */
struct mr_due_instrument {
    struct mr_certificate certificate;
    int days_left; /* negative: so many days past */
    size_t jobs;
};
typedef MR_VEC(struct mr_due_instrument) mr_due_list;

enum { MR_DUE_SOON_DAYS = 60 };

/** mr_roll_up_due - certificates that end within MR_DUE_SOON_DAYS of now or have ended, the first to end first. now:
 * "2026-05-11 ...". */
mr_due_list mr_roll_up_due(struct mr_arena *arena, const struct mr_roll_up *roll, const char *now);

/** mr_days_open - days from the day on which the oldest open item of a job was found to now; -1 = none. */
int mr_days_open(const struct mr_job_state *state, const char *now);

bool mr_roll_failed(const struct mr_roll_job *job); /* there is no report of it */
bool mr_roll_open(const struct mr_roll_job *job);   /* something does not conform or is not shown */

/** mr_roll_up_tables - jobs, crews, films, certificates. Returns: how many are in out (at most 3). */
size_t mr_roll_up_tables(struct mr_arena *arena, const struct mr_roll_up *roll, const char *now,
                         const struct mr_table *out[3]);

/** mr_roll_up_write - SHARE/roll-up/roll-up.txt, roll-up.json and roll-up.xlsx. Returns: MR_OK; MR_E_OUTPUT with
 * errno. */
enum mr_status mr_roll_up_write(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll,
                                const char *now);

#endif
