/*
 * objections.h - rows of a log that count although a cell beside their values says that a limit was missed. Which of
 * the two is right nobody knows: the rows are judged as they stand, and where they show the limits kept, the time
 * around them is not shown (assess/report/unread_logs.c).
 */
#ifndef MILRISE_NORMALISE_ROW_OBJECTIONS_H
#define MILRISE_NORMALISE_ROW_OBJECTIONS_H

#include "normalise/row/file_state.h"

/** mr_objections_begin - find the columns of a log that may object: those that are not read and that the job file
 *  does not settle; of a spray log those of the climate. Of a log after mr_log_begin. */
void mr_objections_begin(struct mr_file_state *state);

/** mr_objections_of_coat - a row of a spray log: whether the humidity, the spread or the steel above the dew point
 * that it writes beside the coat misses the job's limit. */
void mr_objections_of_coat(struct mr_file_state *state, const struct mr_row *row);

/** mr_objections_hear - a row that counts, once its values stand at the end of the log. */
void mr_objections_hear(struct mr_file_state *state, const struct mr_row *row);

/** mr_objections_report - what objected, with the line for the job file by which it no longer does. */
void mr_objections_report(struct mr_file_state *state);

#endif
