/*
 * live_readings.c - formulas of the gauge readings: corrected, and which of them are unusual, left out or in doubt
 * (film.c: mark_unusual, discard_unusual, mr_film_doubt), so that a reading changed in the sheet is judged as a new
 * report would judge it.
 */
#include "render/book/live.h"

#include <string.h>

static mr_x number(struct mr_live *l, double value) {
    return mr_x_number(l->scratch, value);
}

static mr_x op(struct mr_live *l, mr_x left, const char *operator, mr_x right) {
    return mr_x_op(l->scratch, left, operator, right);
}

bool mr_live_standings(const struct mr_live *l) {
    return l->spot_first && l->readings->n_rows <= MR_READINGS_LIVE;
}

/* Empty where the reading was taken out: what stands on it counts numbers only. */
static mr_x reading_corrected(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    mr_x shown = mr_live_cell(l, t, "shown", row);
    return mr_x_call(s, "IF", mr_x_call(s, "ISNUMBER", shown),
                     op(l, shown, "-", mr_live_cell(l, t, "correction", row)), mr_x_text(s, ""));
}

/* The readings of a reading's spot. */
struct spot_of {
    size_t from, to; /* the last one in */
    mr_x shown, several;
};

static struct spot_of spot_of(struct mr_live *l, const struct mr_table *t, size_t row) {
    if (!mr_live_standings(l))
        return (struct spot_of){.from = MR_NONE};
    const size_t spot = l->reading_spot[row];
    struct spot_of of = {.from = l->spot_first[spot], .to = l->spot_first[spot + 1] - 1};
    if (of.to < of.from + 2 || mr_live_value(t, "from_median", row).type != MR_V_NUMBER)
        return (struct spot_of){.from = MR_NONE};
    of.shown = mr_live_range(l, t, "shown", of.from, of.to);
    of.several = op(l, mr_x_call(l->scratch, "COUNT", of.shown), ">", number(l, 2));
    return of;
}

static mr_x reading_from_median(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct spot_of of = spot_of(l, t, row);
    mr_x shown = mr_live_cell(l, t, "shown", row);
    return mr_x_call(s, "IF", op(l, mr_x_call(s, "ISNUMBER", shown), "*", of.several),
                     mr_x_call(s, "ABS", op(l, shown, "-", mr_x_call(s, "MEDIAN", of.shown))),
                     mr_x_text(s, MR_FEW_IN_SPOT));
}

static mr_x reading_others(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct spot_of of = spot_of(l, t, row);
    if (of.from == MR_NONE)
        return NULL;
    mr_x before = row > of.from ? mr_live_range(l, t, "shown", of.from, row - 1) : NULL,
         after = row < of.to ? mr_live_range(l, t, "shown", row + 1, of.to) : NULL;
    mr_x median =
        before && after ? mr_x_call(s, "MEDIAN", before, after) : mr_x_call(s, "MEDIAN", before ? before : after);
    return mr_x_call(s, "IF", of.several, median, mr_x_text(s, MR_FEW_IN_SPOT));
}

/* Whether a value lies beyond some limit for spots of any rule in force; NULL: there is none. */
static mr_x beyond_spots(struct mr_live *l, const char *zone, const char *coat, mr_x value) {
    const struct mr_block *b = mr_block_of(&l->limit_films, zone, coat, NULL);
    mr_x any = NULL;
    for (size_t r = b ? b->from : 1; b && r <= b->to; r++) {
        if (strcmp(mr_live_text(l->limits, "value", r), "spot") != 0 ||
            mr_live_value(l->limits, "limit", r).type != MR_V_NUMBER)
            continue;
        mr_x one = op(l, number(l, 1), "*", mr_live_beyond(l, l->limits, r, value));
        any = any ? op(l, any, "+", one) : one;
    }
    return any ? op(l, any, ">", number(l, 0)) : NULL;
}

static mr_x kept(struct mr_live *l, const struct mr_table *t, size_t row, mr_x others) {
    struct mr_arena *s = l->scratch;
    const char *zone = mr_live_text(t, "zone", row), *coat = mr_live_text(t, "coat", row);
    mr_x own = beyond_spots(l, zone, coat, mr_live_cell(l, t, "corrected", row)),
         rest = beyond_spots(l, zone, coat, op(l, others, "-", mr_live_cell(l, t, "correction", row)));
    if (!own)
        return mr_x_text(s, "unusual");
    return mr_live_if(l, op(l, own, "*", op(l, number(l, 1), "-", rest)), "in doubt", "unusual");
}

static mr_x reading_standing(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct spot_of of = spot_of(l, t, row);
    const struct mr_block *film =
        mr_block_of(&l->summary_films, mr_live_text(t, "zone", row), mr_live_text(t, "coat", row), NULL);
    if (of.from == MR_NONE || !film)
        return NULL;
    mr_x shown = mr_live_cell(l, t, "shown", row), others = mr_live_cell(l, t, "others", row),
         spread = mr_live_cell(l, l->summary, "spread_within", film->from), slack = number(l, MR_LIVE_SLACK);
    mr_x low = op(l, mr_x_text(s, ">="), "&", op(l, shown, "-", op(l, spread, "+", slack))),
         high = op(l, mr_x_text(s, ">"), "&", op(l, shown, "+", op(l, spread, "+", slack)));
    mr_x near = op(l, mr_x_call(s, "COUNTIF", of.shown, low), "-", mr_x_call(s, "COUNTIF", of.shown, high)),
         limit = op(l, mr_live_cell(l, l->summary, "unusual_beyond", film->from), "+", slack),
         far = op(l, mr_x_call(s, "ABS", op(l, shown, "-", others)), ">", limit);
    mr_x unusual = kept(l, t, row, others);
    if (mr_live_value(l->summary, "keep_least", film->from).type == MR_V_COUNT) {
        mr_x left = mr_x_call(s, "COUNT", of.shown);
        if (row > of.from)
            left = op(
                l, left, "-",
                mr_x_call(s, "COUNTIF", mr_live_range(l, t, "standing", of.from, row - 1), mr_x_text(s, "left out")));
        unusual = mr_x_call(s, "IF", op(l, left, ">", mr_live_cell(l, l->summary, "keep_least", film->from)),
                            mr_x_text(s, "left out"), unusual);
    }
    mr_x known = op(l, op(l, mr_x_call(s, "ISNUMBER", shown), "*", mr_x_call(s, "ISNUMBER", others)), "*",
                    mr_x_call(s, "ISNUMBER", spread));
    mr_x all = op(l, far, "*", op(l, near, "=", number(l, 1)));
    return mr_x_call(s, "IF", known, mr_x_call(s, "IF", all, unusual, mr_x_text(s, "usual")), mr_x_text(s, "usual"));
}

static mr_x reading_usual(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct mr_block *film =
        mr_block_of(&l->summary_films, mr_live_text(t, "zone", row), mr_live_text(t, "coat", row), NULL);
    mr_x corrected = mr_live_cell(l, t, "corrected", row);
    const bool stays = mr_live_value(t, "usual", row).type == MR_V_NUMBER;
    if (!film || mr_live_value(l->summary, "keep_least", film->from).type != MR_V_COUNT || !mr_live_standings(l))
        return stays ? corrected : NULL;
    mr_x left_out = op(l, mr_live_cell(l, t, "standing", row), "=", mr_x_text(s, "left out"));
    return mr_x_call(s, "IF", left_out, mr_x_text(s, MR_LEFT_OUT), corrected);
}

const struct mr_recipe mr_reading_recipes[] = {{"gauge-readings", "corrected", reading_corrected, false},
                                               {"gauge-readings", "from_median", reading_from_median, false},
                                               {"gauge-readings", "others", reading_others, false},
                                               {"gauge-readings", "standing", reading_standing, false},
                                               {"gauge-readings", "usual", reading_usual, true},
                                               {NULL, NULL, NULL, false}};
