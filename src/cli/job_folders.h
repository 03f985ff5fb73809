/*
 * job_folders.h - which folders are jobs: those that hold a job file.
 */
#ifndef MILRISE_CLI_JOB_FOLDERS_H
#define MILRISE_CLI_JOB_FOLDERS_H

#include "milrise/arena.h"

#define MR_ROLL_UP "roll-up" /* the folder of the roll-up below a share, which is no job */

struct mr_unread_folder {
    const char *path;
    int error; /* errno */
};

struct mr_job_folders {
    MR_VEC(const char *) jobs;  /* in byte order of their paths */
    MR_VEC(const char *) fresh; /* folders with what may be exports but no job file, see below */
    MR_VEC(struct mr_unread_folder) unread;
};

/** mr_job_folders - the jobs at or below a folder; what lies inside a job is its own. Names that begin with a dot,
 * links to folders and the roll-up are passed over. Fresh is a folder right below root, or beside or above a job,
 * that holds files whose names end as exports do, and no job within. Each folder that is looked into goes to
 * on_folder first (may be NULL). Returns: 0, or the errno where the folder itself cannot be read. */
int mr_job_folders(struct mr_arena *arena, const char *root, struct mr_job_folders *out,
                   void (*on_folder)(void *ctx, const char *path), void *ctx);

/** mr_is_job - whether the folder has a job file, be it a link to nowhere, or a report of one that is gone: only then
 * may notes and answers be left in it, for a wrong path must not leave files behind. */
bool mr_is_job(struct mr_arena *arena, const char *folder);

/** mr_folder_has_tables - whether a file at or below it is named as a table of text. */
bool mr_folder_has_tables(struct mr_arena *arena, const char *folder);

#endif
