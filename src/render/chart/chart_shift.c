/*
 * chart_shift.c - one timeline per shift: what was sprayed when, pauses, heat, lines, climate, entries, gauge
 * checks. What did not conform or was not shown carries a number and is listed below the picture in that order.
 */
#include "render/chart/charts.h"

#include <math.h>

enum { MINUTE_MS = 60000, ZONE_LANES_MOST = 24, LISTED_MOST = 18, LANES_MOST = ZONE_LANES_MOST + 8 };

#define LANE_H 15.0

struct lane {
    const char *name;
    enum mr_shift_event_kind kind;
    size_t zone; /* for windows; MR_NONE: all further zones */
    double number_end;
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
                                              MR_EVENT_WINDOW, last ? MR_NONE : s->zone, -1e9};
    }
    v->n_zone_lanes = v->n_lanes;
    for (int kind = MR_EVENT_PAUSE; kind <= MR_EVENT_CHECK; kind++) {
        bool present = false;
        for (size_t i = v->from; i < v->to && !present; i++)
            present = a->timeline.v[i].kind == (enum mr_shift_event_kind)kind;
        if (present)
            v->lane[v->n_lanes++] = (struct lane){names[kind], (enum mr_shift_event_kind)kind, MR_NONE, -1e9};
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

static void draw_bar(struct mr_drawlist *list, enum mr_outcome outcome, double x, double y, double w, double h) {
    static const struct mr_ink pale_amber = {0xfb, 0xe8, 0xc4}, pale_grey = {0xe6, 0xe6, 0xe6};
    const struct mr_ink ink = mr_outcome_ink(outcome);
    switch (outcome) {
    case MR_CONFORMS:
        mr_draw_rect(list, MR_INK_PALE, x, y, w, h);
        break;
    case MR_NOT_SHOWN:
        mr_draw_rect(list, pale_amber, x, y, w, h);
        break;
    case MR_DOES_NOT_CONFORM:
        mr_draw_rect(list, MR_INK_ROSE, x, y, w, h);
        mr_draw_hatch(list, MR_INK_RED, 0.6, x, y, w, h);
        break;
    case MR_NOT_REQUIRED:
        mr_draw_rect(list, pale_grey, x, y, w, h);
        break;
    }
    mr_draw_box(list, ink, outcome == MR_DOES_NOT_CONFORM ? 1.0 : 0.7, x, y, w, h);
}

static enum mr_mark outcome_mark(enum mr_outcome outcome) {
    switch (outcome) {
    case MR_CONFORMS:
        return MR_DOT;
    case MR_NOT_SHOWN:
        return MR_DIAMOND;
    case MR_DOES_NOT_CONFORM:
        return MR_DOWN;
    case MR_NOT_REQUIRED:
        break;
    }
    return MR_SQUARE;
}

static void draw_entry(struct mr_drawlist *list, struct shift_view *v, const struct mr_panel *p, size_t index) {
    const struct mr_shift_event *s = &v->job->a->timeline.v[index];
    const size_t lane = lane_of(v, s);
    if (lane == MR_NONE || s->t0_utc_ms == MR_T_NONE)
        return;
    const double y = p->y + LANE_H * (double)lane + 3, h = LANE_H - 6;
    const double x0 = mr_panel_x(p, (double)s->t0_utc_ms);
    double x1 = s->t1_utc_ms != MR_T_NONE ? mr_panel_x(p, (double)s->t1_utc_ms) : x0;
    if (s->kind == MR_EVENT_HEAT)
        x1 = x0; /* heat decays over hours: its onset is what tells */
    if (x1 - x0 >= 3)
        draw_bar(list, s->outcome, x0, y, x1 - x0, h);
    else {
        mr_draw_mark(list, mr_outcome_ink(s->outcome), outcome_mark(s->outcome), 6.5, (x0 + x1) / 2, y + h / 2);
        x1 = (x0 + x1) / 2 + 3;
    }
    for (size_t k = 0; k < v->n_listed; k++) {
        if (v->listed[k] != index)
            continue;
        const char *text = mr_printf(list->arena, "%zu", k + 1);
        const double w = mr_text_width(text, MR_SIZE_CAPTION, true);
        double x = fmax(x1 + 1.5, v->lane[lane].number_end + 2);
        x = x + w > p->x + p->w - 1 ? p->x + p->w - 1 - w : x;
        v->lane[lane].number_end = x + w;
        mr_draw_rect(list, MR_INK_WHITE, x - 0.5, y + h / 2 - 3.4, w + 1, 6.8);
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_LEFT, true, false}, x, y + h / 2 + 2.4,
                     text);
    }
}

static void draw_lanes(struct mr_drawlist *list, const struct shift_view *v, const struct mr_panel *p) {
    for (size_t i = 0; i < v->n_lanes; i++) {
        const double y = p->y + LANE_H * (double)i;
        if (i > 0)
            mr_draw_segment(list, i == v->n_zone_lanes ? MR_INK_GREY : MR_INK_GRID, i == v->n_zone_lanes ? 0.8 : 0.5,
                            MR_SOLID, p->x, y, p->x + p->w, y);
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TICK, MR_RIGHT, false, false}, p->x - 5,
                     y + LANE_H / 2 + 2.7, mr_text_fit(list->arena, v->lane[i].name, MR_SIZE_TICK, false, p->x - 16));
    }
}

static void draw_listed(struct mr_drawlist *list, const struct shift_view *v, double y) {
    struct mr_arena *arena = list->arena;
    const struct mr_type plain = {MR_INK_BLACK, MR_SIZE_CAPTION, MR_LEFT, false, false};
    for (size_t i = 0; i < v->n_listed; i++, y += 9.2) {
        const struct mr_shift_event *s = &v->job->a->timeline.v[v->listed[i]];
        const char *zone = s->zone == MR_NONE ? "" : mr_printf(arena, "%s: ", mr_zone_name(v->job->a, s->zone));
        mr_draw_mark(list, mr_outcome_ink(s->outcome), outcome_mark(s->outcome), 5, 16, y - 2.2);
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_RIGHT, true, false}, 31, y,
                     mr_printf(arena, "%zu", i + 1));
        mr_draw_text(list, plain, 36, y, mr_clock_text(v->job, s->t0_utc_ms, true));
        mr_draw_text(list, plain, 70, y,
                     mr_text_fit(arena, mr_printf(arena, "%s%s (%s)", zone, s->what, mr_outcome_text(s->outcome)),
                                 MR_SIZE_CAPTION, false, list->width_pt - 82));
    }
    if (v->left_out)
        mr_draw_text(list, plain, 36, y, mr_printf(arena, "and %zu more, in the workbook", v->left_out));
}

static struct mr_drawlist *draw_shift(struct shift_view *v, const char *title) {
    struct mr_sources_text set = {0};
    for (size_t i = v->from; i < v->to; i++)
        mr_source_add(v->job, &set, v->job->a->timeline.v[i].place.file);
    const double top = 56, lanes = LANE_H * (double)v->n_lanes;
    const double below = 32 + 9.2 * (double)(v->n_listed + (v->left_out ? 1 : 0)) + (v->n_listed ? 6 : 0);
    const double height = fmax(top + lanes + below + MR_PAGE_FOOT, 180);
    struct mr_drawlist *list =
        mr_page(v->job, height, title, "What happened, in order of time; the numbers refer to the list below",
                mr_source_list(v->job, &set));
    struct mr_panel p = {104, top, list->width_pt - 104 - 14, lanes, (double)v->t0, (double)v->t1, 0, 1};
    const struct mr_legend keys[] = {{"conforms", MR_INK_BLUE, MR_SOLID, 0, MR_DOT},
                                     {"does not conform", MR_INK_RED, MR_SOLID, 0, MR_DOWN},
                                     {"not shown", MR_INK_AMBER, MR_SOLID, 0, MR_DIAMOND},
                                     {"not judged", MR_INK_GREY, MR_SOLID, 0, MR_SQUARE}};
    mr_legend_row(list, p.x, top - 7, p.w, MR_COUNT(keys), keys);
    mr_axis_time(list, &p, v->job, true);
    draw_lanes(list, v, &p);
    for (size_t i = v->from; i < v->to; i++)
        draw_entry(list, v, &p, i);
    mr_panel_frame(list, &p);
    draw_listed(list, v, top + lanes + 38);
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
