/*
 * live_unlike.c - formulas that count the cells of some rows which are not as they were reported (live_typed.h).
 */
#include "render/book/live_typed.h"

#include "base/buffer.h"

#include <math.h>
#include <string.h>

static mr_x number(struct mr_live *l, double value) {
    return mr_x_number(l->scratch, value);
}

static mr_x op(struct mr_live *l, mr_x left, const char *operator, mr_x right) {
    return mr_x_op(l->scratch, left, operator, right);
}

mr_x mr_live_plus(struct mr_live *l, mr_x a, mr_x b) {
    return a && b ? op(l, a, "+", b) : a ? a : b;
}

mr_x mr_live_how_many(struct mr_live *l, mr_x condition) {
    return mr_x_call(l->scratch, "SUMPRODUCT", op(l, number(l, 1), "*", condition));
}

/* --- cells as they were reported ------------------------------------------------------------------------ */

struct mr_cell_out mr_guard_cell_of(struct mr_live *l, const struct mr_table *t, size_t row, size_t column) {
    return mr_value_cell(l->o, l->scratch, t, row, column, false);
}

bool mr_guard_is_text(const struct mr_cell_out *c) {
    return c->kind == MR_CELL_TEXT && c->text && c->text[0];
}

/* NaN: none. Moments as spreadsheets count them, days since 1899-12-30. */
double mr_guard_number(const struct mr_cell_out *c) {
    if (c->kind == MR_CELL_NUMBER)
        return c->number;
    return c->kind == MR_CELL_TIME && c->local_ms != MR_T_NONE ? mr_book_days(c->local_ms) : (double)MR_NAN;
}

/* Gnumeric reads a text of digits in a list of constants as a number: each text has a sign before it. */
static void put_text_constant(struct mr_buffer *b, const char *text) {
    mr_buffer_text(b, "\"_");
    for (; *text; text++)
        mr_buffer_put(b, *text == '"' ? "\"%c" : "%c", *text);
    mr_buffer_text(b, "\"");
}

/* With as many digits as the cell itself has in the file. */
static void put_number_constant(struct mr_buffer *b, double value) {
    if (isfinite(value))
        mr_buffer_put(b, "%.16G", value);
    else
        mr_buffer_text(b, "\"\"");
}

/* How many cells of a block are not as they were reported. All are texts or all are numbers, but for empty ones. */
static mr_x unlike_block(struct mr_live *l, const struct mr_guard *g, size_t column, size_t last, bool text) {
    struct mr_arena *s = l->scratch;
    struct mr_buffer b = {.arena = s};
    for (size_t r = g->from; r <= g->to; r++)
        for (size_t c = column; c <= last; c++) {
            const struct mr_cell_out cell = mr_guard_cell_of(l, g->table, r, c);
            mr_buffer_text(&b, c > column ? "," : r > g->from ? ";" : "{");
            if (text)
                put_text_constant(&b, mr_guard_is_text(&cell) ? cell.text : "");
            else
                put_number_constant(&b, mr_guard_number(&cell));
        }
    mr_buffer_text(&b, "}");
    mr_x now = mr_x_block(s, g->table, column, last, g->from, g->to);
    now = text ? op(l, mr_x_text(s, "_"), "&", now) : now;
    return mr_live_how_many(l, op(l, now, "<>", mr_x_constants(s, mr_buffer_end(&b))));
}

/* A cell that formulas follow: a number above zero is theirs. */
static mr_x no_number(struct mr_live *l, const struct mr_guard *g, size_t column) {
    mr_x sum = NULL;
    for (size_t r = g->from; r <= g->to; r++) {
        mr_x cell = mr_x_cells(l->scratch, g->table, column, r, r),
             below = op(l, number(l, 1), "*", op(l, cell, "<=", number(l, 0)));
        sum = mr_live_plus(l, sum,
                           mr_x_call(l->scratch, "IF", op(l, mr_x_call(l->scratch, "COUNT", cell), "=", number(l, 1)),
                                     below, number(l, 1)));
    }
    return sum;
}

/* Of a film with both limits, whether they are still in their order. */
static mr_x crossed(struct mr_live *l, const struct mr_guard *g) {
    const size_t low = mr_find_column(g->table, "limit_min"), high = mr_find_column(g->table, "limit_max");
    mr_x sum = NULL;
    if (low == MR_NONE || high == MR_NONE || g->cells[low] != MR_GUARD_FOLLOWED ||
        g->cells[high] != MR_GUARD_FOLLOWED)
        return NULL;
    for (size_t r = g->from; r <= g->to; r++) {
        mr_x least = mr_x_cells(l->scratch, g->table, low, r, r), most = mr_x_cells(l->scratch, g->table, high, r, r);
        sum = mr_live_plus(l, sum, op(l, number(l, 1), "*", op(l, least, ">=", most)));
    }
    return sum;
}

static mr_x unlike_cells(struct mr_live *l, const struct mr_guard *g) {
    mr_x sum = crossed(l, g);
    for (size_t c = 0; c < g->table->n_fields;) {
        const char kind = g->cells[c];
        size_t last = c;
        if (kind == MR_GUARD_FOLLOWED)
            sum = mr_live_plus(l, sum, no_number(l, g, c));
        while (kind != MR_GUARD_FOLLOWED && last + 1 < g->table->n_fields && g->cells[last + 1] == kind)
            last++;
        if (kind == MR_GUARD_TEXT || kind == MR_GUARD_NUMBER)
            sum = mr_live_plus(l, sum, unlike_block(l, g, c, last, kind == MR_GUARD_TEXT));
        c = last + 1;
    }
    return sum;
}

/* --- readings under their names ------------------------------------------------------------------------- */

/* A text of a reading as it stands in the sheet, of which a very long one leaves out what is usual. */
const char *mr_reading_name(const struct mr_live *l, const char *column, size_t row) {
    const char *text = mr_live_text(l->readings, column, row);
    const bool usual = strcmp(column, "coat") == 0 && strcmp(text, "system") == 0;
    return usual && mr_is_sparse(l->readings) ? "" : text;
}

/* Runs of one name: how many readings stand under another one now. */
static mr_x renamed(struct mr_live *l, const struct mr_guard *g, const char *column) {
    struct mr_arena *s = l->scratch;
    mr_x sum = NULL;
    for (size_t from = g->from, to; from <= g->to; from = to + 1) {
        const char *name = mr_reading_name(l, column, from);
        for (to = from; to < g->to && strcmp(mr_reading_name(l, column, to + 1), name) == 0;)
            to++;
        if (!mr_is_plain(name) || strlen(name) > MR_GUARD_TEXT_BYTES)
            continue;
        mr_x now = mr_live_range(l, l->readings, column, from, to);
        sum = mr_live_plus(l, sum, mr_live_how_many(l, op(l, now, "<>", mr_x_text(s, name))));
    }
    return sum;
}

static double correction_at(const struct mr_live *l, size_t row) {
    const struct mr_value v = mr_live_value(l->readings, "correction", row);
    return v.type == MR_V_NUMBER ? v.number : 0;
}

bool mr_reading_corrected_alike(const struct mr_live *l, size_t a, size_t b) {
    const double x = correction_at(l, a), y = correction_at(l, b);
    return !(x < y || x > y);
}

static mr_x corrected_otherwise(struct mr_live *l, const struct mr_guard *g) {
    mr_x sum = NULL;
    for (size_t from = g->from, to; from <= g->to; from = to + 1) {
        const double own = correction_at(l, from);
        for (to = from; to < g->to && mr_reading_corrected_alike(l, from, to + 1);)
            to++;
        struct mr_buffer b = {.arena = l->scratch};
        put_number_constant(&b, own);
        mr_x now = mr_live_range(l, l->readings, "correction", from, to);
        sum = mr_live_plus(l, sum,
                           mr_live_how_many(l, op(l, now, "<>", mr_x_constants(l->scratch, mr_buffer_end(&b)))));
    }
    return sum;
}

const char *const mr_reading_names[MR_READING_NAMES] = {"zone", "coat", "area", "spot", "gauge"};

static mr_x unlike_names(struct mr_live *l, const struct mr_guard *g) {
    mr_x sum = corrected_otherwise(l, g);
    for (size_t i = 0; i < MR_READING_NAMES; i++)
        sum = mr_live_plus(l, sum, renamed(l, g, mr_reading_names[i]));
    const size_t time = mr_find_column(l->readings, "time");
    if (time != MR_NONE && !l->o->offset_text[0]) /* texts, each with its offset; numbers: live_changed.c */
        sum = mr_live_plus(l, sum, unlike_block(l, g, time, time, true));
    return sum;
}

mr_x mr_live_unlike(struct mr_live *l, const struct mr_guard *g) {
    if (g->kind == MR_GUARD_ADDED)
        return mr_x_call(l->scratch, "COUNTA", mr_x_below(l->scratch, g->table));
    mr_x sum = g->kind == MR_GUARD_NAMES ? unlike_names(l, g) : unlike_cells(l, g);
    for (const struct mr_guard *more = g->more; more; more = more->more)
        sum = mr_live_plus(l, sum, unlike_cells(l, more));
    return sum;
}
