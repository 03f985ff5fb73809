/*
 * chart_film.c - how thick one zone's film is: readings as a histogram, spot means as a rug, limits, mean, counts.
 *
 * Bins have a width of 1, 2 or 5 times a power of ten near the rule of Freedman and Diaconis (Zeitschrift fuer
 * Wahrscheinlichkeitstheorie 57, 1981: twice the interquartile range over the cube root of n). What lies outside
 * the limits is hatched, reading by reading, so a bin that holds a limit shows both parts.
 */
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"
#include "render/plot/place.h"

#include <math.h>

enum { BINS_MOST = 48, BINS_WISHED = 24, JUDGED_MOST = 5 };

struct film_view { /* one zone's film in shown units */
    const struct mr_chart_job *job;
    const struct mr_zone_film *film;
    enum mr_unit unit;
    int decimals;
    double lo, hi, width; /* of the bins */
    size_t n_bins;
    size_t inside[BINS_MOST], outside[BINS_MOST];
    size_t most;
    double p_normal; /* of the test of the spots; NaN */
    struct mr_film_rows limits;
    bool judged; /* single readings have a limit of their own */
};

static double shown(const struct film_view *v, double um) {
    return mr_from_canonical(v->unit, um);
}

static double bin_width(const struct film_view *v, double lo, double hi) {
    const double iqr = shown(v, v->film->q3_um) - shown(v, v->film->q1_um);
    double width = 2.0 * iqr / cbrt((double)v->film->n_values);
    if (!isfinite(width) || width < (hi - lo) / BINS_WISHED) /* also where the quartiles coincide */
        width = (hi - lo) / BINS_WISHED;
    if (width > (hi - lo) / 6.0)
        width = (hi - lo) / 6.0;
    struct mr_ticks t = mr_ticks_make(lo, hi, (size_t)ceil((hi - lo) / width));
    return t.step;
}

static void bin(struct film_view *v) {
    const struct mr_zone_film *f = v->film;
    double lo = HUGE_VAL, hi = -HUGE_VAL;
    for (size_t i = 0; i < f->n_values; i++)
        mr_widen(&lo, &hi, shown(v, f->reading_um[i]));
    for (size_t i = 0; i < f->n_spot_values; i++)
        mr_widen(&lo, &hi, shown(v, f->spot_um[i]));
    const bool equal = !(hi > lo);
    const double wished = hi > lo ? bin_width(v, lo, hi) : 1.0;
    mr_widen(&lo, &hi, shown(v, f->limit_min_um));
    mr_widen(&lo, &hi, shown(v, f->limit_max_um));
    mr_range_pad(&lo, &hi, 0.04, 1e-3);
    v->width = wished;
    while ((hi - lo) / v->width > BINS_MOST - 1) /* limits far away from the readings */
        v->width *= 2.0;
    v->lo = floor(lo / v->width) * v->width - (equal ? v->width / 2 : 0); /* one value stands amid its bin */
    v->n_bins = (size_t)ceil((hi - v->lo) / v->width);
    if (v->n_bins > BINS_MOST)
        v->n_bins = BINS_MOST;
    v->hi = v->lo + (double)v->n_bins * v->width;
    for (size_t i = 0; i < f->n_values; i++) {
        if (!isfinite(f->reading_um[i]))
            continue;
        const double um = f->reading_um[i];
        double k = floor((shown(v, um) - v->lo) / v->width + 1e-9);
        k = k < 0 ? 0 : k >= (double)v->n_bins ? (double)v->n_bins - 1 : k;
        if (um < f->limit_min_um || um > f->limit_max_um)
            v->outside[(size_t)k]++;
        else
            v->inside[(size_t)k]++;
    }
    for (size_t i = 0; i < v->n_bins; i++)
        v->most = v->inside[i] + v->outside[i] > v->most ? v->inside[i] + v->outside[i] : v->most;
}

static void draw_bars(struct mr_drawlist *list, const struct film_view *v, const struct mr_panel *p) {
    for (size_t i = 0; i < v->n_bins; i++) {
        const double x0 = mr_panel_x(p, v->lo + (double)i * v->width),
                     x1 = mr_panel_x(p, v->lo + (double)(i + 1) * v->width);
        const double in = (double)v->inside[i], all = in + (double)v->outside[i];
        if (all <= 0)
            continue;
        const double base = mr_panel_y(p, 0), y_in = mr_panel_y(p, in), y_all = mr_panel_y(p, all);
        if (v->inside[i])
            mr_draw_rect(list, MR_INK_PALE, x0, y_in, x1 - x0, base - y_in);
        if (v->outside[i]) {
            mr_draw_rect(list, v->judged ? MR_INK_ROSE : MR_INK_BAND, x0, y_all, x1 - x0, y_in - y_all);
            mr_draw_hatch(list, v->judged ? MR_INK_RED : MR_INK_NAVY, 0.5, x0, y_all, x1 - x0, y_in - y_all);
        }
        mr_draw_box(list, MR_INK_GREY, 0.5, x0, y_all, x1 - x0, base - y_all);
    }
}

struct tag { /* a vertical line with its label above the panel */
    double value;
    struct mr_ink ink;
    enum mr_dash dash;
    const char *text;
};

/* Labels part where lines stand close: that of the right line goes to its right. */
static bool is_right_of(const struct tag *tags, size_t n, size_t i) {
    double nearest = HUGE_VAL;
    bool right = true;
    for (size_t k = 0; k < n; k++)
        if (k != i && fabs(tags[i].value - tags[k].value) < nearest) {
            nearest = fabs(tags[i].value - tags[k].value);
            right = tags[i].value >= tags[k].value;
        }
    return right;
}

/* All lines come before all labels; these stand above the panel, led to their lines. */
static void draw_tags(struct mr_drawlist *list, const struct mr_panel *p, double bottom, size_t n,
                      const struct tag *tags) {
    for (size_t i = 0; i < n; i++)
        if (tags[i].value >= p->x0 && tags[i].value <= p->x1)
            mr_draw_segment(list, tags[i].ink, tags[i].dash == MR_SOLID ? 1.3 : 1.1, tags[i].dash,
                            mr_panel_x(p, tags[i].value), p->y - 2, mr_panel_x(p, tags[i].value), bottom);
    struct mr_placer *placer = mr_placer_new(list);
    const struct mr_room room = {12, p->y - 32, p->x + p->w + 14 - 12, 31};
    for (size_t i = 0; i < n; i++)
        if (tags[i].value >= p->x0 && tags[i].value <= p->x1)
            mr_label_above(placer, room, tags[i].ink, (struct mr_point){mr_panel_x(p, tags[i].value), p->y - 2},
                           is_right_of(tags, n, i), tags[i].text);
}

/* The normal curve of mean and standard deviation, where the test of the spots does not speak against one. */
static void draw_normal(struct mr_drawlist *list, const struct film_view *v, const struct mr_panel *p) {
    enum { POINTS = 121 };
    struct mr_point point[POINTS];
    const double mean = shown(v, v->film->mean_um), sd = shown(v, v->film->sd_um) - shown(v, 0);
    size_t n = 0;
    for (size_t i = 0; i < POINTS; i++) {
        const double x = mean + sd * (-4.0 + 8.0 * (double)i / (POINTS - 1)), u = (x - mean) / sd;
        const double y = (double)v->film->n_values * v->width * exp(-0.5 * u * u) / (sd * 2.5066282746310002);
        if (x >= p->x0 && x <= p->x1)
            point[n++] = (struct mr_point){mr_panel_x(p, x), mr_panel_y(p, y)};
    }
    mr_draw_line(list, MR_INK_NAVY, 1.1, MR_SOLID, n, point);
}

static void draw_rug(struct mr_drawlist *list, const struct film_view *v, const struct mr_panel *p, double y,
                     double h) {
    const struct mr_zone_film *f = v->film;
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_RIGHT, false, false}, p->x - 5, y + h - 2.2,
                 "spot means");
    for (size_t i = 0; i < f->n_spot_values; i++) {
        if (!isfinite(f->spot_um[i]))
            continue;
        const double x = mr_panel_x(p, shown(v, f->spot_um[i]));
        if (mr_film_misses(&v->limits, f->zone, "spot", f->spot_um[i]))
            mr_draw_mark(list, MR_INK_RED, MR_CROSS, 5, x, y + h / 2);
        else
            mr_draw_segment(list, MR_INK_BLACK, 0.7, MR_SOLID, x, y + 2, x, y + h - 2);
    }
}

static const char *of_needed(struct mr_arena *arena, size_t n, size_t need) {
    return need ? mr_printf(arena, "%zu of %zu asked for", n, need) : mr_printf(arena, "%zu", n);
}

/* Each limit that the verdict rests on, with how many of those judged missed it. Returns: notes. */
static size_t judged_notes(const struct film_view *v, struct mr_note out[JUDGED_MOST]) {
    struct mr_arena *arena = v->job->arena;
    const struct mr_table *t = v->limits.table;
    const size_t from = t ? v->limits.first[v->film->zone] : 0, to = t ? v->limits.first[v->film->zone + 1] : 0;
    size_t n = 0, left = 0;
    for (size_t i = from; i < to; i++) {
        const size_t r = v->limits.row[i];
        const double limit = mr_cell_number(t, r, "limit");
        if (!isfinite(limit))
            continue;
        if (n + 1 == JUDGED_MOST) {
            left++;
            continue;
        }
        out[n++] = (struct mr_note){mr_printf(arena, "%s %s %s", mr_cell_text(t, r, "value"),
                                              mr_cell_text(t, r, "side"), mr_short_text(arena, limit, v->unit)),
                                    mr_printf(arena, "%lld of %lld", (long long)mr_cell_count(t, r, "missed"),
                                              (long long)mr_cell_count(t, r, "judged"))};
    }
    if (left)
        out[n++] = (struct mr_note){"further limits", mr_printf(arena, "%zu, in the workbook", left)};
    return n;
}

static void draw_legend(struct mr_drawlist *list, const struct film_view *v) {
    size_t outside = 0;
    for (size_t i = 0; i < v->n_bins; i++)
        outside += v->outside[i];
    struct mr_legend keys[5] = {{"readings", MR_INK_PALE, MR_SOLID, 7, MR_DOT}};
    size_t n = 1;
    if (outside)
        keys[n++] = v->judged ? (struct mr_legend){"beyond their limit", MR_INK_ROSE, MR_SOLID, 7, MR_DOT}
                              : (struct mr_legend){"beyond what is specified", MR_INK_BAND, MR_SOLID, 7, MR_DOT};
    keys[n++] = (struct mr_legend){"spot mean beyond a limit for spots", MR_INK_RED, MR_SOLID, 0, MR_CROSS};
    mr_legend_row(list, 12, 46, list->width_pt - 24, n, keys);
    if (outside)
        mr_draw_hatch(list, v->judged ? MR_INK_RED : MR_INK_NAVY, 0.5,
                      12 + 26 + mr_text_width(keys[0].text, MR_SIZE_TICK, false), 39.9, 14, 7);
}

static void draw_notes(struct mr_drawlist *list, const struct film_view *v, double x, double y, double w) {
    struct mr_arena *arena = v->job->arena;
    const struct mr_zone_film *f = v->film;
    const int d = v->decimals;
    const char *ci = isfinite(f->ci_low_um)
                         ? mr_printf(arena, "%s to %s", mr_figure_text(arena, shown(v, f->ci_low_um), d),
                                     mr_figure_text(arena, shown(v, f->ci_high_um), d))
                         : "not determined";
    y = mr_notes(list, x, y, w, 1,
                 &(struct mr_note){"Thickness", mr_outcome_text(v->job->a->zones[f->zone].by_group[0])}) +
        4;
    const struct mr_note notes[] = {
        {"Counted", NULL},
        {"readings", of_needed(arena, f->n_readings, f->need_readings)},
        {"spots", of_needed(arena, f->n_spots, f->need_spots)},
        {"areas", of_needed(arena, f->n_areas, f->need_areas)},
        {mr_printf(arena, "Readings, %s", mr_unit_symbol(v->unit)), NULL},
        {"mean", mr_figure_text(arena, shown(v, f->mean_um), d)},
        {"interval of mean", ci},
        {"SD", isfinite(f->sd_um) ? mr_figure_text(arena, shown(v, f->sd_um), d) : "not determined"},
        {"least", mr_figure_text(arena, shown(v, f->min_um), d)},
        {"median", mr_figure_text(arena, shown(v, f->median_um), d)},
        {"greatest", mr_figure_text(arena, shown(v, f->max_um), d)},
        {"spots below minimum",
         isfinite(f->limit_min_um) ? mr_shown(arena, f->share_below_pct, MR_UNIT_PCT, 1) : "none set"},
        {"spots above maximum",
         isfinite(f->limit_max_um) ? mr_shown(arena, f->share_above_pct, MR_UNIT_PCT, 1) : "none set"},
    };
    struct mr_note judged[JUDGED_MOST + 1] = {{"Missed, of those judged", NULL}};
    const size_t n = judged_notes(v, judged + 1);
    if (n)
        y = mr_notes(list, x, y, w, n + 1, judged) + 4;
    mr_notes(list, x, y, w, MR_COUNT(notes), notes);
}

static void sources_of(const struct mr_chart_job *job, const struct mr_zone_film *film, struct mr_sources_text *set) {
    for (size_t i = 0; i < film->n_files; i++)
        mr_source_add(job, set, job->a->aligned->data->files.v[film->files[i]].source->path);
}

static struct mr_drawlist *draw_film(struct film_view *v) {
    struct mr_arena *arena = v->job->arena;
    const struct mr_zone_film *f = v->film;
    struct mr_sources_text set = {0};
    sources_of(v->job, f, &set);
    bin(v);
    const char *unit = mr_unit_symbol(v->unit);
    const bool normal = mr_film_is_normal(v->job->a, f->zone, v->p_normal) && f->sd_um > 0;
    struct mr_drawlist *list =
        mr_page_named(v->job, 0, mr_zone_name(v->job->a, f->zone), ": film thickness",
                      mr_printf(arena, "Newest survey; bins of %g %s (Freedman-Diaconis, rounded)%s", v->width, unit,
                                normal ? mr_printf(arena, "; normal curve (spots: p = %.2f)", v->p_normal) : ""));
    const double side = 140, rug = 13;
    double most = (double)v->most;
    if (normal)
        most = fmax(most, (double)f->n_values * v->width / ((shown(v, f->sd_um) - shown(v, 0)) * 2.5066282746310002));
    struct mr_panel p = {58,
                         72,
                         list->width_pt - 58 - side - 26,
                         list->height_pt - 72 - MR_PAGE_FOOT - 27 - rug,
                         v->lo,
                         v->hi,
                         0,
                         most * 1.06 + 0.3};
    draw_legend(list, v);
    mr_axis_left_counts(list, &p, "gauge readings");
    draw_bars(list, v, &p);
    if (normal)
        draw_normal(list, v, &p);
    mr_panel_frame(list, &p);
    struct mr_panel strip = {p.x, p.y + p.h, p.w, rug, p.x0, p.x1, 0, 1};
    draw_rug(list, v, &p, strip.y, rug);
    mr_panel_frame(list, &strip);
    mr_axis_bottom(list, &strip, mr_printf(arena, "dry film thickness, %s", unit), false);
    const struct tag tags[3] = {
        {shown(v, f->mean_um), MR_INK_BLACK, MR_SOLID,
         mr_printf(arena, "mean %s", mr_shown(arena, f->mean_um, v->unit, v->decimals))},
        {shown(v, f->limit_min_um), MR_INK_RED, MR_LONG_DASH,
         mr_printf(arena, "specified minimum %s", mr_short_text(arena, f->limit_min_um, v->unit))},
        {shown(v, f->limit_max_um), MR_INK_RED, MR_LONG_DASH,
         mr_printf(arena, "specified maximum %s", mr_short_text(arena, f->limit_max_um, v->unit))}};
    draw_notes(list, v, list->width_pt - 12 - side, 58, side);
    draw_tags(list, &p, strip.y + rug, 3, tags);
    mr_page_end(v->job, list, mr_source_list(v->job, &set));
    return list;
}

void mr_charts_film(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    const struct mr_film_rows tests = mr_film_rows_of(job->arena, a, "thickness-order"),
                              limits = mr_film_rows_of(job->arena, a, "thickness-limits");
    for (size_t i = 0; i < a->films.n; i++) {
        const struct mr_zone_film *film = &a->films.v[i];
        if (film->n_values == 0 || film->zone >= a->aligned->zones.n)
            continue;
        struct film_view *v = MR_NEW(job->arena, struct film_view);
        *v = (struct film_view){.job = job,
                                .film = film,
                                .unit = job->display.film,
                                .decimals = mr_unit_decimals(job->display.film),
                                .limits = limits,
                                .judged = mr_film_has_limit(&limits, film->zone, "reading"),
                                .p_normal = mr_film_normality(&tests, film->zone)};
        const char *zone = mr_zone_name(a, film->zone);
        struct mr_chart chart = {.kind = "thickness", .zone = film->zone, .list = draw_film(v)};
        chart.alt = mr_printf(
            job->arena,
            "Histogram of %zu gauge readings and %zu spot means of %s, mean %s, with the specified limits.",
            film->n_readings, film->n_spots, zone, mr_shown(job->arena, film->mean_um, v->unit, v->decimals));
        mr_chart_add(job, out, chart, mr_printf(job->arena, "thickness-%s", mr_slug(job->arena, zone)));
    }
}
