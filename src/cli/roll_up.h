/*
 * roll_up.h - all jobs of a share on one page, and the same as JSON.
 */
#ifndef MILRISE_CLI_ROLL_UP_H
#define MILRISE_CLI_ROLL_UP_H

#include "cli/job_state.h"

#define MR_ROLL_UP "roll-up" /* the folder below the share */

struct mr_roll_job {
    const char *dir;
    struct mr_job_state state;
    bool reported; /* by this sweep */
};

struct mr_roll_up {
    MR_VEC(struct mr_roll_job) jobs;
};

/** mr_roll_up_write - SHARE/roll-up/roll-up.txt and roll-up.json. Returns: MR_OK; MR_E_OUTPUT with errno. */
enum mr_status mr_roll_up_write(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll,
                                const char *when);

#endif
