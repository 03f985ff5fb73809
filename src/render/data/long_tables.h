/*
 * long_tables.h - tables that a workbook leaves out, as CSV beside it: long ones where there are very many zones, and
 * the way of each of very many readings to its zone. Figures are those that the workbook would show; report.json and
 * its JSON Lines hold them in full precision.
 */
#ifndef MILRISE_RENDER_DATA_LONG_TABLES_H
#define MILRISE_RENDER_DATA_LONG_TABLES_H

#include "render/data/report_lists.h"

#include <stdio.h>

/** mr_csv_file - "tables/zones.csv" of a table of n rows that the workbook leaves out; NULL of others. */
const char *mr_csv_file(const struct mr_outline *outline, const char *id, size_t n);

/** mr_rows_of_table - the rows of a table that is there, one by one. table must outlive them. */
struct mr_rows mr_rows_of_table(const struct mr_table *table);

/** mr_csv_rows - write them to an open stream, which is closed. Returns: 0, or the errno of the first failure. */
int mr_csv_rows(const struct mr_outline *outline, const struct mr_rows *rows, FILE *file);

#endif
