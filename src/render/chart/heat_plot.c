/*
 * heat_plot.c - the figure of one coat's heat: samples, fitted curve, the steel as the fit takes it without the coat,
 * the rise that was judged with its interval, the band for this steel above that baseline, and the residuals.
 */
#include "render/chart/chart_heat.h"
#include "render/plot/place.h"

#include <math.h>
#include <string.h>

enum { CURVE_POINTS = 400, MINUTE_MS = 60000 };

static const struct mr_ink sample_ink = {0x80, 0x80, 0x80};

/* The probe whose rise was judged; NULL where no curve of it fits. */
static const struct mr_heat_event *judged_of(const struct mr_heat_view *v) {
    for (size_t i = 0; i < v->n; i++)
        if (v->probe[i].event && v->probe[i].event->fit == MR_FIT_OK && isfinite(v->rise_k) &&
            strcmp(v->probe[i].track->channel, v->channel) == 0)
            return v->probe[i].event;
    return NULL;
}

/* Where no curve fits, the steel as its probe read it at the first trigger pull; NaN where it read nothing then. */
static double start_c(const struct mr_heat_view *v) {
    if (judged_of(v) || !v->window || !(isfinite(v->low_k) || isfinite(v->high_k)))
        return MR_NAN;
    for (size_t i = 0; i < v->n; i++)
        if (strcmp(v->probe[i].track->channel, v->channel) == 0)
            return mr_track_at(v->probe[i].track, v->window->t0_utc_ms, 2 * MINUTE_MS, &(size_t){0});
    return MR_NAN;
}

static struct mr_series samples_of(const struct mr_heat_view *v, const struct mr_track *track) {
    return mr_series_of_track(v->job->arena, track, v->temp, 2 * MINUTE_MS, v->t0, v->t1);
}

static double shown_c(const struct mr_heat_view *v, double c) {
    return mr_from_canonical(v->temp, c);
}

static void find_range(const struct mr_heat_view *v, double *lo, double *hi) {
    *lo = HUGE_VAL;
    *hi = -HUGE_VAL;
    for (size_t i = 0; i < v->n; i++) {
        const struct mr_series s = samples_of(v, v->probe[i].track);
        mr_series_range(&s, lo, hi);
        const struct mr_heat_event *e = v->probe[i].event;
        if (!e)
            continue;
        mr_widen(lo, hi, shown_c(v, e->baseline_c));
        mr_widen(lo, hi, shown_c(v, e->peak_c));
    }
    const struct mr_heat_event *judged = judged_of(v);
    if (judged)
        mr_widen(lo, hi, shown_c(v, mr_heat_without_c(judged, judged->t_onset) + v->high_k));
    const double start = start_c(v);
    mr_widen(lo, hi, shown_c(v, start + v->low_k));
    mr_widen(lo, hi, shown_c(v, start + v->high_k));
    mr_range_pad(lo, hi, 0.12, 1.0);
}

/* A curve of the fit as points; those where it is not defined are left out. */
static size_t curve_points(const struct mr_heat_view *v, const struct mr_panel *p, const struct mr_heat_event *e,
                           double (*at)(const struct mr_heat_event *, int64_t), double plus_k, struct mr_point *out) {
    size_t n = 0;
    for (int64_t i = 0; i <= CURVE_POINTS; i++) {
        const int64_t t = e->t_onset + (e->t_end - e->t_onset) * i / CURVE_POINTS;
        const double c = at(e, t) + plus_k;
        if (isfinite(c))
            out[n++] = (struct mr_point){mr_panel_x(p, (double)t), mr_panel_y(p, shown_c(v, c))};
    }
    return n;
}

static void draw_curves(struct mr_drawlist *list, const struct mr_heat_view *v, const struct mr_panel *p, size_t i) {
    const struct mr_heat_event *e = v->probe[i].event;
    if (!e || e->fit == MR_FIT_NONE)
        return;
    struct mr_point *point = MR_ARRAY(list->arena, struct mr_point, CURVE_POINTS + 1);
    size_t n = curve_points(v, p, e, mr_heat_without_c, 0, point);
    mr_draw_line(list, MR_INK_BLACK, 0.8, MR_DASHED, n, point);
    n = curve_points(v, p, e, mr_heat_model_c, 0, point);
    mr_draw_line(list, mr_heat_looks[i].ink, 1.5, e->fit == MR_FIT_OK ? mr_heat_looks[i].dash : MR_DOTTED, n, point);
}

/* Where the peak had to lie for the rise to be within the band of this steel. */
static void draw_band(struct mr_drawlist *list, const struct mr_heat_view *v, const struct mr_panel *p) {
    const struct mr_heat_event *e = judged_of(v);
    const double start = start_c(v);
    if (isfinite(start)) {
        const double x0 = mr_panel_x(p, (double)v->window->t0_utc_ms),
                     foot = isfinite(v->low_k) ? mr_panel_y(p, shown_c(v, start + v->low_k)) : p->y + p->h,
                     top = isfinite(v->high_k) ? mr_panel_y(p, shown_c(v, start + v->high_k)) : p->y;
        mr_draw_rect(list, MR_INK_BAND, x0, top, p->x + p->w - x0, foot - top);
    }
    if (!e || !isfinite(v->low_k))
        return;
    struct mr_point *edge = MR_ARRAY(list->arena, struct mr_point, 2 * CURVE_POINTS + 2),
                    *high = MR_ARRAY(list->arena, struct mr_point, CURVE_POINTS + 1);
    size_t n = curve_points(v, p, e, mr_heat_without_c, v->low_k, edge);
    const size_t m = isfinite(v->high_k) ? curve_points(v, p, e, mr_heat_without_c, v->high_k, high) : 0;
    for (size_t i = m; i-- > 0;)
        edge[n++] = high[i];
    if (m == 0 && n > 0) { /* no upper limit: as far as the panel goes */
        edge[n] = (struct mr_point){edge[n - 1].x, p->y};
        edge[n + 1] = (struct mr_point){edge[0].x, p->y};
        n += 2;
    }
    mr_draw_area(list, MR_INK_BAND, n, edge);
}

/* The rise that was judged, from the baseline to the fitted peak, with its interval. */
static void draw_rise(struct mr_drawlist *list, const struct mr_heat_view *v, const struct mr_panel *p) {
    const struct mr_heat_event *e = judged_of(v);
    if (!e)
        return;
    const int64_t t = mr_heat_peak_ms(e);
    const double base_c = mr_heat_without_c(e, t), x = mr_panel_x(p, (double)t);
    const double y0 = mr_panel_y(p, shown_c(v, base_c)), y1 = mr_panel_y(p, shown_c(v, base_c + v->rise_k));
    mr_draw_segment(list, MR_INK_BLACK, 0.9, MR_SOLID, x, y0, x, y1);
    mr_draw_segment(list, MR_INK_BLACK, 0.9, MR_SOLID, x - 3, y0, x + 3, y0);
    if (!isfinite(v->rise_95_k))
        return;
    const double high = mr_panel_y(p, shown_c(v, base_c + v->rise_k + v->rise_95_k)),
                 low = mr_panel_y(p, shown_c(v, base_c + v->rise_k - v->rise_95_k));
    mr_draw_segment(list, MR_INK_BLACK, 0.9, MR_SOLID, x, low, x, high);
    mr_draw_segment(list, MR_INK_BLACK, 0.9, MR_SOLID, x - 7, low, x + 7, low);
    mr_draw_segment(list, MR_INK_BLACK, 0.9, MR_SOLID, x - 7, high, x + 7, high);
}

static void draw_marks(struct mr_drawlist *list, const struct mr_heat_view *v, const struct mr_panel *p, size_t i) {
    const struct mr_heat_event *e = v->probe[i].event;
    if (!e)
        return;
    const int64_t t = mr_heat_peak_ms(e);
    const double model = e->fit == MR_FIT_OK ? mr_heat_model_c(e, t) : MR_NAN;
    const double base = e->fit == MR_FIT_OK ? mr_heat_without_c(e, e->t_onset) : e->baseline_c;
    mr_draw_mark(list, mr_heat_looks[i].ink, MR_RING, 6, mr_panel_x(p, (double)e->t_onset),
                 mr_panel_y(p, shown_c(v, isfinite(base) ? base : e->baseline_c)));
    mr_draw_mark(list, mr_heat_looks[i].ink, mr_heat_looks[i].mark, 5.5, mr_panel_x(p, (double)t),
                 mr_panel_y(p, shown_c(v, isfinite(model) ? model : e->peak_c)));
}

static void shade_window(struct mr_drawlist *list, const struct mr_heat_view *v, const struct mr_panel *p) {
    if (!v->window)
        return;
    const double x0 = fmax(p->x, mr_panel_x(p, (double)v->window->t0_utc_ms)),
                 x1 = fmin(p->x + p->w, mr_panel_x(p, (double)v->window->t1_utc_ms));
    if (x1 > x0)
        mr_draw_rect(list, MR_INK_SHADE, x0, p->y, fmax(x1 - x0, 1), p->h);
}

static void name_parts(struct mr_drawlist *list, const struct mr_heat_view *v, const struct mr_panel *p) {
    struct mr_placer *placer = mr_placer_new(list);
    struct mr_arena *arena = list->arena;
    const struct mr_room room = {p->x, p->y, p->w, p->h};
    const struct mr_heat_event *e = judged_of(v);
    if (e) {
        const int64_t t = mr_heat_peak_ms(e);
        const double c = mr_heat_without_c(e, t) + v->rise_k / 2;
        mr_label_or_number(placer, room, (struct mr_type){MR_INK_BLACK, MR_SIZE_LABEL, MR_MIDDLE, true, false},
                           (struct mr_point){mr_panel_x(p, (double)t), mr_panel_y(p, shown_c(v, c))}, 5,
                           mr_printf(arena, "rise %s", mr_rise_text(arena, v->rise, v->rise_k, v->rise_95_k)));
    }
    if (v->window) {
        const double x0 = fmax(p->x, mr_panel_x(p, (double)v->window->t0_utc_ms));
        struct mr_point at[12];
        for (size_t i = 0; i < MR_COUNT(at); i++)
            at[i] = (struct mr_point){x0 + 2, p->y + 8.5 + (p->h - 14) * (double)i / (MR_COUNT(at) - 1)};
        const char *text = v->window->found ? "sprayed (found in the data)" : "sprayed (spray log)";
        if (!mr_label_text(placer, room, (struct mr_type){MR_INK_GREY, MR_SIZE_CAPTION, MR_LEFT, false, false}, text,
                           MR_COUNT(at), at))
            mr_tell(list, mr_printf(arena, "Shaded: %s.", text));
    }
}

/* --- residuals --------------------------------------------------------------------------------------------- */

static bool has_fit(const struct mr_heat_view *v) {
    for (size_t i = 0; i < v->n; i++)
        if (v->probe[i].event && v->probe[i].event->fit != MR_FIT_NONE)
            return true;
    return false;
}

/* Samples less the fitted curve, from the baseline to the end of the event. */
static struct mr_series residuals_of(const struct mr_heat_view *v, const struct mr_heat_probe *probe) {
    const struct mr_track *t = probe->track;
    const size_t from = mr_track_first(t, v->t0), to = mr_track_first(t, probe->event->t_end);
    const size_t n = to > from ? to - from : 0;
    double *r = MR_ARRAY(v->job->arena, double, n);
    int64_t *at = MR_ARRAY(v->job->arena, int64_t, n);
    for (size_t i = 0; i < n; i++) {
        at[i] = mr_track_ms(t, from + i);
        r[i] = mr_track_value(t, from + i) - mr_heat_model_c(probe->event, at[i]);
    }
    return (struct mr_series){n, at, r, v->rise, 2 * MINUTE_MS, v->t0, v->t1};
}

static void draw_residuals(struct mr_drawlist *list, const struct mr_heat_view *v, struct mr_panel p) {
    struct mr_series series[MR_PROBES_MOST];
    p.y0 = HUGE_VAL;
    p.y1 = -HUGE_VAL;
    for (size_t i = 0; i < v->n; i++) {
        series[i] = (struct mr_series){0};
        if (!v->probe[i].event || v->probe[i].event->fit == MR_FIT_NONE)
            continue;
        series[i] = residuals_of(v, &v->probe[i]);
        mr_series_range(&series[i], &p.y0, &p.y1);
    }
    const double most = fmax(fmax(fabs(p.y0), fabs(p.y1)), 0.1);
    p.y1 = isfinite(most) ? 1.15 * most : 1;
    p.y0 = -p.y1;
    shade_window(list, v, &p);
    mr_axis_left(list, &p, mr_printf(list->arena, "off fit, %s", mr_unit_symbol(v->rise)));
    mr_axis_time(list, &p, v->job, true);
    mr_draw_segment(list, MR_INK_GREY, 0.6, MR_SOLID, p.x, mr_panel_y(&p, 0), p.x + p.w, mr_panel_y(&p, 0));
    mr_draw_clip(list, p.x, p.y, p.w, p.h);
    for (size_t i = 0; i < v->n; i++)
        if (series[i].n > 0)
            mr_series_dots(list, &p, &series[i], v->n > 1 ? mr_heat_looks[i].ink : sample_ink, 1.6);
    mr_draw_unclip(list);
    mr_panel_frame(list, &p);
}

/* --- the figure -------------------------------------------------------------------------------------------- */

static void draw_legend(struct mr_drawlist *list, const struct mr_heat_view *v, const struct mr_panel *p) {
    struct mr_legend keys[8];
    size_t n = 0;
    const bool fitted = has_fit(v);
    keys[n++] =
        (struct mr_legend){"probe", v->n > 1 && !fitted ? mr_heat_looks[0].ink : sample_ink, MR_SOLID, 0, MR_DOT};
    if (fitted) {
        keys[n++] = (struct mr_legend){"fitted", mr_heat_looks[0].ink, MR_SOLID, 1.5, MR_DOT};
        keys[n++] = (struct mr_legend){"baseline as fitted", MR_INK_BLACK, MR_DASHED, 0.8, MR_DOT};
        keys[n++] = (struct mr_legend){"onset", mr_heat_looks[0].ink, MR_SOLID, 0, MR_RING};
        keys[n++] = (struct mr_legend){"peak", mr_heat_looks[0].ink, MR_SOLID, 0, mr_heat_looks[0].mark};
    }
    if (judged_of(v) && isfinite(v->low_k))
        keys[n++] = (struct mr_legend){"band for this steel", MR_INK_BAND, MR_SOLID, 7, MR_DOT};
    if (isfinite(start_c(v)))
        keys[n++] = (struct mr_legend){"band for this steel, above its reading at the start", MR_INK_BAND, MR_SOLID,
                                       7, MR_DOT};
    mr_legend_row(list, p->x, 45, list->width_pt - p->x - 14, n, keys);
}

static void draw_plot(struct mr_drawlist *list, const struct mr_heat_view *v, struct mr_panel p, bool with_labels) {
    find_range(v, &p.y0, &p.y1);
    shade_window(list, v, &p);
    mr_draw_clip(list, p.x, p.y, p.w, p.h);
    draw_band(list, v, &p);
    mr_draw_unclip(list);
    mr_axis_left(list, &p, mr_printf(list->arena, "temperature, %s", mr_unit_symbol(v->temp)));
    mr_axis_time(list, &p, v->job, with_labels);
    mr_draw_clip(list, p.x, p.y, p.w, p.h);
    for (size_t i = 0; i < v->n; i++) {
        const struct mr_series s = samples_of(v, v->probe[i].track);
        mr_series_dots(list, &p, &s, v->n > 1 ? mr_heat_looks[i].ink : sample_ink, 1.8);
    }
    for (size_t i = 0; i < v->n; i++)
        draw_curves(list, v, &p, i);
    draw_rise(list, v, &p);
    for (size_t i = 0; i < v->n; i++)
        draw_marks(list, v, &p, i);
    mr_draw_unclip(list);
    mr_panel_frame(list, &p);
    name_parts(list, v, &p);
}

struct mr_drawlist *mr_heat_draw(const struct mr_heat_view *v) {
    struct mr_sources_text set = {0};
    for (size_t i = 0; i < v->n; i++)
        mr_source_track(v->job, &set, v->probe[i].track, v->t0, v->t1);
    struct mr_drawlist *list = mr_page_named(
        v->job, 0, mr_zone_name(v->job->a, v->zone),
        mr_printf(v->job->arena, ", %s: heat of the film", mr_heat_coat(v)),
        "Temperature of the steel under the coat; rise above the fitted baseline as judged, with its 95 % interval");
    const double side = 136, left = 52, top = 62, below = list->height_pt - MR_PAGE_FOOT - 27;
    const bool fitted = has_fit(v);
    const double strip = fitted ? fmax(38, (below - top) / 5) : 0, gap = fitted ? 6 : 0;
    struct mr_panel p = {
        left, top, list->width_pt - left - side - 26, below - top - strip - gap, (double)v->t0, (double)v->t1, 0, 1};
    draw_legend(list, v, &p);
    draw_plot(list, v, p, !fitted);
    if (fitted) {
        p.y += p.h + gap;
        p.h = strip;
        draw_residuals(list, v, p);
    }
    mr_heat_notes(list, v, list->width_pt - 12 - side, 64, side);
    mr_page_end(v->job, list, mr_source_list(v->job, &set));
    return list;
}
