/*
 * book_page.c - sheets as pages: paper, scale, repeated titles, breaks, what is printed and what is folded.
 *
 * The scale is set outright, never "fit to the width": the smallest type on paper is then known, 7 points: 10 at 70
 * %, and that of charts, 7.5, at 94 %. A table that is too wide for that goes over several pages side by side, its
 * first columns on each.
 */
#include "render/sheet/book_looks.h"

#include <math.h>

enum { SCALE_LEAST = 70, SCALE_MOST = 100, SCALE_WITH_CHARTS = 94, PAGE_BREAKS = 1000 };

/* Points between the margins. A4 is 595 x 842, Letter 612 x 792. */
static double page_width_pt(const struct mr_sheet *s, bool portrait) {
    const double short_pt = s->book->letter ? 612 : 595, long_pt = s->book->letter ? 792 : 842;
    return (portrait ? short_pt : long_pt) - 2 * 0.4 * 72;
}

void mr_page_of(struct mr_sheet *s) {
    enum { LETTER = 1, A4 = 9 };
    worksheet_set_landscape(s->sheet);
    worksheet_set_paper(s->sheet, s->book->letter ? LETTER : A4);
    worksheet_set_print_scale(s->sheet, SCALE_LEAST);
    worksheet_set_margins(s->sheet, 0.4, 0.4, 0.52, 0.52);
    worksheet_set_default_row(s->sheet, MR_ROW_PT, LXW_FALSE);
    worksheet_gridlines(s->sheet, LXW_HIDE_ALL_GRIDLINES);
    mr_keep_error(s, worksheet_set_header(s->sheet, s->book->header));
    mr_keep_error(s, worksheet_set_footer(s->sheet, s->book->footer));
}

void mr_sheet_table(struct mr_sheet *s, unsigned header_row, unsigned last_row, unsigned last_column, bool filter) {
    if (!s)
        return;
    worksheet_freeze_panes(s->sheet, header_row + 1, 0);
    mr_keep_error(s, worksheet_repeat_rows(s->sheet, header_row, header_row));
    if (filter && last_row > header_row)
        mr_keep_error(s, worksheet_autofilter(s->sheet, header_row, 0, last_row, (lxw_col_t)last_column));
}

void mr_sheet_width(struct mr_sheet *s, unsigned column, double width) {
    const bool shown = width > 0;
    lxw_row_col_options options = {.hidden = shown ? LXW_FALSE : LXW_TRUE};
    if (s)
        mr_keep_error(s, worksheet_set_column_opt(s->sheet, (lxw_col_t)column, (lxw_col_t)column,
                                                  shown ? width : LXW_DEF_COL_WIDTH, NULL, &options));
}

/* A column has 5 pixels beside its characters. */
static double width_pt(double characters, unsigned columns) {
    return characters * MR_CHARACTER_PT + columns * 3.75 + 1;
}

double mr_page_characters(bool letter, bool portrait, unsigned columns) {
    struct mr_book book = {.letter = letter};
    const struct mr_sheet sheet = {.book = &book};
    return (0.92 * page_width_pt(&sheet, portrait) / (SCALE_LEAST / 100.0) - width_pt(0, columns)) /
           MR_CHARACTER_PT; /* programs round widths each in their own way */
}

/* Rows that are not set have the usual height; 1 % is left, since programs round heights each in their own way. */
static double height_pt(const struct mr_sheet *s, unsigned last_row) {
    return 1.01 * ((last_row + 1) * MR_ROW_PT + s->extra_pt);
}

static double page_height_pt(const struct mr_sheet *s, bool portrait) {
    const double margins_pt = 2 * 0.52 * 72;
    const bool letter = s->book->letter;
    return (portrait ? (letter ? 792 : 842) : letter ? 612 : 595) - margins_pt;
}

double mr_page_points(bool letter, bool portrait) {
    struct mr_book book = {.letter = letter};
    const struct mr_sheet sheet = {.book = &book};
    return 100 * page_height_pt(&sheet, portrait) / SCALE_WITH_CHARTS / 1.01;
}

double mr_sheet_points(const struct mr_sheet *s, unsigned row) {
    return s ? row * MR_ROW_PT + s->extra_pt : 0;
}

/* A sheet that is a little too high for one page goes on one, where its type stays large enough. */
static int page_scale(const struct mr_sheet *s, bool portrait, double fit, double height) {
    const int most = portrait ? SCALE_WITH_CHARTS : SCALE_MOST;
    const int scale = fit < SCALE_LEAST ? SCALE_LEAST : fit > most ? most : (int)fit;
    const int one_page = (int)(100 * page_height_pt(s, portrait) / height);
    return one_page >= SCALE_LEAST && one_page < scale ? one_page : scale;
}

void mr_sheet_print(struct mr_sheet *s, bool portrait, double characters, unsigned last_row, unsigned last_column) {
    if (!s)
        return;
    const double fit = 92.0 * page_width_pt(s, portrait) / width_pt(characters, last_column + 1);
    if (portrait)
        worksheet_set_portrait(s->sheet);
    if (fit < SCALE_LEAST) {
        worksheet_print_across(s->sheet);
        mr_keep_error(s, worksheet_repeat_columns(s->sheet, 0, 0));
        /* Gnumeric complains of titles of both kinds; of one page of rows, those of the columns do */
        if (SCALE_LEAST * height_pt(s, last_row) < 100 * page_height_pt(s, portrait))
            s->sheet->repeat_rows.in_use = LXW_FALSE;
    }
    s->scale = page_scale(s, portrait, fit, height_pt(s, last_row));
    worksheet_set_print_scale(s->sheet, (uint16_t)s->scale);
    mr_keep_error(s, worksheet_print_area(s->sheet, 0, 0, last_row, (lxw_col_t)last_column));
}

/* There is no word for "not printed" in the format; an area without a single cell in it gives no page. */
void mr_sheet_on_screen(struct mr_sheet *s) {
    enum { FAR_COLUMN = 16383 };
    if (s)
        mr_keep_error(s, worksheet_print_area(s->sheet, 0, FAR_COLUMN, 0, FAR_COLUMN));
}

void mr_sheet_breaks(struct mr_sheet *s, size_t n, const unsigned *rows) {
    if (!s || n == 0)
        return;
    n = n > PAGE_BREAKS ? PAGE_BREAKS : n;
    lxw_row_t *breaks = MR_ARRAY(s->book->arena, lxw_row_t, n + 1); /* ends in 0 */
    for (size_t i = 0; i < n; i++)
        breaks[i] = rows[i];
    mr_keep_error(s, worksheet_set_h_pagebreaks(s->sheet, breaks));
}

void mr_sheet_keep_together(struct mr_sheet *s, bool portrait, unsigned from, double points, unsigned to) {
    if (!s || !s->scale)
        return;
    const double page = 100 * page_height_pt(s, portrait) / s->scale, end = height_pt(s, to),
                 begin = 0.94 * (end - 1.01 * points); /* on no page that may end before */
    if (end > 2 * page || (end > page && floor(begin / page) < floor(end / page)))
        mr_sheet_breaks(s, 1, &from);
}

void mr_sheet_breaks_across(struct mr_sheet *s, size_t n, const unsigned *columns) {
    enum { PAGES_MOST = 20 };
    lxw_col_t breaks[PAGES_MOST + 1] = {0}; /* ends in 0 */
    if (!s || n < 2)
        return;
    for (size_t i = 1; i < n && i < PAGES_MOST; i++)
        breaks[i - 1] = (lxw_col_t)columns[i];
    mr_keep_error(s, worksheet_set_v_pagebreaks(s->sheet, breaks));
}

void mr_sheet_fold(struct mr_sheet *s, unsigned row, double points) {
    if (!s)
        return;
    lxw_row_col_options options = {.hidden = LXW_TRUE, .level = 1};
    s->meant.rows += row >= s->next_row;
    s->next_row = row >= s->next_row ? row + 1 : s->next_row;
    s->folded = row + 1;
    s->extra_pt -= MR_ROW_PT;
    mr_keep_error(s, worksheet_set_row_opt(s->sheet, row, points > 0 ? points : LXW_DEF_ROW_HEIGHT, NULL, &options));
}
