/*
 * clock_cell.c - the time of day of a row, however its column writes it; AM and PM or milliseconds may have cells of
 * their own.
 */
#include "normalise/clock/clock_cell.h"

#include "normalise/cell/number.h"

#include <math.h>
#include <stdlib.h>

/* A whole number in a cell, as "2026", " 5" or "14.0"; -1 where it is none. */
static int whole(const char *p, size_t n) {
    struct mr_number x;
    if (mr_number_scan(p, n, (struct mr_number_style){'.', false}, &x) != MR_NUM_OK || x.unit ||
        !(x.value >= 0 && x.value < 1e6))
        return -1;
    return x.value - floor(x.value) > 0.0 ? -1 : (int)x.value;
}

int mr_part_value(const struct mr_timer *t, const struct mr_row *row, enum mr_time_part part) {
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
        minute = mr_part_value(t, row, MR_PART_MINUTE);
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
int64_t mr_near_second(double ms_exact) {
    int64_t ms = llround(ms_exact), second = llround(ms_exact / 1000.0) * 1000;
    return llabs(ms - second) <= 50 ? second : ms;
}

/* A share of the day, as spreadsheets keep clock times. */
static enum mr_time_read read_fraction(const struct mr_timer *t, const char *p, size_t n, int64_t *out_ms) {
    struct mr_number x;
    if (mr_number_scan(p, n, t->plan->col[t->plan->clock_col].style, &x) != MR_NUM_OK || x.unit ||
        !(x.value >= 0.0 && x.value < 1.0))
        return MR_READ_BAD;
    *out_ms = mr_near_second(x.value * (double)MR_DAY_MS);
    return MR_READ_OK;
}

static enum mr_time_read clock_cell(struct mr_timer *t, const struct mr_row *row, size_t column, int64_t *out_ms) {
    const struct mr_cell *cell = &row->cell[column];
    if (mr_plain_clock(cell->p, cell->n, out_ms) == cell->n && cell->n)
        return mr_zone_agrees(t, false) ? MR_READ_OK : MR_READ_ZONE;
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    if (t->plan->clock_style == MR_CLOCK_FRACTION)
        return read_fraction(t, p, n, out_ms);
    size_t used;
    if (t->plan->clock_style == MR_CLOCK_DOTTED)
        return mr_clock_scan(p, n, out_ms, &used) && used == n ? MR_READ_OK : MR_READ_BAD;
    if (t->plan->clock_style == MR_CLOCK_HOUR)
        return read_hour(t, row, p, n, out_ms);
    if (t->plan->clock_style == MR_CLOCK_FIGURES ? mr_clock_figures(p, n, out_ms) : mr_clock_plain(p, n, out_ms))
        return mr_zone_agrees(t, false) ? MR_READ_OK : MR_READ_ZONE;
    struct mr_when w;
    if (!mr_when_scan(p, n, &w) || !w.has_clock)
        return MR_READ_BAD;
    if (!mr_zone_agrees(t, w.has_zone))
        return MR_READ_ZONE;
    if (w.letters)
        mr_timer_claim(t, w.letters, w.letters_n, row->line);
    *out_ms = w.clock_ms - w.offset_min * INT64_C(60000);
    return MR_READ_OK;
}

/* AM or PM in a cell of its own makes a clock of twelve hours one of 24; milliseconds in another are added. */
enum mr_time_read mr_finish_clock(const struct mr_timer *t, const struct mr_row *row, int64_t *ms) {
    size_t half = t->plan->part_col[MR_PART_HALF];
    if (half != MR_NONE) {
        size_t cell = t->plan->col[half].cell;
        char c = cell < row->n && row->cell[cell].n ? (char)(row->cell[cell].p[0] | 0x20) : '\0';
        if ((c != 'a' && c != 'p') || *ms >= 13 * INT64_C(3600000))
            return MR_READ_BAD;
        *ms = *ms % (MR_DAY_MS / 2) + (c == 'p' ? MR_DAY_MS / 2 : 0);
    }
    if (t->plan->part_col[MR_PART_MILLI] != MR_NONE) {
        int milli = mr_part_value(t, row, MR_PART_MILLI);
        if (milli < 0 || milli > 999 || (*ms % 1000 && *ms % 1000 != milli))
            return MR_READ_BAD;
        *ms += *ms % 1000 ? 0 : milli; /* some clocks show them already */
    }
    return MR_READ_OK;
}

enum mr_time_read mr_read_clock(struct mr_timer *t, const struct mr_row *row, size_t column, int64_t *out_ms) {
    enum mr_time_read got = clock_cell(t, row, column, out_ms);
    return got == MR_READ_OK ? mr_finish_clock(t, row, out_ms) : got;
}
