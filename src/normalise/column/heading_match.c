/*
 * heading_match.c - which of a map's words fits a heading best, if units, cells and other readings of the heading
 * leave room for its meaning.
 */
#include "normalise/column/heading_match.h"

#include "normalise/column/refusing_words.h"

#include <string.h>

bool mr_generic_word(const char *words) {
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
    } ranges[] = {{MR_M_YEAR, 1970, 2100}, {MR_M_MONTH, 1, 12},  {MR_M_DAY, 1, 31},    {MR_M_YEARDAY, 1, 367},
                  {MR_M_HOUR, 0, 2400},    {MR_M_MINUTE, 0, 59}, {MR_M_SECOND, 0, 60}, {MR_M_MILLI, 0, 999}};
    if ((m == MR_M_DAY && s->dates * 2 >= s->cells) || (m == MR_M_HOUR && (s->clocks + s->datetimes) * 2 >= s->cells))
        return true;
    for (size_t i = 0; i < MR_COUNT(ranges); i++)
        if (ranges[i].meaning == m)
            return s->numbers == s->cells && s->least >= ranges[i].least && s->most <= ranges[i].most &&
                   (s->integers == s->numbers || m == MR_M_SECOND || m == MR_M_YEARDAY);
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
    struct mr_stated_unit scaled;
    if (mr_unit_scaled(unit, strlen(unit), dim, &scaled))
        return false;
    return mr_unit_find(unit, strlen(unit), &u) || strpbrk(unit, "/^") != NULL;
}

/* A heading on its way through the maps. What its units say depends on the dimension alone: it is asked once for
 * each. */
struct heading {
    const char *words; /* folded */
    const char *unit;  /* stated apart; "" = none */
    struct reply {
        bool asked, denied;
        size_t cut; /* where the unit at the end of words begins, 0 = none */
        enum mr_unit suffix;
    } reply[MR_DIM_DURATION + 1];
};

static struct heading heading_of(const char *words, const char *unit) {
    struct heading h = {.words = words, .unit = unit};
    return h;
}

/* Whether the pattern stands in the heading at all; without that it has no score. */
static bool stands_in(const struct heading *h, const char *pattern) {
    return mr_words_hold(h->words, pattern);
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

static void try_word(const struct mr_map_word *w, struct heading *head, struct mr_best_word *best) {
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
        *best = (struct mr_best_word){score, w->meaning, by_word ? w->unit : unit, by_word, w->words, NULL};
}

/* "Data" is the date in two languages and anything in English. */
static bool says_nothing(const struct mr_map_word *w, const struct mr_shape *shape) {
    return strcmp(w->words, "data") == 0 && shape->cells && !(shape->dates + shape->datetimes);
}

/* Whether units, cells and other readings of the heading leave room for a word's meaning. */
static bool may_mean(const struct mr_heading_case *l, const struct mr_map_word *w, struct heading *heading,
                     bool dew) {
    if (w->unit == MR_UNIT_NONE && ask(heading, mr_meaning_dim(w->meaning))->denied)
        return false;
    return shape_fits(w->meaning, l->shape) && !(dew && is_temperature(w->meaning)) && !says_nothing(w, l->shape) &&
           !tail_denies(heading->words, w->meaning) && !time_denies(l->head->unit, w->meaning);
}

static struct mr_best_word best_meaning(const struct mr_heading_case *l, const char *words) {
    struct mr_best_word best = {.meaning = MR_M_IGNORE, .pattern = ""};
    if (!*words || ignored(l->map, words))
        return best;
    bool dew = dew_like(l->climate, words);
    struct heading heading = heading_of(words, l->head->unit);
    const char *refused = NULL;
    for (size_t i = 0; i < l->map->words.n; i++) {
        const struct mr_map_word *w = &l->map->words.v[i];
        if (!stands_in(&heading, w->words) || !may_mean(l, w, &heading, dew))
            continue;
        const char *refusing = w->own ? NULL : mr_refusing_word(words, l->head->text, w->meaning);
        if (refusing)
            refused = refusing;
        else
            try_word(w, &heading, &best);
    }
    best.refused = refused;
    return best;
}

/* "T [°C]": where the name alone is taken, its unit must not hide in words that the map knows, so both are tried. */
struct mr_best_word mr_best_word(const struct mr_heading_case *l, const char **out_words) {
    const struct mr_head *head = l->head;
    const char *name = *head->name ? head->name : head->text;
    *out_words = mr_words_fold(l->arena, name, strlen(name));
    struct mr_best_word best = best_meaning(l, *out_words);
    if (best.score >= MR_MATCH_WHOLE || strcmp(name, head->text) == 0)
        return best;
    const char *all = mr_words_fold(l->arena, head->text, strlen(head->text));
    struct mr_best_word other = best_meaning(l, all);
    return other.score > best.score + 100 ? other : best;
}

/* A column of numbers in degrees is a temperature, whatever the clerk called the probe. */
bool mr_known_by_unit(const struct mr_heading_case *l, const char *words) {
    enum mr_unit unit;
    return *l->head->unit && mr_unit_parse(l->head->unit, strlen(l->head->unit), MR_DIM_TEMP, &unit) &&
           shape_fits(MR_M_PROBE_TEMP, l->shape) && !ignored(l->map, words) &&
           !mr_refusing_word(words, l->head->text, MR_M_PROBE_TEMP) && !dew_like(l->climate, words);
}

bool mr_word_covers(const struct mr_map_word *word, const char *words) {
    struct heading heading = heading_of(words, "");
    struct mr_best_word best = {.meaning = MR_M_IGNORE};
    if (stands_in(&heading, word->words))
        try_word(word, &heading, &best);
    return best.score >= MR_MATCH_WHOLE;
}

bool mr_film_words(const struct mr_map *map, const char *words) {
    enum mr_unit unit;
    char name[160];
    if (mr_unit_fits(words, strlen(words), MR_DIM_FILM, &unit))
        return true;
    size_t cut = mr_unit_suffix(words, MR_DIM_FILM, &unit), n = cut ? cut : strlen(words);
    if (n >= sizeof name)
        return false;
    memcpy(name, words, n);
    name[n] = '\0';
    for (size_t i = 0; i < map->words.n; i++)
        if (map->words.v[i].meaning == MR_M_FILM && mr_words_match(name, map->words.v[i].words) >= MR_MATCH_WHOLE)
            return true;
    return false;
}
