/*
 * lines_down.c - a coat is logged as sprayed for so long, and the lines stood without pressure for most of it, or at
 * one of its ends. What was sprayed then, nobody logged: the limits were held only while the lines were up.
 *
 * Half is a project decision: rows of hand-kept logs hold short rests. An end is another matter. A window begins and
 * ends with the trigger, and no trigger is pulled without pressure, so there the log and the lines contradict each
 * other. Both may be off by what the job says of clocks: a hand-kept time by `clock tolerance`, the logger by the
 * error from which a clock is a finding.
 */
#include "assess/lines/lines.h"

#include <math.h>

static const double MOST_DOWN = 0.5;

/* How long the log says that the gun was at work in a window; rows of one window may have pauses between them. */
static double sprayed_ms(const struct mr_assess *a, const struct mr_window *w) {
    const struct mr_data *d = a->aligned->data;
    double sum = 0;
    if (w->n_rows < 2 || w->log == NULL)
        return (double)(w->t1_utc_ms - w->t0_utc_ms);
    const int64_t shift_ms = w->t0_utc_ms - w->log->start_ms;
    for (size_t i = 0; i < d->sprays.n; i++) {
        const struct mr_spray *s = &d->sprays.v[i];
        if (s->action == MR_ACTION_SPRAY && s->file == w->log->file && s->start_ms != MR_T_NONE &&
            s->stop_ms != MR_T_NONE && s->start_ms + shift_ms >= w->t0_utc_ms &&
            s->stop_ms + shift_ms <= w->t1_utc_ms && mr_zone_find(a->aligned, s->zone, NULL) == w->zone)
            sum += (double)(s->stop_ms - s->start_ms);
    }
    return sum;
}

bool mr_line_down(struct mr_assess *a, const struct mr_line_run *p) {
    const double sprayed = sprayed_ms(a, p->window), whole = (double)(p->window->t1_utc_ms - p->window->t0_utc_ms),
                 down =
                     fmax(0.0, p->r.down_ms - (whole - sprayed)); /* the lines may stand relieved between the rows */
    if (p->window->found || !p->r.up || !(down > MOST_DOWN * sprayed))
        return false;
    struct mr_check c =
        mr_blank_check("lines.pressed", "Lines under pressure", "lines", p->window->zone, p->window->coat);
    c.outcome = MR_NOT_SHOWN;
    c.rule = "the lines are under pressure for most of the time that is logged as sprayed";
    c.source = MR_SRC_PD;
    c.detail = mr_printf(a->arena, "both lines stood without pressure for %s of the %s logged as sprayed.",
                         mr_ms_text(a, down), mr_ms_text(a, sprayed));
    c.evidence = p->evidence;
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "no-pressure", MR_WARNING);
    f.t0_utc_ms = p->window->t0_utc_ms;
    f.t1_utc_ms = p->window->t1_utc_ms;
    f.what = mr_printf(a->arena, "%s: %s", mr_capitalised(a, mr_zone_label(a, c.zone, c.coat)), c.detail);
    f.next_step =
        "Correct start and stop in the spray log, with a row for each stretch of spraying; else compare the "
        "logger's clock with the log.";
    mr_add_finding(a, &f);
    return true;
}

/* Adds the check for one end of the window: from_ms..to_ms without pressure that is known. */
static void add_edge(struct mr_assess *a, const struct mr_line_run *p, bool start, int64_t from_ms, int64_t to_ms,
                     int64_t spare_ms) {
    const double out = (double)(to_ms - from_ms);
    struct mr_check c =
        mr_blank_check(start ? "lines.start" : "lines.stop",
                       start ? "Lines under pressure at the start" : "Lines under pressure at the end", "lines",
                       p->window->zone, p->window->coat);
    c.outcome = MR_NOT_SHOWN;
    c.measured = out / 1000.0;
    c.limit_high = (double)spare_ms / 1000.0;
    c.unit = MR_UNIT_S;
    c.rule = "a coat begins and ends with the lines under pressure, but for what clocks may be off";
    c.source = mr_source_of(a, p->settings, MR_CLOCK_TOLERANCE);
    c.detail = start ? mr_printf(a->arena,
                                 "the spray log has the coat begin at %s, and no line is seen under pressure "
                                 "before %s.",
                                 mr_moment_text(a, from_ms), mr_moment_text(a, to_ms))
                     : mr_printf(a->arena,
                                 "the spray log has the coat end at %s, and no line is seen under pressure "
                                 "after %s.",
                                 mr_moment_text(a, to_ms), mr_moment_text(a, from_ms));
    mr_evidence_track(a, &c.evidence, p->tracks.a ? p->tracks.a : p->tracks.b, from_ms, to_ms, "line pressures");
    mr_add_evidence(a, &c.evidence, p->window->place, "the window");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "no-pressure-at-end", MR_WARNING);
    f.t0_utc_ms = from_ms;
    f.t1_utc_ms = to_ms;
    f.what = mr_printf(a->arena, "%s: %s", mr_capitalised(a, mr_zone_label(a, c.zone, c.coat)), c.detail);
    f.next_step = "Compare the logger's clock with the spray log and state its offset, or correct the log; add the "
                  "export for that time where it is missing.";
    mr_add_finding(a, &f);
}

void mr_line_edges(struct mr_assess *a, const struct mr_line_run *p) {
    const struct mr_window *w = p->window;
    const int64_t spare =
        mr_setting_ms(p->settings, MR_CLOCK_TOLERANCE) + mr_setting_ms(p->settings, MR_CLOCK_FINDING);
    if (w->found || w->date_error_ms != 0 || !p->r.up)
        return;
    if (!w->no_start && p->r.pressed_from_ms - w->t0_utc_ms > spare)
        add_edge(a, p, true, w->t0_utc_ms, p->r.pressed_from_ms, spare);
    if (!w->no_stop && w->t1_utc_ms - p->r.pressed_to_ms > spare)
        add_edge(a, p, false, p->r.pressed_to_ms, w->t1_utc_ms, spare);
}
