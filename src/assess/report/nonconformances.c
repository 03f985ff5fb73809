/*
 * nonconformances.c - the register: every non-conformance with a number that stays over revisions.
 *
 * The number is made of the day on which it was found, the zone and the kind, so that the same data, or more of them,
 * give it the same number in each revision; a second one of a kind on that day and zone has "-2". Thickness enters
 * its own, with what closed them; every other check that does not conform is entered here and stays open while it
 * does.
 */
#include "assess/finding/assessment.h"
#include "assess/finding/finding_text.h"

#include "numeric/stable_sort.h"

#include <math.h>
#include <string.h>

static int64_t coat_end(const struct mr_alignment *al, size_t zone, int coat) {
    for (size_t i = 0; i < al->windows.n; i++)
        if (al->windows.v[i].zone == zone && (coat == 0 || al->windows.v[i].coat == coat))
            return al->windows.v[i].t1_utc_ms;
    return MR_T_NONE;
}

static bool has_entries_of_its_own(const struct mr_check *c) {
    return strcmp(c->group, mr_groups[0]) == 0 || strcmp(c->group, mr_groups[7]) == 0;
}

static void enter_checks(struct mr_assess *a) {
    for (size_t i = 0; i < a->out->checks.n; i++) {
        const struct mr_check *c = &a->out->checks.v[i];
        if (c->outcome != MR_DOES_NOT_CONFORM || has_entries_of_its_own(c))
            continue;
        struct mr_nonconformance n = {.kind =
                                          c->coat ? mr_printf(a->arena, "%s, coat %d", c->title, c->coat) : c->title,
                                      .zone = c->zone,
                                      .coat = c->coat,
                                      .what = c->detail ? c->detail : c->title,
                                      .found_utc_ms = coat_end(a->aligned, c->zone, c->coat),
                                      .found_in = "",
                                      .closed_utc_ms = MR_T_NONE,
                                      .disposition = "",
                                      .closed_by = ""};
        if (c->evidence.n) {
            const struct mr_place *p = &c->evidence.v[0].place;
            n.found_in = p->line ? mr_printf(a->arena, "%s:%u", p->file, p->line) : p->file;
        }
        MR_PUSH(a->arena, &a->out->nonconformances, n);
    }
}

/* The latest written decision about the film of the zone from the day of the finding on. */
static void decide(struct mr_assess *a, struct mr_nonconformance *n) {
    static const char *const words[] = {[MR_DECISION_REPAIR] = "repair",
                                        [MR_DECISION_INSPECT_AGAIN] = "inspect again",
                                        [MR_DECISION_ACCEPT] = "accept as is"};
    int64_t latest = MR_T_NONE;
    if (*n->disposition || n->zone >= a->aligned->zones.n || !n->film)
        return;
    for (size_t i = 0; i < a->job->dispositions.n; i++) {
        const struct mr_disposition *d = &a->job->dispositions.v[i];
        if (mr_zone_find(a->aligned, d->zone, NULL) != n->zone ||
            (n->found_utc_ms != MR_T_NONE &&
             d->when_local_ms + MR_DAY_MS <= mr_local_ms(a->aligned, n->found_utc_ms)) ||
            (latest != MR_T_NONE && d->when_local_ms < latest))
            continue;
        latest = d->when_local_ms;
        n->disposition =
            mr_printf(a->arena, "%s, %s, by the %s: %s%s%s", words[d->decision], mr_day_label(a, d->when_local_ms),
                      d->by, d->why, *d->areas ? "; areas " : "", d->areas);
    }
}

static int by_key(const void *x, const void *y) {
    const struct mr_nonconformance *a = x, *b = y;
    int order = MR_ORDER(a->zone, b->zone);
    if (order == 0)
        order = strcmp(a->kind, b->kind);
    return order ? order : MR_ORDER(a->found_utc_ms, b->found_utc_ms);
}

static const char *key_of(struct mr_assess *a, const struct mr_nonconformance *n) {
    const char *day =
        n->found_utc_ms == MR_T_NONE ? "undated" : mr_day_label(a, mr_local_ms(a->aligned, n->found_utc_ms));
    const char *zone = n->zone < a->aligned->zones.n ? a->aligned->zones.v[n->zone].name : "job";
    return mr_printf(a->arena, "%s %s: %s", day, zone, n->kind);
}

static void number(struct mr_assess *a) {
    const char *last = "";
    size_t same = 1;
    mr_sort_stable(a->arena, a->out->nonconformances.v, a->out->nonconformances.n, sizeof *a->out->nonconformances.v,
                   by_key);
    for (size_t i = 0; i < a->out->nonconformances.n; i++) {
        struct mr_nonconformance *n = &a->out->nonconformances.v[i];
        const char *key = key_of(a, n);
        same = strcmp(key, last) == 0 ? same + 1 : 1;
        last = key;
        n->number = same > 1 ? mr_printf(a->arena, "%s-%zu", key, same) : key;
    }
}

struct mr_table *mr_register_table(struct mr_arena *arena, const char *note) {
    static const struct mr_field fields[] = {
        {"number", "Number", MR_UNIT_NONE, 0},     {"zone", "Zone", MR_UNIT_NONE, 0},
        {"what", "What", MR_UNIT_NONE, 0},         {"found", "Found", MR_UNIT_NONE, 0},
        {"found_in", "Found in", MR_UNIT_NONE, 0}, {"disposition", "Disposition", MR_UNIT_NONE, 0},
        {"closed", "Closed", MR_UNIT_NONE, 0},     {"closed_by", "Closed by", MR_UNIT_NONE, 0},
        {"state", "State", MR_UNIT_NONE, 0},
    };
    return mr_table_new(arena, MR_REGISTER, "Non-conformances", note, MR_COUNT(fields), fields);
}

void mr_assess_nonconformances(struct mr_assess *a) {
    struct mr_table *table = mr_register_table(
        a->arena,
        "Register of what does not conform. A number stays over revisions: day found, zone and kind. An entry is "
        "open "
        "until measurements after a repair or a written disposition hold, or until the film is accepted as is; a "
        "zone "
        "that was accepted so still does not conform.");
    enter_checks(a);
    number(a);
    for (size_t i = 0; i < a->out->nonconformances.n; i++) {
        struct mr_nonconformance *n = &a->out->nonconformances.v[i];
        decide(a, n);
        bool closed = n->closed_utc_ms != MR_T_NONE;
        const struct mr_value row[] = {
            mr_v_text(n->number),
            mr_v_text(n->zone < a->aligned->zones.n ? a->aligned->zones.v[n->zone].name : "the job"),
            mr_v_text(n->what),
            n->found_utc_ms == MR_T_NONE ? mr_v_blank("no time known") : mr_v_time(n->found_utc_ms),
            mr_v_text(n->found_in),
            mr_v_text(*n->disposition ? n->disposition : "none stated"),
            closed ? mr_v_time(n->closed_utc_ms) : mr_v_blank("open"),
            mr_v_text(n->closed_by),
            mr_v_text(n->accepted ? "closed, accepted as is"
                      : closed    ? "closed"
                                  : "open"),
        };
        mr_table_add(a->arena, table, row);
    }
    if (table->n_rows)
        mr_add_table(a, table);
}
