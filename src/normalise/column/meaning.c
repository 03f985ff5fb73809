/*
 * meaning.c - the kinds of files, what their columns can mean and why rows are set aside: words, dimensions, ranges.
 */
#include "normalise/column/meaning.h"

#include "base/text.h"
#include "normalise/cell/words.h"

#include <math.h>
#include <string.h>

static const char *const meaning_words[] = {
#define WORD(id, word, dim) [id] = word,
    MR_MEANING_LIST(WORD)
#undef WORD
};

static const enum mr_dim meaning_dims[] = {
#define DIM(id, word, dim) [id] = MR_DIM_##dim,
    MR_MEANING_LIST(DIM)
#undef DIM
};

static const char *const kind_words[] = {
#define WORD(id, word, text) [id] = word,
    MR_KIND_LIST(WORD)
#undef WORD
};

static const char *const kind_texts[] = {
#define TEXT(id, word, text) [id] = text,
    MR_KIND_LIST(TEXT)
#undef TEXT
};

static const char *const aside_words[] = {
#define WORD(id, word, text) [id] = word,
    MR_ASIDE_LIST(WORD)
#undef WORD
};

static const char *const aside_texts[] = {
#define TEXT(id, word, text) [id] = text,
    MR_ASIDE_LIST(TEXT)
#undef TEXT
};

_Static_assert(MR_MEANING_COUNT <= 128, "a set of meanings has one bit for each");

const char *mr_meaning_word(enum mr_meaning meaning) {
    return (size_t)meaning < MR_COUNT(meaning_words) ? meaning_words[meaning] : "?";
}

const char *mr_kind_word(enum mr_kind kind) {
    return (size_t)kind < MR_COUNT(kind_words) ? kind_words[kind] : "?";
}

const char *mr_kind_text(enum mr_kind kind) {
    return (size_t)kind < MR_COUNT(kind_texts) ? kind_texts[kind] : "?";
}

const char *mr_aside_word(enum mr_aside aside) {
    return (size_t)aside < MR_COUNT(aside_words) ? aside_words[aside] : "?";
}

const char *mr_aside_text(enum mr_aside aside) {
    return (size_t)aside < MR_COUNT(aside_texts) ? aside_texts[aside] : "?";
}

enum mr_dim mr_meaning_dim(enum mr_meaning meaning) {
    return meaning_dims[meaning];
}

bool mr_unit_fits(const char *text, size_t n, enum mr_dim dim, enum mr_unit *out) {
    return mr_unit_parse(text, n, dim, out) || (dim == MR_DIM_VOLUME && mr_unit_parse(text, n, MR_DIM_MASS, out));
}

bool mr_meaning_find(struct mr_arena *arena, const char *word, enum mr_meaning *out) {
    const char *folded = mr_words_fold(arena, word, strlen(word));
    for (size_t i = 0; i < MR_COUNT(meaning_words); i++)
        if (mr_text_equal_fold(folded, strlen(folded), meaning_words[i], strlen(meaning_words[i]))) {
            *out = (enum mr_meaning)i;
            return true;
        }
    return false;
}

bool mr_kind_find(struct mr_arena *arena, const char *word, enum mr_kind *out) {
    const char *folded = mr_words_fold(arena, word, strlen(word));
    for (size_t i = 0; i < MR_COUNT(kind_words); i++)
        if (mr_text_equal_fold(folded, strlen(folded), kind_words[i], strlen(kind_words[i]))) {
            *out = (enum mr_kind)i;
            return true;
        }
    return false;
}

bool mr_is_channel(enum mr_meaning m) {
    return (MR_BIT(m) & (MR_BIT(MR_M_AIR) | MR_BIT(MR_M_RH) | MR_BIT(MR_M_STEEL) | MR_BIT(MR_M_DEW) |
                         MR_BIT(MR_M_PROBE_TEMP) | MR_BIT(MR_M_LINE_A) | MR_BIT(MR_M_LINE_B) | MR_BIT(MR_M_MAIN))) !=
           0;
}

bool mr_is_time(enum mr_meaning m) {
    return mr_is_row_time(m) || m == MR_M_START || m == MR_M_STOP || m == MR_M_SHELF;
}

bool mr_is_row_time(enum mr_meaning m) {
    return m == MR_M_DATETIME || m == MR_M_DATE || m == MR_M_CLOCK || m == MR_M_ELAPSED ||
           (m >= MR_M_YEAR && m <= MR_M_HALF);
}

bool mr_is_day_of_row(const char *words) {
    static const char *const own[] = {
        "date",    "datum",       "fecha",    "data",      "day",       "tag",       "jour",    "dia", "giorno",
        "dag",     "rok",         "dzien",    "local",     "utc",       "time",      "zeit",    "the", "of",
        "reading", "measurement", "measured", "measuring", "messdatum", "timestamp", "datetime"};
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        if (!mr_word_among(w, strcspn(w, " "), own, MR_COUNT(own)))
            return false;
    return *words;
}

bool mr_is_film_kind(enum mr_kind kind) {
    return kind == MR_KIND_THICKNESS || kind == MR_KIND_BASE_METAL || kind == MR_KIND_WET_FILM;
}

bool mr_is_log(enum mr_kind kind) {
    return kind == MR_KIND_CLIMATE || kind == MR_KIND_TEMPERATURE || kind == MR_KIND_PRESSURE;
}

size_t mr_unit_suffix(const char *words, enum mr_dim dim, enum mr_unit *out) {
    size_t n = strlen(words);
    for (size_t cut = 1; cut < n; cut++)
        if (words[cut] == ' ' && mr_unit_fits(words + cut + 1, n - cut - 1, dim, out))
            return cut;
    return 0;
}

void mr_physical_range(const struct mr_settings *settings, enum mr_meaning meaning, double *least, double *most) {
    enum mr_setting_id low, high;
    switch (mr_meaning_dim(meaning)) {
    case MR_DIM_TEMP:
        low = meaning == MR_M_PROBE_TEMP || meaning == MR_M_STEEL ? MR_PLAUSIBLE_PROBE_MIN : MR_PLAUSIBLE_AIR_MIN;
        high = meaning == MR_M_PROBE_TEMP ? MR_PLAUSIBLE_PROBE_MAX
               : meaning == MR_M_STEEL    ? MR_PLAUSIBLE_STEEL_MAX /* 85 and 99.9 stand for a sensor that is off */
                                          : MR_PLAUSIBLE_AIR_MAX;
        break;
    case MR_DIM_SHARE:
        low = MR_PLAUSIBLE_RH_MIN;
        high = MR_PLAUSIBLE_RH_MAX;
        break;
    case MR_DIM_PRESSURE:
        low = MR_PLAUSIBLE_PRESSURE_MIN;
        high = MR_PLAUSIBLE_PRESSURE_MAX;
        break;
    case MR_DIM_FILM:
        low = MR_PLAUSIBLE_FILM_MIN;
        high = MR_PLAUSIBLE_FILM_MAX;
        break;
    case MR_DIM_NONE:
    case MR_DIM_RISE:
    case MR_DIM_AREA:
    case MR_DIM_LENGTH:
    case MR_DIM_VOLUME:
    case MR_DIM_MASS:
    case MR_DIM_DURATION:
    default:
        *least = (double)-INFINITY;
        *most = (double)INFINITY;
        return;
    }
    *least = mr_set_num(settings, low);
    *most = mr_set_num(settings, high);
}
