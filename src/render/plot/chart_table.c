/*
 * chart_table.c - see the header.
 */
#include "render/plot/chart_table.h"

#include "numeric/distributions.h"

#include <math.h>
#include <string.h>

const struct mr_table *mr_find_table(const struct mr_assessment *a, const char *id) {
    for (size_t i = 0; i < a->tables.n; i++)
        if (strcmp(a->tables.v[i]->id, id) == 0)
            return a->tables.v[i];
    return NULL;
}

size_t mr_find_column(const struct mr_table *table, const char *stem) {
    static const char *const units[] = {"", "_mil", "_um", "_m", "_ft"};
    const size_t n = strlen(stem);
    for (size_t c = 0; table && c < table->n_fields; c++)
        for (size_t u = 0; u < MR_COUNT(units); u++)
            if (strncmp(table->fields[c].key, stem, n) == 0 && strcmp(table->fields[c].key + n, units[u]) == 0)
                return c;
    return MR_NONE;
}

/* A cell; blank where there is none, or where it is not of that type. */
static struct mr_value value_at(const struct mr_table *table, size_t row, size_t column, enum mr_value_type type) {
    const struct mr_value blank = {.type = MR_V_BLANK};
    if (column == MR_NONE || row >= table->n_rows)
        return blank;
    const struct mr_value v = mr_table_value(table, row, column);
    return v.type == type ? v : blank;
}

double mr_cell_number(const struct mr_table *table, size_t row, const char *column) {
    const size_t c = mr_find_column(table, column);
    const struct mr_value v = value_at(table, row, c, MR_V_NUMBER);
    return v.type == MR_V_NUMBER ? mr_to_canonical(table->fields[c].unit, v.number) : MR_NAN;
}

int64_t mr_cell_count(const struct mr_table *table, size_t row, const char *column) {
    const size_t c = mr_find_column(table, column);
    struct mr_value v = value_at(table, row, c, MR_V_COUNT);
    if (v.type != MR_V_COUNT)
        v = value_at(table, row, c, MR_V_OUTCOME);
    return v.type == MR_V_BLANK ? 0 : v.count;
}

int64_t mr_cell_time(const struct mr_table *table, size_t row, const char *column) {
    const struct mr_value v = value_at(table, row, mr_find_column(table, column), MR_V_TIME);
    return v.type == MR_V_TIME ? v.count : MR_T_NONE;
}

const char *mr_cell_text(const struct mr_table *table, size_t row, const char *column) {
    const struct mr_value v = value_at(table, row, mr_find_column(table, column), MR_V_TEXT);
    return v.type == MR_V_TEXT && v.text ? v.text : "";
}

size_t mr_row_of(const struct mr_table *table, size_t from, const char *zone, int coat) {
    for (size_t r = from; table && r < table->n_rows; r++)
        if (strcmp(mr_cell_text(table, r, "zone"), zone) == 0 &&
            (coat <= 0 || mr_cell_count(table, r, "coat") == coat))
            return r;
    return MR_NONE;
}

/* The zone that a row speaks of, sought from the one before on, as tables go in the order of zones. */
static size_t zone_of(const struct mr_assessment *a, const char *name, size_t from) {
    const size_t n = a->aligned->zones.n;
    for (size_t i = 0; i < n; i++) {
        const size_t z = (from + i) % n;
        if (strcmp(a->aligned->zones.v[z].name, name) == 0)
            return z;
    }
    return MR_NONE;
}

struct mr_film_rows mr_film_rows_of(struct mr_arena *arena, const struct mr_assessment *a, const char *id) {
    const size_t zones = a->aligned->zones.n;
    const struct mr_table *t = mr_find_table(a, id);
    const size_t n = t ? t->n_rows : 0, at = mr_find_column(t, "zone"), coat = mr_find_column(t, "coat");
    size_t *first = MR_ARRAY(arena, size_t, zones + 2), *row = MR_ARRAY(arena, size_t, n + 1),
           *zone = MR_ARRAY(arena, size_t, n + 1), last = 0;
    for (size_t r = 0; r < n; r++) {
        const struct mr_value name = value_at(t, r, at, MR_V_TEXT), film = value_at(t, r, coat, MR_V_TEXT);
        const bool whole = name.type == MR_V_TEXT && film.type == MR_V_TEXT && strcmp(film.text, "system") == 0;
        zone[r] = whole ? zone_of(a, name.text, last) : MR_NONE;
        if (zone[r] == MR_NONE)
            continue;
        last = zone[r];
        first[last + 2]++;
    }
    for (size_t z = 0; z < zones; z++)
        first[z + 2] += first[z + 1];
    for (size_t r = 0; r < n; r++) /* first[z + 1] is where the next row of zone z goes */
        if (zone[r] != MR_NONE)
            row[first[zone[r] + 1]++] = r;
    return (struct mr_film_rows){t, first, row};
}

double mr_spot_um(const struct mr_table *spots, size_t row) {
    const double counted = mr_cell_number(spots, row, "counted_mean");
    return isfinite(counted) ? counted : mr_cell_number(spots, row, "spot_mean");
}

bool mr_film_misses(const struct mr_film_rows *limits, size_t zone, const char *value, double um) {
    for (size_t i = limits->first[zone]; i < limits->first[zone + 1]; i++) {
        const size_t r = limits->row[i];
        const double limit = mr_cell_number(limits->table, r, "limit");
        const bool least = strcmp(mr_cell_text(limits->table, r, "side"), "at least") == 0;
        if (strcmp(mr_cell_text(limits->table, r, "value"), value) == 0 && (least ? um < limit : um > limit))
            return true;
    }
    return false;
}

bool mr_film_has_limit(const struct mr_film_rows *limits, size_t zone, const char *value) {
    for (size_t i = limits->first[zone]; i < limits->first[zone + 1]; i++)
        if (strcmp(mr_cell_text(limits->table, limits->row[i], "value"), value) == 0)
            return true;
    return false;
}

double mr_film_normality(const struct mr_film_rows *tests, size_t zone) {
    return tests->first[zone] < tests->first[zone + 1]
               ? mr_cell_number(tests->table, tests->row[tests->first[zone]], "normality_p")
               : MR_NAN;
}

bool mr_film_is_normal(const struct mr_assessment *a, size_t zone, double p) {
    const struct mr_settings *own = a->aligned->zones.v[zone].settings;
    return p >= mr_set_num(own ? own : &a->job->settings, MR_DFT_OUTLIER) / 100;
}

double mr_normal_score(size_t i, size_t n) {
    return mr_normal_q(((double)i - 0.375) / ((double)n + 0.25));
}
