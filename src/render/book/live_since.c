/*
 * live_since.c - the sheets Typed over and Changed since: what was typed over (live_typed.h), row by row and added up
 * by zone and group of checks; and readings that came to a zone from others.
 */
#include "render/book/live_typed.h"

#include <string.h>

/* What the checks of each group rest on, in the order of mr_groups. */
#define OF(basis) (1u << (basis))
static const struct {
    const char *column;
    unsigned rests_on;
} groups[] = {
    {"thickness", OF(MR_OF_ALL) | OF(MR_OF_READINGS) | OF(MR_OF_FILM)},
    {"gauge", OF(MR_OF_ALL) | OF(MR_OF_READINGS) | OF(MR_OF_FILM) | OF(MR_OF_GAUGE)},
    {"climate", OF(MR_OF_ALL) | OF(MR_OF_CLIMATE)},
    {"reaction", OF(MR_OF_ALL) | OF(MR_OF_READINGS) | OF(MR_OF_FILM) | OF(MR_OF_REACTION)},
    {"lines", OF(MR_OF_ALL) | OF(MR_OF_LINES)},
    {"material", OF(MR_OF_ALL) | OF(MR_OF_READINGS) | OF(MR_OF_FILM) | OF(MR_OF_MATERIAL)},
    {"shift_record", OF(MR_OF_ALL) | OF(MR_OF_SHIFT)},
    {"history", OF(MR_OF_ALL) | OF(MR_OF_READINGS) | OF(MR_OF_FILM)},
};

static mr_x number(struct mr_live *l, double value) {
    return mr_x_number(l->scratch, value);
}

static mr_x op(struct mr_live *l, mr_x left, const char *operator, mr_x right) {
    return mr_x_op(l->scratch, left, operator, right);
}

static const char *zone_word(const struct mr_live *l, size_t zone) {
    return zone < l->o->a->aligned->zones.n ? l->o->a->aligned->zones.v[zone].name : "(whole job)";
}

static void make_typed(struct mr_live *l) {
    static const struct mr_field fields[] = {{"zone", "Zone", MR_UNIT_NONE, 0},
                                             {"basis", "Concerns", MR_UNIT_NONE, 0},
                                             {"sheet", "Sheet", MR_UNIT_NONE, 0},
                                             {"rows", "Rows of its table", MR_UNIT_NONE, 0},
                                             {"cells", "Cells typed over", MR_UNIT_NONE, 0}};
    struct mr_table *t = mr_table_new(
        l->arena, "typed-over", "Typed over",
        "Cells on which outcomes rest and that are not as they were reported, or rows beneath a table. Readings, "
        "specified limits, readings on shims and parts used are followed by formulas instead.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < l->guards.n; i++) {
        const struct mr_guard *g = &l->guards.v[i];
        size_t to = g->to;
        for (const struct mr_guard *more = g->more; more; more = more->more)
            to = more->to;
        const char *rows = g->kind == MR_GUARD_ADDED ? "beneath it"
                           : g->from == to           ? mr_printf(l->arena, "%zu", g->from + 1)
                                                     : mr_printf(l->arena, "%zu to %zu", g->from + 1, to + 1);
        const struct mr_value row[] = {mr_v_text(zone_word(l, g->zone)), mr_v_text(mr_basis_word(g->basis)),
                                       mr_v_text(g->table->title), mr_v_text(rows), mr_v_count(0)};
        mr_table_add(l->arena, t, row);
    }
    l->typed = t;
}

static void make_since(struct mr_live *l) {
    static const struct mr_field fields[] = {{"zone", "Zone", MR_UNIT_NONE, 0},
                                             {"reported", "Readings reported", MR_UNIT_NONE, 0},
                                             {"now", "Readings of this name now", MR_UNIT_NONE, 0},
                                             {"moved", "Readings under another name", MR_UNIT_NONE, 0},
                                             {"came", "Others came or went", MR_UNIT_NONE, 0},
                                             {"thickness", "Thickness", MR_UNIT_NONE, 0},
                                             {"gauge", "Gauge", MR_UNIT_NONE, 0},
                                             {"climate", "Climate", MR_UNIT_NONE, 0},
                                             {"reaction", "Reaction", MR_UNIT_NONE, 0},
                                             {"lines", "Lines", MR_UNIT_NONE, 0},
                                             {"material", "Material", MR_UNIT_NONE, 0},
                                             {"shift_record", "Shift record", MR_UNIT_NONE, 0},
                                             {"history", "History", MR_UNIT_NONE, 0}};
    const size_t zones = l->o->a->aligned->zones.n;
    struct mr_table *t = mr_table_new(
        l->arena, "changed-since", "Changed since",
        "What was changed in this workbook since the report and no formula follows, by zone and group of checks; the "
        "sheet Typed over tells where. All is 0 as reported. Where it is not, the checks say \"" MR_UNKNOWN_WORD
        "\".",
        MR_COUNT(fields), fields);
    for (size_t z = 0; z <= zones; z++) {
        size_t n = l->readings ? l->readings->n_rows : 0;
        if (z < zones)
            mr_rows_of_zone(l, l->readings, zone_word(l, z), &n);
        struct mr_value row[MR_COUNT(fields)] = {mr_v_text(zone_word(l, z)), mr_v_count((int64_t)n),
                                                 mr_v_count((int64_t)n)};
        for (size_t c = 3; c < MR_COUNT(fields); c++)
            row[c] = mr_v_count(0);
        mr_table_add(l->arena, t, row);
    }
    l->since = t;
}

void mr_live_guard(struct mr_live *l, mr_recipes_fn *recipes) {
    if (!l->zones || l->o->a->aligned->zones.n == 0 || mr_many_zones(l->o))
        return;
    mr_find_guards(l, recipes);
    make_typed(l);
    make_since(l);
}

/* --- formulas ------------------------------------------------------------------------------------------- */

static mr_x typed_cells(struct mr_live *l, const struct mr_table *t, size_t row) {
    (void)t;
    return mr_live_unlike(l, &l->guards.v[row]);
}

/* Cells of a zone on which a group rests; NULL: none. */
static mr_x typed_of(struct mr_live *l, size_t zone, unsigned rests_on) {
    mr_x sum = NULL;
    for (size_t b = 0; b < MR_BASES; b++) {
        const size_t *first = &l->guard_first[zone * MR_BASES + b];
        if (!(rests_on & OF(b)) || first[0] == first[1])
            continue;
        sum = mr_live_plus(l, sum,
                           mr_x_call(l->scratch, "SUM", mr_live_range(l, l->typed, "cells", first[0], first[1] - 1)));
    }
    return sum;
}

static bool is_job(const struct mr_table *t, size_t row) {
    return row + 1 == t->n_rows;
}

static mr_x since_moved(struct mr_live *l, const struct mr_table *t, size_t row) {
    mr_x own = typed_of(l, row, OF(MR_OF_READINGS));
    return is_job(t, row)
               ? mr_live_plus(l, own, mr_x_call(l->scratch, "SUM", mr_live_range(l, t, "moved", 0, row - 1)))
               : own;
}

/* Counted anew only once a reading was moved. Of very many, each zone then has lost its own: all of them ask for a
 * new report. */
static mr_x since_now(struct mr_live *l, const struct mr_table *t, size_t row) {
    enum { COMPARED_MOST = 5000000 };
    struct mr_arena *s = l->scratch;
    if (!l->readings || l->readings->n_rows == 0)
        return NULL;
    if (is_job(t, row))
        return mr_x_call(s, "SUM", mr_live_range(l, t, "now", 0, row - 1));
    mr_x counted = number(l, -1);
    if (l->readings->n_rows <= MR_READINGS_LIVE && l->readings->n_rows * t->n_rows <= COMPARED_MOST)
        counted = mr_live_how_many(l, op(l, mr_live_range(l, l->readings, "zone", 0, l->readings->n_rows - 1), "=",
                                         mr_live_cell(l, t, "zone", row)));
    return mr_x_call(s, "IF", op(l, mr_live_cell(l, t, "moved", t->n_rows - 1), "=", number(l, 0)),
                     mr_live_cell(l, t, "reported", row), counted);
}

/* Readings under a name that is none of the zones' may belong to any: a new report knows other spellings. */
static mr_x since_came(struct mr_live *l, const struct mr_table *t, size_t row) {
    mr_x other =
        op(l, number(l, 1), "*", op(l, mr_live_cell(l, t, "now", row), "<>", mr_live_cell(l, t, "reported", row)));
    if (!l->readings || l->readings->n_rows == 0)
        return NULL;
    return mr_live_plus(
        l, other, is_job(t, row) ? typed_of(l, row, OF(MR_OF_READINGS)) : mr_live_cell(l, t, "came", t->n_rows - 1));
}

static mr_x since_group(struct mr_live *l, const struct mr_table *t, size_t row, size_t group) {
    const unsigned rests_on = groups[group].rests_on;
    mr_x sum = typed_of(l, row, rests_on & ~OF(MR_OF_READINGS));
    if (is_job(t, row))
        return sum;
    if (rests_on & OF(MR_OF_READINGS))
        sum =
            mr_live_plus(l, mr_live_plus(l, sum, mr_live_cell(l, t, "moved", row)), mr_live_cell(l, t, "came", row));
    return mr_live_plus(l, sum, mr_live_cell(l, t, groups[group].column, t->n_rows - 1));
}

#define SINCE_GROUP(name, group)                                                                                     \
    static mr_x since_##name(struct mr_live *l, const struct mr_table *t, size_t row) {                              \
        return since_group(l, t, row, group);                                                                        \
    }
SINCE_GROUP(thickness, 0)
SINCE_GROUP(gauge, 1)
SINCE_GROUP(climate, 2)
SINCE_GROUP(reaction, 3)
SINCE_GROUP(lines, 4)
SINCE_GROUP(material, 5)
SINCE_GROUP(shift_record, 6)
SINCE_GROUP(history, 7)

mr_x mr_live_guarded(struct mr_live *l, const struct mr_check *c, mr_x x) {
    struct mr_arena *s = l->scratch;
    size_t group = 0;
    if (!l->since)
        return x;
    while (group + 1 < MR_COUNT(groups) && strcmp(mr_groups[group], c->group) != 0)
        group++;
    const char *column = groups[group].column;
    const size_t rows = l->since->n_rows;
    mr_x changed = c->zone == MR_NONE ? mr_x_call(s, "SUM", mr_live_range(l, l->since, column, 0, rows - 1))
                                      : mr_live_cell(l, l->since, column, c->zone);
    return mr_live_follows(l, op(l, changed, "=", number(l, 0)), x ? x : mr_x_text(s, mr_outcome_text(c->outcome)));
}

const struct mr_recipe mr_typed_recipes[] = {{"typed-over", "cells", typed_cells, false},
                                             {"changed-since", "now", since_now, false},
                                             {"changed-since", "moved", since_moved, false},
                                             {"changed-since", "came", since_came, false},
                                             {"changed-since", "thickness", since_thickness, false},
                                             {"changed-since", "gauge", since_gauge, false},
                                             {"changed-since", "climate", since_climate, false},
                                             {"changed-since", "reaction", since_reaction, false},
                                             {"changed-since", "lines", since_lines, false},
                                             {"changed-since", "material", since_material, false},
                                             {"changed-since", "shift_record", since_shift_record, false},
                                             {"changed-since", "history", since_history, false},
                                             {NULL, NULL, NULL, false}};
