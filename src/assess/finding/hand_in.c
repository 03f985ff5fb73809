/*
 * hand_in.c - how the parts hand in checks, findings, tables and what happened in a shift.
 */
#include "assess/finding/clock_hold.h"

const char *const mr_groups[8] = {"thickness", "gauge",    "climate",      "reaction",
                                  "lines",     "material", "shift record", "history"};
const char *const mr_group_titles[8] = {"Thickness", "Gauge",    "Climate",      "Reaction",
                                        "Lines",     "Material", "Shift record", "History"};

const char *mr_outcome_text(enum mr_outcome outcome) {
    static const char *const text[] = {
        [MR_NOT_REQUIRED] = "not required",
        [MR_CONFORMS] = "conforms",
        [MR_NOT_SHOWN] = "not shown",
        [MR_DOES_NOT_CONFORM] = "does not conform",
    };
    return text[outcome];
}

enum mr_outcome mr_outcome_worst(enum mr_outcome a, enum mr_outcome b) {
    return a > b ? a : b;
}

void mr_add_check(struct mr_assess *a, struct mr_check *check) {
    mr_hold_check(a, check);
    MR_PUSH(a->arena, &a->out->checks, *check);
}

void mr_add_finding(struct mr_assess *a, const struct mr_finding *finding) {
    struct mr_finding copy = *finding;
    mr_hold_finding(a, &copy);
    MR_PUSH(a->arena, &a->out->findings, copy);
}

void mr_add_table(struct mr_assess *a, struct mr_table *table) {
    mr_table_whole(a->arena, table);
    MR_PUSH(a->arena, &a->out->tables, table);
}

void mr_add_shift_event(struct mr_assess *a, const struct mr_shift_event *event) {
    struct mr_shift_event copy = *event;
    if (copy.shift >= a->aligned->shifts.n)
        copy.shift = MR_NONE;
    MR_PUSH(a->arena, &a->out->timeline, copy);
}

void mr_add_evidence(struct mr_assess *a, mr_evidence_list *list, struct mr_place place, const char *note) {
    struct mr_evidence evidence = {place, note};
    MR_PUSH(a->arena, list, evidence);
}
