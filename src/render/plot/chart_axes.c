/*
 * chart_axes.c - pages, panels and axes. Ticks are 1, 2 or 5 times a power of ten, times are whole minutes or hours
 * of the job's wall clock. Labels are measured (draw_list.h), so that none overlaps another or leaves the page.
 */
#include "render/plot/chart_axes.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

enum { HOUR_MS = 3600000, MINUTE_MS = 60000, SECOND_MS = 1000 };

double mr_panel_x(const struct mr_panel *p, double value) {
    return p->x + (value - p->x0) / (p->x1 - p->x0) * p->w;
}

double mr_panel_y(const struct mr_panel *p, double value) {
    return p->y + p->h - (value - p->y0) / (p->y1 - p->y0) * p->h;
}

struct mr_ticks mr_ticks_make(double lo, double hi, size_t max_n) {
    struct mr_ticks t = {.first = lo, .step = 1.0};
    if (!(hi > lo) || !isfinite(hi - lo) || max_n < 2)
        return t;
    const double raw = (hi - lo) / (double)max_n;
    const double exponent = floor(log10(raw) + 1e-9);
    const double power = pow(10.0, exponent);
    static const double steps[] = {1.0, 2.0, 5.0, 10.0};
    for (size_t i = 0; i < MR_COUNT(steps); i++) {
        t.step = steps[i] * power;
        if (t.step >= raw * (1.0 - 1e-9))
            break;
    }
    t.first = ceil(lo / t.step - 1e-9) * t.step;
    t.n = (size_t)floor((hi - t.first) / t.step + 1e-9) + 1;
    const double digits = -floor(log10(t.step) + 1e-9);
    t.decimals = digits > 0 ? (int)digits : 0;
    return t;
}

void mr_widen(double *lo, double *hi, double value) {
    if (isfinite(value)) {
        *lo = fmin(*lo, value);
        *hi = fmax(*hi, value);
    }
}

void mr_range_pad(double *lo, double *hi, double share, double least) {
    if (!(*hi >= *lo)) {
        *lo = 0;
        *hi = 1;
    }
    double pad = (*hi - *lo) * share;
    if (pad < least)
        pad = least;
    *lo -= pad;
    *hi += pad;
}

void mr_panel_frame(struct mr_drawlist *list, const struct mr_panel *p) {
    mr_draw_box(list, MR_INK_GREY, 0.6, p->x, p->y, p->w, p->h);
}

/* Two ticks at least, or nobody can read the scale; counts have ticks at whole numbers only. */
static struct mr_ticks axis_ticks(double lo, double hi, size_t most, bool whole) {
    enum { MOST = 12 };
    struct mr_ticks t = mr_ticks_make(lo, hi, most);
    while (t.n < 2 && most < MOST)
        t = mr_ticks_make(lo, hi, ++most);
    if (whole && t.step < 1 && hi > lo) {
        t.step = 1;
        t.decimals = 0;
        t.first = ceil(lo - 1e-9);
        t.n = t.first <= hi ? (size_t)floor(hi - t.first + 1e-9) + 1 : 0;
    }
    return t;
}

static void axis_left(struct mr_drawlist *list, const struct mr_panel *p, const char *label, bool whole) {
    const struct mr_ticks t = axis_ticks(p->y0, p->y1, (size_t)(p->h / 20.0) + 1, whole);
    double widest = 0;
    for (size_t i = 0; i < t.n; i++) {
        const double v = t.first + (double)i * t.step, y = mr_panel_y(p, v);
        const char *text = mr_figure_text(list->arena, v, t.decimals);
        const double w = mr_text_width(text, MR_SIZE_TICK, false);
        widest = w > widest ? w : widest;
        if (y > p->y + 0.5 && y < p->y + p->h - 0.5)
            mr_draw_segment(list, MR_INK_GRID, 0.5, MR_SOLID, p->x, y, p->x + p->w, y);
        mr_draw_segment(list, MR_INK_GREY, 0.6, MR_SOLID, p->x - 3, y, p->x, y);
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TICK, MR_RIGHT, false, false}, p->x - 5, y + 2.7,
                     text);
    }
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_LABEL, MR_MIDDLE, false, true}, p->x - widest - 10,
                 p->y + p->h / 2, mr_text_fit(list->arena, label, MR_SIZE_LABEL, false, p->h + 20));
}

void mr_axis_left(struct mr_drawlist *list, const struct mr_panel *p, const char *label) {
    axis_left(list, p, label, false);
}

void mr_axis_left_counts(struct mr_drawlist *list, const struct mr_panel *p, const char *label) {
    axis_left(list, p, label, true);
}

static void axis_bottom(struct mr_drawlist *list, const struct mr_panel *p, const char *label, bool grid,
                        bool whole) {
    const double bottom = p->y + p->h;
    const struct mr_ticks t = axis_ticks(p->x0, p->x1, (size_t)(p->w / 36.0) + 1, whole);
    for (size_t i = 0; i < t.n; i++) {
        const double v = t.first + (double)i * t.step, x = mr_panel_x(p, v);
        if (grid && x > p->x + 0.5 && x < p->x + p->w - 0.5)
            mr_draw_segment(list, MR_INK_GRID, 0.5, MR_SOLID, x, p->y, x, bottom);
        mr_draw_segment(list, MR_INK_GREY, 0.6, MR_SOLID, x, bottom, x, bottom + 3);
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TICK, MR_MIDDLE, false, false}, x, bottom + 11,
                     mr_figure_text(list->arena, v, t.decimals));
    }
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_LABEL, MR_MIDDLE, false, false}, p->x + p->w / 2,
                 bottom + 22, mr_text_fit(list->arena, label, MR_SIZE_LABEL, false, p->w + 60));
}

void mr_axis_bottom(struct mr_drawlist *list, const struct mr_panel *p, const char *label, bool grid) {
    axis_bottom(list, p, label, grid, false);
}

void mr_axis_bottom_counts(struct mr_drawlist *list, const struct mr_panel *p, const char *label) {
    axis_bottom(list, p, label, false, true);
}

static int64_t offset_ms(const struct mr_chart_job *job, int64_t t_utc_ms) {
    return mr_local_ms(job->a->aligned, t_utc_ms) - t_utc_ms;
}

static int64_t time_step(double span_ms, size_t max_n) {
    static const int64_t steps[] = {SECOND_MS,      2 * SECOND_MS,   5 * SECOND_MS,   10 * SECOND_MS,
                                    30 * SECOND_MS, MINUTE_MS,       2 * MINUTE_MS,   5 * MINUTE_MS,
                                    10 * MINUTE_MS, 15 * MINUTE_MS,  30 * MINUTE_MS,  HOUR_MS,
                                    2 * HOUR_MS,    3 * HOUR_MS,     6 * HOUR_MS,     12 * HOUR_MS,
                                    MR_DAY_MS,      2LL * MR_DAY_MS, 7LL * MR_DAY_MS, 14LL * MR_DAY_MS};
    for (size_t i = 0; i < MR_COUNT(steps); i++)
        if (span_ms / (double)steps[i] <= (double)max_n)
            return steps[i];
    return (int64_t)(ceil(span_ms / (double)max_n / MR_DAY_MS) * MR_DAY_MS);
}

static const char *tick_text(struct mr_arena *arena, int64_t local_ms, int64_t step) {
    const int64_t day = local_ms >= 0 ? local_ms / MR_DAY_MS : -((MR_DAY_MS - 1 - local_ms) / MR_DAY_MS);
    const int64_t in_day = local_ms - day * MR_DAY_MS;
    if (step >= MR_DAY_MS) {
        int y, m, d;
        mr_civil_from_days(day, &y, &m, &d);
        return mr_printf(arena, "%02d-%02d", m, d);
    }
    const int h = (int)(in_day / HOUR_MS), min = (int)(in_day / MINUTE_MS % 60), s = (int)(in_day / SECOND_MS % 60);
    return step < MINUTE_MS ? mr_printf(arena, "%02d:%02d:%02d", h, min, s) : mr_printf(arena, "%02d:%02d", h, min);
}

/* The moments at which the wall clock shows local_ms: two where an hour comes twice, none where it is left out. */
static size_t moments_of(const struct mr_chart_job *job, int64_t local_ms, int64_t out[2]) {
    const int64_t around = local_ms - offset_ms(job, local_ms);
    const int64_t offsets[2] = {offset_ms(job, around - 6 * HOUR_MS), offset_ms(job, around + 6 * HOUR_MS)};
    size_t n = 0;
    for (size_t i = 0; i < MR_COUNT(offsets); i++) {
        const int64_t t = local_ms - offsets[i];
        if (t + offset_ms(job, t) == local_ms && (n == 0 || out[0] != t))
            out[n++] = t;
    }
    return n;
}

/* Midnight shows the date instead of 00:00. */
static void draw_tick(struct mr_drawlist *list, const struct mr_panel *p, int64_t t, int64_t local, int64_t step,
                      double *last_end) {
    const double x = mr_panel_x(p, (double)t), bottom = p->y + p->h;
    const bool midnight = step < MR_DAY_MS && local % MR_DAY_MS == 0;
    const char *text = tick_text(list->arena, local, midnight ? MR_DAY_MS : step);
    const double w = mr_text_width(text, MR_SIZE_TICK, midnight);
    mr_draw_segment(list, MR_INK_GREY, 0.6, MR_SOLID, x, bottom, x, bottom + 3);
    if (x - w / 2 < *last_end + 3 || x + w / 2 > list->width_pt - 4)
        return;
    *last_end = x + w / 2;
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TICK, MR_MIDDLE, midnight, false}, x, bottom + 11,
                 text);
}

static int64_t offset_change(const struct mr_chart_job *job, int64_t t0, int64_t t1) {
    for (int64_t t = t0; t < t1; t += 15LL * MINUTE_MS)
        if (offset_ms(job, t) != offset_ms(job, t0))
            return t;
    return MR_T_NONE;
}

static const char *time_label(const struct mr_panel *p, const struct mr_chart_job *job) {
    const int64_t t0 = (int64_t)p->x0, t1 = (int64_t)p->x1;
    const char *from = mr_day_text(job, t0), *to = mr_day_text(job, t1);
    const char *days = strcmp(from, to) == 0 ? from : mr_printf(job->arena, "%s to %s", from, to);
    const char *text = mr_printf(job->arena, "local time, %s (%s)", days, mr_offset_text(job, t0));
    const int64_t change = t1 - t0 < 40LL * MR_DAY_MS ? offset_change(job, t0, t1) : MR_T_NONE;
    if (change == MR_T_NONE)
        return text;
    const int64_t at = change / (15LL * MINUTE_MS) * (15LL * MINUTE_MS);
    return mr_printf(job->arena, "local time, %s (%s, from %s on %s)", days, mr_offset_text(job, t0),
                     mr_clock_text(job, at, false), mr_offset_text(job, change));
}

void mr_axis_time(struct mr_drawlist *list, const struct mr_panel *p, const struct mr_chart_job *job,
                  bool with_labels) {
    const double bottom = p->y + p->h;
    const int64_t t0 = (int64_t)p->x0, t1 = (int64_t)p->x1;
    const int64_t step = time_step(p->x1 - p->x0, (size_t)(p->w / 42.0));
    const int64_t end = t1 + offset_ms(job, t1) + 3 * HOUR_MS;
    double last_end = -1e9;
    for (int64_t local = (t0 + offset_ms(job, t0) - 3 * HOUR_MS) / step * step; local <= end; local += step) {
        int64_t at[2] = {0};
        const size_t n = moments_of(job, local, at);
        for (size_t i = 0; i < n; i++) {
            if (at[i] < t0 || at[i] > t1)
                continue;
            const double x = mr_panel_x(p, (double)at[i]);
            if (x > p->x + 0.5 && x < p->x + p->w - 0.5)
                mr_draw_segment(list, MR_INK_GRID, 0.5, MR_SOLID, x, p->y, x, bottom);
            if (with_labels)
                draw_tick(list, p, at[i], local, step, &last_end);
        }
    }
    if (with_labels)
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_LABEL, MR_MIDDLE, false, false}, p->x + p->w / 2,
                     bottom + 22, time_label(p, job));
}

void mr_level(struct mr_drawlist *list, const struct mr_panel *p, struct mr_ink ink, enum mr_dash dash,
              double value) {
    if (!(value >= p->y0 && value <= p->y1))
        return;
    const double y = mr_panel_y(p, value);
    mr_draw_segment(list, ink, 0.9, dash, p->x, y, p->x + p->w, y);
}

double mr_notes(struct mr_drawlist *list, double x, double y, double w, size_t n, const struct mr_note *notes) {
    const size_t from = list->ops.n;
    for (size_t i = 0; i < n; i++) {
        const bool heading = !notes[i].value;
        if (heading && i > 0)
            y += 4;
        const double value_w = heading ? 0 : mr_text_width(notes[i].value, MR_SIZE_NOTE, false);
        const double name_w = heading ? w : w - value_w - 4;
        const struct mr_ink ink = heading ? MR_INK_BLACK : MR_INK_GREY;
        mr_draw_text(list, (struct mr_type){ink, MR_SIZE_NOTE, MR_LEFT, heading, false}, x, y,
                     mr_cut_name(list, notes[i].name, MR_SIZE_NOTE, heading, name_w));
        if (!heading)
            mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_NOTE, MR_RIGHT, false, false}, x + w, y,
                         mr_text_fit(list->arena, notes[i].value, MR_SIZE_NOTE, false, w));
        MR_PUSH(list->arena, &list->beside,
                heading ? mr_printf(list->arena, "%s:", notes[i].name)
                        : mr_printf(list->arena, "%s %s", notes[i].name, notes[i].value));
        y += 10.6;
    }
    for (size_t i = from; i < list->ops.n; i++)
        list->ops.v[i].beside = true;
    return y;
}

double mr_legend_row(struct mr_drawlist *list, double x, double y, double w, size_t n, const struct mr_legend *e) {
    const double from = x;
    for (size_t i = 0; i < n; i++) {
        const char *text = mr_text_fit(list->arena, e[i].text, MR_SIZE_TICK, false, w - 30);
        const double need = 17 + mr_text_width(text, MR_SIZE_TICK, false) + 9;
        if (x > from && x + need - 9 > from + w) {
            x = from;
            y += 10;
        }
        if (e[i].pen > 5) { /* a fill */
            mr_draw_rect(list, e[i].ink, x, y - 2.6 - e[i].pen / 2, 14, e[i].pen);
            mr_draw_box(list, MR_INK_LINE, 0.4, x, y - 2.6 - e[i].pen / 2, 14, e[i].pen);
        } else if (e[i].pen > 0)
            mr_draw_segment(list, e[i].ink, e[i].pen, e[i].dash, x, y - 2.6, x + 14, y - 2.6);
        else
            mr_draw_mark(list, e[i].ink, e[i].mark, 5.5, x + 8, y - 2.6);
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TICK, MR_LEFT, false, false}, x + 17, y, text);
        x += need;
    }
    return y;
}
