/*
 * when.h - one cell, or two, as a moment; with day and month left undecided where the cell alone cannot tell.
 *
 * "03/04/2026" is two dates. The scanner therefore returns the parts of a date and which orders they allow;
 * datebook.h collects the dates of a whole file and settles the order by evidence.
 */
#ifndef MILRISE_NORMALISE_CELL_WHEN_H
#define MILRISE_NORMALISE_CELL_WHEN_H

#include "milrise/base.h"

/* Orders of day, month and year; a date written with a month's name or with four digits of the year first has one
 * only, unless the job states that day and month stand in each other's place there: no evidence is ever enough for
 * it.
 */
enum mr_order { MR_ORDER_YMD, MR_ORDER_MDY, MR_ORDER_DMY, MR_ORDER_COUNT, MR_ORDER_YDM = MR_ORDER_COUNT };
const char *mr_order_text(enum mr_order order); /* "year-first", "month-first", "day-first", "year-day-month" */

/* A date as written: up to three readings of it. */
struct mr_date {
    int a, b, c;     /* figures in written order; for a named month: day, month, year */
    bool fixed;      /* one reading only: `a` year, `b` month, `c` day */
    bool named;      /* month by name */
    bool short_year; /* two digits of the year */
    int weekday;     /* as written, 1 Monday to 7 Sunday; 0 = none */
    bool dashes;     /* marks between the parts: a 2-digit year may come first only in some styles */
};

struct mr_when {
    bool has_date, has_clock, has_zone;
    struct mr_date date;
    int64_t clock_ms;    /* since midnight; 24:00 gives a full day */
    int32_t offset_min;  /* of the zone, east positive */
    const char *letters; /* "CDT" behind the clock: a zone whose offset is not told; points into the cell; NULL */
    size_t letters_n;
};

/** mr_when_scan - a cell that holds a date, a clock time, or both, and nothing else. Returns false where it does not.
 */
bool mr_when_scan(const char *text, size_t n, struct mr_when *out);

/** mr_clock_scan - HH:MM[:SS[.fff]] with AM/PM, 24:00, "14h03", "14.03"; used bytes in *used. Returns false where
 * none begins. */
bool mr_clock_scan(const char *text, size_t n, int64_t *out_ms, size_t *used);

/** mr_clock_plain - HHMM or HHMMSS without marks, as a whole cell of a clock column. */
bool mr_clock_plain(const char *text, size_t n, int64_t *out_ms);

/** mr_clock_figures - one to four figures of HHMM whose leading zeros may be gone: "0", "59", "930"; or HHMMSS. Only
 * for a column that is known to be written so. */
bool mr_clock_figures(const char *text, size_t n, int64_t *out_ms);

/** mr_compact_hour_scan - YYYYMMDDHH from 1990 to 2099. Ten digits may be an epoch as well: only the column tells. */
bool mr_compact_hour_scan(const char *text, size_t n, struct mr_when *out);

/** mr_date_day - days since 1970-01-01 of a date under an order; false where the parts do not make a date. */
bool mr_date_day(const struct mr_date *date, enum mr_order order, int64_t *out_day);

/** mr_epoch_scan - seconds (9 to 11 digits, fraction allowed) or milliseconds (12 to 14 digits) since 1970, between
 * 1990 and 2100; UTC ms. */
bool mr_epoch_scan(const char *text, size_t n, int64_t *out_utc_ms);

/** mr_duration_scan - elapsed time written H:MM:SS[.fff], MM:SS or D.HH:MM:SS; ms. Hours may pass 24. */
bool mr_duration_scan(const char *text, size_t n, int64_t *out_ms);

/** mr_when_text - a moment as "2026-05-11 14:03:20" with ".fff" where it has a fraction; buffer of 32 bytes. */
void mr_when_text(int64_t t_ms, char out[32]);

#endif
