/* statistic_words.c - see statistic_words.h. Words are folded; the lists hold the languages of the maps. */
#include "normalise/phrase/statistic_words.h"

#include "base/text.h"
#include "milrise/base.h"
#include "normalise/cell/words.h"

#include <string.h>

/* Whole names. Of "limit" and "specified" no name is here. */
static const char *const counts[] = {"n",
                                     "count",
                                     "number of readings",
                                     "no of readings",
                                     "readings",
                                     "records",
                                     "total readings",
                                     "number of records",
                                     "no of records",
                                     "reading count",
                                     "measurements",
                                     "number of measurements",
                                     "anzahl",
                                     "anzahl messungen",
                                     "messungen",
                                     "anzahl messwerte",
                                     "nombre de mesures",
                                     "mesures",
                                     "numero de lecturas",
                                     "lecturas",
                                     "numero di misure",
                                     "letture",
                                     "aantal metingen",
                                     "aantal",
                                     "antal",
                                     "antal matningar",
                                     "liczba pomiarow",
                                     "samples",
                                     "number of samples",
                                     "sample count",
                                     "no of samples",
                                     "data points",
                                     "number of points",
                                     "total samples",
                                     "total records",
                                     "record count",
                                     "messwerte",
                                     "registros"};
static const char *const leasts[] = {
    "min",         "minimum",         "lowest",        "min value",         "minimum value",  "lowest reading",
    "min reading", "minimum reading", "min thickness", "minimum thickness", "kleinster wert", "minimalwert",
    "minimo",      "valor minimo",    "valeur min",    "minimale",          "laagste",        "minsta"};
static const char *const mosts[] = {
    "max",         "maximum",         "highest",       "max value",         "maximum value", "highest reading",
    "max reading", "maximum reading", "max thickness", "maximum thickness", "grosster wert", "maximalwert",
    "maximo",      "massimo",         "valor maximo",  "valeur max",        "hoogste",       "storsta"};
static const char *const means[] = {"mean",
                                    "average",
                                    "avg",
                                    "ave",
                                    "mean value",
                                    "average value",
                                    "mean thickness",
                                    "average thickness",
                                    "mittelwert",
                                    "mittel",
                                    "durchschnitt",
                                    "moyenne",
                                    "promedio",
                                    "media",
                                    "media aritmetica",
                                    "gemiddelde",
                                    "medelvarde",
                                    "srednia"};

/* Words of such names. */
static const char *const of_least[] = {"min",      "minimum", "lowest", "least",   "low",     "minima",   "minimo",
                                       "minimale", "mini",    "lagsta", "laagste", "minimal", "kleinster"};
static const char *const of_most[] = {"max",  "maximum", "highest", "greatest", "peak",
                                      "maxi", "maxima",  "maximo",  "maximal",  "grosster"};
static const char *const of_mean[] = {"mean", "average", "avg", "mittelwert", "moyenne", "promedio", "media"};
static const char *const beside[] = {"value", "of"};

enum mr_statistic mr_statistic_named(const char *words) {
    const size_t n = strlen(words);
    return mr_word_among(words, n, counts, MR_COUNT(counts))   ? MR_STATISTIC_COUNT
           : mr_word_among(words, n, leasts, MR_COUNT(leasts)) ? MR_STATISTIC_LEAST
           : mr_word_among(words, n, mosts, MR_COUNT(mosts))   ? MR_STATISTIC_MOST
           : mr_word_among(words, n, means, MR_COUNT(means))   ? MR_STATISTIC_MEAN
                                                               : MR_STATISTIC_NONE;
}

static enum mr_statistic of_word(const char *word, size_t n) {
    return mr_word_among(word, n, of_least, MR_COUNT(of_least)) ? MR_STATISTIC_LEAST
           : mr_word_among(word, n, of_most, MR_COUNT(of_most)) ? MR_STATISTIC_MOST
           : mr_word_among(word, n, of_mean, MR_COUNT(of_mean)) ? MR_STATISTIC_MEAN
                                                                : MR_STATISTIC_NONE;
}

bool mr_holds_statistic(const char *words, enum mr_statistic of) {
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        if (of_word(w, strcspn(w, " ")) == of)
            return true;
    return false;
}

enum mr_statistic mr_statistic_in(struct mr_arena *arena, const char *words, const char **out_rest) {
    enum mr_statistic one = MR_STATISTIC_NONE;
    *out_rest = "";
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        const enum mr_statistic of = of_word(w, n);
        if (of != MR_STATISTIC_NONE && one != MR_STATISTIC_NONE && of != one)
            return MR_STATISTIC_NONE;
        one = of == MR_STATISTIC_NONE ? one : of;
        if (of == MR_STATISTIC_NONE && !mr_word_among(w, n, beside, MR_COUNT(beside)))
            *out_rest = mr_printf(arena, "%s%s%.*s", *out_rest, **out_rest ? " " : "", (int)n, w);
    }
    return one;
}
