/*
 * row_keys.h - the rows of a file as they are compared with those of another: moment and hash of all fields.
 */
#ifndef MILRISE_NORMALISE_FILE_ROW_KEYS_H
#define MILRISE_NORMALISE_FILE_ROW_KEYS_H

#include "normalise/row/file_state.h"

/** mr_row_count - records or log rows of a file, of its kind. */
size_t mr_row_count(const struct mr_file_state *file);

/** mr_row_time - moment of row i in the file's basis; MR_T_NONE. */
int64_t mr_row_time(const struct mr_file_state *file, size_t i);

/** mr_row_hash - of all fields of row i; equal for equal rows whichever file they stand in. */
uint64_t mr_row_hash(const struct mr_file_state *file, size_t i);

#endif
