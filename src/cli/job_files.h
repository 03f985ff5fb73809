/*
 * job_files.h - the files of a new job, out of the templates.
 */
#ifndef MILRISE_CLI_JOB_FILES_H
#define MILRISE_CLI_JOB_FILES_H

#include "milrise/arena.h"

/** mr_job_files_make - put the templates into a folder, the job file filled in from the exports that are there
 * (job_fill.h); a file that is there is never touched. quiet: no line for each, and the job file alone. us: US units.
 * Returns: NULL, or the path that could not be made, with errno. */
const char *mr_job_files_make(struct mr_arena *arena, const char *dir, bool quiet, bool us);

#endif
