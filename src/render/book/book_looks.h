/*
 * book_looks.h - between book_xlsx.c and book_looks.c, the only users of libxlsxwriter.
 */
#ifndef MILRISE_RENDER_BOOK_BOOK_LOOKS_H
#define MILRISE_RENDER_BOOK_BOOK_LOOKS_H

#include "render/book/book.h"

#include <xlsxwriter.h>

/** mr_book_looks - makes all formats; look: shape MR_LOOKS. */
void mr_book_looks(lxw_workbook *book, lxw_format **look);

#endif
