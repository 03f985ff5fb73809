/*
 * rowlook.h - what a sampled row looks like: names, units, a rule, or none of them.
 */
#ifndef MILRISE_READ_ROWLOOK_H
#define MILRISE_READ_ROWLOOK_H

#include "read/shape/sample.h"

/** mr_row_counts - a row that speaks for the shape of a table: not blank, broken or a comment. */
static inline bool mr_row_counts(const struct mr_sample_row *row) {
    return !row->blank && !row->broken && !row->comment;
}

static inline bool mr_kind_is_value(enum mr_cell_kind kind) {
    return kind == MR_CELL_NUMBER || kind == MR_CELL_TIME;
}

/** mr_row_is_rule - dashes and the like in every cell that is not empty. */
bool mr_row_is_rule(const struct mr_sample_row *row);

/** mr_row_counts_columns - Spot,1,2,3: a header that counts its columns. */
bool mr_row_counts_columns(const struct mr_sample_row *row);

/** mr_row_is_wordy - words nearly everywhere, in about k cells. A comment line may be a header too. Where blanks
 * divide, a name may be several words, so only a row of just k cells has one for each column. */
bool mr_row_is_wordy(const struct mr_sample *sample, const struct mr_sample_row *row, size_t k);

/** mr_row_names_columns - a name for nearly each of k columns, and no name twice. */
bool mr_row_names_columns(const struct mr_sample_row *row, size_t k);

/** mr_row_is_units - units or formats in half of the cells. */
bool mr_row_is_units(const struct mr_sample_row *row);

/** mr_row_header_words - cells that begin with a word that stands in the headers of tables of any kind. */
size_t mr_row_header_words(const struct mr_sample_row *row);

bool mr_cell_same(const struct mr_cell *a, const struct mr_cell *b);
bool mr_row_same(const struct mr_sample_row *a, const struct mr_sample_row *b);

#endif
