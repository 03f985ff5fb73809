/*
 * shift_timeline.c - one timeline per shift: windows, pauses, heat, line events, climate, actions of the log, gauge
 * verifications.
 *
 * The other parts have put in what only they know (pauses, line events, climate out of limits); the rest comes from
 * here. For the workbook as a table, for the chart as rows.
 */
#include "assess/finding/finding_text.h"

#include "numeric/stable_sort.h"

#include <string.h>

static const char *kind_word(enum mr_shift_event_kind kind) {
    static const char *const word[] = {
        [MR_EVENT_WINDOW] = "spray window", [MR_EVENT_PAUSE] = "pause",     [MR_EVENT_HEAT] = "heat",
        [MR_EVENT_LINE] = "lines",          [MR_EVENT_CLIMATE] = "climate", [MR_EVENT_ACTION] = "log entry",
        [MR_EVENT_CHECK] = "verification",
    };
    return word[kind];
}

/* The worst check of one coat, the gauge's and thickness left out: they are not the moment's business. */
static enum mr_outcome coat_outcome(const struct mr_assess *a, const struct mr_chains *checks, size_t zone,
                                    int coat) {
    enum mr_outcome worst = MR_NOT_REQUIRED;
    for (size_t i = mr_chains_first(checks, zone); i != MR_NONE; i = checks->next[i]) {
        const struct mr_check *c = &a->out->checks.v[i];
        if (c->coat == coat && strcmp(c->group, "thickness") != 0 && strcmp(c->group, "gauge") != 0)
            worst = mr_outcome_worst(worst, c->outcome);
    }
    return worst;
}

static void tell_windows(struct mr_assess *a) {
    const struct mr_chains checks = mr_checks_by_zone(a);
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        const char *way =
            w->log != NULL && w->log->direction[0] != '\0' ? mr_printf(a->arena, ", %s", w->log->direction) : "";
        struct mr_shift_event s = {
            MR_EVENT_WINDOW,
            w->shift,
            w->t0_utc_ms,
            w->t1_utc_ms,
            w->zone,
            mr_printf(a->arena, "coat %d%s%s", w->coat, way, w->found ? ", found in the data" : ""),
            coat_outcome(a, &checks, w->zone, w->coat),
            w->place};
        mr_add_shift_event(a, &s);
    }
}

static void tell_actions(struct mr_assess *a) {
    for (size_t i = 0; i < a->aligned->actions.n; i++) {
        const struct mr_action_at *at = &a->aligned->actions.v[i];
        if (at->log->action == MR_ACTION_SPRAY)
            continue;
        const char *note = at->log->note[0] != '\0' ? mr_printf(a->arena, ": %s", at->log->note) : "";
        size_t shift = at->shift != MR_NONE ? at->shift : mr_shift_about(a, at->t0_utc_ms);
        struct mr_shift_event s = {MR_EVENT_ACTION, shift,    at->t0_utc_ms,
                                   at->t1_utc_ms,   at->zone, mr_printf(a->arena, "%s%s", at->log->action_text, note),
                                   MR_NOT_REQUIRED, at->place};
        mr_add_shift_event(a, &s);
    }
}

static void tell_heats(struct mr_assess *a) {
    enum mr_unit rise = a->job->display.rise;
    for (size_t i = 0; i < a->out->heats.n; i++) {
        const struct mr_heat_event *h = &a->out->heats.v[i];
        const char *coat = h->coat > 0 ? mr_printf(a->arena, "coat %d, ", h->coat) : "";
        struct mr_shift_event s = {MR_EVENT_HEAT,
                                   mr_shift_about(a, h->t_onset),
                                   h->t_onset,
                                   h->t_peak,
                                   h->zone,
                                   mr_printf(a->arena, "%s%srise of %s", h->gun ? "mix check at the gun, " : "", coat,
                                             mr_value_text(a, mr_from_canonical(rise, h->rise_k), rise, 1)),
                                   MR_NOT_REQUIRED,
                                   h->place};
        mr_add_shift_event(a, &s);
    }
}

static void tell_verifications(struct mr_assess *a) {
    for (size_t i = 0; i < a->aligned->checks.n; i++) {
        const struct mr_checked *at = &a->aligned->checks.v[i];
        if (at->t_utc_ms == MR_T_NONE)
            continue;
        const struct mr_verification *v = at->check;
        int d = v->unit == MR_UNIT_MIL ? 2 : 1;
        struct mr_shift_event s = {MR_EVENT_CHECK,
                                   mr_shift_about(a, at->t_utc_ms),
                                   at->t_utc_ms,
                                   at->t_utc_ms,
                                   MR_NONE,
                                   mr_printf(a->arena, "gauge %s %s use: %s on %s", v->serial,
                                             v->when[0] != '\0' ? v->when : "beside",
                                             mr_value_text(a, v->reading_written, v->unit, d),
                                             mr_value_text(a, v->certified_written, v->certified_unit, d)),
                                   MR_NOT_REQUIRED,
                                   {a->aligned->data->files.v[v->file].source->path, v->line, 0, 0}};
        mr_add_shift_event(a, &s);
    }
}

static int order_shift_events(const void *a, const void *b) {
    const struct mr_shift_event *x = a, *y = b;
    if (x->shift != y->shift)
        return MR_ORDER(x->shift, y->shift);
    if (x->t0_utc_ms != y->t0_utc_ms)
        return MR_ORDER(x->t0_utc_ms, y->t0_utc_ms);
    return MR_ORDER(x->kind, y->kind);
}

void mr_assess_shift_timeline(struct mr_assess *a) {
    tell_windows(a);
    tell_actions(a);
    tell_heats(a);
    tell_verifications(a);
    mr_sort_stable(a->arena, a->out->timeline.v, a->out->timeline.n, sizeof *a->out->timeline.v, order_shift_events);
    struct mr_field fields[] = {
        {"shift", "Shift", MR_UNIT_NONE, 0},     {"start", "Start", MR_UNIT_NONE, 0},
        {"stop", "Stop", MR_UNIT_NONE, 0},       {"kind", "What", MR_UNIT_NONE, 0},
        {"zone", "Zone", MR_UNIT_NONE, 0},       {"text", "Details", MR_UNIT_NONE, 0},
        {"outcome", "Outcome", MR_UNIT_NONE, 0}, {"evidence", "Evidence", MR_UNIT_NONE, 0},
    };
    struct mr_table *table = mr_table_new(a->arena, "shift-timeline", "Shift timeline",
                                          "What happened in each shift, in order of time.", MR_COUNT(fields), fields);
    for (size_t i = 0; i < a->out->timeline.n; i++) {
        const struct mr_shift_event *s = &a->out->timeline.v[i];
        struct mr_value v[] = {
            s->shift == MR_NONE ? mr_v_blank("no shift") : mr_v_text(a->aligned->shifts.v[s->shift].name),
            mr_v_time(s->t0_utc_ms),
            mr_v_time(s->t1_utc_ms),
            mr_v_text(kind_word(s->kind)),
            s->zone == MR_NONE ? mr_v_blank("") : mr_v_text(a->aligned->zones.v[s->zone].name),
            mr_v_text(s->what),
            s->outcome == MR_NOT_REQUIRED ? mr_v_blank("") : mr_v_outcome((int)s->outcome),
            s->place.file == NULL ? mr_v_blank("")
                                  : mr_v_text(mr_printf(a->arena, "%s:%u", s->place.file, s->place.line)),
        };
        mr_table_add(a->arena, table, v);
    }
    if (table->n_rows > 0)
        mr_add_table(a, table);
}
