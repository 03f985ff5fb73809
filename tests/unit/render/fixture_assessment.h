/*
 * fixture_assessment.h - a finished assessment built by hand, so that render is tested without the four stages before
 * it.
 *
 * Invented: a footbridge and its water tank, eight zones, two shifts, one zone of every outcome, two probes that
 * slip, a climate log with a gap and a dip of the spread.
 */
#ifndef MILRISE_TESTS_FIXTURE_ASSESSMENT_H
#define MILRISE_TESTS_FIXTURE_ASSESSMENT_H

#include "milrise/assess.h"

/** fixture_assessment - for a job folder at dir, in arena. us: shown in mil, degF, psi. */
struct mr_assessment *fixture_assessment(struct mr_arena *arena, const char *dir, bool us);

/** fixture_hostile - the same with names and texts that try to break every output. */
struct mr_assessment *fixture_hostile(struct mr_arena *arena, const char *dir);

/** fixture_zones - appends the table of zones, with the job in its last row. */
void fixture_zones(struct mr_arena *arena, struct mr_assessment *a);

/** fixture_table - appends a table of n rows of readings. */
void fixture_table(struct mr_arena *arena, struct mr_assessment *a, size_t rows);

#endif
