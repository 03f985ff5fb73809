/*
 * book_looks.h - between book_xlsx.c, book_page.c, book_looks.c and book_lean.c, the only users of libxlsxwriter.
 */
#ifndef MILRISE_RENDER_BOOK_BOOK_LOOKS_H
#define MILRISE_RENDER_BOOK_BOOK_LOOKS_H

#include "render/sheet/book.h"

#include <xlsxwriter.h>

/* Cells of a column whose formulas give outcomes. */
struct mr_outcome_cells {
    unsigned column, from, to;
};

struct mr_sheet {
    struct mr_book *book;
    lxw_worksheet *sheet;
    const char *name;
    struct mr_sheet_meant meant; /* counted as it is handed over */
    unsigned next_row;           /* rows come in order */
    size_t links;
    double extra_pt; /* height of all rows beyond that of usual ones */
    int scale;       /* in print, per cent; 0: not set yet */
    unsigned folded; /* the last row that was folded + 1 */
    MR_VEC(struct mr_outcome_cells) outcomes;
};

struct mr_book {
    struct mr_arena *arena, *brief; /* brief: of one link after the other */
    const char *path;
    lxw_workbook *book;
    lxw_format *look[MR_LOOKS];
    MR_VEC(struct mr_sheet *) sheets;
    MR_VEC(const char *) names; /* defined */
    const char *header, *footer;
    bool letter;
    bool failed;
    int reason;           /* errno of the first call that left one: the library keeps none */
    MR_VEC(char) scratch; /* see guard */
};

/** mr_book_looks - makes all formats; look: shape MR_LOOKS. */
void mr_book_looks(lxw_workbook *book, lxw_format **look);

/** mr_live_look - the format of a cell with a formula; one that gives an outcome is coloured by what it says. */
lxw_format *mr_live_look(struct mr_sheet *sheet, unsigned row, unsigned column, enum mr_look look);

/** mr_looks_close - lay down these colours, then have the library write the book. */
lxw_error mr_looks_close(struct mr_book *book);

/** mr_page_of - paper, margins, header and footer of a new sheet. */
void mr_page_of(struct mr_sheet *sheet);

/** mr_keep_error - an error of the library makes mr_book_close fail. mr_keep_reason - the first errno is kept. */
void mr_keep_reason(struct mr_book *book);
void mr_keep_error(struct mr_sheet *sheet, lxw_error error);

#endif
