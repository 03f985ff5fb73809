/*
 * record_rows.h - rows of gauges and of hand-kept tables.
 */
#ifndef MILRISE_NORMALISE_ROW_RECORD_ROWS_H
#define MILRISE_NORMALISE_ROW_RECORD_ROWS_H

#include "normalise/row/file_state.h"

/** mr_row_record - a mr_row_fn over a struct mr_file_state. */
bool mr_row_record(void *file, const struct mr_row *row);

#endif
