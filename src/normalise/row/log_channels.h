/*
 * log_channels.h - the channels of a log: a column each, or in a long table a name in each row.
 */
#ifndef MILRISE_NORMALISE_ROW_LOG_CHANNELS_H
#define MILRISE_NORMALISE_ROW_LOG_CHANNELS_H

#include "normalise/row/file_state.h"

/** mr_log_begin - set up the channels of a log. */
void mr_log_begin(struct mr_file_state *file);

/** mr_log_channel_of - the channel of a long row, made when its name first appears; MR_NONE where the name means
 *  nothing to the kind, *why set. value_col: see mr_log_value_column. */
size_t mr_log_channel_of(struct mr_file_state *state, const struct mr_row *row, size_t value_col, int *why);

/** mr_log_value_column - the column of a long table that holds the values; MR_NONE. */
size_t mr_log_value_column(const struct mr_plan *plan);

#endif
