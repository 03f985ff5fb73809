/*
 * shelf_dates.h - until when a material may be used, in a spray log or a material log.
 */
#ifndef MILRISE_NORMALISE_ROW_SHELF_DATES_H
#define MILRISE_NORMALISE_ROW_SHELF_DATES_H

#include "normalise/row/row_fields.h"

/** mr_take_shelf - the stamps of the shelf dates of both parts in a row, MR_T_NONE where absent. *unread: one is
 *  written that is no date, or a date stands under a heading that nobody knows, which is asked for. */
void mr_take_shelf(const struct mr_spread *s, int64_t *a, int64_t *b, bool *unread);

#endif
