/*
 * csv_text.h - a cell of a CSV file as spreadsheets read it: quoted where it must be, never taken for a formula.
 */
#ifndef MILRISE_RENDER_DATA_CSV_TEXT_H
#define MILRISE_RENDER_DATA_CSV_TEXT_H

#include "base/buffer.h"

/* What a file begins with, so that spreadsheets take it for UTF-8. */
#define MR_CSV_HEAD "\xef\xbb\xbf"

void mr_csv_cell(struct mr_buffer *out, const char *cell);

/** mr_csv_number - a number that a script reads: nine decimals, of great ones six, without zeros at the end; nothing
 *  where it is not finite. It goes out as it is, minus sign and all: no text that could be taken for a formula. */
void mr_csv_number(struct mr_buffer *out, double value);

/** mr_csv_digits - so many digits of a value at p, zeros before them. Returns: behind them. */
char *mr_csv_digits(char *p, uint64_t value, int digits);

#endif
