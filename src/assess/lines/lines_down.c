/*
 * lines_down.c - a coat is logged as sprayed for so long, and the lines stood without pressure for most of it. What
 * was sprayed then, nobody logged: the limits were held only while the lines were up. Half is a project decision:
 * rows of hand-kept logs hold short rests.
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

void mr_line_down(struct mr_assess *a, const struct mr_line_run *p) {
    const double sprayed = sprayed_ms(a, p->window), whole = (double)(p->window->t1_utc_ms - p->window->t0_utc_ms),
                 down =
                     fmax(0.0, p->r.down_ms - (whole - sprayed)); /* the lines may stand relieved between the rows */
    if (p->window->found || !p->r.up || !(down > MOST_DOWN * sprayed))
        return;
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
}
