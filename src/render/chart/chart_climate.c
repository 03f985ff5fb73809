/*
 * chart_climate.c - the weather of one shift: temperatures, the spread that is judged, humidity; windows shaded, gaps
 * left as gaps. The spread is that of the zone being sprayed, or, between windows, of the zone sprayed next.
 */
#include "render/chart/charts.h"

#include "numeric/dew_point.h"

#include <math.h>

enum { MINUTE_MS = 60000, GRID_POINTS = 900, HYGROMETERS_MOST = 3, STRIP_ROWS = 3 };

#define CLIMATE_H 396.0 /* 5.5 in */

struct climate_view {
    const struct mr_chart_job *job;
    size_t shift;
    int64_t t0, t1, max_gap_ms;
    enum mr_unit temp, rise;
    double spread_min_k, rh_max_pct, air_min_c, air_max_c, steel_min_c,
        steel_max_c; /* strictest of the shift's zones */
    size_t n;
    int64_t *t; /* shape: GRID_POINTS; with the three columns below, the zone's climate at even steps */
    double *spread_k, *dew_c, *steel_c;
    struct mr_sources_text sources;
};

static void strictest_low(double *limit, double v) {
    if (isfinite(v) && !(*limit >= v))
        *limit = v;
}

static void strictest_high(double *limit, double v) {
    if (isfinite(v) && !(*limit <= v))
        *limit = v;
}

static void take_limits(struct climate_view *v, const struct mr_settings *s) {
    strictest_low(&v->spread_min_k, mr_set_num(s, MR_SPREAD_MIN));
    strictest_high(&v->rh_max_pct, mr_set_num(s, MR_RH_MAX));
    strictest_low(&v->air_min_c, mr_set_num(s, MR_AIR_MIN));
    strictest_high(&v->air_max_c, mr_set_num(s, MR_AIR_MAX));
    strictest_low(&v->steel_min_c, mr_set_num(s, MR_STEEL_MIN));
    strictest_high(&v->steel_max_c, mr_set_num(s, MR_STEEL_MAX));
}

static void find_span(struct climate_view *v) {
    const struct mr_alignment *al = v->job->a->aligned;
    const struct mr_shift *s = &al->shifts.v[v->shift];
    double lead_s = 1800, cure_s = 1800;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift != v->shift || w->zone >= al->zones.n)
            continue;
        const struct mr_settings *set = al->zones.v[w->zone].settings;
        lead_s = fmax(lead_s, mr_set_num(set, MR_CLIMATE_LEAD));
        cure_s = fmax(cure_s, mr_set_num(set, MR_CLIMATE_CURE));
        take_limits(v, set);
    }
    v->t0 = s->t0_utc_ms - (int64_t)(fmin(lead_s, 14400) * 1000);
    v->t1 = s->t1_utc_ms + (int64_t)(fmin(cure_s, 14400) * 1000);
}

/* The window that holds t, else the next one, else the last before it. */
static size_t zone_at(const struct climate_view *v, int64_t t) {
    const struct mr_alignment *al = v->job->a->aligned;
    size_t zone = MR_NONE;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift != v->shift)
            continue;
        zone = w->zone;
        if (t <= w->t1_utc_ms)
            break;
    }
    return zone;
}

static void sample_grid(struct climate_view *v) {
    struct mr_arena *arena = v->job->arena;
    v->t = MR_ARRAY(arena, int64_t, GRID_POINTS);
    v->spread_k = MR_ARRAY(arena, double, GRID_POINTS);
    v->dew_c = MR_ARRAY(arena, double, GRID_POINTS);
    v->steel_c = MR_ARRAY(arena, double, GRID_POINTS);
    v->n = GRID_POINTS;
    const struct mr_track *steel = NULL;
    size_t zone = zone_at(v, v->t0);
    for (size_t i = 0; i < v->n; i++) {
        const int64_t t = v->t0 + (v->t1 - v->t0) * (int64_t)i / (GRID_POINTS - 1);
        struct mr_climate c = mr_climate_at(v->job->a->aligned, zone_at(v, t), t, v->max_gap_ms);
        const bool other = zone_at(v, t) != zone || (steel && c.steel && c.steel != steel);
        zone = zone_at(v, t);
        if (c.steel && c.steel != steel)
            mr_source_track(v->job, &v->sources, c.steel, v->t0, v->t1);
        steel = c.steel ? c.steel : steel;
        if (other) /* another steel: no line from the one to the other */
            c.steel_c = MR_NAN;
        const double dew = isfinite(c.dew_c) ? c.dew_c : mr_dew_point_c(c.air_c, c.rh_pct);
        v->t[i] = t;
        v->dew_c[i] = dew;
        v->steel_c[i] = c.steel_c;
        v->spread_k[i] = c.steel_c - dew;
    }
}

static struct mr_series grid_series(const struct climate_view *v, const double *value, enum mr_unit unit) {
    return (struct mr_series){v->n, v->t, value, unit, INT64_MAX, v->t0, v->t1};
}

static struct mr_series track_series(const struct climate_view *v, const struct mr_track *t, enum mr_unit unit) {
    return (struct mr_series){t->n, t->t_utc_ms, t->value, unit, v->max_gap_ms, v->t0, v->t1};
}

static void range_of(const struct climate_view *v, enum mr_meaning meaning, enum mr_unit unit, double *lo,
                     double *hi) {
    const struct mr_track *t;
    for (size_t k = 0; k < HYGROMETERS_MOST && (t = mr_series_track(v->job->a->aligned, v->t0, v->t1, meaning, k));
         k++) {
        struct mr_series s = track_series(v, t, unit);
        mr_series_range(&s, lo, hi);
    }
}

static void draw_tracks(struct mr_drawlist *list, const struct climate_view *v, const struct mr_panel *p,
                        enum mr_meaning meaning, enum mr_unit unit, struct mr_ink ink) {
    static const enum mr_dash dashes[HYGROMETERS_MOST] = {MR_SOLID, MR_DASHED, MR_DOTTED};
    const struct mr_track *t;
    for (size_t k = 0; k < HYGROMETERS_MOST && (t = mr_series_track(v->job->a->aligned, v->t0, v->t1, meaning, k));
         k++) {
        struct mr_series s = track_series(v, t, unit);
        mr_series_line(list, p, &s, ink, 1.2, dashes[k]);
    }
}

static void shade_windows(struct mr_drawlist *list, const struct climate_view *v, const struct mr_panel *p) {
    const struct mr_alignment *al = v->job->a->aligned;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift != v->shift)
            continue;
        const double x0 = mr_panel_x(p, (double)w->t0_utc_ms), x1 = mr_panel_x(p, (double)w->t1_utc_ms);
        mr_draw_rect(list, MR_INK_SHADE, x0, p->y, fmax(x1 - x0, 0.8), p->h);
    }
}

/* Names of the zones over their windows; in rows, where they would meet; left out where no row is free. */
static void name_windows(struct mr_drawlist *list, const struct climate_view *v, const struct mr_panel *p, double y) {
    const struct mr_alignment *al = v->job->a->aligned;
    double end[STRIP_ROWS] = {-1e9, -1e9, -1e9};
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift != v->shift)
            continue;
        const char *text = mr_printf(list->arena, "%s, %d", mr_zone_name(v->job->a, w->zone), w->coat);
        text = mr_text_fit(list->arena, text, MR_SIZE_STRIP, false, 90);
        const double width = mr_text_width(text, MR_SIZE_STRIP, false);
        double x = mr_panel_x(p, (double)w->t0_utc_ms);
        x = x + width > p->x + p->w ? p->x + p->w - width : x;
        size_t row = 0;
        while (row < STRIP_ROWS && end[row] > x - 4)
            row++;
        if (row == STRIP_ROWS)
            continue;
        end[row] = x + width;
        mr_draw_text(list, (struct mr_type){MR_INK_GREY, MR_SIZE_STRIP, MR_LEFT, false, false}, x,
                     y - 8 * (double)row, text);
    }
}

static void begin_panel(struct mr_drawlist *list, const struct climate_view *v, const struct mr_panel *p,
                        const char *label, bool last) {
    shade_windows(list, v, p);
    mr_axis_left(list, p, label);
    mr_axis_time(list, p, v->job, last);
    mr_draw_clip(list, p->x, p->y, p->w, p->h);
}

static void end_panel(struct mr_drawlist *list, const struct mr_panel *p, size_t seen) {
    mr_draw_unclip(list);
    mr_panel_frame(list, p);
    if (!seen)
        mr_draw_text(list, (struct mr_type){MR_INK_GREY, MR_SIZE_LABEL, MR_MIDDLE, false, false}, p->x + p->w / 2,
                     p->y + p->h / 2, "no data over this shift");
}

static void limit(struct mr_drawlist *list, const struct climate_view *v, const struct mr_panel *p, const char *what,
                  double canonical, enum mr_unit unit) {
    if (isfinite(canonical))
        mr_level(list, p, MR_INK_RED, MR_DASHED, mr_from_canonical(unit, canonical),
                 mr_printf(v->job->arena, "%s %s", what, mr_short_text(v->job->arena, canonical, unit)));
}

static void draw_temperatures(struct mr_drawlist *list, const struct climate_view *v, struct mr_panel p) {
    struct mr_series dew = grid_series(v, v->dew_c, v->temp), steel = grid_series(v, v->steel_c, v->temp);
    p.y0 = HUGE_VAL;
    p.y1 = -HUGE_VAL;
    range_of(v, MR_M_AIR, v->temp, &p.y0, &p.y1);
    mr_series_range(&steel, &p.y0, &p.y1);
    mr_series_range(&dew, &p.y0, &p.y1);
    const bool seen = p.y1 >= p.y0;
    mr_range_pad(&p.y0, &p.y1, 0.08, 1.0);
    begin_panel(list, v, &p, mr_printf(list->arena, "temperature, %s", mr_unit_symbol(v->temp)), false);
    draw_tracks(list, v, &p, MR_M_AIR, v->temp, MR_INK_AMBER);
    mr_series_line(list, &p, &steel, MR_INK_BLACK, 1.2, MR_SOLID);
    mr_series_line(list, &p, &dew, MR_INK_BLUE, 1.2, MR_SOLID);
    limit(list, v, &p, "air at least", v->air_min_c, v->temp);
    limit(list, v, &p, "air at most", v->air_max_c, v->temp);
    limit(list, v, &p, "steel at least", v->steel_min_c, v->temp);
    limit(list, v, &p, "steel at most", v->steel_max_c, v->temp);
    end_panel(list, &p, seen);
}

/* The stretch below the limit is filled, so that a short dip is seen. */
static void fill_below(struct mr_drawlist *list, const struct climate_view *v, const struct mr_panel *p,
                       double limit_shown) {
    const double y_limit = mr_panel_y(p, limit_shown), step = p->w / (double)(v->n - 1);
    for (size_t i = 0; i < v->n; i++) {
        const double s = mr_from_canonical(v->rise, v->spread_k[i]);
        if (s < limit_shown)
            mr_draw_rect(list, MR_INK_ROSE, mr_panel_x(p, (double)v->t[i]) - step / 2, y_limit, step,
                         mr_panel_y(p, s) - y_limit);
    }
}

static void draw_spread(struct mr_drawlist *list, const struct climate_view *v, struct mr_panel p) {
    struct mr_series spread = grid_series(v, v->spread_k, v->rise);
    p.y0 = HUGE_VAL;
    p.y1 = -HUGE_VAL;
    const size_t seen = mr_series_range(&spread, &p.y0, &p.y1);
    const double least = mr_from_canonical(v->rise, v->spread_min_k);
    if (isfinite(least)) {
        p.y0 = fmin(p.y0, least);
        p.y1 = fmax(p.y1, least);
    }
    mr_range_pad(&p.y0, &p.y1, 0.12, 0.5);
    begin_panel(list, v, &p, mr_printf(list->arena, "spread, %s", mr_unit_symbol(v->rise)), false);
    if (isfinite(least))
        fill_below(list, v, &p, least);
    mr_series_line(list, &p, &spread, MR_INK_GREEN, 1.3, MR_SOLID);
    limit(list, v, &p, "spread at least", v->spread_min_k, v->rise);
    end_panel(list, &p, seen);
}

static void draw_humidity(struct mr_drawlist *list, const struct climate_view *v, struct mr_panel p) {
    p.y0 = HUGE_VAL;
    p.y1 = -HUGE_VAL;
    range_of(v, MR_M_RH, MR_UNIT_PCT, &p.y0, &p.y1);
    const bool seen = p.y1 >= p.y0;
    if (isfinite(v->rh_max_pct)) {
        p.y0 = fmin(p.y0, v->rh_max_pct);
        p.y1 = fmax(p.y1, v->rh_max_pct);
    }
    mr_range_pad(&p.y0, &p.y1, 0.08, 2.0);
    p.y0 = fmax(p.y0, 0);
    p.y1 = fmin(p.y1, fmax(100, v->rh_max_pct));
    begin_panel(list, v, &p, "humidity, %", true);
    draw_tracks(list, v, &p, MR_M_RH, MR_UNIT_PCT, MR_INK_SKY);
    limit(list, v, &p, "humidity at most", v->rh_max_pct, MR_UNIT_PCT);
    end_panel(list, &p, seen);
}

static void draw_legend(struct mr_drawlist *list, const struct climate_view *v, const struct mr_panel *p) {
    struct mr_legend keys[6] = {{"air", MR_INK_AMBER, MR_SOLID, 1.6, MR_DOT},
                                {"steel of the zone", MR_INK_BLACK, MR_SOLID, 1.6, MR_DOT},
                                {"dew point", MR_INK_BLUE, MR_SOLID, 1.6, MR_DOT},
                                {"spread", MR_INK_GREEN, MR_SOLID, 1.6, MR_DOT},
                                {"humidity", MR_INK_SKY, MR_SOLID, 1.6, MR_DOT},
                                {"second instrument", MR_INK_GREY, MR_DASHED, 1.2, MR_DOT}};
    const size_t n = mr_series_track(v->job->a->aligned, v->t0, v->t1, MR_M_AIR, 1) ? 6 : 5;
    mr_legend_row(list, p->x, 47, p->w, n, keys);
}

static struct mr_drawlist *draw_climate(const struct climate_view *v, const char *title) {
    struct mr_sources_text set = v->sources;
    static const enum mr_meaning meanings[] = {MR_M_AIR, MR_M_RH, MR_M_DEW};
    const struct mr_track *t;
    for (size_t i = 0; i < MR_COUNT(meanings); i++)
        for (size_t k = 0;
             k < HYGROMETERS_MOST && (t = mr_series_track(v->job->a->aligned, v->t0, v->t1, meanings[i], k)); k++)
            mr_source_track(v->job, &set, t, v->t0, v->t1);
    struct mr_drawlist *list = mr_page(v->job, CLIMATE_H, title,
                                       "Shaded: spraying, with zone and coat. Spread: steel of that zone above dew "
                                       "point. Gaps in the data stay gaps.",
                                       mr_source_list(v->job, &set));
    const double top = 80, gap = 9, left = 52, bottom = list->height_pt - MR_PAGE_FOOT - 26;
    const double h = (bottom - top - 2 * gap) / 10.0;
    struct mr_panel p = {left, top, list->width_pt - left - 14, 4.4 * h, (double)v->t0, (double)v->t1, 0, 1};
    draw_legend(list, v, &p);
    name_windows(list, v, &p, top - 3);
    draw_temperatures(list, v, p);
    p.y += p.h + gap;
    p.h = 2.8 * h;
    draw_spread(list, v, p);
    p.y += p.h + gap;
    draw_humidity(list, v, p);
    return list;
}

void mr_charts_climate(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_alignment *al = job->a->aligned;
    for (size_t i = 0; i < al->shifts.n; i++) {
        struct climate_view v = {.job = job,
                                 .shift = i,
                                 .temp = job->display.temp,
                                 .rise = job->display.rise,
                                 .spread_min_k = MR_NAN,
                                 .rh_max_pct = MR_NAN,
                                 .air_min_c = MR_NAN,
                                 .air_max_c = MR_NAN,
                                 .steel_min_c = MR_NAN,
                                 .steel_max_c = MR_NAN};
        v.max_gap_ms = (int64_t)(mr_set_num(&job->a->job->settings, MR_CLIMATE_GAP) * 1000.0);
        find_span(&v);
        if (!mr_series_track(v.job->a->aligned, v.t0, v.t1, MR_M_AIR, 0) &&
            !mr_series_track(v.job->a->aligned, v.t0, v.t1, MR_M_RH, 0))
            continue;
        sample_grid(&v);
        const char *name = al->shifts.v[i].name;
        const char *title = mr_printf(job->arena, "Shift %s: climate", name);
        struct mr_chart chart = {.kind = "climate", .title = title, .zone = MR_NONE, .list = draw_climate(&v, title)};
        chart.alt = mr_printf(
            job->arena, "Air, steel and dew point temperature, spread and relative humidity over shift %s.", name);
        mr_chart_add(job, out, chart, mr_printf(job->arena, "climate-%s", mr_slug(job->arena, name)));
    }
}
