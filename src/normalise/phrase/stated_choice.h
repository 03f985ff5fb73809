/*
 * stated_choice.h - lines beside a table that say which values it holds: the greatest of each spot, those that
 * passed, a pump that circulated, a day that was planned.
 */
#ifndef MILRISE_NORMALISE_PHRASE_STATED_CHOICE_H
#define MILRISE_NORMALISE_PHRASE_STATED_CHOICE_H

#include "milrise/normalise.h"

/** mr_says_choice - whether such a line says that the rows are not what was measured of the work as it was: kept by
 *  their value, taken while nothing was sprayed, from elsewhere, or not yet done. name: "" for a title. */
bool mr_says_choice(struct mr_arena *arena, enum mr_kind kind, const char *name, const char *value);

#endif
