/*
 * heat_judge.c - did each coat react, soon enough, and by as much as its band says?
 *
 * Each probe of a coat is judged, and the worst speaks for the coat: a spot without heat is not made good by another
 * with it. The band holds for the job's steel (and film, where stated) and is scaled to the zone's; a band
 * that names a steel judges no zone whose steel is not known, and one that names none is judged raw. In a window
 * longer than the time after which an onset is late, material may have landed on the probe at any moment, so an onset
 * inside the window is never late.
 */
#include "assess/finding/finding_text.h"
#include "assess/heat/heat_elsewhere.h"
#include "assess/heat/heat_job.h"
#include "assess/heat/heat_tables.h"
#include "assess/heat/heat_verdict.h"

#include <math.h>

/* The band in words, raw and scaled. */
static const char *band_text(struct mr_assess *a, const struct mr_coat_heat *coat, const struct mr_rise_band *b,
                             double rise_k, double rise_se_k) {
    const struct mr_zone *zone = &a->aligned->zones.v[coat->zone];
    const struct mr_settings *set = zone->settings;
    if (!b->steel && !b->film)
        return isnan(mr_set_num(set, MR_RISE_STEEL))
                   ? "The job does not say for which steel its band holds, so the raw band is judged."
                   : "The zone's steel thickness is not known, so the raw band is judged.";
    const char *on = b->steel ? mr_printf(a->arena, " of %.3g mm steel (here %.3g mm)",
                                          mr_set_num(set, MR_RISE_STEEL), zone->steel_mm)
                              : "";
    const char *of = !b->film ? "" : b->steel ? " and the stated film" : " of the stated film";
    const char *loss =
        b->cooling ? mr_printf(a->arena, " and heat loss (here the steel cools in %.0f min)", b->tau_s / 60.0) : "";
    return mr_printf(a->arena, "Scaled to the band's conditions%s%s%s it is %s.", on, of, loss,
                     mr_rise_doubt_text(a, b, rise_k / b->factor,
                                        hypot(rise_se_k, rise_k * hypot(b->doubt, b->gusts)) / b->factor));
}

/* A rise that may be a coat's: smaller ones neither bring a coat its heat nor set a clock right. */
static double least_of(const struct mr_rise_band *b) {
    return isnan(b->low_k) ? b->none_k : 0.6 * b->low_k;
}

/* Too little heat condemns only where the heat cannot stand elsewhere on the records. */
static struct mr_heat_verdict unless_elsewhere(struct mr_assess *a, const mr_coat_heats *coats,
                                               const struct mr_coat_heat *coat, const struct mr_rise_band *b,
                                               struct mr_heat_verdict v) {
    if (v.outcome != MR_DOES_NOT_CONFORM || (v.kind != MR_HEAT_WEAK && v.kind != MR_HEAT_NO_REACTION))
        return v;
    struct mr_heat_elsewhere e = mr_heat_elsewhere(a, coats, coat, v.probe, false, least_of(b));
    return e.why ? (struct mr_heat_verdict){MR_NOT_SHOWN, MR_HEAT_UNKNOWN, v.probe, e.why, e.next, MR_HEAT_CLEAR} : v;
}

/* Heat that a probe elsewhere saw as well shows no reaction. */
static struct mr_heat_verdict unless_alike(struct mr_assess *a, const struct mr_coat_heat *coat,
                                           struct mr_heat_verdict v) {
    const struct mr_heat_event *e = v.outcome == MR_CONFORMS && v.probe ? mr_heat_seen_alike(a, coat, v.probe) : NULL;
    if (e == NULL)
        return v;
    const char *why =
        mr_printf(a->arena,
                  "The probe on %s, where nothing was sprayed then, warmed by %s at the same moment: sun or warm air "
                  "may have warmed both.",
                  a->aligned->zones.v[e->zone].name,
                  mr_value_text(a, mr_from_canonical(a->job->display.rise, e->rise_k), a->job->display.rise, 1));
    return (struct mr_heat_verdict){MR_NOT_SHOWN,
                                    MR_HEAT_UNKNOWN,
                                    v.probe,
                                    why,
                                    "Find out what warmed both; if the other zone was sprayed then, enter its coat "
                                    "in the spray log. Test the film "
                                    "for hardness.",
                                    MR_HEAT_CLEAR};
}

static struct mr_heat_verdict worst_of(struct mr_assess *a, const mr_coat_heats *coats,
                                       const struct mr_coat_heat *coat, struct mr_rise_band *out_band) {
    struct mr_heat_verdict worst = {MR_NOT_SHOWN,
                                    MR_HEAT_UNKNOWN,
                                    NULL,
                                    "No temperature probe was on the zone.",
                                    "Keep a probe on the zone from 10 min before the first trigger pull.",
                                    MR_HEAT_CLEAR};
    *out_band = mr_rise_band_of(a, coat, NULL);
    for (size_t i = 0; i < coat->n_probes; i++) {
        struct mr_rise_band band = mr_rise_band_of(a, coat, &coat->probes[i]);
        struct mr_heat_verdict v =
            unless_elsewhere(a, coats, coat, &band, mr_heat_verdict_of(a, coat, &band, &coat->probes[i]));
        v = unless_alike(a, coat, v);
        v = mr_heat_not_parted(a, coat, v);
        if (worst.probe && (v.outcome < worst.outcome || (v.outcome == worst.outcome && v.kind <= worst.kind)))
            continue;
        worst = v;
        *out_band = band;
    }
    return worst;
}

static void add_lines(struct mr_assess *a, const struct mr_coat_heat *coat, const struct mr_probe_heat *p,
                      mr_evidence_list *list) {
    const struct mr_window *w = &a->aligned->windows.v[coat->window];
    if (p && p->event != MR_NONE)
        mr_add_evidence(a, list, a->out->heats.v[p->event].place,
                        mr_printf(a->arena, "temperature of %s, onset to end", p->track->channel));
    else if (p)
        mr_evidence_track(a, list, p->track, w->t0_utc_ms, w->t1_utc_ms, "temperature over the window");
    mr_add_evidence(a, list, w->place, w->found ? "window found in the data" : "spray window");
}

static void tell(struct mr_assess *a, const struct mr_coat_heat *coat, const struct mr_check *c,
                 const struct mr_heat_verdict *v, const char *figures) {
    static const struct {
        const char *id, *what;
    } words[] = {
        [MR_HEAT_FITS] = {"", ""},
        [MR_HEAT_UNKNOWN] = {"heat-not-shown", "the reaction is not shown"},
        [MR_HEAT_HOT] = {"hot-reaction", "too much heat"},
        [MR_HEAT_WEAK] = {"weak-reaction", "too little heat"},
        [MR_HEAT_NO_REACTION] = {"no-reaction", "the film did not react"},
    };
    if (v->kind == MR_HEAT_FITS)
        return;
    enum mr_severity severity = v->outcome == MR_DOES_NOT_CONFORM ? MR_ERROR : MR_WARNING;
    struct mr_finding f = mr_finding_of(c, words[v->kind].id, severity);
    const struct mr_window *w = &a->aligned->windows.v[coat->window];
    f.t0_utc_ms = v->probe && v->probe->event != MR_NONE ? a->out->heats.v[v->probe->event].t_onset : w->t0_utc_ms;
    f.t1_utc_ms = w->t1_utc_ms > f.t0_utc_ms ? w->t1_utc_ms : f.t0_utc_ms;
    f.what = mr_printf(a->arena, "%s: %s. %s%s%s", mr_capitalised(a, mr_zone_label(a, coat->zone, coat->coat)),
                       words[v->kind].what, v->why, *figures ? " " : "", figures);
    f.next_step = v->next;
    mr_add_finding(a, &f);
}

/* Shown beside a verdict only where it was determined. */
static double shown_rise_k(const struct mr_probe_heat *p) {
    return p && p->rise_se_k > 0.0 && p->rise_se_k < fabs(p->rise_k) ? p->rise_k : MR_NAN;
}

static void judge_rise(struct mr_assess *a, const mr_coat_heats *coats, const struct mr_coat_heat *coat,
                       struct mr_heat_row *row) {
    struct mr_rise_band b;
    struct mr_heat_verdict v = worst_of(a, coats, coat, &b);
    struct mr_check c = mr_blank_check("reaction.rise", "Rise of the coat", "reaction", coat->zone, coat->coat);
    double rise_k = shown_rise_k(v.probe);
    c.outcome = v.outcome;
    c.unit = b.unit;
    c.decimals = b.decimals;
    c.measured = mr_from_canonical(b.unit, rise_k);
    c.limit_low = mr_from_canonical(b.unit, b.low_k);
    c.limit_high = mr_from_canonical(b.unit, b.high_k);
    c.rule = b.steel || b.film ? "rise inside the band, scaled to the zone" : "rise inside the band";
    c.source = b.source;
    const char *figures = "";
    if (!isnan(rise_k) && v.probe->pulse != MR_PULSE_NONE && v.probe->pulse != MR_PULSE_UNFIT)
        figures = mr_printf(a->arena, "Rise %s (95 %%). %s", mr_rise_doubt_text(a, &b, rise_k, v.probe->rise_se_k),
                            band_text(a, coat, &b, rise_k, v.probe->rise_se_k));
    c.detail = mr_printf(a->arena, "%s%s%s", v.why, *figures ? " " : "", figures);
    add_lines(a, coat, v.probe, &c.evidence);
    mr_add_check(a, &c);
    tell(a, coat, &c, &v, figures);
    *row = (struct mr_heat_row){.probe = v.probe,
                                .low_k = b.low_k,
                                .high_k = b.high_k,
                                .factor = b.factor,
                                .scaled = b.steel || b.film,
                                .outcome = v.outcome,
                                .why = v.why};
}

/* The probe that saw the latest onset; one without an onset comes last of all. */
static const struct mr_probe_heat *latest(const struct mr_coat_heat *coat) {
    const struct mr_probe_heat *last = NULL;
    for (size_t i = 0; i < coat->n_probes; i++) {
        const struct mr_probe_heat *p = &coat->probes[i];
        if ((p->pulse == MR_PULSE_IN_TIME || p->pulse == MR_PULSE_LATE) && (!last || p->onset_s > last->onset_s))
            last = p;
    }
    return last;
}

/* next: what settles the clock; NULL where it is not in doubt. */
static void tell_late(struct mr_assess *a, const struct mr_coat_heat *coat, const struct mr_probe_heat *p,
                      const struct mr_check *c, const char *next) {
    struct mr_finding f = mr_finding_of(c, "late-reaction", next ? MR_WARNING : MR_ERROR);
    f.t0_utc_ms = a->aligned->windows.v[coat->window].t0_utc_ms;
    f.t1_utc_ms = a->out->heats.v[p->event].t_onset;
    f.what = mr_printf(a->arena, "%s: the heat came late. %s",
                       mr_capitalised(a, mr_zone_label(a, coat->zone, coat->coat)), c->detail);
    f.next_step = next ? next : "Check the clocks of spray log and logger first, then mix and material temperature.";
    mr_add_finding(a, &f);
}

static void judge_onset(struct mr_assess *a, const mr_coat_heats *coats, const struct mr_coat_heat *coat) {
    const struct mr_window *w = &a->aligned->windows.v[coat->window];
    const struct mr_settings *set = a->aligned->zones.v[coat->zone].settings;
    const struct mr_probe_heat *p = latest(coat);
    double late = mr_set_num(set, MR_RISE_LATE), span = (double)(w->t1_utc_ms - w->t0_utc_ms) * 1e-3;
    if (isnan(late))
        return;
    struct mr_check c = mr_blank_check("reaction.onset", "Onset of the heat", "reaction", coat->zone, coat->coat);
    c.unit = MR_UNIT_MIN;
    c.decimals = 1;
    c.limit_high = fmax(late, span) / 60.0;
    c.rule = span > late ? "onset within the spray window" : "onset soon after the window opens";
    c.source = mr_source_of(a, set, MR_RISE_LATE);
    c.measured = p ? p->onset_s / 60.0 : MR_NAN;
    double doubt = p ? 1.96 * p->onset_se_s + mr_set_num(&a->job->settings, MR_CLOCK_TOLERANCE) : MR_NAN;
    bool sure = p && !p->lower_bound && p->other_window == MR_NONE && p->also_of == MR_NONE &&
                p->rise_se_k < 0.25 * p->rise_k;
    if (!p)
        c.detail = "No onset is shown.";
    else if (p->lower_bound)
        c.detail = "The record begins or ends within the rise, so its onset is not certain.";
    else
        c.detail = mr_printf(a->arena, "The heat began %.1f min after the window opened.", c.measured);
    c.outcome = MR_NOT_SHOWN;
    if (sure && !mr_above(c.measured, c.limit_high))
        c.outcome = MR_CONFORMS;
    else if (sure && mr_above(c.measured - doubt / 60.0, c.limit_high))
        c.outcome = MR_DOES_NOT_CONFORM;
    struct mr_heat_elsewhere off = {NULL, NULL};
    if (c.outcome == MR_DOES_NOT_CONFORM) {
        struct mr_rise_band b = mr_rise_band_of(a, coat, p);
        off = mr_heat_elsewhere(a, coats, coat, p, true, least_of(&b));
    }
    if (off.why) {
        c.outcome = MR_NOT_SHOWN;
        c.detail = mr_printf(a->arena, "%s %s", c.detail, off.why);
    }
    add_lines(a, coat, p, &c.evidence);
    mr_add_check(a, &c);
    if (off.why || c.outcome == MR_DOES_NOT_CONFORM)
        tell_late(a, coat, p, &c, off.next);
}

/* ---- the mix check at the gun ---- */

static const struct mr_heat_event *gun_event(const struct mr_assess *a, int64_t from, int64_t to) {
    for (size_t i = 0; i < a->out->heats.n; i++) {
        const struct mr_heat_event *e = &a->out->heats.v[i];
        if (e->gun && e->t_onset >= from && e->t_onset <= to)
            return e;
    }
    return NULL;
}

/* How much of from..to the probes at the gun recorded; NaN where the job has none there. */
static double gun_cover_pct(const struct mr_assess *a, int64_t from, int64_t to) {
    size_t samples = 0, held = 0, probes = 0;
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *t = &a->aligned->tracks.v[i];
        for (size_t s = 0; s < t->stays.n; s++) {
            if (!t->stays.v[s].gun || t->stays.v[s].t0_utc_ms > from || t->stays.v[s].t1_utc_ms < from)
                continue;
            probes++;
            for (size_t k = mr_track_first(t, from); k < t->n && mr_track_ms(t, k) <= to; k++, samples++)
                held += isnan(mr_track_value(t, k)) ? 0 : 1;
        }
    }
    return samples ? 100.0 * (double)held / (double)samples : probes ? 0.0 : MR_NAN;
}

/* What the probes at the gun recorded then, or next to it: the clocks that the verdict hangs on. */
static void add_gun_lines(struct mr_assess *a, int64_t from, int64_t to, mr_evidence_list *list) {
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *t = &a->aligned->tracks.v[i];
        for (size_t s = 0; s < t->stays.n; s++)
            if (t->stays.v[s].gun && t->stays.v[s].t0_utc_ms <= from && t->stays.v[s].t1_utc_ms >= from)
                mr_evidence_track(a, list, t, from, to, "temperature at the gun");
    }
}

static void tell_mix_check(struct mr_assess *a, const struct mr_action_at *at, const struct mr_check *c,
                           const char *what, const char *next) {
    const bool not_shown = c->outcome == MR_NOT_SHOWN;
    struct mr_finding f =
        mr_finding_of(c, not_shown ? "heat-not-shown" : "no-reaction", not_shown ? MR_WARNING : MR_ERROR);
    f.t0_utc_ms = at->t0_utc_ms;
    f.t1_utc_ms = at->t1_utc_ms;
    f.what = what;
    f.next_step = next ? next : "Stop spraying until a mix check warms; check lines, valves and material.";
    mr_add_finding(a, &f);
}

static void judge_mix_check(struct mr_assess *a, const mr_coat_heats *coats, const struct mr_action_at *at) {
    const struct mr_settings *set = &a->job->settings;
    int64_t slack = mr_setting_ms(set, MR_CLOCK_TOLERANCE), late = mr_setting_ms(set, MR_RISE_LATE);
    int64_t from = at->t0_utc_ms - slack, to = at->t1_utc_ms + late;
    double cover = gun_cover_pct(a, at->t0_utc_ms, to), none = mr_set_num(set, MR_RISE_NONE);
    if (isnan(cover) && !at->log->failed)
        return; /* no probe at the gun: nothing asks for one */
    const struct mr_heat_event *e = gun_event(a, from, to);
    struct mr_heat_elsewhere off = {NULL, NULL};
    struct mr_check c = mr_blank_check("reaction.mix-check", "Mix check at the gun", "reaction", MR_NONE, 0);
    double rise = e ? (e->fit == MR_FIT_OK ? e->rise_fit_k : e->rise_k) : MR_NAN;
    c.unit = a->job->display.rise;
    c.decimals = 1;
    c.measured = mr_from_canonical(c.unit, rise);
    c.limit_low = mr_from_canonical(c.unit, none);
    c.rule = "the mix warms before it is sprayed";
    c.source = mr_source_of(a, set, MR_RISE_NONE);
    c.outcome = e && !mr_below(rise, none) ? MR_CONFORMS : MR_DOES_NOT_CONFORM;
    const char *seen = e             ? mr_printf(a->arena, "rise of %s", mr_value_text(a, c.measured, c.unit, 1))
                       : cover > 0.0 ? "no rise was seen"
                                     : "the probe at the gun has no record of it";
    if (!e && cover < mr_set_num(set, MR_RISE_COVER)) {
        c.outcome = MR_NOT_SHOWN;
        off.next = "Find the probe's data, check its dates, and log from before the mix check.";
    } else if (c.outcome == MR_DOES_NOT_CONFORM) {
        off = mr_mix_check_elsewhere(a, coats, at, none);
        c.outcome = off.why ? MR_NOT_SHOWN : c.outcome;
    }
    if (at->log->failed) {
        seen = mr_printf(a->arena, "the log says \"%s\"", at->log->action_text);
        c.outcome = MR_DOES_NOT_CONFORM;
    }
    c.detail = mr_printf(a->arena, "Mix check at %s: %s.%s%s", mr_moment_text(a, at->t0_utc_ms), seen,
                         off.why ? " " : "", off.why ? off.why : "");
    if (e)
        mr_add_evidence(a, &c.evidence, e->place, "temperature at the gun");
    else
        add_gun_lines(a, at->t0_utc_ms, to, &c.evidence);
    mr_add_evidence(a, &c.evidence, at->place, "mix check in the spray log");
    const char *what = c.detail; /* as it is before a doubt holds the check back; the finding says that too */
    mr_add_check(a, &c);
    if (c.outcome != MR_CONFORMS)
        tell_mix_check(a, at, &c, what, off.next);
}

void mr_heat_judge(struct mr_assess *a, const mr_coat_heats *coats) {
    struct mr_heat_row *rows = MR_ARRAY(a->arena, struct mr_heat_row, coats->n);
    for (size_t i = 0; i < coats->n; i++) {
        const struct mr_coat_heat *coat = &coats->v[i];
        if (!mr_set_flag(a->aligned->zones.v[coat->zone].settings, MR_REACTION_REQUIRED)) {
            rows[i] = (struct mr_heat_row){.probe = coat->n_probes ? &coat->probes[0] : NULL,
                                           .low_k = MR_NAN,
                                           .high_k = MR_NAN,
                                           .factor = 1.0,
                                           .outcome = MR_NOT_REQUIRED,
                                           .why = "The specification does not ask for it."};
            continue;
        }
        judge_rise(a, coats, coat, &rows[i]);
        judge_onset(a, coats, coat);
    }
    mr_add_unjudged(a, "reaction", "heat of the coat", "reaction", MR_REACTION_REQUIRED);
    for (size_t i = 0; i < a->aligned->actions.n; i++)
        if (a->aligned->actions.v[i].log->action == MR_ACTION_MIX_CHECK &&
            a->aligned->actions.v[i].t0_utc_ms != MR_T_NONE)
            judge_mix_check(a, coats, &a->aligned->actions.v[i]);
    mr_heat_table_coats(a, coats, rows);
    mr_heat_table_events(a);
}
