/*
 * free_lines.h - lines above a table and among its rows that no rule reads.
 */
#ifndef MILRISE_NORMALISE_FILE_FREE_LINES_H
#define MILRISE_NORMALISE_FILE_FREE_LINES_H

#include "normalise/row/file_state.h"

/** mr_free_lines_publish - to the file's sayings, in the order of the file. */
void mr_free_lines_publish(struct mr_file_state *state);

#endif
