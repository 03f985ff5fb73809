/*
 * report_lists.h - checks and findings as tables, so that sheets, formulas and text see one kind of thing.
 */
#ifndef MILRISE_RENDER_DATA_REPORT_LISTS_H
#define MILRISE_RENDER_DATA_REPORT_LISTS_H

#include "render/data/outline.h"

/* A table that makes its rows one by one, so that a long one need not be held. */
struct mr_rows {
    const char *id, *title, *note;
    size_t n_fields;
    const struct mr_field *fields; /* constants */
    size_t n;
    void (*row)(const struct mr_rows *rows, const struct mr_outline *outline, struct mr_arena *arena, size_t i,
                struct mr_value *out);
    const struct mr_table *table; /* where the rows are there already */
};

/** mr_check_rows, mr_finding_rows - a row for each, in the assessment's order. */
struct mr_rows mr_check_rows(const struct mr_outline *outline);
struct mr_rows mr_finding_rows(const struct mr_outline *outline);

/** mr_rows_table - all of them as a table. */
const struct mr_table *mr_rows_table(const struct mr_outline *outline, const struct mr_rows *rows);

#endif
