/*
 * coats.c - the spray log as it was understood: one row per window, and what the log notes about the spraying.
 * Direction and gun distance are shown and not judged: common practice sprays the coats in alternate directions from
 * about 0.9 m.
 */
#include "assess/finding/finding_text.h"

#include "base/keyfile.h"

#include <string.h>

/* The window of the coat below, the latest before this one; NULL. */
static const struct mr_window *coat_below(struct mr_assess *a, const struct mr_window *w) {
    const struct mr_chains *windows = mr_windows_by_zone(a);
    const struct mr_window *v = a->aligned->windows.v, *found = NULL;
    for (size_t i = mr_chains_first(windows, w->zone); i != MR_NONE && v[i].t0_utc_ms < w->t0_utc_ms;
         i = windows->next[i])
        if (v[i].coat < w->coat)
            found = &v[i];
    return found;
}

static const char *direction_of(const struct mr_window *w) {
    return w != NULL && w->log != NULL ? w->log->direction : "";
}

static const char *against_below(struct mr_assess *a, const struct mr_window *w) {
    const char *own = direction_of(w), *below = direction_of(coat_below(a, w));
    if (own[0] == '\0' || below[0] == '\0')
        return "";
    return strcmp(mr_fold(a->arena, own, strlen(own)), mr_fold(a->arena, below, strlen(below))) == 0 ? "same"
                                                                                                     : "other";
}

static void add_row(struct mr_assess *a, struct mr_table *table, const struct mr_window *w) {
    static const struct mr_spray nothing = {
        .direction = "", .lot_a = "", .lot_b = "", .role = "", .note = "", .distance_mm = MR_NAN};
    const struct mr_spray *log = w->log == NULL ? &nothing : w->log;
    const struct mr_alignment *al = a->aligned;
    struct mr_value v[] = {
        w->shift < al->shifts.n ? mr_v_text(al->shifts.v[w->shift].name) : mr_v_blank(""),
        mr_v_text(al->zones.v[w->zone].name),
        mr_v_count(w->coat),
        mr_v_time(w->t0_utc_ms),
        mr_v_time(w->t1_utc_ms),
        mr_v_num((double)(w->t1_utc_ms - w->t0_utc_ms) / 60e3),
        mr_v_text(w->found        ? "found in the data"
                  : w->n_rows > 1 ? mr_printf(a->arena, "%zu rows of the log", w->n_rows)
                                  : "spray log"),
        mr_v_text(w->overlaps ? "yes" : ""),
        mr_v_text(log->direction),
        mr_v_text(against_below(a, w)),
        mr_v_num(mr_from_canonical(a->job->display.length, log->distance_mm)),
        mr_v_text(log->lot_a),
        mr_v_text(log->lot_b),
        mr_v_text(log->role),
        mr_v_text(log->note),
        mr_v_text(w->place.file == NULL ? "" : mr_printf(a->arena, "%s:%u", w->place.file, w->place.line)),
    };
    mr_table_add(a->arena, table, v);
}

/* One finding for all coats of which the log gives a moment only. */
static void find_half_logged(struct mr_assess *a) {
    struct mr_finding f = mr_blank_finding("coat-time-missing", MR_WARNING, MR_NONE, 0);
    size_t n = 0;
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        if (!w->no_start && !w->no_stop)
            continue;
        n++;
        mr_add_evidence(a, &f.evidence, w->place, w->no_start ? "no start" : "no stop");
    }
    if (n == 0)
        return;
    f.measured = (double)n;
    f.rule = "the spray log gives start and stop of each coat";
    f.source = MR_SRC_PD;
    f.what = mr_printf(a->arena,
                       "%s without a start or a stop in the spray log: what must hold while it was sprayed is "
                       "not shown.",
                       mr_count_text(a, n, "coat"));
    f.next_step = "Enter the missing times in the spray log.";
    mr_add_finding(a, &f);
}

void mr_assess_coats(struct mr_assess *a) {
    struct mr_field fields[] = {
        {"shift", "Shift", MR_UNIT_NONE, 0},
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"start", "Start", MR_UNIT_NONE, 0},
        {"stop", "Stop", MR_UNIT_NONE, 0},
        {"length_min", "Length", MR_UNIT_MIN, 1},
        {"origin", "Known from", MR_UNIT_NONE, 0},
        {"overlaps", "Overlaps another", MR_UNIT_NONE, 0},
        {"direction", "Direction", MR_UNIT_NONE, 0},
        {"direction_below", "Against the coat below", MR_UNIT_NONE, 0},
        {"gun_distance", "Gun distance", a->job->display.length, 0},
        {"lot_a", "Lot A", MR_UNIT_NONE, 0},
        {"lot_b", "Lot B", MR_UNIT_NONE, 0},
        {"role", "By role", MR_UNIT_NONE, 0},
        {"note", "Note", MR_UNIT_NONE, 0},
        {"evidence", "Evidence", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "windows", "Spray windows",
                     "Every coat on every zone, from the first to the last pull of the trigger. Direction and gun "
                     "distance are shown as logged and not judged.",
                     MR_COUNT(fields), fields);
    for (size_t i = 0; i < a->aligned->windows.n; i++)
        add_row(a, table, &a->aligned->windows.v[i]);
    find_half_logged(a);
    if (table->n_rows > 0)
        mr_add_table(a, table);
    mr_assess_unlogged(a);
}
