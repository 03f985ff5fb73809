/*
 * refused.h - tables that are too long or too wide to be taken in: said with the number, and set aside as a whole.
 */
#ifndef MILRISE_NORMALISE_FILE_REFUSED_H
#define MILRISE_NORMALISE_FILE_REFUSED_H

#include "normalise/row/file_state.h"

/** mr_file_refuse - whether the table of the file's plan has more rows or columns than may be: then that is said, and
 * state->refused_as is the reason for its rows, which the caller counts. */
bool mr_file_refuse(struct mr_file_state *state);

/** mr_file_refuse_wide - for a file of text in which no table was found, once its rows are counted: where a row has
 * more cells than a table may have columns, that is why, so it is said and becomes the reason for its rows. */
void mr_file_refuse_wide(struct mr_file_state *state);

#endif
