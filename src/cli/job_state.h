/*
 * job_state.h - what a watcher or a sweep remembers of a job between runs: the inputs that its last report was made
 * from, and how it ended. Kept as JOB/reports/.state; a state that is gone or does not fit costs one report and
 * nothing else.
 */
#ifndef MILRISE_CLI_JOB_STATE_H
#define MILRISE_CLI_JOB_STATE_H

#include "milrise/arena.h"

#define MR_HASH_TEXT 65 /* SHA-256 in hex, with the NUL */

/* Of an instrument; until is its last day, "2027-01-31", "" where the job does not say. */
struct mr_certificate {
    const char *instrument, *number, *until;
};

struct mr_job_state {
    char inputs[MR_HASH_TEXT];  /* names, sizes and times of all inputs; "" = not known */
    char content[MR_HASH_TEXT]; /* names and bytes of all inputs */
    char program[MR_HASH_TEXT]; /* the milrise that made the report */
    bool fresh;                 /* a file had just changed: the same sizes and times may hide a further change */
    int exit_status;            /* of the report; -1 = none yet */
    const char *failure;        /* why there is no report; "" = there is one */
    const char *name, *crew, *outcome;
    int64_t zones[4]; /* by outcome as in enum mr_outcome */
    int64_t findings, revision;
    int64_t open_items;      /* non-conformances that are open */
    const char *oldest_open; /* day on which the oldest of them was found; "" = none or not known */
    double film_low_um, film_mean_um, film_high_um; /* of the means of zones; NaN = none */
    MR_VEC(struct mr_certificate) certificates;
    const char *since;  /* when the outcome became what it is */
    const char *before; /* the outcome before that; "" = none */
};

struct mr_job_inputs {
    char hash[MR_HASH_TEXT]; /* of names, sizes and times */
    int64_t size;            /* bytes */
    bool fresh;              /* some file changed within two seconds of now_s */
};

/** mr_job_inputs - what a job is made from: every file but reports, answers and names that begin with a dot. now_s:
 * the clock of the file system; 0 where fresh is not wanted. Folders are handed to on_folder (may be NULL). Returns:
 * 0, or the errno where the folder cannot be read. */
int mr_job_inputs(struct mr_arena *arena, const char *dir, int64_t now_s,
                  void (*on_folder)(void *ctx, const char *path), void *ctx, struct mr_job_inputs *out);

/** mr_job_content - the same by the bytes of the files, those of a file that may not be read left out. Returns: 0, or
 * the errno where the folder cannot be read. */
int mr_job_content(struct mr_arena *arena, const char *dir, char out[MR_HASH_TEXT]);

/** mr_program_print - which milrise this is: version, size and time of the program. */
void mr_program_print(struct mr_arena *arena, char out[MR_HASH_TEXT]);

/** mr_job_answered - whether what the last run left still stands in the folder: its answer and, where there was one,
 * its report. */
bool mr_job_answered(struct mr_arena *arena, const char *dir, const struct mr_job_state *state);

void mr_job_state_load(struct mr_arena *arena, const char *dir, struct mr_job_state *out);
enum mr_status mr_job_state_save(struct mr_arena *arena, const char *dir, const struct mr_job_state *state);

/** mr_job_state_take - outcome, zones, findings and film out of the newest report.json. */
void mr_job_state_take(struct mr_arena *arena, const char *dir, struct mr_job_state *state);

/** mr_job_state_text - "does not conform", or why there is no report. */
const char *mr_job_state_text(const struct mr_job_state *state);

#endif
