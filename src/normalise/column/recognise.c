/*
 * recognise.c - trade words first, the shape of the cells as a check on them.
 *
 * Each kind's map is tried on all columns. A column gets the meaning whose words fit its header best, with a unit at
 * the header's end split off where the meaning has a dimension ("t_air_C"), and only if its cells have the right
 * shape. A kind scores by what it needs and what helps it; a word that many kinds share ("reading") counts little on
 * its own.
 */
#include "normalise/column/recognise.h"

#include <math.h>
#include <string.h>

enum {
    SCORE_NEED = 40,    /* a meaning that the kind needs, by a word of its own */
    SCORE_GENERIC = 15, /* ... by a word that many kinds share */
    SCORE_UNIT = 20,    /* ... with a unit of the right dimension stated */
    SCORE_HELP = 10,
    SCORE_FILE = 15,      /* the file's name or preamble speaks for the kind */
    SCORE_OWN_WORDS = 50, /* words that belong to this kind alone, as "base metal" */
};

bool mr_is_channel(enum mr_meaning m) {
    return (MR_BIT(m) & (MR_BIT(MR_M_AIR) | MR_BIT(MR_M_RH) | MR_BIT(MR_M_STEEL) | MR_BIT(MR_M_DEW) |
                         MR_BIT(MR_M_PROBE_TEMP) | MR_BIT(MR_M_LINE_A) | MR_BIT(MR_M_LINE_B) | MR_BIT(MR_M_MAIN))) !=
           0;
}

bool mr_is_time(enum mr_meaning m) {
    return mr_is_row_time(m) || m == MR_M_START || m == MR_M_STOP || m == MR_M_SHELF;
}

static bool generic_word(const char *words) {
    static const char *const list[] = {
        "reading",   "value",   "measured value", "measurement", "measured", "messwert",   "mesure",
        "wert",      "valeur",  "reading value",  "temperatur",  "t",        "a",          "b",
        "film",      "#",       "lectura",        "leitura",     "lettura",  "lecture",    "meting",
        "avlasning", "odczyt",  "valor",          "valore",      "waarde",   "meetwaarde", "varde",
        "matvarde",  "wartosc", "pomiar",         "medida",      "misura"};
    for (size_t i = 0; i < MR_COUNT(list); i++)
        if (strcmp(words, list[i]) == 0)
            return true;
    return false;
}

/* Whether the cells can be one part of a time: whole numbers of its range, with "Day" and "Hour" also whole dates and
 * clocks. */
static bool part_fits(enum mr_meaning m, const struct mr_shape *s) {
    static const struct {
        enum mr_meaning meaning;
        double least, most;
    } ranges[] = {{MR_M_YEAR, 1970, 2100}, {MR_M_MONTH, 1, 12},  {MR_M_DAY, 1, 31},    {MR_M_YEARDAY, 1, 366},
                  {MR_M_HOUR, 0, 2400},    {MR_M_MINUTE, 0, 59}, {MR_M_SECOND, 0, 60}, {MR_M_MILLI, 0, 999}};
    if ((m == MR_M_DAY && s->dates * 2 >= s->cells) || (m == MR_M_HOUR && (s->clocks + s->datetimes) * 2 >= s->cells))
        return true;
    for (size_t i = 0; i < MR_COUNT(ranges); i++)
        if (ranges[i].meaning == m)
            return s->numbers == s->cells && s->least >= ranges[i].least && s->most <= ranges[i].most &&
                   (s->integers == s->numbers || m == MR_M_SECOND);
    return false;
}

/* AM, PM, a.m., p. m. and nothing else. */
static bool halves(const struct mr_shape *s) {
    for (size_t i = 0; i < s->n_texts; i++) {
        char c = (char)(s->texts[i][0] | 0x20);
        if ((c != 'a' && c != 'p') || strspn(s->texts[i] + 1, ".mM ") != strlen(s->texts[i] + 1))
            return false;
    }
    return s->n_texts > 0;
}

/* Whether the cells can be what the meaning needs. A column without content can be anything. */
static bool shape_fits(enum mr_meaning m, const struct mr_shape *s) {
    if (!s->cells)
        return true;
    uint32_t times = s->datetimes + s->dates + s->clocks;
    if (m == MR_M_ELAPSED || m == MR_M_DURATION)
        return s->numbers * 2 >= s->cells || s->durations * 2 >= s->cells;
    if (m >= MR_M_YEAR && m <= MR_M_MILLI)
        return part_fits(m, s);
    if (m == MR_M_HALF)
        return halves(s);
    if (mr_is_time(m))
        return times * 2 >= s->cells || s->numbers * 2 >= s->cells || s->durations * 2 >= s->cells ||
               m == MR_M_START || m == MR_M_STOP || m == MR_M_SHELF || times > 0;
    if (m == MR_M_FILM || m == MR_M_CERTIFIED)
        return (s->numbers + s->marked) * 2 >= s->cells && s->dates + s->datetimes <= s->cells / 2;
    if (mr_is_channel(m))
        return s->numbers * 2 >= s->cells && s->dates + s->datetimes <= s->cells / 2;
    if (m == MR_M_CHANNEL || m == MR_M_ITEM)
        return s->n_texts > 0 && s->datetimes * 2 < s->cells;
    if (mr_meaning_dim(m) == MR_DIM_LENGTH)
        return s->numbers + s->fractions > 0;
    if (mr_meaning_dim(m) != MR_DIM_NONE)
        return s->numbers > 0;
    return true;
}

/* Times have no unit but those of durations: "Start (gal)" is a level. */
static bool time_denies(const char *unit, enum mr_meaning m) {
    enum mr_unit u;
    return mr_is_time(m) && *unit && mr_unit_find(unit, strlen(unit), &u) && mr_unit_dim(u) != MR_DIM_DURATION &&
           mr_unit_dim(u) != MR_DIM_FILM && mr_unit_dim(u) != MR_DIM_LENGTH;
}

/* A unit text that belongs to another dimension, or is none that the project knows ("W/m^2"), rules a meaning out. */
static bool unit_denies(const char *unit, enum mr_dim dim) {
    enum mr_unit u;
    if (!*unit || dim == MR_DIM_NONE || mr_unit_fits(unit, strlen(unit), dim, &u))
        return false;
    return mr_unit_find(unit, strlen(unit), &u) || strpbrk(unit, "/^") != NULL;
}

/* A heading on its way through the maps: a thousand words of theirs are held against it, and nearly all of them are
 * ruled out by their first letter. What its units say depends on the dimension alone, so it is asked once for each.
 */
struct heading {
    const char *words; /* folded */
    const char *unit;  /* stated apart; "" = none */
    uint64_t initials; /* of its words, one bit each, letters that share a bit included */
    struct reply {
        bool asked, denied;
        size_t cut; /* where the unit at the end of words begins, 0 = none */
        enum mr_unit suffix;
    } reply[MR_DIM_DURATION + 1];
};

static uint64_t initial_bit(char c) {
    return UINT64_C(1) << ((unsigned char)c & 63);
}

static struct heading heading_of(const char *words, const char *unit) {
    struct heading h = {.words = words, .unit = unit};
    for (const char *w = words; *w; w++)
        if (w == words || w[-1] == ' ')
            h.initials |= initial_bit(*w);
    return h;
}

/* Whether the pattern stands in the heading at all; without that it has no score. */
static bool stands_in(const struct heading *h, const char *pattern) {
    return (*pattern == '#' || (h->initials & initial_bit(*pattern))) && mr_words_hold(h->words, pattern);
}

static const struct reply *ask(struct heading *h, enum mr_dim dim) {
    struct reply *r = &h->reply[dim];
    if (!r->asked) {
        r->asked = true;
        r->denied = unit_denies(h->unit, dim);
        r->cut = dim == MR_DIM_NONE ? 0 : mr_unit_suffix(h->words, dim, &r->suffix);
    }
    return r;
}

/* "PRESS_A_PSI" ends in a unit that no temperature has. Only spellings that are no words: "in", "bar", "c" may be. */
static bool tail_denies(const char *words, enum mr_meaning m) {
    static const char *const tails[] = {"psi",  "psig", "kpa",  "mpa", "mbar", "hpa", "um", "mil",
                                        "mils", "degc", "degf", "kg",  "gal",  "lb",  "l"};
    const char *tail = strrchr(words, ' ');
    enum mr_unit unit;
    enum mr_dim dim = mr_meaning_dim(m);
    if (!tail || mr_unit_parse(tail + 1, strlen(tail + 1), dim, &unit) || dim == MR_DIM_VOLUME)
        return false;
    for (size_t i = 0; i < MR_COUNT(tails); i++)
        if (strcmp(tail + 1, tails[i]) == 0)
            return dim != MR_DIM_NONE || (mr_is_time(m) && strcmp(tails[i], "l") != 0);
    return false;
}

static bool ignored(const struct mr_map *map, const char *words) {
    for (size_t i = 0; i < map->ignore.n; i++)
        if (mr_words_hold(words, map->ignore.v[i])) {
            for (size_t k = 0; k < map->words.n;
                 k++) /* a full header of the map still counts: "minimum" as a whole */
                if (strcmp(map->words.v[k].words, words) == 0)
                    return false;
            return true;
        }
    return false;
}

/* A dew point is never the temperature of air, steel or a probe, whatever else its heading says. */
static bool dew_like(const struct mr_map *climate, const char *words) {
    for (size_t i = 0; i < climate->words.n; i++)
        if (climate->words.v[i].meaning == MR_M_DEW && mr_words_match(words, climate->words.v[i].words) &&
            (strlen(climate->words.v[i].words) > 2 || strcmp(climate->words.v[i].words, words) == 0))
            return true;
    return false;
}

static bool is_temperature(enum mr_meaning m) {
    return m != MR_M_DEW && mr_meaning_dim(m) == MR_DIM_TEMP;
}

struct best {
    int score;
    enum mr_meaning meaning;
    enum mr_unit unit; /* from the end of the header, or of the word itself */
    bool by_word;      /* the latter */
    const char *pattern;
};

static void try_word(const struct mr_map_word *w, struct heading *head, struct best *best) {
    int score = mr_words_match(head->words, w->words);
    enum mr_unit unit = MR_UNIT_NONE;
    enum mr_dim dim = mr_meaning_dim(w->meaning);
    if (dim != MR_DIM_NONE && score < MR_MATCH_WHOLE) {
        char name[160];
        const struct reply *end = ask(head, dim);
        if (end->cut && end->cut < sizeof name) {
            memcpy(name, head->words, end->cut);
            name[end->cut] = '\0';
            int stripped = mr_words_match(name, w->words);
            score = stripped > score ? stripped + 1 : score;
            unit = stripped > 0 ? end->suffix : MR_UNIT_NONE;
        } else {
            unit = end->suffix;
        }
    }
    if (w->whole && score < MR_MATCH_WHOLE)
        return;
    if (score && w->own)
        score += 200;
    if (score >= MR_MATCH_WHOLE && w->meaning == MR_M_ZONE && strcmp(w->words, "zone") == 0)
        score += 100; /* a place that is called the zone, before one that is called location */
    bool by_word = unit == MR_UNIT_NONE && w->unit != MR_UNIT_NONE;
    if (score > best->score)
        *best = (struct best){score, w->meaning, by_word ? w->unit : unit, by_word, w->words};
}

/* What a heading is looked at with. */
struct look {
    struct mr_arena *arena;
    const struct mr_map *map, *climate;
    const struct mr_head *head;
    const struct mr_shape *shape;
};

/* "Data" is the date in two languages and anything in English. */
static bool says_nothing(const struct mr_map_word *w, const struct mr_shape *shape) {
    return strcmp(w->words, "data") == 0 && shape->cells && !(shape->dates + shape->datetimes);
}

/* Whether units, cells and other readings of the heading leave room for a word's meaning. */
static bool may_mean(const struct look *l, const struct mr_map_word *w, struct heading *heading, bool dew) {
    if (w->unit == MR_UNIT_NONE && ask(heading, mr_meaning_dim(w->meaning))->denied)
        return false;
    return shape_fits(w->meaning, l->shape) && !(dew && is_temperature(w->meaning)) && !says_nothing(w, l->shape) &&
           !tail_denies(heading->words, w->meaning) && !time_denies(l->head->unit, w->meaning);
}

static struct best best_meaning(const struct look *l, const char *words) {
    struct best best = {.meaning = MR_M_IGNORE, .pattern = ""};
    if (!*words || ignored(l->map, words))
        return best;
    bool dew = dew_like(l->climate, words);
    struct heading heading = heading_of(words, l->head->unit);
    for (size_t i = 0; i < l->map->words.n; i++) {
        const struct mr_map_word *w = &l->map->words.v[i];
        if (stands_in(&heading, w->words) && may_mean(l, w, &heading, dew))
            try_word(w, &heading, &best);
    }
    return best;
}

/* "T [°C]": where the name alone is taken, its unit must not hide in words that the map knows, so both are tried. */
static struct best best_of_head(const struct look *l, const char **out_words) {
    const struct mr_head *head = l->head;
    const char *name = *head->name ? head->name : head->text;
    *out_words = mr_words_fold(l->arena, name, strlen(name));
    struct best best = best_meaning(l, *out_words);
    if (best.score >= MR_MATCH_WHOLE || strcmp(name, head->text) == 0)
        return best;
    const char *all = mr_words_fold(l->arena, head->text, strlen(head->text));
    struct best other = best_meaning(l, all);
    return other.score > best.score + 100 ? other : best;
}

static void set_unit(struct mr_plan_column *c, const struct mr_head *head, const struct best *best,
                     const struct mr_shape *shape) {
    enum mr_dim dim = mr_meaning_dim(best->meaning);
    if (dim == MR_DIM_NONE)
        return;
    if (*head->unit && mr_unit_fits(head->unit, strlen(head->unit), dim, &c->as.unit)) {
        c->as.unit_why = "stated in the header";
    } else if (dim == MR_DIM_SHARE && strchr(head->text, '%')) {
        c->as.unit = MR_UNIT_PCT;
        c->as.unit_why = "stated in the header";
    } else if (best->unit != MR_UNIT_NONE) {
        c->as.unit = best->unit;
        c->as.unit_why = best->by_word ? "as the column's name says" : "stated in the header";
    } else if (*shape->unit && shape->with_unit * 2 > shape->cells &&
               mr_unit_fits(shape->unit, strlen(shape->unit), dim, &c->as.unit)) {
        c->as.unit_why = "stated in the cells";
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

static bool any_word(const char *words, const char *const *list, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (mr_words_hold(words, list[i]))
            return true;
    return false;
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
        if (g->col[i].as.meaning != MR_M_IGNORE || !*g->col[i].words)
            continue;
        struct heading heading = heading_of(g->col[i].words, "");
        for (enum mr_kind k = MR_KIND_THICKNESS; k < MR_KIND_COUNT; k++)
            for (size_t w = 0; w < maps->map[k].words.n; w++) {
                const struct mr_map_word *word = &maps->map[k].words.v[w];
                struct best best = {.meaning = MR_M_IGNORE};
                if ((map->not_with & MR_BIT(word->meaning)) && stands_in(&heading, word->words))
                    try_word(word, &heading, &best);
                if (best.score >= MR_MATCH_WHOLE)
                    return true;
            }
    }
    return (g->found & map->not_with) != 0;
}

/* A column of numbers in degrees is a temperature, whatever the clerk called the probe. */
static bool known_by_unit(const struct look *l, const char *words) {
    enum mr_unit unit;
    return *l->head->unit && mr_unit_parse(l->head->unit, strlen(l->head->unit), MR_DIM_TEMP, &unit) &&
           shape_fits(MR_M_PROBE_TEMP, l->shape) && !ignored(l->map, words) && !dew_like(l->climate, words);
}

/* "HR" is a humidity in two languages and the hour in others: beside a humidity of its own, or with hours in it, the
 * hour. */
static void drop_hours(struct mr_plan_column *col, const struct mr_column_shapes *survey, size_t n) {
    for (size_t i = 0; i < n; i++) {
        const struct mr_shape *s = &survey->col[i];
        if (col[i].as.meaning != MR_M_RH || strcmp(col[i].words, "hr") != 0)
            continue;
        bool hours = s->integers && s->integers == s->cells && s->least >= 0.0 && s->most <= 24.0;
        for (size_t k = 0; k < n && !hours; k++)
            hours = col[k].as.meaning == MR_M_RH && strcmp(col[k].words, "hr") != 0;
        if (hours)
            col[i].as = (struct mr_column){.name = col[i].as.name, .meaning = MR_M_HOUR, .unit_why = ""};
    }
}

struct mr_guess mr_guess_kind(struct mr_arena *arena, const struct mr_maps *maps, enum mr_kind kind,
                              const struct mr_source *source, const struct mr_column_shapes *survey) {
    const struct mr_map *map = &maps->map[kind];
    size_t n = survey->columns;
    struct mr_guess g = {.col = MR_ARRAY(arena, struct mr_plan_column, n)};
    int *score = MR_ARRAY(arena, int, n);
    for (size_t i = 0; i < n; i++) {
        struct mr_plan_column *c = &g.col[i];
        const struct mr_head *head = &source->columns[i];
        struct look look = {arena, map, &maps->map[MR_KIND_CLIMATE], head, &survey->col[i]};
        struct best best = best_of_head(&look, &c->words);
        c->as = (struct mr_column){.name = *head->text ? head->text : mr_printf(arena, "column %zu", i + 1),
                                   .meaning = best.meaning,
                                   .unit_why = ""};
        c->cell = i + survey->shift;
        c->generic = generic_word(best.pattern);
        if (best.meaning == MR_M_IGNORE && kind == MR_KIND_TEMPERATURE && known_by_unit(&look, c->words))
            best = (struct best){.score = 1, .meaning = MR_M_PROBE_TEMP, .pattern = ""};
        score[i] = best.score;
        c->as.meaning = best.meaning;
        set_unit(c, head, &best, &survey->col[i]);
    }
    drop_hours(g.col, survey, n);
    mr_settle_rivals(g.col, score, survey, n);
    for (size_t i = 0; i < n; i++)
        g.found |= g.col[i].as.meaning == MR_M_IGNORE ? 0 : MR_BIT(g.col[i].as.meaning);
    g.score = needs_score(map, &g, survey, n);
    if (!g.score || forbidden(maps, map, &g, n)) {
        g.score = 0;
        return g;
    }
    for (enum mr_meaning m = MR_M_IGNORE; m < MR_MEANING_COUNT; m++)
        g.score += (g.found & map->helps & MR_BIT(m)) ? SCORE_HELP : 0;
    const char *words = haystack(arena, source);
    g.by_file_words = any_word(words, map->file_words.v, map->file_words.n);
    g.score += g.by_file_words ? SCORE_FILE : 0;
    g.score += channel_score(map, &g, arena, survey, n);
    bool own = any_word(words, map->needs_words.v, map->needs_words.n);
    for (size_t i = 0; i < n && !own; i++)
        own = any_word(g.col[i].words, map->needs_words.v, map->needs_words.n);
    if (map->needs_words.n)
        g.score = own ? g.score + SCORE_OWN_WORDS : g.score < MR_GUESS_ENOUGH ? g.score : 0;
    return g;
}
