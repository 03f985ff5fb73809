/*
 * chart_coats.c - the heat of a zone's coats from their onsets: each rise above its fitted baseline over the minutes
 * since the onset, and beside it the rise that was judged with its interval and the band for that coat and steel.
 */
#include "render/chart/chart_heat.h"
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"

#include <math.h>
#include <string.h>

enum { COATS_MOST = MR_PROBES_MOST, CURVE_POINTS = 240, LEAD_MS = 60000, MINUTE_MS = 60000 };

#define MARK_PT 5.5

static const struct mr_ink sample_ink = {0x80, 0x80, 0x80};

struct coat_heat {
    int coat;
    const struct mr_heat_event *event; /* NULL: no curve fits */
    double rise_k, rise_95_k, low_k, high_k;
    enum mr_outcome outcome;
};

struct coats_view {
    const struct mr_chart_job *job;
    const char *zone;
    enum mr_unit rise;
    size_t n, fitted; /* coats, and those with a curve */
    struct coat_heat coat[COATS_MOST];
    double lo, hi;
    int64_t longest_ms;
};

/* The event behind a row of the table of heat by coat: fitted, of its window and channel. */
static const struct mr_heat_event *event_of(const struct mr_assessment *a, size_t zone, const struct mr_table *t,
                                            size_t row) {
    const int coat = (int)mr_cell_count(t, row, "coat");
    for (size_t i = 0; i < a->heats.n; i++) {
        const struct mr_heat_event *e = &a->heats.v[i];
        if (e->zone != zone || e->coat != coat || e->gun || e->fit != MR_FIT_OK ||
            e->window >= a->aligned->windows.n || e->track >= a->aligned->tracks.n)
            continue;
        if (a->aligned->windows.v[e->window].t0_utc_ms == mr_cell_time(t, row, "start") &&
            strcmp(a->aligned->tracks.v[e->track].channel, mr_cell_text(t, row, "channel")) == 0)
            return e;
    }
    return NULL;
}

static double shown(const struct coats_view *v, double k) {
    return mr_from_canonical(v->rise, k);
}

/* Samples above the fitted baseline, in ms since the onset. */
static struct mr_series samples_of(const struct coats_view *v, const struct mr_heat_event *e) {
    const struct mr_track *t = &v->job->a->aligned->tracks.v[e->track];
    const size_t from = mr_track_first(t, e->t_onset - LEAD_MS), to = mr_track_first(t, e->t_end);
    const size_t n = to > from ? to - from : 0;
    double *k = MR_ARRAY(v->job->arena, double, n + 1);
    int64_t *since = MR_ARRAY(v->job->arena, int64_t, n + 1);
    for (size_t i = 0; i < n; i++) {
        since[i] = mr_track_ms(t, from + i) - e->t_onset;
        k[i] = mr_track_value(t, from + i) - mr_heat_without_c(e, mr_track_ms(t, from + i));
    }
    return (struct mr_series){n, since, k, v->rise, INT64_MAX, -LEAD_MS, INT64_MAX};
}

static void draw_fit(struct mr_drawlist *list, const struct coats_view *v, const struct mr_panel *p, size_t i) {
    const struct mr_heat_event *e = v->coat[i].event;
    struct mr_point *point = MR_ARRAY(list->arena, struct mr_point, CURVE_POINTS + 1);
    size_t n = 0;
    for (int64_t k = 0; k <= CURVE_POINTS; k++) {
        const int64_t t = e->t_onset + (e->t_end - e->t_onset) * k / CURVE_POINTS;
        const double rise = mr_heat_model_c(e, t) - mr_heat_without_c(e, t);
        if (isfinite(rise))
            point[n++] = (struct mr_point){mr_panel_x(p, (double)(t - e->t_onset)), mr_panel_y(p, shown(v, rise))};
    }
    mr_draw_line(list, mr_heat_looks[i].ink, 1.5, mr_heat_looks[i].dash, n, point);
}

/* What was judged: the band as a bar, the rise as the coat's mark with its interval. An open band ends at the frame.
 */
static void draw_judged(struct mr_drawlist *list, const struct coats_view *v, const struct mr_panel *p) {
    const double w = p->w / (double)v->n;
    for (size_t i = 0; i < v->n; i++) {
        const struct coat_heat *c = &v->coat[i];
        const double x = p->x + w * ((double)i + 0.5), y = mr_panel_y(p, shown(v, c->rise_k));
        const double top = isfinite(c->high_k) ? mr_panel_y(p, shown(v, c->high_k)) : p->y,
                     foot = isfinite(c->low_k) ? mr_panel_y(p, shown(v, c->low_k)) : p->y + p->h;
        if (isfinite(c->low_k) || isfinite(c->high_k)) {
            mr_draw_rect(list, MR_INK_BAND, x - 7, top, 14, foot - top);
            mr_draw_segment(list, MR_INK_GREY, 0.8, MR_SOLID, x - 7, foot, x + 7, foot);
            mr_draw_segment(list, MR_INK_GREY, 0.8, MR_SOLID, x - 7, top, x + 7, top);
        }
        if (isfinite(c->rise_95_k)) {
            const double high = mr_panel_y(p, shown(v, c->rise_k + c->rise_95_k)),
                         low = mr_panel_y(p, shown(v, c->rise_k - c->rise_95_k));
            mr_draw_segment(list, MR_INK_BLACK, 0.9, MR_SOLID, x, low, x, high);
            for (int k = 0; k < 2 && low - high > MARK_PT; k++) /* a narrower interval lies within the mark */
                mr_draw_segment(list, MR_INK_BLACK, 0.9, MR_SOLID, x - 3.5, k ? high : low, x + 3.5, k ? high : low);
        }
        if (isfinite(y))
            mr_draw_mark(list, mr_heat_looks[i].ink, mr_heat_looks[i].mark, MARK_PT, x, y);
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TICK, MR_MIDDLE, false, false}, x, p->y + p->h + 11,
                     mr_printf(list->arena, "%d", c->coat));
    }
    mr_panel_frame(list, p);
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_LABEL, MR_MIDDLE, false, false}, p->x + p->w / 2,
                 p->y + p->h + 22, "coat");
}

static const char *rise_text(const struct coats_view *v, const struct coat_heat *c) {
    struct mr_arena *arena = v->job->arena;
    const char *rise = isfinite(c->rise_k) ? mr_rise_text(arena, v->rise, c->rise_k, c->rise_95_k) : "not determined";
    return mr_printf(arena, "coat %d: rise %s, %s%s", c->coat, rise, mr_outcome_text(c->outcome),
                     c->event ? "" : " (no curve fits)");
}

static void draw_legends(struct mr_drawlist *list, const struct coats_view *v) {
    struct mr_legend keys[COATS_MOST + 1];
    for (size_t i = 0; i < v->n; i++)
        keys[i] =
            (struct mr_legend){rise_text(v, &v->coat[i]), mr_heat_looks[i].ink, mr_heat_looks[i].dash, 1.5, MR_DOT};
    keys[v->n] = (struct mr_legend){"band for coat and steel", MR_INK_BAND, MR_SOLID, 7, MR_DOT};
    mr_legend_row(list, 12, 45, list->width_pt - 24, v->n + 1, keys);
}

static struct mr_drawlist *draw_figure(struct coats_view *v) {
    struct mr_sources_text set = {0};
    struct mr_series samples[COATS_MOST];
    v->lo = 0;
    v->hi = -HUGE_VAL;
    v->longest_ms = 0;
    for (size_t i = 0; i < v->n; i++) {
        const struct coat_heat *c = &v->coat[i];
        const struct mr_heat_event *e = c->event;
        mr_widen(&v->lo, &v->hi, shown(v, c->low_k));
        mr_widen(&v->lo, &v->hi, shown(v, c->high_k));
        mr_widen(&v->lo, &v->hi, shown(v, c->rise_k + (isfinite(c->rise_95_k) ? c->rise_95_k : 0)));
        mr_widen(&v->lo, &v->hi, shown(v, c->rise_k - (isfinite(c->rise_95_k) ? c->rise_95_k : 0)));
        samples[i] = (struct mr_series){0};
        if (!e)
            continue;
        mr_source_track(v->job, &set, &v->job->a->aligned->tracks.v[e->track], e->t_onset, e->t_end);
        samples[i] = samples_of(v, e);
        mr_series_range(&samples[i], &v->lo, &v->hi);
        if (e->t_end - e->t_onset > v->longest_ms)
            v->longest_ms = e->t_end - e->t_onset;
    }
    mr_range_pad(&v->lo, &v->hi, 0.08, 0.5);
    struct mr_drawlist *list = mr_page_named(v->job, 0, v->zone, ": heat of each coat from its onset",
                                             "Rise above the fitted baseline; dots are samples, lines the fit; "
                                             "right: rise as judged, with its 95 % interval");
    const double side = 26.0 * (double)v->n + 14, top = v->n > 2 ? 74 : 62;
    struct mr_panel p = {52,
                         top,
                         list->width_pt - 52 - side - 28,
                         list->height_pt - top - MR_PAGE_FOOT - 27,
                         -(double)LEAD_MS,
                         (double)v->longest_ms * 1.02,
                         v->lo,
                         v->hi};
    draw_legends(list, v);
    mr_axis_left(list, &p, mr_printf(list->arena, "rise, %s", mr_unit_symbol(v->rise)));
    struct mr_panel minutes = p;
    minutes.x0 /= MINUTE_MS;
    minutes.x1 /= MINUTE_MS;
    mr_axis_bottom(list, &minutes, "minutes since the onset", true);
    mr_draw_segment(list, MR_INK_BLACK, 0.7, MR_DASHED, p.x, mr_panel_y(&p, 0), p.x + p.w, mr_panel_y(&p, 0));
    mr_draw_clip(list, p.x, p.y, p.w, p.h);
    for (size_t i = 0; i < v->n; i++)
        if (v->coat[i].event)
            mr_series_dots(list, &p, &samples[i], sample_ink, 1.2);
    for (size_t i = 0; i < v->n; i++)
        if (v->coat[i].event)
            draw_fit(list, v, &p, i);
    mr_draw_unclip(list);
    mr_panel_frame(list, &p);
    p.x += p.w + 12;
    p.w = side;
    draw_judged(list, v, &p);
    mr_page_end(v->job, list, mr_source_list(v->job, &set));
    return list;
}

static void add_figure(const struct mr_chart_job *job, mr_chart_list *out, struct coats_view *v, size_t zone) {
    if (v->fitted == 0) {
        v->n = 0; /* the figures of its coats show what the probes logged */
        return;
    }
    struct mr_chart chart = {.kind = "coats-from-onset", .zone = zone, .list = draw_figure(v)};
    chart.alt = mr_printf(job->arena, "Rises of %s over the minutes since their onsets", v->zone);
    for (size_t i = 0; i < v->n; i++)
        chart.alt = mr_printf(job->arena, "%s; %s", chart.alt, rise_text(v, &v->coat[i]));
    chart.alt = mr_printf(job->arena, "%s.", chart.alt);
    mr_chart_add(job, out, chart, mr_printf(job->arena, "coats-from-onset-%s", mr_slug(job->arena, v->zone)));
    v->n = v->fitted = 0;
}

void mr_charts_coats(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    const struct mr_table *t = mr_find_table(a, "heat-by-coat");
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        struct coats_view v = {.job = job, .zone = mr_zone_name(a, z), .rise = job->display.rise};
        for (size_t r = mr_row_of(t, 0, v.zone, 0); r != MR_NONE; r = mr_row_of(t, r + 1, v.zone, 0)) {
            const struct mr_heat_event *e = event_of(a, z, t, r);
            v.fitted += e != NULL;
            v.coat[v.n++] = (struct coat_heat){(int)mr_cell_count(t, r, "coat"),
                                               e,
                                               mr_cell_number(t, r, "rise"),
                                               mr_cell_number(t, r, "rise_95"),
                                               mr_cell_number(t, r, "band_low"),
                                               mr_cell_number(t, r, "band_high"),
                                               (enum mr_outcome)mr_cell_count(t, r, "outcome")};
            if (v.n == COATS_MOST)
                add_figure(job, out, &v, z);
        }
        add_figure(job, out, &v, z);
    }
}
