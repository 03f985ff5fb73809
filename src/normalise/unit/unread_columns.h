/*
 * unread_columns.h - columns of the kind's own matter that nobody reads.
 */
#ifndef MILRISE_NORMALISE_UNIT_UNREAD_COLUMNS_H
#define MILRISE_NORMALISE_UNIT_UNREAD_COLUMNS_H

#include "normalise/row/file_state.h"

/** mr_report_unread - columns of the kind's own matter that the plan does not read: warnings, a handful at most. */
void mr_report_unread(struct mr_file_state *file, const struct mr_column_shapes *shapes);

#endif
