/*
 * provenance.c - where everything comes from: clocks, how readings came to their zones, limits in force, files and
 * what became of each of their rows. With it a stranger can follow any figure back to a file and a line, and sees
 * what was left out.
 */
#include "assess/report/provenance.h"

#include <math.h>
#include <string.h>

/* --- readings ---------------------------------------------------------------------------------------- */

/* Places of consecutive lines become one piece of evidence. */
static void add_run(struct mr_assess *a, mr_evidence_list *list, const char *path, uint32_t line) {
    struct mr_evidence *last = list->n > 0 ? &list->v[list->n - 1] : NULL;
    uint32_t end = last == NULL ? 0 : last->place.line_end > 0 ? last->place.line_end : last->place.line;
    if (last != NULL && last->place.file == path && end + 1 == line) {
        last->place.line_end = line;
        return;
    }
    if (list->n < 20)
        mr_add_evidence(a, list, (struct mr_place){path, line, 0, 0}, "reading without zone");
}

static void find_unassigned(struct mr_assess *a) {
    struct mr_finding f = mr_blank_finding("unassigned-readings", MR_WARNING, MR_NONE, 0);
    size_t n = 0;
    for (size_t i = 0; i < a->aligned->readings.n; i++) {
        const struct mr_placed *p = &a->aligned->readings.v[i];
        if (p->zone != MR_NONE || p->aside)
            continue;
        n++;
        add_run(a, &f.evidence, a->aligned->data->files.v[p->reading->file].source->path, p->reading->line);
    }
    if (n == 0)
        return;
    f.measured = (double)n;
    f.rule = "each reading belongs to a zone";
    f.source = MR_SRC_PD;
    f.what = mr_printf(a->arena, "%zu thickness %s could not be placed in any zone; shown, but not judged.", n,
                       n == 1 ? "reading" : "readings");
    f.next_step =
        "Name the zone in the export, assign the gauge to a zone in the job file, or complete the spray log.";
    mr_add_finding(a, &f);
}

static const char *stage_word(enum mr_stage stage) {
    switch (stage) {
    case MR_STAGE_BEFORE_COAT:
        return "before the coat";
    case MR_STAGE_AFTER_COAT:
        return "after the coat";
    case MR_STAGE_AFTER_REPAIR:
        return "after repair";
    case MR_STAGE_UNKNOWN:
        break;
    }
    return "";
}

/* Each window in words once, however many readings stand behind it. */
static const char **window_words(struct mr_assess *a) {
    const char **words = MR_ARRAY(a->arena, const char *, a->aligned->windows.n);
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        words[i] = mr_printf(a->arena, "coat %d, %s", w->coat, mr_span_text(a, w->t0_utc_ms, w->t1_utc_ms));
    }
    return words;
}

static void trace_reading(struct mr_assess *a, struct mr_table *table, const struct mr_placed *p, const char *kind,
                          const char *const *windows) {
    const struct mr_reading *r = p->reading;
    const struct mr_file *file = &a->aligned->data->files.v[r->file];
    struct mr_value v[] = {
        mr_v_text(kind),
        mr_v_text(file->source->path),
        mr_v_count(r->line),
        mr_v_num(r->written),
        mr_v_text(mr_unit_symbol(r->unit)),
        r->t_ms == MR_T_NONE ? mr_v_blank("no time") : mr_v_text(mr_clock_reading(a, r->t_ms, file->basis)),
        mr_v_time(p->t_utc_ms),
        mr_v_text(r->zone),
        p->zone == MR_NONE ? mr_v_blank(p->aside ? "set aside" : "unassigned")
                           : mr_v_text(a->aligned->zones.v[p->zone].name),
        mr_v_text(mr_route_text(p->route)),
        mr_v_text(p->route_note == NULL ? "" : p->route_note),
        p->coat > 0 ? mr_v_count(p->coat) : mr_v_blank(""),
        mr_v_text(p->window < a->aligned->windows.n ? windows[p->window] : ""),
        mr_v_text(stage_word(p->stage)),
        mr_v_count((int64_t)p->survey + 1),
    };
    mr_table_add(a->arena, table, v);
}

static void add_trace(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    struct mr_field fields[] = {
        {"kind", "Reading", MR_UNIT_NONE, 0},
        {"file", "File", MR_UNIT_NONE, 0},
        {"line", "Line", MR_UNIT_NONE, 0},
        {"written", "As written", MR_UNIT_NONE, -1},
        {"unit", "Unit", MR_UNIT_NONE, 0},
        {"shown", "Instrument's clock", MR_UNIT_NONE, 0},
        {"time", "Time", MR_UNIT_NONE, 0},
        {"zone_written", "Zone as written", MR_UNIT_NONE, 0},
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"route", "Route", MR_UNIT_NONE, 0},
        {"route_note", "Route, details", MR_UNIT_NONE, 0},
        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"window", "Window before it", MR_UNIT_NONE, 0},
        {"stage", "Taken", MR_UNIT_NONE, 0},
        {"survey", "Survey", MR_UNIT_NONE, 0},
    };
    double most = mr_set_num(&a->job->settings, MR_TRACE_ROWS);
    size_t total = al->readings.n + al->base_metal.n + al->wet_film.n,
           limit = isnan(most) ? total : (size_t)fmax(0.0, most), rows = 0;
    const char *cut =
        total > limit
            ? mr_printf(a->arena, " The first %zu of %zu are listed; the alignment's dump has all.", limit, total)
            : "";
    const char *note = mr_printf(
        a->arena,
        "How each reading came to its zone: file and line, the instrument's clock, time, zone and route, window. "
        "By route: own zone column %zu, instrument's assignment %zu, spray window %zu, unassigned %zu.%s",
        al->by_route[MR_ROUTE_OWN], al->by_route[MR_ROUTE_ASSIGNED], al->by_route[MR_ROUTE_WINDOW],
        al->by_route[MR_ROUTE_NONE], cut);
    struct mr_table *table = mr_table_new(a->arena, "alignment", "Alignment", note, MR_COUNT(fields), fields);
    const char **windows = window_words(a);
    for (size_t i = 0; i < al->readings.n && rows < limit; i++, rows++)
        trace_reading(a, table, &al->readings.v[i], "thickness", windows);
    for (size_t i = 0; i < al->base_metal.n && rows < limit; i++, rows++)
        trace_reading(a, table, &al->base_metal.v[i], "base metal", windows);
    for (size_t i = 0; i < al->wet_film.n && rows < limit; i++, rows++)
        trace_reading(a, table, &al->wet_film.v[i], "wet film", windows);
    if (table->n_rows > 0)
        mr_add_table(a, table);
}

/* --- channels ---------------------------------------------------------------------------------------- */

static struct mr_value zone_of_stay(const struct mr_assess *a, const struct mr_stay *stay) {
    if (stay == NULL)
        return mr_v_blank("all");
    if (stay->gun)
        return mr_v_text("(gun)");
    return stay->zone == MR_NONE ? mr_v_blank("none") : mr_v_text(a->aligned->zones.v[stay->zone].name);
}

static void add_stay_row(struct mr_assess *a, struct mr_table *table, const struct mr_track *t,
                         const struct mr_stay *stay) {
    struct mr_place first = mr_track_place(a->aligned, t, 0), last = mr_track_place(a->aligned, t, t->n - 1);
    struct mr_value v[] = {
        mr_v_text(t->instrument),
        mr_v_text(t->channel),
        mr_v_text(mr_meaning_word(t->meaning)),
        mr_v_count((int64_t)t->n),
        mr_v_time(mr_track_ms(t, 0)),
        mr_v_time(mr_track_ms(t, t->n - 1)),
        zone_of_stay(a, stay),
        stay == NULL || stay->t0_utc_ms == INT64_MIN ? mr_v_blank("open") : mr_v_time(stay->t0_utc_ms),
        stay == NULL || stay->t1_utc_ms == INT64_MAX ? mr_v_blank("open") : mr_v_time(stay->t1_utc_ms),
        mr_v_text(stay == NULL ? "" : mr_route_text(stay->route)),
        mr_v_text(first.file == NULL ? "" : mr_printf(a->arena, "%s:%u", first.file, first.line)),
        mr_v_text(last.file == NULL ? "" : mr_printf(a->arena, "%s:%u", last.file, last.line)),
    };
    mr_table_add(a->arena, table, v);
}

static void add_channels(struct mr_assess *a) {
    struct mr_field fields[] = {
        {"instrument", "Instrument", MR_UNIT_NONE, 0},
        {"channel", "Channel", MR_UNIT_NONE, 0},
        {"meaning", "Measures", MR_UNIT_NONE, 0},
        {"samples", "Samples", MR_UNIT_NONE, 0},
        {"first", "First", MR_UNIT_NONE, 0},
        {"last", "Last", MR_UNIT_NONE, 0},
        {"zone", "Stands for", MR_UNIT_NONE, 0},
        {"from", "From", MR_UNIT_NONE, 0},
        {"to", "To", MR_UNIT_NONE, 0},
        {"route", "Route", MR_UNIT_NONE, 0},
        {"first_place", "First sample", MR_UNIT_NONE, 0},
        {"last_place", "Last sample", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "channels", "Channels",
                     "Every logged channel, joined over its files, and the zones it stands for over time.",
                     MR_COUNT(fields), fields);
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *t = &a->aligned->tracks.v[i];
        if (t->n > 0 && t->stays.n == 0)
            add_stay_row(a, table, t, NULL);
        for (size_t k = 0; t->n > 0 && k < t->stays.n; k++)
            add_stay_row(a, table, t, &t->stays.v[k]);
    }
    if (table->n_rows > 0)
        mr_add_table(a, table);
}

/* --- settings ---------------------------------------------------------------------------------------- */

static void add_setting_row(struct mr_assess *a, struct mr_table *table, const char *spec, enum mr_setting_id id,
                            const struct mr_setting *s) {
    const struct mr_setting_def *d = &mr_setting_defs[id];
    struct mr_value v[] = {
        mr_v_text(d->section),
        mr_v_text(d->key),
        mr_v_text(spec),
        s->set ? mr_v_text(s->text) : mr_v_blank("none"),
        mr_v_text(s->from_job ? "job's own" : "default"),
        s->from_job && s->place.line > 0 ? mr_v_count(s->place.line) : mr_v_blank(""),
        mr_v_text(d->initial[0] == '\0' ? "none" : d->initial),
        mr_v_text(d->meaning),
        mr_v_text(d->source),
    };
    mr_table_add(a->arena, table, v);
}

static bool differs(const struct mr_setting *x, const struct mr_setting *y) {
    return x->set != y->set || (x->set && strcmp(x->text, y->text) != 0);
}

static void add_settings(struct mr_assess *a) {
    struct mr_field fields[] = {
        {"section", "Section", MR_UNIT_NONE, 0},
        {"key", "Key", MR_UNIT_NONE, 0},
        {"specification", "Specification", MR_UNIT_NONE, 0},
        {"value", "Value in force", MR_UNIT_NONE, 0},
        {"from", "From", MR_UNIT_NONE, 0},
        {"line", "Job file, line", MR_UNIT_NONE, 0},
        {"default", "Default", MR_UNIT_NONE, 0},
        {"meaning", "Meaning", MR_UNIT_NONE, 0},
        {"source", "Source of the default", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "settings", "Settings in force",
                     "Every limit and default that was in force, and whether it was the default or the job's own. A "
                     "specification's rows show only what it changes.",
                     MR_COUNT(fields), fields);
    for (int id = 0; id < MR_SETTING_COUNT; id++)
        add_setting_row(a, table, "", (enum mr_setting_id)id, &a->job->settings.v[id]);
    for (size_t k = 0; k < a->job->specs.n; k++)
        for (int id = 0; id < MR_SETTING_COUNT; id++)
            if (differs(&a->job->specs.v[k].v[id], &a->job->settings.v[id]))
                add_setting_row(a, table, a->job->specs.v[k].spec, (enum mr_setting_id)id, &a->job->specs.v[k].v[id]);
    mr_add_table(a, table);
}

void mr_assess_provenance(struct mr_assess *a) {
    find_unassigned(a);
    mr_assess_inputs(a);
    mr_assess_clocks(a);
    add_channels(a);
    add_trace(a);
    add_settings(a);
}
