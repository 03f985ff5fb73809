/*
 * chart_table.c - see the header.
 */
#include "render/chart/chart_table.h"

#include <string.h>

const struct mr_table *mr_find_table(const struct mr_assessment *a, const char *id) {
    for (size_t i = 0; i < a->tables.n; i++)
        if (strcmp(a->tables.v[i]->id, id) == 0)
            return a->tables.v[i];
    return NULL;
}

size_t mr_find_column(const struct mr_table *table, const char *stem) {
    static const char *const units[] = {"", "_mil", "_um"};
    const size_t n = strlen(stem);
    for (size_t c = 0; table && c < table->n_fields; c++)
        for (size_t u = 0; u < MR_COUNT(units); u++)
            if (strncmp(table->fields[c].key, stem, n) == 0 && strcmp(table->fields[c].key + n, units[u]) == 0)
                return c;
    return MR_NONE;
}

static const struct mr_value *value_at(const struct mr_table *table, size_t row, size_t column,
                                       enum mr_value_type type) {
    if (column == MR_NONE || row >= table->n_rows)
        return NULL;
    const struct mr_value *v = &table->values.v[row * table->n_fields + column];
    return v->type == type ? v : NULL;
}

double mr_cell_number(const struct mr_table *table, size_t row, const char *column) {
    const size_t c = mr_find_column(table, column);
    const struct mr_value *v = value_at(table, row, c, MR_V_NUMBER);
    return v ? mr_to_canonical(table->fields[c].unit, v->number) : MR_NAN;
}

int64_t mr_cell_count(const struct mr_table *table, size_t row, const char *column) {
    const size_t c = mr_find_column(table, column);
    const struct mr_value *v = value_at(table, row, c, MR_V_COUNT);
    if (!v)
        v = value_at(table, row, c, MR_V_OUTCOME);
    return v ? v->count : 0;
}

int64_t mr_cell_time(const struct mr_table *table, size_t row, const char *column) {
    const struct mr_value *v = value_at(table, row, mr_find_column(table, column), MR_V_TIME);
    return v ? v->count : MR_T_NONE;
}

const char *mr_cell_text(const struct mr_table *table, size_t row, const char *column) {
    const struct mr_value *v = value_at(table, row, mr_find_column(table, column), MR_V_TEXT);
    return v && v->text ? v->text : "";
}

size_t mr_row_of(const struct mr_table *table, size_t from, const char *zone, int coat) {
    for (size_t r = from; table && r < table->n_rows; r++)
        if (strcmp(mr_cell_text(table, r, "zone"), zone) == 0 &&
            (coat <= 0 || mr_cell_count(table, r, "coat") == coat))
            return r;
    return MR_NONE;
}
