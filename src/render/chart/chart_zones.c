/*
 * chart_zones.c - the spots of every zone side by side against the limits for spots and areas: median, quartiles and
 * extremes, or every spot where there are few; spots beyond a limit are marked one by one. Zones stand in the job's
 * order, over several figures where there are many.
 *
 * Quartiles by the rule of all quartiles in a report (MR_Q6, NIST/SEMATECH e-Handbook 7.2.6.2).
 */
#include "numeric/summary_stats.h"
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"
#include "render/plot/place.h"

#include <math.h>
#include <string.h>

enum { FEW_SPOTS = 10, LIMITS_MOST = 24 };

#define ROW_PT 11.4
#define TOP_PT 94.0
#define TALL_PT 640.0
#define NAME_MOST_PT 190.0
#define SIDE_PT 76.0 /* columns of counts */

struct zone_spots {
    size_t n, beyond;
    double *um;                         /* shape: n, ascending */
    bool *bad;                          /* shape: n */
    double least, q1, median, q3, most; /* NaN where there are none */
};

struct limit_run { /* one limit and the zones that have it */
    const char *value, *side;
    double um;
    size_t zones; /* on this figure */
};

struct zones_view {
    const struct mr_chart_job *job;
    enum mr_unit unit;
    struct mr_film_rows spots, limits;
    struct zone_spots *zone; /* shape: zones */
    size_t n, from, to;
    double lo, hi, name_w;
    struct limit_run run[LIMITS_MOST];
    size_t n_runs;
};

static double shown(const struct zones_view *v, double um) {
    return mr_from_canonical(v->unit, um);
}

static void read_zone(struct zones_view *v, size_t z) {
    struct zone_spots *s = &v->zone[z];
    const size_t rows = v->spots.first[z + 1] - v->spots.first[z];
    *s = (struct zone_spots){.um = MR_ARRAY(v->job->arena, double, rows + 1),
                             .bad = MR_ARRAY(v->job->arena, bool, rows + 1)};
    for (size_t i = v->spots.first[z]; i < v->spots.first[z + 1]; i++) {
        const double um = mr_spot_um(v->spots.table, v->spots.row[i]);
        if (isfinite(um))
            s->um[s->n++] = um;
    }
    mr_sort(s->um, s->n);
    for (size_t i = 0; i < s->n; i++) {
        s->bad[i] = mr_film_misses(&v->limits, z, "spot", s->um[i]);
        s->beyond += s->bad[i];
    }
    s->least = s->n ? s->um[0] : MR_NAN;
    s->most = s->n ? s->um[s->n - 1] : MR_NAN;
    s->q1 = mr_quantile(s->um, s->n, 0.25, MR_Q6);
    s->median = mr_quantile(s->um, s->n, 0.5, MR_Q6);
    s->q3 = mr_quantile(s->um, s->n, 0.75, MR_Q6);
    mr_widen(&v->lo, &v->hi, shown(v, s->least));
    mr_widen(&v->lo, &v->hi, shown(v, s->most));
}

/* The limits for spots and areas that zones of this figure have, each once. */
static void find_runs(struct zones_view *v) {
    const struct mr_table *t = v->limits.table;
    v->n_runs = 0;
    for (size_t z = v->from; z < v->to; z++)
        for (size_t i = v->limits.first[z]; i < v->limits.first[z + 1]; i++) {
            const size_t r = v->limits.row[i];
            const struct limit_run l = {mr_cell_text(t, r, "value"), mr_cell_text(t, r, "side"),
                                        mr_cell_number(t, r, "limit"), 0};
            size_t k = 0;
            while (k < v->n_runs && !(strcmp(v->run[k].value, l.value) == 0 && strcmp(v->run[k].side, l.side) == 0 &&
                                      fabs(v->run[k].um - l.um) < 1e-9))
                k++;
            if (!isfinite(l.um) || (strcmp(l.value, "spot") != 0 && strcmp(l.value, "area") != 0) || k == LIMITS_MOST)
                continue;
            if (k == v->n_runs)
                v->run[v->n_runs++] = l;
            v->run[k].zones++;
        }
}

static bool has_limit(const struct zones_view *v, size_t z, const struct limit_run *l) {
    const struct mr_table *t = v->limits.table;
    for (size_t i = v->limits.first[z]; i < v->limits.first[z + 1]; i++) {
        const size_t r = v->limits.row[i];
        if (strcmp(mr_cell_text(t, r, "value"), l->value) == 0 && strcmp(mr_cell_text(t, r, "side"), l->side) == 0 &&
            fabs(mr_cell_number(t, r, "limit") - l->um) < 1e-9)
            return true;
    }
    return false;
}

static double row_y(const struct zones_view *v, const struct mr_panel *p, size_t z) {
    return p->y + ROW_PT * ((double)(z - v->from) + 0.5);
}

static void draw_limits(struct mr_drawlist *list, const struct zones_view *v, const struct mr_panel *p) {
    for (size_t k = 0; k < v->n_runs; k++) {
        const double x = mr_panel_x(p, shown(v, v->run[k].um));
        const enum mr_dash dash = strcmp(v->run[k].value, "area") == 0 ? MR_LONG_DASH : MR_DOTTED;
        size_t from = MR_NONE;
        for (size_t z = v->from; z <= v->to; z++) {
            const bool has = z < v->to && has_limit(v, z, &v->run[k]);
            if (has && from == MR_NONE)
                from = z;
            if (has || from == MR_NONE)
                continue;
            mr_draw_segment(list, MR_INK_RED, 0.9, dash, x, row_y(v, p, from) - ROW_PT / 2, x,
                            row_y(v, p, z) - ROW_PT / 2);
            from = MR_NONE;
        }
    }
}

static void draw_zone(struct mr_drawlist *list, const struct zones_view *v, const struct mr_panel *p, size_t z) {
    const struct zone_spots *s = &v->zone[z];
    const double y = row_y(v, p, z), half = ROW_PT * 0.32;
    const bool few = s->n <= FEW_SPOTS;
    struct mr_point *dot = MR_ARRAY(list->arena, struct mr_point, s->n + 1),
                    *cross = MR_ARRAY(list->arena, struct mr_point, s->beyond + 1);
    size_t dots = 0, crosses = 0;
    for (size_t i = 0; i < s->n; i++) {
        const struct mr_point at = {mr_panel_x(p, shown(v, s->um[i])), y};
        if (s->bad[i])
            cross[crosses++] = at;
        else if (few)
            dot[dots++] = at;
    }
    if (!few) {
        const double x[5] = {mr_panel_x(p, shown(v, s->least)), mr_panel_x(p, shown(v, s->q1)),
                             mr_panel_x(p, shown(v, s->median)), mr_panel_x(p, shown(v, s->q3)),
                             mr_panel_x(p, shown(v, s->most))};
        mr_draw_segment(list, MR_INK_NAVY, 0.8, MR_SOLID, x[0], y, x[1], y);
        mr_draw_segment(list, MR_INK_NAVY, 0.8, MR_SOLID, x[3], y, x[4], y);
        mr_draw_rect(list, MR_INK_PALE, x[1], y - half, x[3] - x[1], 2 * half);
        mr_draw_box(list, MR_INK_NAVY, 0.7, x[1], y - half, x[3] - x[1], 2 * half);
        mr_draw_segment(list, MR_INK_NAVY, 1.8, MR_SOLID, x[2], y - half, x[2], y + half);
    }
    if (dots)
        mr_draw_marks(list, MR_INK_BLUE, MR_DOT, 3.6, dots, dot);
    if (crosses)
        mr_draw_marks(list, MR_INK_RED, MR_CROSS, 4.6, crosses, cross);
}

static void draw_words(struct mr_drawlist *list, const struct zones_view *v, const struct mr_panel *p) {
    const struct mr_type left = {MR_INK_BLACK, MR_SIZE_TICK, MR_LEFT, false, false},
                         right = {MR_INK_BLACK, MR_SIZE_TICK, MR_RIGHT, false, false};
    const double x = p->x + p->w;
    mr_draw_text(list, right, x + 34, p->y - 4, "spots");
    mr_draw_text(list, right, x + SIDE_PT, p->y - 4, "beyond");
    for (size_t z = v->from; z < v->to; z++) {
        const struct zone_spots *s = &v->zone[z];
        const double y = row_y(v, p, z) + 2.7;
        mr_draw_text(list, left, 12, y,
                     mr_cut_name(list, mr_zone_name(v->job->a, z), MR_SIZE_TICK, false, v->name_w - 4));
        mr_draw_text(list, right, x + 34, y, s->n ? mr_printf(list->arena, "%zu", s->n) : "none");
        if (s->n)
            mr_draw_text(list, right, x + SIDE_PT, y, mr_printf(list->arena, "%zu", s->beyond));
    }
}

/* Beside its line, else farther off with a leader: areas inwards, spots outwards, so that pairs keep apart. */
static void name_limit(struct mr_drawlist *list, struct mr_placer *placer, const struct zones_view *v,
                       const struct mr_panel *p, const struct limit_run *l) {
    const struct mr_room room = {12, 54, list->width_pt - 24, p->y - 54};
    const bool area = strcmp(l->value, "area") == 0, least = strcmp(l->side, "at least") == 0, right = area == least;
    const double x = mr_panel_x(p, shown(v, l->um));
    const char *text =
        mr_printf(list->arena, "%s %s %s", l->value, l->side, mr_short_text(list->arena, l->um, v->unit));
    if (l->zones < v->to - v->from)
        text = mr_printf(list->arena, "%s (%zu %s)", text, l->zones, l->zones == 1 ? "zone" : "zones");
    mr_label_above(placer, room, MR_INK_RED, (struct mr_point){x, p->y - 1}, right, text);
}

static void name_limits(struct mr_drawlist *list, const struct zones_view *v, const struct mr_panel *p) {
    struct mr_placer *placer = mr_placer_new(list);
    for (int area = 1; area >= 0; area--)
        for (size_t k = 0; k < v->n_runs; k++)
            if ((strcmp(v->run[k].value, "area") == 0) == (area == 1))
                name_limit(list, placer, v, p, &v->run[k]);
}

static struct mr_drawlist *draw_figure(struct zones_view *v, const char *title) {
    const struct mr_chart_job *job = v->job;
    const size_t rows = v->to - v->from;
    struct mr_drawlist *list = mr_page(job, TOP_PT + ROW_PT * (double)rows + 28 + MR_PAGE_FOOT, title,
                                       "Newest survey of each zone; zones in the order of the register");
    struct mr_panel p = {12 + v->name_w,
                         TOP_PT,
                         list->width_pt - 24 - v->name_w - SIDE_PT - 4,
                         ROW_PT * (double)rows,
                         v->lo,
                         v->hi,
                         0,
                         1};
    const struct mr_legend keys[] = {{"median", MR_INK_NAVY, MR_SOLID, 1.8, MR_DOT},
                                     {"quartiles", MR_INK_PALE, MR_SOLID, 6, MR_DOT},
                                     {"least to greatest", MR_INK_NAVY, MR_SOLID, 0.8, MR_DOT},
                                     {"spot, where at most 10", MR_INK_BLUE, MR_SOLID, 0, MR_DOT},
                                     {"spot beyond a limit", MR_INK_RED, MR_SOLID, 0, MR_CROSS}};
    mr_legend_row(list, 12, 46, list->width_pt - 24, MR_COUNT(keys), keys);
    mr_axis_bottom(list, &p, mr_printf(job->arena, "dry film thickness, %s", mr_unit_symbol(v->unit)), true);
    for (size_t z = v->from + 1; z < v->to; z++)
        mr_draw_segment(list, MR_INK_GRID, 0.5, MR_SOLID, 12, p.y + ROW_PT * (double)(z - v->from),
                        list->width_pt - 12, p.y + ROW_PT * (double)(z - v->from));
    find_runs(v);
    draw_limits(list, v, &p);
    for (size_t z = v->from; z < v->to; z++)
        draw_zone(list, v, &p, z);
    mr_panel_frame(list, &p);
    draw_words(list, v, &p);
    name_limits(list, v, &p);
    mr_page_ends(job, list, p.y + p.h + 28);
    mr_page_end(job, list, "sheet 'Spots and areas' of the workbook");
    return list;
}

static void find_range(struct zones_view *v) {
    v->from = 0;
    v->to = v->n;
    find_runs(v);
    for (size_t k = 0; k < v->n_runs; k++)
        mr_widen(&v->lo, &v->hi, shown(v, v->run[k].um));
    mr_range_pad(&v->lo, &v->hi, 0.05, 1e-3);
    for (size_t z = 0; z < v->n; z++)
        v->name_w =
            fmax(v->name_w, fmin(mr_text_width(mr_zone_name(v->job->a, z), MR_SIZE_TICK, false) + 8, NAME_MOST_PT));
}

void mr_charts_zones(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    struct zones_view v = {.job = job,
                           .unit = job->display.film,
                           .spots = mr_film_rows_of(job->arena, a, "spots"),
                           .limits = mr_film_rows_of(job->arena, a, "thickness-limits"),
                           .n = a->aligned->zones.n,
                           .lo = HUGE_VAL,
                           .hi = -HUGE_VAL};
    v.zone = MR_ARRAY(job->arena, struct zone_spots, v.n + 1);
    for (size_t z = 0; z < v.n; z++)
        read_zone(&v, z);
    if (v.n < 2 || !(v.hi >= v.lo))
        return;
    find_range(&v);
    const size_t most = (size_t)((fmax(mr_page_height(job), TALL_PT) - TOP_PT - 28 - MR_PAGE_FOOT - 40) / ROW_PT);
    const size_t pages = (v.n + most - 1) / most;
    for (size_t page = 1; page <= pages; page++) {
        v.from = (page - 1) * most;
        v.to = page * most < v.n ? page * most : v.n;
        const char *title = mr_part_title(job, "Spots of each zone against the limits", page, pages);
        size_t n = 0, beyond = 0;
        for (size_t z = v.from; z < v.to; z++) {
            n += v.zone[z].n;
            beyond += v.zone[z].beyond;
        }
        struct mr_chart chart = {
            .kind = "zones-compared", .title = title, .zone = MR_NONE, .list = draw_figure(&v, title)};
        chart.alt =
            mr_printf(job->arena,
                      "Median, quartiles and extremes of the spots of each zone, %s to %s: %zu %s, %zu beyond a "
                      "limit for spots.",
                      mr_zone_name(a, v.from), mr_zone_name(a, v.to - 1), n, n == 1 ? "spot" : "spots", beyond);
        mr_chart_add(job, out, chart, "zones-compared");
    }
}
