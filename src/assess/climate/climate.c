/*
 * climate.c - was the weather fit, and the steel, for as long as the specification demands?
 *
 * For each coat: the time from `lead time` before its window to `cure time` after it. Each limit that is set gives
 * one check: the worst value, the minutes out of the limit and how much of that time data cover. Out for longer than
 * tolerated does not conform, whatever the coverage; else too little coverage is not shown. The greatest steel
 * temperature is asked of bare steel, so it ends with the window's opening: a probe on the zone then feels the
 * reaction.
 *
 * A logged dew point is preferred where it covers the time, else dew point comes from air temperature and humidity
 * (dew_point.c); where both exist they are compared. Which instrument serves is align's rule (mr_climate_at).
 */
#include "assess/climate/climate.h"

#include <math.h>
#include <string.h>

/* The limits, in the order of checks. */
static const struct mr_climate_limit limit_rows[MR_CLIMATE_LIMITS] = {
    {MR_SPREAD_MIN, MR_Q_SPREAD, false, false, "climate.spread", "Dew-point spread", "dew-point-spread",
     "steel stays above the dew point by at least the spread", "dew-point spread"},
    {MR_RH_MAX, MR_Q_RH, true, false, "climate.humidity", "Relative humidity", "humidity",
     "humidity stays at or below its limit", "relative humidity"},
    {MR_AIR_MIN, MR_Q_AIR, false, false, "climate.air-minimum", "Lowest air temperature", "air-cold",
     "air stays at or above its limit", "air temperature"},
    {MR_AIR_MAX, MR_Q_AIR, true, false, "climate.air-maximum", "Highest air temperature", "air-hot",
     "air stays at or below its limit", "air temperature"},
    {MR_STEEL_MIN, MR_Q_STEEL, false, false, "climate.steel-minimum", "Lowest steel temperature", "steel-cold",
     "steel stays at or above its limit", "steel temperature"},
    {MR_STEEL_MAX, MR_Q_STEEL, true, true, "climate.steel-maximum", "Highest steel temperature", "steel-hot",
     "bare steel stays at or below its limit before the material lands", "steel temperature"},
};

/* --- wording ----------------------------------------------------------------------------------------- */

static const char *phase_of(const struct mr_period *p, int64_t t_ms) {
    if (t_ms < p->window->t0_utc_ms)
        return "before the window";
    return t_ms > p->window->t1_utc_ms ? "after the window" : "during the window";
}

static void add_stretch_evidence(struct mr_assess *a, const struct mr_climate_tracks *k, enum mr_quantity quantity,
                                 int64_t t0, int64_t t1, mr_evidence_list *list) {
    bool spread = quantity == MR_Q_SPREAD;
    if (spread || quantity == MR_Q_STEEL)
        mr_evidence_track(a, list, k->steel, t0, t1, "steel temperature");
    if (spread && k->dew != NULL)
        mr_evidence_track(a, list, k->dew, t0, t1, "logged dew point");
    if (quantity == MR_Q_AIR || (spread && k->dew == NULL))
        mr_evidence_track(a, list, k->air, t0, t1, "air temperature");
    if (quantity == MR_Q_RH || (spread && k->dew == NULL))
        mr_evidence_track(a, list, k->rh, t0, t1, "relative humidity");
}

static void add_stretches_evidence(struct mr_assess *a, const struct mr_period *p, enum mr_quantity quantity,
                                   int64_t t0, int64_t t1, mr_evidence_list *list) {
    for (size_t i = 0; i < p->stretches.n; i++) {
        const struct mr_climate_stretch *s = &p->stretches.v[i];
        int64_t from = s->from_ms > t0 ? s->from_ms : t0, to = s->to_ms < t1 ? s->to_ms : t1;
        if (from <= to && (i == 0 || from < to))
            add_stretch_evidence(a, &s->tracks, quantity, from, to, list);
    }
}

void mr_climate_evidence(struct mr_assess *a, const struct mr_period *p, size_t i, int64_t t0, int64_t t1,
                         mr_evidence_list *list) {
    if (p->other[i] != NULL)
        add_stretch_evidence(a, p->other[i], p->watch[i].quantity, t0, t1, list);
    else
        add_stretches_evidence(a, p, p->watch[i].quantity, t0, t1, list);
    mr_add_silent_evidence(a, p, i, list);
}

static const char *next_step_for(enum mr_quantity quantity) {
    switch (quantity) {
    case MR_Q_SPREAD:
        return "Test adhesion and examine the film sprayed then for trapped moisture; decide on repair from that.";
    case MR_Q_RH:
        return "Examine the film sprayed then, and ask the engineer whether it may stay.";
    case MR_Q_AIR:
    case MR_Q_STEEL:
    case MR_Q_DEW:
    case MR_Q_COUNT:
        break;
    }
    return "Compare the reaction on this zone with its neighbours, and ask the engineer whether the film may stay.";
}

/* The one that misses was not the first choice: it may have stood elsewhere, or be wrong. */
static const char *other_step(struct mr_assess *a, const struct mr_climate_tracks *k, enum mr_quantity quantity) {
    const struct mr_track *track = quantity == MR_Q_STEEL ? k->steel : quantity == MR_Q_AIR ? k->air : k->rh;
    if (quantity == MR_Q_SPREAD)
        track = k->dew != NULL ? k->dew : k->steel;
    return mr_printf(
        a->arena, "Another instrument shows the limit kept; if %s stood elsewhere, state its zones in the job file.",
        mr_climate_instrument(track));
}

static void find_out_of_limits(struct mr_assess *a, const struct mr_period *p, size_t i) {
    const struct mr_climate_limit *row = p->row[i];
    const struct mr_watch *w = &p->watch[i];
    struct mr_finding f = mr_blank_finding(row->kind, MR_ERROR, p->window->zone, p->window->coat);
    f.t0_utc_ms = w->first_out_ms;
    f.t1_utc_ms = w->last_out_ms;
    f.measured = w->worst;
    f.limit = w->limit;
    f.unit = w->unit;
    f.decimals = mr_miss_decimals(w->worst, w->limit, p->limit[i].decimals);
    f.rule = row->rule;
    f.source = p->limit[i].source;
    f.what = mr_printf(a->arena, "%s: %s was %s at %s, %s (limit %s %s); out of the limit for %s within %s.",
                       mr_capitalised(a, mr_zone_label(a, f.zone, f.coat)), row->name,
                       mr_value_text(a, w->worst, w->unit, f.decimals), mr_moment_text(a, w->worst_ms),
                       phase_of(p, w->worst_ms), row->upper ? "at most" : "at least",
                       mr_value_text(a, w->limit, w->unit, -1), mr_ms_text(a, w->out_ms),
                       mr_span_text(a, w->first_out_ms, w->last_out_ms));
    f.next_step = next_step_for(row->quantity);
    if (p->other[i] != NULL)
        f.next_step = mr_printf(a->arena, "%s %s", f.next_step, other_step(a, p->other[i], row->quantity));
    mr_climate_evidence(a, p, i, w->first_out_ms, w->last_out_ms, &f.evidence);
    mr_add_evidence(a, &f.evidence, p->window->place, "the window");
    mr_add_finding(a, &f);
    struct mr_shift_event s = {
        MR_EVENT_CLIMATE,
        p->window->shift,
        w->first_out_ms,
        w->last_out_ms,
        f.zone,
        mr_printf(a->arena, "%s out of its limit: %s", row->name, mr_value_text(a, w->worst, w->unit, f.decimals)),
        MR_DOES_NOT_CONFORM,
        f.evidence.n > 0 ? f.evidence.v[0].place : p->window->place};
    mr_add_shift_event(a, &s);
}

/* Told apart from time out of the limit: too short for the sensor, or one sample. */
static void find_brief(struct mr_assess *a, const struct mr_period *p, size_t i, enum mr_outcome outcome) {
    const struct mr_watch *w = &p->watch[i];
    struct mr_finding f = mr_blank_finding("brief-excursion", outcome == MR_NOT_SHOWN ? MR_WARNING : MR_NOTE,
                                           p->window->zone, p->window->coat);
    f.t0_utc_ms = f.t1_utc_ms = w->worst_ms;
    f.measured = w->worst;
    f.limit = w->limit;
    f.unit = w->unit;
    f.decimals = mr_miss_decimals(w->worst, w->limit, p->limit[i].decimals);
    f.rule = p->row[i]->rule;
    f.source = mr_source_of(a, p->settings, MR_CLIMATE_RESPONSE);
    f.what = mr_printf(a->arena,
                       "%s: %s was out of its limit in %zu brief excursion%s, %s together, worst %s at %s (limit %s "
                       "%s); shorter than the sensor's response of %s or seen in one sample, so kept apart.",
                       mr_capitalised(a, mr_zone_label(a, f.zone, f.coat)), p->row[i]->name, w->n_brief,
                       w->n_brief == 1 ? "" : "s", mr_ms_text(a, w->brief_ms),
                       mr_value_text(a, w->worst, w->unit, f.decimals), mr_moment_text(a, w->worst_ms),
                       w->upper ? "at most" : "at least", mr_value_text(a, w->limit, w->unit, -1),
                       mr_ms_text(a, (double)w->response_ms));
    f.next_step = "Compare with a second sensor, and log faster if the excursion shows in one sample only.";
    mr_climate_evidence(a, p, i, w->worst_ms, w->worst_ms, &f.evidence);
    mr_add_evidence(a, &f.evidence, p->window->place, "the window");
    mr_add_finding(a, &f);
}

/* One finding per window for all limits that data do not cover. */
static void find_uncovered(struct mr_assess *a, const struct mr_period *p, const char *names, double coverage_pct,
                           const char *kind) {
    struct mr_finding f = mr_blank_finding(kind, MR_WARNING, p->window->zone, p->window->coat);
    f.t0_utc_ms = p->from_ms;
    f.t1_utc_ms = p->to_ms;
    f.measured = coverage_pct;
    f.limit = mr_set_num(p->settings, MR_CLIMATE_COVER);
    f.unit = MR_UNIT_PCT;
    f.decimals = 0;
    f.rule = "data cover the time for which the limits hold";
    f.source = mr_source_of(a, p->settings, MR_CLIMATE_COVER);
    f.what = mr_printf(a->arena, "%s: the data cover only %.0f %% of %s; not shown: %s.",
                       mr_capitalised(a, mr_zone_label(a, f.zone, f.coat)), coverage_pct,
                       mr_span_text(a, p->from_ms, p->to_ms), names);
    f.next_step = "Add the exports of the hygrometer and the steel probe for that time, or state in the job file "
                  "which instrument serves this zone.";
    add_stretches_evidence(a, p, MR_Q_SPREAD, p->from_ms, p->to_ms, &f.evidence);
    mr_add_evidence(a, &f.evidence, p->window->place, "the window");
    mr_add_finding(a, &f);
}

/* --- judgement --------------------------------------------------------------------------------------- */

/* A difference of temperatures in the steps of their scale. */
static enum mr_unit difference_unit(enum mr_unit unit) {
    return unit == MR_UNIT_C ? MR_UNIT_RISE_K : unit == MR_UNIT_F ? MR_UNIT_RISE_F : unit;
}

static const char *detail_of(struct mr_assess *a, const struct mr_period *p, size_t i, enum mr_outcome outcome) {
    const struct mr_watch *w = &p->watch[i];
    if (isnan(w->worst))
        return mr_printf(a->arena, "No data for %s.", mr_span_text(a, w->from_ms, w->to_ms));
    const char *cover =
        mr_printf(a->arena, "data cover %.0f %% of %s", w->coverage_pct, mr_span_text(a, w->from_ms, w->to_ms));
    if (w->first_out_ms == MR_T_NONE && w->n_brief > 0)
        return mr_printf(a->arena,
                         "%s of %s together, too short for the sensor or seen in one sample, kept apart; %s.",
                         w->n_brief == 1 ? "1 excursion" : mr_printf(a->arena, "%zu excursions", w->n_brief),
                         mr_ms_text(a, w->brief_ms), cover);
    if (outcome == MR_NOT_SHOWN && mr_climate_too_near(w) && w->first_out_ms == MR_T_NONE)
        return mr_printf(
            a->arena, "The worst value, %s, is nearer to the limit than the sensor's uncertainty of %s; %s.",
            phase_of(p, w->worst_ms), mr_value_text(a, w->uncertainty, difference_unit(w->unit), -1), cover);
    if (w->unheard && w->first_out_ms == MR_T_NONE)
        return mr_printf(a->arena,
                         "%s stood on the zone, as the job has it, and recorded nothing. As others show it: %s.",
                         mr_capitalised(a, p->silent[i]), cover);
    if (w->unplaced && w->first_out_ms == MR_T_NONE)
        return mr_printf(a->arena, "%s shows the limit missed, and nobody states where it stood. As shown here: %s.",
                         mr_unplaced_name(p, i), cover);
    if (w->lost && w->first_out_ms == MR_T_NONE)
        return mr_printf(a->arena, "%s; a straight line crosses it; %s.", mr_capitalised(a, p->lost[i]), cover);
    if (w->first_out_ms == MR_T_NONE)
        return mr_printf(a->arena, "%s Worst %s; %s.",
                         outcome == MR_NOT_SHOWN ? "Too little data." : "Never out of the limit.",
                         phase_of(p, w->worst_ms), cover);
    return mr_printf(a->arena, "Out of the limit for %.1f min, worst %s; %s.", w->out_ms / 60e3,
                     phase_of(p, w->worst_ms), cover);
}

static void add_limit_checks(struct mr_assess *a, struct mr_period *p) {
    const char *uncovered = NULL;
    double least_cover = 100.0;
    for (size_t i = 0; i < p->n; i++) {
        const struct mr_watch *w = &p->watch[i];
        struct mr_check c =
            mr_blank_check(p->row[i]->id, p->row[i]->title, "climate", p->window->zone, p->window->coat);
        c.outcome = mr_climate_judge(p, w);
        c.measured = w->worst;
        c.unit = w->unit;
        c.decimals = c.outcome == MR_DOES_NOT_CONFORM ? mr_miss_decimals(w->worst, w->limit, p->limit[i].decimals)
                                                      : p->limit[i].decimals;
        *(w->upper ? &c.limit_high : &c.limit_low) = w->limit;
        c.rule = p->row[i]->rule;
        c.source = p->limit[i].source;
        c.detail = detail_of(a, p, i, c.outcome);
        bool out = w->first_out_ms != MR_T_NONE;
        mr_climate_evidence(a, p, i, out ? w->first_out_ms : w->from_ms, out ? w->last_out_ms : w->to_ms,
                            &c.evidence);
        mr_add_evidence(a, &c.evidence, p->window->place, "the window");
        mr_add_check(a, &c);
        p->worst = mr_outcome_worst(p->worst, c.outcome);
        if (c.outcome == MR_DOES_NOT_CONFORM)
            find_out_of_limits(a, p, i);
        if (w->n_brief > 0)
            find_brief(a, p, i, c.outcome);
        if (mr_below(w->coverage_pct, mr_set_num(p->settings, MR_CLIMATE_COVER))) {
            uncovered =
                uncovered == NULL ? p->row[i]->title : mr_printf(a->arena, "%s, %s", uncovered, p->row[i]->title);
            least_cover = fmin(least_cover, w->coverage_pct);
        }
    }
    if (uncovered != NULL)
        find_uncovered(a, p, uncovered, least_cover, "climate-coverage");
    mr_find_silent(a, p);
    mr_find_lost(a, p);
    mr_find_unplaced(a, p);
}

void mr_climate_set_up(struct mr_assess *a, struct mr_period *p) {
    p->from_ms = p->window->t0_utc_ms - mr_setting_ms(p->settings, MR_CLIMATE_LEAD);
    p->to_ms = p->window->t1_utc_ms + mr_setting_ms(p->settings, MR_CLIMATE_CURE);
    p->gap_ms = mr_setting_ms(p->settings, MR_CLIMATE_GAP);
    for (size_t i = 0; i < MR_CLIMATE_LIMITS; i++) {
        struct mr_limit limit = mr_limit_of(a, p->settings, limit_rows[i].setting);
        if (!limit.set)
            continue;
        p->row[p->n] = &limit_rows[i];
        p->limit[p->n] = limit;
        p->watch[p->n++] = (struct mr_watch){.quantity = limit_rows[i].quantity,
                                             .upper = limit_rows[i].upper,
                                             .limit = limit.written,
                                             .unit = limit.unit,
                                             .from_ms = p->from_ms,
                                             .to_ms = limit_rows[i].bare_only ? p->window->t0_utc_ms : p->to_ms,
                                             .brief_apart = true,
                                             .response_ms = mr_setting_ms(p->settings, MR_CLIMATE_RESPONSE)};
    }
}

/* --- logged against computed dew point --------------------------------------------------------------- */

static void find_dew_differences(struct mr_assess *a, const struct mr_dew_compare *compare) {
    double limit = mr_set_num(&a->job->settings, MR_DEW_DIFFER);
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_dew_compare *c = &compare[i];
        if (c->n == 0 || isnan(limit) || !mr_above(c->sum_k / (double)c->n, limit))
            continue;
        const struct mr_track *track = &a->aligned->tracks.v[i];
        struct mr_finding f = mr_blank_finding("dew-point-differs", MR_WARNING, MR_NONE, 0);
        f.t0_utc_ms = f.t1_utc_ms = c->worst_ms;
        f.measured = c->sum_k / (double)c->n;
        f.limit = limit;
        f.unit = MR_UNIT_RISE_K;
        f.decimals = 2;
        f.rule = "logged and computed dew point agree";
        f.source = mr_source_of(a, &a->job->settings, MR_DEW_DIFFER);
        f.what = mr_printf(
            a->arena,
            "The dew point that %s logs differs from the one computed from air temperature and humidity by %.1f K on "
            "average over %zu samples, at most by %.1f K.",
            mr_climate_instrument(track), f.measured, c->n, c->worst_k);
        f.next_step = "Have the hygrometer calibrated, and check that its columns hold what their headings say.";
        mr_evidence_track(a, &f.evidence, track, c->worst_ms, c->worst_ms, "the greatest difference");
        mr_add_finding(a, &f);
    }
}

/* --- coats ------------------------------------------------------------------------------------------- */

static void judge_window(struct mr_assess *a, const struct mr_window *window, struct mr_table *table,
                         struct mr_table *spreads, struct mr_dew_compare *compare,
                         const struct mr_unanswered *unanswered) {
    struct mr_period p = {.window = window, .settings = a->aligned->zones.v[window->zone].settings};
    mr_climate_set_up(a, &p);
    mr_sweep_stretches(a, &p, compare);
    mr_hear_other_tracks(a, &p);
    mr_hear_silent_places(a, &p, unanswered);
    mr_hear_lost(a, &p);
    add_limit_checks(a, &p);
    mr_climate_row(a, table, &p);
    mr_least_spread_row(a, spreads, &p);
}

void mr_assess_climate(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    struct mr_table *table = mr_climate_table(a), *spreads = mr_least_spread_table(a);
    struct mr_dew_compare *compare = MR_ARRAY(a->arena, struct mr_dew_compare, al->tracks.n);
    const struct mr_unanswered *unanswered = mr_unanswered_places(a);
    for (size_t i = 0; i < al->windows.n; i++)
        if (mr_set_flag(al->zones.v[al->windows.v[i].zone].settings, MR_CLIMATE_REQUIRED))
            judge_window(a, &al->windows.v[i], table, spreads, compare, unanswered);
    mr_add_unjudged(a, "climate", "climate at the coat", "climate", MR_CLIMATE_REQUIRED);
    find_dew_differences(a, compare);
    if (table->n_rows > 0)
        mr_add_table(a, table);
    if (spreads->n_rows > 0)
        mr_add_table(a, spreads);
}
