/*
 * job_lookup.h - what a job says about one file; the look-ups that other stages need stand in milrise/job.h.
 */
#ifndef MILRISE_READ_JOB_LOOKUP_H
#define MILRISE_READ_JOB_LOOKUP_H

#include "milrise/job.h"

/** mr_file_rule_for - the [file] rules of a job that match a path as one: for each key the first rule that states it.
 *  NULL where none matches. */
const struct mr_file_rule *mr_file_rule_for(struct mr_arena *arena, const struct mr_job *job, const char *path);

#endif
