/*
 * chart_heat.c - one coat's heat on one zone: what the probes showed, the fitted curve, onset, baseline, peak and
 * rise.
 *
 * A coat whose probe shows no event gets its picture too: the flat line is the evidence.
 */
#include "render/chart/charts.h"

#include <math.h>
#include <string.h>

enum { PROBES_MOST = 4, CURVE_POINTS = 400, MINUTE_MS = 60000 };

struct probe {
    const struct mr_track *track;
    const struct mr_heat_event *event; /* NULL: none found */
};

struct heat_view {
    const struct mr_chart_job *job;
    size_t zone;
    int coat;
    const struct mr_window *window; /* NULL where the coat has none */
    struct probe probe[PROBES_MOST];
    size_t n, left_out;
    int64_t t0, t1;
    enum mr_unit temp, rise;
};

static const struct mr_ink inks[PROBES_MOST] = {
    {0x00, 0x72, 0xb2}, {0xd5, 0x5e, 0x00}, {0x00, 0x9e, 0x73}, {0xcc, 0x79, 0xa7}};

static bool stays_on(const struct mr_track *track, size_t zone, int64_t t0, int64_t t1) {
    for (size_t i = 0; i < track->stays.n; i++) {
        const struct mr_stay *s = &track->stays.v[i];
        if (s->zone == zone && !s->gun && s->t0_utc_ms <= t1 && s->t1_utc_ms >= t0)
            return true;
    }
    return false;
}

static bool has_samples(const struct mr_track *track, int64_t t0, int64_t t1) {
    const size_t i = mr_track_first(track, t0);
    return i < track->n && track->t_utc_ms[i] <= t1;
}

static void add_probe(struct heat_view *v, const struct mr_track *track, const struct mr_heat_event *event) {
    for (size_t i = 0; i < v->n; i++)
        if (v->probe[i].track == track && (!event || v->probe[i].event == event || !v->probe[i].event)) {
            v->probe[i].event = event ? event : v->probe[i].event;
            return;
        }
    if (v->n == PROBES_MOST) {
        v->left_out++;
        return;
    }
    v->probe[v->n++] = (struct probe){track, event};
}

static void find_probes(struct heat_view *v) {
    const struct mr_assessment *a = v->job->a;
    for (size_t i = 0; i < a->heats.n; i++) {
        const struct mr_heat_event *e = &a->heats.v[i];
        if (e->zone == v->zone && e->coat == v->coat && !e->gun && e->track < a->aligned->tracks.n)
            add_probe(v, &a->aligned->tracks.v[e->track], e);
    }
    if (!v->window)
        return;
    const int64_t t0 = v->window->t0_utc_ms, t1 = v->window->t1_utc_ms + 20 * MINUTE_MS;
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *t = &a->aligned->tracks.v[i];
        if (t->meaning == MR_M_PROBE_TEMP && stays_on(t, v->zone, t0, t1) && has_samples(t, t0, t1))
            add_probe(v, t, NULL);
    }
}

static void find_span(struct heat_view *v) {
    v->t0 = v->window ? v->window->t0_utc_ms : INT64_MAX;
    v->t1 = v->window ? v->window->t1_utc_ms + 10 * MINUTE_MS : INT64_MIN;
    for (size_t i = 0; i < v->n; i++) {
        const struct mr_heat_event *e = v->probe[i].event;
        if (!e)
            continue;
        v->t0 = e->t_onset < v->t0 ? e->t_onset : v->t0;
        v->t1 = e->t_end > v->t1 ? e->t_end : v->t1;
    }
    int64_t lead = (v->t1 - v->t0) / 8; /* room for the bracket */
    lead = lead < 2 * MINUTE_MS ? 2 * MINUTE_MS : lead;
    v->t0 -= lead;
    v->t1 += lead / 4;
}

static struct mr_series samples_of(const struct heat_view *v, const struct mr_track *track) {
    return (struct mr_series){track->n, track->t_utc_ms, track->value, v->temp, 2 * MINUTE_MS, v->t0, v->t1};
}

static void find_range(const struct heat_view *v, double *lo, double *hi) {
    *lo = HUGE_VAL;
    *hi = -HUGE_VAL;
    for (size_t i = 0; i < v->n; i++) {
        struct mr_series s = samples_of(v, v->probe[i].track);
        mr_series_range(&s, lo, hi);
        const struct mr_heat_event *e = v->probe[i].event;
        if (!e)
            continue;
        const double base = mr_from_canonical(v->temp, e->baseline_c), peak = mr_from_canonical(v->temp, e->peak_c);
        *lo = base < *lo ? base : *lo;
        *hi = peak > *hi ? peak : *hi;
    }
    mr_range_pad(lo, hi, 0.12, 1.0);
}

static void draw_curve(struct mr_drawlist *list, const struct heat_view *v, const struct mr_panel *p,
                       const struct mr_heat_event *e, struct mr_ink ink) {
    if (e->fit == MR_FIT_NONE)
        return;
    struct mr_point *point = MR_ARRAY(list->arena, struct mr_point, CURVE_POINTS + 1);
    size_t n = 0;
    for (int64_t i = 0; i <= CURVE_POINTS; i++) {
        const int64_t t = e->t_onset + (e->t_end - e->t_onset) * i / CURVE_POINTS;
        const double c = mr_heat_model_c(e, t);
        if (isfinite(c))
            point[n++] = (struct mr_point){mr_panel_x(p, (double)t), mr_panel_y(p, mr_from_canonical(v->temp, c))};
    }
    mr_draw_line(list, ink, 1.5, e->fit == MR_FIT_OK ? MR_SOLID : MR_DASHED, n, point);
}

/* What is marked: the fitted peak where the curve fits, since sun drift can carry the plain maximum hours away; else
 * the plain one. */
struct marked {
    int64_t t_peak;
    double base_c, peak_c, rise_k;
};

static struct marked marked_of(const struct mr_heat_event *e) {
    struct marked m = {e->t_peak, e->baseline_c, e->peak_c, e->rise_k};
    if (e->fit != MR_FIT_OK || !isfinite(e->rise_fit_k) || !isfinite(e->time_to_peak_s))
        return m;
    const int64_t t = e->t_onset + (int64_t)(e->time_to_peak_s * 1000.0);
    const double top_c = mr_heat_model_c(e, t);
    return isfinite(top_c) ? (struct marked){t, top_c - e->rise_fit_k, top_c, e->rise_fit_k} : m;
}

/* Baseline, onset and peak, and the rise as a bracket before the onset, where nothing else stands. */
static void draw_event(struct mr_drawlist *list, const struct heat_view *v, const struct mr_panel *p,
                       const struct mr_heat_event *e, struct mr_ink ink, bool with_bracket) {
    const struct marked m = marked_of(e);
    const double base = mr_panel_y(p, mr_from_canonical(v->temp, m.base_c));
    const double peak = mr_panel_y(p, mr_from_canonical(v->temp, m.peak_c));
    const double x0 = mr_panel_x(p, (double)e->t_onset), x1 = mr_panel_x(p, (double)m.t_peak);
    mr_draw_segment(list, MR_INK_BLACK, 0.8, MR_DASHED, p->x, base, x1 + 16, base);
    if (with_bracket) {
        const double x = x0 - 8;
        mr_draw_segment(list, MR_INK_BLACK, 0.6, MR_DOTTED, x, peak, x1, peak);
        mr_draw_segment(list, MR_INK_BLACK, 0.8, MR_SOLID, x, base, x, peak);
        mr_draw_segment(list, MR_INK_BLACK, 0.8, MR_SOLID, x - 3, peak, x + 3, peak);
        mr_draw_segment(list, MR_INK_BLACK, 0.8, MR_SOLID, x - 3, base, x + 3, base);
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_LABEL, MR_MIDDLE, true, true}, x - 4,
                     (base + peak) / 2,
                     mr_printf(list->arena, "rise %s", mr_shown(list->arena, m.rise_k, v->rise, 1)));
    }
    mr_draw_mark(list, ink, MR_UP, 7.5, x0, base);
    mr_draw_mark(list, ink, MR_DIAMOND, 7.5, x1, peak);
}

static void draw_window(struct mr_drawlist *list, const struct heat_view *v, const struct mr_panel *p, bool label) {
    if (!v->window)
        return;
    double x0 = mr_panel_x(p, (double)v->window->t0_utc_ms), x1 = mr_panel_x(p, (double)v->window->t1_utc_ms);
    x0 = x0 < p->x ? p->x : x0;
    x1 = x1 > p->x + p->w ? p->x + p->w : x1;
    if (x1 <= x0)
        return;
    if (!label) {
        mr_draw_rect(list, MR_INK_SHADE, x0, p->y, x1 - x0 > 1 ? x1 - x0 : 1, p->h);
        return;
    }
    const char *text = v->window->found ? "spraying (found in the data)" : "spraying (spray log)";
    double w = mr_text_width(text, MR_SIZE_CAPTION, false);
    if (w + 4 > x1 - x0) {
        text = "spraying";
        w = mr_text_width(text, MR_SIZE_CAPTION, false);
    }
    mr_draw_rect(list, w + 4 > x1 - x0 ? MR_INK_WHITE : MR_INK_SHADE, x0 + 1, p->y + 1.5, w + 2, 8.5);
    mr_draw_text(list, (struct mr_type){MR_INK_GREY, MR_SIZE_CAPTION, MR_LEFT, false, false}, x0 + 2, p->y + 8, text);
}

static const struct mr_check *rise_check(const struct heat_view *v) {
    const struct mr_check *found = NULL;
    for (size_t i = 0; i < v->job->a->checks.n; i++) {
        const struct mr_check *c = &v->job->a->checks.v[i];
        if (c->zone == v->zone && c->coat == v->coat && strcmp(c->group, "reaction") == 0 &&
            (!found || strcmp(c->id, "reaction.rise") == 0))
            found = c;
    }
    return found;
}

static const char *limits_text(struct mr_arena *arena, const struct mr_check *c) {
    const char *unit = mr_unit_symbol(c->unit);
    const bool low = isfinite(c->limit_low), high = isfinite(c->limit_high);
    const char *l = mr_figure_text(arena, c->limit_low, c->decimals),
               *h = mr_figure_text(arena, c->limit_high, c->decimals);
    return low && high ? mr_printf(arena, "%s to %s %s", l, h, unit)
           : low       ? mr_printf(arena, "at least %s %s", l, unit)
           : high      ? mr_printf(arena, "at most %s %s", h, unit)
                       : "none";
}

static const char *probe_name(const struct heat_view *v, const struct mr_track *t) {
    const char *instrument = t->instrument[0] ? t->instrument : "probe";
    return mr_printf(v->job->arena, "%s, %s", instrument, t->channel[0] ? t->channel : "channel");
}

static const char *fit_text(enum mr_fit fit) {
    switch (fit) {
    case MR_FIT_OK:
        return "fits";
    case MR_FIT_POOR:
        return "poor";
    case MR_FIT_NO_CONVERGENCE:
        return "did not converge";
    case MR_FIT_NONE:
        break;
    }
    return "none";
}

static double event_notes(struct mr_drawlist *list, const struct heat_view *v, const struct mr_heat_event *e,
                          double x, double y, double w) {
    struct mr_arena *arena = v->job->arena;
    const char *loss = isfinite(e->rise_adiabatic_k) ? mr_shown(arena, e->rise_adiabatic_k, v->rise, 1) : "not known";
    const char *tau = isfinite(e->tau_s) && e->tau_s > 0
                          ? mr_printf(arena, "%s min", mr_figure_text(arena, e->tau_s / 60.0, 1))
                          : "not known";
    const struct marked m = marked_of(e);
    const struct mr_note notes[] = {
        {"onset", mr_clock_text(v->job, e->t_onset, true)},
        {"peak", mr_clock_text(v->job, m.t_peak, true)},
        {"time to peak", mr_printf(arena, "%s min", mr_figure_text(arena, e->time_to_peak_s / 60.0, 1))},
        {"baseline", mr_shown(arena, m.base_c, v->temp, 1)},
        {"peak temperature", mr_shown(arena, m.peak_c, v->temp, 1)},
        {"rise", mr_shown(arena, m.rise_k, v->rise, 1)},
        {"rise without loss", loss},
        {"cooling constant", tau},
        {"fitted curve", fit_text(e->fit)},
    };
    return mr_notes(list, x, y, w, v->n > 1 ? 7 : MR_COUNT(notes), notes);
}

static void draw_notes(struct mr_drawlist *list, const struct heat_view *v, double x, double y, double w) {
    struct mr_arena *arena = v->job->arena;
    const struct mr_check *c = rise_check(v);
    if (c) {
        const struct mr_note judged[] = {
            {"Judged", NULL},
            {"outcome", mr_outcome_text(c->outcome)},
            {"measured",
             mr_printf(arena, "%s %s", mr_figure_text(arena, c->measured, c->decimals), mr_unit_symbol(c->unit))},
            {"limits", limits_text(arena, c)}};
        y = mr_notes(list, x, y, w, MR_COUNT(judged), judged);
    }
    for (size_t i = 0; i < v->n && y < list->height_pt - MR_PAGE_FOOT - 12; i++) {
        const struct mr_note heading = {probe_name(v, v->probe[i].track), NULL};
        mr_draw_mark(list, inks[i], MR_SQUARE, 7, x + 3.5, y + 1.4);
        y = mr_notes(list, x + 10, y + 4, w - 10, 1, &heading);
        if (v->probe[i].event && y + 74 < list->height_pt - MR_PAGE_FOOT)
            y = event_notes(list, v, v->probe[i].event, x, y, w);
        else if (!v->probe[i].event)
            y = mr_notes(list, x, y, w, 1, &(struct mr_note){"rise", "none found"});
    }
    if (v->left_out)
        mr_notes(list, x, y + 4, w, 1, &(struct mr_note){"further probes", mr_printf(arena, "%zu", v->left_out)});
}

static struct mr_drawlist *draw_heat(struct heat_view *v, const char *title) {
    struct mr_arena *arena = v->job->arena;
    struct mr_sources_text set = {0};
    for (size_t i = 0; i < v->n; i++)
        mr_source_track(v->job, &set, v->probe[i].track, v->t0, v->t1);
    struct mr_drawlist *list =
        mr_page(v->job, 0, title, "Temperature of the steel under the coat: probe, fitted curve, onset and peak",
                mr_source_list(v->job, &set));
    const double side = 136, left = 52;
    struct mr_panel p = {left,
                         56,
                         list->width_pt - left - side - 26,
                         list->height_pt - 56 - MR_PAGE_FOOT - 26,
                         (double)v->t0,
                         (double)v->t1,
                         0,
                         0};
    find_range(v, &p.y0, &p.y1);
    draw_window(list, v, &p, false);
    mr_axis_left(list, &p, mr_printf(arena, "temperature, %s", mr_unit_symbol(v->temp)));
    mr_axis_time(list, &p, v->job, true);
    draw_window(list, v, &p, true);
    mr_draw_clip(list, p.x, p.y, p.w, p.h);
    for (size_t i = 0; i < v->n; i++) {
        struct mr_series s = samples_of(v, v->probe[i].track);
        mr_series_dots(list, &p, &s, v->probe[i].event ? MR_INK_LINE : inks[i], 1.8);
    }
    for (size_t i = 0; i < v->n; i++)
        if (v->probe[i].event)
            draw_curve(list, v, &p, v->probe[i].event, inks[i]);
    for (size_t i = 0; i < v->n; i++)
        if (v->probe[i].event)
            draw_event(list, v, &p, v->probe[i].event, inks[i], v->n == 1 || i == 0);
    mr_draw_unclip(list);
    mr_panel_frame(list, &p);
    bool any = false;
    for (size_t i = 0; i < v->n; i++)
        any = any || v->probe[i].event;
    const struct mr_legend keys[] = {{"probe", any ? MR_INK_LINE : inks[0], MR_SOLID, 0, MR_DOT},
                                     {"fitted", inks[0], MR_SOLID, 1.5, MR_DOT},
                                     {"baseline", MR_INK_BLACK, MR_DASHED, 0.8, MR_DOT},
                                     {"onset", inks[0], MR_SOLID, 0, MR_UP},
                                     {"peak", inks[0], MR_SOLID, 0, MR_DIAMOND}};
    mr_legend_row(list, p.x, p.y - 6, p.w, any ? MR_COUNT(keys) : 1, keys);
    draw_notes(list, v, list->width_pt - 12 - side, 58, side);
    return list;
}

static void add_heat(const struct mr_chart_job *job, mr_chart_list *out, struct heat_view *v) {
    find_probes(v);
    if (v->n == 0)
        return;
    find_span(v);
    struct mr_arena *arena = job->arena;
    const char *zone = mr_zone_name(job->a, v->zone);
    const char *coat = v->coat > 0 ? mr_printf(arena, "coat %d", v->coat) : "coat not known";
    const char *title = mr_printf(arena, "%s, %s: heat of the film",
                                  mr_text_fit(arena, zone, MR_SIZE_TITLE, true, MR_TITLE_ZONE), coat);
    const struct mr_heat_event *e = v->probe[0].event;
    struct mr_chart chart = {.kind = "reaction", .title = title, .zone = v->zone, .list = draw_heat(v, title)};
    chart.alt =
        e ? mr_printf(arena, "Temperature over time of %s, %s, rising %s after the material landed.", zone, coat,
                      mr_shown(arena, marked_of(e).rise_k, v->rise, 1))
          : mr_printf(arena, "Temperature over time of %s, %s, without a rise that could be found.", zone, coat);
    mr_chart_add(job, out, chart, mr_printf(arena, "reaction-%s-coat-%d", mr_slug(arena, zone), v->coat));
}

/* The first window of the coat, or an empty one for events of no known window. */
static struct heat_view *view_of(const struct mr_chart_job *job, size_t zone, int coat,
                                 const struct mr_window *window) {
    struct heat_view *v = MR_NEW(job->arena, struct heat_view);
    *v = (struct heat_view){.job = job,
                            .zone = zone,
                            .coat = coat,
                            .window = window,
                            .temp = job->display.temp,
                            .rise = job->display.rise};
    return v;
}

static bool has_window(const struct mr_assessment *a, size_t zone, int coat, size_t before) {
    for (size_t i = 0; i < before; i++)
        if (a->aligned->windows.v[i].zone == zone && a->aligned->windows.v[i].coat == coat)
            return true;
    return false;
}

void mr_charts_heat(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        for (size_t i = 0; i < a->aligned->windows.n; i++) {
            const struct mr_window *w = &a->aligned->windows.v[i];
            if (w->zone == z && !has_window(a, z, w->coat, i))
                add_heat(job, out, view_of(job, z, w->coat, w));
        }
        for (size_t i = 0; i < a->heats.n; i++) {
            const struct mr_heat_event *e = &a->heats.v[i];
            bool first = e->zone == z && !e->gun && !has_window(a, z, e->coat, a->aligned->windows.n);
            for (size_t k = 0; first && k < i; k++)
                first = !(a->heats.v[k].zone == z && a->heats.v[k].coat == e->coat && !a->heats.v[k].gun);
            if (first)
                add_heat(job, out, view_of(job, z, e->coat, NULL));
        }
    }
}
