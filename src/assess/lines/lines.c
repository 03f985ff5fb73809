/*
 * lines.c - did the two lines run on ratio and without a blockage while each coat was sprayed?
 *
 * Per window five checks: main pressure in its band; the lines close to each other; ripple small; no dropout; no
 * surge. The numbers come from line_scan.c. A violation does not conform, however little the data cover; without one,
 * too little coverage is not shown. Each event says what was being sprayed, and how far into the window, so that the
 * place can be looked at again. Pauses are pauses.c.
 */
#include "assess/lines/lines.h"

#include "assess/climate/sweep.h"

#include <math.h>
#include <string.h>

static void set_limits(struct mr_line_run *p) {
    const struct mr_settings *s = p->settings;
    p->limits = (struct mr_line_limits){.main_min_kpa = mr_set_num(s, MR_MAIN_MIN),
                                        .main_max_kpa = mr_set_num(s, MR_MAIN_MAX),
                                        .imbalance_pct = mr_set_num(s, MR_IMBALANCE_MAX),
                                        .dropout_pct = mr_set_num(s, MR_DROPOUT_BELOW),
                                        .surge_pct = mr_set_num(s, MR_SURGE_ABOVE),
                                        .relieved_kpa = mr_set_num(s, MR_RELIEVED_BELOW),
                                        .event_ms = mr_setting_ms(s, MR_LINE_EVENT_TIME),
                                        .gap_ms = mr_setting_ms(s, MR_LINE_GAP),
                                        .settle_ms = mr_setting_ms(s, MR_LINE_SETTLE),
                                        .pause_ms = mr_setting_ms(s, MR_PAUSE_FROM)};
}

/* --- checks ------------------------------------------------------------------------------------------ */

static size_t count_events(const struct mr_line_run *p, enum mr_line_kind one, enum mr_line_kind other) {
    size_t n = 0;
    for (size_t i = 0; i < p->r.events.n; i++)
        n += p->r.events.v[i].kind == one || p->r.events.v[i].kind == other;
    return n;
}

static const char *coverage_text(struct mr_assess *a, const struct mr_line_run *p, double coverage_pct) {
    return mr_printf(a->arena, "data cover %.0f %% of the window",
                     p->tracks.a == NULL && p->tracks.b == NULL ? 0.0 : coverage_pct);
}

/* Completes a check and adds it: out of limits, else too little data, else conforms. */
static void settle_check(struct mr_assess *a, struct mr_line_run *p, struct mr_check *c, bool violated, bool known,
                         double coverage_pct, const char *detail, size_t lone) {
    bool covered = known && !mr_below(coverage_pct, mr_set_num(p->settings, MR_LINE_COVER));
    c->outcome = violated ? MR_DOES_NOT_CONFORM : covered && lone == 0 ? MR_CONFORMS : MR_NOT_SHOWN;
    const char *lead = violated ? "" : !known ? "Nothing to judge by: " : !covered ? "Too little data: " : "";
    if (!violated && lone > 0)
        lead = mr_printf(a->arena, "%zu lone sample%s outside the limit: too few to show or rule out an event. %s",
                         lone, lone == 1 ? " is" : "s are", lead);
    c->detail = mr_printf(a->arena, "%s%s; %s.", lead, detail, coverage_text(a, p, coverage_pct));
    c->evidence = p->evidence;
    p->uncovered |= !violated && !covered;
    mr_add_check(a, c);
    p->worst = mr_outcome_worst(p->worst, c->outcome);
}

static void check_main(struct mr_assess *a, struct mr_line_run *p) {
    struct mr_limit low = mr_limit_of(a, p->settings, MR_MAIN_MIN), high = mr_limit_of(a, p->settings, MR_MAIN_MAX);
    if (!low.set && !high.set)
        return;
    const struct mr_line_result *r = &p->r;
    struct mr_check c = mr_blank_check("lines.main", "Main pressure", "lines", p->window->zone, p->window->coat);
    c.unit = low.set ? low.unit : high.unit;
    c.decimals = low.set ? low.decimals : high.decimals;
    c.limit_low = low.written;
    c.limit_high = high.set ? mr_from_canonical(c.unit, mr_set_num(p->settings, MR_MAIN_MAX)) : MR_NAN;
    c.rule = mr_printf(a->arena, "main pressure stays in its band; an excursion counts once it has held for %s",
                       mr_ms_text(a, (double)p->limits.event_ms));
    c.source = low.set ? low.source : high.source;
    bool too_low = count_events(p, MR_LINE_MAIN_LOW, MR_LINE_MAIN_LOW) > 0;
    bool too_high = count_events(p, MR_LINE_MAIN_HIGH, MR_LINE_MAIN_HIGH) > 0;
    double shown = too_low ? r->main_low_kpa : too_high ? r->main_high_kpa : r->main_mean_kpa;
    c.measured = mr_from_canonical(c.unit, shown);
    const char *detail =
        p->tracks.main == NULL || isnan(r->main_mean_kpa)
            ? "main pressure is not logged"
            : mr_printf(a->arena, "Held between %s and %s",
                        mr_value_text(a, mr_from_canonical(c.unit, r->main_low_kpa), c.unit, c.decimals),
                        mr_value_text(a, mr_from_canonical(c.unit, r->main_high_kpa), c.unit, c.decimals));
    settle_check(a, p, &c, too_low || too_high, !isnan(r->main_mean_kpa), r->main_coverage_pct, detail,
                 r->lone[MR_LINE_MAIN_LOW] + r->lone[MR_LINE_MAIN_HIGH]);
}

static void check_imbalance(struct mr_assess *a, struct mr_line_run *p) {
    if (isnan(p->limits.imbalance_pct))
        return;
    struct mr_check c =
        mr_blank_check("lines.imbalance", "Difference between the lines", "lines", p->window->zone, p->window->coat);
    c.unit = MR_UNIT_PCT;
    c.decimals = 1;
    c.measured = p->r.imbalance_held_pct;
    c.limit_high = p->limits.imbalance_pct;
    c.rule = mr_printf(a->arena, "difference over the lines' mean, held for %s",
                       mr_ms_text(a, (double)p->limits.event_ms));
    c.source = mr_source_of(a, p->settings, MR_IMBALANCE_MAX);
    bool known = !isnan(p->r.imbalance_held_pct);
    const char *detail =
        known ? mr_printf(a->arena, "On average line A differs from line B by %+.1f %%", p->r.imbalance_mean_pct)
              : "the two lines are not logged together";
    settle_check(a, p, &c, count_events(p, MR_LINE_IMBALANCE, MR_LINE_IMBALANCE) > 0, known, p->r.coverage_pct,
                 detail, p->r.lone[MR_LINE_IMBALANCE]);
}

static void check_ripple(struct mr_assess *a, struct mr_line_run *p) {
    double limit = mr_set_num(p->settings, MR_RIPPLE_MAX);
    if (isnan(limit))
        return;
    struct mr_check c = mr_blank_check("lines.ripple", "Ripple", "lines", p->window->zone, p->window->coat);
    c.unit = MR_UNIT_PCT;
    c.decimals = 1;
    c.measured =
        isnan(p->r.ripple_a_pct) || isnan(p->r.ripple_b_pct) ? MR_NAN : fmax(p->r.ripple_a_pct, p->r.ripple_b_pct);
    c.limit_high = limit;
    c.rule = "standard deviation of each line over its mean, outside events";
    c.source = mr_source_of(a, p->settings, MR_RIPPLE_MAX);
    bool known = !isnan(c.measured), above = mr_above(c.measured, limit),
         violated = above && mr_above(p->r.ripple_without_worst_pct, limit);
    const char *detail =
        known ? mr_printf(a->arena, "Line A %.1f %%, line B %.1f %%", p->r.ripple_a_pct, p->r.ripple_b_pct)
              : "the lines are not logged";
    settle_check(a, p, &c, violated, known, p->r.coverage_pct, detail, above && !violated ? 1 : 0);
    if (!violated)
        return;
    struct mr_finding f = mr_finding_of(&c, "ripple", MR_ERROR);
    f.t0_utc_ms = p->window->t0_utc_ms;
    f.t1_utc_ms = p->window->t1_utc_ms;
    f.what = mr_printf(a->arena, "%s: the lines swing by %s of their mean (limit at most %s).",
                       mr_capitalised(a, mr_zone_label(a, c.zone, c.coat)),
                       mr_value_text(a, c.measured, MR_UNIT_PCT, mr_miss_decimals(c.measured, limit, 1)),
                       mr_value_text(a, limit, MR_UNIT_PCT, -1));
    f.next_step = "Look for a sticking valve, air in a line or a partly blocked filter; examine the film.";
    f.caution = mr_caution_relieve;
    mr_add_finding(a, &f);
}

static void check_count(struct mr_assess *a, struct mr_line_run *p, const char *id, const char *title,
                        enum mr_line_kind one, enum mr_line_kind other, enum mr_setting_id setting) {
    if (isnan(mr_set_num(p->settings, setting)))
        return;
    struct mr_check c = mr_blank_check(id, title, "lines", p->window->zone, p->window->coat);
    size_t n = count_events(p, one, other);
    c.measured = p->r.up ? (double)n : MR_NAN;
    c.limit_high = 0.0;
    c.rule = mr_printf(a->arena, "%s for %s or longer; limit %s of the line's median in the window",
                       mr_line_rule(one), mr_ms_text(a, (double)p->limits.event_ms),
                       mr_value_text(a, mr_set_num(p->settings, setting), MR_UNIT_PCT, 0));
    c.source = mr_source_of(a, p->settings, setting);
    settle_check(a, p, &c, n > 0, p->r.up, p->r.coverage_pct,
                 p->r.up ? mr_printf(a->arena, "%zu found", n) : "the lines were never under pressure",
                 p->r.lone[one] + (other == one ? 0 : p->r.lone[other]));
}

/* One sample out of a limit at slow sampling: told apart, since it neither shows nor clears an event. */
static void find_lone_samples(struct mr_assess *a, const struct mr_line_run *p) {
    size_t n = 0;
    for (size_t k = 0; k < MR_COUNT(p->r.lone); k++)
        n += p->r.lone[k];
    if (n == 0)
        return;
    struct mr_finding f = mr_blank_finding("lone-sample", MR_WARNING, p->window->zone, p->window->coat);
    f.t0_utc_ms = p->window->t0_utc_ms;
    f.t1_utc_ms = p->window->t1_utc_ms;
    f.rule = "an event shows in at least two samples";
    f.source = MR_SRC_PD;
    f.what = mr_printf(
        a->arena,
        "%s: %zu lone sample%s of the line pressures outside a limit: too few to show or rule out an event.",
        mr_capitalised(a, mr_zone_label(a, f.zone, f.coat)), n, n == 1 ? " is" : "s are");
    f.next_step = mr_printf(a->arena, "Set the logger to a sample every %s or faster.",
                            mr_ms_text(a, (double)p->limits.event_ms / 2.0));
    f.evidence = p->evidence;
    mr_add_finding(a, &f);
}

static void find_uncovered(struct mr_assess *a, const struct mr_line_run *p) {
    bool logged = p->tracks.a != NULL || p->tracks.b != NULL || p->tracks.main != NULL;
    if (!logged || !p->uncovered)
        return;
    bool unpressed = p->r.coverage_pct > 0.0 && !p->r.up;
    struct mr_finding f =
        mr_blank_finding(unpressed ? "no-pressure" : "line-coverage", MR_WARNING, p->window->zone, p->window->coat);
    f.t0_utc_ms = p->window->t0_utc_ms;
    f.t1_utc_ms = p->window->t1_utc_ms;
    f.measured = p->tracks.main == NULL ? p->r.coverage_pct : fmin(p->r.coverage_pct, p->r.main_coverage_pct);
    f.limit = mr_set_num(p->settings, MR_LINE_COVER);
    f.unit = MR_UNIT_PCT;
    f.rule = "line pressures cover the window";
    f.source = mr_source_of(a, p->settings, MR_LINE_COVER);
    const char *who = mr_capitalised(a, mr_zone_label(a, f.zone, f.coat)),
               *when = mr_span_text(a, f.t0_utc_ms, f.t1_utc_ms);
    if (unpressed)
        f.what = mr_printf(a->arena,
                           "%s: the spray log shows spraying from %s, but the lines were not under pressure then.",
                           who, when);
    else if (p->tracks.main == NULL)
        f.what =
            mr_printf(a->arena, "%s: main pressure is not logged, and the data of the lines cover %.0f %% of %s.",
                      who, f.measured, when);
    else
        f.what = mr_printf(a->arena, "%s: line pressures cover only %.0f %% of %s.", who, f.measured, when);
    f.next_step =
        unpressed
            ? "Compare the logger's clock and its unit with the spray log."
            : "Add the pressure logger's export for that time, or say in the job file which limits are not required.";
    f.evidence = p->evidence;
    mr_add_finding(a, &f);
}

/* --- the table --------------------------------------------------------------------------------------- */

static struct mr_table *new_table(struct mr_assess *a) {
    enum mr_unit pressure = a->job->display.pressure;
    int d = mr_pressure_decimals(pressure);
    struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"start", "Start", MR_UNIT_NONE, 0},
        {"stop", "Stop", MR_UNIT_NONE, 0},
        {"window", "Window", MR_UNIT_NONE, 0},
        {"outcome", "Outcome", MR_UNIT_NONE, 0},
        {"mean_a", "Line A, mean", pressure, d},
        {"mean_b", "Line B, mean", pressure, d},
        {"ripple_a", "Line A, ripple", MR_UNIT_PCT, 1},
        {"ripple_b", "Line B, ripple", MR_UNIT_PCT, 1},
        {"imbalance_mean", "A from B, mean", MR_UNIT_PCT, 1},
        {"imbalance_held", "Difference, held", MR_UNIT_PCT, 1},
        {"main_mean", "Main, mean", pressure, d},
        {"main_least", "Main, least held", pressure, d},
        {"main_greatest", "Main, greatest held", pressure, d},
        {"dropouts", "Dropouts", MR_UNIT_NONE, 0},
        {"surges", "Surges", MR_UNIT_NONE, 0},
        {"coverage", "Covered", MR_UNIT_PCT, 0},
        {"logger", "Logger", MR_UNIT_NONE, 0},
    };
    return mr_table_new(
        a->arena, "line-pressures", "Line pressures",
        "Per window, from the moment the lines are up to the moment they go down, without settling times. Held: kept "
        "for the event time. Ripple: standard deviation over mean, outside dropouts, surges and pauses.",
        MR_COUNT(fields), fields);
}

static void add_row(struct mr_assess *a, struct mr_table *table, const struct mr_line_run *p) {
    enum mr_unit u = a->job->display.pressure;
    const struct mr_line_result *r = &p->r;
    const struct mr_track *named = p->tracks.a != NULL   ? p->tracks.a
                                   : p->tracks.b != NULL ? p->tracks.b
                                                         : p->tracks.main;
    struct mr_value v[] = {
        mr_v_text(a->aligned->zones.v[p->window->zone].name),
        mr_v_count(p->window->coat),
        mr_v_time(p->window->t0_utc_ms),
        mr_v_time(p->window->t1_utc_ms),
        mr_v_text(p->window->found ? "found" : "logged"),
        mr_v_outcome((int)p->worst),
        mr_v_num(mr_from_canonical(u, r->mean_a_kpa)),
        mr_v_num(mr_from_canonical(u, r->mean_b_kpa)),
        mr_v_num(r->ripple_a_pct),
        mr_v_num(r->ripple_b_pct),
        mr_v_num(r->imbalance_mean_pct),
        mr_v_num(r->imbalance_held_pct),
        mr_v_num(mr_from_canonical(u, r->main_mean_kpa)),
        mr_v_num(mr_from_canonical(u, r->main_low_kpa)),
        mr_v_num(mr_from_canonical(u, r->main_high_kpa)),
        r->up ? mr_v_count((int64_t)count_events(p, MR_LINE_DROPOUT, MR_LINE_BOTH_DOWN)) : mr_v_blank("no data"),
        r->up ? mr_v_count((int64_t)count_events(p, MR_LINE_SURGE, MR_LINE_SURGE)) : mr_v_blank("no data"),
        mr_v_num(r->coverage_pct),
        named == NULL ? mr_v_blank("no data")
                      : mr_v_text(named->instrument[0] != '\0' ? named->instrument : named->channel),
    };
    mr_table_add(a->arena, table, v);
}

/* --- the part ---------------------------------------------------------------------------------------- */

static void judge_window(struct mr_assess *a, struct mr_line_work *work, struct mr_line_run *p) {
    set_limits(p);
    p->tracks =
        mr_line_tracks_for(a->aligned, p->window->zone, p->window->t0_utc_ms, p->window->t1_utc_ms, p->limits.gap_ms);
    mr_line_scan(work, p->tracks.a, p->tracks.b, p->tracks.main, p->window->t0_utc_ms, p->window->t1_utc_ms,
                 &p->limits, &p->r);
    const struct mr_track *named = p->tracks.a != NULL   ? p->tracks.a
                                   : p->tracks.b != NULL ? p->tracks.b
                                                         : p->tracks.main;
    mr_evidence_track(a, &p->evidence, named, p->window->t0_utc_ms, p->window->t1_utc_ms, "line pressures");
    mr_add_evidence(a, &p->evidence, p->window->place, "the window");
    check_main(a, p);
    check_imbalance(a, p);
    check_ripple(a, p);
    check_count(a, p, "lines.dropout", "Dropouts", MR_LINE_DROPOUT, MR_LINE_BOTH_DOWN, MR_DROPOUT_BELOW);
    check_count(a, p, "lines.surge", "Surges", MR_LINE_SURGE, MR_LINE_SURGE, MR_SURGE_ABOVE);
    p->slow_ms = mr_line_holes(a, work, p);
    mr_main_brief(a, p);
    mr_line_still(a, work, p);
    mr_line_others(a, work, p);
    if (!mr_line_down(a, p))
        mr_line_edges(a, p);
    mr_line_find_events(a, p);
    find_uncovered(a, p);
    find_lone_samples(a, p);
}

static void find_no_log(struct mr_assess *a) {
    struct mr_finding f = mr_blank_finding("no-line-log", MR_WARNING, MR_NONE, 0);
    f.rule = "line pressures are logged while spraying";
    f.source = mr_source_of(a, &a->job->settings, MR_LINES_REQUIRED);
    f.what = "The job folder holds no line pressures, so the lines are not shown to conform in any zone.";
    f.next_step =
        "Add the pressure logger's exports, or write `required = no` under [lines] if the specification does "
        "not ask for them.";
    mr_add_finding(a, &f);
}

static bool any_line_log(const struct mr_alignment *aligned) {
    for (size_t i = 0; i < aligned->tracks.n; i++) {
        enum mr_meaning m = aligned->tracks.v[i].meaning;
        if ((m == MR_M_LINE_A || m == MR_M_LINE_B || m == MR_M_MAIN) && aligned->tracks.v[i].n > 0)
            return true;
    }
    return false;
}

void mr_assess_lines(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    struct mr_table *table = new_table(a), *events = mr_line_event_table(a);
    struct mr_line_work work = {.arena = a->arena};
    mr_pulls inner = {0};
    struct mr_line_run slow = {0};
    size_t slow_coats = 0;
    for (size_t i = 0; i < al->windows.n; i++) {
        struct mr_line_run p = {
            .index = i, .window = &al->windows.v[i], .settings = al->zones.v[al->windows.v[i].zone].settings};
        if (!mr_set_flag(p.settings, MR_LINES_REQUIRED))
            continue;
        judge_window(a, &work, &p);
        slow_coats += p.slow_ms > 0.0;
        if (p.slow_ms > slow.slow_ms)
            slow = p;
        add_row(a, table, &p);
        mr_line_event_rows(a, events, &p);
        for (size_t k = 0; k < p.r.events.n; k++) {
            struct mr_pull pause = {p.r.events.v[k].t0_ms, p.r.events.v[k].t1_ms, i};
            if (p.r.events.v[k].kind == MR_LINE_PAUSE)
                MR_PUSH(a->arena, &inner, pause);
        }
    }
    if (table->n_rows > 0 && !any_line_log(al))
        find_no_log(a);
    if (table->n_rows > 0)
        mr_find_same_lines(a);
    if (slow_coats > 0)
        mr_line_tell_pace(a, &slow.limits, slow.slow_ms, slow_coats);
    mr_add_unjudged(a, "lines", "lines while spraying", "lines", MR_LINES_REQUIRED);
    if (table->n_rows > 0)
        mr_add_table(a, table);
    if (events->n_rows > 0)
        mr_add_table(a, events);
    mr_assess_pauses(a, &inner);
}
