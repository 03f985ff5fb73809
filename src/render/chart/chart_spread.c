/*
 * chart_spread.c - of the figure of climate: its panels' frame and limits, the spread of each coat over its judged
 * time, and that time as bars with the minutes out.
 */
#include "render/chart/chart_climate.h"
#include "render/plot/chart_table.h"
#include "render/plot/chart_windows.h"

#include <math.h>

enum { MARKED_MOST = 12 };

void mr_climate_begin(struct mr_drawlist *list, const struct mr_climate_view *v, const struct mr_panel *p,
                      const char *label) {
    mr_windows_shade(list, v->job, v->shift, p);
    mr_axis_left(list, p, label);
    mr_axis_time(list, p, v->job, false);
    mr_draw_clip(list, p->x, p->y, p->w, p->h);
}

void mr_climate_end(struct mr_drawlist *list, struct mr_placer *placer, const struct mr_panel *p, bool seen) {
    mr_draw_unclip(list);
    mr_panel_frame(list, p);
    if (!seen)
        mr_label_point(placer, (struct mr_room){p->x, p->y, p->w, p->h},
                       (struct mr_type){MR_INK_GREY, MR_SIZE_LABEL, MR_MIDDLE, false, false},
                       (struct mr_point){p->x + p->w / 2, p->y + p->h / 2}, 0, "no data over this shift");
}

void mr_limits_draw(struct mr_drawlist *list, const struct mr_panel *p, size_t n, const struct mr_limit_line *l) {
    for (size_t i = 0; i < n; i++)
        mr_level(list, p, MR_INK_RED, MR_LONG_DASH, mr_from_canonical(l[i].unit, l[i].value));
}

/* A limit that lies outside the panel is told below. */
void mr_limits_name(struct mr_drawlist *list, struct mr_placer *placer, const struct mr_panel *p, size_t n,
                    const struct mr_limit_line *l) {
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(l[i].value))
            continue;
        const double shown = mr_from_canonical(l[i].unit, l[i].value);
        const char *text =
            mr_printf(list->arena, "%s %s", l[i].what, mr_short_text(list->arena, l[i].value, l[i].unit));
        if (shown < p->y0 || shown > p->y1)
            mr_tell(list, mr_printf(list->arena, "Limit beyond the plot: %s.", text));
        else if (!mr_label_level(placer, (struct mr_room){p->x, p->y, p->w, p->h}, MR_INK_RED, mr_panel_y(p, shown),
                                 text))
            mr_tell(list, mr_printf(list->arena, "Limit (dashed): %s.", text));
    }
}

/* The stretch below the limit is filled, so that a short dip is seen. */
static void fill_below(struct mr_drawlist *list, const struct mr_coat_span *c, const struct mr_panel *p) {
    const double limit = mr_from_canonical(c->spread.unit, c->limit_k), y = mr_panel_y(p, limit);
    for (size_t i = 0; i + 1 < c->spread.n; i++) {
        const double s = mr_from_canonical(c->spread.unit, c->spread.value[i]);
        const double x0 = mr_panel_x(p, (double)c->spread.t_utc_ms[i]),
                     x1 = mr_panel_x(p, (double)c->spread.t_utc_ms[i + 1]);
        if (s < limit)
            mr_draw_rect(list, MR_INK_ROSE, x0, y, x1 - x0, mr_panel_y(p, s) - y);
    }
}

bool mr_coat_misses(const struct mr_coat_span *c) {
    return c->out_min > 0;
}

static const char *coat_name(const struct mr_climate_view *v, const struct mr_coat_span *c) {
    return mr_coat_name(v->job, c->zone, (int)mr_cell_count(v->table, c->row, "coat"));
}

/* "Deck, coat 1: least 2.1 K": the name gives way, never the number; tell_missed has the whole name. */
static const char *least_text(const struct mr_drawlist *list, const struct mr_climate_view *v,
                              const struct mr_coat_span *c, double room) {
    const char *least = mr_printf(list->arena, ": least %s", mr_shown(list->arena, c->least_k, v->rise, 1));
    const char *name = mr_text_fit(list->arena, coat_name(v, c), MR_SIZE_CAPTION, false,
                                   room - mr_text_width(least, MR_SIZE_CAPTION, false));
    return mr_printf(list->arena, "%s%s", name, least);
}

/* Each coat that misses the limit, in full: what was judged, the limit, the minutes out. */
static void tell_missed(struct mr_drawlist *list, const struct mr_climate_view *v) {
    size_t n = 0;
    for (size_t i = 0; i < v->coats.n; i++) {
        const struct mr_coat_span *c = &v->coats.v[i];
        if (mr_coat_misses(c) && n++ < MARKED_MOST)
            mr_tell(list, mr_printf(list->arena, "%s: least spread %s (limit at least %s), %s min out of it.",
                                    coat_name(v, c), mr_shown(list->arena, c->least_k, v->rise, 1),
                                    mr_short_text(list->arena, c->limit_k, v->rise),
                                    mr_figure_text(list->arena, c->out_min, 1)));
    }
    if (n > MARKED_MOST)
        mr_tell(list, mr_printf(list->arena, "Further coats that miss the limit, in the sheet 'Climate': %zu.",
                                n - MARKED_MOST));
}

void mr_climate_spread(struct mr_drawlist *list, struct mr_placer *placer, const struct mr_climate_view *v,
                       struct mr_panel p) {
    size_t seen = 0, marked = 0;
    struct mr_limit_line limit = {MR_NAN, v->rise, "spread at least"};
    p.y0 = HUGE_VAL;
    p.y1 = -HUGE_VAL;
    for (size_t i = 0; i < v->coats.n; i++) {
        const struct mr_coat_span *c = &v->coats.v[i];
        seen += mr_series_range(&c->spread, &p.y0, &p.y1);
        limit.value = c->limit_k <= limit.value ? limit.value : isfinite(c->limit_k) ? c->limit_k : limit.value;
        p.y0 = fmin(p.y0, fmin(mr_from_canonical(v->rise, c->limit_k), mr_from_canonical(v->rise, c->least_k)));
        p.y1 = fmax(p.y1, mr_from_canonical(v->rise, c->limit_k));
    }
    mr_range_pad(&p.y0, &p.y1, 0.14, 0.5);
    mr_climate_begin(list, v, &p, mr_printf(list->arena, "spread, %s", mr_unit_symbol(v->rise)));
    for (size_t i = 0; i < v->coats.n; i++)
        fill_below(list, &v->coats.v[i], &p);
    for (size_t i = 0; i < v->coats.n; i++)
        mr_series_line(list, &p, &v->coats.v[i].spread, MR_INK_GREEN, 1.1, MR_SOLID);
    mr_limits_draw(list, &p, 1, &limit);
    for (size_t i = 0; i < v->coats.n; i++) { /* the judged least, over its judged time */
        const struct mr_coat_span *c = &v->coats.v[i];
        const double y = mr_panel_y(&p, mr_from_canonical(v->rise, c->least_k));
        if (isfinite(c->least_k) && mr_coat_misses(c))
            mr_draw_segment(list, MR_INK_RED, 1.6, MR_SOLID, mr_panel_x(&p, (double)c->from), y,
                            mr_panel_x(&p, (double)c->to), y);
    }
    mr_climate_end(list, placer, &p, seen > 0);
    mr_limits_name(list, placer, &p, 1, &limit);
    for (size_t i = 0; i < v->coats.n && marked < MARKED_MOST; i++) {
        const struct mr_coat_span *c = &v->coats.v[i];
        if (!isfinite(c->least_k) || !mr_coat_misses(c))
            continue;
        const struct mr_point at = {mr_panel_x(&p, (double)(c->from + c->to) / 2),
                                    mr_panel_y(&p, mr_from_canonical(v->rise, c->least_k))};
        mr_label_point(placer, (struct mr_room){p.x, p.y, p.w, p.h},
                       (struct mr_type){MR_INK_RED, MR_SIZE_CAPTION, MR_MIDDLE, false, false}, at, 2.5,
                       least_text(list, v, c, p.w / 3)); /* where it finds no place, the foot tells it all the same */
        marked++;
    }
}

/* --- the judged time as bars ------------------------------------------------------------------------------- */

/* Where the drawn spread lies under its limit. */
static void hatch_out(struct mr_drawlist *list, const struct mr_coat_span *c, const struct mr_panel *p, double y,
                      double h) {
    size_t from = 0;
    bool open = false;
    for (size_t i = 0; i < c->spread.n; i++) {
        const bool out = c->spread.value[i] < c->limit_k;
        if (out && !open)
            from = i;
        if (open && (!out || i + 1 == c->spread.n)) {
            const double x0 = mr_panel_x(p, (double)c->spread.t_utc_ms[from]),
                         x1 = mr_panel_x(p, (double)c->spread.t_utc_ms[i]);
            mr_draw_rect(list, MR_INK_ROSE, x0, y, fmax(x1 - x0, 0.8), h);
            mr_draw_hatch(list, MR_INK_RED, 0.6, x0, y, fmax(x1 - x0, 0.8), h);
        }
        open = out;
    }
}

void mr_climate_lanes(struct mr_drawlist *list, const struct mr_climate_view *v, const struct mr_panel *p) {
    static const struct mr_ink paler = {0xf4, 0xf4, 0xf4};
    mr_axis_time(list, p, v->job, true);
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_RIGHT, false, false}, p->x - 5,
                 fmax(p->y + p->h / 2 + 2.3, p->y + 10.6), "judged");
    for (size_t i = 0; i < v->coats.n; i++) {
        const struct mr_coat_span *c = &v->coats.v[i];
        const double y = p->y + 2 + MR_CLIMATE_LANE_PT * (double)c->lane, h = MR_CLIMATE_LANE_PT - 2;
        const double x0 = mr_panel_x(p, (double)c->from), x1 = mr_panel_x(p, (double)c->t0),
                     x2 = mr_panel_x(p, (double)c->t1), x3 = mr_panel_x(p, (double)c->to);
        mr_draw_rect(list, paler, x0, y, x3 - x0, h);
        mr_draw_rect(list, MR_INK_PALE, x1, y, fmax(x2 - x1, 0.8), h);
        if (mr_coat_misses(c))
            hatch_out(list, c, p, y, h);
        mr_draw_box(list, mr_coat_misses(c) ? MR_INK_RED : MR_INK_GREY, mr_coat_misses(c) ? 0.8 : 0.5, x0, y, x3 - x0,
                    h);
    }
    mr_panel_frame(list, p);
    tell_missed(list, v);
}
