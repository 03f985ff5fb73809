/*
 * chart_shift.c - one timeline per shift: what was sprayed when, pauses, heat, lines, climate, entries, gauge
 * checks. What did not conform or was not shown carries a number and is listed below the picture in that order.
 */
#include "render/chart/charts.h"
#include "render/plot/place.h"

#include <math.h>
#include <stdio.h>

enum { MINUTE_MS = 60000, ZONE_LANES_MOST = 24, LISTED_MOST = 18, LANES_MOST = ZONE_LANES_MOST + 8 };

#define LANE_H 15.0
#define NAME_LEAST_PT 104.0
#define NAME_MOST_PT 200.0

struct lane {
    const char *name;
    enum mr_shift_event_kind kind;
    size_t zone; /* for windows; MR_NONE: all further zones */
};

struct shift_view {
    const struct mr_chart_job *job;
    size_t shift, from, to; /* entries of a->timeline */
    int64_t t0, t1;
    struct lane lane[LANES_MOST];
    size_t n_lanes, n_zone_lanes;
    size_t n_listed, listed[LISTED_MOST], left_out;
};

static bool notable(const struct mr_shift_event *s) {
    return s->outcome == MR_DOES_NOT_CONFORM || s->outcome == MR_NOT_SHOWN;
}

static size_t lane_of(const struct shift_view *v, const struct mr_shift_event *s) {
    for (size_t i = 0; i < v->n_lanes; i++)
        if (v->lane[i].kind == s->kind && (s->kind != MR_EVENT_WINDOW || v->lane[i].zone == s->zone))
            return i;
    for (size_t i = 0; s->kind == MR_EVENT_WINDOW && i < v->n_lanes; i++)
        if (v->lane[i].kind == MR_EVENT_WINDOW && v->lane[i].zone == MR_NONE)
            return i;
    return MR_NONE;
}

static void add_lanes(struct shift_view *v) {
    static const char *const names[] = {
        [MR_EVENT_WINDOW] = "further zones", [MR_EVENT_PAUSE] = "pauses",    [MR_EVENT_HEAT] = "heat",
        [MR_EVENT_LINE] = "line events",     [MR_EVENT_CLIMATE] = "climate", [MR_EVENT_ACTION] = "log entries",
        [MR_EVENT_CHECK] = "gauge checks"};
    const struct mr_assessment *a = v->job->a;
    for (size_t i = v->from; i < v->to; i++) {
        const struct mr_shift_event *s = &a->timeline.v[i];
        if (s->kind != MR_EVENT_WINDOW || lane_of(v, s) != MR_NONE)
            continue;
        const bool last = v->n_lanes + 1 == ZONE_LANES_MOST;
        v->lane[v->n_lanes++] = (struct lane){last ? names[MR_EVENT_WINDOW] : mr_zone_name(a, s->zone),
                                              MR_EVENT_WINDOW, last ? MR_NONE : s->zone};
    }
    v->n_zone_lanes = v->n_lanes;
    for (int kind = MR_EVENT_PAUSE; kind <= MR_EVENT_CHECK; kind++) {
        bool present = false;
        for (size_t i = v->from; i < v->to && !present; i++)
            present = a->timeline.v[i].kind == (enum mr_shift_event_kind)kind;
        if (present)
            v->lane[v->n_lanes++] = (struct lane){names[kind], (enum mr_shift_event_kind)kind, MR_NONE};
    }
}

static void find_span(struct shift_view *v) {
    const struct mr_assessment *a = v->job->a;
    v->t0 = a->aligned->shifts.v[v->shift].t0_utc_ms;
    v->t1 = a->aligned->shifts.v[v->shift].t1_utc_ms;
    for (size_t i = v->from; i < v->to; i++) {
        const struct mr_shift_event *s = &a->timeline.v[i];
        if (s->t0_utc_ms != MR_T_NONE && s->t0_utc_ms < v->t0)
            v->t0 = s->t0_utc_ms;
        const int64_t end = s->t1_utc_ms != MR_T_NONE ? s->t1_utc_ms : s->t0_utc_ms;
        if (end != MR_T_NONE && end > v->t1)
            v->t1 = end;
        if (notable(s)) {
            if (v->n_listed < LISTED_MOST)
                v->listed[v->n_listed++] = i;
            else
                v->left_out++;
        }
    }
    int64_t pad = (v->t1 - v->t0) / 40;
    pad = pad < MINUTE_MS ? MINUTE_MS : pad;
    v->t0 -= pad;
    v->t1 += pad;
}

/* inner: room kept free of hatch and mark at the left, for a number. */
static void draw_bar(struct mr_drawlist *list, enum mr_outcome outcome, double x, double y, double w, double h,
                     double inner) {
    static const struct mr_ink pale_amber = {0xfb, 0xe8, 0xc4}, pale_grey = {0xe6, 0xe6, 0xe6};
    const struct mr_ink ink = mr_outcome_ink(outcome);
    switch (outcome) {
    case MR_CONFORMS:
        mr_draw_rect(list, MR_INK_PALE, x, y, w, h);
        break;
    case MR_NOT_SHOWN:
        mr_draw_rect(list, pale_amber, x, y, w, h);
        mr_draw_mark(list, ink, mr_outcome_mark(outcome), 5.5, x + inner + (w - inner) / 2, y + h / 2);
        break;
    case MR_DOES_NOT_CONFORM:
        mr_draw_rect(list, MR_INK_ROSE, x, y, w, h);
        mr_draw_hatch(list, MR_INK_RED, 0.6, x + inner, y, w - inner, h);
        break;
    case MR_NOT_REQUIRED:
        mr_draw_rect(list, pale_grey, x, y, w, h);
        break;
    }
    mr_draw_box(list, ink, outcome == MR_DOES_NOT_CONFORM ? 1.0 : 0.7, x, y, w, h);
}

/* Left and right edge of an entry in its lane; false where it is not drawn. */
static bool entry_span(const struct shift_view *v, const struct mr_panel *p, const struct mr_shift_event *s,
                       double *x0, double *x1) {
    if (lane_of(v, s) == MR_NONE || s->t0_utc_ms == MR_T_NONE)
        return false;
    *x0 = mr_panel_x(p, (double)s->t0_utc_ms);
    *x1 = s->t1_utc_ms != MR_T_NONE && s->kind != MR_EVENT_HEAT /* heat decays over hours: its onset is what tells */
              ? mr_panel_x(p, (double)s->t1_utc_ms)
              : *x0;
    return true;
}

/* The number of an entry in the list below; 0 where it has none. */
static size_t number_of(const struct shift_view *v, const struct mr_shift_event *s) {
    for (size_t i = 0; i < v->n_listed; i++)
        if (&v->job->a->timeline.v[v->listed[i]] == s)
            return i + 1;
    return 0;
}

/* Width of a number inside its bar; 0 where the bar is too short for it. */
static double inner_width(size_t number, double bar_w) {
    char digits[24];
    snprintf(digits, sizeof digits, "%zu", number);
    const double w = mr_text_width(digits, MR_SIZE_CAPTION, true) + 5;
    return number && bar_w >= w + 9 ? w : 0;
}

static void draw_entry(struct mr_drawlist *list, const struct shift_view *v, const struct mr_panel *p,
                       const struct mr_shift_event *s) {
    double x0, x1;
    if (!entry_span(v, p, s, &x0, &x1))
        return;
    const double y = p->y + LANE_H * (double)lane_of(v, s) + 2, h = LANE_H - 4;
    if (x1 - x0 >= 3)
        draw_bar(list, s->outcome, x0, y, x1 - x0, h, inner_width(number_of(v, s), x1 - x0));
    else
        mr_draw_mark(list, mr_outcome_ink(s->outcome), mr_outcome_mark(s->outcome), 6.5, (x0 + x1) / 2, y + h / 2);
}

/* The number inside its bar, else beside its entry, or as near in its lane as there is room. */
static void draw_number(struct mr_drawlist *list, struct mr_placer *placer, const struct shift_view *v,
                        const struct mr_panel *p, size_t number) {
    enum { STEPS = 40 };
    const struct mr_shift_event *s = &v->job->a->timeline.v[v->listed[number - 1]];
    double x0, x1;
    if (!entry_span(v, p, s, &x0, &x1))
        return;
    const double top = p->y + LANE_H * (double)lane_of(v, s), base = top + LANE_H / 2 + 2.6;
    const char *text = mr_printf(list->arena, "%zu", number);
    const double w = mr_text_width(text, MR_SIZE_CAPTION, true);
    struct mr_point at[2 * STEPS + 1];
    size_t n = 0;
    if (inner_width(number, x1 - x0) > 0)
        at[n++] = (struct mr_point){x0 + 2.5, base - 0.5};
    for (size_t i = 0; i < STEPS; i++) {
        at[n++] = (struct mr_point){fmax(x1, x0 + 3.5) + 2.5 + 1.5 * (double)i, base};
        at[n++] = (struct mr_point){x0 - 5 - w - 1.5 * (double)i, base};
    }
    mr_label_text(placer, (struct mr_room){p->x, top, p->w, LANE_H},
                  (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_LEFT, true, false}, text, n, at);
}

static void draw_lanes(struct mr_drawlist *list, const struct shift_view *v, const struct mr_panel *p) {
    for (size_t i = 0; i < v->n_lanes; i++) {
        const double y = p->y + LANE_H * (double)i;
        if (i > 0)
            mr_draw_segment(list, i == v->n_zone_lanes ? MR_INK_GREY : MR_INK_GRID, i == v->n_zone_lanes ? 0.8 : 0.5,
                            MR_SOLID, p->x, y, p->x + p->w, y);
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TICK, MR_RIGHT, false, false}, p->x - 5,
                     y + LANE_H / 2 + 2.7, mr_cut_name(list, v->lane[i].name, MR_SIZE_TICK, false, p->x - 16));
    }
}

/* What was missed in a window: the titles of its checks that gave the outcome. */
static const char *reasons(const struct mr_chart_job *job, const struct mr_shift_event *s) {
    const struct mr_alignment *al = job->a->aligned;
    const char *text = "";
    for (size_t w = 0; s->kind == MR_EVENT_WINDOW && w < al->windows.n; w++) {
        const struct mr_window *window = &al->windows.v[w];
        if (window->zone != s->zone || window->t0_utc_ms != s->t0_utc_ms)
            continue;
        for (size_t i = 0; i < job->a->checks.n; i++) {
            const struct mr_check *c = &job->a->checks.v[i];
            if (c->zone == s->zone && c->coat == window->coat && c->outcome == s->outcome)
                text = mr_printf(job->arena, "%s%s%s", text, text[0] ? ", " : ": ", c->title);
        }
        break;
    }
    return text;
}

/* What is listed below the plot is never cut: it takes the lines it needs. Returns: y below the last line. With list
 * NULL nothing is drawn. */
static double draw_listed(struct mr_drawlist *list, const struct shift_view *v, double width, double y) {
    enum { LINES_MOST = 8 };
    struct mr_arena *arena = v->job->arena;
    const struct mr_type plain = {MR_INK_BLACK, MR_SIZE_CAPTION, MR_LEFT, false, false},
                         bold = {MR_INK_BLACK, MR_SIZE_CAPTION, MR_RIGHT, true, false};
    for (size_t i = 0; i < v->n_listed; i++) {
        const struct mr_shift_event *s = &v->job->a->timeline.v[v->listed[i]];
        const char *zone = s->zone == MR_NONE ? "" : mr_printf(arena, "%s: ", mr_zone_name(v->job->a, s->zone));
        const char *text =
            mr_printf(arena, "%s%s (%s%s)", zone, s->what, mr_outcome_text(s->outcome), reasons(v->job, s));
        const char *line[LINES_MOST];
        const size_t n = mr_text_wrap(arena, text, MR_SIZE_CAPTION, false, width - 89, LINES_MOST, line);
        if (list) {
            mr_draw_mark(list, mr_outcome_ink(s->outcome), mr_outcome_mark(s->outcome), 5, 16, y - 2.2);
            mr_draw_text(list, bold, 33, y, mr_printf(arena, "%zu", i + 1));
            mr_draw_text(list, plain, 38, y, mr_clock_text(v->job, s->t0_utc_ms, true));
        }
        for (size_t k = 0; k < n; k++, y += 9.2)
            if (list)
                mr_draw_text(list, plain, 77, y, line[k]);
    }
    if (v->left_out && list)
        mr_draw_text(list, plain, 38, y, mr_printf(arena, "and %zu more, in the workbook", v->left_out));
    return y + (v->left_out ? 9.2 : 0);
}

static double names_width(const struct shift_view *v) {
    double w = NAME_LEAST_PT;
    for (size_t i = 0; i < v->n_lanes; i++)
        w = fmax(w, fmin(mr_text_width(v->lane[i].name, MR_SIZE_TICK, false) + 17, NAME_MOST_PT));
    return w;
}

static struct mr_drawlist *draw_shift(struct shift_view *v, const char *title) {
    struct mr_sources_text set = {0};
    for (size_t i = v->from; i < v->to; i++)
        mr_source_add(v->job, &set, v->job->a->timeline.v[i].place.file);
    const double top = 56, lanes = LANE_H * (double)v->n_lanes;
    const double foot = draw_listed(NULL, v, mr_page_width(v->job), top + lanes + 38);
    struct mr_drawlist *list = mr_page(v->job, foot + MR_PAGE_FOOT, title,
                                       "What happened, in order of time; the numbers refer to the list below");
    const double left = names_width(v);
    struct mr_panel p = {left, top, list->width_pt - left - 14, lanes, (double)v->t0, (double)v->t1, 0, 1};
    const struct mr_legend keys[] = {
        {"conforms", MR_INK_BLUE, MR_SOLID, 0, mr_outcome_mark(MR_CONFORMS)},
        {"does not conform", MR_INK_RED, MR_SOLID, 0, mr_outcome_mark(MR_DOES_NOT_CONFORM)},
        {"not shown", MR_INK_AMBER, MR_SOLID, 0, mr_outcome_mark(MR_NOT_SHOWN)},
        {"not judged", MR_INK_GREY, MR_SOLID, 0, mr_outcome_mark(MR_NOT_REQUIRED)}};
    mr_legend_row(list, p.x, top - 7, p.w, MR_COUNT(keys), keys);
    mr_axis_time(list, &p, v->job, true);
    draw_lanes(list, v, &p);
    for (size_t i = v->from; i < v->to; i++)
        draw_entry(list, v, &p, &v->job->a->timeline.v[i]);
    mr_panel_frame(list, &p);
    struct mr_placer *placer = mr_placer_new(list);
    for (size_t i = 1; i <= v->n_listed; i++)
        draw_number(list, placer, v, &p, i);
    draw_listed(list, v, list->width_pt, top + lanes + 38);
    mr_page_ends(v->job, list, foot);
    mr_page_end(v->job, list, mr_source_list(v->job, &set));
    return list;
}

void mr_charts_story(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    for (size_t i = 0, from = 0; i < a->aligned->shifts.n; i++) {
        struct shift_view *v = MR_NEW(job->arena, struct shift_view);
        while (from < a->timeline.n && a->timeline.v[from].shift < i)
            from++;
        size_t to = from;
        while (to < a->timeline.n && a->timeline.v[to].shift == i)
            to++;
        *v = (struct shift_view){.job = job, .shift = i, .from = from, .to = to};
        from = to;
        if (v->from == v->to)
            continue;
        find_span(v);
        add_lanes(v);
        const char *name = a->aligned->shifts.v[i].name;
        const char *title = mr_printf(job->arena, "Shift %s: timeline", name);
        struct mr_chart chart = {
            .kind = "shift-timeline", .title = title, .zone = MR_NONE, .list = draw_shift(v, title)};
        chart.alt = mr_printf(job->arena,
                              "Time line of shift %s with %zu entries, %zu of which do not conform or are not shown.",
                              name, v->to - v->from, v->n_listed + v->left_out);
        mr_chart_add(job, out, chart, mr_printf(job->arena, "shift-timeline-%s", mr_slug(job->arena, name)));
    }
}
