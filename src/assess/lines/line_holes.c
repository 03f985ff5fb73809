/*
 * line_holes.c - what a logger of the lines left out of a coat. Removing evidence never improves an outcome: where
 * the samples stop for longer than the logger's own step and an event, an event may lie in the hole, and the coat is
 * not shown. A logger whose own step is longer than an event can show events of two steps; so it is told, and that is
 * what the outcome means. Above the settling time nothing tells an event from the lines coming up, and the coat is
 * not shown. Rests with both lines down leave nothing open.
 */
#include "assess/lines/line_grid.h"
#include "assess/lines/lines.h"

#include <math.h>

struct hole_list {
    size_t n;
    int64_t most_ms, from_ms, to_ms; /* the longest */
    const char *line;
    mr_evidence_list evidence; /* of the first ten */
};

static bool in_pause(const struct mr_line_run *p, int64_t from_ms, int64_t to_ms) {
    for (size_t i = 0; i < p->r.events.n; i++) {
        const struct mr_line_event *e = &p->r.events.v[i];
        if (e->kind == MR_LINE_PAUSE && e->t0_ms <= from_ms && e->t1_ms >= to_ms)
            return true;
    }
    return false;
}

/* Whether nothing was sprayed over a hole between two samples. Main: by the lines; a line: by itself. */
static bool at_rest(const struct mr_line_run *p, char line, double before_kpa, double after_kpa, int64_t from_ms,
                    int64_t to_ms) {
    if (line == 'M')
        return to_ms <= p->r.up_from_ms || from_ms >= p->r.up_to_ms || in_pause(p, from_ms, to_ms);
    const double median = line == 'A' ? p->r.median_a_kpa : p->r.median_b_kpa;
    const double down = isnan(median) ? p->limits.relieved_kpa : median * p->limits.dropout_pct / 100.0;
    return before_kpa < down && after_kpa < down;
}

static void add_hole(struct mr_assess *a, struct hole_list *list, const struct mr_track *track, const char *line,
                     int64_t from_ms, int64_t to_ms) {
    if (list->n++ < 10)
        mr_evidence_track(a, &list->evidence, track, from_ms, to_ms, mr_printf(a->arena, "%s, a hole", line));
    if (to_ms - from_ms <= list->most_ms)
        return;
    list->most_ms = to_ms - from_ms;
    list->from_ms = from_ms;
    list->to_ms = to_ms;
    list->line = line;
}

/* The holes of one track in the window; returns the logger's step. */
static double look_for_holes(struct mr_assess *a, struct mr_line_work *work, const struct mr_line_run *p,
                             const struct mr_track *track, char line, const char *name, struct hole_list *list) {
    const int64_t t0 = p->window->t0_utc_ms, t1 = p->window->t1_utc_ms;
    const double step = mr_line_step_ms(work, track, t0, t1);
    const int64_t hole = mr_line_hole_ms(step, p->limits.event_ms);
    size_t i = mr_track_first(track, t0), before = MR_NONE;
    for (size_t k = i; k > 0 && before == MR_NONE; k--)
        before = isnan(mr_track_value(track, k - 1)) ? MR_NONE : k - 1;
    for (; i < track->n && hole < INT64_MAX; i++) {
        if (isnan(mr_track_value(track, i)))
            continue;
        const int64_t t = mr_track_ms(track, i);
        if (before != MR_NONE && t - mr_track_ms(track, before) >= hole) {
            int64_t from = mr_track_ms(track, before) + (int64_t)step, to = t < t1 ? t : t1;
            from = from > t0 ? from : t0;
            if (to - from >= p->limits.event_ms &&
                !at_rest(p, line, mr_track_value(track, before), mr_track_value(track, i), from, to))
                add_hole(a, list, track, name, from, to);
        }
        if (t >= t1)
            break;
        before = i;
    }
    return step;
}

static void say_holes(struct mr_assess *a, const struct mr_line_run *p, const struct hole_list *list) {
    struct mr_check c =
        mr_blank_check("lines.holes", "Line pressures without a hole", "lines", p->window->zone, p->window->coat);
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)list->most_ms / 1000.0;
    c.limit_high = (double)p->limits.event_ms / 1000.0;
    c.unit = MR_UNIT_S;
    c.decimals = 1;
    c.rule = "no samples are missing for as long as an event";
    c.source = mr_source_of(a, p->settings, MR_LINE_EVENT_TIME);
    c.detail = list->n == 1
                   ? mr_printf(a->arena, "%s is not recorded for %s at %s.", mr_capitalised(a, list->line),
                               mr_ms_text(a, (double)list->most_ms), mr_moment_text(a, list->from_ms))
                   : mr_printf(a->arena, "The record has %zu holes; the longest is of %s, %s at %s.", list->n,
                               list->line, mr_ms_text(a, (double)list->most_ms), mr_moment_text(a, list->from_ms));
    c.evidence = list->evidence;
    mr_add_evidence(a, &c.evidence, p->window->place, "the window");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "line-hole", MR_WARNING);
    f.t0_utc_ms = list->from_ms;
    f.t1_utc_ms = list->to_ms;
    f.what = mr_printf(a->arena, "%s: %s An event of %s may lie in it.",
                       mr_capitalised(a, mr_zone_label(a, c.zone, c.coat)), c.detail,
                       mr_ms_text(a, (double)p->limits.event_ms));
    f.next_step =
        "Add the logger's own memory, or another logger, for that time; else examine the film sprayed then.";
    mr_add_finding(a, &f);
}

static const char *faster(struct mr_assess *a, const struct mr_line_limits *limits) {
    return mr_printf(a->arena, "Set the logger to a sample every %s or faster.",
                     mr_ms_text(a, (double)limits->event_ms / 2.0));
}

static void say_pace(struct mr_assess *a, const struct mr_line_run *p, double step_ms) {
    const bool blind = step_ms > (double)p->limits.settle_ms;
    struct mr_check c =
        mr_blank_check("lines.pace", "Pace of the line logger", "lines", p->window->zone, p->window->coat);
    c.outcome = blind ? MR_NOT_SHOWN : MR_CONFORMS;
    c.measured = step_ms / 1000.0;
    c.limit_high = (double)p->limits.settle_ms / 1000.0;
    c.unit = MR_UNIT_S;
    c.decimals = 1;
    c.rule = "the logger writes at least once within the settling time";
    c.source = mr_source_of(a, p->settings, MR_LINE_SETTLE);
    c.detail = mr_printf(a->arena, "A sample every %s shows no event shorter than %s.", mr_ms_text(a, step_ms),
                         mr_ms_text(a, 2.0 * step_ms));
    c.evidence = p->evidence;
    mr_add_check(a, &c);
    if (!blind)
        return;
    struct mr_finding f = mr_finding_of(&c, "slow-line-log", MR_WARNING);
    f.t0_utc_ms = p->window->t0_utc_ms;
    f.t1_utc_ms = p->window->t1_utc_ms;
    f.what =
        mr_printf(a->arena, "%s: %s An event counts from %s.", mr_capitalised(a, mr_zone_label(a, c.zone, c.coat)),
                  c.detail, mr_ms_text(a, (double)p->limits.event_ms));
    f.next_step = faster(a, &p->limits);
    mr_add_finding(a, &f);
}

void mr_line_tell_pace(struct mr_assess *a, const struct mr_line_limits *limits, double step_ms, size_t coats) {
    struct mr_finding f = mr_blank_finding("slow-line-log", MR_NOTE, MR_NONE, 0);
    f.rule = "an event shows in at least two samples";
    f.source = MR_SRC_PD;
    f.what = mr_printf(a->arena,
                       "A line logger wrote a sample every %s in %s: it shows no event shorter than %s, and events "
                       "count from %s.",
                       mr_ms_text(a, step_ms), mr_count_text(a, coats, "coat"), mr_ms_text(a, 2.0 * step_ms),
                       mr_ms_text(a, (double)limits->event_ms));
    f.next_step = faster(a, limits);
    mr_add_finding(a, &f);
}

double mr_line_holes(struct mr_assess *a, struct mr_line_work *work, const struct mr_line_run *p) {
    struct hole_list list = {0};
    const bool main_asked = !isnan(p->limits.main_min_kpa) || !isnan(p->limits.main_max_kpa);
    double step = 0.0;
    if (!p->r.up)
        return 0.0;
    if (p->tracks.a)
        step = fmax(step, look_for_holes(a, work, p, p->tracks.a, 'A', "line A", &list));
    if (p->tracks.b)
        step = fmax(step, look_for_holes(a, work, p, p->tracks.b, 'B', "line B", &list));
    if (p->tracks.main && main_asked)
        step = fmax(step, look_for_holes(a, work, p, p->tracks.main, 'M', "main pressure", &list));
    if (list.n > 0)
        say_holes(a, p, &list);
    if (!(step > (double)p->limits.event_ms))
        return 0.0;
    say_pace(a, p, step);
    return step > (double)p->limits.settle_ms ? 0.0 : step;
}
