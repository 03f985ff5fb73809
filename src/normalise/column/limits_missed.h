/*
 * limits_missed.h - the job's limits, as what a file writes beside its values or above them is held against them. It
 * does not say for which zone it stands, so the strictest decides.
 */
#ifndef MILRISE_NORMALISE_COLUMN_LIMITS_MISSED_H
#define MILRISE_NORMALISE_COLUMN_LIMITS_MISSED_H

#include "milrise/job.h"
#include "normalise/phrase/objecting_words.h"

/** mr_strictest - of the job and its specifications; least: the smallest of an upper limit, else the greatest of a
 *  lower one. NaN where none states one. */
double mr_strictest(const struct mr_job *job, enum mr_setting_id id, bool least);

/** mr_limit_missed - whether a figure misses a limit of its own: a humidity (%), a spread (K), steel or air of a
 *  coat (degrees Celsius; sure: the unit is stated), a ratio (share). Other figures need the row beside them. */
bool mr_limit_missed(const struct mr_job *job, enum mr_objecting how, double x, bool sure);

/** mr_line_misses - whether "RH: 93 %" or "Weather: rain" above a table of climate, coats or lines says that a limit
 *  was missed. */
bool mr_line_misses(struct mr_arena *arena, const struct mr_job *job, enum mr_kind kind, const char *name,
                    const char *value);

#endif
