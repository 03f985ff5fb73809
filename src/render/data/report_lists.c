/*
 * report_lists.c - see report_lists.h.
 */
#include "render/data/report_lists.h"

#include <math.h>
#include <string.h>

static const char *evidence_text(struct mr_arena *arena, const mr_evidence_list *list) {
    enum { SHOWN = 6 };
    const char *text = "";
    for (size_t i = 0; i < list->n && i < SHOWN; i++) {
        const char *place = mr_place_text(arena, &list->v[i].place), *note = list->v[i].note;
        const bool noted = note && note[0];
        text = mr_printf(arena, "%s%s%s%s%s%s", text, i ? "\n" : "", place, noted ? " (" : "", noted ? note : "",
                         noted ? ")" : "");
    }
    return list->n > SHOWN ? mr_printf(arena, "%s\nand %zu more, in report.json", text, list->n - SHOWN) : text;
}

/* Two texts in one cell, each on its own line. */
static const char *both(struct mr_arena *arena, const char *a, const char *b) {
    const bool has_a = a && a[0], has_b = b && b[0];
    return has_a && has_b ? mr_printf(arena, "%s\n%s", a, b) : has_a ? a : has_b ? b : "";
}

static struct mr_value figure(double value, int decimals) {
    return isfinite(value) ? mr_v_num_to(value, decimals) : mr_v_blank("");
}

static struct mr_value coat_value(int coat) {
    return coat > 0 ? mr_v_count(coat) : mr_v_blank("");
}

enum { LIST_COLUMNS = 12 };

static void check_row(const struct mr_rows *rows, const struct mr_outline *o, struct mr_arena *arena, size_t i,
                      struct mr_value *out) {
    (void)rows;
    const struct mr_check *c = &o->a->checks.v[i];
    const struct mr_value row[LIST_COLUMNS] = {mr_v_text(mr_zone_name(o->a, c->zone)),
                                               mr_v_text(c->group),
                                               mr_v_text(c->title),
                                               coat_value(c->coat),
                                               mr_v_outcome((int)c->outcome),
                                               figure(c->measured, c->decimals),
                                               figure(c->limit_low, c->decimals),
                                               figure(c->limit_high, c->decimals),
                                               mr_v_text(mr_unit_symbol(c->unit)),
                                               mr_v_text(c->detail),
                                               mr_v_text(both(arena, c->rule, c->source)),
                                               mr_v_text(evidence_text(arena, &c->evidence))};
    memcpy(out, row, sizeof row);
}

struct mr_rows mr_check_rows(const struct mr_outline *o) {
    static const struct mr_field fields[LIST_COLUMNS] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},          {"group", "Group", MR_UNIT_NONE, 0},
        {"check", "Check", MR_UNIT_NONE, 0},        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"outcome", "Outcome", MR_UNIT_NONE, 0},    {"measured", "Measured", MR_UNIT_NONE, -1},
        {"at_least", "At least", MR_UNIT_NONE, -1}, {"at_most", "At most", MR_UNIT_NONE, -1},
        {"unit", "Unit", MR_UNIT_NONE, 0},          {"why", "Why", MR_UNIT_NONE, 0},
        {"rule", "Rule, source", MR_UNIT_NONE, 0},  {"evidence", "Evidence: file and lines", MR_UNIT_NONE, 0}};
    return (struct mr_rows){.id = "checks",
                            .title = "Checks",
                            .note = "Every check that was made. Outcomes rest on unrounded values; the figures here "
                                    "are rounded for reading. Rows that conform are folded and not printed.",
                            .n_fields = LIST_COLUMNS,
                            .fields = fields,
                            .n = o->a->checks.n,
                            .row = check_row};
}

/* "2026-05-11 07:50:00 to 08:04:41 -05:00": a day and an offset that hold for both are told once. */
static const char *span_text(struct mr_arena *arena, const char *from, const char *to) {
    enum { DAY = 10 }; /* characters, and a blank */
    const char *own = strrchr(from, ' '), *last = strrchr(to, ' ');
    if (!own || !last || last <= to + DAY || strncmp(from, to, DAY + 1) != 0 || strcmp(own, last) != 0)
        return mr_printf(arena, "%s to %s", from, to);
    return mr_printf(arena, "%.*s to %s", (int)(own - from), from, to + DAY + 1);
}

static struct mr_value span(const struct mr_outline *o, struct mr_arena *arena, int64_t from, int64_t to) {
    if (from == MR_T_NONE)
        return mr_v_blank("");
    const char *text = mr_local_text(arena, o->a->aligned, from);
    return mr_v_text(to == MR_T_NONE || to == from ? text
                                                   : span_text(arena, text, mr_local_text(arena, o->a->aligned, to)));
}

static const char *const gravity[] = {
    [MR_NOTE] = "note", [MR_WARNING] = "needs review", [MR_ERROR] = "does not conform"};

static void finding_row(const struct mr_rows *rows, const struct mr_outline *o, struct mr_arena *arena, size_t i,
                        struct mr_value *out) {
    (void)rows;
    const struct mr_finding *f = &o->a->findings.v[i];
    const char *caution = f->caution && f->caution[0] ? mr_printf(arena, "Caution: %s", f->caution) : "";
    const struct mr_value row[LIST_COLUMNS] = {mr_v_count((int64_t)i + 1),
                                               mr_v_text(gravity[f->severity]),
                                               mr_v_text(mr_zone_name(o->a, f->zone)),
                                               coat_value(f->coat),
                                               mr_v_text(f->what),
                                               figure(f->measured, f->decimals),
                                               figure(f->limit, f->decimals),
                                               mr_v_text(mr_unit_symbol(f->unit)),
                                               span(o, arena, f->t0_utc_ms, f->t1_utc_ms),
                                               mr_v_text(both(arena, f->next_step, caution)),
                                               mr_v_text(both(arena, f->rule, f->source)),
                                               mr_v_text(evidence_text(arena, &f->evidence))};
    memcpy(out, row, sizeof row);
}

struct mr_rows mr_finding_rows(const struct mr_outline *o) {
    static const struct mr_field fields[LIST_COLUMNS] = {
        {"number", "No.", MR_UNIT_NONE, 0},        {"severity", "Severity", MR_UNIT_NONE, 0},
        {"zone", "Zone", MR_UNIT_NONE, 0},         {"coat", "Coat", MR_UNIT_NONE, 0},
        {"what", "What", MR_UNIT_NONE, 0},         {"measured", "Measured", MR_UNIT_NONE, -1},
        {"limit", "Limit", MR_UNIT_NONE, -1},      {"unit", "Unit", MR_UNIT_NONE, 0},
        {"when", "When", MR_UNIT_NONE, 0},         {"next", "Next step, caution", MR_UNIT_NONE, 0},
        {"rule", "Rule, source", MR_UNIT_NONE, 0}, {"evidence", "Evidence: file and lines", MR_UNIT_NONE, 0}};
    return (struct mr_rows){.id = "findings",
                            .title = "Findings",
                            .note = "What a reviewer must know, most serious first, each with its next step.",
                            .n_fields = LIST_COLUMNS,
                            .fields = fields,
                            .n = o->a->findings.n,
                            .row = finding_row};
}

const struct mr_table *mr_rows_table(const struct mr_outline *o, const struct mr_rows *r) {
    struct mr_table *t = mr_table_new(o->arena, r->id, r->title, r->note, r->n_fields, r->fields);
    struct mr_value row[LIST_COLUMNS];
    for (size_t i = 0; i < r->n; i++) {
        r->row(r, o, o->arena, i, row);
        mr_table_add(o->arena, t, row);
    }
    return t;
}
