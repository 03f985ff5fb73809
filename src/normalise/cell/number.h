/*
 * number.h - one cell as a number, whatever instruments and spreadsheets make of it.
 *
 * Two decimal marks are in use, and "1.234" means two things. So a cell is scanned under the mark that its column has
 * shown (rows.c), and what does not follow that mark is told apart from what is no number at all: a clerk needs to
 * hear "a decimal comma in a column of decimal points", not "not a number".
 */
#ifndef MILRISE_NORMALISE_CELL_NUMBER_H
#define MILRISE_NORMALISE_CELL_NUMBER_H

#include "base/text.h"

enum mr_num {
    MR_NUM_OK,
    MR_NUM_MISSING,   /* blank, OL, ---, Err, n/a, nan, a sentinel of the -9999 family */
    MR_NUM_BAD,       /* not a number */
    MR_NUM_MIXED,     /* a number under the other decimal mark */
    MR_NUM_AMBIGUOUS, /* "1,234" where nothing tells whether the mark groups thousands or begins a fraction */
};

struct mr_number {
    double value;
    char mark;        /* decimal mark seen: '.', ',' or 0 */
    bool grouped;     /* thousands marks were seen, beyond doubt where the result is MR_NUM_OK */
    bool doubtful;    /* only with mark '?': one mark with three digits after it, could be either */
    char one_mark;    /* the mark that is doubtful */
    const char *unit; /* text after the number, trimmed; NULL where none */
    size_t unit_n;
    bool tolerance; /* "127 ± 2 µm": the value is what stands before the sign */
};

/* How a column writes its numbers. */
struct mr_number_style {
    char mark;    /* '.', ',' or '?' = find out from the cell alone */
    bool grouped; /* thousands marks may stand in it */
};

/** mr_number_scan - n bytes of UTF-8 (trimmed or not). style: of the column. Returns what it is; *out is set for
 * MR_NUM_OK, and for MR_NUM_MIXED with the value that the other mark gives. */
enum mr_num mr_number_scan(const char *text, size_t n, struct mr_number_style style, struct mr_number *out);

/** mr_number_flag - whether the text after a number marks it against a gauge's limits: H, L, HI, low, *, !. The value
 * stands. */
bool mr_number_flag(const char *text, size_t n);

/** mr_number_marked - the mark that keeps a cell from being a value though a number stands in it: '<', '>', '~' or
 * '('; 0. */
char mr_number_marked(const char *text, size_t n);

/** mr_fraction_scan - inches as the trade writes them: 3/8, 1-1/2, 1 1/2, 3/8", 5/8 in. unit: rest of the text, NULL.
 */
bool mr_fraction_scan(const char *text, size_t n, struct mr_number *out);

/** mr_unwrap - move both ends inside a spreadsheet's ="...", which keeps it from taking figures for a number. */
void mr_unwrap(const char **text, size_t *n);

/** mr_missing_word - whether text stands for "no value" in general: blank, dashes, OL, Err, n/a, nan, #N/A ... */
bool mr_missing_word(const char *text, size_t n);

/** mr_over_range_word - whether text says that the value lies beyond the instrument's range: OL, over, overload. */
bool mr_over_range_word(const char *text, size_t n);

/** mr_missing_listed - whether text is in a list separated by commas, as text or as the same number. */
bool mr_missing_listed(const char *list, const char *text, size_t n);

/** mr_sentinel - whether text is a number of the -9999 family: a minus, four nines or more, a fraction of zeros or
 * nines. */
bool mr_sentinel(const char *text, size_t n);

/** mr_blank_at - bytes of the blank that the text begins with, 0 where it begins with none. */
size_t mr_blank_at(const char *text, size_t n);

/** mr_trim - move both ends past blanks (ASCII and the no-break kinds). */
void mr_trim(const char **text, size_t *n);

#endif
