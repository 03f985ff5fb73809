/*
 * chart_repair.c - the areas of a zone that missed a limit and were repaired: mean and least spot of each, before and
 * after, with the days of both surveys and the limits. Rows come from the table of repaired areas.
 */
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"
#include "render/plot/place.h"

#include <math.h>
#include <string.h>

enum { AREAS_MOST = 40, LIMITS_MOST = 6 };

#define ROW_LEAST_PT 19.0
#define ROW_MOST_PT 56.0 /* few areas */
#define TOP_PT 86.0
#define NAME_PT 190.0

struct repair_view {
    const struct mr_chart_job *job;
    const char *zone;
    enum mr_unit unit;
    const struct mr_table *t;
    struct mr_film_rows limits;
    size_t zone_at, n, row[AREAS_MOST], left_out;
    double lo, hi, row_pt;
};

static double shown(const struct repair_view *v, double um) {
    return mr_from_canonical(v->unit, um);
}

/* The limit of a sort of value, as the zone's first rule that has one states it. */
static size_t limits_of(const struct repair_view *v, size_t out[LIMITS_MOST]) {
    const struct mr_table *t = v->limits.table;
    size_t n = 0;
    for (size_t i = v->limits.first[v->zone_at]; i < v->limits.first[v->zone_at + 1] && n < LIMITS_MOST; i++) {
        const char *value = mr_cell_text(t, v->limits.row[i], "value");
        const bool drawn = strcmp(value, "spot") == 0 || strcmp(value, "area") == 0;
        if (drawn && isfinite(mr_cell_number(t, v->limits.row[i], "limit")))
            out[n++] = v->limits.row[i];
    }
    return n;
}

static void read_rows(struct repair_view *v, const struct mr_film_rows *rows) {
    static const char *const columns[] = {"mean_before", "least_before", "mean_after", "least_after"};
    size_t limit[LIMITS_MOST];
    for (size_t i = rows->first[v->zone_at]; i < rows->first[v->zone_at + 1]; i++) {
        if (v->n == AREAS_MOST) {
            v->left_out++;
            continue;
        }
        v->row[v->n++] = rows->row[i];
        for (size_t c = 0; c < MR_COUNT(columns); c++)
            mr_widen(&v->lo, &v->hi, shown(v, mr_cell_number(v->t, rows->row[i], columns[c])));
    }
    const size_t n = limits_of(v, limit);
    for (size_t k = 0; k < n; k++)
        mr_widen(&v->lo, &v->hi, shown(v, mr_cell_number(v->limits.table, limit[k], "limit")));
    if (v->hi >= v->lo)
        mr_range_pad(&v->lo, &v->hi, 0.08, 1e-3);
}

/* Mean and least spot of one survey at one height, joined by a thin line. */
static void draw_survey(struct mr_drawlist *list, const struct repair_view *v, const struct mr_panel *p, size_t row,
                        bool after, double y) {
    const double mean = mr_cell_number(v->t, row, after ? "mean_after" : "mean_before"),
                 least = mr_cell_number(v->t, row, after ? "least_after" : "least_before");
    const struct mr_ink ink = after ? MR_INK_BLUE : MR_INK_RED;
    if (!isfinite(mean) || !isfinite(least))
        return;
    const double x0 = mr_panel_x(p, shown(v, least)), x1 = mr_panel_x(p, shown(v, mean));
    mr_draw_segment(list, ink, 0.9, after ? MR_SOLID : MR_DASHED, x0, y, x1, y);
    mr_draw_segment(list, ink, 1.2, MR_SOLID, x0, y - 3, x0, y + 3);
    mr_draw_mark(list, ink, after ? MR_DOT : MR_SQUARE, 5, x1, y);
}

static void draw_rows(struct mr_drawlist *list, const struct repair_view *v, const struct mr_panel *p) {
    const struct mr_type name = {MR_INK_BLACK, MR_SIZE_TICK, MR_LEFT, false, false},
                         day = {MR_INK_BLACK, MR_SIZE_CAPTION, MR_LEFT, false, false};
    for (size_t i = 0; i < v->n; i++) {
        const double y = p->y + v->row_pt * (double)i;
        if (i > 0)
            mr_draw_segment(list, MR_INK_GRID, 0.5, MR_SOLID, 12, y, list->width_pt - 12, y);
        draw_survey(list, v, p, v->row[i], false, y + v->row_pt * 0.28);
        draw_survey(list, v, p, v->row[i], true, y + v->row_pt * 0.72);
        const char *area = mr_cell_text(v->t, v->row[i], "area");
        area = area[0] ? mr_printf(list->arena, "area %s", area) : "whole zone";
        mr_draw_text(list, name, 12, y + v->row_pt / 2 + 2.7,
                     mr_cut_name(list, area, MR_SIZE_TICK, false, NAME_PT - 116));
        for (int after = 0; after < 2; after++) {
            const int64_t t = mr_cell_time(v->t, v->row[i], after ? "measured_after" : "measured_before");
            mr_draw_text(list, day, NAME_PT - 98, y + v->row_pt * (after ? 0.72 : 0.28) + 2.7,
                         mr_printf(list->arena, "%s %s %s", after ? "after" : "before", mr_day_text(v->job, t),
                                   mr_clock_text(v->job, t, false)));
        }
    }
}

/* Which side a limit's label stands on: areas inwards, spots outwards, so that pairs keep apart. */
static bool inwards(const struct mr_table *limits, size_t row) {
    const bool area = strcmp(mr_cell_text(limits, row, "value"), "area") == 0,
               least = strcmp(mr_cell_text(limits, row, "side"), "at least") == 0;
    return area == least;
}

static void draw_limits(struct mr_drawlist *list, const struct repair_view *v, const struct mr_panel *p) {
    size_t limit[LIMITS_MOST];
    const size_t n = limits_of(v, limit);
    const struct mr_table *t = v->limits.table;
    for (size_t k = 0; k < n; k++) {
        const double x = mr_panel_x(p, shown(v, mr_cell_number(t, limit[k], "limit")));
        mr_draw_segment(list, MR_INK_RED, 0.9,
                        strcmp(mr_cell_text(t, limit[k], "value"), "area") == 0 ? MR_LONG_DASH : MR_DOTTED, x,
                        p->y - 2, x, p->y + p->h);
    }
    mr_panel_frame(list, p);
    struct mr_placer *placer = mr_placer_new(list);
    for (size_t k = 0; k < n; k++) {
        const double um = mr_cell_number(t, limit[k], "limit");
        mr_label_above(placer, (struct mr_room){12, 52, list->width_pt - 24, p->y - 52}, MR_INK_RED,
                       (struct mr_point){mr_panel_x(p, shown(v, um)), p->y - 2}, inwards(t, limit[k]),
                       mr_printf(list->arena, "%s %s %s", mr_cell_text(t, limit[k], "value"),
                                 mr_cell_text(t, limit[k], "side"), mr_short_text(list->arena, um, v->unit)));
    }
}

/* Which repair lies between: each once. */
static void tell_repairs(struct mr_drawlist *list, const struct repair_view *v) {
    for (size_t i = 0; i < v->n; i++) {
        const int64_t when = mr_cell_time(v->t, v->row[i], "repaired");
        const char *what = mr_cell_text(v->t, v->row[i], "repair");
        mr_tell(list, when == MR_T_NONE ? mr_printf(list->arena, "Between the surveys: %s.", what)
                                        : mr_printf(list->arena, "Between the surveys: %s, %s %s.", what,
                                                    mr_day_text(v->job, when), mr_clock_text(v->job, when, false)));
    }
    if (v->left_out)
        mr_tell(list,
                mr_printf(list->arena, "Further areas, in the sheet 'Before and after repair': %zu.", v->left_out));
}

static struct mr_drawlist *draw_figure(struct repair_view *v) {
    const struct mr_chart_job *job = v->job;
    const double room = mr_page_height(job) - TOP_PT - 28 - MR_PAGE_FOOT - 12;
    v->row_pt = fmin(fmax(room / (double)v->n, ROW_LEAST_PT), ROW_MOST_PT);
    const double high = v->row_pt * (double)v->n;
    struct mr_drawlist *list =
        mr_page_named(job, TOP_PT + high + 28 + MR_PAGE_FOOT, v->zone, ": film before and after repair",
                      "Survey that missed a limit, and the survey after the repair");
    const struct mr_panel p = {NAME_PT + 8, TOP_PT, list->width_pt - NAME_PT - 24, high, v->lo, v->hi, 0, 1};
    const struct mr_legend keys[] = {{"mean before", MR_INK_RED, MR_SOLID, 0, MR_SQUARE},
                                     {"to the least spot", MR_INK_RED, MR_DASHED, 0.9, MR_DOT},
                                     {"mean after", MR_INK_BLUE, MR_SOLID, 0, MR_DOT},
                                     {"to the least spot", MR_INK_BLUE, MR_SOLID, 0.9, MR_DOT},
                                     {"limit for areas", MR_INK_RED, MR_LONG_DASH, 0.9, MR_DOT},
                                     {"limit for spots", MR_INK_RED, MR_DOTTED, 0.9, MR_DOT}};
    mr_legend_row(list, 12, 46, list->width_pt - 24, MR_COUNT(keys), keys);
    mr_axis_bottom(list, &p, mr_printf(job->arena, "dry film thickness, %s", mr_unit_symbol(v->unit)), true);
    draw_rows(list, v, &p);
    draw_limits(list, v, &p);
    tell_repairs(list, v);
    mr_page_ends(job, list, TOP_PT + high + 28);
    mr_page_end(job, list, "sheet 'Before and after repair' of the workbook");
    return list;
}

void mr_charts_repair(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    const struct mr_film_rows rows = mr_film_rows_of(job->arena, a, "repaired-areas"),
                              limits = mr_film_rows_of(job->arena, a, "thickness-limits");
    for (size_t z = 0; rows.table && z < a->aligned->zones.n; z++) {
        struct repair_view v = {.job = job,
                                .zone = mr_zone_name(a, z),
                                .unit = job->display.film,
                                .t = rows.table,
                                .limits = limits,
                                .zone_at = z,
                                .lo = HUGE_VAL,
                                .hi = -HUGE_VAL};
        read_rows(&v, &rows);
        if (v.n == 0 || !(v.hi > v.lo))
            continue;
        struct mr_chart chart = {.kind = "before-and-after", .zone = z, .list = draw_figure(&v)};
        chart.alt = mr_printf(job->arena, "Mean and least spot of %zu repaired %s of %s, before and after.",
                              v.n + v.left_out, v.n + v.left_out == 1 ? "area" : "areas", v.zone);
        mr_chart_add(job, out, chart, mr_printf(job->arena, "before-and-after-%s", mr_slug(job->arena, v.zone)));
    }
}
