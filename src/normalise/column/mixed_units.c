/*
 * mixed_units.c - whether a unit column states one unit or several. A blank below "mil" may be a merged cell where
 * every row is in mil; where others are in um it is anybody's guess, and a guess is wrong by a factor of 25. The
 * whole file is looked at, since the second unit may stand in its last row.
 */
#include "normalise/column/mixed_units.h"

#include "normalise/column/stated_unit.h"

enum { QUANTITIES = MR_DIM_DURATION + 1 };

struct unit_reader {
    struct mr_plan *plan;
    struct mr_stated_unit first[QUANTITIES]; /* of each quantity, the unit met first */
    bool known[QUANTITIES], mixed[QUANTITIES], strange;
};

static bool same_unit(const struct mr_stated_unit *a, const struct mr_stated_unit *b) {
    double x = a->scale.times * b->scale.over, y = b->scale.times * a->scale.over;
    return a->unit == b->unit && !(x < y) && !(x > y);
}

/* By the quantities of the file's own columns, since "mm" and "K" serve two each; a long log states its quantities by
 * channel, so there the unit alone says which it is. */
static void take_cell(struct unit_reader *u, const struct mr_cell *cell) {
    enum mr_unit any;
    bool taken[QUANTITIES] = {false};
    const bool is_unit = mr_unit_find(cell->p, cell->n, &any);
    for (size_t i = 0; i < u->plan->n; i++) {
        const struct mr_plan_column *c = &u->plan->col[i];
        enum mr_dim dim = c->as.meaning == MR_M_VALUE && is_unit ? mr_unit_dim(any) : mr_meaning_dim(c->as.meaning);
        struct mr_stated_unit says;
        if (dim == MR_DIM_NONE || taken[dim] || !mr_unit_scaled(cell->p, cell->n, dim, &says))
            continue;
        taken[dim] = true;
        u->mixed[dim] = u->mixed[dim] || (u->known[dim] && !same_unit(&u->first[dim], &says));
        u->first[dim] = u->known[dim] ? u->first[dim] : says;
        u->known[dim] = true;
    }
    bool fits = is_unit;
    for (int d = 0; d < QUANTITIES; d++)
        fits = fits || taken[d];
    u->strange = u->strange || !fits; /* a word that is no unit states another one than all others do */
}

static bool take_row(void *ctx, const struct mr_row *row) {
    struct unit_reader *u = ctx;
    if (row->part != MR_ROW_BODY || row->broken != MR_BROKEN_NO)
        return true;
    for (size_t i = 0; i < u->plan->n; i++) {
        const struct mr_plan_column *c = &u->plan->col[i];
        if (c->as.meaning == MR_M_UNIT && c->cell < row->n && row->cell[c->cell].n)
            take_cell(u, &row->cell[c->cell]);
    }
    return true;
}

/* A heading's unit is a statement beside those of the rows. */
static bool is_mixed(const struct unit_reader *u, const struct mr_plan_column *c) {
    const enum mr_dim dim = mr_meaning_dim(c->as.meaning);
    bool any = false;
    for (int d = 0; d < QUANTITIES; d++)
        any = any || u->mixed[d];
    if (c->as.meaning == MR_M_VALUE)
        return any;
    if (dim == MR_DIM_NONE || !u->known[dim])
        return false;
    const struct mr_stated_unit heading = {.unit = c->as.unit, .scale = c->scale};
    return u->mixed[dim] || u->strange ||
           (c->unit_stated && c->as.unit != MR_UNIT_NONE && !same_unit(&heading, &u->first[dim]));
}

enum mr_status mr_mixed_units(struct mr_plan *plan) {
    struct unit_reader u = {.plan = plan};
    if (mr_plan_column_of(plan, MR_M_UNIT) == MR_NONE)
        return MR_OK;
    enum mr_status status = mr_read_rows(plan->source, take_row, &u);
    bool mixed = false;
    for (size_t i = 0; i < plan->n; i++) {
        plan->col[i].mixed_units = is_mixed(&u, &plan->col[i]);
        mixed = mixed || plan->col[i].mixed_units;
    }
    plan->carries = false;
    for (size_t i = 0; i < plan->n; i++) {
        struct mr_plan_column *c = &plan->col[i];
        c->carried = c->carried && !(mixed && c->as.meaning == MR_M_UNIT);
        plan->carries = plan->carries || c->carried;
    }
    return status;
}
