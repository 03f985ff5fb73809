/*
 * chart_table.h - figures out of the assessment's tables: what is drawn is what is told, so no chart works out a
 * number of its own.
 */
#ifndef MILRISE_RENDER_PLOT_CHART_TABLE_H
#define MILRISE_RENDER_PLOT_CHART_TABLE_H

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

/* Rows of a thickness table that speak of the system's film, in the table's order: those of zone z are
 * row[first[z]] to row[first[z + 1] - 1]. */
struct mr_film_rows {
    const struct mr_table *table; /* NULL: no such table, and no rows */
    const size_t *first;          /* shape: zones + 1 */
    const size_t *row;
};
struct mr_film_rows mr_film_rows_of(struct mr_arena *arena, const struct mr_assessment *a, const char *id);

/** mr_spot_um - the mean of a row of the table of spots as it is judged: of the usual readings where some are not. */
double mr_spot_um(const struct mr_table *spots, size_t row);

/** mr_film_misses - whether a mean misses any limit of its zone that speaks of its sort ("spot", "area"). limits:
 * rows of the table thickness-limits. */
bool mr_film_misses(const struct mr_film_rows *limits, size_t zone, const char *value, double um);

/** mr_film_has_limit - whether any limit of the zone speaks of this sort. */
bool mr_film_has_limit(const struct mr_film_rows *limits, size_t zone, const char *value);

/** mr_film_normality - p of the test of a zone's spots for normality; NaN where none was made. tests: rows of the
 * table thickness-order. mr_film_is_normal - whether it does not speak against a normal film at the significance that
 * is set for the zone: only then is a normal curve or line drawn. */
double mr_film_normality(const struct mr_film_rows *tests, size_t zone);
bool mr_film_is_normal(const struct mr_assessment *a, size_t zone, double p);

/** mr_normal_score - expected place of the i-th of n normal values in order, i from 1, in standard deviations: the
 * quantile of (i - 3/8) / (n + 1/4). G. Blom, Statistical Estimates and Transformed Beta-Variables (1958). */
double mr_normal_score(size_t i, size_t n);

#endif
