/*
 * chart_spots.c - what the thickness rules judge: each spot and each area of a zone's newest survey in order, against
 * the limits of its rule set, and for each limit how many were judged, how many missed and how many may.
 *
 * Spots come from the table of spots, areas and limits from theirs: nothing is worked out again.
 */
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"
#include "render/plot/place.h"

#include <math.h>
#include <string.h>

enum { LIMITS_MOST = 8, AREAS_TOLD = 12, NAMES_PT = 13 };

struct spots_view {
    const struct mr_chart_job *job;
    const char *zone;
    enum mr_unit unit;
    const struct mr_table *spots, *areas, *limits;
    struct mr_film_rows all_limits; /* of every zone */
    size_t zone_at;
    size_t n, n_limits, limit[LIMITS_MOST]; /* rows of the table of limits */
    double lo, hi;                          /* shown */
};

static double shown(const struct spots_view *v, double um) {
    return mr_from_canonical(v->unit, um);
}

/* The next row of the system's film in a table; tables of one coat's film are left out. */
static size_t next(const struct mr_table *t, const char *zone, size_t from) {
    size_t r = mr_row_of(t, from, zone, 0);
    while (r != MR_NONE && strcmp(mr_cell_text(t, r, "coat"), "system") != 0)
        r = mr_row_of(t, r + 1, zone, 0);
    return r;
}

static void find_rows(struct spots_view *v) {
    v->lo = HUGE_VAL;
    v->hi = -HUGE_VAL;
    for (size_t r = next(v->spots, v->zone, 0); r != MR_NONE; r = next(v->spots, v->zone, r + 1)) {
        mr_widen(&v->lo, &v->hi, shown(v, mr_spot_um(v->spots, r)));
        v->n++;
    }
    for (size_t r = next(v->areas, v->zone, 0); r != MR_NONE; r = next(v->areas, v->zone, r + 1))
        mr_widen(&v->lo, &v->hi, shown(v, mr_cell_number(v->areas, r, "mean")));
    for (size_t r = next(v->limits, v->zone, 0); r != MR_NONE; r = next(v->limits, v->zone, r + 1)) {
        if (v->n_limits == LIMITS_MOST || !isfinite(mr_cell_number(v->limits, r, "limit")))
            continue;
        v->limit[v->n_limits++] = r;
        mr_widen(&v->lo, &v->hi, shown(v, mr_cell_number(v->limits, r, "limit")));
    }
    mr_range_pad(&v->lo, &v->hi, 0.12, 1e-3);
}

static double mean_of_area(const struct spots_view *v, const char *area) {
    for (size_t r = next(v->areas, v->zone, 0); r != MR_NONE; r = next(v->areas, v->zone, r + 1))
        if (strcmp(mr_cell_text(v->areas, r, "area"), area) == 0)
            return mr_cell_number(v->areas, r, "mean");
    return MR_NAN;
}

static void draw_areas(struct mr_drawlist *list, const struct spots_view *v, const struct mr_panel *p) {
    const char *area = "";
    size_t i = 0, from = 0;
    for (size_t r = next(v->spots, v->zone, 0);; r = next(v->spots, v->zone, r + 1), i++) {
        const char *here = r == MR_NONE ? "" : mr_cell_text(v->spots, r, "area");
        if (i > 0 && (r == MR_NONE || strcmp(here, area) != 0)) {
            const double um = mean_of_area(v, area), y = mr_panel_y(p, shown(v, um));
            const bool bad = mr_film_misses(&v->all_limits, v->zone_at, "area", um);
            if (isfinite(um))
                mr_draw_segment(list, bad ? MR_INK_RED : MR_INK_NAVY, 2.0, bad ? MR_DASHED : MR_SOLID,
                                mr_panel_x(p, (double)from - 0.35), y, mr_panel_x(p, (double)i - 0.65), y);
            if (r != MR_NONE)
                mr_draw_segment(list, MR_INK_GRID, 1.0, MR_SOLID, mr_panel_x(p, (double)i - 0.5), p->y,
                                mr_panel_x(p, (double)i - 0.5), p->y + p->h);
            from = i;
        }
        if (r == MR_NONE)
            return;
        area = here;
    }
}

/* Areas by name in a row above the plot, where the names have room, else by their bare sign; those beyond a limit are
 * told below. */
static void name_areas(struct mr_drawlist *list, struct mr_placer *placer, const struct spots_view *v,
                       const struct mr_panel *p) {
    const struct mr_room room = {p->x, p->y - NAMES_PT, p->w, NAMES_PT};
    const struct mr_type type = {MR_INK_GREY, MR_SIZE_CAPTION, MR_MIDDLE, false, false};
    size_t i = 0, from = 0, bad = 0;
    const char *area = "", *missed = "";
    for (size_t r = next(v->spots, v->zone, 0);; r = next(v->spots, v->zone, r + 1), i++) {
        const char *here = r == MR_NONE ? "" : mr_cell_text(v->spots, r, "area");
        if (i > 0 && (r == MR_NONE || strcmp(here, area) != 0)) {
            const double x = mr_panel_x(p, ((double)from + (double)i - 1) / 2),
                         w = mr_panel_x(p, (double)i) - mr_panel_x(p, (double)from);
            const struct mr_point at = {x, p->y - 3.5};
            const char *name = mr_printf(list->arena, "area %s", area);
            if (mr_text_width(name, type.size, false) >= w - 4)
                name = area;
            if (area[0] && mr_text_width(name, type.size, false) < w - 4)
                mr_label_text(placer, room, type, name, 1, &at);
            const double um = mean_of_area(v, area);
            if (isfinite(um) && mr_film_misses(&v->all_limits, v->zone_at, "area", um) && bad++ < AREAS_TOLD)
                missed = mr_printf(list->arena, "%s%s%s", missed, *missed ? ", " : "", area);
            from = i;
        }
        if (r == MR_NONE)
            break;
        area = here;
    }
    if (bad)
        mr_tell(list, mr_printf(list->arena, "%s beyond a limit: %s%s.", bad == 1 ? "Area" : "Areas", missed,
                                bad > AREAS_TOLD ? mr_printf(list->arena, " and %zu more", bad - AREAS_TOLD) : ""));
}

static void draw_spots(struct mr_drawlist *list, const struct spots_view *v, const struct mr_panel *p) {
    const double size = v->n > 120 ? 3.2 : 5;
    size_t i = 0;
    for (size_t r = next(v->spots, v->zone, 0); r != MR_NONE; r = next(v->spots, v->zone, r + 1), i++) {
        const double um = mr_spot_um(v->spots, r);
        const bool bad = mr_film_misses(&v->all_limits, v->zone_at, "spot", um);
        if (isfinite(um))
            mr_draw_mark(list, bad ? MR_INK_RED : MR_INK_BLUE, bad ? MR_CROSS : MR_DOT, bad ? size + 1.5 : size,
                         mr_panel_x(p, (double)i), mr_panel_y(p, shown(v, um)));
    }
}

/* How many may miss, as the rule writes it: a number, a share, or none. */
static const char *allowed(const struct spots_view *v, size_t r) {
    struct mr_arena *arena = v->job->arena;
    const int64_t may = mr_cell_count(v->limits, r, "may_miss");
    const double pct = mr_cell_number(v->limits, r, "may_miss_pct");
    return isfinite(pct) ? mr_printf(arena, "%s %% allowed", mr_figure_text(arena, pct, 0))
           : may > 0     ? mr_printf(arena, "%lld allowed", (long long)may)
                         : "none allowed";
}

static const char *limit_text(const struct spots_view *v, size_t r) {
    struct mr_arena *arena = v->job->arena;
    return mr_printf(arena, "%s %s %s", mr_cell_text(v->limits, r, "value"), mr_cell_text(v->limits, r, "side"),
                     mr_short_text(arena, mr_cell_number(v->limits, r, "limit"), v->unit));
}

static void draw_limits(struct mr_drawlist *list, const struct spots_view *v, const struct mr_panel *p) {
    for (size_t i = 0; i < v->n_limits; i++) {
        const size_t r = v->limit[i];
        const bool area = strcmp(mr_cell_text(v->limits, r, "value"), "area") == 0;
        mr_level(list, p, MR_INK_RED, area ? MR_LONG_DASH : MR_DOTTED,
                 shown(v, mr_cell_number(v->limits, r, "limit")));
    }
    mr_panel_frame(list, p);
    struct mr_placer *placer = mr_placer_new(list);
    for (size_t i = 0; i < v->n_limits; i++) {
        const size_t r = v->limit[i];
        const char *text = limit_text(v, r);
        if (!mr_label_level(placer, (struct mr_room){p->x, p->y, p->w, p->h}, MR_INK_RED,
                            mr_panel_y(p, shown(v, mr_cell_number(v->limits, r, "limit"))), text))
            mr_tell(list, mr_printf(list->arena, "Limit: %s.", text));
        mr_tell(list, mr_printf(list->arena, "%s: %lld judged, %lld missed, %s: %s", text,
                                (long long)mr_cell_count(v->limits, r, "judged"),
                                (long long)mr_cell_count(v->limits, r, "missed"), allowed(v, r),
                                mr_outcome_text((enum mr_outcome)mr_cell_count(v->limits, r, "outcome"))));
    }
    name_areas(list, placer, v, p);
}

static const char *sources_of(const struct spots_view *v) {
    struct mr_sources_text set = {0};
    for (size_t r = next(v->spots, v->zone, 0); r != MR_NONE; r = next(v->spots, v->zone, r + 1)) {
        const char *lines = mr_cell_text(v->spots, r, "lines"), *colon = strrchr(lines, ':');
        if (colon)
            mr_source_add(v->job, &set, mr_strndup(v->job->arena, lines, (size_t)(colon - lines)));
    }
    return mr_source_list(v->job, &set);
}

static struct mr_drawlist *draw_figure(struct spots_view *v, size_t zone) {
    struct mr_arena *arena = v->job->arena;
    const char *rule = v->n_limits ? mr_cell_text(v->limits, v->limit[0], "rule") : "no rule set";
    struct mr_drawlist *list = mr_page_named(v->job, 0, v->zone, ": spots and areas against their limits",
                                             mr_printf(arena, "Newest survey against %s; thickness: %s", rule,
                                                       mr_outcome_text(v->job->a->zones[zone].by_group[0])));
    list->height_pt -= MR_TOLD_LINE_PT * (double)v->n_limits; /* the page's foot tells of each limit */
    const double top = 56 + NAMES_PT;
    struct mr_panel p = {58,    top,  list->width_pt - 58 - 14, list->height_pt - top - MR_PAGE_FOOT - 28, -0.7, 0.7,
                         v->lo, v->hi};
    p.x1 = (double)v->n - 0.3;
    const struct mr_legend keys[] = {{"spot mean", MR_INK_BLUE, MR_SOLID, 0, MR_DOT},
                                     {"spot beyond a limit", MR_INK_RED, MR_SOLID, 0, MR_CROSS},
                                     {"area mean", MR_INK_NAVY, MR_SOLID, 2, MR_DOT},
                                     {"area beyond a limit", MR_INK_RED, MR_DASHED, 2, MR_DOT},
                                     {"limit for spots", MR_INK_RED, MR_DOTTED, 0.9, MR_DOT},
                                     {"limit for areas", MR_INK_RED, MR_LONG_DASH, 0.9, MR_DOT}};
    mr_legend_row(list, 12, 46, list->width_pt - 24, MR_COUNT(keys), keys);
    mr_axis_left(list, &p, mr_printf(arena, "dry film thickness, %s", mr_unit_symbol(v->unit)));
    struct mr_panel from_one = p; /* spots count from 1 */
    from_one.x0 += 1;
    from_one.x1 += 1;
    mr_axis_bottom_counts(list, &from_one, "spots in the order of their areas");
    draw_areas(list, v, &p);
    draw_spots(list, v, &p);
    draw_limits(list, v, &p);
    mr_page_end(v->job, list, sources_of(v));
    return list;
}

void mr_charts_spots(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    const struct mr_film_rows limits = mr_film_rows_of(job->arena, a, "thickness-limits");
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        struct spots_view v = {.job = job,
                               .all_limits = limits,
                               .zone_at = z,
                               .zone = mr_zone_name(a, z),
                               .unit = job->display.film,
                               .spots = mr_find_table(a, "spots"),
                               .areas = mr_find_table(a, "thickness-areas"),
                               .limits = mr_find_table(a, "thickness-limits")};
        find_rows(&v);
        if (v.n == 0)
            continue;
        struct mr_chart chart = {.kind = "spots", .zone = z, .list = draw_figure(&v, z)};
        chart.alt =
            mr_printf(job->arena, "Means of %zu spots and of their areas of %s against %zu limits; thickness %s.",
                      v.n, v.zone, v.n_limits, mr_outcome_text(a->zones[z].by_group[0]));
        mr_chart_add(job, out, chart, mr_printf(job->arena, "spots-%s", mr_slug(job->arena, v.zone)));
    }
}
