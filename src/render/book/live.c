/*
 * live.c - see live.h: the tables' blocks, found once, and what all recipes use.
 */
#include "render/book/live.h"

#include <string.h>

struct mr_value mr_live_value(const struct mr_table *t, const char *column, size_t row) {
    const struct mr_value blank = {.type = MR_V_BLANK};
    const size_t c = mr_find_column(t, column);
    return c == MR_NONE || row >= t->n_rows ? blank : mr_table_value(t, row, c);
}

const char *mr_live_text(const struct mr_table *t, const char *column, size_t row) {
    const struct mr_value v = mr_live_value(t, column, row);
    return v.type == MR_V_TEXT && v.text ? v.text : "";
}

static mr_block_list blocks_of(struct mr_arena *arena, const struct mr_table *t, const char *a, const char *b,
                               const char *c) {
    const char *const keys[] = {a, b, c};
    mr_block_list list = {0};
    for (size_t r = 0; t && r < t->n_rows; r++) {
        struct mr_block block = {.word = {"", "", ""}, .from = r, .to = r};
        for (size_t k = 0; k < MR_COUNT(keys); k++)
            block.word[k] = keys[k] ? mr_live_text(t, keys[k], r) : "";
        struct mr_block *last = list.list.n ? &list.list.v[list.list.n - 1] : NULL;
        if (last && !strcmp(last->word[0], block.word[0]) && !strcmp(last->word[1], block.word[1]) &&
            !strcmp(last->word[2], block.word[2]))
            last->to = r;
        else
            MR_PUSH(arena, &list.list, block);
    }
    const char **words = MR_ARRAY(arena, const char *, list.list.n);
    for (size_t i = 0; i < list.list.n; i++)
        words[i] = list.list.v[i].word[0];
    list.by_word = mr_word_index_make(arena, list.list.n, words);
    return list;
}

const struct mr_block *mr_block_of(const mr_block_list *blocks, const char *a, const char *b, const char *c) {
    size_t n;
    const size_t *at = mr_word_places(&blocks->by_word, a, &n);
    for (size_t i = 0; i < n; i++) {
        const struct mr_block *k = &blocks->list.v[at[i]];
        if ((!b || !strcmp(k->word[1], b)) && (!c || !strcmp(k->word[2], c)))
            return k;
    }
    return NULL;
}

const size_t *mr_rows_of_zone(struct mr_live *l, const struct mr_table *t, const char *zone, size_t *out_n) {
    *out_n = 0;
    if (!t)
        return NULL;
    for (size_t i = 0; i < l->zone_rows.n; i++)
        if (l->zone_rows.v[i]->table == t)
            return mr_word_places(&l->zone_rows.v[i]->index, zone, out_n);
    const char **words = MR_ARRAY(l->arena, const char *, t->n_rows);
    for (size_t r = 0; r < t->n_rows; r++)
        words[r] = mr_live_text(t, "zone", r);
    struct mr_zone_rows *rows = MR_NEW(l->arena, struct mr_zone_rows);
    *rows = (struct mr_zone_rows){t, mr_word_index_make(l->arena, t->n_rows, words)};
    MR_PUSH(l->arena, &l->zone_rows, rows);
    return mr_word_places(&rows->index, zone, out_n);
}

/* Spots and readings stand in one order: the counts of the spots say which readings are whose. */
static void find_spot_readings(struct mr_live *l) {
    size_t at = 0;
    if (!l->spots || !l->readings)
        return;
    size_t *first = MR_ARRAY(l->arena, size_t, l->spots->n_rows + 1);
    for (size_t r = 0; r < l->spots->n_rows; r++) {
        const struct mr_value n = mr_live_value(l->spots, "readings", r);
        first[r] = at;
        if (n.type != MR_V_COUNT || n.count < 1 || at >= l->readings->n_rows ||
            strcmp(mr_live_text(l->spots, "zone", r), mr_live_text(l->readings, "zone", at)) != 0 ||
            strcmp(mr_live_text(l->spots, "spot", r), mr_live_text(l->readings, "spot", at)) != 0)
            return;
        at += (size_t)n.count;
    }
    first[l->spots->n_rows] = at;
    if (at != l->readings->n_rows)
        return;
    l->spot_first = first;
    l->reading_spot = MR_ARRAY(l->arena, size_t, l->readings->n_rows);
    for (size_t r = 0; r < l->spots->n_rows; r++)
        for (size_t i = first[r]; i < first[r + 1]; i++)
            l->reading_spot[i] = r;
}

static void find_area_spots(struct mr_live *l) {
    l->area_first = MR_ARRAY(l->arena, size_t, l->areas ? l->areas->n_rows : 0);
    for (size_t i = 0; i < l->area_rules.list.n; i++) {
        const struct mr_block *b = &l->area_rules.list.v[i],
                              *spots = mr_block_of(&l->spot_films, b->word[0], b->word[1], NULL);
        size_t at = spots ? spots->from : 0;
        for (size_t r = b->from; r <= b->to; r++) {
            const struct mr_value n = mr_live_value(l->areas, "spots", r);
            const bool known = spots && n.type == MR_V_COUNT && n.count > 0 &&
                               at + (size_t)n.count <= spots->to + 1 &&
                               !strcmp(mr_live_text(l->spots, "area", at), mr_live_text(l->areas, "area", r));
            l->area_first[r] = known ? at : MR_NONE;
            at += known ? (size_t)n.count : 0;
        }
    }
}

static bool same_columns(const struct mr_table *t, const char *a, const char *b) {
    for (size_t r = 0; t && r < t->n_rows; r++) {
        const struct mr_value x = mr_live_value(t, a, r), y = mr_live_value(t, b, r);
        const bool counts = x.type == MR_V_COUNT && x.count == y.count,
                   numbers = x.type == MR_V_NUMBER && !(x.number < y.number || x.number > y.number);
        if (x.type != y.type || !(counts || numbers))
            return false;
    }
    return t != NULL;
}

static bool all_usual(const struct mr_live *l) {
    return l->readings && mr_is_sparse(l->readings) && same_columns(l->readings, "usual", "corrected") &&
           same_columns(l->spots, "counted", "readings") && same_columns(l->spots, "counted_mean", "spot_mean");
}

/* The column that stands for another where all readings are usual. */
static const char *standing_for(const struct mr_live *l, const struct mr_table *t, const char *column) {
    static const char *const of_spots[][2] = {{"counted", "readings"}, {"counted_mean", "spot_mean"}};
    if (!l->all_usual)
        return column;
    if (t == l->readings && strcmp(column, "usual") == 0)
        return "corrected";
    for (size_t i = 0; t == l->spots && i < MR_COUNT(of_spots); i++)
        if (strcmp(column, of_spots[i][0]) == 0)
            return of_spots[i][1];
    return column;
}

struct mr_live *mr_live_begin(const struct mr_outline *o, const struct mr_table *checks,
                              const struct mr_table *findings) {
    struct mr_live *l = MR_NEW(o->arena, struct mr_live);
    const struct mr_assessment *a = o->a;
    *l = (struct mr_live){.arena = o->arena,
                          .scratch = mr_arena_like(o->arena),
                          .o = o,
                          .readings = mr_find_table(a, "gauge-readings"),
                          .spots = mr_find_table(a, "spots"),
                          .summary = mr_find_table(a, "thickness-summary"),
                          .areas = mr_find_table(a, "thickness-areas"),
                          .limits = mr_find_table(a, "thickness-limits"),
                          .sampling = mr_find_table(a, "thickness-sampling"),
                          .checks = checks,
                          .findings = findings,
                          .zones = mr_find_table(a, "zones")};
    if (mr_many_zones(o)) { /* nothing is live there */
        *l = (struct mr_live){.arena = l->arena, .scratch = l->scratch, .o = o, .zones = l->zones};
        return l;
    }
    l->reading_films = blocks_of(l->arena, l->readings, "zone", "coat", NULL);
    l->spot_films = blocks_of(l->arena, l->spots, "zone", "coat", NULL);
    l->summary_films = blocks_of(l->arena, l->summary, "zone", "coat", NULL);
    l->area_rules = blocks_of(l->arena, l->areas, "zone", "coat", "rule");
    l->limit_films = blocks_of(l->arena, l->limits, "zone", "coat", NULL);
    l->sampling_rules = blocks_of(l->arena, l->sampling, "zone", "film", "rule");
    l->check_zones = blocks_of(l->arena, l->checks, "zone", NULL, NULL);
    find_spot_readings(l);
    find_area_spots(l);
    l->all_usual = all_usual(l);
    return l;
}

void mr_live_note_lost(struct mr_live *l, const char *table, const char *column) {
    const char *name = mr_printf(l->arena, "%s.%s", table, column);
    for (size_t i = 0; i < l->lost.n; i++)
        if (strcmp(l->lost.v[i], name) == 0)
            return;
    MR_PUSH(l->arena, &l->lost, name);
}

mr_x mr_live_range(struct mr_live *l, const struct mr_table *t, const char *column, size_t from, size_t to) {
    if (!t)
        return NULL;
    const size_t c = mr_find_column(t, standing_for(l, t, column));
    if (c == MR_NONE)
        mr_live_note_lost(l, t->id, column);
    return mr_x_cells(l->scratch, t, c, from, to);
}

mr_x mr_live_cell(struct mr_live *l, const struct mr_table *t, const char *column, size_t row) {
    return mr_live_range(l, t, column, row, row);
}

/* Gnumeric's ISNUMBER looks at one cell, whatever is around it; text is greater than any number everywhere. */
mr_x mr_live_numbers(struct mr_live *l, mr_x range) {
    return mr_x_op(l->scratch, range, "<", mr_x_number(l->scratch, 1e300));
}

/* Cells of a range and of one more that hold a word. */
static mr_x with_word(struct mr_live *l, mr_x range, mr_x more, enum mr_outcome outcome) {
    struct mr_arena *s = l->scratch;
    mr_x word = mr_x_text(s, mr_outcome_text(outcome)), n = mr_x_call(s, "COUNTIF", range, word);
    return more ? mr_x_op(s, n, "+", mr_x_call(s, "COUNTIF", more, word)) : n;
}

/* A cell that holds none of the outcomes, be it an error, asks for a new report. */
mr_x mr_live_worst(struct mr_live *l, mr_x range, mr_x more) {
    struct mr_arena *s = l->scratch;
    mr_x cells = mr_x_call(s, "ROWS", range), known = NULL, zero = mr_x_number(s, 0);
    mr_x x = mr_x_text(s, mr_outcome_text(MR_NOT_REQUIRED)), n[MR_DOES_NOT_CONFORM + 1];
    if (more)
        cells = mr_x_op(s, cells, "+", mr_x_call(s, "ROWS", more));
    for (int k = MR_NOT_REQUIRED; k <= MR_DOES_NOT_CONFORM; k++) {
        n[k] = with_word(l, range, more, (enum mr_outcome)k);
        if (k < MR_DOES_NOT_CONFORM)
            known = known ? mr_x_op(s, known, "+", n[k]) : n[k];
    }
    for (int k = MR_CONFORMS; k <= MR_DOES_NOT_CONFORM; k++) {
        if (k == MR_DOES_NOT_CONFORM)
            x = mr_x_call(s, "IF", mr_x_op(s, known, "<", cells), mr_x_text(s, MR_UNKNOWN_WORD), x);
        x = mr_x_call(s, "IF", mr_x_op(s, n[k], ">", zero), mr_x_text(s, mr_outcome_text((enum mr_outcome)k)), x);
    }
    return x;
}

mr_x mr_live_if(struct mr_live *l, mr_x condition, const char *yes, const char *no) {
    return mr_x_call(l->scratch, "IF", condition, mr_x_text(l->scratch, yes), mr_x_text(l->scratch, no));
}
