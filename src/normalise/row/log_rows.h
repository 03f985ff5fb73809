/*
 * log_rows.h - rows of climate, temperature and pressure logs.
 */
#ifndef MILRISE_NORMALISE_ROW_LOG_ROWS_H
#define MILRISE_NORMALISE_ROW_LOG_ROWS_H

#include "normalise/row/file_state.h"

/** mr_row_log - a mr_row_fn over a struct mr_file_state. */
bool mr_row_log(void *file, const struct mr_row *row);

#endif
