/*
 * job_run.h - one report in a process of its own, with limits, under the job's lock: what a watcher and a sweep
 * share.
 */
#ifndef MILRISE_CLI_JOB_RUN_H
#define MILRISE_CLI_JOB_RUN_H

#include "cli/job_lock.h"
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

/* What the child tells before it becomes the report. */
struct mr_run_told {
    char content[MR_HASH_TEXT];
    bool same; /* the files are those of the last report, byte for byte: there is nothing to report */
};

struct mr_job_run {
    const char *dir;
    struct mr_job_state state;
    struct mr_run_limits limits;
    pid_t pid;
    struct mr_job_lock lock;
    struct mr_run_told *told; /* shared with the child */
    bool may_be_same;         /* the state is of this program and names the bytes of its files */
    bool same;                /* see mr_run_told */
    bool over_time, lost;     /* lost: another machine has taken the job over */
    int64_t started_ms, renewed_ms;
};

/** mr_run_start - take the lock, note what the inputs are, start `milrise report` on the folder; a child that finds
 * the files byte for byte as they were reports nothing. */
enum mr_run_step mr_run_start(struct mr_arena *arena, const char *dir, struct mr_run_limits limits,
                              struct mr_job_run *out);

/** mr_run_poll - whether the run has ended; past its time it is ended by force. Then the state is saved and the lock
 * free. */
bool mr_run_poll(struct mr_arena *arena, struct mr_job_run *run);

/** mr_run_end - by force, as if it had never begun. */
void mr_run_end(struct mr_job_run *run);

/** mr_now_ms - a clock that only goes forward. mr_now_text - date and time, UTC. */
int64_t mr_now_ms(void);
const char *mr_now_text(struct mr_arena *arena);

/** mr_broken_note - the note beside the reports, and the answer. out: where reports go, NULL = JOB/reports; then only
 * is the answer the folder's. why: a clause, mend: what to do. A folder without a job file gets neither. */
void mr_broken_note(struct mr_arena *arena, const char *dir, const char *out, const char *now, const char *why,
                    const char *mend);

#endif
