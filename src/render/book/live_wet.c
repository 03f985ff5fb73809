/*
 * live_wet.c - formulas of wet film with its forecast, and of areas before and after their repair.
 */
#include "render/book/live.h"

#include <math.h>
#include <string.h>

static mr_x op(struct mr_live *l, mr_x left, const char *operator, mr_x right) {
    return mr_x_op(l->scratch, left, operator, right);
}

/* --- wet film ------------------------------------------------------------------------------------------ */

static mr_x forecast_of(struct mr_live *l, const struct mr_table *t, size_t row, const char *wet) {
    return op(l, op(l, mr_live_cell(l, t, wet, row), "*", mr_live_cell(l, t, "dry_share", row)), "/",
              mr_x_number(l->scratch, 100));
}

static mr_x forecast(struct mr_live *l, const struct mr_table *t, size_t row) {
    return forecast_of(l, t, row, "wet");
}

static mr_x forecast_mean(struct mr_live *l, const struct mr_table *t, size_t row) {
    return forecast_of(l, t, row, "wet_mean");
}

static mr_x forecast_min(struct mr_live *l, const struct mr_table *t, size_t row) {
    return forecast_of(l, t, row, "wet_min");
}

static mr_x forecast_max(struct mr_live *l, const struct mr_table *t, size_t row) {
    return forecast_of(l, t, row, "wet_max");
}

/* The readings of a row's zone and coat follow each other in their table; as many as the row says. */
static mr_x wet_readings(struct mr_live *l, const struct mr_table *t, size_t row, const char *function) {
    const struct mr_table *all = mr_find_table(l->o->a, "wet-film-readings");
    size_t from = 0;
    for (size_t r = 0; r < row; r++)
        from += (size_t)mr_live_value(t, "readings", r).count;
    const size_t n = (size_t)mr_live_value(t, "readings", row).count;
    for (size_t r = from; r < from + n; r++)
        if (!all || r >= all->n_rows || strcmp(mr_live_text(all, "zone", r), mr_live_text(t, "zone", row)) != 0 ||
            strcmp(mr_live_text(all, "coat", r), mr_live_text(t, "coat", row)) != 0)
            return NULL;
    return n ? mr_x_call(l->scratch, function, mr_live_range(l, all, "wet", from, from + n - 1)) : NULL;
}

static mr_x wet_count(struct mr_live *l, const struct mr_table *t, size_t row) {
    return wet_readings(l, t, row, "COUNT");
}

static mr_x wet_mean(struct mr_live *l, const struct mr_table *t, size_t row) {
    return wet_readings(l, t, row, "AVERAGE");
}

static mr_x wet_min(struct mr_live *l, const struct mr_table *t, size_t row) {
    return wet_readings(l, t, row, "MIN");
}

static mr_x wet_max(struct mr_live *l, const struct mr_table *t, size_t row) {
    return wet_readings(l, t, row, "MAX");
}

/* --- before and after repair --------------------------------------------------------------------------- */

static bool near(struct mr_value a, struct mr_value b) {
    return a.type == MR_V_NUMBER && b.type == MR_V_NUMBER && fabs(a.number - b.number) < 1e-9;
}

/* The area after its repair, among the areas of the first rule, where that survey is the one that counts: its figures
 * are those of the row. MR_NONE. */
static size_t area_after(struct mr_live *l, const struct mr_table *t, size_t row) {
    size_t n;
    const size_t *at = mr_rows_of_zone(l, l->areas, mr_live_text(t, "zone", row), &n);
    for (size_t i = 0; i < n; i++)
        if (!strcmp(mr_live_text(l->areas, "coat", at[i]), mr_live_text(t, "coat", row)) &&
            !strcmp(mr_live_text(l->areas, "area", at[i]), mr_live_text(t, "area", row)))
            return mr_live_value(l->areas, "firm", at[i]).count == mr_live_value(t, "spots_after", row).count &&
                           near(mr_live_value(l->areas, "mean", at[i]), mr_live_value(t, "mean_after", row))
                       ? at[i]
                       : MR_NONE;
    return MR_NONE;
}

static mr_x mean_after(struct mr_live *l, const struct mr_table *t, size_t row) {
    const size_t area = area_after(l, t, row);
    return area == MR_NONE ? NULL : mr_live_cell(l, l->areas, "mean", area);
}

static mr_x spots_after(struct mr_live *l, const struct mr_table *t, size_t row) {
    const size_t area = area_after(l, t, row);
    return area == MR_NONE ? NULL : mr_live_cell(l, l->areas, "firm", area);
}

/* The least spot, where every spot of the area is complete. */
static mr_x least_after(struct mr_live *l, const struct mr_table *t, size_t row) {
    const size_t area = area_after(l, t, row);
    if (area == MR_NONE || l->area_first[area] == MR_NONE)
        return NULL;
    const size_t n = (size_t)mr_live_value(l->areas, "spots", area).count, from = l->area_first[area];
    const bool usual = !strcmp(mr_live_text(l->areas, "readings", area), "usual");
    if (n == 0 || mr_live_value(l->areas, "firm", area).count != (int64_t)n)
        return NULL;
    return mr_x_call(l->scratch, "MIN",
                     mr_live_range(l, l->spots, usual ? "counted_mean" : "spot_mean", from, from + n - 1));
}

const struct mr_recipe mr_wet_recipes[] = {{"wet-film-readings", "forecast", forecast, false},
                                           {"wet-film", "readings", wet_count, false},
                                           {"wet-film", "wet_mean", wet_mean, false},
                                           {"wet-film", "wet_min", wet_min, false},
                                           {"wet-film", "wet_max", wet_max, false},
                                           {"wet-film", "forecast_mean", forecast_mean, false},
                                           {"wet-film", "forecast_min", forecast_min, false},
                                           {"wet-film", "forecast_max", forecast_max, false},
                                           {"repaired-areas", "spots_after", spots_after, false},
                                           {"repaired-areas", "mean_after", mean_after, false},
                                           {"repaired-areas", "least_after", least_after, false},
                                           {NULL, NULL, NULL, false}};
