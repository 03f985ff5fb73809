/*
 * no_data_rows.h - rows that hold no record.
 */
#ifndef MILRISE_NORMALISE_ROW_NO_DATA_ROWS_H
#define MILRISE_NORMALISE_ROW_NO_DATA_ROWS_H

#include "normalise/row/file_state.h"

/** mr_state_not_data - count rows that are no data rows (headers, blanks, broken, repeated headers, ragged); true
 * where done. */
bool mr_state_not_data(struct mr_file_state *file, const struct mr_row *row);

/** mr_state_last - whether this is the last row of a file that ends in mid-line. */
bool mr_state_last(const struct mr_file_state *file);

/** mr_state_bad_time - set a row aside whose time cannot be read. */
void mr_state_bad_time(struct mr_file_state *file, const struct mr_row *row, enum mr_time_read got);

/** mr_row_unknown - a mr_row_fn over a struct mr_file_state whose kind is not known. */
bool mr_row_unknown(void *file, const struct mr_row *row);

#endif
