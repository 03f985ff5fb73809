/*
 * job_fill.h - a first job file out of the exports that a folder already holds.
 */
#ifndef MILRISE_CLI_JOB_FILL_H
#define MILRISE_CLI_JOB_FILL_H

#include "milrise/arena.h"

/** mr_job_fill - the template of a job file with what the folder's exports show: days, instruments, channels, zones.
 * What they cannot show has a ? in its place, which no report accepts. us: examples in US units. Returns: the text,
 * in arena; NULL where no export was recognised. */
char *mr_job_fill(struct mr_arena *arena, const char *dir, bool us);

#endif
