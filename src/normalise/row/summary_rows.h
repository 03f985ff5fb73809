/*
 * summary_rows.h - statistics and footers among the rows of data.
 */
#ifndef MILRISE_NORMALISE_ROW_SUMMARY_ROWS_H
#define MILRISE_NORMALISE_ROW_SUMMARY_ROWS_H

#include "normalise/row/file_state.h"

/** mr_state_summary - whether a row that cannot be data is a statistics or footer line: its first cell with content
 * says so. */
bool mr_state_summary(const struct mr_row *row);

/** mr_record_summary - the same for a row of a gauge or a hand-kept table, by any cell that names a place or a time.
 * The row must be as written: what merged cells fill in later would hide the word. */
bool mr_record_summary(const struct mr_file_state *file, const struct mr_row *row);

#endif
