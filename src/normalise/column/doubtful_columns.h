/*
 * doubtful_columns.h - headings of film and of line pressure that say more: "Thickness zorb um", "Line A drum".
 */
#ifndef MILRISE_NORMALISE_COLUMN_DOUBTFUL_COLUMNS_H
#define MILRISE_NORMALISE_COLUMN_DOUBTFUL_COLUMNS_H

#include "normalise/column/plan.h"

/** mr_ask_doubtful_columns - a column taken for film, or for a line's pressure, by one word of its heading, although
 *  another word there is neither the map's nor known to be harmless, is left out with a question; so is one alone
 * that a letter marks. Refusing words are a list and never whole; this asks where the list ends. What the job file
 * names stands. */
void mr_ask_doubtful_columns(struct mr_arena *arena, struct mr_plan *plan, struct mr_diags *diags);

#endif
