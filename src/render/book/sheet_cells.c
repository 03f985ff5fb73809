/*
 * sheet_cells.c - a value of a table as a cell, and a cell that shows another one.
 */
#include "render/book/book_sheets.h"

static struct mr_cell_out number_cell(enum mr_look look, double number) {
    return (struct mr_cell_out){.look = look, .kind = MR_CELL_NUMBER, .number = number};
}

static struct mr_cell_out time_cell(const struct mr_book_job *job, int64_t t_utc_ms) {
    if (t_utc_ms == MR_T_NONE)
        return mr_text_cell(MR_LOOK_TEXT, "");
    if (job->o->offset_text[0])
        return (struct mr_cell_out){
            .look = MR_LOOK_TIME, .kind = MR_CELL_TIME, .local_ms = mr_local_ms(job->o->a->aligned, t_utc_ms)};
    return mr_text_cell(MR_LOOK_TEXT, mr_local_text(job->arena, job->o->a->aligned, t_utc_ms));
}

struct mr_cell_out mr_value_cell(const struct mr_book_job *job, const struct mr_table *t, size_t row, size_t column,
                                 bool wrap) {
    const struct mr_field *f = &t->fields[column];
    const struct mr_value *v = &t->values.v[row * t->n_fields + column];
    switch (v->type) {
    case MR_V_BLANK:
        break;
    case MR_V_TEXT:
        return mr_text_cell(wrap ? MR_LOOK_WRAP : MR_LOOK_TEXT, v->text);
    case MR_V_NUMBER:
        return number_cell(mr_look_decimals(v->own_decimals > 0 ? v->own_decimals - 1 : f->decimals), v->number);
    case MR_V_COUNT:
        return number_cell(MR_LOOK_COUNT, (double)v->count);
    case MR_V_TIME:
        return time_cell(job, v->count);
    case MR_V_OUTCOME:
        return mr_text_cell(mr_look_outcome((enum mr_outcome)v->count, false),
                            mr_outcome_text((enum mr_outcome)v->count));
    }
    return mr_text_cell(wrap ? MR_LOOK_BLANK : MR_LOOK_TEXT, v->text);
}

struct mr_cell_out mr_ref_cell(const struct mr_book_job *job, const struct mr_sheet *own, const struct mr_table *t,
                               const char *column, size_t row) {
    const size_t c = mr_find_column(t, column);
    if (c == MR_NONE || row >= t->n_rows)
        return mr_text_cell(MR_LOOK_BLANK, "");
    struct mr_cell_out cell = mr_value_cell(job, t, row, c, true);
    const struct mr_value *v = &t->values.v[row * t->n_fields + c];
    if (v->type != MR_V_BLANK && v->type != MR_V_TIME && !mr_many_zones(job->o))
        cell.formula =
            mr_formula_text(job->arena, job->layout, mr_sheet_name(own), mr_x_cells(job->arena, t, c, row, row));
    return cell;
}
