/*
 * value_cell.c - a value of a table as a cell.
 */
#include "render/sheet/value_cell.h"

#include <math.h>

static struct mr_cell_out number_cell(enum mr_look look, double number) {
    return (struct mr_cell_out){.look = look, .kind = MR_CELL_NUMBER, .number = number};
}

static struct mr_cell_out time_cell(const struct mr_outline *o, struct mr_arena *arena, int64_t t_utc_ms) {
    if (t_utc_ms == MR_T_NONE)
        return mr_text_cell(MR_LOOK_TEXT, "");
    if (o->offset_text[0])
        return (struct mr_cell_out){
            .look = MR_LOOK_TIME, .kind = MR_CELL_TIME, .local_ms = mr_local_ms(o->a->aligned, t_utc_ms)};
    return mr_text_cell(MR_LOOK_TEXT, mr_local_text(arena, o->a->aligned, t_utc_ms));
}

struct mr_cell_out mr_value_cell(const struct mr_outline *o, struct mr_arena *arena, const struct mr_table *t,
                                 size_t row, size_t column, bool wrap) {
    const struct mr_field *f = &t->fields[column];
    const struct mr_value own = mr_table_value(t, row, column), *v = &own;
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
        return time_cell(o, arena, v->count);
    case MR_V_OUTCOME:
        return mr_text_cell(mr_look_outcome((enum mr_outcome)v->count, false),
                            mr_outcome_text((enum mr_outcome)v->count));
    }
    return mr_text_cell(wrap ? MR_LOOK_BLANK : MR_LOOK_TEXT, v->text);
}
