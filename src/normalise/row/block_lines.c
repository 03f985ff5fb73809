/*
 * block_lines.c - a line between the blocks of one export that holds for the rows below it: "Date: 2026-05-14",
 * "Units: um". Applied only where the file shows it, and said.
 */
#include "normalise/row/block_lines.h"

#include "normalise/row/row_unit.h"

#include <string.h>

/* Where blanks part the columns they part the value too: "Start:", "2026-05-14", "10:00:00". */
static bool split_by_blanks(struct mr_file_state *state, const struct mr_row *row, const char **name,
                            const char **value) {
    *name = mr_words_fold(state->scratch, row->cell[0].p, row->cell[0].n - 1);
    *value = "";
    for (size_t i = 1; i < row->n; i++)
        *value = mr_printf(state->scratch, "%s%s%s", *value, **value ? " " : "",
                           mr_strndup(state->scratch, row->cell[i].p, row->cell[i].n));
    return **name && **value;
}

/* "Name: value" in one cell, or the name in one cell and the value in the next. */
static bool split_pair(struct mr_file_state *state, const struct mr_row *row, const char **name, const char **value) {
    size_t at[2] = {0}, filled = 0;
    if (state->source->delimiter == MR_BLANKS && row->n > 2 && row->cell[0].n &&
        row->cell[0].p[row->cell[0].n - 1] == ':')
        return split_by_blanks(state, row, name, value);
    for (size_t i = 0; i < row->n; i++)
        if (row->cell[i].n) {
            if (filled == 2)
                return false;
            at[filled++] = i;
        }
    if (!filled || row->cell[at[0]].n > 60)
        return false;
    const struct mr_cell *first = &row->cell[at[0]];
    const char *colon = memchr(first->p, ':', first->n);
    size_t name_n = colon ? (size_t)(colon - first->p) : first->n;
    *name = mr_words_fold(state->scratch, first->p, name_n);
    if (filled == 2)
        *value = colon && colon + 1 < first->p + first->n
                     ? ""
                     : mr_strndup(state->scratch, row->cell[at[1]].p, row->cell[at[1]].n);
    else
        *value = colon ? mr_strndup(state->scratch, colon + 1, first->n - name_n - 1) : "";
    while (**value == ' ')
        ++*value;
    return **name && **value;
}

/* Advice must not contradict the file: a line between the blocks rules the rows below it, whatever the heading. */
static void note_unit(struct mr_file_state *state, const struct mr_row *row, const char *value,
                      const struct mr_plan_column *c) {
    mr_diag_add(state->diags, MR_NOTE, "block-unit",
                (struct mr_place){.file = state->source->path, .line = row->line}, value, NULL,
                "differs from the unit in the heading; the rows below are read in it (column \"%s\")",
                mr_clean_text(state->scratch, c->as.name, strlen(c->as.name), 60));
}

static void unknown_unit(struct mr_file_state *state, const struct mr_row *row, const char *value) {
    mr_diag_add(state->diags, MR_ERROR, "no-unit", (struct mr_place){.file = state->source->path, .line = row->line},
                value, "Correct the line. Values with no other unit are set aside.",
                "is not a unit for what the file measures");
    for (size_t i = 0; i < state->plan->n; i++) {
        struct mr_plan_column *c = &state->plan->col[i];
        bool log = mr_is_log(state->plan->kind);
        if (mr_meaning_dim(c->as.meaning) == MR_DIM_NONE || c->as.unit_origin == MR_ORIGIN_JOB ||
            (log && c->as.unit_origin == MR_ORIGIN_HEADING))
            continue;
        c->unit_unknown = mr_strdup(state->arena, value);
        c->as.unit = MR_UNIT_NONE;
    }
}

/* The unit holds for the rows below in one column, where the job does not settle it. */
static void column_takes(struct mr_file_state *state, const struct mr_row *row, const char *value, size_t col,
                         const struct mr_stated_unit *unit) {
    struct mr_plan_column *c = &state->plan->col[col];
    if (c->as.unit_origin == MR_ORIGIN_HEADING && unit->unit != c->as.unit)
        note_unit(state, row, value, c);
    for (size_t k = 0; k < state->log.channels.n; k++)
        if (state->log.channels.v[k].col == col)
            mr_channel_takes(state, &state->log.channels.v[k], unit, MR_ORIGIN_BLOCK);
    if (mr_is_log(state->plan->kind))
        return;
    c->as.unit = unit->unit;
    c->scale = unit->scale;
    c->unit_unknown = NULL;
    c->as.unit_origin = MR_ORIGIN_BLOCK;
    c->as.unit_why = "stated between the blocks";
    c->unit_stated = true;
}

static bool block_unit(struct mr_file_state *state, const struct mr_row *row, const char *value) {
    bool any = false, unknown = false;
    struct mr_stated_unit unit;
    for (size_t i = 0; i < state->plan->n; i++) {
        const struct mr_column *as = &state->plan->col[i].as;
        if (mr_meaning_dim(as->meaning) == MR_DIM_NONE)
            continue;
        enum mr_unit_says says = mr_unit_says(value, strlen(value), mr_meaning_dim(as->meaning), &unit);
        unknown |= says == MR_UNIT_UNKNOWN;
        if (says != MR_UNIT_FITS)
            continue;
        any = true;
        if (as->unit_origin != MR_ORIGIN_JOB)
            column_takes(state, row, value, i, &unit);
    }
    if (!any && unknown)
        unknown_unit(state, row, value);
    return any || unknown;
}

#define UNIT_NAMES                                                                                                   \
    "unit|units|einheit|einheiten|unite|unites|unidad|unidades|unidade|unita|eenheid|enhet|jednostka|"               \
    "masseinheit|messeinheit|uom|unit of measure|unite de mesure|unidad de medida|unidade de medida|unita di "       \
    "misura|"                                                                                                        \
    "meeteenheid|eenheden|mattenhet|enheter|jednostka miary|jednostki"

bool mr_block_line(struct mr_file_state *state, const struct mr_row *row) {
    const char *name, *value;
    if (!split_pair(state, row, &name, &value))
        return false;
    if (mr_name_among(name, MR_ZONE_OF_TIME_NAMES))
        mr_timer_claim(&state->timer, value, strlen(value), row->line);
    if (mr_name_among(name, MR_START_NAMES))
        return mr_timer_block(&state->timer, value, strlen(value), row->line);
    enum mr_kind kind = state->plan->kind;
    if (kind != MR_KIND_SHIFT_RECORD && mr_name_among(name, UNIT_NAMES))
        return block_unit(state, row, value);
    if (mr_is_log(kind))
        return mr_name_among(name, MR_DATE_NAMES) && mr_timer_block(&state->timer, value, strlen(value), row->line);
    if (!mr_is_film_kind(kind) && kind != MR_KIND_VERIFICATION)
        return false; /* in a shift record "gauge, yes" is an item */
    if (mr_name_among(name, MR_DATE_NAMES))
        return mr_timer_block(&state->timer, value, strlen(value), row->line) ||
               (state->plan->form != MR_FORM_CLOCK && state->plan->form != MR_FORM_NONE);
    if (mr_name_among(name, MR_ZONE_NAMES))
        state->above.block_zone = mr_text_keep(state, value, strlen(value));
    else if (mr_name_among(name, MR_AREA_NAMES))
        state->above.block_area = mr_text_keep(state, value, strlen(value));
    else if (mr_name_among(name, "serial|serial no|serial number|s n|sn|gauge|instrument|seriennummer"))
        state->above.block_serial = mr_text_keep(state, value, strlen(value));
    else
        return false;
    return true;
}
