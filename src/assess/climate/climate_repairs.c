/*
 * climate_repairs.c - the climate while a repair was sprayed: it is held to the limits of a coat, with the lead and
 * the cure time. One check for each repair that had a missed limit of the film to make good. Any other is told and no
 * more: a log that names a repair must never come out worse than one that leaves it out.
 */
#include "assess/climate/climate.h"

#include "assess/finding/finding_text.h"

#include <math.h>

enum { HALF_DAY_MS = 43200000 };

/* "relative humidity 95.0 % (limit at most 85 %) at 2026-05-12 13:05:00" */
static const char *miss_text(struct mr_assess *a, const struct mr_period *p, size_t i) {
    const struct mr_watch *w = &p->watch[i];
    const int decimals = mr_miss_decimals(w->worst, w->limit, p->limit[i].decimals);
    return mr_printf(a->arena, "%s %s (limit %s %s) at %s", p->row[i]->name,
                     mr_value_text(a, w->worst, w->unit, decimals), w->upper ? "at most" : "at least",
                     mr_value_text(a, w->limit, w->unit, -1), mr_moment_text(a, w->worst_ms));
}

/* The limits of that outcome, named; missed ones with their figures. */
static const char *limits_of(struct mr_assess *a, const struct mr_period *p, enum mr_outcome outcome) {
    const char *text = "";
    for (size_t i = 0; i < p->n; i++)
        if (mr_climate_judge(p, &p->watch[i]) == outcome)
            text = mr_printf(a->arena, "%s%s%s", text, *text ? "; " : "",
                             outcome == MR_DOES_NOT_CONFORM ? miss_text(a, p, i) : p->row[i]->name);
    return text;
}

static enum mr_outcome worst_of(const struct mr_period *p) {
    enum mr_outcome worst = MR_NOT_REQUIRED;
    for (size_t i = 0; i < p->n; i++)
        worst = mr_outcome_worst(worst, mr_climate_judge(p, &p->watch[i]));
    return worst;
}

/* Whether the zone's film had missed a limit by then. */
static bool makes_good(const struct mr_assess *a, const struct mr_action_at *r) {
    for (size_t i = 0; i < a->out->nonconformances.n; i++) {
        const struct mr_nonconformance *n = &a->out->nonconformances.v[i];
        if (n->film && n->zone == r->zone && n->found_utc_ms <= r->t1_utc_ms)
            return true;
    }
    return false;
}

static const char *repair_step(enum mr_outcome outcome, bool timed) {
    if (!timed)
        return "Write start and stop of the repair in the spray log.";
    return outcome == MR_DOES_NOT_CONFORM
               ? "Have the repair assessed by the coating's supplier before it is accepted."
               : "Add the exports of the hygrometer and the steel probe for that time, or state in the job file "
                 "which "
                 "instrument serves this zone.";
}

/* Each limit's rows: a doubt over their clock holds the verdict back. */
static void add_evidence(struct mr_assess *a, const struct mr_period *p, mr_evidence_list *list) {
    for (size_t i = 0; i < p->n; i++) {
        const struct mr_watch *w = &p->watch[i];
        const bool out = w->first_out_ms != MR_T_NONE;
        mr_climate_evidence(a, p, i, out ? w->first_out_ms : w->from_ms, out ? w->last_out_ms : w->to_ms, list);
    }
}

static void judge_repair(struct mr_assess *a, const struct mr_action_at *r, struct mr_dew_compare *compare,
                         const struct mr_unanswered *unanswered) {
    const struct mr_zone *zone = &a->aligned->zones.v[r->zone];
    const struct mr_window window = {
        .zone = r->zone, .t0_utc_ms = r->t0_utc_ms, .t1_utc_ms = r->t1_utc_ms, .place = r->place};
    struct mr_period p = {.window = &window, .settings = zone->settings};
    const bool timed = r->t1_utc_ms - r->t0_utc_ms < HALF_DAY_MS; /* a day without a time is as long as the day */
    struct mr_check c = mr_blank_check("climate.repair", "Climate at the repair", "climate", r->zone, 0);
    c.outcome = MR_NOT_SHOWN;
    c.detail = mr_printf(a->arena, "The time of the repair of %s is not known.",
                         mr_day_label(a, mr_local_ms(a->aligned, r->t0_utc_ms)));
    if (timed) {
        mr_climate_set_up(a, &p);
        mr_sweep_stretches(a, &p, compare);
        mr_hear_other_tracks(a, &p);
        mr_hear_silent_places(a, &p, unanswered);
        mr_hear_lost(a, &p);
        c.outcome = worst_of(&p);
        const char *span = mr_span_text(a, p.from_ms, p.to_ms), *names = limits_of(a, &p, c.outcome);
        c.detail = c.outcome == MR_DOES_NOT_CONFORM
                       ? mr_printf(a->arena, "Repair of %s: %s.", mr_moment_text(a, r->t0_utc_ms), names)
                   : c.outcome == MR_NOT_SHOWN ? mr_printf(a->arena, "Repair of %s: too little data from %s for %s.",
                                                           mr_moment_text(a, r->t0_utc_ms), span, names)
                                               : mr_printf(a->arena, "Never out of the limits from %s.", span);
    }
    c.rule = "a repair is sprayed within the limits of a coat";
    c.source = MR_SRC_CP;
    mr_add_evidence(a, &c.evidence, r->place, "the repair");
    add_evidence(a, &p, &c.evidence);
    const bool judged = makes_good(a, r);
    if (judged)
        mr_add_check(a, &c);
    if (c.outcome < MR_NOT_SHOWN)
        return;
    struct mr_finding f =
        mr_finding_of(&c, "repair-climate", judged && c.outcome == MR_DOES_NOT_CONFORM ? MR_ERROR : MR_WARNING);
    f.t0_utc_ms = r->t0_utc_ms;
    f.t1_utc_ms = r->t1_utc_ms;
    f.what = mr_printf(a->arena, "Zone %s: %s", zone->name, c.detail);
    f.next_step = repair_step(c.outcome, timed);
    mr_add_finding(a, &f);
}

void mr_assess_repair_climate(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    struct mr_dew_compare *compare = MR_ARRAY(a->arena, struct mr_dew_compare, al->tracks.n);
    const struct mr_unanswered *unanswered = mr_unanswered_places(a);
    for (size_t i = 0; i < al->actions.n; i++) {
        const struct mr_action_at *r = &al->actions.v[i];
        if (r->log->action == MR_ACTION_REPAIR && r->zone < al->zones.n && r->t0_utc_ms != MR_T_NONE &&
            mr_set_flag(al->zones.v[r->zone].settings, MR_CLIMATE_REQUIRED))
            judge_repair(a, r, compare, unanswered);
    }
}
