/*
 * chart_normal.c - normal plot of a zone's spots: each mean against the normal score of its rank. The line of mean
 * and standard deviation is drawn only where the test of the spots does not speak against a normal film.
 *
 * Plotting position (i - 3/8) / (n + 1/4): G. Blom, Statistical Estimates and Transformed Beta-Variables (1958).
 */
#include "numeric/summary_stats.h"
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"
#include "render/plot/place.h"

#include <math.h>
#include <string.h>

enum { SPOTS_LEAST = 3, MARKED_MOST = 4000, LIMITS_MOST = 6 };

struct normal_limit {
    double um;
    const char *what;
};

struct normal_view {
    const struct mr_chart_job *job;
    const char *zone;
    enum mr_unit unit;
    size_t n;
    double *um;    /* shape: n, ascending */
    double p;      /* of the test; NaN */
    double lo, hi; /* shown */
    const struct mr_zone_film *film;
    size_t n_limits;
    struct normal_limit limit[LIMITS_MOST];
};

static double shown(const struct normal_view *v, double um) {
    return mr_from_canonical(v->unit, um);
}

/* The spots that the test of normality was made on. */
static void read_spots(struct normal_view *v) {
    v->um = MR_ARRAY(v->job->arena, double, v->film->n_spot_values + 1);
    for (size_t i = 0; i < v->film->n_spot_values; i++)
        if (isfinite(v->film->spot_um[i]))
            v->um[v->n++] = v->film->spot_um[i];
    mr_sort(v->um, v->n);
}

/* Very many spots: every rank at the ends, and one for each step of the page between. */
static void draw_spots(struct mr_drawlist *list, const struct normal_view *v, const struct mr_panel *p) {
    struct mr_point *at = MR_ARRAY(list->arena, struct mr_point, v->n);
    size_t n = 0;
    for (size_t i = 1; i <= v->n; i++) {
        const struct mr_point q = {mr_panel_x(p, shown(v, v->um[i - 1])), mr_panel_y(p, mr_normal_score(i, v->n))};
        if (n == 0 || v->n <= MARKED_MOST || hypot(q.x - at[n - 1].x, q.y - at[n - 1].y) > 0.5)
            at[n++] = q;
    }
    mr_draw_marks(list, MR_INK_BLUE, MR_DOT, v->n > 120 ? 3 : 4.4, n, at);
}

static void draw_line(struct mr_drawlist *list, const struct mr_panel *p, const struct normal_view *v) {
    const struct mr_moments m = mr_moments_of(v->um, v->n);
    struct mr_point ends[2];
    for (size_t k = 0; k < 2; k++) {
        const double z = k ? p->y1 : p->y0;
        ends[k] = (struct mr_point){mr_panel_x(p, shown(v, m.mean + z * m.sd)), mr_panel_y(p, z)};
    }
    mr_draw_clip(list, p->x, p->y, p->w, p->h);
    mr_draw_line(list, MR_INK_NAVY, 1.2, MR_SOLID, 2, ends);
    mr_draw_unclip(list);
}

/* Shares below, at their normal scores, on the right. */
static void draw_shares(struct mr_drawlist *list, const struct mr_panel *p) {
    static const double share[] = {0.01, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99};
    double last = HUGE_VAL;
    for (size_t i = 0; i < MR_COUNT(share); i++) {
        const double z = mr_normal_q(share[i]), y = mr_panel_y(p, z);
        if (z < p->y0 || z > p->y1 || last - y < 9)
            continue;
        last = y;
        mr_draw_segment(list, MR_INK_GREY, 0.6, MR_SOLID, p->x + p->w, y, p->x + p->w + 3, y);
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TICK, MR_LEFT, false, false}, p->x + p->w + 5,
                     y + 2.7, mr_printf(list->arena, "%.0f %%", 100 * share[i]));
    }
}

/* The limits for spots; where there are none, what is specified for the film. */
static void find_limits(struct normal_view *v, const struct mr_film_rows *limits) {
    const size_t z = v->film->zone;
    for (size_t i = limits->first[z]; i < limits->first[z + 1] && v->n_limits < LIMITS_MOST; i++) {
        const size_t r = limits->row[i];
        const double um = mr_cell_number(limits->table, r, "limit");
        if (isfinite(um) && strcmp(mr_cell_text(limits->table, r, "value"), "spot") == 0)
            v->limit[v->n_limits++] = (struct normal_limit){
                um, mr_printf(v->job->arena, "spot %s", mr_cell_text(limits->table, r, "side"))};
    }
    if (v->n_limits)
        return;
    if (isfinite(v->film->limit_min_um))
        v->limit[v->n_limits++] = (struct normal_limit){v->film->limit_min_um, "specified minimum"};
    if (isfinite(v->film->limit_max_um))
        v->limit[v->n_limits++] = (struct normal_limit){v->film->limit_max_um, "specified maximum"};
}

static void draw_limits(struct mr_drawlist *list, const struct normal_view *v, const struct mr_panel *p) {
    for (size_t i = 0; i < v->n_limits; i++)
        mr_draw_segment(list, MR_INK_RED, 1.0, MR_LONG_DASH, mr_panel_x(p, shown(v, v->limit[i].um)), p->y - 2,
                        mr_panel_x(p, shown(v, v->limit[i].um)), p->y + p->h);
    struct mr_placer *placer = mr_placer_new(list);
    for (size_t i = 0; i < v->n_limits; i++)
        mr_label_above(
            placer, (struct mr_room){12, p->y - 34, list->width_pt - 24, 33}, MR_INK_RED,
            (struct mr_point){mr_panel_x(p, shown(v, v->limit[i].um)), p->y - 2}, i > 0,
            mr_printf(list->arena, "%s %s", v->limit[i].what, mr_short_text(list->arena, v->limit[i].um, v->unit)));
}

static const char *line_text(const struct normal_view *v, bool line) {
    if (!isfinite(v->p))
        return "no line: no test of the spots was possible";
    return mr_printf(v->job->arena,
                     line ? "line of mean and standard deviation (test of the spots: p = %.2f)"
                          : "no line: not a normal film (test of the spots: p = %.2g)",
                     v->p);
}

static struct mr_drawlist *draw_figure(struct normal_view *v, bool line) {
    struct mr_arena *arena = v->job->arena;
    struct mr_drawlist *list =
        mr_page_named(v->job, 0, v->zone, ": normal plot of the spots",
                      mr_printf(arena, "Newest survey; plotting positions of Blom; %s", line_text(v, line)));
    v->lo = shown(v, v->um[0]);
    v->hi = shown(v, v->um[v->n - 1]);
    for (size_t i = 0; i < v->n_limits; i++)
        mr_widen(&v->lo, &v->hi, shown(v, v->limit[i].um));
    mr_range_pad(&v->lo, &v->hi, 0.06, 1e-3);
    const double most = mr_normal_score(v->n, v->n) * 1.12;
    const struct mr_panel p = {
        58, 72, list->width_pt - 58 - 44, list->height_pt - 72 - MR_PAGE_FOOT - 27, v->lo, v->hi, -most, most};
    mr_axis_left(list, &p, "normal score of the rank");
    mr_axis_bottom(list, &p, mr_printf(arena, "spot mean, %s", mr_unit_symbol(v->unit)), true);
    draw_shares(list, &p);
    if (line)
        draw_line(list, &p, v);
    draw_spots(list, v, &p);
    mr_panel_frame(list, &p);
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_RIGHT, false, false}, list->width_pt - 12,
                 p.y + p.h + 22, "share below");
    draw_limits(list, v, &p);
    mr_page_end(v->job, list, "sheet 'Spots and areas' of the workbook");
    return list;
}

void mr_charts_normal(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    const struct mr_film_rows tests = mr_film_rows_of(job->arena, a, "thickness-order"),
                              limits = mr_film_rows_of(job->arena, a, "thickness-limits");
    for (size_t i = 0; i < a->films.n; i++) {
        const size_t z = a->films.v[i].zone;
        if (z >= a->aligned->zones.n)
            continue;
        struct normal_view v = {.job = job,
                                .zone = mr_zone_name(a, z),
                                .unit = job->display.film,
                                .p = mr_film_normality(&tests, z),
                                .film = &a->films.v[i]};
        read_spots(&v);
        if (v.n < SPOTS_LEAST)
            continue;
        find_limits(&v, &limits);
        const bool line = mr_film_is_normal(a, z, v.p) && v.um[v.n - 1] > v.um[0];
        struct mr_chart chart = {.kind = "normal-plot", .zone = z, .list = draw_figure(&v, line)};
        chart.alt = mr_printf(job->arena, "Normal scores of %zu spots of %s over their means; %s.", v.n, v.zone,
                              line_text(&v, line));
        mr_chart_add(job, out, chart, mr_printf(job->arena, "normal-plot-%s", mr_slug(job->arena, v.zone)));
    }
}
