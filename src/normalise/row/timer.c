/*
 * timer.c - times of rows. A log writes the same date thousands of times, so the date's text of the row before is
 * compared first; on a match only "HH:MM:SS.fff" is left, read digit by digit.
 */
#include "normalise/row/timer.h"

#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int two(const char *p) {
    return (p[0] - '0') * 10 + (p[1] - '0');
}

/* HH:MM[:SS[.fff]] at p; bytes used, 0 where it is written otherwise. */
static size_t plain_clock(const char *p, size_t n, int64_t *out_ms) {
    if (n < 5 || !mr_is_digit(p[0]) || !mr_is_digit(p[1]) || p[2] != ':' || !mr_is_digit(p[3]) || !mr_is_digit(p[4]))
        return 0;
    int hour = two(p), minute = two(p + 3), second = 0;
    size_t i = 5;
    int64_t ms = 0;
    if (n >= 8 && p[5] == ':' && mr_is_digit(p[6]) && mr_is_digit(p[7])) {
        second = two(p + 6);
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

static bool zone_agrees(struct mr_timer *t, bool has_zone) {
    if (t->zoned < 0)
        t->zoned = has_zone;
    return t->zoned == (int)has_zone;
}

/* The row before had this date, and the rest is a plain clock with the same zone text. */
static bool fast(struct mr_timer *t, const char *p, size_t n, int64_t *out) {
    size_t k = t->prefix_n;
    int64_t ms;
    if (!k || n < k + 6 || memcmp(p, t->prefix, k) != 0 || (p[k] != ' ' && p[k] != 'T'))
        return false;
    size_t used = plain_clock(p + k + 1, n - k - 1, &ms);
    if (!used)
        return false;
    size_t rest = n - k - 1 - used;
    if (rest != t->suffix_n || memcmp(p + n - rest, t->suffix, rest) != 0)
        return false;
    t->last_clock = ms;
    *out = t->prefix_stamp + ms - t->suffix_min * INT64_C(60000);
    return true;
}

/* Keep date and zone texts of a cell that was read the long way, where the fast way could follow. */
static void remember(struct mr_timer *t, const char *p, size_t n, int64_t stamp, const struct mr_when *w) {
    t->prefix_n = 0;
    for (size_t k = n; k-- > 6;) {
        int64_t ms;
        size_t used;
        if ((p[k] != ' ' && p[k] != 'T') || (used = plain_clock(p + k + 1, n - k - 1, &ms)) == 0)
            continue;
        size_t rest = n - k - 1 - used;
        if (k > sizeof t->prefix || rest > sizeof t->suffix || (rest > 0) != w->has_zone)
            return;
        memcpy(t->prefix, p, k);
        t->prefix_n = k;
        t->prefix_stamp = stamp;
        memcpy(t->suffix, p + n - rest, rest);
        t->suffix_n = rest;
        t->suffix_min = w->offset_min;
        return;
    }
}

static enum mr_time_read read_datetime(struct mr_timer *t, const struct mr_cell *cell, uint32_t line, int64_t *out) {
    if (fast(t, cell->p, cell->n, out))
        return MR_READ_OK;
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    struct mr_when w;
    if (!(t->plan->compact_hours && mr_compact_hour_scan(p, n, &w)) && !mr_when_scan(p, n, &w))
        return MR_READ_BAD;
    if (!w.has_date)
        return MR_READ_NO_DATE;
    if (w.has_clock && !zone_agrees(t, w.has_zone))
        return MR_READ_ZONE;
    int64_t stamp = mr_datebook_enter(&t->book, &w.date, line, p, n, t->last_clock, w.clock_ms);
    if (w.has_clock)
        remember(t, p, n, stamp, &w);
    t->last_clock = w.clock_ms;
    *out = stamp + w.clock_ms - w.offset_min * INT64_C(60000);
    return MR_READ_OK;
}

/* The date's cell of a file with date and clock in two columns. */
static enum mr_time_read read_date(struct mr_timer *t, const struct mr_cell *cell, uint32_t line, int64_t clock,
                                   int64_t *out) {
    if (t->prefix_n && cell->n == t->prefix_n && memcmp(cell->p, t->prefix, cell->n) == 0) {
        *out = t->prefix_stamp;
        return MR_READ_OK;
    }
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    struct mr_when w;
    if (!mr_when_scan(p, n, &w) || !w.has_date)
        return MR_READ_BAD;
    *out =
        mr_datebook_enter(&t->book, &w.date, line, p, n, t->last_clock, clock); /* a midnight in the cell is filler */
    t->prefix_n = 0;
    if (cell->n <= sizeof t->prefix) {
        memcpy(t->prefix, cell->p, cell->n);
        t->prefix_n = cell->n;
        t->prefix_stamp = *out;
    }
    return MR_READ_OK;
}

/* A whole number in a cell, as "2026", " 5" or "14.0"; -1 where it is none. */
static int whole(const char *p, size_t n) {
    struct mr_number x;
    if (mr_number_scan(p, n, (struct mr_number_style){'.', false}, &x) != MR_NUM_OK || x.unit ||
        !(x.value >= 0 && x.value < 1e6))
        return -1;
    return x.value - floor(x.value) > 0.0 ? -1 : (int)x.value;
}

static int part_value(const struct mr_timer *t, const struct mr_row *row, enum mr_time_part part) {
    size_t cell = t->plan->col[t->plan->part_col[part]].cell;
    return cell < row->n ? whole(row->cell[cell].p, row->cell[cell].n) : -1;
}

/* Hours in a cell, with minutes and seconds in cells of their own where the file has them. */
static enum mr_time_read read_hour(struct mr_timer *t, const struct mr_row *row, const char *p, size_t n,
                                   int64_t *out_ms) {
    const struct mr_plan *plan = t->plan;
    int hour = whole(p, n), minute = 0;
    double second = 0.0;
    if (plan->part_col[MR_PART_MINUTE] != MR_NONE)
        minute = part_value(t, row, MR_PART_MINUTE);
    if (plan->part_col[MR_PART_SECOND] != MR_NONE) {
        size_t cell = plan->col[plan->part_col[MR_PART_SECOND]].cell;
        struct mr_number x;
        if (cell >= row->n || mr_number_scan(row->cell[cell].p, row->cell[cell].n,
                                             (struct mr_number_style){'.', false}, &x) != MR_NUM_OK)
            return MR_READ_BAD;
        second = x.value;
    }
    if (hour < 0 || hour > 24 || minute < 0 || minute > 59 || !(second >= 0.0 && second < 60.0))
        return MR_READ_BAD;
    *out_ms = ((int64_t)hour * 60 + minute) * 60000 + llround(second * 1000.0);
    return hour == 24 && *out_ms > MR_DAY_MS ? MR_READ_BAD : MR_READ_OK;
}

/* To the whole second where the sheet's decimals put the time beside one. */
static int64_t near_second(double ms_exact) {
    int64_t ms = llround(ms_exact), second = llround(ms_exact / 1000.0) * 1000;
    return llabs(ms - second) <= 50 ? second : ms;
}

/* A share of the day, as spreadsheets keep clock times. */
static enum mr_time_read read_fraction(const struct mr_timer *t, const char *p, size_t n, int64_t *out_ms) {
    struct mr_number x;
    if (mr_number_scan(p, n, t->plan->col[t->plan->clock_col].style, &x) != MR_NUM_OK || x.unit ||
        !(x.value >= 0.0 && x.value < 1.0))
        return MR_READ_BAD;
    *out_ms = near_second(x.value * (double)MR_DAY_MS);
    return MR_READ_OK;
}

static enum mr_time_read clock_cell(struct mr_timer *t, const struct mr_row *row, size_t column, int64_t *out_ms) {
    const struct mr_cell *cell = &row->cell[column];
    if (plain_clock(cell->p, cell->n, out_ms) == cell->n && cell->n)
        return zone_agrees(t, false) ? MR_READ_OK : MR_READ_ZONE;
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    if (t->plan->clock_style == MR_CLOCK_FRACTION)
        return read_fraction(t, p, n, out_ms);
    if (t->plan->clock_style == MR_CLOCK_HOUR)
        return read_hour(t, row, p, n, out_ms);
    if (t->plan->clock_style == MR_CLOCK_FIGURES ? mr_clock_figures(p, n, out_ms) : mr_clock_plain(p, n, out_ms))
        return zone_agrees(t, false) ? MR_READ_OK : MR_READ_ZONE;
    struct mr_when w;
    if (!mr_when_scan(p, n, &w) || !w.has_clock)
        return MR_READ_BAD;
    if (!zone_agrees(t, w.has_zone))
        return MR_READ_ZONE;
    *out_ms = w.clock_ms - w.offset_min * INT64_C(60000);
    return MR_READ_OK;
}

/* AM or PM in a cell of its own makes a clock of twelve hours one of 24; milliseconds in another are added. */
static enum mr_time_read finish_clock(const struct mr_timer *t, const struct mr_row *row, int64_t *ms) {
    size_t half = t->plan->part_col[MR_PART_HALF];
    if (half != MR_NONE) {
        size_t cell = t->plan->col[half].cell;
        char c = cell < row->n && row->cell[cell].n ? (char)(row->cell[cell].p[0] | 0x20) : '\0';
        if ((c != 'a' && c != 'p') || *ms >= 13 * INT64_C(3600000))
            return MR_READ_BAD;
        *ms = *ms % (MR_DAY_MS / 2) + (c == 'p' ? MR_DAY_MS / 2 : 0);
    }
    if (t->plan->part_col[MR_PART_MILLI] != MR_NONE) {
        int milli = part_value(t, row, MR_PART_MILLI);
        if (milli < 0 || milli > 999 || (*ms % 1000 && *ms % 1000 != milli))
            return MR_READ_BAD;
        *ms += *ms % 1000 ? 0 : milli; /* some clocks show them already */
    }
    return MR_READ_OK;
}

static enum mr_time_read read_clock(struct mr_timer *t, const struct mr_row *row, size_t column, int64_t *out_ms) {
    enum mr_time_read got = clock_cell(t, row, column, out_ms);
    return got == MR_READ_OK ? finish_clock(t, row, out_ms) : got;
}

/* A moment in one cell, its half of the day or its milliseconds in others. */
static enum mr_time_read read_moment(struct mr_timer *t, const struct mr_row *row, const struct mr_cell *cell,
                                     int64_t *out) {
    enum mr_time_read got = read_datetime(t, cell, row->line, out);
    if (got != MR_READ_OK ||
        (t->plan->part_col[MR_PART_HALF] == MR_NONE && t->plan->part_col[MR_PART_MILLI] == MR_NONE))
        return got;
    int64_t clock = t->last_clock;
    got = finish_clock(t, row, &clock);
    *out += clock - t->last_clock;
    return got;
}

static int64_t on_base(const struct mr_timer *t, int64_t ms) {
    return (int64_t)(t->bases.n - 1) * MR_BASE_STEP + MR_BASE_BIAS + t->base_ms + ms;
}

/* A clock column alone: midnight has passed where the clock falls back by more than half a day. */
static enum mr_time_read read_clock_alone(struct mr_timer *t, const struct mr_row *row, size_t column, int64_t *out) {
    int64_t ms;
    enum mr_time_read got = read_clock(t, row, column, &ms);
    if (got != MR_READ_OK)
        return got;
    if (t->base_stamp == MR_T_NONE)
        return MR_READ_NO_DATE;
    if (t->last_clock < 0 && t->start_clock > 0 && ms == 0)
        t->base_ms = t->start_clock; /* 00:00:00 under a start of 09:00: time since the start */
    if (t->last_clock >= 0 && t->last_clock - ms > MR_DAY_MS / 2) {
        if (t->base_ms > MR_BASE_BIAS / 2)
            return MR_READ_BAD; /* centuries of midnights: no log */
        t->base_ms += MR_DAY_MS;
        t->rollovers++;
    }
    t->last_clock = ms;
    *out = on_base(t, ms);
    return MR_READ_OK;
}

static enum mr_time_read read_elapsed(struct mr_timer *t, const struct mr_cell *cell, int64_t *out) {
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    int64_t ms;
    if (memchr(p, ':', n)) {
        if (!mr_duration_scan(p, n, &ms))
            return MR_READ_BAD;
    } else {
        struct mr_number x;
        enum mr_unit unit = t->plan->elapsed_unit;
        if (mr_number_scan(p, n, t->plan->col[t->plan->date_col].style, &x) != MR_NUM_OK)
            return MR_READ_BAD;
        if (x.unit && !mr_unit_parse(x.unit, x.unit_n, MR_DIM_DURATION, &unit))
            return MR_READ_BAD;
        if (unit == MR_UNIT_NONE)
            return MR_READ_NO_DATE;
        double s = mr_to_canonical(unit, x.value);
        if (!(fabs(s) < 1e10))
            return MR_READ_BAD;
        ms = (int64_t)llround(s * 1000.0);
    }
    double s = (double)ms / 1000.0;
    t->least_s = isnan(t->least_s) || s < t->least_s ? s : t->least_s;
    t->most_s = isnan(t->most_s) || s > t->most_s ? s : t->most_s;
    if (t->base_stamp == MR_T_NONE)
        return MR_READ_NO_DATE;
    *out = on_base(t, ms);
    return MR_READ_OK;
}

/* A date that stands once above its rows: the clock falls back by more than half a day where midnight passes. */
static enum mr_time_read pass_midnight(struct mr_timer *t, int64_t stamp, int64_t clock) {
    if (stamp != t->carried_stamp)
        t->carried_days = 0;
    else if (t->last_clock - clock > MR_DAY_MS / 2)
        t->carried_days++;
    t->carried_stamp = stamp;
    return t->carried_days > 1 ? MR_READ_BAD : MR_READ_OK; /* further days have dates of their own */
}

static enum mr_time_read read_two(struct mr_timer *t, const struct mr_row *row, size_t date, size_t clock,
                                  int64_t *out) {
    int64_t ms, stamp;
    enum mr_time_read got = read_clock(t, row, clock, &ms);
    if (got != MR_READ_OK)
        return got;
    got = read_date(t, &row->cell[date], row->line, ms, &stamp);
    if (got == MR_READ_OK && t->plan->col[t->plan->date_col].carried)
        got = pass_midnight(t, stamp, ms);
    t->last_clock = ms;
    *out = stamp + ms + (got == MR_READ_OK ? t->carried_days * MR_DAY_MS : 0);
    return got;
}

/* Year, month and day (or the day of the year) in cells of their own. A log repeats them, so the last date is kept.
 */
static enum mr_time_read read_parts(struct mr_timer *t, const struct mr_row *row, size_t clock, int64_t *out) {
    const struct mr_plan *plan = t->plan;
    bool by_yearday = plan->part_col[MR_PART_YEARDAY] != MR_NONE;
    int year = part_value(t, row, MR_PART_YEAR), month = by_yearday ? 1 : part_value(t, row, MR_PART_MONTH);
    int day = part_value(t, row, by_yearday ? MR_PART_YEARDAY : MR_PART_DAY);
    int64_t ms = -1;
    enum mr_time_read got = plan->clock_col == MR_NONE ? MR_READ_OK : read_clock(t, row, clock, &ms);
    if (got != MR_READ_OK)
        return got;
    if (year < 1970 || year > 2100 || month < 1 || month > 12 || day < 1 ||
        day > (by_yearday ? 365 + (mr_days_in_month(year, 2) == 29) : mr_days_in_month(year, month)))
        return MR_READ_BAD;
    if (!t->parts_known || memcmp(t->parts, (int[3]){year, month, day}, sizeof t->parts) != 0) {
        struct mr_date date = {.fixed = true};
        mr_civil_from_days(mr_days_from_civil(year, month, 1) + day - 1, &date.a, &date.b, &date.c);
        t->parts_stamp = mr_datebook_enter(&t->book, &date, row->line, "", 0, t->last_clock, ms);
        t->parts_known = true;
        memcpy(t->parts, (int[3]){year, month, day}, sizeof t->parts);
    }
    t->last_clock = ms;
    *out = t->parts_stamp + (ms < 0 ? 0 : ms);
    return MR_READ_OK;
}

/* A spreadsheet's day number, counted from 1900 here; which count it is, the settling decides. A time that the
 * sheet's few decimals put beside a whole second is that second. */
static enum mr_time_read read_serial(struct mr_timer *t, const struct mr_row *row, size_t date, size_t clock,
                                     int64_t *out) {
    struct mr_number x;
    int64_t ms = 0;
    enum mr_num what =
        mr_number_scan(row->cell[date].p, row->cell[date].n, t->plan->col[t->plan->date_col].style, &x);
    if (what == MR_NUM_MISSING)
        return MR_READ_BLANK;
    if (what != MR_NUM_OK || x.unit || !(x.value >= 1.0 && x.value < 80000.0))
        return MR_READ_BAD;
    enum mr_time_read got = t->plan->clock_col == MR_NONE ? MR_READ_OK : read_clock(t, row, clock, &ms);
    if (got != MR_READ_OK)
        return got;
    *out = near_second((x.value - 25569.0) * (double)MR_DAY_MS) + ms;
    t->serial_least = t->serial_least == MR_T_NONE || *out < t->serial_least ? *out : t->serial_least;
    t->serial_most = t->serial_most == MR_T_NONE || *out > t->serial_most ? *out : t->serial_most;
    return MR_READ_OK;
}

enum mr_time_read mr_timer_read(struct mr_timer *t, const struct mr_row *row, int64_t *out) {
    const struct mr_plan *plan = t->plan;
    *out = MR_T_NONE;
    size_t date = plan->date_col == MR_NONE ? 0 : plan->col[plan->date_col].cell;
    size_t clock = plan->clock_col == MR_NONE ? 0 : plan->col[plan->clock_col].cell;
    if (plan->form == MR_FORM_NONE || date >= row->n || clock >= row->n)
        return MR_READ_BLANK;
    const struct mr_cell *cell = &row->cell[date];
    const char *p = cell->p;
    size_t n = cell->n;
    switch (plan->form) {
    case MR_FORM_DATETIME:
        return read_moment(t, row, cell, out);
    case MR_FORM_DATE_CLOCK:
        return read_two(t, row, date, clock, out);
    case MR_FORM_DATE:
        return read_date(t, cell, row->line, -1, out);
    case MR_FORM_PARTS:
        return read_parts(t, row, clock, out);
    case MR_FORM_SERIAL:
        return read_serial(t, row, date, clock, out);
    case MR_FORM_CLOCK:
        return read_clock_alone(t, row, clock, out);
    case MR_FORM_ELAPSED:
        return read_elapsed(t, cell, out);
    case MR_FORM_EPOCH:
        mr_trim(&p, &n);
        return mr_missing_word(p, n) ? MR_READ_BLANK : mr_epoch_scan(p, n, out) ? MR_READ_OK : MR_READ_BAD;
    case MR_FORM_NONE:
    case MR_FORM_COUNT:
        break;
    }
    return MR_READ_BLANK;
}

bool mr_timer_block(struct mr_timer *t, const char *text, size_t n, uint32_t line) {
    struct mr_when w;
    enum { BLOCKS_MOST = 100000 };
    bool elapsed = t->plan->form == MR_FORM_ELAPSED;
    if ((t->plan->form != MR_FORM_CLOCK && !elapsed) || t->bases.n >= BLOCKS_MOST || !mr_when_scan(text, n, &w) ||
        (!w.has_date && t->base_stamp == MR_T_NONE))
        return false;
    if (w.has_date) /* else a clock time on the date that stands */
        t->base_stamp = mr_datebook_enter(&t->book, &w.date, line, text, n, -1, -1);
    MR_PUSH(t->arena, &t->bases, t->base_stamp);
    t->base_ms = elapsed && w.has_clock ? w.clock_ms - w.offset_min * INT64_C(60000) : 0;
    t->start_clock = w.has_clock ? w.clock_ms : -1;
    t->last_clock = -1;
    return true;
}

enum mr_time_read mr_timer_cell(struct mr_timer *t, const struct mr_cell *cell, uint32_t line, int64_t *out_date,
                                int64_t *out_clock) {
    *out_date = MR_T_NONE;
    *out_clock = -1;
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    struct mr_when w;
    if (!mr_when_scan(p, n, &w)) {
        if (!mr_clock_plain(p, n, out_clock))
            return MR_READ_BAD;
        return MR_READ_OK;
    }
    if (w.has_clock && w.has_date && !zone_agrees(t, w.has_zone))
        return MR_READ_ZONE;
    if (w.has_date)
        *out_date = mr_datebook_enter(&t->book, &w.date, line, p, n, -1, -1) - w.offset_min * INT64_C(60000);
    if (w.has_clock)
        *out_clock = w.clock_ms;
    return MR_READ_OK;
}
