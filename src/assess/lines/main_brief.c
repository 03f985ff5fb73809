/*
 * main_brief.c - main pressure out of its band again and again, each time for less than an event. The event time
 * forgives a stroke or a slip of a gauge, not a main that is out for much of the coat.
 *
 * The share that data must cover (coverage minimum) is also the share of time in which they must show the band kept:
 * out for more than the rest of the coat does not conform. Over a shorter stretch the same share makes an event time
 * of excursions in `event time / (1 - coverage minimum)`, 30 s by default: such a stretch is an event that comes and
 * goes, and neither shown nor ruled out. Three excursions at least: one sample proves nothing, and two are a
 * coincidence.
 */
#include "assess/lines/lines.h"

#include <math.h>

enum { FEWEST = 3 };

struct brief_tally {
    size_t n;
    double total_ms, dense_ms; /* in all; most in one stretch */
    int64_t dense_from_ms, dense_to_ms;
};

static bool is_of_main(const struct mr_line_event *e) {
    return e->kind == MR_LINE_MAIN_LOW || e->kind == MR_LINE_MAIN_HIGH;
}

static double lasting_ms(const struct mr_line_event *e) {
    return (double)(e->t1_ms - e->t0_ms);
}

static struct brief_tally tally(const struct mr_line_run *p, double stretch_ms) {
    struct brief_tally t = {0};
    const mr_line_events *list = &p->r.brief;
    double within = 0.0;
    size_t from = 0, count = 0;
    for (size_t i = 0; i < list->n; i++) {
        if (!is_of_main(&list->v[i]))
            continue;
        t.n++;
        count++;
        t.total_ms += lasting_ms(&list->v[i]);
        within += lasting_ms(&list->v[i]);
        for (; from < i && (double)(list->v[i].t1_ms - list->v[from].t0_ms) > stretch_ms; from++) {
            within -= is_of_main(&list->v[from]) ? lasting_ms(&list->v[from]) : 0.0;
            count -= is_of_main(&list->v[from]);
        }
        if (count < FEWEST || within <= t.dense_ms)
            continue;
        t.dense_ms = within;
        t.dense_from_ms = list->v[from].t0_ms;
        t.dense_to_ms = list->v[i].t1_ms;
    }
    return t;
}

void mr_main_brief(struct mr_assess *a, const struct mr_line_run *p) {
    const double cover = mr_set_num(p->settings, MR_LINE_COVER), left = isnan(cover) ? 0.0 : 1.0 - cover / 100.0,
                 event = (double)p->limits.event_ms;
    const struct brief_tally t = tally(p, left > 0.0 ? event / left : (double)INFINITY);
    const double share = p->r.main_judged_ms > 0.0 ? 100.0 * t.total_ms / p->r.main_judged_ms : 0.0;
    const bool much = t.n >= FEWEST && !(t.total_ms < event) && share > 100.0 * left;
    if (!much && t.dense_ms < fmax(event, 1.0))
        return;
    struct mr_check c = mr_blank_check("lines.main-brief", "Main pressure, brief excursions", "lines",
                                       p->window->zone, p->window->coat);
    c.outcome = much ? MR_DOES_NOT_CONFORM : MR_NOT_SHOWN;
    c.unit = MR_UNIT_PCT;
    c.decimals = 1;
    c.measured = share;
    c.limit_high = 100.0 * left;
    c.rule = mr_printf(a->arena,
                       "main pressure is out of its band, for less than %s each time, for no more of the coat than "
                       "the coverage minimum leaves",
                       mr_ms_text(a, event));
    c.source = mr_source_of(a, p->settings, MR_LINE_COVER);
    c.detail = much ? mr_printf(a->arena,
                                "Main pressure was out of its band %zu times, for %s in all: %.1f %% of the "
                                "time that is logged.",
                                t.n, mr_ms_text(a, t.total_ms), share)
                    : mr_printf(a->arena,
                                "Main pressure was out of its band again and again from %s, for %s in all: "
                                "too briefly each time to show or rule out an event.",
                                mr_moment_text(a, t.dense_from_ms), mr_ms_text(a, t.dense_ms));
    mr_evidence_track(a, &c.evidence, p->tracks.main, much ? p->window->t0_utc_ms : t.dense_from_ms,
                      much ? p->window->t1_utc_ms : t.dense_to_ms, "main pressure");
    mr_add_evidence(a, &c.evidence, p->window->place, "the window");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "main-brief", much ? MR_ERROR : MR_WARNING);
    f.t0_utc_ms = much ? p->window->t0_utc_ms : t.dense_from_ms;
    f.t1_utc_ms = much ? p->window->t1_utc_ms : t.dense_to_ms;
    f.what = mr_printf(a->arena, "%s: %s", mr_capitalised(a, mr_zone_label(a, c.zone, c.coat)), c.detail);
    f.next_step = "Steady the supply or its regulator, and examine the film sprayed then.";
    f.caution = mr_caution_relieve;
    mr_add_finding(a, &f);
}
