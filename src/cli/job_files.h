/*
 * job_files.h - the files of a new job, out of the templates.
 */
#ifndef MILRISE_CLI_JOB_FILES_H
#define MILRISE_CLI_JOB_FILES_H

#include "milrise/arena.h"

/** mr_job_files_make - put the templates into a folder; a file that is there is never touched. quiet: no line for
 * each, and the job file alone. Returns: NULL, or the path that could not be made, with errno. */
const char *mr_job_files_make(struct mr_arena *arena, const char *dir, bool quiet);

#endif
