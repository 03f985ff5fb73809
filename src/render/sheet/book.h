/*
 * book.h - a workbook as sheets of rows, without a library's types.
 *
 * Rows of a sheet are written in order, from the top; each cell once. Everything that the writing library would take
 * and then turn into a broken workbook is caught behind these calls (book_xlsx.c tells what): callers hand over any
 * text and any number.
 */
#ifndef MILRISE_RENDER_BOOK_BOOK_H
#define MILRISE_RENDER_BOOK_BOOK_H

#include "milrise/assess.h"

#define MR_BOOK_TYPE_PT 10.0 /* type size of all cells but titles */
/* What a check and its zone say once something was changed in the sheet that no formula follows: milder than "does
 * not conform" alone. */
#define MR_UNKNOWN_WORD "make a new report"

#define MR_ROW_PT 14.25      /* a row of one line */
#define MR_CHARACTER_PT 5.25 /* a character of column width: 7 pixels of 1/96 inch */

struct mr_book;
struct mr_sheet;

/* How a cell looks. */
enum mr_look {
    MR_LOOK_TITLE,
    MR_LOOK_SUBTITLE,
    MR_LOOK_NOTE,
    MR_LOOK_HEAD,
    MR_LOOK_TEXT,
    MR_LOOK_WRAP,
    MR_LOOK_NAME,
    MR_LOOK_VALUE,
    MR_LOOK_SUMMARY,
    MR_LOOK_COUNT,
    MR_LOOK_TIME,
    MR_LOOK_LINK,
    MR_LOOK_LINK_CELL, /* with the rules of a table */
    MR_LOOK_BLANK,
    MR_LOOK_SIGN, /* a line to sign on */
    MR_LOOK_NOT_REQUIRED,
    MR_LOOK_CONFORMS,
    MR_LOOK_NOT_SHOWN,
    MR_LOOK_DOES_NOT_CONFORM,
    MR_LOOK_BIG_NOT_REQUIRED,
    MR_LOOK_BIG_CONFORMS,
    MR_LOOK_BIG_NOT_SHOWN,
    MR_LOOK_BIG_DOES_NOT_CONFORM,
    MR_LOOK_DECIMALS_0, /* numbers with 0 to 6 decimals follow each other */
    MR_LOOK_DECIMALS_6 = MR_LOOK_DECIMALS_0 + 6,
    MR_LOOK_GENERAL,
    MR_LOOKS
};
enum mr_look mr_look_decimals(int decimals); /* -1 = as many as needed */
enum mr_look mr_look_outcome(enum mr_outcome outcome, bool big);

struct mr_book_info {
    const char *title, *subject, *company, *comments;
    const char *author;    /* by role; "": the program */
    const char *page, *of; /* "page 3 of 7" in the footer */
    int64_t created_utc_ms;
    const char *footer_left, *footer_middle; /* on every sheet */
    bool letter;                             /* paper, else A4 */
    const char *tmp_dir;                     /* existing folder for the library's temporary files */
};

/** mr_book_open - a workbook that mr_book_close will write to path. NULL where the library cannot start one. */
struct mr_book *mr_book_open(struct mr_arena *arena, const char *path, const struct mr_book_info *info);

/** mr_book_close - write it, then read it back by other code: every part of the zip must be there and be well-formed
 *  XML, and each sheet must hold as many rows, cells and pictures as it was given.
 *  Returns: NULL; or what went wrong, as a clause in arena, with errno where the system gave a reason, else 0. The
 *  book is gone either way. */
const char *mr_book_close(struct mr_book *book);

/** mr_sheet_add - a sheet; the name is cleaned, cut to 31 characters and made unique. landscape pages, fit to the
 * width. NULL where the library refuses (reported by mr_book_close). All calls below take NULL and do nothing. */
struct mr_sheet *mr_sheet_add(struct mr_book *book, const char *name);
const char *mr_sheet_name(const struct mr_sheet *sheet);

/** mr_sheet_lean - before its first cell: the sheet will have very many rows, so a formula that goes down a column is
 * written once (book_lean.c). last_row: the last that it may have. */
void mr_sheet_lean(struct mr_sheet *sheet, unsigned last_row);

void mr_sheet_width(struct mr_sheet *sheet, unsigned column, double characters); /* 0: hidden */
void mr_sheet_height(struct mr_sheet *sheet, unsigned row, double points);       /* before the row's cells */

void mr_sheet_text(struct mr_sheet *sheet, unsigned row, unsigned column, enum mr_look look, const char *text);
void mr_sheet_number(struct mr_sheet *sheet, unsigned row, unsigned column, enum mr_look look,
                     double value); /* not finite: blank */
void mr_sheet_time(struct mr_sheet *sheet, unsigned row, unsigned column, enum mr_look look,
                   int64_t local_ms);  /* MR_T_NONE: blank */
double mr_book_days(int64_t local_ms); /* the number that stands in the cell */
/* a jump to a cell of a sheet of the book; target NULL: plain text */
void mr_sheet_link(struct mr_sheet *sheet, unsigned row, unsigned column, enum mr_look look,
                   const struct mr_sheet *target, unsigned target_row, const char *text);

/* A cell to come, for mr_sheet_row. */
struct mr_cell_out {
    enum mr_look look;
    enum { MR_CELL_TEXT, MR_CELL_NUMBER, MR_CELL_TIME } kind;
    const char *text; /* NULL or "": blank */
    double number;    /* not finite: blank */
    int64_t local_ms;
    const char *formula; /* "=SUM(A1:A3)", of which text or number is the value as worked out; NULL = none */
    bool array;          /* a formula over arrays, of a number */
    bool absent;         /* mr_sheet_row leaves it out */
    const struct mr_sheet *target; /* of a text: a jump to that sheet and row; NULL = none */
    unsigned target_row;
};

/** mr_text_cell - a cell of text; the text is borrowed. */
static inline struct mr_cell_out mr_text_cell(enum mr_look look, const char *text) {
    return (struct mr_cell_out){.look = look, .text = text};
}

/** mr_book_text_pt - width of a text in the type of the cells. mr_book_column_pt - room for text in a column of so
 * many characters. */
double mr_book_text_pt(const char *text, bool bold);
double mr_book_column_pt(double characters);

/** mr_is_plain - what a formula may hold as it is: no control characters, nothing that the format reads as an escape.
 */
bool mr_is_plain(const char *text);

/** mr_sheet_row_height - points for a row's wrapped texts; 0 where one line is enough. */
double mr_sheet_row_height(size_t n, const struct mr_cell_out *cells, const double *widths);

/** mr_sheet_row - a whole row from column 0, high enough for its wrapped texts. Programs differ in whether they find
 * that height by themselves, so it is written: from the widths (characters, as given to mr_sheet_width) and the
 * letters' advances. A jump whose text is too long for its column becomes a formula that jumps: not every program
 * breaks the text of a jump into lines. */
void mr_sheet_row(struct mr_sheet *sheet, struct mr_arena *scratch, unsigned row, size_t n,
                  const struct mr_cell_out *cells, const double *widths);

/** mr_sheet_cell - one of them. A blank or not finite value has no formula. */
void mr_sheet_cell(struct mr_sheet *sheet, unsigned row, unsigned column, const struct mr_cell_out *cell);

/** mr_sheet_image - a PNG in memory at a cell, at the size that its dots per inch give, with a text for those who
 * cannot see it. */
void mr_sheet_image(struct mr_sheet *sheet, unsigned row, unsigned column, const unsigned char *png, size_t n,
                    const char *alt);

/** mr_sheet_picture - a PNG of any resolution, as large as fits into a width and a height. */
void mr_sheet_picture(struct mr_sheet *sheet, unsigned row, unsigned column, const unsigned char *png, size_t n,
                      const char *alt, double width_pt, double height_pt);

/** mr_book_name - a defined name for a cell; characters that a name cannot have become '_'; made unique. */
void mr_book_name(struct mr_book *book, const char *name, const struct mr_sheet *sheet, unsigned row,
                  unsigned column);

/** mr_sheet_table - the header row stays on screen and is repeated on every page; filter: columns can be filtered. */
void mr_sheet_table(struct mr_sheet *sheet, unsigned header_row, unsigned last_row, unsigned last_column,
                    bool filter);

/** mr_sheet_print - the sheet is printed, up to that row and column, at the scale at which so many characters of
 * width go on the page, at least 70 %; one that is wider goes over pages side by side. Sheets without this call are
 * read on screen. mr_page_characters: how many characters go on a page at 70 %. */
void mr_sheet_print(struct mr_sheet *sheet, bool portrait, double characters, unsigned last_row,
                    unsigned last_column);
double mr_page_characters(bool letter, bool portrait, unsigned columns);

/** mr_page_points - height of a page with charts, in points of its sheet. mr_sheet_points - height of a sheet's rows
 * before this one, as far as they are written. */
double mr_page_points(bool letter, bool portrait);
double mr_sheet_points(const struct mr_sheet *sheet, unsigned row);

/** mr_sheet_on_screen - the sheet is read on screen: printing the whole workbook leaves it out. */
void mr_sheet_on_screen(struct mr_sheet *sheet);

/** mr_sheet_breaks - a new page before each of these rows. */
void mr_sheet_breaks(struct mr_sheet *sheet, size_t n, const unsigned *rows);

/** mr_sheet_keep_together - after mr_sheet_print, for the last rows of the sheet, of so many points at most: they
 * stand on one page. Of more than two pages, where the last begins is not known: it begins with them. */
void mr_sheet_keep_together(struct mr_sheet *sheet, bool portrait, unsigned from, double points, unsigned to);

/** mr_sheet_breaks_across - pages side by side begin with these columns; the first of them is the sheet's first. */
void mr_sheet_breaks_across(struct mr_sheet *sheet, size_t n, const unsigned *columns);

/** mr_sheet_fold - before the row's cells: it is folded away and not printed. points 0: the usual height. */
void mr_sheet_fold(struct mr_sheet *sheet, unsigned row, double points);

/* What a sheet was given, to be found again in the finished workbook. */
struct mr_sheet_meant {
    const char *name;
    size_t rows, cells, pictures;
};

/** mr_book_check - the read-back of mr_book_close. n_meant 0: the sheets' contents are not counted. NULL, or what is
 * wrong. */
const char *mr_book_check(struct mr_arena *arena, const char *path, size_t n_meant,
                          const struct mr_sheet_meant *meant);

#endif
