/*
 * clock_cell.h - the time of day in a row: in one cell or in several.
 */
#ifndef MILRISE_NORMALISE_CLOCK_CLOCK_CELL_H
#define MILRISE_NORMALISE_CLOCK_CLOCK_CELL_H

#include "base/text.h"
#include "normalise/clock/timer.h"

static inline int mr_two_digits(const char *p) {
    return (p[0] - '0') * 10 + (p[1] - '0');
}

/* HH:MM[:SS[.fff]] at p; bytes used, 0 where it is written otherwise. */
static inline size_t mr_plain_clock(const char *p, size_t n, int64_t *out_ms) {
    if (n < 5 || !mr_is_digit(p[0]) || !mr_is_digit(p[1]) || p[2] != ':' || !mr_is_digit(p[3]) || !mr_is_digit(p[4]))
        return 0;
    int hour = mr_two_digits(p), minute = mr_two_digits(p + 3), second = 0;
    size_t i = 5;
    int64_t ms = 0;
    if (n >= 8 && p[5] == ':' && mr_is_digit(p[6]) && mr_is_digit(p[7])) {
        second = mr_two_digits(p + 6);
        i = 8;
        if (n > 9 && (p[8] == '.' || p[8] == ',') && mr_is_digit(p[9])) {
            int64_t scale = 100;
            for (i = 9; i < n && mr_is_digit(p[i]); i++, scale /= 10)
                ms += (p[i] - '0') * scale;
        }
    }
    if (hour > 23 || minute > 59 || second > 59)
        return 0;
    *out_ms = ((int64_t)hour * 3600 + minute * 60 + second) * 1000 + ms;
    return i;
}

static inline bool mr_zone_agrees(struct mr_timer *t, bool has_zone) {
    if (t->zoned < 0)
        t->zoned = has_zone;
    return t->zoned == (int)has_zone;
}

/** mr_read_clock - the time of day in a row's clock cell and the cells beside it, ms since midnight. */
enum mr_time_read mr_read_clock(struct mr_timer *timer, const struct mr_row *row, size_t column, int64_t *out_ms);

/** mr_finish_clock - apply AM or PM and milliseconds that stand in cells of their own. */
enum mr_time_read mr_finish_clock(const struct mr_timer *timer, const struct mr_row *row, int64_t *ms);

/** mr_part_value - a part of a date as a whole number; -1 where it is none. */
int mr_part_value(const struct mr_timer *timer, const struct mr_row *row, enum mr_time_part part);

/** mr_near_second - to the whole second where a sheet's decimals put the time beside one. */
int64_t mr_near_second(double ms_exact);

#endif
