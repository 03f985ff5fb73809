/*
 * live_other.c - formulas of gauges, heat, material and climate. What comes from logs that are not in the workbook
 * stays a value there, and the formulas begin at it.
 */
#include "render/book/live.h"

#include <math.h>
#include <string.h>

static mr_x number(struct mr_live *l, double value) {
    return mr_x_number(l->scratch, value);
}

static mr_x op(struct mr_live *l, mr_x left, const char *operator, mr_x right) {
    return mr_x_op(l->scratch, left, operator, right);
}

/* --- gauges -------------------------------------------------------------------------------------------- */

static mr_x gauge_off(struct mr_live *l, const struct mr_table *t, size_t row) {
    return op(l, mr_live_cell(l, t, "reading", row), "-", mr_live_cell(l, t, "certified", row));
}

static mr_x gauge_result(struct mr_live *l, const struct mr_table *t, size_t row) {
    const bool sum = !strcmp(mr_live_text(t, "in_force", row), "sum");
    const char *column = sum ? "tolerance_sum" : "tolerance_rss";
    const struct mr_value off = mr_live_value(t, "off", row), tolerance = mr_live_value(t, column, row);
    if (off.type != MR_V_NUMBER || tolerance.type != MR_V_NUMBER)
        return NULL;
    const double size = off.number < 0 ? -off.number : off.number;
    const bool passes = size <= tolerance.number + MR_LIVE_SLACK;
    if (strcmp(mr_live_text(t, "result", row), passes ? "passed" : "failed") != 0)
        return NULL;
    mr_x limit = op(l, mr_live_cell(l, t, column, row), "+", number(l, MR_LIVE_SLACK));
    return mr_live_if(l, op(l, mr_x_call(l->scratch, "ABS", mr_live_cell(l, t, "off", row)), "<=", limit), "passed",
                      "failed");
}

/* --- heat ---------------------------------------------------------------------------------------------- */

static mr_x plain_rise(struct mr_live *l, const struct mr_table *t, size_t row) {
    return op(l, mr_live_cell(l, t, "peak_temperature", row), "-", mr_live_cell(l, t, "baseline", row));
}

static mr_x rise_ratio(struct mr_live *l, const struct mr_table *t, size_t row) {
    return op(l, op(l, number(l, 100), "*", mr_live_cell(l, t, "rise_adiabatic", row)), "/",
              mr_live_cell(l, t, "fit_rise", row));
}

/* The mean film of the zone's system, where that is the one that was compared. */
static mr_x rise_film(struct mr_live *l, const struct mr_table *t, size_t row) {
    const struct mr_block *b = mr_block_of(&l->summary_films, mr_live_text(t, "zone", row), "system", NULL);
    if (!b)
        return NULL;
    const double off = mr_live_value(l->summary, "mean", b->from).number - mr_live_value(t, "film", row).number;
    return off < 1e-9 && off > -1e-9 ? mr_live_cell(l, l->summary, "mean", b->from) : NULL;
}

/* The line goes through zero: its slope, as fitted, times the film. */
static mr_x on_line(struct mr_live *l, const struct mr_table *t, size_t row, const char *column) {
    const double film = mr_live_value(t, "film", row).number, rise = mr_live_value(t, column, row).number;
    return op(l, number(l, rise / film), "*", mr_live_cell(l, t, "film", row));
}

static mr_x rise_expected(struct mr_live *l, const struct mr_table *t, size_t row) {
    return on_line(l, t, row, "fit_rise");
}

static mr_x rise_low(struct mr_live *l, const struct mr_table *t, size_t row) {
    return on_line(l, t, row, "low_rise");
}

static mr_x rise_high(struct mr_live *l, const struct mr_table *t, size_t row) {
    return on_line(l, t, row, "high_rise");
}

/* --- material ------------------------------------------------------------------------------------------ */

static mr_x part_used(struct mr_live *l, const struct mr_table *t, size_t row, const char *column) {
    if (row + 1 < t->n_rows || t->n_rows < 2)
        return NULL;
    double sum = 0;
    for (size_t r = 0; r < row; r++)
        sum += mr_live_value(t, column, r).number;
    const double off = sum - mr_live_value(t, column, row).number;
    if (off > 1e-9 || off < -1e-9) /* rows of the log that belong to no shift */
        return NULL;
    return mr_x_call(l->scratch, "SUM", mr_live_range(l, t, column, 0, row - 1));
}

static mr_x part_a(struct mr_live *l, const struct mr_table *t, size_t row) {
    return part_used(l, t, row, "part_a");
}

static mr_x part_b(struct mr_live *l, const struct mr_table *t, size_t row) {
    return part_used(l, t, row, "part_b");
}

static mr_x mixed(struct mr_live *l, const struct mr_table *t, size_t row) {
    return op(l, mr_live_cell(l, t, "part_a", row), "+", mr_live_cell(l, t, "part_b", row));
}

static mr_x ratio(struct mr_live *l, const struct mr_table *t, size_t row) {
    return op(l, mr_live_cell(l, t, "part_a", row), "/", mr_live_cell(l, t, "part_b", row));
}

static mr_x ratio_outcome(struct mr_live *l, const struct mr_table *t, size_t row) {
    if (mr_live_value(t, "ratio", row).type != MR_V_NUMBER ||
        mr_live_value(t, "ratio_tolerance", row).type != MR_V_NUMBER)
        return NULL;
    mr_x want = mr_live_cell(l, t, "ratio_wanted", row),
         off = mr_x_call(l->scratch, "ABS",
                         op(l, op(l, mr_live_cell(l, t, "ratio", row), "/", want), "-", number(l, 1))),
         bears = op(l, op(l, mr_live_cell(l, t, "ratio_tolerance", row), "/", number(l, 100)), "+",
                    number(l, MR_LIVE_SLACK));
    return mr_live_if(l, op(l, off, ">", bears), mr_outcome_text(MR_DOES_NOT_CONFORM), mr_outcome_text(MR_CONFORMS));
}

static mr_x on_steel(struct mr_live *l, const struct mr_table *t, size_t row, const char *used) {
    return op(l, op(l, number(l, 100), "*", mr_live_cell(l, t, "film", row)), "/", mr_live_cell(l, t, used, row));
}

static mr_x on_steel_of_mixed(struct mr_live *l, const struct mr_table *t, size_t row) {
    return on_steel(l, t, row, "mixed");
}

static mr_x on_steel_of_share(struct mr_live *l, const struct mr_table *t, size_t row) {
    return on_steel(l, t, row, "consumed");
}

/* Area times mean thickness, in the units of the table. */
static mr_x zone_film(struct mr_live *l, const struct mr_table *t, size_t row) {
    const size_t area = mr_find_column(t, "area"), mean = mr_find_column(t, "mean_film"),
                 film = mr_find_column(t, "film");
    if (area == MR_NONE || mean == MR_NONE || film == MR_NONE)
        return NULL;
    const double litres =
        mr_to_canonical(t->fields[area].unit, 1.0) * mr_to_canonical(t->fields[mean].unit, 1.0) / 1e3;
    return op(l, op(l, mr_live_cell(l, t, "area", row), "*", mr_live_cell(l, t, "mean_film", row)), "*",
              number(l, mr_from_canonical(t->fields[film].unit, litres)));
}

/* The mean film of the zone's system, where that is the one that the balance took. */
static mr_x zone_mean_film(struct mr_live *l, const struct mr_table *t, size_t row) {
    const struct mr_block *b = mr_block_of(&l->summary_films, mr_live_text(t, "zone", row), "system", NULL);
    if (!b)
        return NULL;
    const double off = mr_live_value(l->summary, "mean", b->from).number - mr_live_value(t, "mean_film", row).number;
    return off < 1e-9 && off > -1e-9 ? mr_live_cell(l, l->summary, "mean", b->from) : NULL;
}

/* --- dew point and spread at the moment of the least spread ------------------------------------------- */

static bool fahrenheit(const struct mr_live *l) {
    return l->o->a->job->display.temp == MR_UNIT_F;
}

/* A temperature in degrees Celsius, and back in the unit of the table. */
static mr_x celsius(struct mr_live *l, mr_x cell) {
    return fahrenheit(l) ? op(l, op(l, op(l, cell, "-", number(l, 32)), "*", number(l, 5)), "/", number(l, 9)) : cell;
}

static mr_x shown(struct mr_live *l, mr_x degrees_c) {
    return fahrenheit(l) ? op(l, op(l, op(l, degrees_c, "*", number(l, 9)), "/", number(l, 5)), "+", number(l, 32))
                         : degrees_c;
}

/* Magnus form with Sonntag's constants of 1990, as the note of the table says; saturated air is at its dew point. */
static mr_x dew_point(struct mr_live *l, const struct mr_table *t, size_t row) {
    static const double a = 17.62, b = 243.12;
    struct mr_arena *s = l->scratch;
    if (strcmp(mr_live_text(t, "dew_source", row), "computed") != 0 ||
        mr_live_value(t, "air", row).type != MR_V_NUMBER || mr_live_value(t, "humidity", row).type != MR_V_NUMBER)
        return NULL;
    mr_x cell = mr_live_cell(l, t, "air", row), air = celsius(l, cell),
         humidity = mr_live_cell(l, t, "humidity", row);
    mr_x share = mr_x_call(s, "LN", op(l, humidity, "/", number(l, 100))),
         g = op(l, share, "+", op(l, op(l, number(l, a), "*", air), "/", op(l, number(l, b), "+", air)));
    mr_x dew = op(l, op(l, number(l, b), "*", g), "/", op(l, number(l, a), "-", g));
    return mr_x_call(s, "IF", op(l, humidity, ">=", number(l, 100)), cell, shown(l, dew));
}

static mr_x spread(struct mr_live *l, const struct mr_table *t, size_t row) {
    const double scale = mr_from_canonical(l->o->a->job->display.rise, 1.0) * (fahrenheit(l) ? 5.0 / 9.0 : 1.0);
    mr_x off = op(l, mr_live_cell(l, t, "steel", row), "-", mr_live_cell(l, t, "dew_point", row));
    return fabs(scale - 1) < 1e-12 ? off : op(l, off, "*", number(l, scale));
}

mr_x mr_live_spread(struct mr_live *l, const char *zone, int64_t coat, double value) {
    const struct mr_table *t = mr_find_table(l->o->a, "least-spread");
    size_t n;
    const size_t *row = mr_rows_of_zone(l, t, zone, &n);
    for (size_t i = 0; i < n; i++)
        if (mr_live_value(t, "coat", row[i]).count == coat &&
            fabs(mr_live_value(t, "spread", row[i]).number - value) < 1e-9)
            return mr_live_cell(l, t, "spread", row[i]);
    return NULL;
}

static mr_x spread_least(struct mr_live *l, const struct mr_table *t, size_t row) {
    return mr_live_spread(l, mr_live_text(t, "zone", row), mr_live_value(t, "coat", row).count,
                          mr_live_value(t, "spread_least", row).number);
}

const struct mr_recipe mr_other_recipes[] = {{"least-spread", "dew_point", dew_point, false},
                                             {"least-spread", "spread", spread, false},
                                             {"climate", "spread_least", spread_least, false},
                                             {"gauge-verifications", "off", gauge_off, false},
                                             {"gauge-verifications", "result", gauge_result, false},
                                             {"heat-events", "rise_plain", plain_rise, false},
                                             {"rise-against-thickness", "film", rise_film, false},
                                             {"rise-against-thickness", "fit_rise", rise_expected, false},
                                             {"rise-against-thickness", "low_rise", rise_low, false},
                                             {"rise-against-thickness", "high_rise", rise_high, false},
                                             {"rise-against-thickness", "ratio_pct", rise_ratio, false},
                                             {"material", "part_a", part_a, false},
                                             {"material", "part_b", part_b, false},
                                             {"material", "mixed", mixed, false},
                                             {"material", "ratio", ratio, false},
                                             {"material", "ratio_outcome", ratio_outcome, false},
                                             {"material", "on_steel", on_steel_of_mixed, false},
                                             {"material-zones", "mean_film", zone_mean_film, false},
                                             {"material-zones", "film", zone_film, false},
                                             {"material-zones", "on_steel", on_steel_of_share, false},
                                             {NULL, NULL, NULL, false}};
