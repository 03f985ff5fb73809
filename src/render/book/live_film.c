/*
 * live_film.c - formulas of spots and the statistics of each film, each over the table below it.
 */
#include "render/book/live.h"

#include <string.h>

static mr_x number(struct mr_live *l, double value) {
    return mr_x_number(l->scratch, value);
}

/* --- spots --------------------------------------------------------------------------------------------- */

static mr_x of_spot(struct mr_live *l, size_t row, const char *column) {
    return l->spot_first ? mr_live_range(l, l->readings, column, l->spot_first[row], l->spot_first[row + 1] - 1)
                         : NULL;
}

/* Nothing rather than an error where every reading was taken out. */
static mr_x where_any(struct mr_live *l, mr_x range, const char *function) {
    struct mr_arena *s = l->scratch;
    return mr_x_call(s, "IF", mr_x_op(s, mr_x_call(s, "COUNT", range), "=", number(l, 0)), mr_x_text(s, ""),
                     mr_x_call(s, function, range));
}

/* The same where a cell of the row counts them. */
static mr_x where_counted(struct mr_live *l, const struct mr_table *t, size_t row, const char *count, mr_x range,
                          const char *function) {
    struct mr_arena *s = l->scratch;
    return mr_x_call(s, "IF", mr_x_op(s, mr_live_cell(l, t, count, row), "=", number(l, 0)), mr_x_text(s, ""),
                     mr_x_call(s, function, range));
}

static mr_x spot_readings(struct mr_live *l, const struct mr_table *t, size_t row) {
    (void)t;
    return mr_x_call(l->scratch, "COUNT", of_spot(l, row, "shown"));
}

static mr_x all_of_spot(struct mr_live *l, size_t row, const char *function) {
    return where_counted(l, l->spots, row, "readings", of_spot(l, row, "corrected"), function);
}

static mr_x spot_mean(struct mr_live *l, const struct mr_table *t, size_t row) {
    (void)t;
    return all_of_spot(l, row, "AVERAGE");
}

static mr_x spot_min(struct mr_live *l, const struct mr_table *t, size_t row) {
    (void)t;
    return all_of_spot(l, row, "MIN");
}

static mr_x spot_max(struct mr_live *l, const struct mr_table *t, size_t row) {
    (void)t;
    return all_of_spot(l, row, "MAX");
}

static mr_x spot_counted(struct mr_live *l, const struct mr_table *t, size_t row) {
    (void)t;
    return mr_x_call(l->scratch, "COUNT", of_spot(l, row, "usual"));
}

static mr_x spot_doubted(struct mr_live *l, const struct mr_table *t, size_t row) {
    (void)t;
    return mr_x_call(l->scratch, "COUNTIF", of_spot(l, row, "standing"), mr_x_text(l->scratch, "in doubt"));
}

static mr_x spot_counted_mean(struct mr_live *l, const struct mr_table *t, size_t row) {
    return where_counted(l, t, row, "counted", of_spot(l, row, "usual"), "AVERAGE");
}

/* Spots of the same area follow each other; as many as the row says, or there is no formula. */
static mr_x spots_of_area(struct mr_live *l, const struct mr_table *t, size_t row) {
    const char *zone = mr_live_text(t, "zone", row), *coat = mr_live_text(t, "coat", row),
               *area = mr_live_text(t, "area", row);
    size_t from = row, to = row;
    while (from > 0 && !strcmp(mr_live_text(t, "area", from - 1), area) &&
           !strcmp(mr_live_text(t, "coat", from - 1), coat) && !strcmp(mr_live_text(t, "zone", from - 1), zone))
        from--;
    while (to + 1 < t->n_rows && !strcmp(mr_live_text(t, "area", to + 1), area) &&
           !strcmp(mr_live_text(t, "coat", to + 1), coat) && !strcmp(mr_live_text(t, "zone", to + 1), zone))
        to++;
    const struct mr_value n = mr_live_value(t, "area_spots", row);
    return n.type == MR_V_COUNT && (size_t)n.count == to + 1 - from ? mr_live_range(l, t, "spot_mean", from, to)
                                                                    : NULL;
}

static mr_x spot_area_mean(struct mr_live *l, const struct mr_table *t, size_t row) {
    return where_counted(l, t, row, "area_spots", spots_of_area(l, t, row), "AVERAGE");
}

static mr_x spot_area_spots(struct mr_live *l, const struct mr_table *t, size_t row) {
    return mr_x_call(l->scratch, "COUNT", spots_of_area(l, t, row));
}

/* --- spots as a rule holds them against a minimum or a maximum ------------------------------------------ */

/* So many readings more than a spot needs are left aside one by one in a formula. */
enum { ASIDE_MOST = 6 };

static mr_x op(struct mr_live *l, mr_x left, const char *operator, mr_x right) {
    return mr_x_op(l->scratch, left, operator, right);
}

/* The row of the limits that says how many readings a spot of the film needs, and which; MR_NONE. */
static size_t spot_limit(struct mr_live *l, const char *zone, const char *film) {
    const struct mr_block *b = mr_block_of(&l->limit_films, zone, film, NULL);
    for (size_t r = b ? b->from : 1; b && r <= b->to; r++)
        if (mr_live_value(l->limits, "per_spot", r).type == MR_V_COUNT)
            return r;
    return MR_NONE;
}

bool mr_live_has_sides(struct mr_live *l, const char *zone, const char *film) {
    const struct mr_block *b = mr_block_of(&l->spot_films, zone, film, NULL);
    const size_t limit = spot_limit(l, zone, film);
    if (!b || limit == MR_NONE || !l->spot_first || mr_find_column(l->spots, "mean_to_min") == MR_NONE)
        return false;
    const size_t need = (size_t)mr_live_value(l->limits, "per_spot", limit).count;
    for (size_t r = b->from; r <= b->to; r++)
        if (mr_live_value(l->spots, "mean_to_min", r).type != MR_V_NUMBER ||
            l->spot_first[r + 1] - l->spot_first[r] > need + ASIDE_MOST)
            return false;
    return true;
}

/* Sum of the readings without the farthest of them, by how many are left aside. */
static mr_x sum_without(struct mr_live *l, mr_x readings, mr_x aside, size_t most, bool upper) {
    struct mr_arena *s = l->scratch;
    mr_x sum = mr_x_call(s, "SUM", readings);
    for (size_t k = 1; k <= most; k++) {
        mr_x far = mr_x_call(s, upper ? "SMALL" : "LARGE", readings, number(l, (double)k));
        sum = op(l, sum, "-", mr_x_call(s, "IF", op(l, aside, ">=", number(l, (double)k)), far, number(l, 0)));
    }
    return sum;
}

static mr_x spot_side(struct mr_live *l, const struct mr_table *t, size_t row, bool upper) {
    struct mr_arena *s = l->scratch;
    const char *zone = mr_live_text(t, "zone", row), *film = mr_live_text(t, "coat", row);
    if (!mr_live_has_sides(l, zone, film))
        return NULL;
    const size_t limit = spot_limit(l, zone, film), from = l->spot_first[row], to = l->spot_first[row + 1] - 1,
                 need = (size_t)mr_live_value(l->limits, "per_spot", limit).count;
    const bool usual = !strcmp(mr_live_text(l->limits, "readings", limit), "usual");
    const struct mr_block *summary = mr_block_of(&l->summary_films, zone, film, NULL);
    const char *opposite = upper ? "limit_min" : "limit_max";
    mr_x readings = mr_live_range(l, l->readings, usual ? "usual" : "corrected", from, to),
         n = mr_x_call(s, "COUNT", readings);
    mr_x mean = mr_x_call(s, "AVERAGE", readings);
    if (to + 1 - from > need && summary && mr_live_value(l->summary, opposite, summary->from).type == MR_V_NUMBER) {
        mr_x edge = mr_live_cell(l, l->summary, opposite, summary->from), slack = number(l, MR_LIVE_SLACK);
        mr_x beyond = upper ? op(l, mr_x_text(s, "<"), "&", op(l, edge, "-", slack))
                            : op(l, mr_x_text(s, ">"), "&", op(l, edge, "+", slack));
        mr_x spare = op(l, n, "-", mr_live_cell(l, l->limits, "per_spot", limit));
        mr_x aside =
            mr_x_call(s, "MAX", number(l, 0), mr_x_call(s, "MIN", mr_x_call(s, "COUNTIF", readings, beyond), spare));
        mean = op(l, sum_without(l, readings, aside, to + 1 - from - need, upper), "/", op(l, n, "-", aside));
    }
    return mr_x_call(s, "IF", op(l, n, "=", number(l, 0)), mr_x_text(s, ""), mean);
}

static mr_x spot_to_min(struct mr_live *l, const struct mr_table *t, size_t row) {
    return spot_side(l, t, row, false);
}

static mr_x spot_to_max(struct mr_live *l, const struct mr_table *t, size_t row) {
    return spot_side(l, t, row, true);
}

/* --- statistics of a film ------------------------------------------------------------------------------ */

static mr_x film_readings(struct mr_live *l, const struct mr_table *t, size_t row) {
    const struct mr_block *b =
        mr_block_of(&l->reading_films, mr_live_text(t, "zone", row), mr_live_text(t, "coat", row), NULL);
    return b ? mr_live_range(l, l->readings, "usual", b->from, b->to) : NULL;
}

static mr_x film_spots(struct mr_live *l, const struct mr_table *t, size_t row) {
    const struct mr_block *b =
        mr_block_of(&l->spot_films, mr_live_text(t, "zone", row), mr_live_text(t, "coat", row), NULL);
    return b ? mr_live_range(l, l->spots, "counted_mean", b->from, b->to) : NULL;
}

static mr_x film_count(struct mr_live *l, const struct mr_table *t, size_t row) {
    return mr_x_call(l->scratch, "COUNT", film_readings(l, t, row));
}

static mr_x film_spot_count(struct mr_live *l, const struct mr_table *t, size_t row) {
    return mr_x_call(l->scratch, "COUNT", film_spots(l, t, row));
}

static mr_x film_mean(struct mr_live *l, const struct mr_table *t, size_t row) {
    return where_any(l, film_readings(l, t, row), "AVERAGE");
}

static mr_x film_min(struct mr_live *l, const struct mr_table *t, size_t row) {
    return where_any(l, film_readings(l, t, row), "MIN");
}

static mr_x film_max(struct mr_live *l, const struct mr_table *t, size_t row) {
    return where_any(l, film_readings(l, t, row), "MAX");
}

static mr_x film_median(struct mr_live *l, const struct mr_table *t, size_t row) {
    return where_any(l, film_readings(l, t, row), "MEDIAN");
}

static mr_x film_sd(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    mr_x range = film_readings(l, t, row);
    return mr_x_call(s, "IF", mr_x_op(s, mr_x_call(s, "COUNT", range), "<", number(l, 2)), mr_x_text(s, ""),
                     mr_x_call(s, "STDEV", range));
}

static mr_x film_cv(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    mr_x sd = mr_live_cell(l, t, "sd", row);
    return mr_x_call(s, "IF", mr_x_call(s, "ISNUMBER", sd),
                     mr_x_op(s, mr_x_op(s, number(l, 100), "*", sd), "/", mr_live_cell(l, t, "mean", row)),
                     mr_x_text(s, ""));
}

/* Quartile by the p(n + 1) rule (NIST/SEMATECH e-Handbook 7.2.6.2), written out: the suites' QUARTILE follows
 * another rule, and their QUARTILE.EXC is not known to all of them. */
static mr_x quartile(struct mr_live *l, mr_x range, double quarters) {
    struct mr_arena *s = l->scratch;
    mr_x n = mr_x_call(s, "COUNT", range);
    mr_x at = mr_x_op(s, mr_x_op(s, number(l, quarters), "*", mr_x_op(s, n, "+", number(l, 1))), "/", number(l, 4));
    mr_x low = mr_x_call(s, "MAX", number(l, 1), mr_x_call(s, "MIN", n, mr_x_call(s, "INT", at)));
    mr_x high = mr_x_call(s, "MIN", n, mr_x_op(s, mr_x_call(s, "INT", at), "+", number(l, 1)));
    mr_x below = mr_x_call(s, "SMALL", range, low), above = mr_x_call(s, "SMALL", range, high);
    mr_x part = mr_x_op(s, at, "-", mr_x_call(s, "INT", at));
    mr_x value = mr_x_op(s, below, "+", mr_x_op(s, part, "*", mr_x_op(s, above, "-", below)));
    return mr_x_call(s, "IF", mr_x_op(s, n, "=", number(l, 0)), mr_x_text(s, ""), value);
}

static mr_x film_q1(struct mr_live *l, const struct mr_table *t, size_t row) {
    return quartile(l, film_readings(l, t, row), 1);
}

static mr_x film_q3(struct mr_live *l, const struct mr_table *t, size_t row) {
    return quartile(l, film_readings(l, t, row), 3);
}

static mr_x share(struct mr_live *l, const struct mr_table *t, size_t row, bool upper) {
    struct mr_arena *s = l->scratch;
    mr_x spots = film_spots(l, t, row), n = mr_x_call(s, "COUNT", spots),
         limit = mr_live_cell(l, t, upper ? "limit_max" : "limit_min", row);
    mr_x beyond = upper ? mr_x_op(s, spots, ">", mr_x_op(s, limit, "+", number(l, MR_LIVE_SLACK)))
                        : mr_x_op(s, spots, "<", mr_x_op(s, limit, "-", number(l, MR_LIVE_SLACK)));
    mr_x count = mr_x_call(s, "SUMPRODUCT", mr_x_op(s, mr_live_numbers(l, spots), "*", beyond));
    return mr_x_call(s, "IF", mr_x_op(s, n, "=", number(l, 0)), mr_x_text(s, ""),
                     mr_x_op(s, mr_x_op(s, number(l, 100), "*", count), "/", n));
}

static mr_x film_below(struct mr_live *l, const struct mr_table *t, size_t row) {
    return share(l, t, row, false);
}

static mr_x film_above(struct mr_live *l, const struct mr_table *t, size_t row) {
    return share(l, t, row, true);
}

/* --- what is unusual, and what was changed ------------------------------------------------------------- */

static mr_x readings_of_film(struct mr_live *l, const struct mr_table *t, size_t row, const char *column) {
    const struct mr_block *b =
        mr_block_of(&l->reading_films, mr_live_text(t, "zone", row), mr_live_text(t, "coat", row), NULL);
    return b ? mr_live_range(l, l->readings, column, b->from, b->to) : NULL;
}

/* Linear between order statistics, as PERCENTILE does in every suite (quantile of type 7). */
static mr_x film_spread(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    mr_x range = readings_of_film(l, t, row, "from_median");
    return mr_x_call(s, "IF", mr_x_op(s, mr_x_call(s, "COUNT", range), "=", number(l, 0)), mr_x_text(s, ""),
                     mr_x_op(s, number(l, 1.4826), "*", mr_x_call(s, "PERCENTILE", range, number(l, 2.0 / 3))));
}

static mr_x film_unusual(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct mr_alignment *al = l->o->a->aligned;
    size_t n;
    const size_t *zone = mr_rows_of_zone(l, l->zones, mr_live_text(t, "zone", row), &n);
    if (!n || zone[0] >= al->zones.n)
        return NULL;
    mr_x spread = mr_live_cell(l, t, "spread_within", row),
         factor = number(l, mr_set_num(al->zones.v[zone[0]].settings, MR_DFT_UNUSUAL));
    return mr_x_call(s, "IF", mr_x_call(s, "ISNUMBER", spread), mr_x_op(s, factor, "*", spread), mr_x_text(s, ""));
}

static mr_x film_changed(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    mr_x other = mr_x_op(s, readings_of_film(l, t, row, "shown"), "<>", readings_of_film(l, t, row, "reported"));
    return mr_x_call(s, "SUMPRODUCT", mr_x_op(s, number(l, 1), "*", other));
}

const struct mr_recipe mr_film_recipes[] = {{"spots", "readings", spot_readings, false},
                                            {"spots", "spot_mean", spot_mean, false},
                                            {"spots", "min", spot_min, false},
                                            {"spots", "max", spot_max, false},
                                            {"spots", "counted", spot_counted, false},
                                            {"spots", "counted_mean", spot_counted_mean, false},
                                            {"spots", "doubted", spot_doubted, false},
                                            {"spots", "mean_to_min", spot_to_min, false},
                                            {"spots", "mean_to_max", spot_to_max, false},
                                            {"spots", "area_mean", spot_area_mean, false},
                                            {"spots", "area_spots", spot_area_spots, false},
                                            {"thickness-summary", "readings", film_count, false},
                                            {"thickness-summary", "spots", film_spot_count, false},
                                            {"thickness-summary", "mean", film_mean, false},
                                            {"thickness-summary", "sd", film_sd, false},
                                            {"thickness-summary", "cv_pct", film_cv, false},
                                            {"thickness-summary", "min", film_min, false},
                                            {"thickness-summary", "q1", film_q1, false},
                                            {"thickness-summary", "median", film_median, false},
                                            {"thickness-summary", "q3", film_q3, false},
                                            {"thickness-summary", "max", film_max, false},
                                            {"thickness-summary", "below_pct", film_below, false},
                                            {"thickness-summary", "above_pct", film_above, false},
                                            {"thickness-summary", "spread_within", film_spread, false},
                                            {"thickness-summary", "unusual_beyond", film_unusual, false},
                                            {"thickness-summary", "changed", film_changed, false},
                                            {NULL, NULL, NULL, false}};
