/*
 * chart_climate.c - the weather of one shift: temperatures, the dew-point spread of each coat over the time in which
 * it is judged, humidity, and below them that time as bars: lead, spraying, cure, and the minutes out of limits.
 *
 * The judged span, the least spread, its limit and the minutes out are those of the table of climate at each coat.
 */
#include "render/chart/chart_climate.h"
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"
#include "render/plot/chart_windows.h"

#include "numeric/dew_point.h"

#include <math.h>

enum { MINUTE_MS = 60000, COAT_POINTS = 240, HYGROMETERS_MOST = 3, LANES_MOST = 8 };

#define LEFT_PT 52.0

static void strictest(double *limit, double v, bool low) {
    if (isfinite(v) && !(low ? *limit >= v : *limit <= v))
        *limit = v;
}

static void take_limits(struct mr_climate_view *v, const struct mr_settings *s) {
    strictest(&v->rh_max_pct, mr_set_num(s, MR_RH_MAX), false);
    strictest(&v->air_min_c, mr_set_num(s, MR_AIR_MIN), true);
    strictest(&v->air_max_c, mr_set_num(s, MR_AIR_MAX), false);
    strictest(&v->steel_min_c, mr_set_num(s, MR_STEEL_MIN), true);
    strictest(&v->steel_max_c, mr_set_num(s, MR_STEEL_MAX), false);
}

/* Steel and spread of one zone over its judged time. */
static void sample_coat(struct mr_climate_view *v, struct mr_coat_span *c) {
    struct mr_arena *arena = v->job->arena;
    int64_t *t = MR_ARRAY(arena, int64_t, COAT_POINTS);
    double *spread = MR_ARRAY(arena, double, COAT_POINTS), *steel = MR_ARRAY(arena, double, COAT_POINTS);
    const struct mr_track *before = NULL;
    for (int64_t i = 0; i < COAT_POINTS; i++) {
        t[i] = c->from + (c->to - c->from) * i / (COAT_POINTS - 1);
        const struct mr_climate at = mr_climate_at(v->job->a->aligned, c->zone, t[i], v->max_gap_ms);
        const double dew = isfinite(at.dew_c) ? at.dew_c : mr_dew_point_c(at.air_c, at.rh_pct);
        steel[i] = at.steel_c;
        spread[i] = at.steel_c - dew;
        if (at.steel && at.steel != before)
            mr_source_track(v->job, &v->sources, at.steel, c->from, c->to);
        before = at.steel ? at.steel : before;
    }
    c->spread = (struct mr_series){COAT_POINTS, t, spread, v->rise, INT64_MAX, c->from, c->to};
    c->steel = (struct mr_series){COAT_POINTS, t, steel, v->temp, INT64_MAX, c->from, c->to};
}

/* The lowest lane that is free at this time; the last one takes what is left. */
static void give_lane(struct mr_climate_view *v, struct mr_coat_span *c) {
    for (c->lane = 0; c->lane + 1 < LANES_MOST; c->lane++) {
        bool free = true;
        for (size_t i = 0; i < v->coats.n && free; i++)
            free = v->coats.v[i].lane != c->lane || v->coats.v[i].to < c->from || v->coats.v[i].from > c->to;
        if (free)
            break;
    }
    v->n_lanes = c->lane + 1 > v->n_lanes ? c->lane + 1 : v->n_lanes;
}

static size_t climate_row(const struct mr_climate_view *v, const struct mr_window *w) {
    const char *zone = mr_zone_name(v->job->a, w->zone);
    size_t r = mr_row_of(v->table, 0, zone, w->coat);
    while (r != MR_NONE && mr_cell_time(v->table, r, "start") != w->t0_utc_ms)
        r = mr_row_of(v->table, r + 1, zone, w->coat);
    return r;
}

static void find_coats(struct mr_climate_view *v) {
    const struct mr_alignment *al = v->job->a->aligned;
    const struct mr_shift *s = &al->shifts.v[v->shift];
    v->table = mr_find_table(v->job->a, "climate");
    v->t0 = s->t0_utc_ms - 10LL * MINUTE_MS;
    v->t1 = s->t1_utc_ms + 10LL * MINUTE_MS;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift != v->shift || w->zone >= al->zones.n)
            continue;
        take_limits(v, al->zones.v[w->zone].settings);
        const size_t row = climate_row(v, w);
        struct mr_coat_span c = {.row = row, .zone = w->zone, .t0 = w->t0_utc_ms, .t1 = w->t1_utc_ms};
        c.from = row == MR_NONE ? MR_T_NONE : mr_cell_time(v->table, row, "judged_from");
        c.to = row == MR_NONE ? MR_T_NONE : mr_cell_time(v->table, row, "judged_to");
        c.from = c.from == MR_T_NONE ? c.t0 : c.from;
        c.to = c.to == MR_T_NONE ? c.t1 : c.to;
        c.least_k = row == MR_NONE ? MR_NAN : mr_cell_number(v->table, row, "spread_least");
        c.limit_k = row == MR_NONE ? MR_NAN : mr_cell_number(v->table, row, "spread_limit");
        c.out_min =
            row == MR_NONE ? MR_NAN : mr_from_canonical(MR_UNIT_MIN, mr_cell_number(v->table, row, "spread_out"));
        v->t0 = c.from < v->t0 ? c.from : v->t0;
        v->t1 = c.to > v->t1 ? c.to : v->t1;
        sample_coat(v, &c);
        give_lane(v, &c);
        MR_PUSH(v->job->arena, &v->coats, c);
    }
}

/* --- panels ------------------------------------------------------------------------------------------------ */

static struct mr_series track_series(const struct mr_climate_view *v, const struct mr_track *t, enum mr_unit unit) {
    return mr_series_of_track(v->job->arena, t, unit, v->max_gap_ms, v->t0, v->t1);
}

static const struct mr_track *track_of(const struct mr_climate_view *v, enum mr_meaning meaning, size_t k) {
    return k < HYGROMETERS_MOST ? mr_series_track(v->job->a->aligned, v->t0, v->t1, meaning, k) : NULL;
}

static void range_of(const struct mr_climate_view *v, enum mr_meaning meaning, enum mr_unit unit, double *lo,
                     double *hi) {
    const struct mr_track *t;
    for (size_t k = 0; (t = track_of(v, meaning, k)) != NULL; k++) {
        const struct mr_series s = track_series(v, t, unit);
        mr_series_range(&s, lo, hi);
    }
}

/* Further instruments are drawn thinner, in the dash of the first. */
static void draw_tracks(struct mr_drawlist *list, const struct mr_climate_view *v, const struct mr_panel *p,
                        enum mr_meaning meaning, enum mr_unit unit, struct mr_ink ink, enum mr_dash dash) {
    const struct mr_track *t;
    for (size_t k = 0; (t = track_of(v, meaning, k)) != NULL; k++) {
        const struct mr_series s = track_series(v, t, unit);
        mr_series_line(list, p, &s, ink, k ? 0.7 : 1.3, dash);
    }
}

/* Dew point of the first hygrometer, where it was logged, else worked out from its air and humidity. */
static struct mr_series dew_series(const struct mr_climate_view *v) {
    struct mr_arena *arena = v->job->arena;
    enum { POINTS = 900 };
    int64_t *t = MR_ARRAY(arena, int64_t, POINTS);
    double *dew = MR_ARRAY(arena, double, POINTS);
    for (int64_t i = 0; i < POINTS; i++) {
        t[i] = v->t0 + (v->t1 - v->t0) * i / (POINTS - 1);
        const struct mr_climate at = mr_climate_at(v->job->a->aligned, MR_NONE, t[i], v->max_gap_ms);
        dew[i] = isfinite(at.dew_c) ? at.dew_c : mr_dew_point_c(at.air_c, at.rh_pct);
    }
    return (struct mr_series){POINTS, t, dew, v->temp, INT64_MAX, v->t0, v->t1};
}

static void draw_temperatures(struct mr_drawlist *list, struct mr_placer *placer, const struct mr_climate_view *v,
                              struct mr_panel p) {
    const struct mr_series dew = dew_series(v);
    const struct mr_limit_line limits[] = {{v->air_min_c, v->temp, "air at least"},
                                           {v->air_max_c, v->temp, "air at most"},
                                           {v->steel_min_c, v->temp, "steel at least"},
                                           {v->steel_max_c, v->temp, "steel at most"}};
    p.y0 = HUGE_VAL;
    p.y1 = -HUGE_VAL;
    range_of(v, MR_M_AIR, v->temp, &p.y0, &p.y1);
    mr_series_range(&dew, &p.y0, &p.y1);
    for (size_t i = 0; i < v->coats.n; i++)
        mr_series_range(&v->coats.v[i].steel, &p.y0, &p.y1);
    const bool seen = p.y1 >= p.y0;
    mr_range_pad(&p.y0, &p.y1, 0.12, 1.0);
    mr_climate_begin(list, v, &p, mr_printf(list->arena, "temperature, %s", mr_unit_symbol(v->temp)));
    draw_tracks(list, v, &p, MR_M_AIR, v->temp, MR_INK_AMBER, MR_DASH_DOT);
    for (size_t i = 0; i < v->coats.n; i++)
        mr_series_line(list, &p, &v->coats.v[i].steel, MR_INK_BLACK, 1.1, MR_SOLID);
    mr_series_line(list, &p, &dew, MR_INK_BLUE, 1.3, MR_DOTTED);
    mr_limits_draw(list, &p, MR_COUNT(limits), limits);
    mr_climate_end(list, placer, &p, seen);
    mr_limits_name(list, placer, &p, MR_COUNT(limits), limits);
}

static void draw_humidity(struct mr_drawlist *list, struct mr_placer *placer, const struct mr_climate_view *v,
                          struct mr_panel p) {
    const struct mr_limit_line limit = {v->rh_max_pct, MR_UNIT_PCT, "humidity at most"};
    p.y0 = HUGE_VAL;
    p.y1 = -HUGE_VAL;
    range_of(v, MR_M_RH, MR_UNIT_PCT, &p.y0, &p.y1);
    const bool seen = p.y1 >= p.y0;
    if (isfinite(v->rh_max_pct)) {
        p.y0 = fmin(p.y0, v->rh_max_pct);
        p.y1 = fmax(p.y1, v->rh_max_pct);
    }
    mr_range_pad(&p.y0, &p.y1, 0.14, 2.0);
    p.y0 = fmax(p.y0, 0);
    p.y1 = fmin(p.y1, fmax(105, v->rh_max_pct));
    mr_climate_begin(list, v, &p, "humidity, %");
    draw_tracks(list, v, &p, MR_M_RH, MR_UNIT_PCT, MR_INK_PURPLE, MR_DASHED);
    mr_limits_draw(list, &p, 1, &limit);
    mr_climate_end(list, placer, &p, seen);
    mr_limits_name(list, placer, &p, 1, &limit);
}

/* --- the figure -------------------------------------------------------------------------------------------- */

static void draw_legend(struct mr_drawlist *list, const struct mr_climate_view *v, double x, double w) {
    const struct mr_legend keys[] = {{"steel", MR_INK_BLACK, MR_SOLID, 1.1, MR_DOT},
                                     {"air", MR_INK_AMBER, MR_DASH_DOT, 1.3, MR_DOT},
                                     {"dew point", MR_INK_BLUE, MR_DOTTED, 1.3, MR_DOT},
                                     {"spread", MR_INK_GREEN, MR_SOLID, 1.1, MR_DOT},
                                     {"humidity", MR_INK_PURPLE, MR_DASHED, 1.3, MR_DOT},
                                     {"limit", MR_INK_RED, MR_LONG_DASH, 0.9, MR_DOT},
                                     {"sprayed", MR_INK_PALE, MR_SOLID, 6, MR_DOT},
                                     {"2nd instrument", MR_INK_GREY, MR_DASH_DOT, 0.7, MR_DOT}};
    mr_legend_row(list, x, 46, w, MR_COUNT(keys) - (track_of(v, MR_M_AIR, 1) ? 0 : 1), keys);
}

static const char *sources_of(const struct mr_climate_view *v) {
    struct mr_sources_text set = v->sources;
    static const enum mr_meaning meanings[] = {MR_M_AIR, MR_M_RH, MR_M_DEW};
    const struct mr_track *t;
    for (size_t i = 0; i < MR_COUNT(meanings); i++)
        for (size_t k = 0; (t = track_of(v, meanings[i], k)) != NULL; k++)
            mr_source_track(v->job, &set, t, v->t0, v->t1);
    return mr_source_list(v->job, &set);
}

static const char *subtitle_of(const struct mr_climate_view *v) {
    size_t out = 0;
    for (size_t i = 0; i < v->coats.n; i++)
        out += mr_coat_misses(&v->coats.v[i]);
    return mr_printf(v->job->arena, "Spread: steel of the zone above the dew point, from lead to cure time; %s",
                     out == 0   ? "no coat misses its limit"
                     : out == 1 ? "1 coat misses its limit"
                                : mr_printf(v->job->arena, "%zu coats miss their limit", out));
}

static struct mr_drawlist *draw_climate(const struct mr_climate_view *v, const char *title) {
    const double gap = 7, lanes = MR_CLIMATE_LANE_PT * (double)(v->n_lanes ? v->n_lanes : 1) + 3;
    struct mr_panel p = {LEFT_PT, 0, mr_page_width(v->job) - LEFT_PT - 14, 0, (double)v->t0, (double)v->t1, 0, 1};
    const double top = 70 + mr_windows_strip(v->job, v->shift, &p), fixed = top + lanes + 2 * gap + 27 + MR_PAGE_FOOT;
    struct mr_drawlist *list = mr_page(v->job, fixed + 220, title, subtitle_of(v));
    struct mr_placer *placer = mr_placer_new(list);
    const double h = (list->height_pt - fixed) / 10.0;
    p.y = top;
    p.h = 4.2 * h;
    draw_legend(list, v, p.x, p.w);
    mr_windows_name(list, v->job, v->shift, &p);
    draw_temperatures(list, placer, v, p);
    p.y += p.h + gap;
    p.h = 3.4 * h;
    mr_climate_spread(list, placer, v, p);
    p.y += p.h + gap;
    p.h = 2.4 * h;
    draw_humidity(list, placer, v, p);
    p.y += p.h;
    p.h = lanes;
    mr_climate_lanes(list, v, &p);
    mr_page_end(v->job, list, sources_of(v));
    return list;
}

void mr_charts_climate(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_alignment *al = job->a->aligned;
    for (size_t i = 0; i < al->shifts.n; i++) {
        struct mr_climate_view v = {.job = job,
                                    .shift = i,
                                    .temp = job->display.temp,
                                    .rise = job->display.rise,
                                    .rh_max_pct = MR_NAN,
                                    .air_min_c = MR_NAN,
                                    .air_max_c = MR_NAN,
                                    .steel_min_c = MR_NAN,
                                    .steel_max_c = MR_NAN};
        v.max_gap_ms = (int64_t)(mr_set_num(&job->a->job->settings, MR_CLIMATE_GAP) * 1000.0);
        find_coats(&v);
        if (!track_of(&v, MR_M_AIR, 0) && !track_of(&v, MR_M_RH, 0))
            continue;
        const char *name = al->shifts.v[i].name;
        const char *title = mr_printf(job->arena, "Shift %s: climate", name);
        struct mr_chart chart = {.kind = "climate", .title = title, .zone = MR_NONE, .list = draw_climate(&v, title)};
        chart.alt = mr_printf(job->arena,
                              "Air, steel and dew point temperature, dew-point spread and relative humidity over "
                              "shift %s, with the time in which each coat is judged.",
                              name);
        mr_chart_add(job, out, chart, mr_printf(job->arena, "climate-%s", mr_slug(job->arena, name)));
    }
}
