/*
 * stated_facts.h - what a file says of itself above its table, held against its rows: the day of its download, the
 * extremes and the number of a log's samples, the place of a channel. Where the two differ, one of them is wrong.
 */
#ifndef MILRISE_NORMALISE_FILE_STATED_FACTS_H
#define MILRISE_NORMALISE_FILE_STATED_FACTS_H

#include "normalise/row/file_state.h"

/** mr_hold_against_rows - keep in file->disagrees, as a clause, the first statement that the rows of a log or of a
 *  gauge's export contradict: which of them are right nobody knows (assess/report/unread_logs.c,
 *  assess/thickness/thickness.c). The job's word on the file's kind settles it. The lines that hold are marked in
 *  state->checked. */
void mr_hold_against_rows(struct mr_file_state *state);

#endif
