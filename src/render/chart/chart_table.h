/*
 * chart_table.h - figures out of the assessment's tables: what is drawn is what is told, so no chart works out a
 * number of its own.
 */
#ifndef MILRISE_RENDER_CHART_CHART_TABLE_H
#define MILRISE_RENDER_CHART_CHART_TABLE_H

#include "milrise/assess.h"

/** mr_find_table - by id; NULL. mr_find_column - by key, whatever unit ends it; MR_NONE. */
const struct mr_table *mr_find_table(const struct mr_assessment *a, const char *id);
size_t mr_find_column(const struct mr_table *table, const char *stem);

/** mr_cell_number - in canonical units; NaN where blank or no such column. mr_cell_count - 0 likewise. mr_cell_time -
 * MR_T_NONE likewise. mr_cell_text - "" likewise. */
double mr_cell_number(const struct mr_table *table, size_t row, const char *column);
int64_t mr_cell_count(const struct mr_table *table, size_t row, const char *column);
int64_t mr_cell_time(const struct mr_table *table, size_t row, const char *column);
const char *mr_cell_text(const struct mr_table *table, size_t row, const char *column);

/** mr_row_of - first row at or after from whose zone, and coat where it is above 0, are these; MR_NONE. */
size_t mr_row_of(const struct mr_table *table, size_t from, const char *zone, int coat);

#endif
