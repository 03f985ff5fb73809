/*
 * lost_columns.h - columns of a log that say what was measured, and of which no value counts.
 */
#ifndef MILRISE_NORMALISE_FILE_LOST_COLUMNS_H
#define MILRISE_NORMALISE_FILE_LOST_COLUMNS_H

#include "normalise/row/file_state.h"

/** mr_note_lost_columns - where a log of the climate or of the lines has such a column, its rows are noted as rows of
 *  which something was not read, and a column of which most values are no temperature is told. */
void mr_note_lost_columns(struct mr_file_state *state);

#endif
