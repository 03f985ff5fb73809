/*
 * sheet_tables.c - sheets that are one table: its cells, formulas and links.
 */
#include "render/book/book_sheets.h"

#include <math.h>
#include <string.h>

enum { ROWS_WRAPPED = 4000, ROWS_OF_SCRATCH = 256 };

struct mr_cell_out mr_ref_cell(const struct mr_book_job *job, const struct mr_sheet *own, const struct mr_table *t,
                               const char *column, size_t row) {
    const size_t c = mr_find_column(t, column);
    if (c == MR_NONE || row >= t->n_rows)
        return mr_text_cell(MR_LOOK_BLANK, "");
    struct mr_cell_out cell = mr_value_cell(job->o, job->arena, t, row, c, true);
    const enum mr_value_type type = mr_table_value(t, row, c).type;
    if (type != MR_V_BLANK && type != MR_V_TIME && !mr_many_zones(job->o))
        cell.formula =
            mr_formula_text(job->arena, job->layout, mr_sheet_name(own), mr_x_cells(job->arena, t, c, row, row));
    return cell;
}

/* The formula of a cell as text, in the scratch memory of the live tables. */
static void make_live(const struct mr_book_job *job, const struct mr_recipe *recipe, const struct mr_table *t,
                      size_t row, size_t column, const char *sheet, struct mr_cell_out *cell) {
    const struct mr_value own = mr_table_value(t, row, column), *v = &own;
    if (!recipe || v->type == MR_V_TIME || (v->type == MR_V_BLANK && !recipe->blanks))
        return;
    const mr_x x = recipe->make(job->live, t, row);
    cell->formula = mr_formula_text(job->live->scratch, job->layout, sheet, x);
    cell->array = x && x->array;
}

void mr_table_head(const struct mr_book_job *job, struct mr_sheet *sheet, const struct mr_table_layout *l,
                   unsigned head_row) {
    const size_t n = l->table->n_fields;
    const bool across = l->n_pages > 1; /* its first column is on each page: a note there would be cut */
    struct mr_cell_out *head = MR_ARRAY(job->arena, struct mr_cell_out, n);
    for (size_t c = 0; c < n; c++) {
        mr_sheet_width(sheet, (unsigned)c, l->width[c]);
        head[c] = mr_text_cell(MR_LOOK_HEAD, l->title[c]);
    }
    mr_sheet_height(sheet, 0, 24);
    mr_sheet_text(sheet, 0, 0, MR_LOOK_TITLE, mr_book_word(job, l->table->title));
    for (size_t i = 0; i < l->n_note; i++)
        mr_sheet_text(sheet, 1 + (unsigned)i, across ? 1 : 0, MR_LOOK_NOTE, l->note[i]);
    mr_sheet_row(sheet, job->arena, head_row, n, head, l->width);
}

/* Of very many readings and spots: the system's film, no correction, none in doubt, and what is usual of a reading.
 * Some formulas count those that are not. */
static void leave_out(const struct mr_live *l, const struct mr_table *t, size_t row, struct mr_cell_out *cells) {
    static const char *const zero[] = {"correction", "doubted"},
                             *const of_usual[] = {"from_median", "others", "standing"},
                             *const of_all[] = {"usual", "counted", "counted_mean"};
    const size_t film = mr_find_column(t, "coat");
    if (film != MR_NONE && strcmp(mr_live_text(t, "coat", row), "system") == 0)
        cells[film].absent = true;
    for (size_t i = 0; i < MR_COUNT(zero); i++) {
        const size_t c = mr_find_column(t, zero[i]);
        if (c != MR_NONE && !(cells[c].number < 0 || cells[c].number > 0))
            cells[c].absent = true;
    }
    for (size_t i = 0; i < MR_COUNT(of_usual); i++) {
        const size_t c = mr_find_column(t, of_usual[i]);
        if (c != MR_NONE && strcmp(mr_live_text(t, "standing", row), "usual") == 0)
            cells[c].absent = true;
    }
    for (size_t i = 0; l->all_usual && i < MR_COUNT(of_all); i++)
        if (mr_find_column(t, of_all[i]) != MR_NONE)
            cells[mr_find_column(t, of_all[i])].absent = true;
}

/* Long tables that are read on screen and filtered, not printed, keep one height of rows. */
static void put_piece(const struct mr_book_job *job, const struct mr_table_layout *l, const struct mr_piece *p,
                      const struct mr_recipe **recipe) {
    const struct mr_table *t = l->table;
    struct mr_cell_out *cells = MR_ARRAY(job->arena, struct mr_cell_out, t->n_fields);
    const bool wrap = l->printed || p->to - p->from <= ROWS_WRAPPED;
    const bool sparse = mr_is_sparse(t);
    mr_table_head(job, p->sheet, l, p->head_row);
    for (size_t r = p->from; r < p->to; r++) {
        for (size_t c = 0; c < t->n_fields; c++) {
            cells[c] = mr_value_cell(job->o, job->arena, t, r, c, wrap);
            make_live(job, recipe[c], t, r, c, mr_sheet_name(p->sheet), &cells[c]);
        }
        mr_table_links(job, t, r, cells);
        if (sparse)
            leave_out(job->live, t, r, cells);
        const unsigned row = p->head_row + 1 + (unsigned)(r - p->from);
        if (mr_row_folds(t, r))
            mr_sheet_fold(p->sheet, row, mr_sheet_row_height(t->n_fields, cells, l->width));
        mr_sheet_row(p->sheet, job->live->scratch, row, t->n_fields, cells, l->width);
        if (r % ROWS_OF_SCRATCH == 0)
            mr_arena_reset(job->live->scratch);
    }
    if (t->n_rows == 0 && !l->beside)
        mr_sheet_text(p->sheet, p->head_row + 1, 0, MR_LOOK_NOTE, mr_book_word(job, "None."));
    const unsigned last_row = p->head_row + (unsigned)(p->to - p->from), last_column = (unsigned)t->n_fields - 1;
    mr_sheet_table(p->sheet, p->head_row, last_row, last_column, true);
    double width = 0;
    for (size_t c = 0; c < t->n_fields; c++)
        width += l->width[c];
    if (l->printed) {
        mr_sheet_print(p->sheet, false, width, t->n_rows ? last_row : last_row + 1, last_column);
        mr_sheet_breaks_across(p->sheet, l->n_pages, l->first);
    } else
        mr_sheet_on_screen(p->sheet);
}

void mr_sheet_of_table(const struct mr_book_job *job, const struct mr_table_layout *l) {
    const struct mr_recipe **recipe = mr_recipes_of(job->live, l->table);
    for (size_t i = 0; i < l->pieces.n; i++)
        put_piece(job, l, &l->pieces.v[i], recipe);
}
