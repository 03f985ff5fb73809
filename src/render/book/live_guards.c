/*
 * live_guards.c - which cells of the workbook are held against what the report gave (live_typed.h): those on which
 * outcomes rest and that are neither formulas nor words for people.
 */
#include "render/book/live_typed.h"

#include <math.h>
#include <string.h>

/* A formula of so many characters at most. */
enum { FORMULA_ROOM = 5000, TERM_ROOM = 90, SPOTS_NAMED = 20000, ROWS_OF_SCRATCH = 64 };

/* Tables on which outcomes rest. */
static const struct guarded {
    const char *table;
    enum mr_basis basis;
} guarded[] = {{"zones", MR_OF_ALL},
               {"windows", MR_OF_ALL},
               {"settings", MR_OF_ALL},
               {"clocks", MR_OF_ALL},
               {"channels", MR_OF_ALL},
               {"thickness-summary", MR_OF_FILM},
               {"thickness-limits", MR_OF_FILM},
               {"thickness-areas", MR_OF_FILM},
               {"thickness-sampling", MR_OF_FILM},
               {"thickness-rules", MR_OF_FILM},
               {"thickness-corrections", MR_OF_FILM},
               {"spots", MR_OF_FILM},
               {"surveys", MR_OF_FILM},
               {"repaired-areas", MR_OF_FILM},
               {"gauge-verifications", MR_OF_GAUGE},
               {"climate", MR_OF_CLIMATE},
               {"least-spread", MR_OF_CLIMATE},
               {"heat-by-coat", MR_OF_REACTION},
               {"heat-events", MR_OF_REACTION},
               {"rise-against-thickness", MR_OF_REACTION},
               {"heat-constants", MR_OF_REACTION},
               {"line-pressures", MR_OF_LINES},
               {"line-events", MR_OF_LINES},
               {"pauses", MR_OF_LINES},
               {"material", MR_OF_MATERIAL},
               {"material-zones", MR_OF_MATERIAL},
               {"lots", MR_OF_MATERIAL},
               {"shift-record", MR_OF_SHIFT}};

static const char *const basis_words[MR_BASES] = {
    [MR_OF_ALL] = "all",     [MR_OF_READINGS] = "readings", [MR_OF_FILM] = "film",
    [MR_OF_GAUGE] = "gauge", [MR_OF_CLIMATE] = "climate",   [MR_OF_REACTION] = "reaction",
    [MR_OF_LINES] = "lines", [MR_OF_MATERIAL] = "material", [MR_OF_SHIFT] = "shift record"};

static enum mr_basis basis_of_group(const char *group) {
    for (enum mr_basis b = MR_OF_GAUGE; b < MR_BASES; b++)
        if (strcmp(basis_words[b], group) == 0)
            return b;
    return MR_OF_FILM; /* thickness and history */
}

const char *mr_basis_word(enum mr_basis basis) {
    return basis_words[basis];
}

/* --- which rows are looked at --------------------------------------------------------------------------- */

static size_t zone_at(struct mr_live *l, const char *name) {
    const size_t zones = l->o->a->aligned->zones.n;
    size_t n;
    const size_t *row = name[0] ? mr_rows_of_zone(l, l->zones, name, &n) : NULL;
    return row && n && row[0] < zones ? row[0] : zones;
}

static bool is_followed(const char *table, const char *column) {
    static const char *const list[][2] = {{"thickness-summary", "limit_min"},
                                          {"thickness-summary", "limit_max"},
                                          {"gauge-verifications", "reading"},
                                          {"material", "part_a"},
                                          {"material", "part_b"}};
    for (size_t i = 0; i < MR_COUNT(list); i++)
        if (strcmp(list[i][0], table) == 0 && strncmp(column, list[i][1], strlen(list[i][1])) == 0)
            return true;
    return false;
}

/* Columns of words for people, on which nothing rests; outcomes of checks, which are what is guarded. */
static bool is_aside(const char *table, const char *column) {
    static const char *const list[] = {"note", "why",    "evidence", "where", "place",   "lines",        "remark",
                                       "role", "source", "rule",     "text",  "written", "worst_checks", "findings"};
    static const char *const of_settings[] = {"from", "line", "default", "meaning"};
    for (size_t i = 0; i < MR_COUNT(list); i++)
        if (strcmp(list[i], column) == 0)
            return true;
    for (size_t i = 0; strcmp(table, "settings") == 0 && i < MR_COUNT(of_settings); i++)
        if (strcmp(of_settings[i], column) == 0)
            return true;
    return strcmp(table, "checks") == 0 && strcmp(column, "outcome") == 0;
}

/* Of spots their names alone: the rest is worked out from the readings, or tells where they are. */
static bool is_of_spot(const char *column) {
    for (size_t i = 0; i < MR_READING_NAMES; i++)
        if (strcmp(mr_reading_names[i], column) == 0)
            return true;
    return false;
}

static char kind_of(struct mr_live *l, const struct mr_table *t, const struct mr_recipe *recipe, size_t row,
                    size_t column) {
    const char *key = t->fields[column].key;
    const struct mr_value v = mr_table_value(t, row, column);
    const bool live = recipe && v.type != MR_V_TIME && (v.type != MR_V_BLANK || recipe->blanks);
    if (is_aside(t->id, key) || (t == l->spots && !is_of_spot(key)) || (live && recipe->make(l, t, row)))
        return MR_GUARD_SKIPPED;
    const struct mr_cell_out cell = mr_guard_cell_of(l, t, row, column);
    if (mr_guard_is_text(&cell))
        return mr_is_plain(cell.text) && strlen(cell.text) <= MR_GUARD_TEXT_BYTES ? MR_GUARD_TEXT : MR_GUARD_SKIPPED;
    return !isfinite(mr_guard_number(&cell)) ? MR_GUARD_EMPTY
           : is_followed(t->id, key)         ? MR_GUARD_FOLLOWED
                                             : MR_GUARD_NUMBER;
}

static size_t room_of_row(struct mr_live *l, const struct mr_table *t, size_t row, const char *kinds) {
    enum { DIGITS = 20 };
    size_t n = 0;
    for (size_t c = 0; c < t->n_fields; c++) {
        const struct mr_cell_out cell =
            kinds[c] == MR_GUARD_TEXT ? mr_guard_cell_of(l, t, row, c) : (struct mr_cell_out){0};
        n += kinds[c] == MR_GUARD_TEXT       ? strlen(cell.text) + 5
             : kinds[c] == MR_GUARD_FOLLOWED ? 2 * TERM_ROOM
                                             : DIGITS;
    }
    return n;
}

/* Rows go into one formula where each column holds one kind in both; an empty cell goes with either. */
static bool go_together(size_t n, const char *a, const char *b) {
    for (size_t c = 0; c < n; c++)
        if (a[c] != b[c] && !(a[c] == MR_GUARD_EMPTY && (b[c] == MR_GUARD_TEXT || b[c] == MR_GUARD_NUMBER)) &&
            !(b[c] == MR_GUARD_EMPTY && (a[c] == MR_GUARD_TEXT || a[c] == MR_GUARD_NUMBER)))
            return false;
    return true;
}

static void take_kinds(size_t n, char *own, const char *more) {
    for (size_t c = 0; c < n; c++)
        own[c] = own[c] == MR_GUARD_EMPTY ? more[c] : own[c];
}

/* The place for rows that follow those of a guard and share its formula; NULL where they do not. */
static struct mr_guard **goes_on(struct mr_guard *own, const struct mr_guard *next) {
    const struct mr_guard *last = own;
    struct mr_guard **end = &own->more;
    for (; *end; end = &(*end)->more)
        last = *end;
    return own->kind == MR_GUARD_CELLS && own->table == next->table && own->zone == next->zone &&
                   own->basis == next->basis && last->to + 1 == next->from && own->room + next->room < FORMULA_ROOM
               ? end
               : NULL;
}

/* Cells that are empty in all rows must stay so. */
static void close_guard(struct mr_live *l, struct mr_guard *g) {
    for (size_t c = 0; c < g->table->n_fields; c++)
        g->cells[c] = g->cells[c] == MR_GUARD_EMPTY ? MR_GUARD_TEXT : g->cells[c];
    struct mr_guard *own = l->guards.n ? &l->guards.v[l->guards.n - 1] : NULL, **end = own ? goes_on(own, g) : NULL;
    if (!end) {
        MR_PUSH(l->arena, &l->guards, *g);
        return;
    }
    *end = MR_NEW(l->arena, struct mr_guard);
    **end = *g;
    own->room += g->room;
}

/* Of very many checks, those of a zone go into few formulas: each group hears of all. */
static enum mr_basis basis_of_row(const struct mr_live *l, const struct mr_table *t, enum mr_basis basis,
                                  size_t row) {
    enum { CHECKS_APART = 5000 };
    return t == l->checks && t->n_rows <= CHECKS_APART ? basis_of_group(mr_live_text(t, "group", row)) : basis;
}

static void guard_table(struct mr_live *l, const struct mr_table *t, const struct mr_recipe **recipe,
                        enum mr_basis basis) {
    char *kinds = MR_ARRAY(l->arena, char, t->n_fields);
    struct mr_guard g = {.kind = MR_GUARD_CELLS, .table = t};
    for (size_t r = 0; r < t->n_rows; r++) {
        for (size_t c = 0; c < t->n_fields; c++)
            kinds[c] = kind_of(l, t, recipe[c], r, c);
        const size_t zone = zone_at(l, mr_live_text(t, "zone", r)), own = room_of_row(l, t, r, kinds);
        const enum mr_basis of = basis_of_row(l, t, basis, r);
        if (g.cells && g.zone == zone && g.basis == of && g.room + own < FORMULA_ROOM &&
            go_together(t->n_fields, g.cells, kinds)) {
            take_kinds(t->n_fields, g.cells, kinds);
            g.to = r;
            g.room += own;
        } else {
            if (g.cells)
                close_guard(l, &g);
            g.cells = memcpy(MR_ARRAY(l->arena, char, t->n_fields), kinds, t->n_fields);
            g.from = g.to = r;
            g.zone = zone;
            g.basis = of;
            g.room = own;
        }
        if (r % ROWS_OF_SCRATCH == 0)
            mr_arena_reset(l->scratch);
    }
    if (g.cells)
        close_guard(l, &g);
    MR_PUSH(l->arena, &l->guards,
            ((struct mr_guard){.kind = MR_GUARD_ADDED,
                               .table = t,
                               .zone = l->o->a->aligned->zones.n,
                               .basis = t == l->checks ? MR_OF_ALL : basis}));
}

/* Characters that a reading adds to the formula: a term for each name that is not that of the one before. */
static size_t room_of_names(const struct mr_live *l, size_t row, bool first) {
    enum { TIME_ROOM = 34 };
    size_t n = l->o->offset_text[0] ? 0 : TIME_ROOM;
    n += first || !mr_reading_corrected_alike(l, row, row - 1) ? TERM_ROOM : 0;
    for (size_t i = 0; i < MR_READING_NAMES; i++) {
        const char *name = mr_reading_name(l, mr_reading_names[i], row);
        if (first || strcmp(name, mr_reading_name(l, mr_reading_names[i], row - 1)) != 0)
            n += TERM_ROOM + 2 * strlen(name);
    }
    return n;
}

static void guard_readings(struct mr_live *l) {
    const size_t zones = l->o->a->aligned->zones.n;
    for (size_t i = 0; i < l->reading_films.list.n; i++) {
        const struct mr_block *b = &l->reading_films.list.v[i];
        struct mr_guard g = {.kind = MR_GUARD_NAMES,
                             .table = l->readings,
                             .zone = zone_at(l, b->word[0]),
                             .basis = MR_OF_READINGS,
                             .from = b->from};
        size_t room = 0;
        for (size_t r = b->from; r <= b->to; r++) {
            if (r > g.from && room + room_of_names(l, r, false) > FORMULA_ROOM) {
                MR_PUSH(l->arena, &l->guards, g);
                g.from = r;
                room = 0;
            }
            room += room_of_names(l, r, r == g.from);
            g.to = r;
        }
        MR_PUSH(l->arena, &l->guards, g);
    }
    MR_PUSH(
        l->arena, &l->guards,
        ((struct mr_guard){.kind = MR_GUARD_ADDED, .table = l->readings, .zone = zones, .basis = MR_OF_READINGS}));
}

/* By zone and basis, otherwise in the order in which they were found. */
static void sort_guards(struct mr_live *l) {
    const size_t n = l->guards.n, keys = (l->o->a->aligned->zones.n + 1) * MR_BASES;
    struct mr_guard *sorted = MR_ARRAY(l->arena, struct mr_guard, n);
    size_t *first = l->guard_first = MR_ARRAY(l->arena, size_t, keys + 1), *at = MR_ARRAY(l->arena, size_t, keys + 1);
    for (size_t i = 0; i < n; i++)
        first[l->guards.v[i].zone * MR_BASES + l->guards.v[i].basis + 1]++;
    for (size_t k = 0; k < keys; k++)
        first[k + 1] += first[k];
    memcpy(at, first, (keys + 1) * sizeof *at);
    for (size_t i = 0; i < n; i++)
        sorted[at[l->guards.v[i].zone * MR_BASES + l->guards.v[i].basis]++] = l->guards.v[i];
    memcpy(l->guards.v, sorted, n * sizeof *sorted);
}

void mr_find_guards(struct mr_live *l, mr_recipes_fn *recipes) {
    for (size_t i = 0; i < MR_COUNT(guarded); i++) {
        const struct mr_table *t = mr_find_table(l->o->a, guarded[i].table);
        if (t && t->n_rows > 0 && (t != l->spots || t->n_rows <= SPOTS_NAMED))
            guard_table(l, t, recipes(l, t), guarded[i].basis);
    }
    if (l->checks->n_rows > 0)
        guard_table(l, l->checks, recipes(l, l->checks), MR_OF_ALL);
    if (l->readings && l->readings->n_rows > 0)
        guard_readings(l);
    sort_guards(l);
    mr_arena_reset(l->scratch);
}
