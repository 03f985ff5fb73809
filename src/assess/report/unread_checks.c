/*
 * unread_checks.c - what could not be read may be the reading that fails, or the coat that covers the survey. A zone
 * that such rows may speak of is not shown until they are corrected, or said to be none.
 *
 * A row whose zone is not legible may be of any zone that its file speaks of; a row of the spray log, of the
 * register, of the material log or of the shift record of any zone at all, and one of the verifications of any zone
 * that its gauge measured.
 */
#include "assess/finding/finding_text.h"
#include "assess/finding/line_ranges.h"

#include <string.h>

struct unread_kind {
    enum mr_kind kind;
    const char *id, *title, *group, *rule, *next_step;
    bool objected; /* of rows that were read, and of which a cell says that a limit was missed */
    bool (*asked)(const struct mr_settings *zone); /* whether the specification asks for what they record; NULL */
};

static bool asks_for_material(const struct mr_settings *zone) {
    return mr_set_flag(zone, MR_MATERIAL_REQUIRED);
}

static bool asks_for_items(const struct mr_settings *zone) {
    return *mr_set_text(zone, MR_SHIFT_ITEMS) != '\0';
}

static const struct unread_kind unread_kinds[] = {
    {MR_KIND_THICKNESS, "thickness.unread", "Readings that cannot be read", "thickness",
     "every reading of the zone can be read",
     "Correct these cells in the export. Where the gauge showed nothing, list the text under `missing` in the file's "
     "[file] section.",
     false, NULL},
    {MR_KIND_SPRAY_LOG, "history.unread", "Spray log that cannot be read", "history",
     "every row of the spray log about a coat has its zone, date and times",
     "Complete these rows of the spray log, or remove them if no coat was sprayed.", false, NULL},
    {MR_KIND_SPRAY_LOG, "history.spray-climate", "Climate in the spray log", "history",
     "what the crew wrote down of the climate keeps the limits",
     "Compare with the hygrometer of that time. If these columns say nothing of the coat, set them to ignore in the "
     "file's [file] section of job.milrise.",
     true, NULL},
    {MR_KIND_VERIFICATION, "gauge.unread", "Verifications that cannot be read", "gauge",
     "every verification of the gauge can be read", "Correct these rows, or verify the gauge again.", false, NULL},
    {MR_KIND_ZONES, "history.unread-register", "Register that cannot be read", "history",
     "every row of the zone register can be read", "Correct these rows of the zone register.", false, NULL},
    {MR_KIND_MATERIAL, "material.unread", "Material log that cannot be read", "material",
     "every row of the material log can be read", "Correct these rows of the material log.", false,
     asks_for_material},
    {MR_KIND_SHIFT_RECORD, "shift.unread", "Shift record that cannot be read", "shift record",
     "every row of the shift record can be read", "Correct these rows of the shift record.", false, asks_for_items},
};

/* Zones by what stands in a file, so that each row is asked once. */
static bool *zones_in_file(struct mr_assess *a, uint32_t file) {
    const struct mr_alignment *al = a->aligned;
    bool *in = MR_ARRAY(a->arena, bool, al->zones.n + 1), any = false;
    for (size_t i = 0; i < al->readings.n; i++)
        if (al->readings.v[i].reading->file == file && al->readings.v[i].zone < al->zones.n)
            in[al->readings.v[i].zone] = any = true;
    for (size_t i = 0; i < al->zones.n && !any; i++)
        in[i] = true;
    return in;
}

static bool *zones_of_gauge(struct mr_assess *a, const char *serial) {
    const struct mr_alignment *al = a->aligned;
    bool *in = MR_ARRAY(a->arena, bool, al->zones.n + 1);
    for (size_t i = 0; i < al->readings.n; i++) {
        const struct mr_placed *p = &al->readings.v[i];
        const char *own =
            *p->reading->serial ? p->reading->serial : al->data->files.v[p->reading->file].instrument_name;
        if (p->zone < al->zones.n && (!*serial || !*own || strcmp(own, serial) == 0))
            in[p->zone] = true;
    }
    return in;
}

static bool *zones_spoken_of(struct mr_assess *a, const struct mr_unread_rows *u, enum mr_kind kind) {
    const struct mr_alignment *al = a->aligned;
    if (kind == MR_KIND_VERIFICATION)
        return zones_of_gauge(a, u->serial);
    const size_t zone = *u->zone ? mr_zone_find(al, u->zone, NULL) : MR_NONE;
    if (zone >= al->zones.n && kind == MR_KIND_THICKNESS)
        return zones_in_file(a, u->file);
    bool *in = MR_ARRAY(a->arena, bool, al->zones.n + 1);
    for (size_t i = 0; i < al->zones.n; i++)
        in[i] = zone >= al->zones.n || i == zone;
    return in;
}

static void add_unread(struct mr_assess *a, const struct unread_kind *kind, size_t zone,
                       const struct mr_unread_rows *const *rows, bool *const *in, size_t n) {
    struct mr_check c = mr_blank_check(kind->id, kind->title, kind->group, zone, 0);
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        if (!in[i][zone])
            continue;
        struct mr_place place = mr_line_place(a, rows[i]->file, rows[i]->line);
        place.line_end = rows[i]->line_end > rows[i]->line ? rows[i]->line_end : 0;
        mr_add_evidence(a, &c.evidence, place, mr_aside_text(rows[i]->why));
        count += (size_t)rows[i]->rows;
    }
    if (!count)
        return;
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)count;
    c.rule = kind->rule;
    c.source = MR_SRC_PD;
    const char *counted = mr_count_text(a, count, "row"), *file = mr_kind_text(kind->kind);
    c.detail = kind->objected
                   ? mr_printf(a->arena, "%s of the %s about this zone %s a climate that misses a limit.", counted,
                               file, count == 1 ? "states" : "state")
                   : mr_printf(a->arena, "%s of the %s could not be read and may be of this zone.", counted, file);
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "unread-rows", MR_WARNING);
    f.what = mr_printf(a->arena, "Zone %s: %s", a->aligned->zones.v[zone].name, c.detail);
    f.next_step = kind->next_step;
    mr_add_finding(a, &f);
}

/* A coat number that no other row of the zone has, under an action that nobody knows, can only be a coat. An unclear
 * one may be a coat whatever other rows say. */
static bool may_be_unjudged_coat(const struct mr_alignment *al, const struct mr_action_at *at) {
    if (at->log->removes) /* whatever it was, film went off there: judged with the survey */
        return false;
    if (at->zone >= al->zones.n || at->log->action == MR_ACTION_UNCLEAR)
        return at->zone < al->zones.n;
    if (at->log->action != MR_ACTION_OTHER || !*at->log->coat)
        return false;
    for (size_t k = 0; k < al->windows.n; k++)
        if (al->windows.v[k].zone == at->zone && al->windows.v[k].log &&
            strcmp(al->windows.v[k].log->coat, at->log->coat) == 0)
            return false;
    return true;
}

static void judge_odd_actions(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    for (size_t i = 0; i < al->actions.n; i++) {
        const struct mr_action_at *at = &al->actions.v[i];
        if (!may_be_unjudged_coat(al, at))
            continue;
        struct mr_check c = mr_blank_check("history.action", "Work on a coat", "history", at->zone, 0);
        c.outcome = MR_NOT_SHOWN;
        c.rule = "what the spray log says of a coat is a known action";
        c.source = MR_SRC_PD;
        c.detail = !*at->log->action_text
                       ? "The spray log has a row without an action, while its other rows say spray."
                   : at->log->action == MR_ACTION_UNCLEAR
                       ? mr_printf(a->arena, "The spray log has \"%s\", which may be a coat of this material or not.",
                                   at->log->action_text)
                       : mr_printf(a->arena, "The spray log has \"%s\" for coat %s, which no other row sprays.",
                                   at->log->action_text, at->log->coat);
        mr_add_evidence(a, &c.evidence, at->place, "the action");
        mr_add_check(a, &c);
        struct mr_finding f = mr_finding_of(&c, "unknown-action", MR_WARNING);
        f.what = mr_printf(a->arena, "Zone %s: %s", al->zones.v[at->zone].name, c.detail);
        f.next_step = !*at->log->action_text ? "Write spray in this row if it was a coat, else what was done."
                      : at->log->action == MR_ACTION_UNCLEAR
                          ? "Write only spray if it was a coat of this material, else what it was without that word."
                          : "Write spray or repair if material was sprayed; else clear the coat in this row.";
        mr_add_finding(a, &f);
    }
}

void mr_assess_unread(struct mr_assess *a) {
    const struct mr_data *data = a->aligned->data;
    for (size_t k = 0; k < MR_COUNT(unread_kinds); k++) {
        MR_VEC(const struct mr_unread_rows *) rows = {0};
        MR_VEC(bool *) in = {0};
        for (size_t i = 0; i < data->unread.n; i++) {
            const struct mr_unread_rows *u = &data->unread.v[i];
            if (data->files.v[u->file].kind != unread_kinds[k].kind ||
                (u->why == MR_ASIDE_OBJECTED) != unread_kinds[k].objected)
                continue;
            MR_PUSH(a->arena, &rows, u);
            MR_PUSH(a->arena, &in, zones_spoken_of(a, u, unread_kinds[k].kind));
        }
        for (size_t zone = 0; zone < a->aligned->zones.n && rows.n; zone++)
            if (!unread_kinds[k].asked || unread_kinds[k].asked(a->aligned->zones.v[zone].settings))
                add_unread(a, &unread_kinds[k], zone, rows.v, in.v, rows.n);
    }
    judge_odd_actions(a);
}
