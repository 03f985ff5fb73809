/*
 * live_limits.c - formulas of areas as the rules reckon them, of each limit, and of how much was measured.
 */
#include "render/book/live.h"

#include <string.h>

static mr_x number(struct mr_live *l, double value) {
    return mr_x_number(l->scratch, value);
}

/* ">=3", as COUNTIF and SUMIF take it. */
static mr_x at_least(struct mr_live *l, mr_x cell) {
    return mr_x_op(l->scratch, mr_x_text(l->scratch, ">="), "&", cell);
}

static bool usual(const struct mr_table *t, size_t row) {
    return strcmp(mr_live_text(t, "readings", row), "usual") == 0;
}

static const char *count_column(const struct mr_table *t, size_t row) {
    return usual(t, row) ? "counted" : "readings";
}

static const char *mean_column(const struct mr_table *t, size_t row) {
    return usual(t, row) ? "counted_mean" : "spot_mean";
}

/* --- areas --------------------------------------------------------------------------------------------- */

static mr_x area_spots(struct mr_live *l, const struct mr_table *t, size_t row, const char *column) {
    if (t != l->areas || l->area_first[row] == MR_NONE)
        return NULL;
    const size_t from = l->area_first[row];
    return mr_live_range(l, l->spots, column, from, from + (size_t)mr_live_value(t, "spots", row).count - 1);
}

/* Spots of a range that are complete without readings in doubt, as an array of 0 and 1. */
static mr_x firm_spots(struct mr_live *l, mr_x counts, mr_x doubted, mr_x per_spot) {
    return mr_x_op(l->scratch, mr_x_op(l->scratch, counts, "-", doubted), ">=", per_spot);
}

static mr_x area_firm(struct mr_live *l, const struct mr_table *t, size_t row) {
    mr_x firm = firm_spots(l, area_spots(l, t, row, count_column(t, row)), area_spots(l, t, row, "doubted"),
                           mr_live_cell(l, t, "per_spot", row));
    return mr_x_call(l->scratch, "SUMPRODUCT", mr_x_op(l->scratch, number(l, 1), "*", firm));
}

static mr_x area_complete(struct mr_live *l, const struct mr_table *t, size_t row) {
    return mr_x_call(l->scratch, "COUNTIF", area_spots(l, t, row, count_column(t, row)),
                     at_least(l, mr_live_cell(l, t, "per_spot", row)));
}

static mr_x mean_of_spots(struct mr_live *l, size_t row, const char *of_spots) {
    struct mr_arena *s = l->scratch;
    const struct mr_table *t = l->areas;
    mr_x complete = mr_live_cell(l, t, "complete", row);
    mr_x sum = mr_x_call(s, "SUMIF", area_spots(l, t, row, count_column(t, row)),
                         at_least(l, mr_live_cell(l, t, "per_spot", row)), area_spots(l, t, row, of_spots));
    return mr_x_call(s, "IF", mr_x_op(s, complete, "=", number(l, 0)), mr_x_text(s, ""),
                     mr_x_op(s, sum, "/", complete));
}

static mr_x area_mean(struct mr_live *l, const struct mr_table *t, size_t row) {
    return mean_of_spots(l, row, mean_column(t, row));
}

static mr_x area_to_side(struct mr_live *l, const struct mr_table *t, size_t row, const char *of_spots) {
    return mr_live_has_sides(l, mr_live_text(t, "zone", row), mr_live_text(t, "coat", row))
               ? mean_of_spots(l, row, of_spots)
               : NULL;
}

static mr_x area_to_min(struct mr_live *l, const struct mr_table *t, size_t row) {
    return area_to_side(l, t, row, "mean_to_min");
}

static mr_x area_to_max(struct mr_live *l, const struct mr_table *t, size_t row) {
    return area_to_side(l, t, row, "mean_to_max");
}

static mr_x area_whole(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    mr_x needed = mr_live_cell(l, t, "needed", row),
         doubt = mr_live_if(l, mr_x_op(s, mr_live_cell(l, t, "complete", row), ">=", needed), "in doubt", "no");
    return mr_x_call(s, "IF", mr_x_op(s, mr_live_cell(l, t, "firm", row), ">=", needed), mr_x_text(s, "yes"), doubt);
}

/* Beyond the limit, and no further than where another limit takes over. */
mr_x mr_live_beyond(struct mr_live *l, const struct mr_table *t, size_t row, mr_x values) {
    struct mr_arena *s = l->scratch;
    const bool upper = !strcmp(mr_live_text(t, "side", row), "at most");
    mr_x limit = mr_live_cell(l, t, "limit", row), slack = number(l, MR_LIVE_SLACK);
    mr_x out = upper ? mr_x_op(s, values, ">", mr_x_op(s, limit, "+", slack))
                     : mr_x_op(s, values, "<", mr_x_op(s, limit, "-", slack));
    if (mr_live_value(t, "from_pct", row).type != MR_V_NUMBER)
        return out;
    const struct mr_block *b =
        mr_block_of(&l->summary_films, mr_live_text(t, "zone", row), mr_live_text(t, "coat", row), NULL);
    mr_x least = b ? mr_live_cell(l, l->summary, "limit_min", b->from) : NULL;
    mr_x floor = mr_x_op(s, mr_x_op(s, mr_live_cell(l, t, "from_pct", row), "*", least), "/", number(l, 100));
    return mr_x_op(s, out, "*", mr_x_op(s, values, ">=", mr_x_op(s, floor, "-", slack)));
}

/* --- limits -------------------------------------------------------------------------------------------- */

enum limit_value { OF_READING, OF_SPOT, OF_AREA, OF_MEAN };

/* One row of the limits with the ranges that it judges. */
struct limit_row {
    enum limit_value value;
    bool upper, live;
    mr_x values;   /* the range judged; of mean: of its readings */
    mr_x counts;   /* readings of each spot */
    mr_x complete; /* over arrays: which of them are complete; NULL = all */
    mr_x judged;   /* over arrays, 0 where they are not: complete without readings in doubt, or beyond the limit */
};

static struct limit_row row_of(struct mr_live *l, const struct mr_table *t, size_t row) {
    static const char *const words[] = {"reading", "spot", "area", "mean"};
    struct mr_arena *s = l->scratch;
    const char *zone = mr_live_text(t, "zone", row), *coat = mr_live_text(t, "coat", row),
               *word = mr_live_text(t, "value", row);
    struct limit_row r = {.upper = !strcmp(mr_live_text(t, "side", row), "at most")};
    mr_x firm = NULL;
    const bool sides = mr_live_has_sides(l, zone, coat);
    const char *side = r.upper ? "mean_to_max" : "mean_to_min";
    while (r.value < OF_MEAN && strcmp(words[r.value], word) != 0)
        r.value++;
    const struct mr_block *readings = mr_block_of(&l->reading_films, zone, coat, NULL),
                          *spots = mr_block_of(&l->spot_films, zone, coat, NULL),
                          *areas = mr_block_of(&l->area_rules, zone, coat, mr_live_text(t, "rule", row));
    if (r.value == OF_SPOT && spots) {
        r.values = mr_live_range(l, l->spots, sides ? side : mean_column(t, row), spots->from, spots->to);
        r.counts = mr_live_range(l, l->spots, count_column(t, row), spots->from, spots->to);
        r.complete = mr_x_op(s, r.counts, ">=", mr_live_cell(l, t, "per_spot", row));
        firm = firm_spots(l, r.counts, mr_live_range(l, l->spots, "doubted", spots->from, spots->to),
                          mr_live_cell(l, t, "per_spot", row));
    } else if (r.value == OF_AREA && areas) {
        r.values = mr_live_range(l, l->areas, sides ? side : "mean", areas->from, areas->to);
        mr_x whole = mr_live_range(l, l->areas, "whole", areas->from, areas->to);
        r.complete = mr_x_op(s, whole, "<>", mr_x_text(s, "no"));
        firm = mr_x_op(s, whole, "=", mr_x_text(s, "yes"));
    } else if (readings && r.value != OF_SPOT && r.value != OF_AREA) {
        r.values = mr_live_range(l, l->readings, usual(t, row) ? "usual" : "corrected", readings->from, readings->to);
    }
    if (firm)
        r.judged = mr_x_op(s, firm, "+", mr_x_op(s, r.complete, "*", mr_live_beyond(l, t, row, r.values)));
    /* what the spreadsheet cannot repeat, and limits that the specification does not state, stay values */
    r.live = r.values && (sides || !mr_live_text(t, "remark", row)[0]) &&
             mr_live_value(t, "limit", row).type == MR_V_NUMBER;
    return r;
}

static mr_x limit_limit(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct mr_block *b =
        mr_block_of(&l->summary_films, mr_live_text(t, "zone", row), mr_live_text(t, "coat", row), NULL);
    const bool most = !strcmp(mr_live_text(t, "of", row), "maximum");
    mr_x specified = b ? mr_live_cell(l, l->summary, most ? "limit_max" : "limit_min", b->from) : NULL;
    return mr_x_op(s, mr_x_op(s, mr_live_cell(l, t, "percent", row), "*", specified), "/", number(l, 100));
}

static mr_x limit_judged(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct limit_row r = row_of(l, t, row);
    if (!r.live)
        return NULL;
    if (r.judged)
        return mr_x_call(s, "SUMPRODUCT", mr_x_op(s, number(l, 1), "*", mr_x_op(s, r.judged, ">", number(l, 0))));
    mr_x n = mr_x_call(s, "COUNT", r.values);
    return r.value == OF_MEAN ? mr_x_call(s, "MIN", number(l, 1), n) : n;
}

static mr_x limit_missed(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct limit_row r = row_of(l, t, row);
    if (!r.live)
        return NULL;
    mr_x values = r.value == OF_MEAN ? mr_live_cell(l, t, "worst", row) : r.values;
    mr_x number_there = r.value == OF_MEAN ? mr_x_call(s, "ISNUMBER", values) : mr_live_numbers(l, values);
    mr_x which = mr_x_op(s, number_there, "*", mr_live_beyond(l, t, row, values));
    if (r.complete)
        which = mr_x_op(s, r.complete, "*", which);
    return mr_x_call(s, "SUMPRODUCT", which);
}

/* As is_half_measured of rules_judge.c; a value at the limit by rounding counts as in the formula. */
static size_t thin_reported(struct mr_live *l, size_t limit, const struct mr_block *areas, const char *column) {
    const bool upper = !strcmp(mr_live_text(l->limits, "side", limit), "at most");
    const double bound = mr_live_value(l->limits, "limit", limit).number;
    size_t n = 0;
    for (size_t r = areas->from; r <= areas->to; r++) {
        const struct mr_value mean_cell = mr_live_value(l->areas, column, r), *mean = &mean_cell;
        const int64_t complete = mr_live_value(l->areas, "complete", r).count;
        if (mean->type != MR_V_NUMBER || strcmp(mr_live_text(l->areas, "whole", r), "no") != 0 || complete == 0 ||
            2 * complete < mr_live_value(l->areas, "needed", r).count)
            continue;
        n += upper ? mean->number > bound + MR_LIVE_SLACK : mean->number < bound - MR_LIVE_SLACK;
    }
    return n;
}

mr_x mr_live_thin_areas(struct mr_live *l, const char *zone, const char *film, size_t *out_reported) {
    struct mr_arena *s = l->scratch;
    const struct mr_block *b = mr_block_of(&l->limit_films, zone, film, NULL);
    const bool sides = mr_live_has_sides(l, zone, film);
    mr_x all = NULL;
    *out_reported = 0;
    for (size_t r = b ? b->from : 1; b && r <= b->to; r++) {
        const struct mr_block *areas = mr_block_of(&l->area_rules, zone, film, mr_live_text(l->limits, "rule", r));
        if (strcmp(mr_live_text(l->limits, "value", r), "area") != 0 || !areas ||
            mr_live_value(l->limits, "limit", r).type != MR_V_NUMBER)
            continue;
        const struct limit_row row = row_of(l, l->limits, r);
        mr_x complete = mr_live_range(l, l->areas, "complete", areas->from, areas->to),
             needed = mr_live_range(l, l->areas, "needed", areas->from, areas->to);
        mr_x half = mr_x_op(s, mr_x_op(s, mr_x_op(s, number(l, 2), "*", complete), ">=", needed), "*",
                            mr_x_op(s, complete, ">", number(l, 0)));
        mr_x out = mr_x_op(s, mr_live_numbers(l, row.values), "*", mr_live_beyond(l, l->limits, r, row.values));
        mr_x short_of =
            mr_x_op(s, mr_live_range(l, l->areas, "whole", areas->from, areas->to), "=", mr_x_text(s, "no"));
        mr_x one = mr_x_call(s, "SUMPRODUCT", mr_x_op(s, mr_x_op(s, half, "*", short_of), "*", out));
        *out_reported += thin_reported(l, r, areas, sides ? row.upper ? "mean_to_max" : "mean_to_min" : "mean");
        all = all ? mr_x_op(s, all, "+", one) : one;
    }
    return all;
}

mr_x mr_live_missed_by_all(struct mr_live *l, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct limit_row r = row_of(l, l->limits, row);
    if (!r.values || !r.complete || mr_live_value(l->limits, "may_miss_pct", row).type == MR_V_NUMBER ||
        mr_live_value(l->limits, "limit", row).type != MR_V_NUMBER)
        return NULL;
    mr_x which = mr_x_op(s, mr_live_numbers(l, r.values), "*", mr_live_beyond(l, l->limits, row, r.values));
    return mr_x_call(s, "SUMPRODUCT", mr_x_op(s, r.complete, "*", which));
}

/* The least or greatest of the complete ones; a formula over arrays, for no suite's MINIFS is everybody's. */
static mr_x limit_worst(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct limit_row r = row_of(l, t, row);
    if (!r.live)
        return NULL;
    const char *extreme = r.upper ? "MAX" : "MIN";
    if (r.value == OF_MEAN)
        return mr_x_call(s, "AVERAGE", r.values);
    if (!r.complete)
        return mr_x_call(s, extreme, r.values);
    mr_x judged = mr_x_call(s, "IF", mr_x_op(s, r.judged, ">", number(l, 0)), r.values);
    return mr_x_array(s, mr_x_call(s, "IF", mr_x_op(s, mr_live_cell(l, t, "judged", row), "=", number(l, 0)),
                                   mr_x_text(s, ""), mr_x_call(s, extreme, judged)));
}

static mr_x limit_short(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct limit_row r = row_of(l, t, row);
    if (!r.live || r.value != OF_SPOT)
        return NULL;
    mr_x incomplete = mr_x_op(s, r.counts, "<", mr_live_cell(l, t, "per_spot", row));
    mr_x which = mr_x_op(s, mr_live_numbers(l, r.values), "*", mr_live_beyond(l, t, row, r.values));
    return mr_x_call(s, "SUMPRODUCT", mr_x_op(s, incomplete, "*", which));
}

static mr_x limit_outcome(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    if (!row_of(l, t, row).live)
        return NULL;
    mr_x judged = mr_live_cell(l, t, "judged", row), missed = mr_live_cell(l, t, "missed", row);
    mr_x fails = mr_x_op(s, missed, ">", number(l, 0));
    if (mr_live_value(t, "may_miss_pct", row).type == MR_V_NUMBER) {
        mr_x bears = mr_x_op(s, judged, "*", mr_live_cell(l, t, "may_miss_pct", row));
        mr_x over =
            mr_x_call(s, "ROUND", mr_x_op(s, mr_x_op(s, missed, "*", number(l, 100)), "-", bears), number(l, 6));
        const bool strict = !strcmp(mr_live_text(t, "may_miss", row), "fewer than");
        fails = mr_x_op(s, over, strict ? ">=" : ">", number(l, 0));
    }
    return mr_x_call(s, "IF", mr_x_op(s, judged, "=", number(l, 0)), mr_x_text(s, mr_outcome_text(MR_NOT_SHOWN)),
                     mr_live_if(l, fails, mr_outcome_text(MR_DOES_NOT_CONFORM), mr_outcome_text(MR_CONFORMS)));
}

/* --- how much was measured ------------------------------------------------------------------------------ */

static const struct mr_block *sampled_areas(struct mr_live *l, const struct mr_table *t, size_t row) {
    return mr_block_of(&l->area_rules, mr_live_text(t, "zone", row), mr_live_text(t, "film", row),
                       mr_live_text(t, "rule", row));
}

/* Complete spots, or the readings in them. */
static mr_x sampled_spots(struct mr_live *l, const struct mr_table *t, size_t row, bool readings) {
    const struct mr_block *areas = sampled_areas(l, t, row),
                          *spots = mr_block_of(&l->spot_films, mr_live_text(t, "zone", row),
                                               mr_live_text(t, "film", row), NULL);
    if (!areas || !spots)
        return NULL;
    mr_x counts = mr_live_range(l, l->spots, count_column(l->areas, areas->from), spots->from, spots->to),
         firm = firm_spots(l, counts, mr_live_range(l, l->spots, "doubted", spots->from, spots->to),
                           mr_live_cell(l, l->areas, "per_spot", areas->from));
    return mr_x_call(l->scratch, "SUMPRODUCT", mr_x_op(l->scratch, readings ? counts : number(l, 1), "*", firm));
}

static mr_x areas_taken(struct mr_live *l, const struct mr_table *t, size_t row) {
    const struct mr_block *b = sampled_areas(l, t, row);
    return b ? mr_x_call(l->scratch, "COUNTIF", mr_live_range(l, l->areas, "whole", b->from, b->to),
                         mr_x_text(l->scratch, "yes"))
             : NULL;
}

static mr_x spots_taken(struct mr_live *l, const struct mr_table *t, size_t row) {
    return sampled_spots(l, t, row, false);
}

static mr_x readings_taken(struct mr_live *l, const struct mr_table *t, size_t row) {
    const struct mr_block *areas = sampled_areas(l, t, row);
    if (areas)
        return sampled_spots(l, t, row, true);
    const struct mr_block *b =
        mr_block_of(&l->reading_films, mr_live_text(t, "zone", row), mr_live_text(t, "film", row), NULL);
    const struct mr_block *limits =
        mr_block_of(&l->limit_films, mr_live_text(t, "zone", row), mr_live_text(t, "film", row), NULL);
    for (size_t r = limits ? limits->from : 1; b && limits && r <= limits->to; r++)
        if (!strcmp(mr_live_text(l->limits, "rule", r), mr_live_text(t, "rule", row)))
            return mr_x_call(
                l->scratch, "COUNT",
                mr_live_range(l, l->readings, usual(l->limits, r) ? "usual" : "corrected", b->from, b->to));
    return NULL;
}

static mr_x left(struct mr_live *l, const struct mr_table *t, size_t row, const char *asked, const char *taken) {
    return mr_x_call(l->scratch, "MAX", number(l, 0),
                     mr_x_op(l->scratch, mr_live_cell(l, t, asked, row), "-", mr_live_cell(l, t, taken, row)));
}

static mr_x areas_left(struct mr_live *l, const struct mr_table *t, size_t row) {
    return left(l, t, row, "areas_asked", "areas_taken");
}

static mr_x spots_left(struct mr_live *l, const struct mr_table *t, size_t row) {
    return left(l, t, row, "spots_asked", "spots_taken");
}

static mr_x readings_left(struct mr_live *l, const struct mr_table *t, size_t row) {
    return left(l, t, row, "readings_asked", "readings_taken");
}

const struct mr_recipe mr_limit_recipes[] = {{"thickness-areas", "complete", area_complete, false},
                                             {"thickness-areas", "firm", area_firm, false},
                                             {"thickness-areas", "mean", area_mean, false},
                                             {"thickness-areas", "mean_to_min", area_to_min, false},
                                             {"thickness-areas", "mean_to_max", area_to_max, false},
                                             {"thickness-areas", "whole", area_whole, false},
                                             {"thickness-limits", "limit", limit_limit, false},
                                             {"thickness-limits", "judged", limit_judged, false},
                                             {"thickness-limits", "missed", limit_missed, false},
                                             {"thickness-limits", "worst", limit_worst, true},
                                             {"thickness-limits", "short", limit_short, false},
                                             {"thickness-limits", "outcome", limit_outcome, false},
                                             {"thickness-sampling", "areas_taken", areas_taken, false},
                                             {"thickness-sampling", "spots_taken", spots_taken, false},
                                             {"thickness-sampling", "readings_taken", readings_taken, false},
                                             {"thickness-sampling", "areas_left", areas_left, false},
                                             {"thickness-sampling", "spots_left", spots_left, false},
                                             {"thickness-sampling", "readings_left", readings_left, false},
                                             {NULL, NULL, NULL, false}};
