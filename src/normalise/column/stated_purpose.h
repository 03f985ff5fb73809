/*
 * stated_purpose.h - what a file says of itself, above its table, among its rows or in its name: a test plate, a
 * demonstration, a forecast, another job. Such readings prove nothing of the work.
 */
#ifndef MILRISE_NORMALISE_COLUMN_STATED_PURPOSE_H
#define MILRISE_NORMALISE_COLUMN_STATED_PURPOSE_H

#include "normalise/column/plan.h"

/** mr_other_purpose - the line above the table, or the name of the file, by which the readings may not be of the
 * work; NULL where nothing says so. A line is given as text and place; of a name the place has no line. */
const char *mr_other_purpose(struct mr_arena *arena, const struct mr_job *job, enum mr_kind kind,
                             const struct mr_source *source, struct mr_place *out_place);

/** mr_says_other_purpose - whether folded words speak of such readings. mr_is_other_purpose - and say nothing else.
 */
bool mr_says_other_purpose(enum mr_kind kind, const char *words);
bool mr_is_other_purpose(enum mr_kind kind, const char *words);

/** mr_says_taken_back - whether folded words say that readings were taken back or must not be used: "deleted",
 *  "verworfene Messungen"; not "no deleted readings". */
bool mr_says_taken_back(const char *words);

/** mr_is_withdrawn - whether the folded words of a cell beside a value, a few or the first of more, take it back, or
 *  say of a film that it was read for a calibration. heading: folded; none that speaks of the instrument's checks. */
bool mr_is_withdrawn(enum mr_kind kind, const char *heading, const char *words);

/** mr_names_other_job - whether a line or a column of this folded name says of which job, contract or structure the
 *  values are, and the folded words name another than this job does. A bare number or code says nothing. */
bool mr_names_other_job(struct mr_arena *arena, const struct mr_job *job, const char *name, const char *words);

/** mr_names_other_substrate - whether a line or a column of this folded name says what lies under the film, and the
 *  folded words name something else than steel. */
bool mr_names_other_substrate(const char *name, const char *words);

#endif
