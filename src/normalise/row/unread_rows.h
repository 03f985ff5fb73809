/*
 * unread_rows.h - rows of gauges and of hand-kept tables that say something which could not be read. They are set
 * aside, and what they may have said is kept in mind: for which zone, under which reason.
 */
#ifndef MILRISE_NORMALISE_ROW_UNREAD_ROWS_H
#define MILRISE_NORMALISE_ROW_UNREAD_ROWS_H

#include "normalise/row/file_state.h"

/** mr_unread_place - keep the zone and the serial of a row, whatever becomes of it. */
void mr_unread_place(struct mr_file_state *file, const struct mr_row *row);

/** mr_unread_cell - a cell that could not be read, in a row that is used for its others. */
void mr_unread_cell(struct mr_file_state *file, const struct mr_row *row, int why);

/** mr_unread_value - the same for a value of a log; only what may hide a limit missed is kept. */
void mr_unread_value(struct mr_file_state *file, const struct mr_row *row, enum mr_meaning meaning, int why);

/** mr_is_beyond_scale - whether a log's cell without a figure says that its value was too great to be shown. */
bool mr_is_beyond_scale(enum mr_meaning meaning, const struct mr_cell *cell);

/** mr_publish_unread - once all fates are settled: the file's unread rows, zone by zone, to data. */
void mr_publish_unread(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *file);

#endif
