/*
 * lots.c - which lot of each part went onto which zone and coat, and had it passed its shelf date?
 *
 * A window's lots stand in its row of the spray log; where a row names none and the material log of that shift knows
 * just one lot of the part, that one is taken. A shelf date counts wherever it is written, in either log. Without any
 * date nothing is judged; material past its date is a finding even where the job does not ask for a material balance.
 */
#include "assess/material/material.h"

#include <math.h>
#include <string.h>

#define N_WHERE 60 /* zones that a cell names; the windows' own tables have them all */

struct lot {
    const char *name;
    char part;
    int64_t shelf_local_ms; /* end date, midnight; MR_T_NONE */
    struct mr_place shelf_place;
    int64_t from_local_ms; /* the first day on which any of it was made or arrived, as logged; MR_T_NONE */
    int64_t first_utc_ms, last_utc_ms;
    const char *where; /* zones and coats, the first of them */
    size_t n_coats;
    bool past;
    bool unread; /* a shelf date is written that is none */
};
typedef MR_VEC(struct lot) lot_list;

static struct lot *lot_of(struct mr_assess *a, lot_list *lots, const char *name, char part) {
    for (size_t i = 0; i < lots->n; i++)
        if (lots->v[i].part == part && strcmp(lots->v[i].name, name) == 0)
            return &lots->v[i];
    struct lot fresh = {.name = name,
                        .part = part,
                        .shelf_local_ms = MR_T_NONE,
                        .from_local_ms = MR_T_NONE,
                        .first_utc_ms = MR_T_NONE,
                        .last_utc_ms = MR_T_NONE,
                        .where = ""};
    MR_PUSH(a->arena, lots, fresh);
    return &lots->v[lots->n - 1];
}

/* The earliest date wins where two rows disagree. */
static void note_shelf(struct lot *lot, bool unread, int64_t shelf_ms, struct mr_place place) {
    lot->unread = lot->unread || unread;
    if (shelf_ms == MR_T_NONE || (lot->shelf_local_ms != MR_T_NONE && lot->shelf_local_ms <= shelf_ms))
        return;
    lot->shelf_local_ms = shelf_ms;
    lot->shelf_place = place;
}

/* A lot comes in more than one delivery. */
static void note_from(struct lot *lot, int64_t from_ms) {
    if (from_ms != MR_T_NONE && (lot->from_local_ms == MR_T_NONE || from_ms < lot->from_local_ms))
        lot->from_local_ms = from_ms;
}

static struct mr_place place_in(const struct mr_assess *a, uint32_t file, uint32_t line) {
    return (struct mr_place){a->aligned->data->files.v[file].source->path, line, 0, 0};
}

static void read_days(struct mr_assess *a, lot_list *lots) {
    const struct mr_data *d = a->aligned->data;
    for (size_t i = 0; i < d->sprays.n; i++) {
        const struct mr_spray *s = &d->sprays.v[i];
        if (s->lot_a[0] != '\0') {
            note_shelf(lot_of(a, lots, s->lot_a, 'A'), s->shelf_unread, s->shelf_a_ms, place_in(a, s->file, s->line));
            note_from(lot_of(a, lots, s->lot_a, 'A'), s->from_a_ms);
        }
        if (s->lot_b[0] != '\0') {
            note_shelf(lot_of(a, lots, s->lot_b, 'B'), s->shelf_unread, s->shelf_b_ms, place_in(a, s->file, s->line));
            note_from(lot_of(a, lots, s->lot_b, 'B'), s->from_b_ms);
        }
    }
    for (size_t i = 0; i < d->materials.n; i++) {
        const struct mr_material *m = &d->materials.v[i];
        if (m->lot[0] == '\0')
            continue;
        note_shelf(lot_of(a, lots, m->lot, m->part), m->shelf_unread, m->shelf_ms, place_in(a, m->file, m->line));
        note_from(lot_of(a, lots, m->lot, m->part), m->from_ms);
    }
}

/* The one lot of a part that the material log names in a shift; "" where none or several. */
static const char *only_lot(struct mr_assess *a, size_t shift, char part) {
    const char *found = "";
    for (size_t i = 0; i < a->aligned->data->materials.n && i < a->aligned->material_utc.n; i++) {
        const struct mr_material *m = &a->aligned->data->materials.v[i];
        if (m->part != part || m->lot[0] == '\0')
            continue;
        const struct mr_level_row row = mr_level_row(a, i);
        if (row.shift != shift || row.doubt)
            continue;
        if (found[0] != '\0' && strcmp(found, m->lot) != 0)
            return "";
        found = m->lot;
    }
    return found;
}

/* Whether the material log names lots of the part in that shift, and this one is none of them. */
static bool is_elsewhere(const struct mr_assess *a, size_t shift, char part, const char *lot) {
    const char *id = mr_folded_name(a->arena, lot);
    bool named = false;
    for (size_t i = 0; i < a->aligned->data->materials.n && i < a->aligned->material_utc.n; i++) {
        const struct mr_material *m = &a->aligned->data->materials.v[i];
        if (m->part != part || m->lot[0] == '\0')
            continue;
        if (strcmp(mr_folded_name(a->arena, m->lot), id) == 0)
            return false;
        named = named || (a->aligned->material_utc.v[i] != MR_T_NONE &&
                          mr_shift_near(a->aligned, a->aligned->material_utc.v[i]) == shift);
    }
    return named && lot[0] != '\0';
}

static void find_past_shelf(struct mr_assess *a, const struct lot *lot, const struct mr_window *w) {
    bool required = mr_set_flag(a->aligned->zones.v[w->zone].settings, MR_MATERIAL_REQUIRED);
    struct mr_finding f = mr_blank_finding("past-shelf-date", required ? MR_ERROR : MR_WARNING, w->zone, w->coat);
    f.t0_utc_ms = w->t0_utc_ms;
    f.t1_utc_ms = w->t1_utc_ms;
    f.measured = (double)(mr_local_ms(a->aligned, w->t0_utc_ms) - lot->shelf_local_ms) / 86400e3;
    f.limit = 0.0;
    f.unit = MR_UNIT_DAY;
    f.decimals = 0;
    f.rule = "material is used by its shelf date";
    f.source = MR_SRC_CP;
    f.what = mr_printf(a->arena, "%s: lot %s of part %c was %.0f %s past its shelf date.",
                       mr_capitalised(a, mr_zone_label(a, w->zone, w->coat)), lot->name, lot->part, floor(f.measured),
                       floor(f.measured) > 1.0 ? "days" : "day");
    f.next_step = "Ask the supplier whether the lot may be used; compare the heat of this coat with that of coats "
                  "from other lots.";
    f.caution = mr_caution_mix;
    mr_add_evidence(a, &f.evidence, lot->shelf_place, "shelf date");
    mr_add_evidence(a, &f.evidence, w->place, "the window");
    mr_add_finding(a, &f);
}

/* Whether a lot lies past its date on the day of the window; the day of the date itself is still good. */
static bool is_past(const struct mr_assess *a, const struct lot *lot, const struct mr_window *w) {
    return lot->shelf_local_ms != MR_T_NONE &&
           mr_local_ms(a->aligned, w->t0_utc_ms) >= lot->shelf_local_ms + MR_DAY_MS;
}

static void trace(struct mr_assess *a, lot_list *lots, const struct mr_window *w, const char *name, char part,
                  bool *past, bool *dated) {
    struct lot *lot = lot_of(a, lots, name, part);
    const char *where = mr_printf(a->arena, "%s (%d)", a->aligned->zones.v[w->zone].name, w->coat);
    if (lot->n_coats++ < N_WHERE)
        lot->where = lot->where[0] == '\0' ? where : mr_printf(a->arena, "%s, %s", lot->where, where);
    if (lot->first_utc_ms == MR_T_NONE || w->t0_utc_ms < lot->first_utc_ms)
        lot->first_utc_ms = w->t0_utc_ms;
    if (lot->last_utc_ms == MR_T_NONE || w->t1_utc_ms > lot->last_utc_ms)
        lot->last_utc_ms = w->t1_utc_ms;
    *dated |= lot->shelf_local_ms != MR_T_NONE;
    if (!is_past(a, lot, w))
        return;
    lot->past = true;
    *past = true;
    find_past_shelf(a, lot, w);
}

/* A lot that was made or arrived after the coat on which it is said to be; NULL. */
static const struct lot *not_there_yet(struct mr_assess *a, lot_list *lots, const struct mr_window *w,
                                       const char *lot_a, const char *lot_b) {
    const char *const names[] = {lot_a, lot_b};
    for (size_t i = 0; i < MR_COUNT(names); i++) {
        const struct lot *lot = *names[i] ? lot_of(a, lots, names[i], i ? 'B' : 'A') : NULL;
        if (lot && lot->from_local_ms != MR_T_NONE && mr_local_ms(a->aligned, w->t0_utc_ms) < lot->from_local_ms)
            return lot;
    }
    return NULL;
}

/* Why lots that are named show nothing; "" where they do. */
static const char *lots_open(struct mr_assess *a, lot_list *lots, const struct mr_window *w, const char *lot_a,
                             const char *lot_b) {
    const bool a_elsewhere = is_elsewhere(a, w->shift, 'A', lot_a),
               b_elsewhere = is_elsewhere(a, w->shift, 'B', lot_b);
    if (a_elsewhere || b_elsewhere)
        return mr_printf(a->arena, "; the material log names other lots%s%s%s", a_elsewhere ? " of part A" : "",
                         a_elsewhere && b_elsewhere ? " and" : "", b_elsewhere ? " of part B" : "");
    if ((lot_a[0] != '\0' && lot_of(a, lots, lot_a, 'A')->unread) ||
        (lot_b[0] != '\0' && lot_of(a, lots, lot_b, 'B')->unread))
        return "; a shelf date is written that is no date, or a day of which it is not known whether it is one";
    const struct lot *late = not_there_yet(a, lots, w, lot_a, lot_b);
    if (late)
        return mr_printf(a->arena, "; lot %s was made or received on %s, as logged, after the coat", late->name,
                         mr_day_label(a, late->from_local_ms));
    return "";
}

static void judge_window(struct mr_assess *a, lot_list *lots, const struct mr_window *w) {
    const char *lot_a = w->log != NULL && w->log->lot_a[0] != '\0' ? w->log->lot_a : only_lot(a, w->shift, 'A');
    const char *lot_b = w->log != NULL && w->log->lot_b[0] != '\0' ? w->log->lot_b : only_lot(a, w->shift, 'B');
    bool past = false, dated = false;
    if (lot_a[0] != '\0')
        trace(a, lots, w, lot_a, 'A', &past, &dated);
    if (lot_b[0] != '\0')
        trace(a, lots, w, lot_b, 'B', &past, &dated);
    if (!mr_set_flag(a->aligned->zones.v[w->zone].settings, MR_MATERIAL_REQUIRED))
        return;
    struct mr_check c = mr_blank_check("material.lots", "Lots traced to the coat", "material", w->zone, w->coat);
    const bool both = lot_a[0] != '\0' && lot_b[0] != '\0';
    const char *open = lots_open(a, lots, w, lot_a, lot_b);
    c.outcome = past ? MR_DOES_NOT_CONFORM : both && !*open ? MR_CONFORMS : MR_NOT_SHOWN;
    c.rule = "both lots are known for each coat, and none is past its shelf date";
    c.source = MR_SRC_CP;
    c.detail = mr_printf(a->arena, "Part A: %s; part B: %s%s.", lot_a[0] != '\0' ? lot_a : "not known",
                         lot_b[0] != '\0' ? lot_b : "not known",
                         past    ? "; past its shelf date"
                         : *open ? open
                         : dated ? "; within the shelf date"
                                 : "; no shelf date is logged");
    mr_add_evidence(a, &c.evidence, w->place, "lots as logged");
    mr_add_check(a, &c);
    if (c.outcome != MR_NOT_SHOWN)
        return;
    struct mr_finding f = mr_finding_of(&c, both ? "lot-in-doubt" : "lot-not-known", MR_WARNING);
    f.t0_utc_ms = w->t0_utc_ms;
    f.t1_utc_ms = w->t1_utc_ms;
    f.what =
        mr_printf(a->arena, "%s: the lots of its material are %s. %s",
                  mr_capitalised(a, mr_zone_label(a, w->zone, w->coat)), both ? "in doubt" : "not known", c.detail);
    f.next_step = both ? "Correct the lots or their dates in the spray log and the material log, from the drums."
                       : "Write the lots into the spray log.";
    mr_add_finding(a, &f);
}

void mr_assess_lots(struct mr_assess *a) {
    lot_list lots = {0};
    read_days(a, &lots);
    for (size_t i = 0; i < a->aligned->windows.n; i++)
        judge_window(a, &lots, &a->aligned->windows.v[i]);
    if (lots.n == 0)
        return;
    struct mr_field fields[] = {
        {"part", "Part", MR_UNIT_NONE, 0},
        {"lot", "Lot", MR_UNIT_NONE, 0},
        {"shelf_date", "Shelf date", MR_UNIT_NONE, 0},
        {"first_sprayed", "First sprayed", MR_UNIT_NONE, 0},
        {"last_sprayed", "Last sprayed", MR_UNIT_NONE, 0},
        {"past", "Past its date", MR_UNIT_NONE, 0},
        {"coats", "Coats", MR_UNIT_NONE, 0},
        {"where", "Zones (coat)", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "lots", "Lots", "Where each lot went, from the spray log and the material log.",
                     MR_COUNT(fields), fields);
    for (size_t i = 0; i < lots.n; i++) {
        const struct lot *lot = &lots.v[i];
        struct mr_value v[] = {
            mr_v_text(lot->part == 'A' ? "A" : "B"),
            mr_v_text(lot->name),
            lot->shelf_local_ms == MR_T_NONE ? mr_v_blank("not logged")
                                             : mr_v_text(mr_day_label(a, lot->shelf_local_ms)),
            mr_v_time(lot->first_utc_ms),
            mr_v_time(lot->last_utc_ms),
            lot->shelf_local_ms == MR_T_NONE ? mr_v_blank("") : mr_v_text(lot->past ? "yes" : "no"),
            mr_v_count((int64_t)lot->n_coats),
            mr_v_text(lot->n_coats > N_WHERE ? mr_printf(a->arena, "%s, ...", lot->where) : lot->where),
        };
        mr_table_add(a->arena, table, v);
    }
    mr_add_table(a, table);
}
