/*
 * other_lines.c - of several loggers of the lines that ran in a window, nobody knows which was on the pump of this
 * coat unless the job says so. One is judged; another that shows a limit missed leaves the lines not shown, whatever
 * the names of the loggers.
 */
#include "assess/lines/lines.h"

#include <math.h>

static bool has_event(const struct mr_line_result *r, enum mr_line_kind kind) {
    for (size_t i = 0; i < r->events.n; i++)
        if (r->events.v[i].kind == kind)
            return true;
    return false;
}

static bool misses_limit(const struct mr_line_run *p, const struct mr_line_result *r) {
    const bool main = mr_set_num(p->settings, MR_MAIN_MIN) >= 0 || mr_set_num(p->settings, MR_MAIN_MAX) >= 0;
    return (!isnan(p->limits.imbalance_pct) && has_event(r, MR_LINE_IMBALANCE)) ||
           (main && (has_event(r, MR_LINE_MAIN_LOW) || has_event(r, MR_LINE_MAIN_HIGH))) ||
           (!isnan(p->limits.dropout_pct) && has_event(r, MR_LINE_DROPOUT)) ||
           (!isnan(p->limits.surge_pct) && has_event(r, MR_LINE_SURGE));
}

static void add_other(struct mr_assess *a, const struct mr_line_run *p, const struct mr_track *named) {
    struct mr_check c =
        mr_blank_check("lines.logger", "Logger of the lines", "lines", p->window->zone, p->window->coat);
    c.outcome = MR_NOT_SHOWN;
    c.rule = "every logger that may have been on the lines of the coat shows the limits kept";
    c.source = MR_SRC_PD;
    const char *who = *named->instrument ? named->instrument : mr_track_place(a->aligned, named, 0).file;
    c.detail = mr_printf(a->arena, "%s ran in the window too, and shows a limit missed.", who);
    mr_evidence_track(a, &c.evidence, named, p->window->t0_utc_ms, p->window->t1_utc_ms, "the other logger");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "other-line-logger", MR_WARNING);
    f.t0_utc_ms = p->window->t0_utc_ms;
    f.t1_utc_ms = p->window->t1_utc_ms;
    f.what = mr_printf(a->arena, "%s: %s", mr_capitalised(a, mr_zone_label(a, c.zone, c.coat)), c.detail);
    f.next_step =
        *named->instrument
            ? mr_printf(a->arena, "State which zones it served: [instrument \"%s\"] with zones = NAMES.", who)
            : "Name both loggers under [instrument], each with files and zones; take a wrong export out.";
    mr_add_finding(a, &f);
}

/* What the same rows of a file say of the other line and the main: of several loggers in one export the rows of each
 * have times of their own. */
static struct mr_line_tracks of_same_rows(const struct mr_alignment *al, const struct mr_track *a) {
    struct mr_line_tracks out = {a, NULL, NULL};
    for (size_t i = 0; i < al->tracks.n; i++) {
        const struct mr_track *t = &al->tracks.v[i];
        if (t->clock != a->clock || !mr_same_column(&t->t_utc_ms, &a->t_utc_ms))
            continue;
        if (t->meaning == MR_M_LINE_B && !out.b)
            out.b = t;
        else if (t->meaning == MR_M_MAIN && !out.main)
            out.main = t;
    }
    return out;
}

void mr_line_others(struct mr_assess *a, struct mr_line_work *work, const struct mr_line_run *p) {
    const struct mr_alignment *al = a->aligned;
    for (size_t i = 0; i < al->tracks.n; i++) {
        const struct mr_track *track = &al->tracks.v[i];
        if (track->meaning != MR_M_LINE_A || track == p->tracks.a)
            continue;
        struct mr_line_tracks other = mr_line_tracks_of(al, track->clock, p->window->zone, p->window->t0_utc_ms,
                                                        p->window->t1_utc_ms, p->limits.gap_ms);
        if (other.a != track && p->tracks.a && track->clock == p->tracks.a->clock)
            other = of_same_rows(al, track);
        if (other.a != track || !other.b || other.a == p->tracks.a || other.b == p->tracks.b)
            continue;
        struct mr_line_result r = {0};
        mr_line_scan(work, other.a, other.b, other.main, p->window->t0_utc_ms, p->window->t1_utc_ms, &p->limits, &r);
        if (r.up && misses_limit(p, &r))
            add_other(a, p, other.a);
    }
}
