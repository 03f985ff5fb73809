/* free_cells.c - see free_cells.h. */
#include "normalise/row/free_cells.h"

#include "base/text.h"
#include "normalise/cell/words.h"
#include "normalise/phrase/free_words.h"

#include <ctype.h>
#include <string.h>

enum { TEXT_BYTES = 200 };

void mr_free_cells_begin(struct mr_file_state *state) {
    const struct mr_plan *plan = state->plan;
    for (size_t i = 0; i < plan->n && plan->kind != MR_KIND_UNKNOWN; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        bool free = (c->as.meaning == MR_M_IGNORE || c->as.meaning == MR_M_NOTE) && !c->asked && *c->words;
        /* of a register and a shift record no companion is read */
        const bool companions = plan->kind != MR_KIND_ZONES && plan->kind != MR_KIND_SHIFT_RECORD;
        if (free && c->as.meaning == MR_M_IGNORE && plan->map && companions)
            free = mr_companion_of(plan->kind, plan->source->columns[i].text, c->words) >= MR_COMPANION_OWNER;
        if (!free || (c->by_job && c->as.meaning == MR_M_IGNORE))
            continue;
        struct mr_free_column column = {.col = i, .text = MR_ARRAY(state->arena, struct mr_saying, MR_FREE_TEXTS)};
        MR_PUSH(state->arena, &state->free_columns, column);
    }
}

static bool has_letters(const struct mr_cell *cell) {
    for (uint32_t i = 0; i < cell->n; i++)
        if (isalpha((unsigned char)cell->p[i]) || (unsigned char)cell->p[i] >= 0x80)
            return true;
    return false;
}

static bool is_text(const struct mr_saying *saying, const struct mr_cell *cell) {
    const size_t n = strlen(saying->text);
    return n == (cell->n < TEXT_BYTES ? cell->n : TEXT_BYTES) && memcmp(saying->text, cell->p, n) == 0;
}

static void hear(struct mr_file_state *state, struct mr_free_column *column, const struct mr_row *row,
                 const struct mr_cell *cell) {
    if (column->n && is_text(&column->text[column->last], cell)) {
        column->text[column->last].cells++;
        return;
    }
    for (size_t i = 0; i < column->n; i++)
        if (is_text(&column->text[i], cell)) {
            column->last = i;
            column->text[i].cells++;
            return;
        }
    const struct mr_plan_column *c = &state->plan->col[column->col];
    if (column->n == MR_FREE_TEXTS) {
        column->further += 1;
        return;
    }
    const char *words = mr_words_fold(state->scratch, cell->p, cell->n);
    column->neutral[column->n] = mr_is_neutral_cell(c->words, words);
    column->last = column->n;
    column->text[column->n++] =
        (struct mr_saying){.line = row->line,
                           .name = c->as.name,
                           .text = mr_strndup(state->arena, cell->p, cell->n < TEXT_BYTES ? cell->n : TEXT_BYTES),
                           .cells = 1};
}

void mr_free_cells_hear(struct mr_file_state *state, const struct mr_row *row) {
    for (size_t i = 0; i < state->free_columns.n; i++) {
        struct mr_free_column *column = &state->free_columns.v[i];
        const size_t at = state->plan->col[column->col].cell;
        /* a register is short: its figures are shown too */
        const bool figures = state->plan->kind == MR_KIND_ZONES;
        if (at < row->n && row->cell[at].n && (figures || has_letters(&row->cell[at])))
            hear(state, column, row, &row->cell[at]);
    }
}

void mr_free_cells_publish(struct mr_file_state *state) {
    for (size_t i = 0; i < state->free_columns.n; i++) {
        const struct mr_free_column *column = &state->free_columns.v[i];
        for (size_t k = 0; k < column->n; k++)
            if (!column->neutral[k])
                MR_PUSH(state->arena, &state->file->sayings, column->text[k]);
        if (!column->further)
            continue;
        const struct mr_saying rest = {.name = state->plan->col[column->col].as.name, .cells = column->further};
        MR_PUSH(state->arena, &state->file->sayings, rest);
    }
}
