/*
 * book_report.h - the workbook of a report: which sheets, in which order, with which words.
 */
#ifndef MILRISE_RENDER_BOOK_BOOK_REPORT_H
#define MILRISE_RENDER_BOOK_BOOK_REPORT_H

#include "render/book/book.h"
#include "render/data/outline.h"

struct mr_book_paths {
    const char *workbook; /* to be written */
    const char *tmp_dir;
    const char *charts_dir; /* where the charts' PNG files stand; NULL = no charts */
};

/** mr_book_report - write the workbook. Returns: NULL, or what went wrong as a clause. */
const char *mr_book_report(const struct mr_outline *outline, const struct mr_book_paths *paths);

/* Inside: the sheets, in their order. */
struct mr_book_job {
    const struct mr_outline *o;
    struct mr_book *book;
    struct mr_arena *arena;
};

struct mr_head_cell { /* a column of a sheet made here */
    const char *title;
    double width;
};

/** mr_sheet_head - title and note at the top, then a header row. out_widths (n of them) is for mr_sheet_row.
 *  Returns: row of the header. */
unsigned mr_sheet_head(struct mr_sheet *sheet, struct mr_arena *arena, const char *title, const char *note, size_t n,
                       const struct mr_head_cell *cells, double *out_widths);

void mr_sheet_verdict(const struct mr_book_job *job, struct mr_sheet *sheet, size_t n_sheets,
                      struct mr_sheet *const *sheets);
void mr_sheet_findings(const struct mr_book_job *job, struct mr_sheet *sheet);
void mr_sheet_checks(const struct mr_book_job *job, struct mr_sheet *sheet);
void mr_sheet_cautions(const struct mr_book_job *job, struct mr_sheet *sheet);
/** mr_sheet_rows - rows from..to of a table, with the offset from UTC of its times. */
void mr_sheet_rows(const struct mr_book_job *job, struct mr_sheet *sheet, const struct mr_table *table, size_t from,
                   size_t to);
void mr_sheet_charts(const struct mr_book_job *job, struct mr_sheet *sheet, const char *kind, const char *title,
                     const char *dir);

#endif
