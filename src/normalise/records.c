/*
 * records.c - rows of gauges and of hand-kept tables become typed records. Such files are small beside logs, so a row is
 * first spread out by meaning and then read by its kind.
 */
#include "normalise/records.h"

#include <math.h>

static struct mr_spread spread_row(struct mr_work *w, const struct mr_row *row) {
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

void mr_spread_say(const struct mr_spread *s, enum mr_aside why, enum mr_meaning m, const char *mend, const char *what) {
    mr_work_say(s->w, why, s->row, s->cell[m] ? (uint32_t)s->w->plan->col[s->col[m]].cell + 1 : 0, s->cell[m], mend, what);
}

/* A number with its unit: the row's unit column, the cell's own, the column's. *unit NONE where none is known yet. */
int mr_spread_number(const struct mr_spread *s, size_t col, const struct mr_cell *cell, double *out, enum mr_unit *unit) {
    struct mr_work *w = s->w;
    struct mr_plan_column *c = &w->plan->col[col];
    enum mr_dim dim = mr_meaning_dim(c->as.meaning);
    struct mr_number x;
    *out = (double)NAN;
    *unit = c->as.unit;
    if (*w->plan->missing && mr_missing_listed(w->plan->missing, cell->p, cell->n))
        return MR_ASIDE_NO_VALUE;
    enum mr_num what = mr_number_scan(cell->p, cell->n, c->style, &x);
    if (what == MR_NUM_MIXED && c->style_open) {
        c->style.mark = c->style.mark == '.' ? ',' : '.';
        what = MR_NUM_OK;
    }
    if (what == MR_NUM_MISSING)
        return MR_ASIDE_NO_VALUE;
    if (what == MR_NUM_OK && x.doubtful)
        what = MR_NUM_AMBIGUOUS;
    bool wrong_unit = what == MR_NUM_OK && x.unit && dim != MR_DIM_NONE && !mr_unit_fits(x.unit, x.unit_n, dim, unit);
    if (what != MR_NUM_OK || wrong_unit || (x.unit && dim == MR_DIM_NONE)) {
        const char *text = what == MR_NUM_MIXED ? (c->style.mark == '.' ? "has a decimal comma in a column of decimal points"
                                                                        : "has a decimal point in a column of decimal commas")
                           : what == MR_NUM_AMBIGUOUS ? "can be a thousand or a fraction"
                                                      : "is not a number";
        const char *mend = what == MR_NUM_AMBIGUOUS ? "Write into job.milrise, for this [file]: decimal = point, or decimal = comma. Row set aside."
                           : what == MR_NUM_MIXED ? mr_printf(w->scratch, "If it means %.10g, write it like the others. Row set aside.", x.value)
                                                  : "Correct the cell. Row set aside.";
        mr_work_say(w, MR_ASIDE_BAD_NUMBER, s->row, (uint32_t)c->cell + 1, cell, mend,
                    mr_printf(w->scratch, "%s (column \"%s\")", text, mr_clean_text(w->scratch, c->as.name, strlen(c->as.name), 60)));
        return MR_ASIDE_BAD_NUMBER;
    }
    if (x.mark) {
        c->style_open = false;
        c->as.decimal = c->as.decimal ? c->as.decimal : x.mark;
    }
    *out = x.value;
    if (s->cell[MR_M_UNIT] && !x.unit && !mr_unit_fits(s->cell[MR_M_UNIT]->p, s->cell[MR_M_UNIT]->n, dim, unit)) {
        mr_spread_say(s, MR_ASIDE_NO_UNIT, MR_M_UNIT, "Write um, mil or mm. Row set aside.", "is not a unit of this value");
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

bool mr_row_record(void *ctx, const struct mr_row *row) {
    struct mr_work *w = ctx;
    if (mr_work_not_data(w, row))
        return true;
    if (!filled(row)) {
        mr_work_fate(w, MR_ASIDE_BLANK, row);
        return true;
    }
    w->after_summary = mr_record_summary(w, row);
    if (w->after_summary) {
        mr_work_fate(w, MR_ASIDE_SUMMARY, row);
        return true;
    }
    if (w->plan->carries)
        row = mr_carry(w, row);
    struct mr_spread s = spread_row(w, row);
    if (!*w->serial && s.cell[MR_M_SERIAL])
        w->serial = mr_spread_text(&s, MR_M_SERIAL);
    int why = take(&s);
    if (why == MR_ASIDE_BAD_TIME && w->plan->kind != MR_KIND_SPRAY_LOG) {
        mr_work_bad_time(w, row, MR_READ_BAD);
        return true;
    }
    if (why == MR_FATE_USED && filled(row) > w->fullest)
        w->fullest = filled(row);
    if (why == MR_ASIDE_BAD_NUMBER && mr_work_last(w))
        why = MR_ASIDE_HALF_LINE;
    if (why == MR_ASIDE_INCOMPLETE)
        mr_work_say(w, MR_ASIDE_INCOMPLETE, row, 0, NULL, "Fill in what is missing. Row set aside.", "a cell that this kind of row needs is blank");
    mr_work_fate(w, why, row);
    return true;
}
