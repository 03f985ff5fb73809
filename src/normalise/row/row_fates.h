/*
 * row_fates.h - what becomes of each row, counted.
 */
#ifndef MILRISE_NORMALISE_ROW_ROW_FATES_H
#define MILRISE_NORMALISE_ROW_ROW_FATES_H

#include "normalise/row/file_state.h"

/* How many diagnostics of one reason a file shows; the rest is counted. */
enum { MR_SAY_MOST = 5 };

/** mr_state_fate - count a row. */
void mr_state_fate(struct mr_file_state *file, int fate, const struct mr_row *row);

/** mr_state_relabel - all used rows get a fate (the whole file is set aside). */
void mr_state_relabel(struct mr_file_state *file, enum mr_aside why);

/** mr_state_split - used rows get fates of their own: fate[i] for the i-th used row, whose line is line[i]. */
void mr_state_split(struct mr_file_state *file, const int8_t *fate, const uint32_t *line, size_t n);

/** mr_rows_split - as mr_state_split for records of which several may stand in one row, in order of lines. */
void mr_rows_split(struct mr_file_state *file, const int8_t *fate, const uint32_t *line, size_t n);

/** mr_state_close - the public account. False where the identity does not hold. */
bool mr_state_close(struct mr_file_state *file) MR_MUST_USE;

/** mr_ask_decimal - the line for the job file that settles the decimal mark, once. */
void mr_ask_decimal(struct mr_file_state *file);

/** mr_state_say - a diagnostic about a row, unless this file has had enough of the kind. */
void mr_state_say(struct mr_file_state *file, enum mr_aside why, const struct mr_row *row, uint32_t column,
                  const struct mr_cell *cell, const char *mend, const char *what);

#endif
