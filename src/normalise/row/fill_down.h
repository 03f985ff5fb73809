/*
 * fill_down.h - blanks below a filled cell, as merged cells are saved.
 */
#ifndef MILRISE_NORMALISE_ROW_FILL_DOWN_H
#define MILRISE_NORMALISE_ROW_FILL_DOWN_H

#include "normalise/row/file_state.h"

/** mr_fill_down - the row with blanks of merged cells filled from above, valid until the next call. Only where
 * plan->carries. */
const struct mr_row *mr_fill_down(struct mr_file_state *file, const struct mr_row *row);

/** mr_fill_down_say - a note about the rows that were filled so. */
void mr_fill_down_say(struct mr_file_state *file);

#endif
