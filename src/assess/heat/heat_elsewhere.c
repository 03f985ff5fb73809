/*
 * heat_elsewhere.c - see heat_elsewhere.h.
 *
 * Align weighs wrong clocks and exchanged probes over all coats of a job and names what fits clearly better. A few
 * coats cannot carry that: two readings of a clock then fit equally well, and the coat that lacks its heat may be a
 * coat without heat or a clock that is off. So before a coat is condemned its own case is asked:
 *   - does another probe show heat in the coat's window that no coat of its own zone accounts for? Many probes at
 * once are weather, one is a probe in the wrong place;
 *   - did this probe warm as another zone was sprayed, whose own probe shows nothing?
 *   - does the same probe show heat at another time that no coat accounts for, and would the shift that brings it
 * into the window leave at least as many coats of that clock with heat in time as there are now? A clock that the job
 * states is taken at its word.
 */
#include "assess/heat/heat_elsewhere.h"

#include "assess/finding/finding_text.h"
#include "assess/heat/heat_turns.h"

#include <math.h>

enum { SHIFTS = 8 }; /* tried between the least and the greatest that bring the heat into the window */

static int64_t slack_ms(const struct mr_assess *a) {
    return mr_setting_ms(&a->job->settings, MR_CLOCK_TOLERANCE);
}

static int64_t last_ms(const struct mr_assess *a, const struct mr_window *w) {
    return w->t1_utc_ms + slack_ms(a) + mr_setting_ms(&a->job->settings, MR_ONSET_LAG);
}

static bool is_great(const struct mr_heat_event *e, double least_k) {
    return (e->fit == MR_FIT_OK ? e->rise_fit_k : e->rise_k) >= least_k;
}

/* Whether a coat of the event's own zone accounts for it. */
static bool is_owned(const struct mr_assess *a, const struct mr_heat_event *e) {
    if (e->gun || e->zone == MR_NONE)
        return e->gun;
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        if (w->zone == e->zone && e->t_onset >= w->t0_utc_ms - slack_ms(a) && e->t_onset <= last_ms(a, w))
            return true;
    }
    return false;
}

/* First event of a track at or after a moment; events stand by track, then time. */
static size_t event_from(const struct mr_assess *a, size_t track, int64_t t_ms) {
    size_t lo = 0, hi = a->out->heats.n;
    while (lo < hi) {
        size_t mid = lo + (hi - lo) / 2;
        const struct mr_heat_event *e = &a->out->heats.v[mid];
        if (e->track < track || (e->track == track && e->t_onset < t_ms))
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

/* ---- another place ---- */

/* Probes that stand elsewhere and have data in the window: to tell one of them from the weather. */
static size_t others_that_saw(const struct mr_assess *a, const struct mr_window *w, const struct mr_track *own) {
    size_t n = 0;
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *t = &a->aligned->tracks.v[i];
        size_t at = t->n ? mr_track_first(t, w->t0_utc_ms) : 0;
        n += t != own && t->meaning == MR_M_PROBE_TEMP && at < t->n && mr_track_ms(t, at) <= last_ms(a, w);
    }
    return n;
}

static struct mr_heat_elsewhere another_place(struct mr_assess *a, const struct mr_coat_heat *coat,
                                              const struct mr_probe_heat *p, double least_k) {
    const struct mr_window *w = &a->aligned->windows.v[coat->window];
    const struct mr_track *found = NULL, *last = NULL;
    size_t probes = 0;
    for (size_t i = 0; i < a->out->heats.n; i++) {
        const struct mr_heat_event *e = &a->out->heats.v[i];
        const struct mr_track *t = &a->aligned->tracks.v[e->track];
        if (t == p->track || e->zone == coat->zone || e->gun || t == last || !is_great(e, least_k) ||
            e->t_onset < w->t0_utc_ms - slack_ms(a) || e->t_onset > last_ms(a, w) || is_owned(a, e))
            continue;
        last = t; /* events stand by track */
        found = found ? found : t;
        probes++;
    }
    if (!found || (probes > 1 && 2 * probes >= others_that_saw(a, w, p->track)))
        return (struct mr_heat_elsewhere){NULL, NULL};
    return (struct mr_heat_elsewhere){
        mr_printf(a->arena,
                  "Channel %s of %s, which stands elsewhere, warmed in this window as under a coat of its own: the "
                  "probes may be exchanged.",
                  found->channel, found->instrument),
        mr_printf(a->arena,
                  "Check on site where channel %s of %s and channel %s of %s stood, and correct their lines under "
                  "[assign \"%s\"].",
                  found->channel, found->instrument, p->track->channel, p->track->instrument, p->track->instrument)};
}

static bool shows_heat(const struct mr_coat_heat *coat) {
    for (size_t i = 0; i < coat->n_probes; i++)
        if (coat->probes[i].pulse == MR_PULSE_IN_TIME || coat->probes[i].pulse == MR_PULSE_UNFIT)
            return true;
    return false;
}

/* A coat of another zone that was sprayed as the event began, and shows no heat of its own though a probe stood
 * there; NULL. */
static const struct mr_coat_heat *sprayed_then(const struct mr_assess *a, const mr_coat_heats *coats,
                                               const struct mr_heat_event *e) {
    for (size_t i = 0; i < coats->n; i++) {
        const struct mr_coat_heat *c = &coats->v[i];
        const struct mr_window *w = &a->aligned->windows.v[c->window];
        if (c->zone != e->zone && c->n_probes && e->t_onset >= w->t0_utc_ms - slack_ms(a) &&
            e->t_onset <= last_ms(a, w) && !shows_heat(c))
            return c;
    }
    return NULL;
}

/* The probe warmed as another zone was sprayed, whose own probe did not. */
static struct mr_heat_elsewhere stood_elsewhere(struct mr_assess *a, const mr_coat_heats *coats,
                                                const struct mr_coat_heat *coat, const struct mr_probe_heat *p,
                                                double least_k) {
    size_t track = (size_t)(p->track - a->aligned->tracks.v);
    for (size_t i = event_from(a, track, INT64_MIN); i < a->out->heats.n && a->out->heats.v[i].track == track; i++) {
        const struct mr_heat_event *e = &a->out->heats.v[i];
        if (e->zone != coat->zone || e->gun || !is_great(e, least_k) || is_owned(a, e))
            continue;
        const struct mr_coat_heat *other = sprayed_then(a, coats, e);
        if (!other)
            continue;
        const struct mr_track *own = other->probes[0].track;
        const char *zone = mr_zone_label(a, other->zone, other->coat);
        return (struct mr_heat_elsewhere){
            mr_printf(
                a->arena,
                "The probe warmed at %s as %s was sprayed, whose own probe did not: the probes may be exchanged.",
                mr_moment_text(a, e->t_onset), zone),
            mr_printf(
                a->arena,
                "Check on site where channel %s of %s and channel %s of %s stood, and correct their lines under "
                "[assign \"%s\"].",
                own->channel, own->instrument, p->track->channel, p->track->instrument, p->track->instrument)};
    }
    return (struct mr_heat_elsewhere){NULL, NULL};
}

/* ---- another time ---- */

/* Coats whose probe of that clock warmed in their window, read with a shift of the clock. */
static size_t fits(const struct mr_assess *a, const mr_coat_heats *coats, size_t clock, int64_t shift_ms,
                   double least_k) {
    size_t n = 0;
    for (size_t i = 0; i < coats->n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[coats->v[i].window];
        bool hit = false;
        for (size_t k = 0; k < coats->v[i].n_probes && !hit; k++) {
            const struct mr_track *t = coats->v[i].probes[k].track;
            size_t track = (size_t)(t - a->aligned->tracks.v);
            if (t->clock != clock)
                continue;
            for (size_t at = event_from(a, track, w->t0_utc_ms + shift_ms - slack_ms(a)); at < a->out->heats.n;
                 at++) {
                const struct mr_heat_event *e = &a->out->heats.v[at];
                if (e->track != track || e->t_onset > last_ms(a, w) + shift_ms)
                    break;
                hit |= is_great(e, least_k);
            }
        }
        n += hit;
    }
    return n;
}

/* Whether some shift that brings an event into the window suits the clock's coats as well as none. */
static bool may_be_shifted(const struct mr_assess *a, const mr_coat_heats *coats, const struct mr_window *w,
                           const struct mr_heat_event *e, size_t clock, double least_k) {
    int64_t least = e->t_onset - last_ms(a, w), most = e->t_onset - (w->t0_utc_ms - slack_ms(a));
    size_t as_given = fits(a, coats, clock, 0, least_k);
    for (int64_t i = 0; i <= SHIFTS; i++)
        if (fits(a, coats, clock, least + (most - least) * i / SHIFTS, least_k) >= as_given)
            return true;
    return false;
}

static struct mr_heat_elsewhere unconfirmed(struct mr_assess *a, const char *what, const char *when,
                                            const struct mr_heat_event *e, const char *who) {
    return (struct mr_heat_elsewhere){
        mr_printf(a->arena, "%s at %s, %s, and too few other coats show that the clock of %s is right.", what,
                  mr_moment_text(a, e->t_onset), when, who),
        mr_printf(a->arena,
                  "Compare the logger's clock with that of the spray log and state what it was off:\n"
                  "[instrument \"%s\"]\nclock offset = 0 s",
                  who)};
}

static struct mr_heat_elsewhere another_time(struct mr_assess *a, const mr_coat_heats *coats,
                                             const struct mr_coat_heat *coat, const struct mr_probe_heat *p,
                                             bool late, double least_k) {
    const struct mr_window *w = &a->aligned->windows.v[coat->window];
    size_t clock = p->track->clock, track = (size_t)(p->track - a->aligned->tracks.v);
    if (clock < a->aligned->clocks.n && a->aligned->clocks.v[clock].stated)
        return (struct mr_heat_elsewhere){NULL, NULL};
    for (size_t i = event_from(a, track, INT64_MIN); i < a->out->heats.n && a->out->heats.v[i].track == track; i++) {
        const struct mr_heat_event *e = &a->out->heats.v[i];
        bool this_one = late && i == p->event;
        if (e->zone != coat->zone || e->gun || (late && !this_one) ||
            (!this_one && (!is_great(e, least_k) || is_owned(a, e))) ||
            !may_be_shifted(a, coats, w, e, clock, least_k))
            continue;
        return unconfirmed(a, "The probe warmed", "when no coat of the zone accounts for it", e,
                           p->track->instrument);
    }
    return (struct mr_heat_elsewhere){NULL, NULL};
}

struct mr_heat_elsewhere mr_heat_elsewhere(struct mr_assess *a, const mr_coat_heats *coats,
                                           const struct mr_coat_heat *coat, const struct mr_probe_heat *p, bool late,
                                           double least_k) {
    struct mr_heat_elsewhere e = {NULL, NULL};
    if (!late)
        e = another_place(a, coat, p, least_k);
    if (!late && !e.why)
        e = stood_elsewhere(a, coats, coat, p, least_k);
    return e.why ? e : another_time(a, coats, coat, p, late, least_k);
}

/* Whether some mix check accounts for heat at the gun. */
static bool is_mix_check(const struct mr_assess *a, const struct mr_heat_event *e) {
    const int64_t late = mr_setting_ms(&a->job->settings, MR_RISE_LATE);
    for (size_t i = 0; i < a->aligned->actions.n; i++) {
        const struct mr_action_at *at = &a->aligned->actions.v[i];
        if (at->log->action == MR_ACTION_MIX_CHECK && e->t_onset >= at->t0_utc_ms - slack_ms(a) &&
            e->t_onset <= at->t1_utc_ms + late)
            return true;
    }
    return false;
}

struct mr_heat_elsewhere mr_mix_check_elsewhere(struct mr_assess *a, const mr_coat_heats *coats,
                                                const struct mr_action_at *at, double least_k) {
    const struct mr_window then = {.zone = MR_NONE, .t0_utc_ms = at->t0_utc_ms, .t1_utc_ms = at->t1_utc_ms};
    for (size_t i = 0; i < a->out->heats.n; i++) {
        const struct mr_heat_event *e = &a->out->heats.v[i];
        const struct mr_track *t = &a->aligned->tracks.v[e->track];
        const bool stated = t->clock < a->aligned->clocks.n && a->aligned->clocks.v[t->clock].stated;
        if (e->gun && !stated && is_great(e, least_k) && !is_mix_check(a, e) &&
            may_be_shifted(a, coats, &then, e, t->clock, least_k))
            return unconfirmed(a, "The probe at the gun warmed", "when the log has no mix check", e, t->instrument);
    }
    return (struct mr_heat_elsewhere){NULL, NULL};
}

/* ---- heat that other probes saw as well ----
 *
 * Weather is seen by all probes at once, a reaction where material landed. A probe on a zone that was not being
 * sprayed is a reference for the others: where it warms with them, at the same moment, what they saw may be the sun,
 * a heater or warm air, and shows no reaction. A probe of which nobody says where it was may have been on the coat
 * itself. */

static const double TOGETHER_S = 60.0, AS_GREAT = 0.5; /* common practice, no source */

static double rise_of(const struct mr_heat_event *e) {
    return e->fit == MR_FIT_OK ? e->rise_fit_k : e->rise_k;
}

/* Whether a coat or a repair was under way on the zone, or its heat still to come. */
static bool is_sprayed(const struct mr_assess *a, size_t zone, int64_t t_utc_ms) {
    const int64_t slack = mr_setting_ms(&a->job->settings, MR_CLOCK_TOLERANCE);
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        if (w->zone == zone && t_utc_ms >= w->t0_utc_ms - slack && t_utc_ms <= mr_heat_late_from_ms(a, w) + slack)
            return true;
    }
    for (size_t i = 0; i < a->aligned->actions.n; i++) {
        const struct mr_action_at *x = &a->aligned->actions.v[i];
        if (x->zone == zone && x->t0_utc_ms != MR_T_NONE && t_utc_ms >= x->t0_utc_ms - slack &&
            t_utc_ms <= x->t1_utc_ms + slack)
            return true;
    }
    return false;
}

const struct mr_heat_event *mr_heat_seen_alike(const struct mr_assess *a, const struct mr_coat_heat *coat,
                                               const struct mr_probe_heat *p) {
    if (p->event == MR_NONE)
        return NULL;
    const struct mr_heat_event *own = &a->out->heats.v[p->event];
    for (size_t i = 0; i < a->out->heats.n; i++) {
        const struct mr_heat_event *e = &a->out->heats.v[i];
        if (e->track == own->track || e->gun || e->zone == MR_NONE || e->zone == coat->zone || e->window != MR_NONE)
            continue;
        const double apart_s = fabs((double)(e->t_onset - own->t_onset)) * 1e-3;
        if (apart_s <= TOGETHER_S && rise_of(e) >= AS_GREAT * rise_of(own) && !is_sprayed(a, e->zone, e->t_onset))
            return e;
    }
    return NULL;
}
