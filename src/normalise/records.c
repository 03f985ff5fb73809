/*
 * records.c - rows of gauges and of hand-kept tables become typed records. Such files are small beside logs, so a row is
 * first spread out by meaning and then read by its kind.
 */
#include "normalise/work.h"

#include <math.h>
#include <string.h>

/* One row by meaning. */
struct spread {
    struct mr_work *w;
    const struct mr_row *row;
    const struct mr_cell *cell[MR_MEANING_COUNT]; /* NULL where absent or blank */
    size_t col[MR_MEANING_COUNT];
};

static struct spread spread_row(struct mr_work *w, const struct mr_row *row) {
    struct spread s = {.w = w, .row = row};
    for (size_t i = 0; i < w->plan->n; i++) {
        const struct mr_plan_column *c = &w->plan->col[i];
        if (c->as.meaning == MR_M_IGNORE || c->cell >= row->n || !row->cell[c->cell].n || s.cell[c->as.meaning])
            continue;
        s.cell[c->as.meaning] = &row->cell[c->cell];
        s.col[c->as.meaning] = i;
    }
    return s;
}

static const char *text_of(const struct spread *s, enum mr_meaning m) {
    return s->cell[m] ? mr_text_keep(s->w, s->cell[m]->p, s->cell[m]->n) : "";
}

static void say(const struct spread *s, enum mr_aside why, enum mr_meaning m, const char *mend, const char *what) {
    mr_work_say(s->w, why, s->row, s->cell[m] ? (uint32_t)s->w->plan->col[s->col[m]].cell + 1 : 0, s->cell[m], mend, what);
}

/* A number with its unit: the row's unit column, the cell's own, the column's. *unit NONE where none is known yet. */
static int number_in(const struct spread *s, size_t col, const struct mr_cell *cell, double *out, enum mr_unit *unit) {
    struct mr_work *w = s->w;
    struct mr_plan_column *c = &w->plan->col[col];
    enum mr_dim dim = mr_meaning_dim(c->as.meaning);
    struct mr_number x;
    *out = (double)NAN;
    *unit = c->as.unit;
    if (*w->plan->missing && mr_missing_listed(w->plan->missing, cell->p, cell->n))
        return MR_ASIDE_NO_VALUE;
    enum mr_num what = mr_number_scan(cell->p, cell->n, c->style, &x);
    if (what == MR_NUM_MIXED && c->style_open) {
        c->style.mark = c->style.mark == '.' ? ',' : '.';
        what = MR_NUM_OK;
    }
    if (what == MR_NUM_MISSING)
        return MR_ASIDE_NO_VALUE;
    if (what == MR_NUM_OK && x.doubtful)
        what = MR_NUM_AMBIGUOUS;
    bool wrong_unit = what == MR_NUM_OK && x.unit && dim != MR_DIM_NONE && !mr_unit_fits(x.unit, x.unit_n, dim, unit);
    if (what != MR_NUM_OK || wrong_unit || (x.unit && dim == MR_DIM_NONE)) {
        const char *text = what == MR_NUM_MIXED ? (c->style.mark == '.' ? "has a decimal comma in a column of decimal points"
                                                                        : "has a decimal point in a column of decimal commas")
                           : what == MR_NUM_AMBIGUOUS ? "can be a thousand or a fraction"
                                                      : "is not a number";
        const char *mend = what == MR_NUM_AMBIGUOUS ? "Write into job.milrise, for this [file]: decimal = point, or decimal = comma. Row set aside."
                           : what == MR_NUM_MIXED ? mr_printf(w->scratch, "If it means %.10g, write it like the others. Row set aside.", x.value)
                                                  : "Correct the cell. Row set aside.";
        mr_work_say(w, MR_ASIDE_BAD_NUMBER, s->row, (uint32_t)c->cell + 1, cell, mend,
                    mr_printf(w->scratch, "%s (column \"%s\")", text, mr_clean_text(w->scratch, c->as.name, strlen(c->as.name), 60)));
        return MR_ASIDE_BAD_NUMBER;
    }
    if (x.mark) {
        c->style_open = false;
        c->as.decimal = c->as.decimal ? c->as.decimal : x.mark;
    }
    *out = x.value;
    if (s->cell[MR_M_UNIT] && !x.unit && !mr_unit_fits(s->cell[MR_M_UNIT]->p, s->cell[MR_M_UNIT]->n, dim, unit)) {
        say(s, MR_ASIDE_NO_UNIT, MR_M_UNIT, "Write um, mil or mm. Row set aside.", "is not a unit of this value");
        return MR_ASIDE_NO_UNIT;
    }
    return MR_FATE_USED;
}

/* An optional figure of a register: canonical, NaN where absent or wrong; *bad counts wrong ones. */
static double figure(const struct spread *s, enum mr_meaning m, int *bad) {
    double value;
    enum mr_unit unit;
    if (!s->cell[m])
        return (double)NAN;
    int got = number_in(s, s->col[m], s->cell[m], &value, &unit);
    if (got == MR_ASIDE_NO_VALUE)
        return (double)NAN;
    if (got != MR_FATE_USED) {
        *bad = got;
        return (double)NAN;
    }
    enum mr_dim dim = mr_meaning_dim(m);
    if (unit == MR_UNIT_NONE && dim != MR_DIM_NONE) {
        say(s, MR_ASIDE_NO_UNIT, m, "Write the unit behind the number or into the heading. Value left out.", "has no unit");
        return (double)NAN;
    }
    return dim == MR_DIM_NONE ? value : mr_to_canonical(unit, value);
}

static int64_t row_time(const struct spread *s, enum mr_time_read *got) {
    int64_t t;
    *got = mr_timer_read(&s->w->timer, s->row, &t);
    return *got == MR_READ_OK ? t : MR_T_NONE;
}

/* --- gauges ------------------------------------------------------------------------------------------------------- */

static bool film_in_range(const struct spread *s, double written, enum mr_unit unit, enum mr_meaning m) {
    double least, most, um = unit == MR_UNIT_NONE ? 0.0 : mr_to_canonical(unit, written);
    mr_physical_range(&s->w->job->settings, MR_M_FILM, &least, &most);
    if (um >= least && um <= most)
        return true;
    say(s, MR_ASIDE_OUT_OF_RANGE, m, "Row set aside; limits stand under [plausibility].", "lies outside what a gauge can show");
    return false;
}

static bool deleted(const struct spread *s) {
    const struct mr_cell *c = s->cell[MR_M_STATE];
    const struct mr_word_list *list = c ? mr_map_list(s->w->plan->map, "words.deleted") : NULL;
    return list && mr_list_holds(list, mr_words_fold(s->w->scratch, c->p, c->n), false);
}

static int take_reading(const struct spread *s) {
    struct mr_work *w = s->w;
    enum mr_time_read got;
    int64_t t = row_time(s, &got);
    if (got == MR_READ_BAD || got == MR_READ_ZONE)
        return MR_ASIDE_BAD_TIME;
    struct mr_reading base = {.file = w->index, .line = s->row->line, .t_ms = t, .zone = text_of(s, MR_M_ZONE),
                              .coat = text_of(s, MR_M_COAT), .area = text_of(s, MR_M_AREA_ID), .spot = text_of(s, MR_M_SPOT),
                              .serial = text_of(s, MR_M_SERIAL), .probe = text_of(s, MR_M_PROBE), .note = text_of(s, MR_M_NOTE)};
    if (mr_plan_column_of(w->plan, MR_M_ZONE) == MR_NONE)
        base.zone = w->block_zone;
    if (!*base.serial)
        base.serial = w->block_serial;
    if (deleted(s))
        return MR_ASIDE_DELETED;
    int why = s->cell[MR_M_FILM] ? MR_ASIDE_NO_VALUE : MR_ASIDE_INCOMPLETE;
    size_t taken = 0;
    for (size_t i = 0; i < w->plan->n; i++) {
        const struct mr_plan_column *c = &w->plan->col[i];
        if (c->as.meaning != MR_M_FILM || c->cell >= s->row->n)
            continue;
        const struct mr_cell *cell = &s->row->cell[c->cell];
        struct mr_reading r = base;
        int fate = cell->n ? number_in(s, i, cell, &r.written, &r.unit) : MR_ASIDE_NO_VALUE;
        if (fate == MR_FATE_USED && !film_in_range(s, r.written, r.unit, MR_M_FILM))
            fate = MR_ASIDE_OUT_OF_RANGE;
        why = fate == MR_FATE_USED || why == MR_ASIDE_INCOMPLETE || why == MR_ASIDE_NO_VALUE ? fate : why;
        if (fate != MR_FATE_USED)
            continue;
        r.film_um = r.unit == MR_UNIT_NONE ? (double)NAN : mr_to_canonical(r.unit, r.written);
        MR_PUSH(w->scratch, &w->readings, r);
        taken++;
    }
    return taken ? MR_FATE_USED : why;
}

static const char *when_word(const struct spread *s) {
    const struct mr_cell *c = s->cell[MR_M_WHEN];
    if (!c)
        return "";
    const char *words = mr_words_fold(s->w->scratch, c->p, c->n);
    static const char *const before[] = {"before", "pre", "start", "initial", "vorher", "avant", "begin", "before use", "opening", "antes", "prima",
                                         "voor", "vooraf", "fore", "przed"};
    static const char *const after[] = {"after", "post", "end", "final", "nachher", "apres", "finish", "after use", "closing", "despues",
                                        "depois", "dopo", "achteraf", "efter", "nach"};
    for (size_t i = 0; i < MR_COUNT(before); i++)
        if (mr_words_hold(words, before[i]))
            return "before";
    for (size_t i = 0; i < MR_COUNT(after); i++)
        if (mr_words_hold(words, after[i]))
            return "after";
    return "";
}

static int take_check(const struct spread *s, size_t col, struct mr_verification v) {
    struct mr_work *w = s->w;
    enum mr_unit certified_unit;
    int why = number_in(s, col, &s->row->cell[w->plan->col[col].cell], &v.reading_written, &v.unit);
    if (why == MR_FATE_USED)
        why = number_in(s, s->col[MR_M_CERTIFIED], s->cell[MR_M_CERTIFIED], &v.certified_written, &certified_unit);
    if (why != MR_FATE_USED)
        return why;
    if (v.unit == MR_UNIT_NONE) /* one of the two headings states the unit for both */
        v.unit = certified_unit;
    if (certified_unit == MR_UNIT_NONE)
        certified_unit = v.unit;
    if (!film_in_range(s, v.reading_written, v.unit, MR_M_FILM))
        return MR_ASIDE_OUT_OF_RANGE;
    v.reading_um = v.unit == MR_UNIT_NONE ? (double)NAN : mr_to_canonical(v.unit, v.reading_written);
    v.certified_um = certified_unit == MR_UNIT_NONE ? (double)NAN : mr_to_canonical(certified_unit, v.certified_written);
    MR_PUSH(w->scratch, &w->verifications, v);
    return MR_FATE_USED;
}

/* Several readings of one shim may stand in a row; the row is used where one of them is. */
static int take_verification(const struct spread *s) {
    struct mr_work *w = s->w;
    enum mr_time_read got;
    struct mr_verification v = {.file = w->index, .line = s->row->line, .t_ms = row_time(s, &got), .serial = text_of(s, MR_M_SERIAL),
                                .when = when_word(s), .note = text_of(s, MR_M_NOTE)};
    if (got == MR_READ_BAD || got == MR_READ_ZONE)
        return MR_ASIDE_BAD_TIME;
    if (!s->cell[MR_M_CERTIFIED] || !s->cell[MR_M_FILM])
        return MR_ASIDE_INCOMPLETE;
    int why = MR_ASIDE_NO_VALUE;
    bool any = false;
    for (size_t i = 0; i < w->plan->n; i++) {
        const struct mr_plan_column *c = &w->plan->col[i];
        if (c->as.meaning != MR_M_FILM || c->cell >= s->row->n || !s->row->cell[c->cell].n)
            continue;
        int got_one = take_check(s, i, v);
        any |= got_one == MR_FATE_USED;
        why = got_one;
    }
    return any ? MR_FATE_USED : why;
}

/* --- tables kept by hand ------------------------------------------------------------------------------------------ */

static enum mr_action action_of(struct mr_work *w, const char *text) {
    static const struct {
        const char *list;
        enum mr_action action;
    } lists[] = {{"actions.clean out", MR_ACTION_CLEAN_OUT}, {"actions.water test", MR_ACTION_WATER_TEST},
                 {"actions.mix check", MR_ACTION_MIX_CHECK}, {"actions.relieve", MR_ACTION_RELIEVE},
                 {"actions.repair", MR_ACTION_REPAIR},       {"actions.spray", MR_ACTION_SPRAY}};
    if (!*text)
        return MR_ACTION_SPRAY;
    const char *words = mr_words_fold(w->scratch, text, strlen(text));
    for (size_t i = 0; i < MR_COUNT(lists); i++)
        if (mr_list_holds(mr_map_list(w->plan->map, lists[i].list), words, false))
            return lists[i].action;
    return MR_ACTION_OTHER;
}

/* Shelf dates: columns whose heading ends in a or b; one column without a letter is for both. */
static void take_shelf(const struct spread *s, int64_t *a, int64_t *b) {
    *a = *b = MR_T_NONE;
    for (size_t i = 0; i < s->w->plan->n; i++) {
        const struct mr_plan_column *c = &s->w->plan->col[i];
        int64_t date, clock;
        if (c->as.meaning != MR_M_SHELF || c->cell >= s->row->n || !s->row->cell[c->cell].n)
            continue;
        mr_timer_cell(&s->w->timer, &s->row->cell[c->cell], s->row->line, &date, &clock);
        bool is_a = mr_words_hold(c->words, "a"), is_b = mr_words_hold(c->words, "b");
        if (!is_b)
            *a = date;
        if (!is_a)
            *b = date;
    }
}

static bool bad_clock(const struct spread *s, enum mr_meaning m, int64_t *date, int64_t *clock) {
    *date = MR_T_NONE;
    *clock = -1;
    if (!s->cell[m])
        return false;
    enum mr_time_read got = mr_timer_cell(&s->w->timer, s->cell[m], s->row->line, date, clock);
    if (got == MR_READ_BAD || got == MR_READ_ZONE) {
        say(s, MR_ASIDE_BAD_TIME, m, "Write it as 14:03 or 2026-05-11 14:03. Row set aside.", "is not a time");
        return true;
    }
    return false;
}

/* "09:10-09:32", "9:10 to 9:32": from and to in the start's cell, where no stop has its own. Both halves must be clocks. */
static bool take_range(const struct spread *s, struct mr_spray_times *t) {
    const struct mr_cell *c = s->cell[MR_M_STOP] ? NULL : s->cell[MR_M_START];
    static const char *const marks[] = {"-", "\xe2\x80\x93", " to ", " bis "};
    for (size_t k = 0; c && k < MR_COUNT(marks); k++) {
        size_t n = strlen(marks[k]);
        for (size_t i = 1; i + n < c->n; i++) {
            struct mr_when from, to;
            if (memcmp(c->p + i, marks[k], n) != 0 || !mr_when_scan(c->p, i, &from) || !mr_when_scan(c->p + i + n, c->n - i - n, &to) ||
                from.has_date || to.has_date || from.has_zone || to.has_zone)
                continue;
            t->start_date = t->stop_date = MR_T_NONE;
            t->start_clock = from.clock_ms;
            t->stop_clock = to.clock_ms;
            return true;
        }
    }
    return false;
}

static int take_spray(const struct spread *s) {
    struct mr_work *w = s->w;
    struct mr_spray_times t;
    int64_t unused;
    bool range = take_range(s, &t);
    if ((!range && (bad_clock(s, MR_M_START, &t.start_date, &t.start_clock) || bad_clock(s, MR_M_STOP, &t.stop_date, &t.stop_clock))) ||
        bad_clock(s, s->cell[MR_M_DATE] ? MR_M_DATE : MR_M_DATETIME, &t.date, &unused))
        return MR_ASIDE_BAD_TIME;
    if (!s->cell[MR_M_START] && !s->cell[MR_M_STOP] && !s->cell[MR_M_ZONE] && !s->cell[MR_M_ACTION])
        return MR_ASIDE_INCOMPLETE;
    struct mr_spray r = {.file = w->index, .line = s->row->line, .action_text = text_of(s, MR_M_ACTION), .zone = text_of(s, MR_M_ZONE),
                         .coat = text_of(s, MR_M_COAT), .direction = text_of(s, MR_M_DIRECTION), .lot_a = text_of(s, MR_M_LOT_A),
                         .lot_b = text_of(s, MR_M_LOT_B), .role = text_of(s, MR_M_ROLE), .note = text_of(s, MR_M_NOTE)};
    r.action = action_of(w, r.action_text);
    if (r.action == MR_ACTION_SPRAY && !*r.zone) {
        say(s, MR_ASIDE_NO_ZONE, MR_M_ZONE, "Write the zone that was sprayed. Row set aside.", "the row says no zone");
        return MR_ASIDE_NO_ZONE;
    }
    int bad = MR_FATE_USED;
    r.distance_mm = figure(s, MR_M_DISTANCE, &bad);
    take_shelf(s, &r.shelf_a_ms, &r.shelf_b_ms);
    MR_PUSH(w->scratch, &w->sprays, r);
    MR_PUSH(w->scratch, &w->spray_times, t);
    return MR_FATE_USED;
}

static int take_shift(const struct spread *s) {
    struct mr_work *w = s->w;
    enum mr_time_read got;
    struct mr_shift_item r = {.file = w->index, .line = s->row->line, .day_ms = row_time(s, &got), .item = text_of(s, MR_M_ITEM),
                              .role = text_of(s, MR_M_ROLE), .note = text_of(s, MR_M_NOTE), .done = -1};
    if (got == MR_READ_BAD || got == MR_READ_ZONE)
        return MR_ASIDE_BAD_TIME;
    if (got != MR_READ_OK) {
        mr_work_say(w, MR_ASIDE_NO_TIME, s->row, 0, NULL, "Write the date as 2026-05-11. Row set aside.", "the row has no date");
        return MR_ASIDE_NO_TIME;
    }
    if (!*r.item)
        return MR_ASIDE_INCOMPLETE;
    const struct mr_cell *c = s->cell[MR_M_DONE];
    if (c) {
        const char *words = mr_words_fold(w->scratch, c->p, c->n);
        if (!*words)
            words = mr_strndup(w->scratch, c->p, c->n);
        if (mr_list_holds(mr_map_list(w->plan->map, "words.no"), words, true))
            r.done = 0;
        else if (mr_list_holds(mr_map_list(w->plan->map, "words.yes"), words, true))
            r.done = 1;
        else
            say(s, MR_ASIDE_INCOMPLETE, MR_M_DONE, "Write yes or no. The item counts as blank.", "is neither yes nor no");
    }
    MR_PUSH(w->scratch, &w->shift_items, r);
    return MR_FATE_USED;
}

static bool level(const struct spread *s, enum mr_meaning m, double *out, enum mr_unit *canonical, int *bad) {
    *out = (double)NAN;
    if (!s->cell[m])
        return false;
    double written;
    enum mr_unit unit;
    int got = number_in(s, s->col[m], s->cell[m], &written, &unit);
    if (got != MR_FATE_USED) {
        *bad = got == MR_ASIDE_NO_VALUE ? *bad : got;
        return false;
    }
    if (unit == MR_UNIT_NONE) {
        say(s, MR_ASIDE_NO_UNIT, m, "Write L, gal, kg or lb behind the number or into the heading. Row set aside.", "has no unit");
        *bad = MR_ASIDE_NO_UNIT;
        return false;
    }
    *out = mr_to_canonical(unit, written);
    *canonical = mr_dim_canonical(mr_unit_dim(unit));
    return true;
}

static int take_material(const struct spread *s) {
    struct mr_work *w = s->w;
    enum mr_time_read got;
    int64_t unused;
    struct mr_material r = {.file = w->index, .line = s->row->line, .t_ms = row_time(s, &got), .drum = text_of(s, MR_M_DRUM),
                            .lot = text_of(s, MR_M_LOT), .note = text_of(s, MR_M_NOTE), .unit = MR_UNIT_L};
    if (got == MR_READ_BAD || got == MR_READ_ZONE)
        return MR_ASIDE_BAD_TIME;
    if (!s->cell[MR_M_PART])
        return MR_ASIDE_INCOMPLETE;
    const char *part = mr_words_fold(w->scratch, s->cell[MR_M_PART]->p, s->cell[MR_M_PART]->n);
    bool is_a = mr_list_holds(mr_map_list(w->plan->map, "parts.a"), part, true);
    bool is_b = mr_list_holds(mr_map_list(w->plan->map, "parts.b"), part, true);
    if (is_a == is_b) {
        say(s, MR_ASIDE_INCOMPLETE, MR_M_PART, "Write A or B. Row set aside.", "is neither part A nor part B");
        return MR_ASIDE_INCOMPLETE;
    }
    r.part = is_a ? 'A' : 'B';
    int bad = MR_FATE_USED;
    enum mr_unit before = MR_UNIT_L, after = MR_UNIT_L;
    bool has_before = level(s, MR_M_BEFORE, &r.before, &before, &bad), has_after = level(s, MR_M_AFTER, &r.after, &after, &bad);
    if (bad != MR_FATE_USED)
        return bad;
    if (!has_before && !has_after)
        return MR_ASIDE_NO_VALUE;
    if (has_before && has_after && before != after) {
        say(s, MR_ASIDE_NO_UNIT, MR_M_AFTER, "Write both levels as volumes or both as masses. Row set aside.", "is a mass where the other is a volume, or the other way round");
        return MR_ASIDE_NO_UNIT;
    }
    r.unit = has_before ? before : after;
    take_shelf(s, &r.shelf_ms, &unused);
    MR_PUSH(w->scratch, &w->materials, r);
    return MR_FATE_USED;
}

static int take_zone(const struct spread *s) {
    struct mr_work *w = s->w;
    int bad = MR_FATE_USED;
    struct mr_zone_row r = {.file = w->index, .line = s->row->line, .name = text_of(s, MR_M_ZONE), .aliases = text_of(s, MR_M_ALIASES),
                            .substrate = text_of(s, MR_M_SUBSTRATE), .grade = text_of(s, MR_M_GRADE), .spec = text_of(s, MR_M_SPEC)};
    if (!*r.name) {
        say(s, MR_ASIDE_NO_ZONE, MR_M_ZONE, "Write the zone's name. Row set aside.", "the row has no zone");
        return MR_ASIDE_NO_ZONE;
    }
    r.area_m2 = figure(s, MR_M_AREA, &bad);
    r.steel_mm = figure(s, MR_M_STEEL_MM, &bad);
    r.profile_um = figure(s, MR_M_PROFILE, &bad);
    r.member_mm = figure(s, MR_M_MEMBER, &bad);
    double coats = figure(s, MR_M_COATS, &bad);
    if (bad != MR_FATE_USED)
        return bad;
    r.coats = coats >= 1 && coats < 1000 ? (int)coats : 0;
    MR_PUSH(w->scratch, &w->zones, r);
    return MR_FATE_USED;
}

static int take(const struct spread *s) {
    switch (s->w->plan->kind) {
    case MR_KIND_THICKNESS:
    case MR_KIND_BASE_METAL:
        return take_reading(s);
    case MR_KIND_VERIFICATION:
        return take_verification(s);
    case MR_KIND_SPRAY_LOG:
        return take_spray(s);
    case MR_KIND_SHIFT_RECORD:
        return take_shift(s);
    case MR_KIND_MATERIAL:
        return take_material(s);
    case MR_KIND_ZONES:
        return take_zone(s);
    case MR_KIND_UNKNOWN:
    case MR_KIND_CLIMATE:
    case MR_KIND_TEMPERATURE:
    case MR_KIND_PRESSURE:
    case MR_KIND_NOT_A_TABLE:
    case MR_KIND_COUNT:
        break;
    }
    return MR_ASIDE_UNKNOWN_KIND;
}

static size_t filled(const struct mr_row *row) {
    size_t n = 0;
    for (size_t i = 0; i < row->n; i++)
        n += row->cell[i].n > 0;
    return n;
}

bool mr_row_record(void *ctx, const struct mr_row *row) {
    struct mr_work *w = ctx;
    if (mr_work_not_data(w, row))
        return true;
    if (!filled(row)) {
        mr_work_fate(w, MR_ASIDE_BLANK, row);
        return true;
    }
    w->after_summary = mr_record_summary(w, row);
    if (w->after_summary) {
        mr_work_fate(w, MR_ASIDE_SUMMARY, row);
        return true;
    }
    if (w->plan->carries)
        row = mr_carry(w, row);
    struct spread s = spread_row(w, row);
    if (!*w->serial && s.cell[MR_M_SERIAL])
        w->serial = text_of(&s, MR_M_SERIAL);
    int why = take(&s);
    if (why == MR_ASIDE_BAD_TIME && w->plan->kind != MR_KIND_SPRAY_LOG) {
        mr_work_bad_time(w, row, MR_READ_BAD);
        return true;
    }
    if (why == MR_FATE_USED && filled(row) > w->fullest)
        w->fullest = filled(row);
    if (why == MR_ASIDE_BAD_NUMBER && mr_work_last(w))
        why = MR_ASIDE_HALF_LINE;
    if (why == MR_ASIDE_INCOMPLETE)
        mr_work_say(w, MR_ASIDE_INCOMPLETE, row, 0, NULL, "Fill in what is missing. Row set aside.", "a cell that this kind of row needs is blank");
    mr_work_fate(w, why, row);
    return true;
}
