/*
 * job_run.h - one report in a process of its own, with limits, under the job's lock: what a watcher and a sweep
 * share.
 */
#ifndef MILRISE_CLI_JOB_RUN_H
#define MILRISE_CLI_JOB_RUN_H

#include "cli/job_state.h"

#include <sys/types.h>

struct mr_run_limits {
    unsigned seconds; /* of the clock */
    unsigned mib;     /* of address space */
    unsigned threads; /* of the report; 0 = one for each processor */
};

enum mr_run_step {
    MR_RUN_BUSY, /* somebody else reports on this job */
    MR_RUN_STARTED,
    MR_RUN_FAILED, /* the state says why */
};

struct mr_job_run {
    const char *dir;
    struct mr_job_state state;
    struct mr_run_limits limits;
    pid_t pid;
    int lock_fd;
    const char *lease; /* path of the lease file where the file system knows no locks; else NULL */
    int64_t started_ms;
    bool over_time;
};

/** mr_run_start - take the lock, note what the inputs are, start `milrise report` on the folder. */
enum mr_run_step mr_run_start(struct mr_arena *arena, const char *dir, struct mr_run_limits limits,
                              struct mr_job_run *out);

/** mr_run_poll - whether the run has ended; past its time it is ended by force. Then the state is saved and the lock
 * free. */
bool mr_run_poll(struct mr_arena *arena, struct mr_job_run *run);

/** mr_run_wait - until it has ended. */
void mr_run_wait(struct mr_arena *arena, struct mr_job_run *run);

/** mr_now_ms - a clock that only goes forward. mr_now_text - date and time, UTC. */
int64_t mr_now_ms(void);
const char *mr_now_text(struct mr_arena *arena);

#endif
