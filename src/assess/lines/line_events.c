/*
 * line_events.c - what the lines did, in words: one finding per window, kind and line, and the table of events.
 *
 * A window with a failing pump can hold hundreds of events; its finding tells how many there were and describes the
 * worst, with the lines of the first ten as evidence. The table has them all, in order of time.
 */
#include "assess/lines/lines.h"

#include <math.h>

/* --- events: wording, findings ----------------------------------------------------------------------- */

static const struct kind_row {
    const char *id, *word, *rule, *next_step;
    enum mr_setting_id setting;
} kind_rows[MR_LINE_KINDS] = {
    [MR_LINE_DROPOUT] =
        {"dropout", "dropout", "no line drops out while spraying",
         "Find the blockage or the empty supply before spraying again; examine the film sprayed then for soft or "
         "discoloured spots.",
         MR_DROPOUT_BELOW},
    [MR_LINE_BOTH_DOWN] = {"both-lines-down", "both lines down", "no line drops out while spraying",
                           "Find out why the supply failed; examine the film sprayed then.", MR_DROPOUT_BELOW},
    [MR_LINE_SURGE] = {"surge", "surge", "no line surges while spraying",
                       "Look for a blockage downstream of the gauge; examine the film sprayed then.", MR_SURGE_ABOVE},
    [MR_LINE_IMBALANCE] = {"imbalance", "imbalance", "the lines stay close to each other",
                           "Find out why one line is starved or blocked; compare the heat and the hardness of "
                           "the film sprayed then with its neighbours.",
                           MR_IMBALANCE_MAX},
    [MR_LINE_MAIN_LOW] = {"main-pressure", "main pressure low", "main pressure stays in its band",
                          "Check the supply's pressure and flow; examine the film sprayed then.", MR_MAIN_MIN},
    [MR_LINE_MAIN_HIGH] = {"main-pressure", "main pressure high", "main pressure stays in its band",
                           "Reset the regulator; examine the film sprayed then.", MR_MAIN_MAX},
    [MR_LINE_PAUSE] = {"pause", "pause, both lines down", "", "", MR_PAUSE_FROM},
};

const char *mr_line_rule(enum mr_line_kind kind) {
    return kind_rows[kind].rule;
}

static const char *line_name(char line) {
    switch (line) {
    case 'A':
        return "line A";
    case 'B':
        return "line B";
    case 'M':
        return "main";
    default:
        return "both lines";
    }
}

static enum mr_unit unit_of_event(const struct mr_assess *a, const struct mr_line_event *e) {
    return e->kind == MR_LINE_IMBALANCE ? MR_UNIT_PCT : a->job->display.pressure;
}

int mr_pressure_decimals(enum mr_unit unit) {
    return unit == MR_UNIT_BAR || unit == MR_UNIT_MPA ? 2 : 1;
}

/* The pressure or share beyond which a sample belongs to the event. */
static double limit_of_event(const struct mr_line_run *p, const struct mr_line_event *e) {
    double median = e->line == 'A'   ? p->r.median_a_kpa
                    : e->line == 'B' ? p->r.median_b_kpa
                                     : fmin(p->r.median_a_kpa, p->r.median_b_kpa);
    switch (e->kind) {
    case MR_LINE_DROPOUT:
    case MR_LINE_BOTH_DOWN:
    case MR_LINE_PAUSE:
        return isnan(median) ? p->limits.relieved_kpa : median * p->limits.dropout_pct / 100.0;
    case MR_LINE_SURGE:
        return median * p->limits.surge_pct / 100.0;
    case MR_LINE_IMBALANCE:
        return p->limits.imbalance_pct;
    case MR_LINE_MAIN_LOW:
        return p->limits.main_min_kpa;
    case MR_LINE_MAIN_HIGH:
        return p->limits.main_max_kpa;
    case MR_LINE_KINDS:
        break;
    }
    return MR_NAN;
}

static double share_of_window(const struct mr_line_run *p, int64_t t_ms) {
    double span = (double)(p->window->t1_utc_ms - p->window->t0_utc_ms);
    return span > 0.0 ? 100.0 * (double)(t_ms - p->window->t0_utc_ms) / span : 0.0;
}

static const struct mr_track *track_of(const struct mr_line_run *p, char line) {
    return line == 'M' ? p->tracks.main : line == 'B' || p->tracks.a == NULL ? p->tracks.b : p->tracks.a;
}

/* Other zones that were sprayed at that moment, as a clause; "". */
static const char *also_sprayed(struct mr_assess *a, const struct mr_line_run *p, const struct mr_line_event *e) {
    const char *text = "";
    if (!p->window->overlaps)
        return text;
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        if (i == p->index || w->t1_utc_ms < e->t0_ms || w->t0_utc_ms > e->t1_ms)
            continue;
        const char *name = mr_coat_label(a, w->zone, w->coat);
        text = text[0] == '\0' ? name : mr_printf(a->arena, "%s; %s", text, name);
    }
    return text;
}

/* One finding for all events of one kind and line in a window: the first and the worst in words, each with its lines.
 */
static void find_events(struct mr_assess *a, const struct mr_line_run *p, enum mr_line_kind kind, char line) {
    const struct mr_line_event *first = NULL, *last = NULL, *worst = NULL;
    const struct kind_row *row = &kind_rows[kind];
    struct mr_finding f = mr_blank_finding(row->id, MR_ERROR, p->window->zone, p->window->coat);
    size_t n = 0;
    bool highest = kind == MR_LINE_SURGE || kind == MR_LINE_IMBALANCE || kind == MR_LINE_MAIN_HIGH;
    for (size_t i = 0; i < p->r.events.n; i++) {
        const struct mr_line_event *e = &p->r.events.v[i];
        if (e->kind != kind || e->line != line)
            continue;
        first = first == NULL ? e : first;
        last = e;
        worst = worst == NULL || (highest ? e->extreme > worst->extreme : e->extreme < worst->extreme) ? e : worst;
        if (n++ < 10)
            mr_evidence_track(a, &f.evidence, track_of(p, line), e->t0_ms, e->t1_ms,
                              mr_printf(a->arena, "%s, %s", line_name(line), row->word));
    }
    if (first == NULL)
        return;
    f.unit = unit_of_event(a, worst);
    f.decimals = mr_pressure_decimals(f.unit);
    f.measured = mr_from_canonical(f.unit, worst->extreme);
    f.limit = mr_from_canonical(f.unit, limit_of_event(p, worst));
    f.decimals = mr_miss_decimals(f.measured, f.limit, f.decimals);
    f.t0_utc_ms = first->t0_ms;
    f.t1_utc_ms = last->t1_ms;
    f.rule = row->rule;
    f.source = mr_source_of(a, p->settings, row->setting);
    f.next_step = row->next_step;
    f.caution = kind == MR_LINE_MAIN_LOW || kind == MR_LINE_MAIN_HIGH ? mr_caution_relieve : mr_caution_mix;
    /* "dropout on line A", but "imbalance, line A low" */
    const char *where = mr_printf(a->arena, kind == MR_LINE_IMBALANCE ? ", %s low" : " on %s", line_name(line));
    const char *often = n > 1 ? mr_printf(a->arena, " %zu times, worst", n) : "";
    f.what = mr_printf(a->arena, "%s: %s%s%s at %s for %s, %s (limit %s), %.0f %% into the window.",
                       mr_capitalised(a, mr_zone_label(a, f.zone, f.coat)), row->word, where, often,
                       mr_moment_text(a, worst->t0_ms), mr_ms_text(a, (double)(worst->t1_ms - worst->t0_ms)),
                       mr_value_text(a, f.measured, f.unit, f.decimals),
                       mr_value_text(a, f.limit, f.unit, f.decimals), share_of_window(p, worst->t0_ms));
    mr_add_evidence(a, &f.evidence, p->window->place, "the window");
    mr_add_finding(a, &f);
    struct mr_shift_event s = {MR_EVENT_LINE,
                               p->window->shift,
                               f.t0_utc_ms,
                               f.t1_utc_ms,
                               f.zone,
                               mr_printf(a->arena, "%s on %s", row->word, line_name(line)),
                               MR_DOES_NOT_CONFORM,
                               f.evidence.v[0].place};
    mr_add_shift_event(a, &s);
}

struct mr_table *mr_line_event_table(struct mr_assess *a) {
    struct mr_field fields[] = {
        {"start", "Start", MR_UNIT_NONE, 0},
        {"stop", "Stop", MR_UNIT_NONE, 0},
        {"duration_s", "Duration", MR_UNIT_S, 1},
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"window_share", "Into the window", MR_UNIT_PCT, 0},
        {"kind", "Event", MR_UNIT_NONE, 0},
        {"line", "Line", MR_UNIT_NONE, 0},
        {"extreme", "Extreme pressure", a->job->display.pressure, mr_pressure_decimals(a->job->display.pressure)},
        {"limit", "Limit", a->job->display.pressure, mr_pressure_decimals(a->job->display.pressure)},
        {"extreme_share", "Extreme difference", MR_UNIT_PCT, 1},
        {"limit_share", "Greatest difference", MR_UNIT_PCT, 1},
        {"also_sprayed", "Also sprayed then", MR_UNIT_NONE, 0},
        {"evidence", "Evidence", MR_UNIT_NONE, 0},
    };
    return mr_table_new(
        a->arena, "line-events", "Line events",
        "What the lines did while coats were sprayed, in order of time within each window. An event has held for the "
        "event time. The share into the window says how far the coat had come: examine the film there.",
        MR_COUNT(fields), fields);
}

/* "lines/log.csv:12-40; ..." */
static const char *places_of(struct mr_assess *a, const mr_evidence_list *list) {
    const char *text = "";
    for (size_t i = 0; i < list->n; i++) {
        struct mr_place p = list->v[i].place;
        const char *one = p.line_end > p.line ? mr_printf(a->arena, "%s:%u-%u", p.file, p.line, p.line_end)
                                              : mr_printf(a->arena, "%s:%u", p.file, p.line);
        text = i == 0 ? one : mr_printf(a->arena, "%s; %s", text, one);
    }
    return text;
}

void mr_line_event_rows(struct mr_assess *a, struct mr_table *table, const struct mr_line_run *p) {
    enum mr_unit pressure = a->job->display.pressure;
    for (size_t i = 0; i < p->r.events.n; i++) {
        const struct mr_line_event *e = &p->r.events.v[i];
        bool share = e->kind == MR_LINE_IMBALANCE;
        mr_evidence_list at = {0};
        mr_evidence_track(a, &at, track_of(p, e->line), e->t0_ms, e->t1_ms, NULL);
        struct mr_value none = mr_v_blank("");
        struct mr_value v[] = {
            mr_v_time(e->t0_ms),
            mr_v_time(e->t1_ms),
            mr_v_num((double)(e->t1_ms - e->t0_ms) / 1000.0),
            mr_v_text(a->aligned->zones.v[p->window->zone].name),
            mr_v_count(p->window->coat),
            mr_v_num(share_of_window(p, e->t0_ms)),
            mr_v_text(kind_rows[e->kind].word),
            mr_v_text(line_name(e->line)),
            share ? none : mr_v_num(mr_from_canonical(pressure, e->extreme)),
            share ? none : mr_v_num(mr_from_canonical(pressure, limit_of_event(p, e))),
            share ? mr_v_num(e->extreme) : none,
            share ? mr_v_num(limit_of_event(p, e)) : none,
            mr_v_text(also_sprayed(a, p, e)),
            mr_v_text(places_of(a, &at)),
        };
        mr_table_add(a->arena, table, v);
    }
}

void mr_line_find_events(struct mr_assess *a, const struct mr_line_run *p) {
    static const char lines[] = {'A', 'B', '+', 'M'};
    for (int kind = 0; kind < MR_LINE_PAUSE; kind++)
        for (size_t k = 0; k < MR_COUNT(lines); k++)
            find_events(a, p, (enum mr_line_kind)kind, lines[k]);
}
