/*
 * column_shape.c - looks at the first rows of a file. What a cell could be is asked of every scanner in turn; the
 * header's words decide later between readings that the shape leaves open.
 */
#include "normalise/column/column_shape.h"

#include "base/text.h"
#include "normalise/cell/number.h"
#include "normalise/cell/when.h"

#include <math.h>
#include <string.h>

enum { SAMPLE_ROWS = 400 };

static void look_number(struct mr_shape *s, const struct mr_number *x) {
    s->numbers++;
    if (x->unit) {
        enum mr_unit unit;
        if (mr_unit_find(x->unit, x->unit_n, &unit)) {
            s->with_unit++;
            if (!*s->unit && x->unit_n < sizeof s->unit)
                memcpy(s->unit, x->unit, x->unit_n);
        } else if (!mr_number_flag(x->unit, x->unit_n)) {
            s->numbers--;
            return;
        }
    }
    if (x->doubtful) {
        s->doubt_points += x->one_mark == '.';
        s->doubt_commas += x->one_mark == ',';
    } else {
        s->points += x->mark == '.';
        s->commas += x->mark == ',';
        s->grouped += x->grouped;
    }
    s->integers += !x->mark && !x->doubtful;
    bool first = s->numbers == 1;
    double step = x->value - (first ? x->value - 1.0 : s->last);
    s->counting +=
        !x->mark && !x->doubtful && (x->value <= 1.0 ? x->value >= 0.0 : !first && step >= 1.0 && step <= 1.0);
    s->rising += !first && x->value > s->last;
    s->least = first || x->value < s->least ? x->value : s->least;
    s->most = first || x->value > s->most ? x->value : s->most;
    s->last = x->value;
}

/* "09.05.10" is a date and a clock: the column's heading tells. */
static bool dotted_clock(const char *p, size_t n) {
    static const int most[] = {23, 59, 59};
    if (n != 8 && n != 5)
        return false;
    for (size_t i = 0; i < n; i++)
        if (i % 3 == 2 ? p[i] != '.' : !mr_is_digit(p[i]))
            return false;
    for (size_t i = 0; i < n; i += 3)
        if ((p[i] - '0') * 10 + (p[i + 1] - '0') > most[i / 3])
            return false;
    return true;
}

static void keep_text(struct mr_shape *s, const char *text, size_t n) {
    if (n >= sizeof s->texts[0] || s->n_texts == MR_SURVEY_TEXTS)
        return;
    for (size_t i = 0; i < s->n_texts; i++)
        if (strlen(s->texts[i]) == n && memcmp(s->texts[i], text, n) == 0)
            return;
    memcpy(s->texts[s->n_texts], text, n);
    s->texts[s->n_texts++][n] = '\0';
}

/* 1899-12-30, 1899-12-31, 1900-01-01, 1904-01-01: a spreadsheet's clock time that was given a date on saving. */
static bool null_date(const struct mr_date *date) {
    for (enum mr_order o = MR_ORDER_YMD; o < MR_ORDER_COUNT; o++) {
        int64_t day;
        if (mr_date_day(date, date->fixed ? MR_ORDER_YMD : o, &day) &&
            (day == -25569 || day == -25568 || day == -25567 || day == -24107))
            return true;
    }
    return false;
}

static void shape_look(struct mr_shape *s, const char *text, size_t n) {
    mr_trim(&text, &n);
    mr_unwrap(&text, &n);
    if (n == 0 || mr_missing_word(text, n)) {
        s->missing++;
        s->blanks += n == 0;
        return;
    }
    struct mr_number x;
    enum mr_num what = mr_number_scan(text, n, (struct mr_number_style){'?', true}, &x);
    if (what == MR_NUM_MISSING) {
        s->missing++;
        return;
    }
    s->filled_first |= s->cells + s->missing == 0;
    s->cells++;
    keep_text(s, text, n);
    if (what == MR_NUM_OK)
        look_number(s, &x);
    else if (what == MR_NUM_BAD)
        s->marked += mr_number_marked(text, n) != 0;
    s->fractions += what == MR_NUM_BAD && mr_fraction_scan(text, n, &x);
    s->dotted += n == 8 && dotted_clock(text, n);
    int64_t t;
    s->epochs += mr_epoch_scan(text, n, &t);
    s->durations += mr_duration_scan(text, n, &t);
    s->plain_clocks += mr_clock_plain(text, n, &t);
    s->figure_clocks += mr_clock_figures(text, n, &t);
    struct mr_when when;
    s->compact_hours += mr_compact_hour_scan(text, n, &when);
    if (!mr_when_scan(text, n, &when))
        return;
    if (when.has_date && when.has_clock) {
        s->datetimes++;
        s->midnights += when.clock_ms == 0;
        s->null_dates += null_date(&when.date);
    } else if (when.has_date) {
        s->dates++;
    } else {
        s->clocks++;
    }
    s->zoned += when.has_zone;
}

bool mr_shape_counts(const struct mr_shape *s) {
    return s->cells >= 3 && s->integers == s->cells && s->rising + 1 == s->cells && s->least >= 0.0 &&
           s->least <= 1.0 && s->most - s->least < (double)s->cells - 0.5 &&
           s->most - s->least > (double)s->cells - 1.5;
}

struct sampling {
    struct mr_column_shapes *out;
    const char *missing;
    size_t header, most;
    struct mr_shape *wide; /* by cell, one more than the header */
};

static bool look_row(void *ctx, const struct mr_row *row) {
    struct sampling *s = ctx;
    if (row->part != MR_ROW_BODY || row->broken != MR_BROKEN_NO)
        return true;
    if (row->n < 2 && s->header > 1)
        return true;
    s->out->rows++;
    for (size_t i = 0; i < row->n && i <= s->most; i++) {
        if (*s->missing && mr_missing_listed(s->missing, row->cell[i].p, row->cell[i].n))
            s->wide[i].missing++;
        else
            shape_look(&s->wide[i], row->cell[i].p, row->cell[i].n);
    }
    return s->out->rows < SAMPLE_ROWS;
}

/* A header of row numbers names them; one without them stands one cell too far left, over rows that begin with 1,
 * 2, 3.
 */
static bool counts_rows(const char *header) {
    static const char *const names[] = {"no",    "no.", "nr",     "nr.", "n",     "#",      "id",
                                        "index", "row", "record", "seq", "count", "number", "sample"};
    for (size_t i = 0; i < MR_COUNT(names); i++)
        if (mr_text_equal_fold(header, strlen(header), names[i], strlen(names[i])))
            return true;
    return false;
}

static bool shifted(const struct sampling *s, const struct mr_source *source) {
    size_t last = s->most - 1;
    const struct mr_shape *front = &s->wide[0];
    return source->header_line && s->most == source->n_columns && s->most >= 2 && s->out->rows > 0 &&
           !*source->columns[last].text && *source->columns[0].text && s->wide[last].cells * 10 >= s->out->rows * 9 &&
           !counts_rows(source->columns[0].text) && front->cells == s->out->rows && front->integers == front->cells &&
           front->rising + 1 >= front->cells;
}

static char common_decimal(const struct mr_column_shapes *s, const struct mr_source *source) {
    if (source->decimal)
        return source->decimal;
    uint64_t points = 0, commas = 0;
    for (size_t i = 0; i < s->columns; i++) {
        points += s->col[i].points;
        commas += s->col[i].commas;
    }
    if (points && commas * 20 <= points)
        return '.';
    if (commas && points * 20 <= commas)
        return ',';
    uint64_t doubt_points = 0, doubt_commas = 0;
    for (size_t i = 0; i < s->columns; i++) {
        doubt_points += s->col[i].doubt_points;
        doubt_commas += s->col[i].doubt_commas;
    }
    if (points || commas)
        return 0;
    /* "4.669" everywhere and never a comma: a fraction; a thousands point would have shown its comma or its groups.
     */
    return doubt_points && !doubt_commas && source->delimiter != ';' ? '.' : 0;
}

enum mr_status mr_column_shapes_take(struct mr_arena *arena, const struct mr_source *source, const char *missing,
                                     struct mr_column_shapes *out) {
    size_t columns = source->n_columns < MR_COLUMNS_MOST ? source->n_columns : MR_COLUMNS_MOST;
    *out = (struct mr_column_shapes){.columns = columns};
    struct sampling s = {.out = out, .missing = missing ? missing : "", .header = source->n_columns, .most = columns};
    s.wide = MR_ARRAY(arena, struct mr_shape, columns + 1);
    enum mr_status status = mr_read_rows(source, look_row, &s);
    out->shift = shifted(&s, source) ? 1 : 0;
    out->columns -= out->shift;
    out->col = s.wide + out->shift;
    out->decimal = common_decimal(out, source);
    return status;
}
