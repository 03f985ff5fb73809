/*
 * fill_down.c - what a row takes from above it. Spreadsheets save merged cells as one filled cell and blanks below;
 * gauges write a line such as "Date: 2026-05-14" or "Units: um" between the blocks of one export. Either is applied
 * only where the file shows it, and said.
 */
#include "normalise/row/file_state.h"

#include <string.h>

/* --- merged cells -------------------------------------------------------------------------------------------------
 */

struct carried_cell {
    char *p;
    size_t n, room;
};

static void keep_cell(struct mr_file_state *w, struct carried_cell *kept, const struct mr_cell *cell) {
    if (cell->n > kept->room) {
        kept->room = cell->n * 2 + 16;
        kept->p = mr_alloc(w->scratch, kept->room, 1);
    }
    memcpy(kept->p, cell->p, cell->n);
    kept->n = cell->n;
}

/* A row that has nothing but its carried cells' blanks is not filled up: it is blank. */
const struct mr_row *mr_fill_down(struct mr_file_state *w, const struct mr_row *row) {
    const struct mr_plan *plan = w->plan;
    bool filled = false;
    for (size_t i = 0; i < row->n && !filled; i++)
        filled = row->cell[i].n > 0;
    if (!filled || row->n > MR_COLUMNS_MOST)
        return row;
    if (!w->carried) {
        w->carried = MR_ARRAY(w->scratch, struct carried_cell, plan->n);
        w->carry_cells = MR_ARRAY(w->scratch, struct mr_cell, MR_COLUMNS_MOST);
    }
    memcpy(w->carry_cells, row->cell, row->n * sizeof *row->cell);
    w->carry_row = *row;
    w->carry_row.cell = w->carry_cells;
    bool any = false;
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        struct carried_cell *kept = &w->carried[i];
        if (!c->carried || c->cell >= row->n)
            continue;
        if (row->cell[c->cell].n) {
            keep_cell(w, kept, &row->cell[c->cell]);
        } else if (kept->n) {
            w->carry_cells[c->cell].p = kept->p;
            w->carry_cells[c->cell].n = (uint32_t)kept->n;
            any = true;
        }
    }
    w->carried_rows += any;
    return &w->carry_row;
}

void mr_fill_down_say(struct mr_file_state *w) {
    const char *names = "";
    for (size_t i = 0; w->carried_rows && i < w->plan->n; i++)
        if (w->plan->col[i].carried) {
            const char *name = w->plan->col[i].as.name;
            names = mr_printf(w->scratch, "%s%s\"%s\"", names, *names ? ", " : "",
                              mr_clean_text(w->scratch, name, strlen(name), 40));
        }
    if (w->carried_rows)
        mr_diag_add(w->diags, MR_NOTE, "carried", (struct mr_place){.file = w->source->path}, NULL,
                    "Fill the cells in where that is not meant.",
                    "%s: blank in %zu rows below a filled cell, and taken from there, as merged cells are saved",
                    names, w->carried_rows);
}
