/*
 * formula.h - formulas as typed expressions over cells of tables. Nobody writes the address of a cell: a place is
 * table, column and rows, and the layout (layout.h) knows where those stand once the sheets are laid out.
 *
 * Only functions that the office suites, LibreOffice and Gnumeric share are used; none needs a prefix.
 */
#ifndef MILRISE_RENDER_BOOK_FORMULA_H
#define MILRISE_RENDER_BOOK_FORMULA_H

#include "milrise/assess.h"

#define MR_FORMULA_CHARACTERS 8000 /* a cell's formula holds 8192 (ECMA-376 leaves it to the programs) */

struct mr_book_layout;

enum mr_expr_kind { MR_X_NUMBER, MR_X_TEXT, MR_X_CELLS, MR_X_BELOW, MR_X_CONSTANTS, MR_X_CALL, MR_X_OPERATOR };

struct mr_expr {
    enum mr_expr_kind kind;
    bool array; /* the whole formula is one over arrays */
    double number;
    const char *word; /* text, function, operator; constants as they are written */
    const struct mr_table *table;
    size_t column, last_column, from, to; /* rows from..to, the last one in */
    size_t n;
    const struct mr_expr *const *arg;
};
typedef const struct mr_expr *mr_x;

/* Makers. An argument NULL (a column that is not there) makes the whole NULL: no formula, never a wrong one. */
mr_x mr_x_number(struct mr_arena *arena, double value);
mr_x mr_x_text(struct mr_arena *arena, const char *text);
mr_x mr_x_cells(struct mr_arena *arena, const struct mr_table *table, size_t column, size_t from, size_t to);
mr_x mr_x_block(struct mr_arena *arena, const struct mr_table *table, size_t column, size_t last_column, size_t from,
                size_t to);
mr_x mr_x_below(struct mr_arena *arena, const struct mr_table *table); /* all cells beneath its last row */
mr_x mr_x_constants(struct mr_arena *arena, const char *rows);         /* "{1,2;3,4}" */
mr_x mr_x_call_of(struct mr_arena *arena, const char *function, size_t n, const mr_x *args);
#define mr_x_call(arena, function, ...)                                                                              \
    mr_x_call_of((arena), (function), sizeof((const mr_x[]){__VA_ARGS__}) / sizeof(mr_x), (const mr_x[]){__VA_ARGS__})
mr_x mr_x_op(struct mr_arena *arena, mr_x left, const char *operator, mr_x right);
mr_x mr_x_array(struct mr_arena *arena, mr_x whole); /* marks it as one over arrays */

/** mr_formula_text - "=AVERAGE('Gauge readings'!H5:H49)" as it stands on a sheet, or NULL where it cannot be written:
 * a reference that the layout does not know or that goes over two sheets, or more text than a cell takes. */
const char *mr_formula_text(struct mr_arena *arena, const struct mr_book_layout *layout, const char *own_sheet,
                            mr_x x);

#endif
