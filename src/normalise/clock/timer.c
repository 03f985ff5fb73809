/*
 * timer.c - times of rows. A log writes the same date thousands of times, so the date's text of the row before is
 * compared first; on a match only "HH:MM:SS.fff" is left, read digit by digit.
 */
#include "normalise/clock/clock_cell.h"

#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The row before had this date, and the rest is a plain clock with the same zone text. */
static bool fast(struct mr_timer *t, const char *p, size_t n, int64_t *out) {
    size_t k = t->prefix_n;
    int64_t ms;
    if (!k || n < k + 6 || memcmp(p, t->prefix, k) != 0 || (p[k] != ' ' && p[k] != 'T'))
        return false;
    size_t used = mr_plain_clock(p + k + 1, n - k - 1, &ms);
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
        if ((p[k] != ' ' && p[k] != 'T') || (used = mr_plain_clock(p + k + 1, n - k - 1, &ms)) == 0)
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
    if (w.has_clock && !mr_zone_agrees(t, w.has_zone))
        return MR_READ_ZONE;
    if (w.letters)
        mr_timer_claim(t, w.letters, w.letters_n, line);
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

/* A moment in one cell, its half of the day or its milliseconds in others. */
static enum mr_time_read read_moment(struct mr_timer *t, const struct mr_row *row, const struct mr_cell *cell,
                                     int64_t *out) {
    enum mr_time_read got = read_datetime(t, cell, row->line, out);
    if (got != MR_READ_OK ||
        (t->plan->part_col[MR_PART_HALF] == MR_NONE && t->plan->part_col[MR_PART_MILLI] == MR_NONE))
        return got;
    int64_t clock = t->last_clock;
    got = mr_finish_clock(t, row, &clock);
    *out += clock - t->last_clock;
    return got;
}

static int64_t on_base(const struct mr_timer *t, int64_t ms) {
    return (int64_t)(t->bases.n - 1) * MR_BASE_STEP + MR_BASE_BIAS + t->base_ms + ms;
}

/* A clock column alone: midnight has passed where the clock falls back by more than half a day. */
static enum mr_time_read read_clock_alone(struct mr_timer *t, const struct mr_row *row, size_t column, int64_t *out) {
    int64_t ms;
    enum mr_time_read got = mr_read_clock(t, row, column, &ms);
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
        if (t->plan->sample_ms) {
            unit = MR_UNIT_MS;
            x.value = (x.value - t->plan->first_sample) * (double)t->plan->sample_ms;
        }
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
    enum mr_time_read got = mr_read_clock(t, row, clock, &ms);
    if (got != MR_READ_OK)
        return got;
    got = read_date(t, &row->cell[date], row->line, ms, &stamp);
    if (got == MR_READ_OK && t->plan->col[t->plan->date_col].carried)
        got = pass_midnight(t, stamp, ms);
    t->last_clock = ms;
    *out = stamp + ms + (got == MR_READ_OK ? t->carried_days * MR_DAY_MS : 0);
    return got;
}

/* "133.375" is the 133rd day at 09:00. */
static bool share_of_day(const struct mr_timer *t, const struct mr_row *row, int *day, int64_t *ms) {
    const struct mr_plan_column *c = &t->plan->col[t->plan->part_col[MR_PART_YEARDAY]];
    struct mr_number x;
    if (c->cell >= row->n || mr_number_scan(row->cell[c->cell].p, row->cell[c->cell].n, c->style, &x) != MR_NUM_OK ||
        x.unit || !(x.value >= 1.0 && x.value < 367.0))
        return false;
    *day = (int)floor(x.value);
    *ms = mr_near_second((x.value - floor(x.value)) * (double)MR_DAY_MS);
    return true;
}

/* Year, month and day (or the day of the year) in cells of their own. A log repeats them, so the last date is kept.
 */
static enum mr_time_read read_parts(struct mr_timer *t, const struct mr_row *row, size_t clock, int64_t *out) {
    const struct mr_plan *plan = t->plan;
    bool by_yearday = plan->part_col[MR_PART_YEARDAY] != MR_NONE;
    int year = mr_part_value(t, row, MR_PART_YEAR), month = by_yearday ? 1 : mr_part_value(t, row, MR_PART_MONTH);
    int day = mr_part_value(t, row, by_yearday ? MR_PART_YEARDAY : MR_PART_DAY);
    int64_t ms = -1;
    if (plan->day_shares && !share_of_day(t, row, &day, &ms))
        return MR_READ_BAD;
    enum mr_time_read got = plan->clock_col == MR_NONE ? MR_READ_OK : mr_read_clock(t, row, clock, &ms);
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
    enum mr_time_read got = t->plan->clock_col == MR_NONE ? MR_READ_OK : mr_read_clock(t, row, clock, &ms);
    if (got != MR_READ_OK)
        return got;
    *out = mr_near_second((x.value - 25569.0) * (double)MR_DAY_MS) + ms;
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
    if (w.letters)
        mr_timer_claim(t, w.letters, w.letters_n, line);
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
    if (w.has_clock && w.has_date && !mr_zone_agrees(t, w.has_zone))
        return MR_READ_ZONE;
    if (w.letters)
        mr_timer_claim(t, w.letters, w.letters_n, line);
    if (w.has_date)
        *out_date = mr_datebook_enter(&t->book, &w.date, line, p, n, -1, -1) - w.offset_min * INT64_C(60000);
    if (w.has_clock)
        *out_clock = w.clock_ms;
    return MR_READ_OK;
}
