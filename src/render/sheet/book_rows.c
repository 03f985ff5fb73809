/*
 * book_rows.c - a row of cells, high enough for its texts.
 *
 * Cells are set in Arial, or in one of its doubles (Liberation Sans, Nimbus Sans) where it is not installed; all have
 * the advances of Helvetica, as its published font metrics give them for characters 32 to 126.
 */
#include "render/sheet/book.h"

#include "base/utf8.h"
#include "render/sheet/formula.h"

#include <math.h>
#include <string.h>

enum { EM = 1000, OTHER_ADVANCE = 690, WIDE_ADVANCE = 1000, LINES_MOST = 30 };

static const unsigned short advances[2][95] = {
    {278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333,  278, 278, 556, 556, 556,
     556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
     611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667,  611, 722, 667, 944, 667,
     667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278,  556, 556, 222, 222, 500,
     222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500,  500, 334, 260, 334, 584},
    {278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
     556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667,
     611, 778, 722, 278, 556, 722, 611, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
     667, 611, 333, 278, 333, 584, 556, 333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556,
     278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584}};

/* Other letters as wide as the widest usual one of their kind, so that a line is never too full. */
static double width_of(const char *text, size_t n, bool bold) {
    unsigned long units = 0;
    for (size_t i = 0, len; i < n; i += len) {
        const unsigned char c = (unsigned char)text[i];
        len = mr_utf8_length(text + i, n - i);
        len = len ? len : 1;
        units += c >= 32 && c < 127 ? advances[bold][c - 32] : len <= 2 ? OTHER_ADVANCE : WIDE_ADVANCE;
    }
    return (double)units * MR_BOOK_TYPE_PT / EM;
}

double mr_book_text_pt(const char *text, bool bold) {
    return width_of(text, strlen(text), bold);
}

/* Less its edges and an indent of three blanks; programs round widths each in their own way. */
double mr_book_column_pt(double characters) {
    const double edges_pt = 6.5, rounded = 1.01, least_pt = 18;
    return fmax(least_pt, rounded * (characters * MR_CHARACTER_PT - edges_pt));
}

/* A blank breaks a line; a word that is longer than one goes on in the next. */
static size_t lines_of(const char *text, bool bold, double width_pt) {
    const double blank_pt = width_of(" ", 1, bold);
    size_t lines = text[0] != '\0';
    double used_pt = 0;
    while (*text && lines < LINES_MOST) {
        if (*text == '\n') {
            lines += text[1] != '\0';
            used_pt = 0;
            text++;
            continue;
        }
        const size_t n = strcspn(text, " \n"), blanks = strspn(text + n, " ");
        const double word_pt = width_of(text, n, bold);
        if (used_pt > 0 && used_pt + word_pt > width_pt) {
            lines++;
            used_pt = 0;
        }
        used_pt += word_pt;
        if (used_pt > width_pt) {
            lines += (size_t)ceil(used_pt / width_pt) - 1;
            used_pt = fmod(used_pt, width_pt);
        }
        used_pt += (double)blanks * blank_pt;
        text += n + blanks;
    }
    return lines < LINES_MOST ? lines : LINES_MOST;
}

static bool wraps(enum mr_look look) {
    return look == MR_LOOK_WRAP || look == MR_LOOK_LINK_CELL || look == MR_LOOK_BLANK || look == MR_LOOK_HEAD ||
           (look >= MR_LOOK_NOT_REQUIRED && look <= MR_LOOK_DOES_NOT_CONFORM);
}

static bool is_bold(enum mr_look look) {
    return look == MR_LOOK_HEAD || (look >= MR_LOOK_NOT_SHOWN && look <= MR_LOOK_DOES_NOT_CONFORM);
}

double mr_sheet_row_height(size_t n, const struct mr_cell_out *cells, const double *widths) {
    const double line_pt = 12.75; /* of Arial 10 in the suites; the free ones set 11.5 */
    size_t lines = 1;
    for (size_t i = 0; i < n; i++) {
        if (cells[i].kind != MR_CELL_TEXT || !cells[i].text || !wraps(cells[i].look) || widths[i] <= 0)
            continue;
        const bool bold = is_bold(cells[i].look);
        const double room_pt = (bold ? 0.96 : 1) * mr_book_column_pt(widths[i]); /* screens draw bold wider */
        const size_t k = lines_of(cells[i].text, bold, room_pt);
        lines = k > lines ? k : lines;
    }
    return lines > 1 ? (double)lines * line_pt + 1.0 : 0;
}

bool mr_is_plain(const char *text) {
    const size_t n = strlen(text);
    for (size_t i = 0, len; i < n; i += len) {
        len = mr_utf8_length(text + i, n - i);
        if (len == 0 || (unsigned char)text[i] < ' ')
            return false;
    }
    return !strstr(text, "_x");
}

/* A program that makes a jump of a text breaks it into no lines; of a formula it does, and the jump stays. */
static void break_jump(struct mr_arena *scratch, struct mr_cell_out *cell, double width) {
    if (!cell->target || cell->formula || !cell->text ||
        mr_book_text_pt(cell->text, false) <= mr_book_column_pt(width))
        return;
    if (mr_is_plain(cell->text))
        cell->formula = mr_formula_text(scratch, NULL, "", mr_x_text(scratch, cell->text));
    cell->target = cell->formula ? cell->target : NULL;
}

void mr_sheet_row(struct mr_sheet *s, struct mr_arena *scratch, unsigned row, size_t n,
                  const struct mr_cell_out *cells, const double *widths) {
    if (!s)
        return;
    const double height = mr_sheet_row_height(n, cells, widths);
    if (height > 0)
        mr_sheet_height(s, row, height);
    for (size_t i = 0; i < n; i++) {
        struct mr_cell_out cell = cells[i];
        break_jump(scratch, &cell, widths[i]);
        if (!cell.absent)
            mr_sheet_cell(s, row, (unsigned)i, &cell);
    }
}
