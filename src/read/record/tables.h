/*
 * tables.h - which part of the file a row is, by the file's shape; and a second table below the first.
 *
 * Rows below a header of other columns, or of another order, would be read by the names of the first one, so they
 * belong to another table from there on, until the first header stands there once more. Nearly every row is passed
 * over by the first byte of its first cell.
 */
#ifndef MILRISE_READ_TABLES_H
#define MILRISE_READ_TABLES_H

#include "read/record/record_reader.h"

struct mr_tables {
    struct mr_layout layout;
    size_t n;         /* names; 0 = no second table is looked for */
    uint32_t blank;   /* line of the last blank row; 0 = none. Set by the reader */
    bool other;       /* the rows now are another table's */
    bool begins[256]; /* first bytes of names and comments */
};

void mr_tables_begin(struct mr_tables *tables, const struct mr_layout *layout);

enum mr_row_part mr_tables_part_slowly(struct mr_tables *tables, const struct mr_row *row);

/** mr_tables_part - of a row that is neither blank nor broken. */
static inline enum mr_row_part mr_tables_part(struct mr_tables *tables, const struct mr_row *row) {
    bool plain = !(row->n && row->cell[0].n && tables->begins[(unsigned char)row->cell[0].p[0]]);
    if (plain && !tables->other && row->line >= tables->layout.first_body_line)
        return MR_ROW_BODY;
    return mr_tables_part_slowly(tables, row);
}

/** mr_tables_cut - whether a last line without line end looks cut. */
bool mr_tables_cut(const struct mr_tables *tables, uint32_t line, const struct mr_cell *cell, size_t n);

#endif
