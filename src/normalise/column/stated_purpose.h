/*
 * stated_purpose.h - what a file says of itself, above its table or in its name: a test plate, a demonstration, a
 * forecast. Such readings prove nothing of the work.
 */
#ifndef MILRISE_NORMALISE_COLUMN_STATED_PURPOSE_H
#define MILRISE_NORMALISE_COLUMN_STATED_PURPOSE_H

#include "normalise/column/plan.h"

/** mr_other_purpose - the line above the table, or the name of the file, by which the readings may not be of the
 * work; NULL where nothing says so. A line is given as text and place; of a name the place has no line. */
const char *mr_other_purpose(struct mr_arena *arena, enum mr_kind kind, const struct mr_source *source,
                             struct mr_place *out_place);

#endif
