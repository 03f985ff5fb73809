/*
 * formula.c - see formula.h. Operators are written with all their brackets: no reader has to know an order of them.
 */
#include "render/sheet/formula.h"

#include "base/buffer.h"
#include "render/sheet/layout.h"

#include <math.h>
#include <string.h>

static struct mr_expr *expr(struct mr_arena *arena, enum mr_expr_kind kind) {
    struct mr_expr *x = MR_NEW(arena, struct mr_expr);
    *x = (struct mr_expr){.kind = kind};
    return x;
}

mr_x mr_x_number(struct mr_arena *arena, double value) {
    if (!isfinite(value))
        return NULL;
    struct mr_expr *x = expr(arena, MR_X_NUMBER);
    x->number = value;
    return x;
}

mr_x mr_x_text(struct mr_arena *arena, const char *text) {
    struct mr_expr *x = expr(arena, MR_X_TEXT);
    x->word = text ? text : "";
    return x;
}

mr_x mr_x_block(struct mr_arena *arena, const struct mr_table *table, size_t column, size_t last_column, size_t from,
                size_t to) {
    if (!table || column > last_column || last_column >= table->n_fields || from > to || to >= table->n_rows)
        return NULL;
    struct mr_expr *x = expr(arena, MR_X_CELLS);
    x->table = table;
    x->column = column;
    x->last_column = last_column;
    x->from = from;
    x->to = to;
    return x;
}

mr_x mr_x_cells(struct mr_arena *arena, const struct mr_table *table, size_t column, size_t from, size_t to) {
    return mr_x_block(arena, table, column, column, from, to);
}

mr_x mr_x_below(struct mr_arena *arena, const struct mr_table *table) {
    if (!table || table->n_rows == 0)
        return NULL;
    struct mr_expr *x = expr(arena, MR_X_BELOW);
    x->table = table;
    return x;
}

mr_x mr_x_constants(struct mr_arena *arena, const char *rows) {
    struct mr_expr *x = expr(arena, MR_X_CONSTANTS);
    x->word = rows;
    return x;
}

static mr_x with_args(struct mr_arena *arena, enum mr_expr_kind kind, const char *word, size_t n, const mr_x *args) {
    for (size_t i = 0; i < n; i++)
        if (!args[i])
            return NULL;
    struct mr_expr *x = expr(arena, kind);
    mr_x *copy = MR_ARRAY(arena, mr_x, n);
    memcpy(copy, args, n * sizeof *copy);
    x->word = word;
    x->n = n;
    x->arg = copy;
    return x;
}

mr_x mr_x_call_of(struct mr_arena *arena, const char *function, size_t n, const mr_x *args) {
    return with_args(arena, MR_X_CALL, function, n, args);
}

mr_x mr_x_op(struct mr_arena *arena, mr_x left, const char *operator, mr_x right) {
    const mr_x args[] = {left, right};
    return with_args(arena, MR_X_OPERATOR, operator, 2, args);
}

mr_x mr_x_array(struct mr_arena *arena, mr_x whole) {
    if (!whole)
        return NULL;
    struct mr_expr *x = MR_NEW(arena, struct mr_expr);
    *x = *whole;
    x->array = true;
    return x;
}

struct formula_writer {
    struct mr_arena *arena;
    const struct mr_book_layout *layout;
    const char *own_sheet;
    bool failed;
    struct mr_buffer text;
};

static void put(struct formula_writer *w, const char *text) {
    w->failed = w->failed || w->text.v.n + strlen(text) > MR_FORMULA_CHARACTERS;
    if (!w->failed)
        mr_buffer_text(&w->text, text);
}

static void put_text(struct formula_writer *w, const char *text) {
    enum { STRING_BYTES = 250 };
    w->failed = w->failed || strlen(text) > STRING_BYTES; /* a text in a formula has at most 255 characters */
    put(w, "\"");
    for (; *text && !w->failed; text++) {
        const char one[] = {*text, '\0'};
        put(w, *text == '"' ? "\"\"" : one);
    }
    put(w, "\"");
}

static const char *column_letters(struct mr_arena *arena, size_t column) {
    const char *text = "";
    for (size_t n = column + 1; n > 0; n = (n - 1) / 26)
        text = mr_printf(arena, "%c%s", (char)('A' + (n - 1) % 26), text);
    return text;
}

static const char *cell_name(struct mr_arena *arena, unsigned row, size_t column) {
    return mr_printf(arena, "%s%u", column_letters(arena, column), row + 1);
}

/* Names of sheets hold no apostrophe (book_xlsx.c). */
static void put_sheet(struct formula_writer *w, const char *sheet) {
    if (strcmp(sheet, w->own_sheet) != 0)
        put(w, mr_printf(w->arena, "'%s'!", sheet));
}

static void put_cells(struct formula_writer *w, mr_x x) {
    const struct mr_place_on_sheet a = mr_layout_place(w->layout, x->table, x->from),
                                   b = mr_layout_place(w->layout, x->table, x->to);
    if (!a.sheet || a.sheet != b.sheet) {
        w->failed = true;
        return;
    }
    put_sheet(w, a.sheet);
    put(w, cell_name(w->arena, a.row, x->column));
    if (x->to > x->from || x->last_column > x->column)
        put(w, mr_printf(w->arena, ":%s", cell_name(w->arena, b.row, x->last_column)));
}

/* Down to where a sheet ends. */
static void put_below(struct formula_writer *w, mr_x x) {
    enum { ROWS_OF_SHEET = 1048576 };
    const struct mr_place_on_sheet last = mr_layout_place(w->layout, x->table, x->table->n_rows - 1);
    if (!last.sheet || last.row + 1 >= ROWS_OF_SHEET) {
        w->failed = true;
        return;
    }
    put_sheet(w, last.sheet);
    put(w, mr_printf(w->arena, "%s:%s", cell_name(w->arena, last.row + 1, 0),
                     cell_name(w->arena, ROWS_OF_SHEET - 1, x->table->n_fields - 1)));
}

/* Expressions are nested by their makers, a few levels deep. */
static void put_expr(struct formula_writer *w, mr_x x) { // NOLINT(misc-no-recursion)
    switch (x->kind) {
    case MR_X_NUMBER:
        put(w, mr_number_text(w->arena, x->number));
        break;
    case MR_X_TEXT:
        put_text(w, x->word);
        break;
    case MR_X_CELLS:
        put_cells(w, x);
        break;
    case MR_X_BELOW:
        put_below(w, x);
        break;
    case MR_X_CONSTANTS:
        put(w, x->word);
        break;
    case MR_X_CALL:
        put(w, x->word);
        put(w, "(");
        for (size_t i = 0; i < x->n; i++) {
            put(w, i ? "," : "");
            put_expr(w, x->arg[i]);
        }
        put(w, ")");
        break;
    case MR_X_OPERATOR:
        put(w, "(");
        put_expr(w, x->arg[0]);
        put(w, x->word);
        put_expr(w, x->arg[1]);
        put(w, ")");
        break;
    }
}

const char *mr_formula_text(struct mr_arena *arena, const struct mr_book_layout *layout, const char *own_sheet,
                            mr_x x) {
    if (!x)
        return NULL;
    struct formula_writer w = {.arena = arena, .text = {.arena = arena}, .layout = layout, .own_sheet = own_sheet};
    put(&w, "=");
    put_expr(&w, x);
    return w.failed ? NULL : mr_buffer_end(&w.text);
}
