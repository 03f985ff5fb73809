/*
 * chart_days.c - how the film went over the job: the mean of every complete area at the moment when it was measured,
 * with the limits for areas and the median of each day. Where no rule counts areas, spots and their limits.
 */
#include "numeric/select.h"
#include "numeric/stable_sort.h"
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"
#include "render/plot/place.h"

#include <math.h>
#include <string.h>

enum { LIMITS_MOST = 6, NAMED_MOST = 12 };

struct day_mean { /* of one area, or of one spot */
    int64_t t_utc_ms;
    double um;
    bool bad;
    size_t zone;
};

struct days_view {
    const struct mr_chart_job *job;
    enum mr_unit unit;
    struct mr_film_rows spots, areas, limits;
    const char *sort;             /* "area" or "spot" */
    MR_VEC(struct day_mean) mean; /* in order of time */
    size_t beyond, limits_left;
    struct {
        const char *text;
        double um;
    } limit[LIMITS_MOST];
    size_t n_limits;
    double lo, hi;
};

static double shown(const struct days_view *v, double um) {
    return mr_from_canonical(v->unit, um);
}

static int64_t day_of(const struct days_view *v, int64_t t_utc_ms) {
    const int64_t local = mr_local_ms(v->job->a->aligned, t_utc_ms);
    return local >= 0 ? local / MR_DAY_MS : -((MR_DAY_MS - 1 - local) / MR_DAY_MS);
}

/* When the last spot of an area was measured. */
static int64_t time_of(const struct days_view *v, size_t z, const char *area) {
    int64_t t = MR_T_NONE;
    for (size_t i = v->spots.first[z]; i < v->spots.first[z + 1]; i++) {
        const size_t r = v->spots.row[i];
        const int64_t at = mr_cell_time(v->spots.table, r, "time");
        if (at != MR_T_NONE && (t == MR_T_NONE || at > t) &&
            strcmp(mr_cell_text(v->spots.table, r, "area"), area) == 0)
            t = at;
    }
    return t;
}

static void add_limits(struct days_view *v, size_t z) {
    const struct mr_table *t = v->limits.table;
    for (size_t i = v->limits.first[z]; i < v->limits.first[z + 1]; i++) {
        const size_t r = v->limits.row[i];
        const double um = mr_cell_number(t, r, "limit");
        if (!isfinite(um) || strcmp(mr_cell_text(t, r, "value"), v->sort) != 0)
            continue;
        const char *text = mr_printf(v->job->arena, "%s %s %s", v->sort, mr_cell_text(t, r, "side"),
                                     mr_short_text(v->job->arena, um, v->unit));
        size_t k = 0;
        while (k < v->n_limits && strcmp(v->limit[k].text, text) != 0)
            k++;
        if (k == LIMITS_MOST)
            v->limits_left++;
        else if (k == v->n_limits) {
            v->limit[k].text = text;
            v->limit[v->n_limits++].um = um;
        }
    }
}

static void add_mean(struct days_view *v, size_t z, int64_t t_utc_ms, double um) {
    if (t_utc_ms == MR_T_NONE || !isfinite(um))
        return;
    const struct day_mean m = {t_utc_ms, um, mr_film_misses(&v->limits, z, v->sort, um), z};
    MR_PUSH(v->job->arena, &v->mean, m);
    v->beyond += m.bad;
}

static void read_areas(struct days_view *v, size_t z) {
    const struct mr_table *t = v->areas.table;
    const char *rule = NULL; /* every rule has rows of its own: the first speaks */
    for (size_t i = v->areas.first[z]; i < v->areas.first[z + 1]; i++) {
        const size_t r = v->areas.row[i];
        rule = rule ? rule : mr_cell_text(t, r, "rule");
        if (strcmp(rule, mr_cell_text(t, r, "rule")) == 0 && strcmp(mr_cell_text(t, r, "whole"), "yes") == 0)
            add_mean(v, z, time_of(v, z, mr_cell_text(t, r, "area")), mr_cell_number(t, r, "mean"));
    }
}

static void read_spots(struct days_view *v, size_t z) {
    for (size_t i = v->spots.first[z]; i < v->spots.first[z + 1]; i++) {
        const size_t r = v->spots.row[i];
        add_mean(v, z, mr_cell_time(v->spots.table, r, "time"), mr_spot_um(v->spots.table, r));
    }
}

static int by_time(const void *a, const void *b) {
    const struct day_mean *x = a, *y = b;
    if (x->t_utc_ms != y->t_utc_ms)
        return x->t_utc_ms < y->t_utc_ms ? -1 : 1;
    return x->zone < y->zone ? -1 : x->zone > y->zone;
}

static void read_job(struct days_view *v) {
    const size_t zones = v->job->a->aligned->zones.n;
    v->sort = "area";
    for (size_t z = 0; z < zones; z++)
        read_areas(v, z);
    if (v->mean.n == 0) {
        v->sort = "spot";
        for (size_t z = 0; z < zones; z++)
            read_spots(v, z);
    }
    if (v->mean.n == 0)
        return;
    mr_sort_stable(v->job->arena, v->mean.v, v->mean.n, sizeof *v->mean.v, by_time);
    for (size_t z = 0; z < zones; z++)
        add_limits(v, z);
    for (size_t i = 0; i < v->mean.n; i++)
        mr_widen(&v->lo, &v->hi, shown(v, v->mean.v[i].um));
    for (size_t k = 0; k < v->n_limits; k++)
        mr_widen(&v->lo, &v->hi, shown(v, v->limit[k].um));
    mr_range_pad(&v->lo, &v->hi, 0.1, 1e-3);
}

/* A bar over the hours in which the day was measured, at the median of its means. */
static size_t draw_days(struct mr_drawlist *list, const struct days_view *v, const struct mr_panel *p) {
    double *um = MR_ARRAY(list->arena, double, v->mean.n);
    size_t days = 0;
    for (size_t from = 0, to = 0; from < v->mean.n; from = to) {
        const int64_t day = day_of(v, v->mean.v[from].t_utc_ms);
        for (to = from; to < v->mean.n && day_of(v, v->mean.v[to].t_utc_ms) == day; to++)
            um[to - from] = v->mean.v[to].um;
        days++;
        const double y = mr_panel_y(p, shown(v, mr_median(um, to - from)));
        const double x0 = mr_panel_x(p, (double)v->mean.v[from].t_utc_ms),
                     x1 = mr_panel_x(p, (double)v->mean.v[to - 1].t_utc_ms);
        mr_draw_segment(list, MR_INK_NAVY, 2.0, MR_SOLID, fmax(x0 - 4, p->x), y, fmin(x1 + 4, p->x + p->w), y);
    }
    return days;
}

static void draw_means(struct mr_drawlist *list, const struct days_view *v, const struct mr_panel *p) {
    struct mr_point *dot = MR_ARRAY(list->arena, struct mr_point, v->mean.n),
                    *cross = MR_ARRAY(list->arena, struct mr_point, v->mean.n);
    size_t dots = 0, crosses = 0;
    for (size_t i = 0; i < v->mean.n; i++) {
        const struct day_mean *m = &v->mean.v[i];
        const struct mr_point at = {mr_panel_x(p, (double)m->t_utc_ms), mr_panel_y(p, shown(v, m->um))};
        if (m->bad)
            cross[crosses++] = at;
        else
            dot[dots++] = at;
    }
    const double size = v->mean.n > 150 ? 2.8 : 4.2;
    if (dots)
        mr_draw_marks(list, MR_INK_BLUE, MR_DOT, size, dots, dot);
    if (crosses)
        mr_draw_marks(list, MR_INK_RED, MR_CROSS, size + 1.6, crosses, cross);
}

static void draw_names(struct mr_drawlist *list, const struct days_view *v, const struct mr_panel *p) {
    struct mr_placer *placer = mr_placer_new(list);
    const struct mr_room room = {p->x, p->y, p->w, p->h};
    size_t named = 0;
    const char *before = NULL;
    for (size_t k = 0; k < v->n_limits; k++)
        if (!mr_label_level(placer, room, MR_INK_RED, mr_panel_y(p, shown(v, v->limit[k].um)), v->limit[k].text))
            mr_tell(list, mr_printf(list->arena, "Limit (dashed): %s.", v->limit[k].text));
    if (v->limits_left)
        mr_tell(list, mr_printf(list->arena, "Further limits of zones, not drawn: %zu.", v->limits_left));
    for (size_t i = 0; i < v->mean.n && named < NAMED_MOST; i++) { /* a zone once in a row */
        const struct day_mean *m = &v->mean.v[i];
        const char *name = mr_zone_name(v->job->a, m->zone);
        if (!m->bad || name == before)
            continue;
        before = name;
        named++;
        mr_label_or_number(placer, room, (struct mr_type){MR_INK_RED, MR_SIZE_CAPTION, MR_MIDDLE, false, false},
                           (struct mr_point){mr_panel_x(p, (double)m->t_utc_ms), mr_panel_y(p, shown(v, m->um))}, 4,
                           name);
    }
}

static struct mr_drawlist *draw_figure(const struct days_view *v, const char *title, size_t *days) {
    const struct mr_chart_job *job = v->job;
    struct mr_drawlist *list =
        mr_page(job, 0, title,
                mr_printf(job->arena, "Newest survey of each zone; each mean at the moment when its last %s was read",
                          strcmp(v->sort, "area") == 0 ? "spot" : "reading"));
    const int64_t t0 = v->mean.v[0].t_utc_ms, t1 = v->mean.v[v->mean.n - 1].t_utc_ms;
    double from = (double)t0, to = (double)t1;
    mr_range_pad(&from, &to, 0.03, 15 * 60000.0);
    struct mr_panel p = {58,    60,   list->width_pt - 58 - 16, list->height_pt - 60 - MR_PAGE_FOOT - 27, from, to,
                         v->lo, v->hi};
    const struct mr_legend keys[] = {
        {mr_printf(job->arena, "%s mean", v->sort), MR_INK_BLUE, MR_SOLID, 0, MR_DOT},
        {"beyond a limit", MR_INK_RED, MR_SOLID, 0, MR_CROSS},
        {"median of the day", MR_INK_NAVY, MR_SOLID, 2, MR_DOT},
        {mr_printf(job->arena, "limit for %ss", v->sort), MR_INK_RED, MR_LONG_DASH, 0.9, MR_DOT}};
    mr_legend_row(list, 12, 46, list->width_pt - 24, MR_COUNT(keys), keys);
    mr_axis_left(list, &p, mr_printf(job->arena, "dry film thickness, %s", mr_unit_symbol(v->unit)));
    mr_axis_time(list, &p, job, true);
    for (size_t k = 0; k < v->n_limits; k++)
        mr_level(list, &p, MR_INK_RED, MR_LONG_DASH, shown(v, v->limit[k].um));
    *days = draw_days(list, v, &p);
    draw_means(list, v, &p);
    mr_panel_frame(list, &p);
    draw_names(list, v, &p);
    mr_page_end(job, list,
                strcmp(v->sort, "area") == 0 ? "sheets 'Areas' and 'Spots and areas' of the workbook"
                                             : "sheet 'Spots and areas' of the workbook");
    return list;
}

void mr_charts_days(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    struct days_view v = {.job = job,
                          .unit = job->display.film,
                          .spots = mr_film_rows_of(job->arena, a, "spots"),
                          .areas = mr_film_rows_of(job->arena, a, "thickness-areas"),
                          .limits = mr_film_rows_of(job->arena, a, "thickness-limits"),
                          .lo = HUGE_VAL,
                          .hi = -HUGE_VAL};
    read_job(&v);
    if (v.mean.n < 2)
        return;
    size_t days = 0;
    struct mr_chart chart = {.kind = "film-by-day", .title = "Film over the days of measurement", .zone = MR_NONE};
    chart.list = draw_figure(&v, chart.title, &days);
    chart.alt = mr_printf(job->arena, "Means of %zu %ss measured on %zu %s, in order of time, %zu beyond a limit.",
                          v.mean.n, v.sort, days, days == 1 ? "day" : "days", v.beyond);
    mr_chart_add(job, out, chart, "film-by-day");
}
