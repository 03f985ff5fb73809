/*
 * csv_text.h - a cell of a CSV file as spreadsheets read it: quoted where it must be, never taken for a formula.
 */
#ifndef MILRISE_RENDER_DATA_CSV_TEXT_H
#define MILRISE_RENDER_DATA_CSV_TEXT_H

#include "base/buffer.h"

/* What a file begins with, so that spreadsheets take it for UTF-8. */
#define MR_CSV_HEAD "\xef\xbb\xbf"

void mr_csv_cell(struct mr_buffer *out, const char *cell);

#endif
