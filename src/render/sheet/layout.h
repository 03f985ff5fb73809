/*
 * layout.h - where every table stands: its sheets, its first row on each, its columns. Laid out before anything is
 * written, so that formulas and links may point forward.
 */
#ifndef MILRISE_RENDER_BOOK_LAYOUT_H
#define MILRISE_RENDER_BOOK_LAYOUT_H

#include "render/data/shown_value.h"
#include "render/sheet/book.h"

enum { MR_ROWS_PER_SHEET = 1000000 };

/* Above this, the standings of readings stay as reported: formulas over a million readings take a spreadsheet
 * minutes. The checks say so once a reading was changed (live_checks.c). */
enum { MR_READINGS_LIVE = 100000 };

/** mr_is_sparse - gauge readings and spots, where they are so many: cells that say what is usual are left out. */
bool mr_is_sparse(const struct mr_table *table);

/* A run of rows of a table on one sheet; a longer table goes on in further sheets. */
struct mr_piece {
    struct mr_sheet *sheet;
    size_t from, to;   /* rows of the table, to not included */
    unsigned head_row; /* of the sheet; the first row of data follows */
};

struct mr_table_layout {
    const struct mr_table *table;
    const char **title; /* shape: n_fields, no two alike */
    double *width;      /* characters; 0: hidden */
    size_t n_note;
    const char *note[8]; /* lines above the table */
    bool printed;
    size_t n_pages;  /* side by side in print; 0 or 1: one */
    unsigned *first; /* shape: n_pages: the first column of each */
    bool beside;     /* its rows are not in the workbook: the note says where */
    MR_VEC(struct mr_piece) pieces;
};

struct mr_book_layout {
    struct mr_arena *arena;
    MR_VEC(struct mr_table_layout *) tables;
};

struct mr_place_on_sheet {
    const char *sheet; /* its name, the same pointer for one sheet; NULL: not known */
    unsigned row;
    struct mr_sheet *to;
};

/** mr_layout_add - a table with its sheets, which are added to the book. Rows that share the texts of the first two
 * columns stay on one sheet. */
struct mr_table_layout *mr_layout_add(struct mr_book_layout *layout, struct mr_book *book,
                                      const struct mr_outline *outline, const struct mr_table *table);

/** mr_layout_fit - columns of long texts share what room the others leave of a page's width (characters), so that the
 * rows are as low as they can be; a table whose words alone are wider takes two pages side by side, or as many as it
 * needs. Columns in which no row says anything are hidden. */
void mr_layout_fit(struct mr_arena *arena, struct mr_table_layout *layout, double room);

/** mr_row_folds - of the checks, those that conform are folded away and not printed. */
bool mr_row_folds(const struct mr_table *table, size_t row);

/** mr_longest_word - bytes of the longest run without a blank: what cannot be broken into two lines, or should not,
 * like a time and its offset. */
size_t mr_longest_word(const char *text);

const struct mr_table_layout *mr_layout_of(const struct mr_book_layout *layout, const struct mr_table *table);
struct mr_place_on_sheet mr_layout_place(const struct mr_book_layout *layout, const struct mr_table *table,
                                         size_t row);

/** mr_number_text - the shortest text that reads back as the same number. */
const char *mr_number_text(struct mr_arena *arena, double value);

#endif
