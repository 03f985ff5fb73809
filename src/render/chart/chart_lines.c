/*
 * chart_lines.c - the lines over one shift: each line's pressure in a panel of its own with the tolerance of
 * imbalance about the mean that was judged, the main pressure with its limits, the imbalance of each window against
 * its limit, and each event that does not conform drawn large.
 *
 * Levels, means and events come from the checks and the tables of lines; only the curves are drawn from the log.
 */
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"
#include "render/plot/chart_windows.h"
#include "render/plot/place.h"

#include <math.h>
#include <string.h>

enum { MINUTE_MS = 60000, GAP_MS = 60000, TRACKS_MOST = 3, INSETS_MOST = 3, LISTED_MOST = 12 };

#define INSET_H 84.0
#define LEFT_PT 52.0

struct lines_view {
    const struct mr_chart_job *job;
    size_t shift;
    int64_t t0, t1;
    enum mr_unit unit;
    double imbalance_max_pct;                       /* strictest of the shift's checks; NaN */
    size_t n_events, events[LISTED_MOST], left_out; /* rows of the table of events */
    const struct mr_table *table;
};

static const struct line_look {
    enum mr_meaning meaning;
    const char *name;
    struct mr_ink ink;
    enum mr_dash dash;
} looks[] = {{MR_M_LINE_A, "line A", {0x00, 0x3f, 0x6b}, MR_SOLID},
             {MR_M_LINE_B, "line B", {0xc0, 0x64, 0x18}, MR_DASHED},
             {MR_M_MAIN, "main", {0x5e, 0x5e, 0x5e}, MR_DOTTED}};

static const struct mr_track *track_of(const struct lines_view *v, size_t look, size_t k) {
    return k < TRACKS_MOST ? mr_series_track(v->job->a->aligned, v->t0, v->t1, looks[look].meaning, k) : NULL;
}

static struct mr_series series_of(const struct lines_view *v, const struct mr_track *t, int64_t t0, int64_t t1) {
    return mr_series_of_track(v->job->arena, t, v->unit, GAP_MS, t0, t1);
}

/* The band in which two lines may differ: half the tolerance to either side of the mean of both, window by window. */
static void draw_tolerance(struct mr_drawlist *list, const struct lines_view *v, const struct mr_panel *p) {
    const struct mr_table *t = mr_find_table(v->job->a, "line-pressures");
    for (size_t r = 0; t && r < t->n_rows; r++) {
        const int64_t from = mr_cell_time(t, r, "start"), to = mr_cell_time(t, r, "stop");
        const double mean = (mr_cell_number(t, r, "mean_a") + mr_cell_number(t, r, "mean_b")) / 2;
        if (from < v->t0 || to > v->t1 || from == MR_T_NONE || !isfinite(mean) || !isfinite(v->imbalance_max_pct))
            continue;
        const double half = mean * v->imbalance_max_pct / 200;
        const double low = mr_panel_y(p, mr_from_canonical(v->unit, mean - half)),
                     high = mr_panel_y(p, mr_from_canonical(v->unit, mean + half)), x0 = mr_panel_x(p, (double)from),
                     x1 = mr_panel_x(p, (double)to);
        mr_draw_rect(list, MR_INK_BAND, x0, high, fmax(x1 - x0, 0.8), low - high);
    }
}

static double setting(const struct lines_view *v, enum mr_setting_id id) {
    return mr_from_canonical(v->unit, mr_set_num(&v->job->a->job->settings, id));
}

/* A limit that is drawn is named: beside its line, or below the plot. */
static void name_limit(struct mr_drawlist *list, struct mr_placer *placer, const struct mr_panel *p, double level,
                       const char *of, const char *text) {
    const struct mr_room room = {p->x, p->y, p->w, p->h};
    if (!mr_label_level(placer, room, MR_INK_RED, mr_panel_y(p, level), text))
        mr_tell(list, mr_printf(list->arena, "Limit of the %s (dashed): %s.", of, text));
}

static void draw_pressure(struct mr_drawlist *list, struct mr_placer *placer, const struct lines_view *v,
                          struct mr_panel p, size_t look) {
    const struct mr_track *t;
    p.y0 = 0;
    p.y1 = setting(v, MR_MAIN_MAX);
    for (size_t k = 0; (t = track_of(v, look, k)) != NULL; k++) {
        const struct mr_series s = series_of(v, t, v->t0, v->t1);
        mr_series_range(&s, &p.y0, &p.y1);
    }
    if (!isfinite(p.y1))
        p.y1 = 1;
    mr_range_pad(&p.y0, &p.y1, 0.06, 1e-3);
    p.y0 = p.y0 < 0 && p.y0 > -0.1 * p.y1 ? 0 : p.y0;
    mr_windows_shade(list, v->job, v->shift, &p);
    if (looks[look].meaning != MR_M_MAIN)
        draw_tolerance(list, v, &p);
    mr_axis_left(list, &p, mr_printf(list->arena, "%s, %s", looks[look].name, mr_unit_symbol(v->unit)));
    mr_axis_time(list, &p, v->job, false);
    mr_draw_clip(list, p.x, p.y, p.w, p.h);
    for (size_t k = 0; (t = track_of(v, look, k)) != NULL; k++) {
        const struct mr_series s = series_of(v, t, v->t0, v->t1);
        mr_series_line(list, &p, &s, looks[look].ink, 0.9, k > 0 ? MR_DASHED : MR_SOLID);
    }
    const bool limits = looks[look].meaning == MR_M_MAIN;
    const double low = setting(v, MR_MAIN_MIN), high = setting(v, MR_MAIN_MAX);
    if (limits) {
        mr_level(list, &p, MR_INK_RED, MR_DASHED, low);
        mr_level(list, &p, MR_INK_RED, MR_DASHED, high);
    }
    mr_draw_unclip(list);
    mr_panel_frame(list, &p);
    struct mr_arena *arena = list->arena;
    if (limits && isfinite(low))
        name_limit(list, placer, &p, low, "main",
                   mr_printf(arena, "at least %s", mr_short_text(arena, mr_to_canonical(v->unit, low), v->unit)));
    if (limits && isfinite(high))
        name_limit(list, placer, &p, high, "main",
                   mr_printf(arena, "at most %s", mr_short_text(arena, mr_to_canonical(v->unit, high), v->unit)));
}

static const struct mr_check *imbalance_check(const struct lines_view *v, const struct mr_window *w) {
    for (size_t i = 0; i < v->job->a->checks.n; i++) {
        const struct mr_check *c = &v->job->a->checks.v[i];
        if (c->zone == w->zone && c->coat == w->coat && strcmp(c->id, "lines.imbalance") == 0)
            return c;
    }
    return NULL;
}

/* The difference that each window held, as it was judged, against the limit. */
static void draw_imbalance(struct mr_drawlist *list, struct mr_placer *placer, const struct lines_view *v,
                           struct mr_panel p) {
    const struct mr_alignment *al = v->job->a->aligned;
    p.y0 = 0;
    p.y1 = isfinite(v->imbalance_max_pct) ? v->imbalance_max_pct : 1;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_check *c = al->windows.v[i].shift == v->shift ? imbalance_check(v, &al->windows.v[i]) : NULL;
        p.y1 = fmax(p.y1, c ? fabs(c->measured) : 0);
    }
    p.y1 *= 1.3;
    mr_axis_left(list, &p, "imbalance, %");
    mr_axis_time(list, &p, v->job, true);
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        const struct mr_check *c = w->shift == v->shift ? imbalance_check(v, w) : NULL;
        if (!c || !isfinite(c->measured))
            continue;
        const bool bad = c->outcome == MR_DOES_NOT_CONFORM;
        const double x0 = mr_panel_x(&p, (double)w->t0_utc_ms), y = mr_panel_y(&p, fabs(c->measured)),
                     x1 = fmax(mr_panel_x(&p, (double)w->t1_utc_ms), x0 + 0.8), h = p.y + p.h - y;
        mr_draw_rect(list, bad ? MR_INK_ROSE : MR_INK_PALE, x0, y, x1 - x0, h);
        if (bad)
            mr_draw_hatch(list, MR_INK_RED, 0.5, x0, y, x1 - x0, h);
        mr_draw_box(list, bad ? MR_INK_RED : MR_INK_BLUE, 0.6, x0, y, x1 - x0, h);
    }
    mr_level(list, &p, MR_INK_RED, MR_DASHED, v->imbalance_max_pct);
    mr_panel_frame(list, &p);
    if (isfinite(v->imbalance_max_pct))
        name_limit(
            list, placer, &p, v->imbalance_max_pct, "imbalance",
            mr_printf(list->arena, "at most %s", mr_short_text(list->arena, v->imbalance_max_pct, MR_UNIT_PCT)));
}

/* --- events ------------------------------------------------------------------------------------------------ */

static bool is_pause(const char *kind) {
    return strncmp(kind, "pause", 5) == 0;
}

static void find_events(struct lines_view *v) {
    const struct mr_table *t = v->table = mr_find_table(v->job->a, "line-events");
    for (size_t r = 0; t && r < t->n_rows; r++) {
        const int64_t from = mr_cell_time(t, r, "start");
        if (from == MR_T_NONE || from < v->t0 || from > v->t1 || is_pause(mr_cell_text(t, r, "kind")))
            continue;
        if (v->n_events < LISTED_MOST)
            v->events[v->n_events++] = r;
        else
            v->left_out++;
    }
}

/* The event in the words and figures of its row. */
static const char *event_text(const struct lines_view *v, size_t r) {
    struct mr_arena *arena = v->job->arena;
    const struct mr_table *t = v->table;
    const int64_t from = mr_cell_time(t, r, "start");
    const double share = mr_cell_number(t, r, "extreme_share"), extreme = mr_cell_number(t, r, "extreme");
    const char *figure = "";
    if (isfinite(extreme))
        figure = mr_printf(arena, ", %s (limit %s)", mr_shown(arena, extreme, v->unit, 1),
                           mr_shown(arena, mr_cell_number(t, r, "limit"), v->unit, 1));
    else if (isfinite(share))
        figure = mr_printf(arena, ", %s (limit %s)", mr_shown(arena, share, MR_UNIT_PCT, 1),
                           mr_shown(arena, mr_cell_number(t, r, "limit_share"), MR_UNIT_PCT, 1));
    return mr_printf(arena, "%s, %s s: %s on %s%s, %s, coat %d", mr_clock_text(v->job, from, true),
                     mr_figure_text(arena, mr_cell_number(t, r, "duration_s"), 0), mr_cell_text(t, r, "kind"),
                     mr_cell_text(t, r, "line"), figure, mr_cell_text(t, r, "zone"),
                     (int)mr_cell_count(t, r, "coat"));
}

static void draw_event_lane(struct mr_drawlist *list, struct mr_placer *placer, const struct lines_view *v,
                            const struct mr_panel *p) {
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_RIGHT, false, false}, p->x - 5,
                 p->y + p->h / 2 + 2.3, "events");
    mr_panel_frame(list, p);
    for (size_t i = 0; i < v->n_events; i++)
        mr_draw_mark(list, MR_INK_RED, MR_DOWN, 6,
                     mr_panel_x(p, (double)mr_cell_time(v->table, v->events[i], "start")), p->y + p->h / 2);
    for (size_t i = 0; i < v->n_events; i++) {
        const struct mr_point at = {mr_panel_x(p, (double)mr_cell_time(v->table, v->events[i], "start")),
                                    p->y + p->h / 2};
        mr_tell(list, mr_printf(list->arena, "Event %zu: %s", i + 1, event_text(v, v->events[i])));
        mr_label_point(placer, (struct mr_room){p->x, p->y + 0.5, p->w, p->h - 1},
                       (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_MIDDLE, true, false}, at, 3.6,
                       mr_printf(list->arena, "%zu", i + 1));
    }
    if (v->left_out)
        mr_tell(list, mr_printf(list->arena, "%zu more on the sheet Line events", v->left_out));
}

/* Both lines around one event, with the level that it passed. */
static void draw_inset(struct mr_drawlist *list, struct mr_placer *placer, const struct lines_view *v,
                       struct mr_panel p, size_t row, size_t number) {
    struct mr_arena *arena = list->arena;
    const int64_t from = mr_cell_time(v->table, row, "start"), stop = mr_cell_time(v->table, row, "stop");
    const int64_t to = stop == MR_T_NONE ? from : stop, pad = (to - from) / 2 > 15000 ? (to - from) / 2 : 15000;
    const double limit = mr_from_canonical(v->unit, mr_cell_number(v->table, row, "limit"));
    const struct mr_track *t;
    p.x0 = (double)(from - pad);
    p.x1 = (double)(to + pad);
    p.y0 = isfinite(limit) ? limit : HUGE_VAL;
    p.y1 = isfinite(limit) ? limit : -HUGE_VAL;
    for (size_t m = 0; m < MR_COUNT(looks); m++)
        for (size_t k = 0; (t = track_of(v, m, k)) != NULL; k++) {
            const struct mr_series s = series_of(v, t, from - pad, to + pad);
            mr_series_range(&s, &p.y0, &p.y1);
        }
    mr_range_pad(&p.y0, &p.y1, 0.12, 1.0);
    mr_draw_rect(list, MR_INK_ROSE, mr_panel_x(&p, (double)from), p.y,
                 mr_panel_x(&p, (double)to) - mr_panel_x(&p, (double)from), p.h);
    mr_axis_left(list, &p, mr_unit_symbol(v->unit));
    mr_axis_time(list, &p, v->job, true);
    mr_draw_clip(list, p.x, p.y, p.w, p.h);
    for (size_t m = 0; m < MR_COUNT(looks); m++)
        for (size_t k = 0; (t = track_of(v, m, k)) != NULL; k++) {
            const struct mr_series s = series_of(v, t, from - pad, to + pad);
            mr_series_line(list, &p, &s, looks[m].ink, 1.3, looks[m].dash);
        }
    mr_level(list, &p, MR_INK_RED, MR_LONG_DASH, limit);
    mr_draw_unclip(list);
    mr_panel_frame(list, &p);
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_LEFT, true, false}, p.x, p.y - 4,
                 mr_printf(arena, "event %zu", number));
    if (isfinite(limit))
        name_limit(list, placer, &p, limit, mr_printf(arena, "event %zu", number),
                   mr_printf(arena, "limit %s", mr_shown(arena, mr_to_canonical(v->unit, limit), v->unit, 1)));
}

static void draw_insets(struct mr_drawlist *list, struct mr_placer *placer, const struct lines_view *v, double y) {
    const size_t n = v->n_events < INSETS_MOST ? v->n_events : INSETS_MOST;
    const double whole = list->width_pt - 14 - 6, each = fmin(whole / (double)(n ? n : 1), whole / 2);
    for (size_t i = 0; i < n; i++) {
        const struct mr_panel p = {6 + each * (double)i + 46, y + 12, each - 56, INSET_H - 12, 0, 1, 0, 1};
        draw_inset(list, placer, v, p, v->events[i], i + 1);
    }
}

/* --- the figure -------------------------------------------------------------------------------------------- */

static const char *sources_of(const struct lines_view *v) {
    struct mr_sources_text set = {0};
    const struct mr_track *t;
    for (size_t m = 0; m < MR_COUNT(looks); m++)
        for (size_t k = 0; (t = track_of(v, m, k)) != NULL; k++)
            mr_source_track(v->job, &set, t, v->t0, v->t1);
    return mr_source_list(v->job, &set);
}

static void draw_legend(struct mr_drawlist *list, const struct lines_view *v, double x, double w) {
    struct mr_legend keys[7];
    size_t n = 0;
    for (size_t m = 0; m < MR_COUNT(looks); m++)
        if (track_of(v, m, 0))
            keys[n++] =
                (struct mr_legend){looks[m].name, looks[m].ink, v->n_events ? looks[m].dash : MR_SOLID, 1.6, MR_DOT};
    keys[n++] = (struct mr_legend){"limit", MR_INK_RED, MR_DASHED, 0.9, MR_DOT};
    keys[n++] = (struct mr_legend){"sprayed", MR_INK_SHADE, MR_SOLID, 7, MR_DOT};
    if (isfinite(v->imbalance_max_pct))
        keys[n++] = (struct mr_legend){"imbalance tolerated", MR_INK_BAND, MR_SOLID, 7, MR_DOT};
    if (v->n_events)
        keys[n++] = (struct mr_legend){"event", MR_INK_RED, MR_SOLID, 0, MR_DOWN};
    mr_legend_row(list, x, 46, w, n, keys);
}

static struct mr_drawlist *draw_lines(struct lines_view *v, const char *title) {
    const bool with_main = track_of(v, 2, 0) != NULL;
    const size_t n_panels = with_main ? 3 : 2;
    const double insets = v->n_events ? INSET_H + 34 : 0;
    struct mr_panel p = {LEFT_PT, 0, mr_page_width(v->job) - LEFT_PT - 14, 0, (double)v->t0, (double)v->t1, 0, 1};
    const double top = 60 + mr_windows_strip(v->job, v->shift, &p), fixed = top + 13 + 28 + insets + MR_PAGE_FOOT;
    struct mr_drawlist *list =
        mr_page(v->job, fixed + 62.0 * (double)(n_panels + 1), title,
                v->n_events == 1 ? "1 event does not conform"
                : v->n_events    ? mr_printf(v->job->arena, "%zu events do not conform", v->n_events + v->left_out)
                                 : "No event that does not conform");
    struct mr_placer *placer = mr_placer_new(list);
    const double each = (list->height_pt - fixed) / (double)(n_panels + 1), gap = 7;
    p.y = top;
    p.h = each - gap;
    draw_legend(list, v, p.x, p.w);
    mr_windows_name(list, v->job, v->shift, &p);
    for (size_t m = 0; m < n_panels; m++) {
        draw_pressure(list, placer, v, p, m);
        p.y += each;
    }
    const struct mr_panel lane = {p.x, p.y, p.w, 13, p.x0, p.x1, 0, 1};
    draw_event_lane(list, placer, v, &lane);
    p.y += 13;
    draw_imbalance(list, placer, v, p);
    if (v->n_events)
        draw_insets(list, placer, v, p.y + p.h + 32);
    mr_page_end(v->job, list, sources_of(v));
    return list;
}

static void take_limit(struct lines_view *v) {
    v->imbalance_max_pct = MR_NAN;
    const struct mr_alignment *al = v->job->a->aligned;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_check *c = al->windows.v[i].shift == v->shift ? imbalance_check(v, &al->windows.v[i]) : NULL;
        if (c && isfinite(c->limit_high) && !(v->imbalance_max_pct <= c->limit_high))
            v->imbalance_max_pct = c->limit_high;
    }
}

void mr_charts_lines(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_alignment *al = job->a->aligned;
    for (size_t i = 0; i < al->shifts.n; i++) {
        struct lines_view v = {.job = job,
                               .shift = i,
                               .t0 = al->shifts.v[i].t0_utc_ms - 20LL * MINUTE_MS,
                               .t1 = al->shifts.v[i].t1_utc_ms + 20LL * MINUTE_MS,
                               .unit = job->display.pressure};
        if (!track_of(&v, 0, 0) && !track_of(&v, 1, 0))
            continue;
        take_limit(&v);
        find_events(&v);
        const char *name = al->shifts.v[i].name;
        const char *title = mr_printf(job->arena, "Shift %s: line pressures", name);
        struct mr_chart chart = {.kind = "lines", .title = title, .zone = MR_NONE, .list = draw_lines(&v, title)};
        chart.alt =
            mr_printf(job->arena,
                      "Pressures of line A, line B and, where it was logged, the main over shift %s, with the "
                      "imbalance of each spray window; events that do not conform: %zu.",
                      name, v.n_events + v.left_out);
        mr_chart_add(job, out, chart, mr_printf(job->arena, "lines-%s", mr_slug(job->arena, name)));
    }
}
