/*
 * row_fates.c - counting rows. Every row passes mr_state_fate exactly once; later judgements (copies, repeated
 * readings, dates that stay open) change fates, never the count.
 */
#include "normalise/row/row_fates.h"

#include "normalise/column/suggest.h"

#include <math.h>
#include <string.h>

static void add_run(struct mr_file_state *state, int fate, uint32_t line, uint32_t line_end, uint64_t rows) {
    struct mr_fate_run *last = state->count.fates.n ? &state->count.fates.v[state->count.fates.n - 1] : NULL;
    if (last && last->fate == fate) {
        last->rows += rows;
        last->line_end = line_end;
        return;
    }
    struct mr_fate_run run = {fate, line, line_end, rows};
    MR_PUSH(state->arena, &state->count.fates, run);
}

void mr_state_fate(struct mr_file_state *state, int fate, const struct mr_row *row) {
    add_run(state, fate, row->line, row->line_end > row->line ? row->line_end : row->line, 1);
}

void mr_state_relabel(struct mr_file_state *state, enum mr_aside why) {
    struct mr_fate_run *old = state->count.fates.v;
    size_t n = state->count.fates.n;
    state->count.fates.v = NULL;
    state->count.fates.n = state->count.fates.cap = 0;
    for (size_t i = 0; i < n; i++)
        add_run(state, old[i].fate == MR_FATE_USED ? (int)why : old[i].fate, old[i].line, old[i].line_end,
                old[i].rows);
}

void mr_state_split(struct mr_file_state *state, const int8_t *fate, const uint32_t *line, size_t n) {
    struct mr_fate_run *old = state->count.fates.v;
    size_t runs = state->count.fates.n, at = 0;
    state->count.fates.v = NULL;
    state->count.fates.n = state->count.fates.cap = 0;
    for (size_t i = 0; i < runs; i++) {
        if (old[i].fate != MR_FATE_USED) {
            add_run(state, old[i].fate, old[i].line, old[i].line_end, old[i].rows);
            continue;
        }
        for (uint64_t k = 0; k < old[i].rows && at < n; k++, at++) {
            bool last = k + 1 == old[i].rows || at + 1 == n;
            uint32_t end = last ? old[i].line_end : line[at + 1] - 1;
            add_run(state, fate[at], line[at], end < line[at] ? line[at] : end, 1);
        }
    }
}

bool mr_state_close(struct mr_file_state *state) {
    struct mr_account *a = &state->file->account;
    *a = (struct mr_account){.rows_read = state->source->rows};
    uint64_t total = 0;
    for (size_t i = 0; i < state->count.fates.n; i++) {
        const struct mr_fate_run *f = &state->count.fates.v[i];
        total += f->rows;
        if (f->fate == MR_FATE_HEADER) {
            a->rows_header += f->rows;
        } else if (f->fate == MR_FATE_USED) {
            a->rows_used += f->rows;
        } else {
            a->rows_set_aside += f->rows;
            a->by_reason[f->fate] += f->rows;
            struct mr_aside_run run = {(enum mr_aside)f->fate, f->line, f->line_end, f->rows};
            MR_PUSH(state->arena, &a->runs, run);
        }
    }
    return total == a->rows_read;
}

void mr_state_say(struct mr_file_state *state, enum mr_aside why, const struct mr_row *row, uint32_t column,
                  const struct mr_cell *cell, const char *mend, const char *what) {
    if (state->count.said[why]++ >= MR_SAY_MOST)
        return;
    struct mr_place place = {.file = state->source->path,
                             .line = row->line,
                             .column = column,
                             .line_end = row->line_end > row->line ? row->line_end : 0};
    const char *text = cell ? mr_clean_text(state->scratch, cell->p, cell->n, 80) : NULL;
    mr_diag_add(state->diags, MR_ERROR, mr_aside_word(why), place, text, mend, "%s", what);
}

/* --- rows that are no data ----------------------------------------------------------------------------------------
 */

/* --- texts --------------------------------------------------------------------------------------------------------
 */

/* Several readings may stand in one row: it is set aside only where all of them go. */
void mr_rows_split(struct mr_file_state *state, const int8_t *fate, const uint32_t *line, size_t n) {
    size_t rows = 0;
    int8_t *row_fate = MR_ARRAY(state->scratch, int8_t, n + 1);
    uint32_t *row_line = MR_ARRAY(state->scratch, uint32_t, n + 1);
    for (size_t i = 0; i < n; i++) {
        if (rows && row_line[rows - 1] == line[i]) {
            row_fate[rows - 1] = fate[i] == MR_FATE_USED ? MR_FATE_USED : row_fate[rows - 1];
        } else {
            row_line[rows] = line[i];
            row_fate[rows++] = fate[i];
        }
    }
    mr_state_split(state, row_fate, row_line, rows);
}

void mr_ask_decimal(struct mr_file_state *state) {
    if (!state->decimal_asked)
        mr_file_ask(state->arena, state->file, MR_ASK_DECIMAL, "decimal = ?\n# replace ? with point or comma");
    state->decimal_asked = true;
}
