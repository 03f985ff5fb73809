/*
 * shift_record.c - the items that the specification asks for each shift: done, and signed by role?
 *
 * Asked for is the list in `[shift record] items` as it holds for the zones sprayed in that shift. An item conforms
 * when a row of that shift says yes and names a role; "no" does not conform; anything else is not shown. What is due
 * before the first trigger pull (due_items.c) is not shown by a row whose time lies after it; a bare date says
 * nothing of that. An item that leaves its trace in a log is compared with the log: a water test that the line log
 * would show and does not is not shown. A zone's check is the worst item of all shifts in which it was sprayed;
 * findings stand once per shift and item.
 */
#include "assess/finding/finding_text.h"
#include "assess/lines/water_trace.h"
#include "assess/report/due_items.h"

#include "base/keyfile.h"

#include <string.h>

struct asked { /* one item of one shift */
    size_t shift;
    const char *item, *folded;
    const struct mr_settings *settings; /* who asks */
    enum mr_outcome outcome;
    const struct mr_shift_item *row; /* the row that tells; NULL */
    const char *why;
    bool late;     /* it was done, as the record says, after the work that presupposes it */
    bool untraced; /* the log of the lines shows nothing of it */
    mr_evidence_list trace;
};
typedef MR_VEC(struct asked) asked_list;

static const char *fold(struct mr_assess *a, const char *text) {
    return mr_fold(a->arena, text, strlen(text));
}

static void ask_list(struct mr_assess *a, asked_list *list, size_t shift, const struct mr_settings *settings,
                     const char *p) {
    while (*p != '\0') {
        size_t n = strcspn(p, ",");
        const char *folded = mr_fold(a->arena, p, n);
        bool known = folded[0] == '\0';
        for (size_t i = 0; i < list->n && !known; i++)
            known = list->v[i].shift == shift && strcmp(list->v[i].folded, folded) == 0;
        while (n > 0 && *p == ' ') {
            p++;
            n--;
        }
        struct asked item = {
            .shift = shift, .item = mr_strndup(a->arena, p, n), .folded = folded, .settings = settings};
        if (!known)
            MR_PUSH(a->arena, list, item);
        p += n;
        p += *p == ',';
    }
}

/* What is due before spraying is asked for, on whichever of the two lists it stands. */
static void ask(struct mr_assess *a, asked_list *list, size_t shift, const struct mr_settings *settings) {
    ask_list(a, list, shift, settings, mr_set_text(settings, MR_SHIFT_ITEMS));
    ask_list(a, list, shift, settings, mr_set_text(settings, MR_SHIFT_FIRST));
}

static size_t word_count(const char *text) {
    size_t n = 0;
    for (const char *p = text; *p; p++)
        n += *p != ' ' && (p == text || p[-1] == ' ');
    return n;
}

static bool denies(const char *text) {
    static const char *const words[] = {"no",        "not",       "without", "never", "skipped",
                                        "omitted",   "postponed", "failed",  "only",  "partly",
                                        "partially", "partial",   "except",  "half",  "some"};
    for (size_t i = 0; i < MR_COUNT(words); i++)
        if (mr_holds_words(text, words[i]))
            return true;
    return false;
}

/* The same words, or one text holding the other whole: "water leak test 30 psi" answers "water leak test". A yes
 * needs at least half of the item's words, and "no water leak test" is not one; what speaks against the work may say
 * less: "water: no". */
static bool answers(const char *asked, const char *written, bool yes) {
    if (written[0] == '\0')
        return false;
    if (strcmp(asked, written) == 0)
        return true;
    if (!yes)
        return strstr(written, asked) != NULL || strstr(asked, written) != NULL;
    if (denies(written) && !denies(asked))
        return false;
    return mr_holds_words(written, asked) ||
           (mr_holds_words(asked, written) && 2 * word_count(written) >= word_count(asked));
}

/* How far a row settles an item; the worst word of several rows counts, so that a "no" is never covered by a "yes".
 */
static enum mr_outcome outcome_of(struct mr_assess *a, const struct mr_shift_item *row, const char **why) {
    if (row->done == 0) {
        *why = "the record says no";
        return MR_DOES_NOT_CONFORM;
    }
    if (row->done != 1) {
        *why = "the record leaves it open";
        return MR_NOT_SHOWN;
    }
    if (row->objection) {
        *why = mr_printf(a->arena, "done, but the row says \"%s\"", row->objection);
        return MR_NOT_SHOWN;
    }
    *why = row->role[0] == '\0' ? "done, but not signed" : "done and signed";
    return row->role[0] == '\0' ? MR_NOT_SHOWN : MR_CONFORMS;
}

static const char *clock_text(struct mr_assess *a, int64_t local_ms) {
    const int minute = (int)(((local_ms % MR_DAY_MS) + MR_DAY_MS) % MR_DAY_MS / 60000);
    return mr_printf(a->arena, "%02d:%02d", minute / 60, minute % 60);
}

/* A row that gives a time, to the minute, after the shift's first trigger pull. */
static bool is_late(const struct mr_assess *a, size_t shift, const struct mr_shift_item *row) {
    enum { MINUTE_MS = 60000 };
    return row->day_ms % MR_DAY_MS != 0 &&
           row->day_ms >= mr_local_ms(a->aligned, a->aligned->shifts.v[shift].t0_utc_ms) + MINUTE_MS;
}

/* The worst of the rows that answer an item. Late rows of what is due: those alone, or the others. */
static void take_rows(struct mr_assess *a, struct asked *item, const char *const *folded_rows, bool due, bool late) {
    const struct mr_data *d = a->aligned->data;
    for (size_t i = 0; i < d->shift_items.n && i < a->aligned->shift_item_shift.n; i++) {
        const struct mr_shift_item *row = &d->shift_items.v[i];
        if (a->aligned->shift_item_shift.v[i] != (int64_t)item->shift ||
            !answers(item->folded, folded_rows[i], row->done == 1))
            continue;
        const char *why;
        enum mr_outcome outcome = outcome_of(a, row, &why);
        const bool too_late = due && outcome == MR_CONFORMS && is_late(a, item->shift, row);
        if (too_late != late || (item->row != NULL && outcome <= item->outcome))
            continue;
        item->outcome = late ? MR_NOT_SHOWN : outcome;
        item->row = row;
        item->why =
            !late ? why
                  : mr_printf(a->arena, "recorded at %s, after the first trigger pull at %s",
                              clock_text(a, row->day_ms),
                              clock_text(a, mr_local_ms(a->aligned, a->aligned->shifts.v[item->shift].t0_utc_ms)));
    }
}

static void look_up(struct mr_assess *a, struct asked *item, const char *const *folded_rows) {
    const bool due = mr_item_is_due(a->arena, item->settings, item->folded);
    item->outcome = MR_NOT_SHOWN;
    item->why = "not in the record";
    take_rows(a, item, folded_rows, due, false);
    item->late = item->row == NULL && due;
    if (item->late)
        take_rows(a, item, folded_rows, due, true);
    item->late = item->late && item->row != NULL;
    if (item->outcome != MR_CONFORMS || !mr_is_water_test(item->folded) ||
        !mr_water_untraced(a, item->shift, &item->trace))
        return;
    item->outcome = MR_NOT_SHOWN;
    item->why = "done and signed, but the log of the lines shows no pressure before the first coat";
    item->untraced = true;
}

static struct mr_place place_of(const struct mr_assess *a, const struct mr_shift_item *row) {
    return (struct mr_place){a->aligned->data->files.v[row->file].source->path, row->line, 0, 0};
}

static void find_item(struct mr_assess *a, const struct asked *item) {
    const struct mr_shift *shift = &a->aligned->shifts.v[item->shift];
    bool bad = item->outcome == MR_DOES_NOT_CONFORM;
    struct mr_finding f =
        mr_blank_finding(bad ? "shift-item-no" : "shift-item-missing", bad ? MR_ERROR : MR_WARNING, MR_NONE, 0);
    f.t0_utc_ms = shift->t0_utc_ms;
    f.t1_utc_ms = shift->t1_utc_ms;
    f.rule = "each shift has the item, signed by role";
    f.source = mr_source_of(a, item->settings, MR_SHIFT_ITEMS);
    f.what = mr_printf(a->arena, "Shift %s: \"%s\": %s.", shift->name, item->item, item->why);
    f.next_step =
        item->row && item->row->objection
            ? mr_printf(a->arena,
                        "Find out what is meant. If it says nothing against the item, add to job.milrise: %s.",
                        item->row->objection_key)
        : item->late ? "Write into the record when it was done; state under [shift record] what is due before "
                       "spraying: `before spraying = ...`."
        : item->untraced
            ? "Write the test into the spray log with its start and stop, or add the export that shows it."
        : bad ? "Find out what was done about it, and examine what was sprayed in that shift."
              : "Complete the shift record, signed by the role that did it.";
    f.evidence = item->trace;
    f.caution =
        strstr(item->folded, "hose") != NULL || strstr(item->folded, "gun") != NULL ||
                strstr(item->folded, "leak") != NULL
            ? "High-pressure lines can inject material through skin: relieve them before anything is opened or "
              "inspected by hand."
            : NULL;
    if (item->row != NULL)
        mr_add_evidence(a, &f.evidence, place_of(a, item->row), "shift record");
    mr_add_finding(a, &f);
}

/* --- zones ------------------------------------------------------------------------------------------- */

/* Which zones were sprayed in which shift: shape zones.n * shifts.n. */
static bool *sprayed_map(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    bool *map = MR_ARRAY(a->arena, bool, al->zones.n * al->shifts.n);
    for (size_t i = 0; i < al->windows.n; i++)
        if (al->windows.v[i].shift < al->shifts.n)
            map[al->windows.v[i].zone * al->shifts.n + al->windows.v[i].shift] = true;
    return map;
}

/* Whether a specification's own lists have the item: another zone of the same shift may be asked for more. */
static bool asks_for(struct mr_assess *a, const struct mr_settings *settings, const char *folded) {
    return mr_item_on_list(a->arena, mr_set_text(settings, MR_SHIFT_ITEMS), folded) ||
           mr_item_on_list(a->arena, mr_set_text(settings, MR_SHIFT_FIRST), folded);
}

/* One check per zone and shift in which it was sprayed. */
static void judge_zone(struct mr_assess *a, size_t z, size_t s, const asked_list *items) {
    struct mr_check c = mr_blank_check(
        "shift.items", mr_printf(a->arena, "Shift record of %s", a->aligned->shifts.v[s].name), "shift record", z, 0);
    size_t n = 0, good = 0;
    const char *open = "";
    c.outcome = MR_NOT_REQUIRED;
    for (size_t i = 0; i < items->n; i++) {
        const struct asked *item = &items->v[i];
        if (item->shift != s || !asks_for(a, a->aligned->zones.v[z].settings, item->folded))
            continue;
        n++;
        good += item->outcome == MR_CONFORMS;
        c.outcome = mr_outcome_worst(c.outcome, item->outcome);
        c.source = mr_source_of(a, item->settings, MR_SHIFT_ITEMS);
        if (item->row != NULL)
            mr_add_evidence(a, &c.evidence, place_of(a, item->row), item->item);
        if (item->outcome != MR_CONFORMS)
            open = mr_printf(a->arena, "%s%s%s: %s", open, open[0] == '\0' ? "" : "; ", item->item, item->why);
    }
    if (n == 0)
        return;
    c.measured = (double)good;
    c.limit_low = (double)n;
    c.rule = "each item asked for is done and signed by role";
    c.detail = open[0] == '\0' ? mr_printf(a->arena, "%zu of %zu items are done and signed.", good, n)
                               : mr_printf(a->arena, "%s.", open);
    mr_add_check(a, &c);
}

static bool asks(const struct mr_zone *zone) {
    return mr_set_text(zone->settings, MR_SHIFT_ITEMS)[0] != '\0' ||
           mr_set_text(zone->settings, MR_SHIFT_FIRST)[0] != '\0';
}

static void judge_zones(struct mr_assess *a, const asked_list *items) {
    const bool *sprayed = sprayed_map(a);
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        bool any = false;
        for (size_t s = 0; s < a->aligned->shifts.n; s++) {
            if (!asks(&a->aligned->zones.v[z]) || !sprayed[z * a->aligned->shifts.n + s])
                continue;
            judge_zone(a, z, s, items);
            any = true;
        }
        if (any || !asks(&a->aligned->zones.v[z]))
            continue;
        struct mr_check c = mr_blank_check("shift.items", "Shift record", "shift record", z, 0);
        c.rule = "each item asked for is done and signed by role";
        c.source = mr_source_of(a, a->aligned->zones.v[z].settings, MR_SHIFT_ITEMS);
        c.detail = "No shift is known in which this zone was sprayed.";
        mr_add_check(a, &c);
    }
}

/* --- the table --------------------------------------------------------------------------------------- */

static void add_item_row(struct mr_assess *a, struct mr_table *table, const char *shift, const char *item,
                         enum mr_outcome outcome, const struct mr_shift_item *row, const char *why) {
    struct mr_value v[] = {
        mr_v_text(shift),
        mr_v_text(item),
        mr_v_outcome((int)outcome),
        mr_v_text(why),
        row == NULL ? mr_v_blank("") : mr_v_text(row->item),
        row == NULL ? mr_v_blank("")
                    : mr_v_text(row->done == 1   ? "yes"
                                : row->done == 0 ? "no"
                                                 : ""),
        row == NULL ? mr_v_blank("") : mr_v_text(row->role),
        row == NULL ? mr_v_blank("") : mr_v_text(row->note),
        row == NULL ? mr_v_blank("") : mr_v_text(mr_printf(a->arena, "%s:%u", place_of(a, row).file, row->line)),
    };
    mr_table_add(a->arena, table, v);
}

static bool is_used(const asked_list *items, const struct mr_shift_item *row) {
    for (size_t i = 0; i < items->n; i++)
        if (items->v[i].row == row)
            return true;
    return false;
}

static void add_table(struct mr_assess *a, const asked_list *items) {
    struct mr_field fields[] = {
        {"shift", "Shift", MR_UNIT_NONE, 0},        {"item", "Required item", MR_UNIT_NONE, 0},
        {"outcome", "Outcome", MR_UNIT_NONE, 0},    {"why", "Why", MR_UNIT_NONE, 0},
        {"written", "As written", MR_UNIT_NONE, 0}, {"done", "Done", MR_UNIT_NONE, 0},
        {"role", "By role", MR_UNIT_NONE, 0},       {"note", "Note", MR_UNIT_NONE, 0},
        {"evidence", "Evidence", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "shift-record", "Shift record",
                     "Items that the specification asks for in each shift, then the rest of the record.",
                     MR_COUNT(fields), fields);
    const struct mr_alignment *al = a->aligned;
    for (size_t i = 0; i < items->n; i++)
        add_item_row(a, table, al->shifts.v[items->v[i].shift].name, items->v[i].item, items->v[i].outcome,
                     items->v[i].row, items->v[i].why);
    for (size_t i = 0; i < al->data->shift_items.n; i++) {
        const struct mr_shift_item *row = &al->data->shift_items.v[i];
        int64_t s = i < al->shift_item_shift.n ? al->shift_item_shift.v[i] : -1;
        if (!is_used(items, row))
            add_item_row(a, table, s < 0 ? mr_day_label(a, row->day_ms) : al->shifts.v[s].name, "", MR_NOT_REQUIRED,
                         row, s < 0 ? "no shift on that day" : "not asked for, or covered by another row");
    }
    if (table->n_rows > 0)
        mr_add_table(a, table);
}

void mr_assess_shift(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    asked_list items = {0};
    const char **folded = MR_ARRAY(a->arena, const char *, al->data->shift_items.n);
    for (size_t i = 0; i < al->data->shift_items.n; i++)
        folded[i] = fold(a, al->data->shift_items.v[i].item);
    for (size_t s = 0; s < al->shifts.n; s++) {
        for (size_t i = 0; i < al->windows.n; i++)
            if (al->windows.v[i].shift == s)
                ask(a, &items, s, al->zones.v[al->windows.v[i].zone].settings);
    }
    for (size_t i = 0; i < items.n; i++) {
        look_up(a, &items.v[i], folded);
        if (items.v[i].outcome != MR_CONFORMS)
            find_item(a, &items.v[i]);
    }
    judge_zones(a, &items);
    add_table(a, &items);
}
