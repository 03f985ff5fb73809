/*
 * chart_lines.c - the pressures of both lines over one shift, with the main pressure and its band, windows shaded,
 * and below them what the assessment found: dropouts, surges, lines apart.
 */
#include "render/chart/charts.h"

#include <math.h>

enum { MINUTE_MS = 60000, GAP_MS = 60000, TRACKS_MOST = 3 };

struct lines_view {
    const struct mr_chart_job *job;
    size_t shift;
    int64_t t0, t1;
    enum mr_unit unit;
};

static const struct {
    enum mr_meaning meaning;
    const char *name;
    struct mr_ink ink;
    enum mr_dash dash;
} kinds[] = {{MR_M_MAIN, "main", {0x5e, 0x5e, 0x5e}, MR_DOTTED},
             {MR_M_LINE_A, "line A", {0x00, 0x72, 0xb2}, MR_SOLID},
             {MR_M_LINE_B, "line B", {0xd5, 0x5e, 0x00}, MR_SOLID}};

static struct mr_series series_of(const struct lines_view *v, const struct mr_track *t) {
    return (struct mr_series){t->n, t->t_utc_ms, t->value, v->unit, GAP_MS, v->t0, v->t1};
}

static void draw_tracks(struct mr_drawlist *list, const struct lines_view *v, const struct mr_panel *p,
                        struct mr_sources_text *set) {
    for (size_t m = 0; m < MR_COUNT(kinds); m++) {
        const struct mr_track *t;
        for (size_t k = 0;
             k < TRACKS_MOST && (t = mr_series_track(v->job->a->aligned, v->t0, v->t1, kinds[m].meaning, k)); k++) {
            struct mr_series s = series_of(v, t);
            mr_series_line(list, p, &s, kinds[m].ink, 0.9,
                           kinds[m].dash == MR_SOLID && k > 0 ? MR_DASHED : kinds[m].dash);
            mr_source_track(v->job, set, t, v->t0, v->t1);
        }
    }
}

static void shade_windows(struct mr_drawlist *list, const struct lines_view *v, const struct mr_panel *p) {
    const struct mr_alignment *al = v->job->a->aligned;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift != v->shift)
            continue;
        const double x0 = mr_panel_x(p, (double)w->t0_utc_ms), x1 = mr_panel_x(p, (double)w->t1_utc_ms);
        mr_draw_rect(list, MR_INK_SHADE, x0, p->y, fmax(x1 - x0, 0.8), p->h);
    }
}

/* The strip of events: a mark each, by outcome. */
static void draw_events(struct mr_drawlist *list, const struct lines_view *v, const struct mr_panel *p) {
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_RIGHT, false, false}, p->x - 5,
                 p->y + p->h / 2 + 2.3, "events");
    for (size_t i = 0; i < v->job->a->timeline.n; i++) {
        const struct mr_shift_event *s = &v->job->a->timeline.v[i];
        if (s->shift != v->shift || s->kind != MR_EVENT_LINE || s->t0_utc_ms == MR_T_NONE)
            continue;
        const bool bad = s->outcome == MR_DOES_NOT_CONFORM;
        mr_draw_mark(list, mr_outcome_ink(s->outcome), bad ? MR_DOWN : MR_SQUARE, 6,
                     mr_panel_x(p, (double)s->t0_utc_ms), p->y + p->h / 2);
    }
    mr_panel_frame(list, p);
}

static void find_range(const struct lines_view *v, struct mr_panel *p) {
    p->y0 = 0;
    p->y1 = -HUGE_VAL;
    for (size_t m = 0; m < MR_COUNT(kinds); m++) {
        const struct mr_track *t;
        for (size_t k = 0;
             k < TRACKS_MOST && (t = mr_series_track(v->job->a->aligned, v->t0, v->t1, kinds[m].meaning, k)); k++) {
            struct mr_series s = series_of(v, t);
            mr_series_range(&s, &p->y0, &p->y1);
        }
    }
    p->y1 = fmax(p->y1, mr_from_canonical(
                            v->unit, mr_set_num(&v->job->a->job->settings, MR_MAIN_MAX))); /* fmax passes over NaN */
    mr_range_pad(&p->y0, &p->y1, 0.06, 1e-3);
    p->y0 = p->y0 < 0 && p->y0 > -0.1 * p->y1 ? 0 : p->y0;
}

static void limit(struct mr_drawlist *list, const struct lines_view *v, const struct mr_panel *p, const char *what,
                  enum mr_setting_id id) {
    const double value = mr_set_num(&v->job->a->job->settings, id);
    if (isfinite(value) && mr_series_track(v->job->a->aligned, v->t0, v->t1, MR_M_MAIN, 0))
        mr_level(list, p, MR_INK_BLACK, MR_DASHED, mr_from_canonical(v->unit, value),
                 mr_printf(list->arena, "%s %s", what, mr_short_text(list->arena, value, v->unit)));
}

static struct mr_drawlist *draw_lines(const struct lines_view *v, const char *title) {
    struct mr_sources_text set = {0};
    for (size_t m = 0; m < MR_COUNT(kinds); m++) {
        const struct mr_track *t;
        for (size_t k = 0;
             k < TRACKS_MOST && (t = mr_series_track(v->job->a->aligned, v->t0, v->t1, kinds[m].meaning, k)); k++)
            mr_source_track(v->job, &set, t, v->t0, v->t1);
    }
    struct mr_drawlist *list =
        mr_page(v->job, 0, title, "Shaded: spraying. The sheets Findings and Line events list the events.",
                mr_source_list(v->job, &set));
    const double strip_h = 13, top = 58;
    struct mr_panel p = {52,
                         top,
                         list->width_pt - 52 - 14,
                         list->height_pt - top - MR_PAGE_FOOT - 27 - strip_h,
                         (double)v->t0,
                         (double)v->t1,
                         0,
                         1};
    find_range(v, &p);
    shade_windows(list, v, &p);
    mr_axis_left(list, &p, mr_printf(list->arena, "pressure, %s", mr_unit_symbol(v->unit)));
    mr_axis_time(list, &p, v->job, false);
    mr_draw_clip(list, p.x, p.y, p.w, p.h);
    draw_tracks(list, v, &p, &set);
    limit(list, v, &p, "main at least", MR_MAIN_MIN);
    limit(list, v, &p, "main at most", MR_MAIN_MAX);
    mr_draw_unclip(list);
    mr_panel_frame(list, &p);
    struct mr_panel strip = {p.x, p.y + p.h, p.w, strip_h, p.x0, p.x1, 0, 1};
    mr_axis_time(list, &strip, v->job, true);
    draw_events(list, v, &strip);
    const struct mr_legend keys[] = {{kinds[1].name, kinds[1].ink, MR_SOLID, 1.6, MR_DOT},
                                     {kinds[2].name, kinds[2].ink, MR_SOLID, 1.6, MR_DOT},
                                     {"event, does not conform", MR_INK_RED, MR_SOLID, 0, MR_DOWN},
                                     {kinds[0].name, kinds[0].ink, MR_DOTTED, 1.6, MR_DOT}};
    mr_legend_row(list, p.x, p.y - 7, p.w,
                  MR_COUNT(keys) - (mr_series_track(v->job->a->aligned, v->t0, v->t1, MR_M_MAIN, 0) ? 0 : 1), keys);
    return list;
}

void mr_charts_lines(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_alignment *al = job->a->aligned;
    for (size_t i = 0; i < al->shifts.n; i++) {
        const struct lines_view v = {job, i, al->shifts.v[i].t0_utc_ms - 20LL * MINUTE_MS,
                                     al->shifts.v[i].t1_utc_ms + 20LL * MINUTE_MS, job->display.pressure};
        if (!mr_series_track(v.job->a->aligned, v.t0, v.t1, MR_M_LINE_A, 0) &&
            !mr_series_track(v.job->a->aligned, v.t0, v.t1, MR_M_LINE_B, 0))
            continue;
        const char *name = al->shifts.v[i].name;
        const char *title = mr_printf(job->arena, "Shift %s: line pressures", name);
        struct mr_chart chart = {.kind = "lines", .title = title, .zone = MR_NONE, .list = draw_lines(&v, title)};
        chart.alt = mr_printf(
            job->arena, "Pressures of line A and line B, and the main pressure where it was logged, over shift %s.",
            name);
        mr_chart_add(job, out, chart, mr_printf(job->arena, "lines-%s", mr_slug(job->arena, name)));
    }
}
