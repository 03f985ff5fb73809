/*
 * record_rows.c - rows of gauges and of hand-kept tables become typed records. Such files are small beside logs, so a
 * row is first spread out by meaning and then read by its kind.
 */
#include "normalise/row/record_rows.h"

#include "normalise/row/block_lines.h"
#include "normalise/row/companions.h"
#include "normalise/row/fill_down.h"
#include "normalise/row/free_cells.h"
#include "normalise/row/no_data_rows.h"
#include "normalise/row/objections.h"
#include "normalise/row/row_fates.h"
#include "normalise/row/row_fields.h"
#include "normalise/row/summary_rows.h"
#include "normalise/row/unread_rows.h"

#include <string.h>

static int take(const struct mr_spread *s) {
    switch (s->state->plan->kind) {
    case MR_KIND_THICKNESS:
    case MR_KIND_BASE_METAL:
    case MR_KIND_WET_FILM:
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
static const struct mr_row *unwrapped(struct mr_file_state *state, const struct mr_row *row, struct mr_row *plain) {
    struct mr_cell *cell = NULL;
    for (size_t i = 0; i < row->n; i++) {
        if (row->cell[i].n < 3 || row->cell[i].p[0] != '=')
            continue;
        if (!cell) {
            cell = MR_ARRAY(state->scratch, struct mr_cell, row->n);
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

/* A coat that may not have been sprayed, or sprayed in part, is heard as what it says without its times: none is
 * proven, and a survey before it is in doubt. */
static bool is_doubtful_coat(const struct mr_file_state *state, int companions) {
    return companions == MR_ASIDE_UNKNOWN_TYPE && state->plan->kind == MR_KIND_SPRAY_LOG;
}

static int take_with(const struct mr_spread *s, int companions) {
    struct mr_file_state *state = s->state;
    const int why = take(s);
    if (why == MR_FATE_USED && companions != MR_FATE_USED) {
        struct mr_spray_times *t = &state->records.spray_times.v[state->records.spray_times.n - 1];
        t->start_clock = t->stop_clock = t->duration_ms = -1;
        t->doubted = true;
    }
    return why;
}

/* A statistics row seldom has a time of its own: where it has, the clerk hears that it was taken for one. */
static void say_timed_summary(struct mr_file_state *state, const struct mr_row *row) {
    size_t col = state->plan->clock_col != MR_NONE       ? state->plan->clock_col
                 : state->plan->form == MR_FORM_DATETIME ? state->plan->date_col
                                                         : MR_NONE;
    if (state->plan->kind == MR_KIND_SPRAY_LOG)
        col = mr_plan_column_of(state->plan, MR_M_START);
    if (col == MR_NONE || state->plan->col[col].cell >= row->n || !row->cell[state->plan->col[col].cell].n ||
        mr_state_last(state))
        return;
    mr_state_say(state, MR_ASIDE_SUMMARY, row, 0, NULL,
                 "If the row is a reading, name its place or reword the note. Row set aside.",
                 "the row has a time, but also a word of statistics such as \"mean\"");
}

bool mr_row_record(void *ctx, const struct mr_row *row) {
    struct mr_file_state *state = ctx;
    if (mr_state_not_data(state, row))
        return true;
    struct mr_row plain;
    row = unwrapped(state, row, &plain);
    if (!filled(row)) {
        mr_state_fate(state, MR_ASIDE_BLANK, row);
        return true;
    }
    if (filled(row) <= 2 && mr_block_line(state, row)) { /* a spreadsheet pads such a line to the table's width */
        mr_state_fate(state, MR_FATE_HEADER, row);
        return true;
    }
    state->count.after_summary = mr_record_summary(state, row);
    if (state->count.after_summary) {
        say_timed_summary(state, row);
        mr_state_fate(state, MR_ASIDE_SUMMARY, row);
        return true;
    }
    if (state->plan->carries)
        row = mr_fill_down(state, row);
    mr_unread_place(state, row);
    struct mr_spread s = mr_spread_row(state, row);
    if (!*state->serial && s.cell[MR_M_SERIAL])
        state->serial = mr_spread_text(&s, MR_M_SERIAL);
    const bool film = state->plan->kind == MR_KIND_THICKNESS || state->plan->kind == MR_KIND_BASE_METAL;
    int why = film ? MR_FATE_USED : mr_companions_fate(state, row); /* types of readings come first there */
    if (why == MR_FATE_USED || is_doubtful_coat(state, why))
        why = take_with(&s, why);
    if (why == MR_ASIDE_BAD_TIME && state->plan->kind != MR_KIND_SPRAY_LOG) {
        mr_state_bad_time(state, row, MR_READ_BAD);
        return true;
    }
    if (why == MR_FATE_USED)
        mr_free_cells_hear(state, row);
    if (why == MR_FATE_USED && state->objecting.n)
        mr_objections_of_coat(state, row);
    if (why == MR_FATE_USED && filled(row) > state->count.fullest)
        state->count.fullest = filled(row);
    if (why == MR_ASIDE_BAD_NUMBER && mr_state_last(state))
        why = MR_ASIDE_HALF_LINE;
    if (why == MR_ASIDE_INCOMPLETE)
        mr_state_say(state, MR_ASIDE_INCOMPLETE, row, 0, NULL, "Fill in what is missing. Row set aside.",
                     "a cell that this kind of row needs is blank");
    mr_state_fate(state, why, row);
    return true;
}
