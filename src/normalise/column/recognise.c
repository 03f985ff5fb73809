/*
 * recognise.c - trade words first, the shape of the cells as a check on them.
 *
 * Each kind's map is tried on all columns. A column gets the meaning whose words fit its header best, with a unit at
 * the header's end split off where the meaning has a dimension ("t_air_C"), and only if its cells have the right
 * shape. A kind scores by what it needs and what helps it; a word that many kinds share ("reading") counts little on
 * its own.
 */
#include "normalise/column/recognise.h"
#include "base/text.h"

#include "normalise/column/heading_match.h"
#include "normalise/column/refusing_words.h"
#include "normalise/column/rivals.h"

#include <string.h>

enum {
    SCORE_NEED = 40,    /* a meaning that the kind needs, by a word of its own */
    SCORE_GENERIC = 15, /* ... by a word that many kinds share */
    SCORE_UNIT = 20,    /* ... with a unit of the right dimension stated */
    SCORE_HELP = 10,
    SCORE_FILE = 15,      /* the file's name or preamble speaks for the kind */
    SCORE_OWN_WORDS = 50, /* words that belong to this kind alone, as "base metal" */
};

/* A factor before the unit, or a unit that is none of the quantity: true where the heading states either. */
static bool set_stated(struct mr_arena *arena, struct mr_plan_column *c, const struct mr_head *head,
                       enum mr_meaning meaning) {
    enum mr_dim dim = meaning == MR_M_VALUE ? MR_DIM_TEMP : mr_meaning_dim(meaning);
    struct mr_stated_unit stated = mr_heading_unit(arena, head, dim);
    if (stated.unknown) {
        c->unit_unknown = stated.unknown;
        return true;
    }
    if (stated.unit == MR_UNIT_NONE || meaning == MR_M_VALUE)
        return false;
    c->as.unit = stated.unit;
    c->scale = stated.scale;
    c->as.unit_why = "stated in the header, with a factor";
    c->as.unit_origin = MR_ORIGIN_HEADING;
    return true;
}

static void set_unit(struct mr_arena *arena, struct mr_plan_column *c, const struct mr_head *head,
                     const struct mr_best_word *best, const struct mr_shape *shape) {
    enum mr_dim dim = mr_meaning_dim(best->meaning);
    const struct mr_stated_unit inside = mr_unit_inside(arena, head->text, dim);
    c->scale = MR_UNSCALED;
    if (set_stated(arena, c, head, best->meaning)) {
        c->unit_stated = true;
        return;
    }
    if (dim == MR_DIM_NONE)
        return;
    if (*head->unit && mr_unit_fits(head->unit, strlen(head->unit), dim, &c->as.unit)) {
        c->as.unit_why = "stated in the header";
        c->as.unit_origin = MR_ORIGIN_HEADING;
    } else if (dim == MR_DIM_SHARE && strchr(head->text, '%')) {
        c->as.unit = MR_UNIT_PCT;
        c->as.unit_why = "stated in the header";
        c->as.unit_origin = MR_ORIGIN_HEADING;
    } else if (best->unit != MR_UNIT_NONE) {
        c->as.unit = best->unit;
        c->as.unit_why = best->by_word ? "as the column's name says" : "stated in the header";
        c->as.unit_origin = MR_ORIGIN_HEADING;
    } else if (inside.unknown) {
        c->unit_unknown = inside.unknown;
    } else if (inside.unit != MR_UNIT_NONE) {
        c->as.unit = inside.unit;
        c->as.unit_why = "stated in the header";
        c->as.unit_origin = MR_ORIGIN_HEADING;
    } else if (*shape->unit && shape->with_unit * 2 > shape->cells &&
               mr_unit_fits(shape->unit, strlen(shape->unit), dim, &c->as.unit)) {
        c->as.unit_why = "stated in the cells";
        c->as.unit_origin = MR_ORIGIN_CELLS;
    } else {
        return;
    }
    c->unit_stated = true;
}

static const char *haystack(struct mr_arena *arena, const struct mr_source *source) {
    const char *name = source->path + strlen(source->path);
    for (size_t slashes = 0;
         name > source->path && (slashes += name[-1] == '/') < 2;) /* its folder's name counts too */
        name--;
    char *all = mr_words_fold(arena, name, strlen(name));
    for (size_t i = 0; i < source->preamble.n && i < 40; i++) {
        const struct mr_pair *p = &source->preamble.v[i];
        all = mr_printf(arena, "%s %s %s", all, mr_words_fold(arena, p->name, strlen(p->name)),
                        mr_words_fold(arena, p->value, strlen(p->value)));
    }
    return all;
}

static bool unit_column_denies(const struct mr_plan_column *col, const struct mr_column_shapes *s, size_t n,
                               enum mr_dim dim, bool *says) {
    for (size_t i = 0; i < n; i++) {
        if (col[i].as.meaning != MR_M_UNIT)
            continue;
        for (size_t k = 0; k < s->col[i].n_texts; k++) {
            enum mr_unit u;
            const char *text = s->col[i].texts[k];
            if (mr_unit_parse(text, strlen(text), dim, &u))
                *says = true;
            else if (mr_unit_find(text, strlen(text), &u))
                return true;
        }
    }
    return false;
}

/* The dimension that a kind's `value` column must have. */
static enum mr_dim value_dim(enum mr_kind kind) {
    return kind == MR_KIND_PRESSURE ? MR_DIM_PRESSURE : kind == MR_KIND_TEMPERATURE ? MR_DIM_TEMP : MR_DIM_FILM;
}

static int needs_score(const struct mr_map *map, const struct mr_guess *g, const struct mr_column_shapes *s,
                       size_t n) {
    int best = 0;
    for (size_t k = 0; k < map->needs.n; k++) {
        mr_meanings need = map->needs.v[k];
        if ((g->found & need) != need)
            continue;
        int score = 0;
        for (enum mr_meaning m = MR_M_IGNORE; m < MR_MEANING_COUNT; m++) {
            if (!(need & MR_BIT(m)))
                continue;
            int most = 0;
            for (size_t i = 0; i < n; i++)
                if (g->col[i].as.meaning == m) {
                    int own = g->col[i].generic ? SCORE_GENERIC : SCORE_NEED;
                    own += g->col[i].unit_stated ? SCORE_UNIT : 0;
                    most = own > most ? own : most;
                }
            score += most;
        }
        best = score > best ? score : best;
    }
    bool says = false;
    if (best && (g->found & (MR_BIT(MR_M_VALUE) | MR_BIT(MR_M_FILM)))) {
        if (unit_column_denies(g->col, s, n, value_dim(map->kind), &says))
            return 0;
        best += says ? SCORE_UNIT : 0;
    }
    return best;
}

/* A long file is a pressure log only if its channels are called so, or its units are. */
static int channel_score(const struct mr_map *map, const struct mr_guess *g, struct mr_arena *arena,
                         const struct mr_column_shapes *s, size_t n) {
    int score = 0;
    for (size_t i = 0; i < n; i++)
        if (g->col[i].as.meaning == MR_M_CHANNEL)
            for (size_t k = 0; k < s->col[i].n_texts; k++) {
                const char *words = mr_words_fold(arena, s->col[i].texts[k], strlen(s->col[i].texts[k]));
                for (size_t l = 0; l < map->lists.n; l++)
                    if (strncmp(map->lists.v[l].name, "channels.", 9) == 0 &&
                        mr_list_holds(&map->lists.v[l], words, true)) {
                        int own = words[1] ? SCORE_OWN_WORDS : SCORE_UNIT; /* "a" alone may be any probe */
                        score = own > score ? own : score;
                    }
            }
    return score;
}

/* A column that only another kind knows, by its full header, speaks against this one. */
static bool forbidden(const struct mr_maps *maps, const struct mr_map *map, const struct mr_guess *g, size_t n) {
    for (size_t i = 0; i < n; i++) {
        if (g->col[i].as.meaning != MR_M_IGNORE || g->col[i].beaten != MR_M_IGNORE || !*g->col[i].words)
            continue; /* nor does one that this kind knows, beside a better one */
        for (enum mr_kind k = MR_KIND_THICKNESS; k < MR_KIND_COUNT; k++)
            for (size_t w = 0; w < maps->map[k].words.n; w++) {
                const struct mr_map_word *word = &maps->map[k].words.v[w];
                if ((map->not_with & MR_BIT(word->meaning)) && mr_word_covers(word, g->col[i].words))
                    return true;
            }
    }
    return (g->found & map->not_with) != 0;
}

/* Film that is not of this kind, under another heading: the file is not of this kind alone. */
static bool holds_never(const struct mr_map *map, const struct mr_guess *g, const struct mr_column_shapes *shapes) {
    for (size_t i = 0; i < shapes->columns; i++)
        if (shapes->col[i].numbers && mr_words_hold_any(g->col[i].words, map->never_words.v, map->never_words.n))
            return true;
    return false;
}

/* "HR" is a humidity in two languages and the hour in others: beside a humidity of its own, or with hours in it, the
 * hour. */
static void drop_hours(struct mr_plan_column *col, const struct mr_column_shapes *shapes, size_t n) {
    for (size_t i = 0; i < n; i++) {
        const struct mr_shape *s = &shapes->col[i];
        if (col[i].as.meaning != MR_M_RH || strcmp(col[i].words, "hr") != 0)
            continue;
        bool hours = s->integers && s->integers == s->cells && s->least >= 0.0 && s->most <= 24.0;
        for (size_t k = 0; k < n && !hours; k++)
            hours = col[k].as.meaning == MR_M_RH && strcmp(col[k].words, "hr") != 0;
        if (hours)
            col[i].as = (struct mr_column){.name = col[i].as.name, .meaning = MR_M_HOUR, .unit_why = ""};
    }
}

/* A table of spots: each row the mean of N readings. Only where no column holds the single readings. */
static void take_means(struct mr_arena *arena, struct mr_guess *g, const struct mr_map *map,
                       const struct mr_source *source, const struct mr_column_shapes *shapes) {
    const char *bare;
    for (size_t i = 0; i < shapes->columns; i++) /* "Avg DFT" is no reading of its own */
        if (g->col[i].as.meaning == MR_M_FILM && mr_statistic_word(arena, g->col[i].words, &bare) == MR_M_FILM)
            g->col[i].as = (struct mr_column){.name = g->col[i].as.name, .unit_why = ""};
    for (size_t i = 0; i < shapes->columns; i++)
        if (g->col[i].as.meaning == MR_M_FILM)
            return;
    bool any = false;
    for (int pass = 0; pass < 2; pass++) /* spread and number count only beside a mean */
        for (size_t i = 0; i < shapes->columns && (!pass || any); i++) {
            struct mr_plan_column *c = &g->col[i];
            const char *rest;
            enum mr_meaning m = mr_statistic_word(arena, c->words, &rest);
            bool mean = m == MR_M_FILM;
            if (m == MR_M_IGNORE || mean != !pass || !shapes->col[i].numbers)
                continue;
            if (mean && *rest && !mr_film_words(map, rest))
                continue;
            struct mr_best_word best = {.score = 1, .meaning = m, .pattern = mean && !*rest ? "reading" : ""};
            c->as = (struct mr_column){.name = c->as.name, .meaning = m, .unit_why = ""};
            c->mean = mean;
            c->refused = NULL;
            c->score = 1;
            c->generic = mean && !*rest;
            set_unit(arena, c, &source->columns[i], &best, &shapes->col[i]);
            enum mr_unit unit;
            size_t cut = mean ? mr_unit_suffix(c->words, MR_DIM_FILM, &unit) : 0;
            if (cut && c->as.unit == MR_UNIT_NONE && !c->unit_unknown) {
                c->as.unit = unit;
                c->as.unit_origin = MR_ORIGIN_HEADING;
                c->as.unit_why = "stated in the header";
                c->unit_stated = true;
            }
            any |= mean;
        }
}

/* "Area" beside "Zone" in a spray log: where in the zone, as a crew writes of a repair. */
static void name_areas(struct mr_plan_column *col, size_t n) {
    static const char *const words[] = {"area", "bereich", "section", "part", "where", "sector", "settore", "gebied"};
    for (size_t i = 0; i < n; i++)
        if (col[i].as.meaning == MR_M_AREA_ID)
            return;
    for (size_t i = 0; i < n; i++)
        if (col[i].beaten == MR_M_ZONE && mr_word_among(col[i].words, strlen(col[i].words), words, MR_COUNT(words))) {
            col[i].as.meaning = MR_M_AREA_ID;
            col[i].beaten = MR_M_IGNORE;
            return;
        }
}

/* A heap of readings is the area only where nothing else is. */
static bool is_heap(const char *words) {
    static const char *const heaps[] = {"batch", "lot", "group"};
    return mr_word_among(words, strlen(words), heaps, MR_COUNT(heaps));
}

struct mr_guess mr_guess_kind(struct mr_arena *arena, const struct mr_maps *maps, enum mr_kind kind,
                              const struct mr_source *source, const struct mr_column_shapes *shapes) {
    const struct mr_map *map = &maps->map[kind];
    size_t n = shapes->columns;
    struct mr_guess g = {.col = MR_ARRAY(arena, struct mr_plan_column, n)};
    int *score = MR_ARRAY(arena, int, n);
    for (size_t i = 0; i < n; i++) {
        struct mr_plan_column *c = &g.col[i];
        const struct mr_head *head = &source->columns[i];
        struct mr_heading_case look = {arena, map, &maps->map[MR_KIND_CLIMATE], head, &shapes->col[i]};
        struct mr_best_word best = mr_best_word(&look, &c->words);
        c->as = (struct mr_column){.name = *head->text ? head->text : mr_printf(arena, "column %zu", i + 1),
                                   .meaning = best.meaning,
                                   .unit_why = ""};
        c->cell = i + shapes->shift;
        c->generic = mr_generic_word(best.pattern);
        if (best.meaning == MR_M_IGNORE && kind == MR_KIND_TEMPERATURE && mr_known_by_unit(&look, c->words))
            best = (struct mr_best_word){.score = 1, .meaning = MR_M_PROBE_TEMP, .pattern = ""};
        c->refused = best.meaning == MR_M_IGNORE ? best.refused : NULL;
        c->score = score[i] = best.meaning == MR_M_AREA_ID && is_heap(c->words) ? 1 : best.score;
        c->as.meaning = best.meaning;
        set_unit(arena, c, head, &best, &shapes->col[i]);
    }
    if (mr_is_film_kind(kind))
        take_means(arena, &g, map, source, shapes);
    drop_hours(g.col, shapes, n);
    mr_settle_rivals(g.col, score, shapes, n);
    if (kind == MR_KIND_SPRAY_LOG)
        name_areas(g.col, n);
    for (size_t i = 0; i < n; i++)
        g.found |= g.col[i].as.meaning == MR_M_IGNORE ? 0 : MR_BIT(g.col[i].as.meaning);
    g.score = needs_score(map, &g, shapes, n);
    if (!g.score || forbidden(maps, map, &g, n) || holds_never(map, &g, shapes)) {
        g.score = 0;
        return g;
    }
    for (enum mr_meaning m = MR_M_IGNORE; m < MR_MEANING_COUNT; m++)
        g.score += (g.found & map->helps & MR_BIT(m)) ? SCORE_HELP : 0;
    const char *words = haystack(arena, source);
    g.by_file_words = mr_words_hold_any(words, map->file_words.v, map->file_words.n);
    g.score += g.by_file_words ? SCORE_FILE : 0;
    g.score += channel_score(map, &g, arena, shapes, n);
    bool own = mr_words_hold_any(words, map->needs_words.v, map->needs_words.n);
    for (size_t i = 0; i < n && !own; i++)
        own = mr_words_hold_any(g.col[i].words, map->needs_words.v, map->needs_words.n);
    if (map->needs_words.n)
        g.score = own ? g.score + SCORE_OWN_WORDS : g.score < MR_GUESS_ENOUGH ? g.score : 0;
    return g;
}
