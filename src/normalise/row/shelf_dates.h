/*
 * shelf_dates.h - until when a material may be used, and since when it was there, in a spray log or a material log.
 */
#ifndef MILRISE_NORMALISE_ROW_SHELF_DATES_H
#define MILRISE_NORMALISE_ROW_SHELF_DATES_H

#include "normalise/row/row_fields.h"

/* The days of the lots of both parts that a row states; MR_T_NONE where absent. */
struct mr_lot_days {
    int64_t shelf_a, shelf_b; /* the last day on which it may be used */
    int64_t from_a, from_b;   /* the day on which it was made or arrived */
    bool unread;              /* a last day is written that is no date, or stands under a heading that nobody knows */
};

/** mr_take_lot_days - the stamps of those days in a row; a heading that nobody knows is asked for. */
struct mr_lot_days mr_take_lot_days(const struct mr_spread *s);

#endif
