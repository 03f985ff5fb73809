/*
 * live_climate.c - formulas of dew point and spread from air, humidity and steel at the moment of the least spread.
 * The logs themselves are not in the workbook: which moment it was stays a value.
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
        mr_live_value(t, "air", row)->type != MR_V_NUMBER || mr_live_value(t, "humidity", row)->type != MR_V_NUMBER)
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
        if (mr_live_value(t, "coat", row[i])->count == coat &&
            fabs(mr_live_value(t, "spread", row[i])->number - value) < 1e-9)
            return mr_live_cell(l, t, "spread", row[i]);
    return NULL;
}

static mr_x spread_least(struct mr_live *l, const struct mr_table *t, size_t row) {
    return mr_live_spread(l, mr_live_text(t, "zone", row), mr_live_value(t, "coat", row)->count,
                          mr_live_value(t, "spread_least", row)->number);
}

const struct mr_recipe mr_climate_recipes[] = {{"least-spread", "dew_point", dew_point, false},
                                               {"least-spread", "spread", spread, false},
                                               {"climate", "spread_least", spread_least, false},
                                               {NULL, NULL, NULL, false}};
