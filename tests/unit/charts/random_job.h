/*
 * random_job.h - seeded jobs for the laws of figures: 1 to 300 zones with short and with very long names, one to
 * three coats, surveys, logs with gaps and faults, in either system of units; assessed by the library itself.
 */
#ifndef MILRISE_TESTS_RANDOM_JOB_H
#define MILRISE_TESTS_RANDOM_JOB_H

#include "milrise/assess.h"
#include "support/align_fixture.h"

/** random_job - f is set up here and freed by the caller (fix_free). The plan of a seed never changes. */
const struct mr_assessment *random_job(struct fixture *f, uint64_t seed);

#endif
