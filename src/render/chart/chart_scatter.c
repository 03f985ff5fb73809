/*
 * chart_scatter.c - rise against thickness over the zones of the job: points, the fitted relation and its prediction
 * band. A point outside the band is named.
 */
#include "render/chart/charts.h"
#include "render/plot/place.h"

#include <math.h>
#include <string.h>

struct scatter_point { /* in the units shown */
    double x, y, fit, low, high;
    const char *zone;
    bool outside;
};

static int by_x(const struct scatter_point *a, const struct scatter_point *b) {
    return a->x < b->x ? -1 : a->x > b->x;
}

/* Few points: insertion keeps rows of the same thickness in table order. */
static void sort_spots(struct scatter_point *s, size_t n) {
    for (size_t i = 1; i < n; i++)
        for (size_t k = i; k > 0 && by_x(&s[k], &s[k - 1]) < 0; k--) {
            struct scatter_point swap = s[k];
            s[k] = s[k - 1];
            s[k - 1] = swap;
        }
}

static size_t read_spots(const struct mr_chart_job *job, struct scatter_point *out) {
    const struct mr_rise_comparison *rise = &job->a->rise;
    const enum mr_unit x = job->display.film, y = job->display.rise;
    size_t n = 0;
    for (size_t i = 0; i < rise->zones.n; i++) {
        const struct mr_rise_zone *z = &rise->zones.v[i];
        struct scatter_point s = {.x = mr_from_canonical(x, z->film_um),
                                  .y = mr_from_canonical(y, z->rise_k),
                                  .fit = mr_from_canonical(y, z->expected_k),
                                  .low = mr_from_canonical(y, z->low_k),
                                  .high = mr_from_canonical(y, z->high_k),
                                  .zone = mr_zone_name(job->a, z->zone)};
        if (!isfinite(s.x) || !isfinite(s.y))
            continue;
        s.outside = s.y < s.low || s.y > s.high;
        out[n++] = s;
    }
    sort_spots(out, n);
    return n;
}

/* The band is ground for the grid, the fitted relation lies on both. */
static void draw_band(struct mr_drawlist *list, const struct mr_panel *p, bool ground, size_t n,
                      const struct scatter_point *s) {
    struct mr_point *edge = MR_ARRAY(list->arena, struct mr_point, 2 * n),
                    *fit = MR_ARRAY(list->arena, struct mr_point, n);
    size_t k = 0, f = 0;
    for (size_t i = 0; i < n; i++)
        if (isfinite(s[i].low) && isfinite(s[i].high))
            edge[k++] = (struct mr_point){mr_panel_x(p, s[i].x), mr_panel_y(p, s[i].high)};
    for (size_t i = n; i-- > 0;)
        if (isfinite(s[i].low) && isfinite(s[i].high))
            edge[k++] = (struct mr_point){mr_panel_x(p, s[i].x), mr_panel_y(p, s[i].low)};
    for (size_t i = 0; i < n; i++)
        if (isfinite(s[i].fit))
            fit[f++] = (struct mr_point){mr_panel_x(p, s[i].x), mr_panel_y(p, s[i].fit)};
    if (ground)
        mr_draw_area(list, MR_INK_BAND, k, edge);
    else
        mr_draw_line(list, MR_INK_BLUE, 1.3, MR_SOLID, f, fit);
}

static void draw_spots(struct mr_drawlist *list, const struct mr_panel *p, size_t n, const struct scatter_point *s) {
    for (size_t i = 0; i < n; i++)
        mr_draw_mark(list, s[i].outside ? MR_INK_RED : MR_INK_BLACK, s[i].outside ? MR_DIAMOND : MR_DOT,
                     s[i].outside ? 7.5 : 4.5, mr_panel_x(p, s[i].x), mr_panel_y(p, s[i].y));
    struct mr_placer *placer = mr_placer_new(list);
    for (size_t i = 0; i < n; i++)
        if (s[i].outside)
            mr_label_or_number(placer, (struct mr_room){p->x, p->y, p->w, p->h},
                               (struct mr_type){MR_INK_RED, MR_SIZE_TICK, MR_MIDDLE, false, false},
                               (struct mr_point){mr_panel_x(p, s[i].x), mr_panel_y(p, s[i].y)}, 4.5, s[i].zone);
}

static void find_range(struct mr_panel *p, size_t n, const struct scatter_point *s) {
    p->x0 = p->y0 = HUGE_VAL;
    p->x1 = p->y1 = -HUGE_VAL;
    for (size_t i = 0; i < n; i++) {
        p->x0 = fmin(p->x0, s[i].x);
        p->x1 = fmax(p->x1, s[i].x);
        p->y0 = fmin(p->y0, fmin(s[i].y, s[i].low)); /* fmin and fmax pass over NaN */
        p->y1 = fmax(p->y1, fmax(s[i].y, s[i].high));
    }
    mr_range_pad(&p->x0, &p->x1, 0.06, 1e-3);
    mr_range_pad(&p->y0, &p->y1, 0.08, 1e-3);
}

static struct mr_drawlist *draw_scatter(const struct mr_chart_job *job, size_t n, const struct scatter_point *s,
                                        const char *title) {
    struct mr_drawlist *list =
        mr_page(job, 0, title, "One point per zone; the band is predicted from the job's other zones");
    struct mr_panel p = {58, 58, list->width_pt - 58 - 16, list->height_pt - 58 - MR_PAGE_FOOT - 26, 0, 1, 0, 1};
    find_range(&p, n, s);
    draw_band(list, &p, true, n, s);
    mr_axis_left(list, &p,
                 mr_printf(job->arena, "rise as on %.3g mm steel, %s", job->a->rise.steel_mm,
                           mr_unit_symbol(job->display.rise)));
    mr_axis_bottom(list, &p, mr_printf(job->arena, "film, %s", mr_unit_symbol(job->display.film)), true);
    draw_band(list, &p, false, n, s);
    mr_panel_frame(list, &p);
    const struct mr_legend keys[] = {{"zone", MR_INK_BLACK, MR_SOLID, 0, MR_DOT},
                                     {"outside the band", MR_INK_RED, MR_SOLID, 0, MR_DIAMOND},
                                     {"fitted relation", MR_INK_BLUE, MR_SOLID, 1.5, MR_DOT},
                                     {"prediction band", MR_INK_BAND, MR_SOLID, 7, MR_DOT}};
    mr_legend_row(list, p.x, p.y - 7, p.w, MR_COUNT(keys), keys);
    draw_spots(list, &p, n, s);
    mr_page_end(job, list, "sheet 'Rise against thickness' of the workbook");
    return list;
}

void mr_charts_scatter(const struct mr_chart_job *job, mr_chart_list *out) {
    struct scatter_point *s = MR_ARRAY(job->arena, struct scatter_point, job->a->rise.zones.n);
    const size_t n = read_spots(job, s);
    if (n < 2)
        return;
    size_t outside = 0;
    for (size_t k = 0; k < n; k++)
        outside += s[k].outside;
    struct mr_chart chart = {.kind = "rise-against-thickness", .title = "Rise against thickness", .zone = MR_NONE};
    chart.list = draw_scatter(job, n, s, chart.title);
    chart.alt = mr_printf(
        job->arena, "Rise over film thickness of %zu zones, %zu of them outside the prediction band.", n, outside);
    mr_chart_add(job, out, chart, "rise-against-thickness");
}
