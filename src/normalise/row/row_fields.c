/*
 * row_fields.c - rows of gauges and of hand-kept tables become typed records. Such files are small beside logs, so a
 * row is first spread out by meaning and then read by its kind.
 */
#include "normalise/row/row_fields.h"

#include <math.h>
#include <string.h>

static struct mr_spread spread_row(struct mr_file_state *w, const struct mr_row *row) {
    struct mr_spread s = {.w = w, .row = row};
    for (size_t i = 0; i < w->plan->n; i++) {
        const struct mr_plan_column *c = &w->plan->col[i];
        if (c->as.meaning == MR_M_IGNORE || c->cell >= row->n || !row->cell[c->cell].n || s.cell[c->as.meaning])
            continue;
        s.cell[c->as.meaning] = &row->cell[c->cell];
        s.col[c->as.meaning] = i;
    }
    return s;
}

const char *mr_spread_text(const struct mr_spread *s, enum mr_meaning m) {
    return s->cell[m] ? mr_text_keep(s->w, s->cell[m]->p, s->cell[m]->n) : "";
}

void mr_spread_say(const struct mr_spread *s, enum mr_aside why, enum mr_meaning m, const char *mend,
                   const char *what) {
    mr_state_say(s->w, why, s->row, s->cell[m] ? (uint32_t)s->w->plan->col[s->col[m]].cell + 1 : 0, s->cell[m], mend,
                 what);
}

/* What is wrong with a cell that should hold a number, and how to mend it. */
static int say_bad_number(const struct mr_spread *s, const struct mr_plan_column *c, const struct mr_cell *cell,
                          enum mr_num what, double value) {
    struct mr_file_state *w = s->w;
    const char *text = "is not a number", *mend = "Correct the cell.",
               *end = s->optional ? "Value left out." : "Row set aside.";
    int why = MR_ASIDE_BAD_NUMBER;
    if (what == MR_NUM_MIXED) {
        text = c->style.mark == '.' ? "has a decimal comma in a column of decimal points"
                                    : "has a decimal point in a column of decimal commas";
        mend = mr_printf(w->scratch, "If it means %.10g, write it like the others.", value);
    } else if (what == MR_NUM_AMBIGUOUS) {
        text = "can be a thousand or a fraction";
        mend = "Write into job.milrise, for this [file]: decimal = point, or decimal = comma.";
    } else {
        char mark = mr_number_marked(cell->p, cell->n);
        if (mark == '>' || mark == '<') {
            why = MR_ASIDE_NO_VALUE;
            text = mark == '>' ? "says that the value lies above the gauge's range, and no value"
                               : "says that the value lies below a limit, and no value";
            mend = "Measure again.";
        } else if (mark) {
            text = mark == '~' ? "is marked as an estimate"
                               : "stands in brackets, which mark a doubtful or a negative value";
            mend = "Write the number alone where it is what was read.";
        }
    }
    mr_state_say(w, (enum mr_aside)why, s->row, (uint32_t)c->cell + 1, cell,
                 mr_printf(w->scratch, "%s %s", mend, end),
                 mr_printf(w->scratch, "%s (column \"%s\")", text,
                           mr_clean_text(w->scratch, c->as.name, strlen(c->as.name), 60)));
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

int mr_spread_number(const struct mr_spread *s, size_t col, const struct mr_cell *cell, double *out,
                     enum mr_unit *unit) {
    struct mr_file_state *w = s->w;
    struct mr_plan_column *c = &w->plan->col[col];
    enum mr_dim dim = mr_meaning_dim(c->as.meaning);
    struct mr_number x;
    *out = (double)NAN;
    *unit = c->as.unit;
    if (*w->plan->missing && mr_missing_listed(w->plan->missing, cell->p, cell->n))
        return MR_ASIDE_NO_VALUE;
    enum mr_num what = scan(c, cell, dim, &x);
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
    *out = x.value;
    if (s->cell[MR_M_UNIT] && !x.unit && !mr_unit_fits(s->cell[MR_M_UNIT]->p, s->cell[MR_M_UNIT]->n, dim, unit)) {
        const char *units = dim == MR_DIM_VOLUME ? "L, gal, kg or lb"
                            : dim == MR_DIM_FILM ? "um, mil or mm"
                                                 : mr_unit_symbol(mr_dim_canonical(dim));
        mr_spread_say(s, MR_ASIDE_NO_UNIT, MR_M_UNIT,
                      mr_printf(w->scratch, "Write %s. %s", *units ? units : "none",
                                s->optional ? "Value left out." : "Row set aside."),
                      "is not a unit of this value");
        return MR_ASIDE_NO_UNIT;
    }
    return MR_FATE_USED;
}

int64_t mr_spread_time(const struct mr_spread *s, enum mr_time_read *got) {
    int64_t t;
    *got = mr_timer_read(&s->w->timer, s->row, &t);
    return *got == MR_READ_OK ? t : MR_T_NONE;
}

static int take(const struct mr_spread *s) {
    switch (s->w->plan->kind) {
    case MR_KIND_THICKNESS:
    case MR_KIND_BASE_METAL:
        return mr_record_reading(s);
    case MR_KIND_VERIFICATION:
        return mr_record_verification(s);
    case MR_KIND_SPRAY_LOG:
        return mr_record_spray(s);
    case MR_KIND_SHIFT_RECORD:
        return mr_record_shift(s);
    case MR_KIND_MATERIAL:
        return mr_record_material(s);
    case MR_KIND_ZONES:
        return mr_record_zone(s);
    case MR_KIND_UNKNOWN:
    case MR_KIND_CLIMATE:
    case MR_KIND_TEMPERATURE:
    case MR_KIND_PRESSURE:
    case MR_KIND_NOT_A_TABLE:
    case MR_KIND_COUNT:
        break;
    }
    return MR_ASIDE_UNKNOWN_KIND;
}

static size_t filled(const struct mr_row *row) {
    size_t n = 0;
    for (size_t i = 0; i < row->n; i++)
        n += row->cell[i].n > 0;
    return n;
}

/* The row with ="0412" as 0412, which spreadsheets write so that figures stay text. */
static const struct mr_row *unwrapped(struct mr_file_state *w, const struct mr_row *row, struct mr_row *plain) {
    struct mr_cell *cell = NULL;
    for (size_t i = 0; i < row->n; i++) {
        if (row->cell[i].n < 3 || row->cell[i].p[0] != '=')
            continue;
        if (!cell) {
            cell = MR_ARRAY(w->scratch, struct mr_cell, row->n);
            memcpy(cell, row->cell, row->n * sizeof *cell);
        }
        size_t n = cell[i].n;
        mr_unwrap(&cell[i].p, &n);
        cell[i].n = (uint32_t)n;
    }
    if (!cell)
        return row;
    *plain = *row;
    plain->cell = cell;
    return plain;
}

/* A statistics row seldom has a time of its own: where it has, the clerk hears that it was taken for one. */
static void say_timed_summary(struct mr_file_state *w, const struct mr_row *row) {
    size_t col = w->plan->clock_col != MR_NONE       ? w->plan->clock_col
                 : w->plan->form == MR_FORM_DATETIME ? w->plan->date_col
                                                     : MR_NONE;
    if (w->plan->kind == MR_KIND_SPRAY_LOG)
        col = mr_plan_column_of(w->plan, MR_M_START);
    if (col == MR_NONE || w->plan->col[col].cell >= row->n || !row->cell[w->plan->col[col].cell].n ||
        mr_state_last(w))
        return;
    mr_state_say(w, MR_ASIDE_SUMMARY, row, 0, NULL,
                 "Name the place or write the note otherwise, where the row is a reading. Row set aside.",
                 "a word of statistics stands in the row, which has a time all the same");
}

bool mr_row_record(void *ctx, const struct mr_row *row) {
    struct mr_file_state *w = ctx;
    if (mr_state_not_data(w, row))
        return true;
    struct mr_row plain;
    row = unwrapped(w, row, &plain);
    if (!filled(row)) {
        mr_state_fate(w, MR_ASIDE_BLANK, row);
        return true;
    }
    if (filled(row) <= 2 && mr_block_line(w, row)) { /* a spreadsheet pads such a line to the table's width */
        mr_state_fate(w, MR_FATE_HEADER, row);
        return true;
    }
    w->after_summary = mr_record_summary(w, row);
    if (w->after_summary) {
        say_timed_summary(w, row);
        mr_state_fate(w, MR_ASIDE_SUMMARY, row);
        return true;
    }
    if (w->plan->carries)
        row = mr_fill_down(w, row);
    struct mr_spread s = spread_row(w, row);
    if (!*w->serial && s.cell[MR_M_SERIAL])
        w->serial = mr_spread_text(&s, MR_M_SERIAL);
    int why = take(&s);
    if (why == MR_ASIDE_BAD_TIME && w->plan->kind != MR_KIND_SPRAY_LOG) {
        mr_state_bad_time(w, row, MR_READ_BAD);
        return true;
    }
    if (why == MR_FATE_USED && filled(row) > w->fullest)
        w->fullest = filled(row);
    if (why == MR_ASIDE_BAD_NUMBER && mr_state_last(w))
        why = MR_ASIDE_HALF_LINE;
    if (why == MR_ASIDE_INCOMPLETE)
        mr_state_say(w, MR_ASIDE_INCOMPLETE, row, 0, NULL, "Fill in what is missing. Row set aside.",
                     "a cell that this kind of row needs is blank");
    mr_state_fate(w, why, row);
    return true;
}
