/*
 * row_fields.c - rows of gauges and of hand-kept tables become typed records. Such files are small beside logs, so a
 * row is first spread out by meaning and then read by its kind.
 */
#include "normalise/row/row_fields.h"

#include "normalise/row/row_fates.h"
#include "normalise/row/row_unit.h"

#include <math.h>
#include <string.h>

struct mr_spread mr_spread_row(struct mr_file_state *state, const struct mr_row *row) {
    struct mr_spread s = {.state = state, .row = row};
    for (size_t i = 0; i < state->plan->n; i++) {
        const struct mr_plan_column *c = &state->plan->col[i];
        if (c->as.meaning == MR_M_IGNORE || c->cell >= row->n || !row->cell[c->cell].n || s.cell[c->as.meaning])
            continue;
        s.cell[c->as.meaning] = &row->cell[c->cell];
        s.col[c->as.meaning] = i;
    }
    return s;
}

const char *mr_spread_text(const struct mr_spread *s, enum mr_meaning m) {
    return s->cell[m] ? mr_text_keep(s->state, s->cell[m]->p, s->cell[m]->n) : "";
}

const char *mr_spread_probe(const struct mr_spread *s) {
    const char *own = mr_spread_text(s, MR_M_PROBE);
    return *own ? own : s->state->above.block_probe;
}

void mr_spread_say(const struct mr_spread *s, enum mr_aside why, enum mr_meaning m, const char *mend,
                   const char *what) {
    mr_state_say(s->state, why, s->row, s->cell[m] ? (uint32_t)s->state->plan->col[s->col[m]].cell + 1 : 0,
                 s->cell[m], mend, what);
}

/* What is wrong with a cell that should hold a number, and how to mend it. */
static int say_bad_number(const struct mr_spread *s, const struct mr_plan_column *c, const struct mr_cell *cell,
                          enum mr_num what, double value) {
    struct mr_file_state *state = s->state;
    const char *text = "is not a number", *mend = "Correct the cell.",
               *end = s->optional ? "Value left out." : "Row set aside.";
    int why = MR_ASIDE_BAD_NUMBER;
    if (what == MR_NUM_MIXED) {
        text = c->style.mark == '.' ? "has a decimal comma in a column of decimal points"
                                    : "has a decimal point in a column of decimal commas";
        mend = mr_printf(state->scratch, "If it means %.10g, write it like the others.", value);
    } else if (what == MR_NUM_AMBIGUOUS) {
        text = "can be a thousand or a fraction";
        mr_ask_decimal(state);
        mend = "Add to this file's [file] section in job.milrise: decimal = point, or decimal = comma.";
    } else {
        char mark = mr_over_range_word(cell->p, cell->n) ? '>' : mr_number_marked(cell->p, cell->n);
        if (mark == '>' || mark == '<') {
            why = MR_ASIDE_BOUND;
            text = mark == '>' ? "only says that the value is above the gauge's range"
                               : "only says that the value is below a limit";
            mend = "Measure again, or list the text under missing in the file's [file] section if it is no reading.";
        } else if (mark) {
            text =
                mark == '~' ? "is marked as an estimate" : "is in brackets, which mark a doubtful or negative value";
            mend = "If this is what the gauge read, write the number without brackets.";
        }
    }
    mr_state_say(state, (enum mr_aside)why, s->row, (uint32_t)c->cell + 1, cell,
                 mr_printf(state->scratch, "%s %s", mend, end),
                 mr_printf(state->scratch, "%s (column \"%s\")", text,
                           mr_clean_text(state->scratch, c->as.name, strlen(c->as.name), 60)));
    return why;
}

static enum mr_num scan(struct mr_plan_column *c, const struct mr_cell *cell, enum mr_dim dim, struct mr_number *x) {
    enum mr_num what = mr_number_scan(cell->p, cell->n, c->style, x);
    if (what == MR_NUM_MIXED && c->style_open) {
        c->style.mark = c->style.mark == '.' ? ',' : '.';
        return MR_NUM_OK;
    }
    if (what == MR_NUM_BAD && dim == MR_DIM_LENGTH && mr_fraction_scan(cell->p, cell->n, x))
        return MR_NUM_OK;
    if (what == MR_NUM_OK && x->unit && dim == MR_DIM_FILM && mr_number_flag(x->unit, x->unit_n))
        x->unit = NULL; /* above or below the gauge's limits: the value stands */
    return what == MR_NUM_OK && x->doubtful ? MR_NUM_AMBIGUOUS : what;
}

/* "FAIL": a reading was taken and missed its limit. "OL": the film may be thicker than the gauge can show, unless the
 * row says why there was nothing to show. */
static bool says_too_much(const struct mr_spread *s, const struct mr_cell *cell) {
    return mr_text_equal_fold(cell->p, cell->n, "fail", 4) ||
           (mr_over_range_word(cell->p, cell->n) && !*mr_spread_text(s, MR_M_NOTE));
}

int mr_spread_number(const struct mr_spread *s, size_t col, const struct mr_cell *cell, double *out,
                     enum mr_unit *unit) {
    struct mr_file_state *state = s->state;
    struct mr_plan_column *c = &state->plan->col[col];
    enum mr_dim dim = mr_meaning_dim(c->as.meaning);
    struct mr_number x;
    *out = (double)NAN;
    *unit = c->as.unit;
    if (*state->plan->missing && mr_missing_listed(state->plan->missing, cell->p, cell->n))
        return MR_ASIDE_NO_VALUE;
    enum mr_num what = scan(c, cell, dim, &x);
    if (what == MR_NUM_MISSING && dim == MR_DIM_FILM && says_too_much(s, cell))
        what = MR_NUM_BAD;
    if (what == MR_NUM_MISSING)
        return MR_ASIDE_NO_VALUE;
    if (what == MR_NUM_OK && x.unit && (dim == MR_DIM_NONE || !mr_unit_fits(x.unit, x.unit_n, dim, unit)))
        what = MR_NUM_BAD;
    if (what != MR_NUM_OK)
        return say_bad_number(s, c, cell, what, x.value);
    if (x.mark) {
        c->style_open = false;
        c->as.decimal = c->as.decimal ? c->as.decimal : x.mark;
    }
    *out = x.unit ? x.value : mr_scale(c->scale, x.value);
    struct mr_stated_unit of_row;
    const struct mr_cell *unit_cell;
    enum mr_row_unit got =
        x.unit ? MR_ROW_UNIT_ABSENT : mr_row_unit(state->plan, s->row, col, dim, &of_row, &unit_cell);
    if (got == MR_ROW_UNIT_GIVEN) {
        *unit = of_row.unit;
        *out = mr_scale(of_row.scale, x.value);
    } else if (got == MR_ROW_UNIT_OPEN) {
        mr_state_say(
            state, MR_ASIDE_NO_UNIT, s->row, 0, NULL,
            mr_printf(state->scratch, "Fill in the unit. %s", s->optional ? "Value left out." : "Row set aside."),
            "the row has no unit, and the others have different ones");
        return MR_ASIDE_NO_UNIT;
    } else if (got == MR_ROW_UNIT_UNKNOWN) {
        const char *units = dim == MR_DIM_VOLUME ? "L, gal, kg or lb"
                            : dim == MR_DIM_FILM ? "um, mil or mm"
                                                 : mr_unit_symbol(mr_dim_canonical(dim));
        mr_state_say(state, MR_ASIDE_NO_UNIT, s->row, (uint32_t)(unit_cell - s->row->cell) + 1, unit_cell,
                     mr_printf(state->scratch, "Write %s. %s", *units ? units : "none",
                               s->optional ? "Value left out." : "Row set aside."),
                     "is not a unit for this value");
        return MR_ASIDE_NO_UNIT;
    }
    return MR_FATE_USED;
}

int64_t mr_spread_time(const struct mr_spread *s, enum mr_time_read *got) {
    int64_t t;
    *got = mr_timer_read(&s->state->timer, s->row, &t);
    return *got == MR_READ_OK ? t : MR_T_NONE;
}
