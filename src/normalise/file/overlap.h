/*
 * overlap.h - each reading counts once, however often its export was dropped into the folder.
 */
#ifndef MILRISE_NORMALISE_FILE_OVERLAP_H
#define MILRISE_NORMALISE_FILE_OVERLAP_H

#include "normalise/row/file_state.h"

/** mr_find_overlap - rows that stand in an earlier file too; half lines of files that a longer copy completes. */
void mr_find_overlap(struct mr_file_state *files, size_t n);

#endif
