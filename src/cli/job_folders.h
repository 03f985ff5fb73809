/*
 * job_folders.h - which folders are jobs: those that hold a job file.
 */
#ifndef MILRISE_CLI_JOB_FOLDERS_H
#define MILRISE_CLI_JOB_FOLDERS_H

#include "milrise/arena.h"

struct mr_job_folders {
    MR_VEC(const char *) jobs;  /* in byte order of their paths */
    MR_VEC(const char *) fresh; /* folders right below with files but no job file, and no job within */
};

/** mr_job_folders - the jobs at or below a folder; what lies inside a job is its own. Names that begin with a dot and
 * links to folders are passed over. Each folder that is looked into goes to on_folder first (may be NULL).
 *  Returns: 0, or the errno where the folder itself cannot be read. */
int mr_job_folders(struct mr_arena *arena, const char *root, struct mr_job_folders *out,
                   void (*on_folder)(void *ctx, const char *path), void *ctx);

#endif
