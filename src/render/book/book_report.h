/*
 * book_report.h - the workbook of a report.
 */
#ifndef MILRISE_RENDER_BOOK_BOOK_REPORT_H
#define MILRISE_RENDER_BOOK_BOOK_REPORT_H

#include "render/data/outline.h"

struct mr_book_paths {
    const char *workbook; /* to be written */
    const char *tmp_dir;
    bool charts; /* with pictures */
};

/** mr_book_report - write the workbook. Returns: NULL, or what went wrong as a clause. */
const char *mr_book_report(const struct mr_outline *outline, const struct mr_book_paths *paths);

#endif
