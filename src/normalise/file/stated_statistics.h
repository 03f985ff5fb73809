/*
 * stated_statistics.h - the statistics that an export of film gives of its own rows, against those rows: a file that
 * says 48 readings and holds 30 has lost some. Private to libmilrise.
 */
#ifndef MR_STATED_STATISTICS_H
#define MR_STATED_STATISTICS_H

#include "normalise/row/file_state.h"

/** mr_stated_statistics - what the file says of its rows that is not so, as a sentence; NULL where nothing is. A
 * least value that is a limit of the job is none of the rows. */
const char *mr_stated_statistics(struct mr_file_state *state);

#endif
