/*
 * fill_down.c - what a row takes from above it. Spreadsheets save merged cells as one filled cell and blanks below;
 * gauges write a line such as "Date: 2026-05-14" or "Units: um" between the blocks of one export. Either is applied
 * only where the file shows it, and said.
 */
#include "normalise/row/fill_down.h"

#include <string.h>

/* --- merged cells -------------------------------------------------------------------------------------------------
 */

struct mr_kept_cell {
    char *p;
    size_t n, room;
};

static void keep_cell(struct mr_file_state *state, struct mr_kept_cell *kept, const struct mr_cell *cell) {
    if (cell->n > kept->room) {
        kept->room = cell->n * 2 + 16;
        kept->p = mr_alloc(state->scratch, kept->room, 1);
    }
    memcpy(kept->p, cell->p, cell->n);
    kept->n = cell->n;
}

/* A row that has nothing but its carried cells' blanks is not filled up: it is blank. */
const struct mr_row *mr_fill_down(struct mr_file_state *state, const struct mr_row *row) {
    const struct mr_plan *plan = state->plan;
    bool filled = false;
    for (size_t i = 0; i < row->n && !filled; i++)
        filled = row->cell[i].n > 0;
    if (!filled || row->n > MR_COLUMNS_MOST)
        return row;
    if (!state->above.kept) {
        state->above.kept = MR_ARRAY(state->scratch, struct mr_kept_cell, plan->n);
        state->above.cells = MR_ARRAY(state->scratch, struct mr_cell, MR_COLUMNS_MOST);
    }
    memcpy(state->above.cells, row->cell, row->n * sizeof *row->cell);
    state->above.row = *row;
    state->above.row.cell = state->above.cells;
    bool any = false;
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        struct mr_kept_cell *kept = &state->above.kept[i];
        if (!c->carried || c->cell >= row->n)
            continue;
        if (row->cell[c->cell].n) {
            keep_cell(state, kept, &row->cell[c->cell]);
        } else if (kept->n) {
            state->above.cells[c->cell].p = kept->p;
            state->above.cells[c->cell].n = (uint32_t)kept->n;
            any = true;
        }
    }
    state->above.rows += any;
    return &state->above.row;
}

void mr_fill_down_say(struct mr_file_state *state) {
    const char *names = "";
    for (size_t i = 0; state->above.rows && i < state->plan->n; i++)
        if (state->plan->col[i].carried) {
            const char *name = state->plan->col[i].as.name;
            names = mr_printf(state->scratch, "%s%s\"%s\"", names, *names ? ", " : "",
                              mr_clean_text(state->scratch, name, strlen(name), 40));
        }
    if (state->above.rows)
        mr_diag_add(state->diags, MR_NOTE, "carried", (struct mr_place){.file = state->source->path}, NULL,
                    "If that is wrong, fill in the cells.",
                    "%s: blank cells take the value above them, as merged cells do when saved (rows: %zu)", names,
                    state->above.rows);
}
