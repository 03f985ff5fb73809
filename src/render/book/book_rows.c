/*
 * book_rows.c - a row of cells, high enough for its texts.
 */
#include "render/book/book.h"

#include "render/draw/draw_list.h"

#include <math.h>
#include <string.h>

enum { LINES_MOST = 30 };

static bool wraps(enum mr_look look) {
    return look == MR_LOOK_WRAP || look == MR_LOOK_LINK_CELL || look == MR_LOOK_BLANK || look == MR_LOOK_HEAD ||
           (look >= MR_LOOK_NOT_REQUIRED && look <= MR_LOOK_DOES_NOT_CONFORM);
}

/* Lines that a text takes in a column: blanks break lines, a longer word goes on in the next one. */
static size_t lines_of(struct mr_arena *arena, const char *text, bool bold, double width_pt) {
    size_t lines = 0;
    while (*text && lines < LINES_MOST) {
        const size_t n = strcspn(text, "\n");
        const char *piece = mr_strndup(arena, text, n < 4000 ? n : 4000);
        const char *line[LINES_MOST];
        const size_t k = mr_text_wrap(arena, piece, MR_BOOK_TYPE_PT, bold, width_pt, LINES_MOST, line);
        const double all = mr_text_width(piece, MR_BOOK_TYPE_PT, bold) / width_pt;
        lines += k == 0 ? 1 : (double)k > all ? k : (size_t)ceil(all);
        text += n + (text[n] == '\n');
    }
    return lines > LINES_MOST ? LINES_MOST : lines;
}

double mr_sheet_row_height(struct mr_arena *scratch, size_t n, const struct mr_cell_out *cells,
                           const double *widths) {
    size_t lines = 1;
    for (size_t i = 0; i < n; i++) {
        if (cells[i].kind != MR_CELL_TEXT || !cells[i].text || !wraps(cells[i].look))
            continue;
        const bool bold = cells[i].look == MR_LOOK_HEAD || cells[i].look >= MR_LOOK_NOT_SHOWN;
        /* less edges and indent; Arial is narrower than the letters that are measured here, bold or not */
        const double width_pt = (widths[i] * MR_CHARACTER_PT - 6.0) / (bold ? 0.93 : 0.87);
        const size_t k = lines_of(scratch, cells[i].text, bold, width_pt < 20 ? 20 : width_pt);
        lines = k > lines ? k : lines;
    }
    return lines > 1 ? (double)lines * 12.75 + 1.0 : 0;
}

void mr_sheet_row(struct mr_sheet *s, struct mr_arena *scratch, unsigned row, size_t n,
                  const struct mr_cell_out *cells, const double *widths) {
    if (!s)
        return;
    const double height = mr_sheet_row_height(scratch, n, cells, widths);
    if (height > 0)
        mr_sheet_height(s, row, height);
    for (size_t i = 0; i < n; i++)
        if (!cells[i].absent)
            mr_sheet_cell(s, row, (unsigned)i, &cells[i]);
}
