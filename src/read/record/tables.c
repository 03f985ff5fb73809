#include "read/record/tables.h"

#include "base/text.h"
#include "read/record/trim.h"

#include <string.h>

enum { MOST_MOVED = 256 }; /* in wider tables a name is looked for in its own place only: the time stays linear */

void mr_tables_begin(struct mr_tables *tables, const struct mr_layout *layout) {
    *tables =
        (struct mr_tables){.layout = *layout, .n = layout->column && layout->n_columns > 1 ? layout->n_columns : 0};
    for (size_t i = 0; i < tables->n; i++)
        if (*layout->column[i].text)
            tables->begins[(unsigned char)*layout->column[i].text] = true;
    tables->begins['#'] = true;
}

static bool is_name(const struct mr_cell *cell, const struct mr_head *head) {
    return cell->n && *head->text == *cell->p && strlen(head->text) == cell->n &&
           memcmp(head->text, cell->p, cell->n) == 0;
}

static bool is_any_name(const struct mr_tables *tables, const struct mr_cell *cell) {
    for (size_t i = 0; i < tables->n; i++)
        if (is_name(cell, &tables->layout.column[i]))
            return true;
    return false;
}

static bool is_worded(const struct mr_cell *cell) {
    return !mr_is_digit(cell->p[0]) && !strchr("-+.,", cell->p[0]);
}

/* A header's first cell is one of the names. It is one where at least half of its cells are, or where all are words
 * and it stands below a blank line or has the first name in its place and the table's own width. It is the first one
 * once more where each cell stands in its place. Where blanks divide, a name may be several cells, so only a row of
 * the table's own width can be one. */
static bool is_other(struct mr_tables *tables, const struct mr_row *row) {
    size_t given = 0, known = 0, in_place = 0, worded = 0;
    bool first_in_place = false;
    if (row->n < 2 || row->n / 4 > tables->n || (tables->layout.delimiter == MR_BLANKS && row->n != tables->n))
        return tables->other;
    for (size_t i = 0; i < row->n; i++) {
        struct mr_cell cell = row->cell[i];
        for (bool mark = i == 0 && !is_any_name(tables, &cell); mark && cell.n && *cell.p == '#';)
            mr_trim(&cell, cell.p + 1, cell.n - 1);
        bool own = i < tables->n && is_name(&cell, &tables->layout.column[i]), any = own;
        if (!own && (i == 0 || tables->n <= MOST_MOVED))
            any = is_any_name(tables, &cell);
        if (i == 0 && !any)
            return tables->other;
        first_in_place = first_in_place || (i == 0 && own);
        given += cell.n > 0;
        in_place += own;
        known += any;
        worded += any || (cell.n && is_worded(&cell));
    }
    bool alike = row->n == tables->n && first_in_place, below_blank = tables->blank && tables->blank + 1 == row->line;
    bool full = given == row->n && (alike || below_blank);
    bool header = given == worded && ((known >= 2 && 2 * known >= given) || full);
    if (header)
        tables->other = in_place < given;
    return tables->other;
}

/* Below the header a comment is told from a first cell such as #12 by its number of cells; of comments that blanks
 * divide, any number of words is to be expected. */
static bool is_comment(const struct mr_layout *layout, const struct mr_row *row) {
    if (layout->n_columns < 2 || !row->n || !row->cell[0].n || row->cell[0].p[0] != '#' || row->cell[0].quoted)
        return false;
    bool number = row->cell[0].n > 1 && mr_is_digit(row->cell[0].p[1]);
    return row->n != layout->n_columns || (layout->delimiter == MR_BLANKS && !number);
}

enum mr_row_part mr_tables_part_slowly(struct mr_tables *tables, const struct mr_row *row) {
    const struct mr_layout *layout = &tables->layout;
    if (row->line >= layout->first_body_line) {
        if (is_comment(layout, row) && !(row->n == layout->n_columns && is_other(tables, row)))
            return MR_ROW_PREAMBLE;
        return is_other(tables, row) ? MR_ROW_OTHER : MR_ROW_BODY;
    }
    if (row->line <= layout->above_last && row->line >= layout->above_first)
        return MR_ROW_OTHER;
    return layout->header_line && row->line >= layout->header_line ? MR_ROW_HEADER : MR_ROW_PREAMBLE;
}

/* A last line without line end is cut where it has too few cells, or where its last number has fewer decimals,
 * or as a whole number fewer digits, than all others. Whether a whole-looking one is cut cannot be told: it is read,
 * and the file is marked. */
bool mr_tables_cut(const struct mr_tables *tables, uint32_t line, const struct mr_cell *cell, size_t n) {
    const struct mr_layout *layout = &tables->layout;
    if (!layout->n_columns || line < layout->first_body_line || !n)
        return false;
    if (n < layout->n_columns)
        return true;
    const struct mr_cell *last = &cell[n - 1];
    if (n > layout->n_columns || layout->last_decimals < 0 || !last->n)
        return false;
    int decimals = -1, digits = 0;
    for (uint32_t i = 0; i < last->n; i++) {
        bool mark = last->p[i] == '.' || last->p[i] == ',';
        if (!mark && (!mr_is_digit(last->p[i])) && !(i == 0 && (last->p[i] == '-' || last->p[i] == '+')))
            return false;
        digits += mr_is_digit(last->p[i]);
        decimals = mark ? 0 : decimals >= 0 ? decimals + 1 : -1;
    }
    return (decimals < 0 ? 0 : decimals) < layout->last_decimals ||
           (!layout->last_decimals && digits < layout->last_digits);
}
