/*
 * one_page.c - many jobs on one page: facts, the spread of the film as one figure, and of each table as many rows as
 * the page has room for. What is left out is counted, never dropped in silence.
 */
#include "milrise/render.h"

#include "base/buffer.h"
#include "base/json.h"
#include "base/outfile.h"
#include "numeric/select.h"
#include "render/data/cautions.h"
#include "render/data/shown_value.h"
#include "render/draw/draw_cairo.h"
#include "render/submittal/leaf_pdf.h"

#include <errno.h>
#include <math.h>
#include <string.h>

enum { COLUMNS_MOST = 240, CELL_BYTES = 110 };

struct page_maker {
    struct mr_arena *arena;
    const struct mr_one_page *what;
    struct mr_outline outline; /* for cells as text; knows no job */
    bool other_font;
};

static double cell_number(const struct mr_table *t, size_t row, const char *key) {
    const size_t c = mr_find_column(t, key);
    const struct mr_value v = c == MR_NONE ? mr_v_blank("") : mr_table_value(t, row, c);
    return v.type == MR_V_NUMBER ? v.number : MR_NAN;
}

/* Jobs from left to right in the order of the table; where there are more than columns, several share one: the least,
 * the median and the greatest of them. */
static void draw_jobs(struct mr_drawlist *list, const struct mr_panel *p, const struct mr_table *t) {
    const size_t columns = t->n_rows < COLUMNS_MOST ? t->n_rows : COLUMNS_MOST;
    double *mean = MR_ARRAY(list->arena, double, t->n_rows);
    struct mr_point *dot = MR_ARRAY(list->arena, struct mr_point, columns);
    for (size_t k = 0; k < columns; k++) {
        const size_t from = k * t->n_rows / columns, to = (k + 1) * t->n_rows / columns;
        double low = HUGE_VAL, high = -HUGE_VAL;
        for (size_t r = from; r < to; r++) {
            mr_widen(&low, &high, cell_number(t, r, "film_low_um"));
            mr_widen(&low, &high, cell_number(t, r, "film_high_um"));
            mean[r - from] = cell_number(t, r, "film_mean_um");
        }
        const double x = mr_panel_x(p, (double)k + 0.5);
        mr_draw_segment(list, MR_INK_PALE, columns > 100 ? 1.2 : 2.4, MR_SOLID, x, mr_panel_y(p, low), x,
                        mr_panel_y(p, high));
        dot[k] = (struct mr_point){x, mr_panel_y(p, mr_median(mean, to - from))};
    }
    mr_draw_marks(list, MR_INK_NAVY, MR_DOT, columns > 100 ? 1.4 : 2.6, columns, dot);
}

static struct mr_drawlist *film_figure(const struct page_maker *m, double width) {
    const struct mr_table *t = m->what->film;
    struct mr_drawlist *list = mr_drawlist_new(m->arena, width, 118, "Film of the jobs");
    double lo = HUGE_VAL, hi = -HUGE_VAL;
    for (size_t r = 0; r < t->n_rows; r++) {
        mr_widen(&lo, &hi, cell_number(t, r, "film_low_um"));
        mr_widen(&lo, &hi, cell_number(t, r, "film_high_um"));
    }
    mr_range_pad(&lo, &hi, 0.08, 5);
    const size_t columns = t->n_rows < COLUMNS_MOST ? t->n_rows : COLUMNS_MOST;
    const struct mr_panel p = {46, 6, width - 46 - 6, 92, 0, (double)columns, lo, hi};
    mr_axis_left(list, &p, "film, \xc2\xb5m");
    draw_jobs(list, &p, t);
    mr_panel_frame(list, &p);
    mr_draw_text(list, (struct mr_type){MR_INK_GREY, MR_SIZE_TICK, MR_LEFT, false, false}, p.x, p.y + p.h + 12,
                 "thinnest job");
    mr_draw_text(list, (struct mr_type){MR_INK_GREY, MR_SIZE_TICK, MR_RIGHT, false, false}, p.x + p.w, p.y + p.h + 12,
                 "thickest job");
    return list;
}

static void put_film(const struct page_maker *m, struct mr_leaves *l) {
    const struct mr_table *t = m->what->film;
    if (!t || t->n_rows < 2)
        return;
    const double first = cell_number(t, 0, "film_mean_um"), last = cell_number(t, t->n_rows - 1, "film_mean_um");
    struct mr_chart chart = {.kind = "film-of-jobs", .title = "Film of the jobs", .zone = MR_NONE};
    chart.list = film_figure(m, l->right - l->left);
    chart.list->desc = chart.alt = mr_printf(
        m->arena,
        "Film of %zu jobs, the thinnest first: dots are means of a job (%.0f to %.0f \xc2\xb5m, %.1f to %.1f mil), "
        "lines reach from the least to the greatest mean of a zone. Jobs may differ in their specified "
        "thickness.",
        t->n_rows, first, last, mr_from_canonical(MR_UNIT_MIL, first), mr_from_canonical(MR_UNIT_MIL, last));
    mr_leaves_heading(l, MR_LEAF_H2, "Film", NULL);
    mr_leaves_figure(l, &chart, 1, NULL);
}

static const char *cell_text(const struct page_maker *m, const struct mr_table *t, size_t row, size_t column) {
    const char *text = mr_shown_value(&m->outline, t, row, column);
    return mr_leaf_clean(m->arena, text, strlen(text), CELL_BYTES);
}

/* Of the first cell that is not blank. */
static enum mr_value_type type_of(const struct mr_one_page_part *part, size_t column) {
    const struct mr_table *t = part->table;
    enum mr_value_type type = MR_V_BLANK;
    for (size_t r = part->from; r < part->from + part->n && type == MR_V_BLANK; r++)
        type = mr_table_value(t, r, column).type;
    return type;
}

static void put_part(const struct page_maker *m, struct mr_leaves *l, const struct mr_one_page_part *part,
                     size_t most) {
    const struct mr_table *t = part->table;
    const size_t n = part->n < most ? part->n : most;
    struct mr_grid_column columns[12];
    size_t field[12], used = 0;
    if (part->n == 0)
        return;
    for (size_t i = 0; i < part->n_keys && used < MR_COUNT(columns); i++) {
        const size_t c = mr_find_column(t, part->keys[i]);
        if (c == MR_NONE)
            continue;
        const enum mr_value_type type = type_of(part, c);
        const char *unit = mr_unit_symbol(t->fields[c].unit);
        field[used] = c;
        columns[used++] = (struct mr_grid_column){
            unit && *unit ? mr_printf(m->arena, "%s, %s", t->fields[c].title, unit) : t->fields[c].title,
            type == MR_V_NUMBER || type == MR_V_COUNT};
    }
    mr_leaves_heading(l, MR_LEAF_H2, mr_printf(m->arena, "%s: %zu", part->title, part->n), NULL);
    struct mr_grid grid = mr_grid_new(m->arena, used, columns);
    for (size_t r = 0; r < n; r++)
        for (size_t i = 0; i < used; i++)
            mr_grid_text(&grid, cell_text(m, t, part->from + r, field[i]));
    if (n)
        mr_leaves_grid(l, &grid);
    if (n < part->n)
        mr_leaves_paragraph(l, MR_LEAF_NOTE, 0,
                            mr_printf(m->arena, "%s%zu %sin the sheet %s of the workbook.", n ? "and " : "",
                                      part->n - n, n ? "more " : "", t->title));
}

static struct mr_leaves *lay_out(const struct page_maker *m, size_t most) {
    struct mr_leaves *l = mr_leaves_new(m->arena, m->what->letter, m->other_font);
    mr_leaves_heading(l, MR_LEAF_H1, m->what->title, "top");
    mr_leaves_paragraph(l, MR_LEAF_STRONG, 0, m->what->lead);
    for (size_t i = 0; i < m->what->n_parts; i++)
        put_part(m, l, &m->what->parts[i], most);
    put_film(m, l);
    mr_leaves_paragraph(l, MR_LEAF_NOTE, 0, m->what->foot);
    return l;
}

enum mr_status mr_render_one_page(struct mr_arena *arena, const char *folder, const char *name,
                                  const struct mr_one_page *what) {
    char family[128] = "";
    struct page_maker m = {.arena = arena, .what = what, .outline = {.arena = arena, .offset_text = ""}};
    m.other_font = !mr_font_found(family, sizeof family) || strcmp(family, MR_CHART_FONT) != 0;
    struct mr_leaves *l = NULL;
    for (size_t most = 24; !l || (l->leaf.n > 1 && most > 0); most--)
        l = lay_out(&m, most - 1);
    const struct mr_leaf_info info = {.title = what->title,
                                      .author = "",
                                      .subject = what->lead,
                                      .keywords = mr_printf(arena, "milrise %s", what->version),
                                      .language = "en",
                                      .created_iso = mr_utc_text(arena, what->created_utc_ms),
                                      .head_left = what->title,
                                      .head_right = "",
                                      .foot_left = mr_foot_words,
                                      .page = "page",
                                      .of = "of"};
    struct mr_buffer k = {.arena = arena};
    if (mr_leaf_pdf(l, &info, mr_buffer_keep, &k) != MR_OK)
        return MR_E_OUTPUT;
    return mr_file_write(arena, mr_printf(arena, "%s/%s", folder, name), k.v.v, k.v.n);
}
