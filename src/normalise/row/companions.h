/*
 * companions.h - the columns beside the values, row by row: whether what stands there lets the values count.
 */
#ifndef MILRISE_NORMALISE_ROW_COMPANIONS_H
#define MILRISE_NORMALISE_ROW_COMPANIONS_H

#include "normalise/row/file_state.h"

/** mr_companions_begin - find the columns of a file that speak of the values beside them: those that are no value
 *  themselves and that the job file does not settle. A column that says whose film it is speaks where it names
 *  several, for which the file is read once more. Returns: as mr_read_rows. */
enum mr_status mr_companions_begin(struct mr_file_state *state);

/** mr_companions_fate - MR_FATE_USED; MR_ASIDE_MARKED where a cell says that the row is no measured value of the
 *  work; MR_ASIDE_UNKNOWN_TYPE where nobody knows what it says, which is asked once. */
int mr_companions_fate(struct mr_file_state *state, const struct mr_row *row);

/** mr_own_limits_note - a reading that counts: heard whether the gauge marks it as out of its own limits. */
void mr_own_limits_note(struct mr_file_state *state, const struct mr_row *row);

/** mr_companions_report - the question for the words that nobody knows; readings out of the own limits of the gauge.
 */
void mr_companions_report(struct mr_file_state *state);

/** mr_odd_type_add - one more row with a word that nobody knows. */
void mr_odd_type_add(struct mr_file_state *state, const struct mr_row *row, size_t col);

#endif
