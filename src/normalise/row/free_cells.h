/*
 * free_cells.h - words in columns that no rule reads: each different text of a column once, with its count, so that
 * a person reads them.
 */
#ifndef MILRISE_NORMALISE_ROW_FREE_CELLS_H
#define MILRISE_NORMALISE_ROW_FREE_CELLS_H

#include "normalise/row/file_state.h"

/** mr_free_cells_begin - find those columns. */
void mr_free_cells_begin(struct mr_file_state *state);

/** mr_free_cells_hear - the row's words in them. */
void mr_free_cells_hear(struct mr_file_state *state, const struct mr_row *row);

/** mr_free_cells_publish - once all rows are read: to the file's sayings, column by column. */
void mr_free_cells_publish(struct mr_file_state *state);

#endif
