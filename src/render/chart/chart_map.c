/*
 * chart_map.c - a zone's spots where they were measured, on the axes of the gauge's export: each as a mark whose
 * shape says whether it misses a limit and whose size says how thick it is, with its mean beside it where there is
 * room.
 *
 * Nothing is drawn between spots: what was not measured is not known.
 */
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"
#include "render/plot/place.h"

#include <math.h>
#include <string.h>

enum { STEPS = 4, LEAST_W_PT = 150, LEAST_H_PT = 84 }; /* room for the axes' names */

#define LONE_SPOT 1.0 /* what the panel shows around a spot alone */

struct map_spot {
    double x, y, um;
    const char *name;
    int misses; /* -1 below a limit, 1 above one */
};

struct map_view {
    const struct mr_chart_job *job;
    const char *zone;
    enum mr_unit film, length;
    struct map_spot *spot;
    size_t n, n_nowhere; /* without a position */
    double least, most;  /* of the means that miss no limit, µm */
};

static int beyond(const struct mr_film_rows *limits, size_t zone, double um) {
    if (!mr_film_misses(limits, zone, "spot", um))
        return 0;
    for (size_t k = limits->first[zone]; k < limits->first[zone + 1]; k++) {
        const size_t r = limits->row[k];
        const double limit = mr_cell_number(limits->table, r, "limit");
        if (strcmp(mr_cell_text(limits->table, r, "value"), "spot") == 0 && um < limit &&
            strcmp(mr_cell_text(limits->table, r, "side"), "at least") == 0)
            return -1;
    }
    return 1;
}

static void read_spots(struct map_view *v, const struct mr_film_rows *spots, const struct mr_film_rows *limits,
                       size_t zone) {
    const struct mr_table *t = spots->table;
    v->spot = MR_ARRAY(v->job->arena, struct map_spot, spots->first[zone + 1] - spots->first[zone] + 1);
    v->least = HUGE_VAL;
    v->most = -HUGE_VAL;
    for (size_t k = spots->first[zone]; k < spots->first[zone + 1]; k++) {
        const size_t r = spots->row[k];
        const char *area = mr_cell_text(t, r, "area"), *spot = mr_cell_text(t, r, "spot");
        struct map_spot s = {mr_from_canonical(v->length, mr_cell_number(t, r, "along")),
                             mr_from_canonical(v->length, mr_cell_number(t, r, "across")), mr_spot_um(t, r),
                             *area ? mr_printf(v->job->arena, "Area %s, spot %s", area, spot)
                                   : mr_printf(v->job->arena, "Spot %s", spot),
                             0};
        if (!isfinite(s.um))
            continue;
        if (!isfinite(s.x) || !isfinite(s.y)) {
            v->n_nowhere++;
            continue;
        }
        s.misses = beyond(limits, zone, s.um);
        if (!s.misses)
            mr_widen(&v->least, &v->most, s.um);
        v->spot[v->n++] = s;
    }
}

/* Of the means that miss no limit: four steps of equal width from the least to the greatest. */
static size_t step_of(const struct map_view *v, double um) {
    const double share = v->most > v->least ? (um - v->least) / (v->most - v->least) : 0.5;
    const size_t step = (size_t)(share * STEPS);
    return step < STEPS ? step : STEPS - 1;
}

static double size_of(size_t step) {
    return 3.5 + 2.0 * (double)step;
}

/* One length is as long along as across. The panel ends near the spots: axes that went on would show ground that
 * nobody measured. Around them is room for marks and means. */
static void fit_axes(struct mr_panel *p, const struct map_view *v) {
    const double beside_pt = 28, above_pt = 20;
    p->x0 = p->y0 = HUGE_VAL;
    p->x1 = p->y1 = -HUGE_VAL;
    for (size_t i = 0; i < v->n; i++) {
        mr_widen(&p->x0, &p->x1, v->spot[i].x);
        mr_widen(&p->y0, &p->y1, v->spot[i].y);
    }
    const double along = p->x1 - p->x0, across = p->y1 - p->y0, x = (p->x0 + p->x1) / 2, y = (p->y0 + p->y1) / 2;
    const double needed = fmax(along / (p->w - 2 * beside_pt), across / (p->h - 2 * above_pt));
    const double per_pt = needed > 0 ? needed : LONE_SPOT / p->w;
    p->w = fmin(p->w, fmax(along / per_pt + 2 * beside_pt, LEAST_W_PT));
    p->h = fmin(p->h, fmax(across / per_pt + 2 * above_pt, LEAST_H_PT));
    p->x0 = x - per_pt * p->w / 2;
    p->x1 = x + per_pt * p->w / 2;
    p->y0 = y - per_pt * p->h / 2;
    p->y1 = y + per_pt * p->h / 2;
}

/* What misses a limit lies on top. */
static void draw_spots(struct mr_drawlist *list, const struct mr_panel *p, const struct map_view *v) {
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < v->n; i++) {
            const struct map_spot *s = &v->spot[i];
            const double x = mr_panel_x(p, s->x), y = mr_panel_y(p, s->y);
            if (pass == 0 && !s->misses)
                mr_draw_mark(list, MR_INK_BLUE, MR_DOT, size_of(step_of(v, s->um)), x, y);
            if (pass == 1 && s->misses)
                mr_draw_mark(list, MR_INK_RED, s->misses < 0 ? MR_DOWN : MR_UP, 7.5, x, y);
        }
}

/* What misses a limit is named first, by number where there is no room; the other means where they find a place. */
static void name_spots(struct mr_drawlist *list, const struct mr_panel *p, struct map_view *v) {
    struct mr_placer *placer = mr_placer_new(list);
    const struct mr_room room = {p->x, p->y, p->w, p->h};
    size_t told = 0, shown = 0;
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < v->n; i++) {
            const struct map_spot *s = &v->spot[i];
            const struct mr_point at = {mr_panel_x(p, s->x), mr_panel_y(p, s->y)};
            const char *mean =
                mr_figure_text(list->arena, mr_from_canonical(v->film, s->um), mr_unit_decimals(v->film));
            const struct mr_type type = {s->misses ? MR_INK_RED : MR_INK_GREY, MR_SIZE_CAPTION, MR_MIDDLE, false,
                                         false};
            if ((s->misses != 0) != (pass == 0))
                continue;
            const double r = s->misses ? 3.75 : size_of(step_of(v, s->um)) / 2;
            const double side = r + 4 + mr_text_width(mean, type.size, type.bold) / 2;
            const struct mr_point beside[] = {{at.x, at.y - r - 3.5},        {at.x, at.y + r + 9},
                                              {at.x + side, at.y + 2.5},     {at.x - side, at.y + 2.5},
                                              {at.x, at.y - r - 6},          {at.x, at.y + r + 11.5},
                                              {at.x + side + 3, at.y + 2.5}, {at.x - side - 3, at.y + 2.5},
                                              {at.x + side, at.y - 3},       {at.x - side, at.y + 8}};
            shown += mr_label_text(placer, room, type, mean, MR_COUNT(beside), beside);
            if (s->misses && told++ < 8)
                mr_tell(list, mr_printf(list->arena, "%s: %s, %s a limit for spots.", s->name,
                                        mr_shown(list->arena, s->um, v->film, mr_unit_decimals(v->film)),
                                        s->misses < 0 ? "below" : "above"));
        }
    if (told > 8)
        mr_tell(list,
                mr_printf(list->arena, "%zu more spots miss a limit; the sheet of spots lists them.", told - 8));
    if (shown < v->n)
        mr_tell(list,
                mr_printf(list->arena, "%zu of %zu means have no room beside their marks.", v->n - shown, v->n));
    if (v->n_nowhere)
        mr_tell(list, v->n_nowhere == 1
                          ? "1 spot has no position and is not drawn."
                          : mr_printf(list->arena, "%zu spots have no position and are not drawn.", v->n_nowhere));
}

static void draw_legend(struct mr_drawlist *list, const struct map_view *v) {
    struct mr_arena *arena = list->arena;
    const int d = mr_unit_decimals(v->film);
    struct mr_legend keys[3] = {{"no limit missed: the larger, the thicker", MR_INK_BLUE, MR_SOLID, 0, MR_DOT},
                                {"below a limit for spots", MR_INK_RED, MR_SOLID, 0, MR_DOWN},
                                {"above a limit for spots", MR_INK_RED, MR_SOLID, 0, MR_UP}};
    if (v->least <= v->most)
        keys[0].text =
            mr_printf(arena, "%s (smallest mark) to %s %s (largest)",
                      mr_figure_text(arena, mr_from_canonical(v->film, v->least), d),
                      mr_figure_text(arena, mr_from_canonical(v->film, v->most), d), mr_unit_symbol(v->film));
    mr_legend_row(list, 12, 46, list->width_pt - 24, MR_COUNT(keys), keys);
}

static const char *sources_of(const struct map_view *v, const struct mr_film_rows *spots, size_t zone) {
    struct mr_sources_text set = {0};
    for (size_t k = spots->first[zone]; k < spots->first[zone + 1]; k++) {
        const char *lines = mr_cell_text(spots->table, spots->row[k], "lines"), *colon = strrchr(lines, ':');
        if (colon)
            mr_source_add(v->job, &set, mr_strndup(v->job->arena, lines, (size_t)(colon - lines)));
    }
    return mr_source_list(v->job, &set);
}

static struct mr_drawlist *draw_map(struct map_view *v, const char *sources) {
    struct mr_arena *arena = v->job->arena;
    struct mr_drawlist *list = mr_page_named(v->job, 0, v->zone, ": map of the film",
                                             mr_printf(arena,
                                                       "Spot means of the newest survey, %s, where they were "
                                                       "measured; nothing is known between the spots",
                                                       mr_unit_symbol(v->film)));
    struct mr_panel p = {58, 62, list->width_pt - 58 - 14, list->height_pt - 62 - MR_PAGE_FOOT - 28, 0, 1, 0, 1};
    fit_axes(&p, v);
    draw_legend(list, v);
    mr_axis_left(list, &p, mr_printf(arena, "across, %s", mr_unit_symbol(v->length)));
    mr_axis_bottom(list, &p,
                   mr_printf(arena, "along, %s; axes as the gauge's export gives them", mr_unit_symbol(v->length)),
                   true);
    draw_spots(list, &p, v);
    mr_panel_frame(list, &p);
    name_spots(list, &p, v);
    mr_page_ends(v->job, list, p.y + p.h + 28);
    mr_page_end(v->job, list, sources);
    return list;
}

void mr_charts_map(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    const struct mr_film_rows spots = mr_film_rows_of(job->arena, a, "spots"),
                              limits = mr_film_rows_of(job->arena, a, "thickness-limits");
    if (!spots.table || mr_find_column(spots.table, "along") == MR_NONE)
        return;
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        struct map_view v = {.job = job,
                             .zone = mr_zone_name(a, z),
                             .film = job->display.film,
                             .length = job->display.length == MR_UNIT_IN ? MR_UNIT_FT : MR_UNIT_M};
        read_spots(&v, &spots, &limits, z);
        if (v.n == 0)
            continue;
        struct mr_chart chart = {.kind = "film-map", .zone = z, .list = draw_map(&v, sources_of(&v, &spots, z))};
        size_t misses = 0;
        for (size_t i = 0; i < v.n; i++)
            misses += v.spot[i].misses != 0;
        chart.alt =
            mr_printf(job->arena, "Map of %zu spots of %s where they were measured; %zu beyond a limit for spots.",
                      v.n, v.zone, misses);
        mr_chart_add(job, out, chart, mr_printf(job->arena, "film-map-%s", mr_slug(job->arena, v.zone)));
    }
}
