/*
 * row_unit.c - a unit column, and a line of units between blocks, rule their rows in every kind of table.
 */
#include "normalise/row/row_unit.h"

#include <math.h>

static bool is_measured(enum mr_meaning m) {
    return m == MR_M_VALUE || mr_meaning_dim(m) != MR_DIM_NONE;
}

/* The unit column that speaks for a value: of several the one right of it, before the next value. */
static size_t unit_column(const struct mr_plan *plan, size_t col, size_t *count) {
    size_t found = MR_NONE, right = MR_NONE;
    *count = 0;
    for (size_t i = 0; i < plan->n; i++) {
        if (plan->col[i].as.meaning != MR_M_UNIT)
            continue;
        found = found == MR_NONE ? i : found;
        ++*count;
        bool beside = i > col && right == MR_NONE;
        for (size_t k = col + 1; k < i && beside; k++)
            beside = !is_measured(plan->col[k].as.meaning);
        right = beside ? i : right;
    }
    return *count > 1 ? right : found;
}

enum mr_row_unit mr_row_unit(const struct mr_plan *plan, const struct mr_row *row, size_t col, enum mr_dim dim,
                             struct mr_stated_unit *out, const struct mr_cell **out_cell) {
    size_t count, unit = unit_column(plan, col, &count);
    enum mr_unit other;
    if (dim == MR_DIM_NONE || unit == MR_NONE)
        return MR_ROW_UNIT_ABSENT;
    if (plan->col[unit].cell >= row->n || !row->cell[plan->col[unit].cell].n)
        return plan->col[col].mixed_units && plan->col[col].as.unit_origin != MR_ORIGIN_JOB ? MR_ROW_UNIT_OPEN
                                                                                            : MR_ROW_UNIT_ABSENT;
    const struct mr_cell *cell = &row->cell[plan->col[unit].cell];
    if (mr_unit_scaled(cell->p, cell->n, dim, out))
        return MR_ROW_UNIT_GIVEN;
    *out_cell = cell;
    if (count == 1 && mr_unit_find(cell->p, cell->n, &other))
        for (size_t i = 0; i < plan->n; i++) /* it may speak of another column */
            if (i != col && mr_unit_fits(cell->p, cell->n, mr_meaning_dim(plan->col[i].as.meaning), &other))
                return MR_ROW_UNIT_ABSENT;
    return MR_ROW_UNIT_UNKNOWN;
}

void mr_channel_bounds(const struct mr_file_state *state, struct mr_log_channel *channel) {
    double least, most;
    mr_physical_range(&state->job->settings, channel->meaning, &least, &most);
    channel->least = mr_from_canonical(channel->unit, least);
    channel->most = mr_from_canonical(channel->unit, most);
}

static void leave_out(struct mr_file_state *state, struct mr_log_channel *channel) {
    struct mr_log *log = &state->log;
    size_t lost = 0;
    for (size_t i = 0; i < log->n && !log->is_long; i++) {
        lost += isnan(channel->value[i]) ? 0U : 1U;
        channel->value[i] = (double)NAN;
    }
    state->count.values_left_out += lost;
    if (lost)
        mr_diag_add(state->diags, MR_ERROR, "no-unit", (struct mr_place){.file = state->source->path}, channel->name,
                    "State the unit for the rows above too. Values left out.",
                    "has no unit in its first %zu values, but one in those below", lost);
}

void mr_channel_takes(struct mr_file_state *state, struct mr_log_channel *channel, const struct mr_stated_unit *unit,
                      enum mr_unit_origin origin) {
    struct mr_plan_column *c = &state->plan->col[channel->col];
    if (channel->unit == MR_UNIT_NONE) {
        leave_out(state, channel);
        channel->unit = unit->unit;
        c->as.unit = unit->unit;
        c->as.unit_origin = origin;
        c->as.unit_why = origin == MR_ORIGIN_BLOCK ? "stated between the blocks" : "stated in the unit column";
        c->unit_stated = true;
        mr_channel_bounds(state, channel);
    }
    channel->written = unit->unit;
    channel->scale = unit->scale;
    channel->plain = channel->plain && unit->unit == channel->unit && !mr_is_scaled(unit->scale);
}

bool mr_units_below_heading(struct mr_file_state *state, const struct mr_row *row) {
    struct mr_plan *plan = state->plan;
    size_t given = 0;
    for (size_t k = 0; k < row->n; k++)
        given += row->cell[k].n > 0;
    size_t units = 0;
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        const struct mr_cell *cell = c->cell < row->n ? &row->cell[c->cell] : NULL;
        struct mr_number x;
        units += cell && cell->n && cell->n < 24 && is_measured(c->as.meaning) &&
                 mr_number_scan(cell->p, cell->n, (struct mr_number_style){'?', true}, &x) == MR_NUM_BAD;
    }
    if (!units || units != given)
        return false;
    for (size_t i = 0; i < plan->n; i++) {
        struct mr_plan_column *c = &plan->col[i];
        if (c->unit_stated || c->unit_unknown || c->as.unit != MR_UNIT_NONE || c->cell >= row->n ||
            !row->cell[c->cell].n)
            continue;
        c->unit_unknown = mr_clean_text(state->arena, row->cell[c->cell].p, row->cell[c->cell].n, 24);
    }
    return true;
}
