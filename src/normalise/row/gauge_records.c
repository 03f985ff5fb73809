/*
 * gauge_records.c - rows of gauges: readings on film and on base metal, verifications on shims.
 */
#include "base/text.h"
#include "normalise/row/row_fields.h"

#include "normalise/column/suggest.h"

#include "normalise/row/companions.h"
#include "normalise/row/row_fates.h"
#include "normalise/row/unread_rows.h"

#include <math.h>
#include <string.h>

static bool film_in_range(const struct mr_spread *s, double written, enum mr_unit unit, enum mr_meaning m) {
    double least, most, um = unit == MR_UNIT_NONE ? 0.0 : mr_to_canonical(unit, written);
    mr_physical_range(&s->state->job->settings, MR_M_FILM, &least, &most);
    if (um >= least && um <= most)
        return true;
    mr_spread_say(s, MR_ASIDE_OUT_OF_RANGE, m, "Row set aside; the job file sets the limits under [plausibility].",
                  "lies outside what a gauge can show");
    return false;
}

/* One cell of a column that tells what became of the reading. "Valid" says it by no, "Deleted" by yes, others by a
 * word. */
static bool says_deleted(const struct mr_map *map, const char *heading, const char *words) {
    const struct mr_word_list *list = mr_map_list(map, "words.deleted");
    if (mr_list_holds(mr_map_list(map, "words.valid"), heading, false))
        return mr_list_holds(mr_map_list(map, "words.no"), words, true) || mr_list_holds(list, words, true);
    if (mr_list_holds(list, heading, false))
        return mr_list_holds(mr_map_list(map, "words.yes"), words, true) || mr_list_holds(list, words, true);
    return mr_list_holds(list, words, true) || (mr_list_holds(list, words, false) && !mr_words_negated(words));
}

/* A column of types or of states, not one that says by yes or no whether the reading counts. */
static bool tells_type(const struct mr_map *map, const char *heading) {
    return !mr_list_holds(mr_map_list(map, "words.valid"), heading, false) &&
           !mr_list_holds(mr_map_list(map, "words.deleted"), heading, false);
}

/* Only words that are known to mean film count as film; what a word means that nobody knows is asked once. */
static int type_fate(const struct mr_spread *s, size_t col, const struct mr_cell *cell) {
    struct mr_file_state *state = s->state;
    const struct mr_map *map = state->plan->map;
    const char *words = mr_words_fold(state->scratch, cell->p, cell->n);
    if (mr_list_holds(mr_map_list(map, "words.no film"), words, false)) {
        mr_state_say(state, MR_ASIDE_NO_FILM, s->row, (uint32_t)state->plan->col[col].cell + 1, cell,
                     "Put such readings in a separate file for base metal or verifications. Row set aside.",
                     "says that the reading was not taken on the film");
        return MR_ASIDE_NO_FILM;
    }
    bool doubted = memchr(cell->p, '?', cell->n) != NULL;
    if ((!*words && !doubted) || (!doubted && mr_list_holds(mr_map_list(map, "words.film"), words, true)) ||
        (mr_words_negated(words) && mr_list_holds(mr_map_list(map, "words.deleted"), words, false)))
        return MR_FATE_USED;
    mr_odd_type_add(state, s->row, col);
    return MR_ASIDE_UNKNOWN_TYPE;
}

/* A type under another heading ("Messart", "Layer") speaks all the same where it says that there is no film. */
static bool tells_unasked(const struct mr_spread *s, const struct mr_plan_column *c) {
    static const char *const headings[] = {"type",     "typ",         "tipo",      "art",       "messart", "kind",
                                           "category", "kategorie",   "categorie", "categoria", "class",   "klasse",
                                           "mode",     "layer",       "schicht",   "couche",    "capa",    "strato",
                                           "camada",   "laag",        "skikt",     "warstwa",   "surface", "soort",
                                           "rodzaj",   "measurement", "label",     "tag"};
    const struct mr_cell *cell = &s->row->cell[c->cell];
    bool speaks = false;
    for (size_t i = 0; i < MR_COUNT(headings) && !speaks; i++)
        speaks = mr_words_hold(c->words, headings[i]);
    if (!speaks || (c->as.meaning != MR_M_IGNORE && c->as.meaning != MR_M_COAT) || c->by_job ||
        mr_is_digit(cell->p[0]))
        return false;
    const char *words = mr_words_fold(s->state->scratch, cell->p, cell->n);
    return mr_list_holds(mr_map_list(s->state->plan->map, "words.no film"), words, false);
}

/* "on shim", "primer only", "bare steel reading": the words that say something. */
static const char *without_small_words(const struct mr_spread *s, const char *words) {
    static const char *const small[] = {"on",      "the",      "only",    "reading", "readings", "check",
                                        "checked", "before",   "coating", "test",    "steel",    "of",
                                        "a",       "measured", "taken",   "auf",     "nur",      "sur",
                                        "sobre",   "su",       "op",      "pa",      "na"};
    const char *left = "";
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        bool drop = false;
        for (size_t i = 0; i < MR_COUNT(small) && !drop; i++)
            drop = strlen(small[i]) == n && memcmp(small[i], w, n) == 0;
        if (!drop)
            left = mr_printf(s->state->scratch, "%s%s%.*s", left, *left ? " " : "", (int)n, w);
    }
    return left;
}

/* "Primer" and "intermediate" as a coat are another film; a number is a coat, and so is the last one by name. */
static bool names_coat(const struct mr_spread *s, const struct mr_plan_column *c) {
    const struct mr_cell *cell = &s->row->cell[c->cell];
    if (c->as.meaning != MR_M_COAT || c->by_job)
        return false;
    for (uint32_t i = 0; i < cell->n; i++)
        if (mr_is_digit(cell->p[i]))
            return false;
    return cell->n > 1 && !mr_list_holds(mr_map_list(s->state->plan->map, "words.coat"),
                                         mr_words_fold(s->state->scratch, cell->p, cell->n), true);
}

/* A note is free text: only one that says nothing else tells the type. */
static bool notes_no_film(const struct mr_spread *s, const struct mr_plan_column *c) {
    const struct mr_cell *cell = &s->row->cell[c->cell];
    return c->as.meaning == MR_M_NOTE &&
           mr_list_holds(mr_map_list(s->state->plan->map, "words.no film"),
                         without_small_words(s, mr_words_fold(s->state->scratch, cell->p, cell->n)), true);
}

static bool tells(const struct mr_spread *s, const struct mr_plan_column *c) {
    if (c->as.meaning == MR_M_STATE)
        return tells_type(s->state->plan->map, c->words);
    return tells_unasked(s, c) || names_coat(s, c) || notes_no_film(s, c);
}

static int fate_by_type(const struct mr_spread *s) {
    const struct mr_plan *plan = s->state->plan;
    if (plan->kind != MR_KIND_THICKNESS)
        return MR_FATE_USED;
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        if (c->cell >= s->row->n || !s->row->cell[c->cell].n || !tells(s, c))
            continue;
        int fate = type_fate(s, i, &s->row->cell[c->cell]);
        if (fate != MR_FATE_USED)
            return fate;
    }
    return MR_FATE_USED;
}

/* A note is free text: only one that says nothing else takes the reading back, and that is said. */
static bool deleted(const struct mr_spread *s) {
    const struct mr_plan *plan = s->state->plan;
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        if ((c->as.meaning != MR_M_STATE && c->as.meaning != MR_M_NOTE) || c->cell >= s->row->n ||
            !s->row->cell[c->cell].n)
            continue;
        const struct mr_cell *cell = &s->row->cell[c->cell];
        const char *words = mr_words_fold(s->state->scratch, cell->p, cell->n);
        if (c->as.meaning == MR_M_STATE && says_deleted(plan->map, c->words, words))
            return true;
        if (c->as.meaning == MR_M_NOTE && mr_list_holds(mr_map_list(plan->map, "words.deleted"), words, true)) {
            mr_state_say(s->state, MR_ASIDE_DELETED, s->row, (uint32_t)c->cell + 1, cell,
                         "If it means something else, write more than this word in the note. Row set aside.",
                         "is the whole note, so the reading is taken as withdrawn");
            return true;
        }
    }
    return false;
}

/* "212 H", "212 Â± 3 um": what the gauge wrote beside the value is kept in the note. */
static const char *flagged_note(const struct mr_spread *s, size_t col, const struct mr_cell *cell, const char *note) {
    struct mr_number x;
    if (mr_number_scan(cell->p, cell->n, s->state->plan->col[col].style, &x) != MR_NUM_OK ||
        !(x.tolerance || (x.unit && mr_number_flag(x.unit, x.unit_n))))
        return note;
    const char *text =
        mr_printf(s->state->scratch, "%s%sshown as %.*s", note, *note ? "; " : "", (int)cell->n, cell->p);
    return mr_text_keep(s->state, text, strlen(text));
}

/* A mean says of how many readings it is one, and may say how they scattered. */
static void take_mean(const struct mr_spread *s, struct mr_reading *r) {
    struct mr_spread optional = *s;
    double n, sd;
    enum mr_unit unit;
    optional.optional = true;
    r->n_readings = 0;
    if (s->cell[MR_M_COUNT_OF] &&
        mr_spread_number(&optional, s->col[MR_M_COUNT_OF], s->cell[MR_M_COUNT_OF], &n, &unit) == MR_FATE_USED &&
        n >= 1.0 && n <= 100000.0 && floor(n) >= n)
        r->n_readings = (uint32_t)n;
    if (s->cell[MR_M_SPREAD] &&
        mr_spread_number(&optional, s->col[MR_M_SPREAD], s->cell[MR_M_SPREAD], &sd, &unit) == MR_FATE_USED &&
        sd >= 0.0) {
        unit = unit == MR_UNIT_NONE ? r->unit : unit;
        r->sd_um = unit == MR_UNIT_NONE ? (double)NAN : mr_to_canonical(unit, sd);
    }
}

/* What a reading showed that was taken back stays known: a whole spot of them that misses a limit is no slip. */
static int take_back(const struct mr_spread *s, const struct mr_reading *r, int why) {
    struct mr_file_state *state = s->state;
    const size_t col = s->col[MR_M_FILM];
    const struct mr_cell *cell = s->cell[MR_M_FILM];
    struct mr_number x;
    enum mr_unit unit = cell ? state->plan->col[col].as.unit : MR_UNIT_NONE;
    if (state->plan->kind != MR_KIND_THICKNESS || !cell ||
        mr_number_scan(cell->p, cell->n, state->plan->col[col].style, &x) != MR_NUM_OK)
        return why;
    if (x.unit)
        (void)mr_unit_parse(x.unit, x.unit_n, MR_DIM_FILM, &unit);
    if (unit == MR_UNIT_NONE)
        return why;
    const double um = mr_to_canonical(unit, x.value);
    const size_t n = state->records.taken_back.n;
    struct mr_taken_back *last = n ? &state->records.taken_back.v[n - 1] : NULL;
    if (last && strcmp(last->zone, r->zone) == 0 && strcmp(last->area, r->area) == 0 &&
        strcmp(last->spot, r->spot) == 0) {
        last->n++;
        last->sum_um += um;
        last->line_end = r->line;
        return why;
    }
    MR_PUSH(state->scratch, &state->records.taken_back,
            ((struct mr_taken_back){r->file, r->line, r->line, 1, r->zone, r->area, r->spot, um}));
    return why;
}

/* Why the row has no reading, where it has none. */
static int without_value(const struct mr_spread *s) {
    const struct mr_plan *plan = s->state->plan;
    if (s->cell[MR_M_FILM])
        return MR_ASIDE_NO_VALUE;
    return plan->rivals ? MR_ASIDE_RIVALS : plan->names_open ? MR_ASIDE_DOUBTFUL : MR_ASIDE_INCOMPLETE;
}

int mr_record_reading(const struct mr_spread *s) {
    struct mr_file_state *state = s->state;
    enum mr_time_read got;
    int64_t t = mr_spread_time(s, &got);
    if (got == MR_READ_BAD || got == MR_READ_ZONE)
        return MR_ASIDE_BAD_TIME;
    struct mr_reading base = {.file = state->index,
                              .line = s->row->line,
                              .t_ms = t,
                              .zone = mr_spread_text(s, MR_M_ZONE),
                              .coat = mr_spread_text(s, MR_M_COAT),
                              .area = mr_spread_text(s, MR_M_AREA_ID),
                              .spot = mr_spread_text(s, MR_M_SPOT),
                              .serial = mr_spread_text(s, MR_M_SERIAL),
                              .probe = mr_spread_probe(s),
                              .note = mr_spread_text(s, MR_M_NOTE)};
    if (mr_plan_column_of(state->plan, MR_M_ZONE) == MR_NONE)
        base.zone = state->above.block_zone;
    if (!*base.area)
        base.area = state->above.block_area;
    if (!*base.serial)
        base.serial = state->above.block_serial;
    if (deleted(s))
        return take_back(s, &base, MR_ASIDE_DELETED);
    int by_type = fate_by_type(s);
    if (by_type == MR_FATE_USED)
        by_type = mr_companions_fate(state, s->row);
    if (by_type != MR_FATE_USED)
        return by_type == MR_ASIDE_MARKED ? take_back(s, &base, by_type) : by_type;
    if (state->plan->kind == MR_KIND_THICKNESS)
        mr_own_limits_note(state, s->row);
    base.n_readings = 1;
    base.sd_um = (double)NAN;
    int why = without_value(s);
    size_t taken = 0;
    int lost = MR_FATE_USED;
    for (size_t i = 0; i < state->plan->n; i++) {
        const struct mr_plan_column *c = &state->plan->col[i];
        if (c->as.meaning != MR_M_FILM || c->cell >= s->row->n)
            continue;
        const struct mr_cell *cell = &s->row->cell[c->cell];
        struct mr_reading r = base;
        int fate = cell->n ? mr_spread_number(s, i, cell, &r.written, &r.unit) : MR_ASIDE_NO_VALUE;
        if (fate == MR_FATE_USED && !film_in_range(s, r.written, r.unit, MR_M_FILM))
            fate = MR_ASIDE_OUT_OF_RANGE;
        why = fate == MR_FATE_USED || why == MR_ASIDE_INCOMPLETE || why == MR_ASIDE_NO_VALUE ? fate : why;
        if (fate != MR_FATE_USED) {
            lost = lost == MR_FATE_USED || lost == MR_ASIDE_NO_VALUE ? fate : lost;
            continue;
        }
        r.note = flagged_note(s, i, cell, r.note);
        r.film_um = r.unit == MR_UNIT_NONE ? (double)NAN : mr_to_canonical(r.unit, r.written);
        if (c->mean)
            take_mean(s, &r);
        MR_PUSH(state->scratch, &state->records.readings, r);
        taken++;
    }
    mr_unread_cell(state, s->row, taken ? lost : MR_FATE_USED);
    return taken ? MR_FATE_USED : why;
}

static const char *when_word(const struct mr_spread *s) {
    const struct mr_cell *c = s->cell[MR_M_WHEN];
    if (!c)
        return "";
    const char *words = mr_words_fold(s->state->scratch, c->p, c->n);
    static const char *const before[] = {"before", "pre",   "start",      "initial", "vorher",
                                         "avant",  "begin", "before use", "opening", "antes",
                                         "prima",  "voor",  "vooraf",     "fore",    "przed"};
    static const char *const after[] = {"after",  "post",   "end",       "final",   "nachher",
                                        "apres",  "finish", "after use", "closing", "despues",
                                        "depois", "dopo",   "achteraf",  "efter",   "nach"};
    for (size_t i = 0; i < MR_COUNT(before); i++)
        if (mr_words_hold(words, before[i]))
            return "before";
    for (size_t i = 0; i < MR_COUNT(after); i++)
        if (mr_words_hold(words, after[i]))
            return "after";
    return "";
}

/* The first number in a heading, or -1: "shim 2 reading" belongs to "shim 2 nominal". */
static long heading_number(const char *words) {
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        long value = 0;
        size_t n = strcspn(w, " "), i = 0;
        for (; i < n && i < 6 && mr_is_digit(w[i]); i++)
            value = value * 10 + (w[i] - '0');
        if (n && i == n)
            return value;
    }
    return -1;
}

/* The column of the certified value that a reading was taken on: of the same number, else the nearest to its left. */
static size_t certified_of(const struct mr_plan *plan, size_t reading) {
    size_t found = MR_NONE, count = 0, left = MR_NONE;
    for (size_t i = 0; i < plan->n; i++) {
        if (plan->col[i].as.meaning != MR_M_CERTIFIED)
            continue;
        count++;
        left = i < reading || left == MR_NONE ? i : left;
        if (heading_number(plan->col[i].words) >= 0 &&
            heading_number(plan->col[i].words) == heading_number(plan->col[reading].words))
            found = i;
    }
    return found != MR_NONE && count > 1 ? found : left;
}

static int take_check(const struct mr_spread *s, size_t col, struct mr_verification v) {
    struct mr_file_state *state = s->state;
    size_t certified = certified_of(state->plan, col),
           cell = certified == MR_NONE ? MR_NONE : state->plan->col[certified].cell;
    if (cell >= s->row->n || !s->row->cell[cell].n)
        return MR_ASIDE_INCOMPLETE;
    if (state->plan->col[certified].unit_unknown) { /* of kN nobody can tell what the reading is to be */
        mr_spread_say(s, MR_ASIDE_NO_UNIT, MR_M_CERTIFIED,
                      "State the certified value in um, mil or mm. Row set aside.",
                      "the certified value has a unit that is none of film");
        return MR_ASIDE_NO_UNIT;
    }
    int why = mr_spread_number(s, col, &s->row->cell[state->plan->col[col].cell], &v.reading_written, &v.unit);
    if (why == MR_FATE_USED)
        why = mr_spread_number(s, certified, &s->row->cell[cell], &v.certified_written, &v.certified_unit);
    if (why != MR_FATE_USED)
        return why;
    if (v.unit == MR_UNIT_NONE) /* one of the two headings states the unit for both */
        v.unit = v.certified_unit;
    if (v.certified_unit == MR_UNIT_NONE)
        v.certified_unit = v.unit;
    if (!film_in_range(s, v.reading_written, v.unit, MR_M_FILM))
        return MR_ASIDE_OUT_OF_RANGE;
    v.reading_um = v.unit == MR_UNIT_NONE ? (double)NAN : mr_to_canonical(v.unit, v.reading_written);
    v.certified_um =
        v.certified_unit == MR_UNIT_NONE ? (double)NAN : mr_to_canonical(v.certified_unit, v.certified_written);
    MR_PUSH(state->scratch, &state->records.verifications, v);
    return MR_FATE_USED;
}

/* Several readings, of one shim or of several, may stand in a row; the row is used where one of them is. */
int mr_record_verification(const struct mr_spread *s) {
    struct mr_file_state *state = s->state;
    enum mr_time_read got;
    struct mr_verification v = {.file = state->index,
                                .line = s->row->line,
                                .t_ms = mr_spread_time(s, &got),
                                .serial = mr_spread_text(s, MR_M_SERIAL),
                                .probe = mr_spread_probe(s),
                                .when = when_word(s),
                                .note = mr_spread_text(s, MR_M_NOTE)};
    if (got == MR_READ_BAD || got == MR_READ_ZONE)
        return MR_ASIDE_BAD_TIME;
    if (!s->cell[MR_M_CERTIFIED] || !s->cell[MR_M_FILM])
        return MR_ASIDE_INCOMPLETE;
    int why = MR_ASIDE_NO_VALUE;
    bool any = false;
    int lost = MR_FATE_USED;
    for (size_t i = 0; i < state->plan->n; i++) {
        const struct mr_plan_column *c = &state->plan->col[i];
        if (c->as.meaning != MR_M_FILM || c->cell >= s->row->n || !s->row->cell[c->cell].n)
            continue;
        int got_one = take_check(s, i, v);
        any |= got_one == MR_FATE_USED;
        lost = got_one == MR_FATE_USED ? lost : got_one;
        why = got_one;
    }
    if (any)
        mr_unread_cell(state, s->row, lost);
    return any ? MR_FATE_USED : why;
}
