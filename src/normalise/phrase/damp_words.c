/* damp_words.c - see damp_words.h. The lists hold the languages of the maps. */
#include "normalise/phrase/damp_words.h"

#include "base/text.h"
#include "milrise/base.h"
#include "normalise/cell/words.h"

#include <string.h>

static const char *const damp[] = {
    "rain",         "rains",        "raining",      "rained",       "rainy",         "drizzle",       "drizzling",
    "shower",       "showers",      "snow",         "snowing",      "sleet",         "hail",          "fog",
    "foggy",        "mist",         "misty",        "dew on",       "dew present",   "dew visible",   "dew formed",
    "dew fall",     "morning dew",  "dewy",         "frost",        "frosty",        "icy",           "sweating",
    "sweats",       "condensation", "condensing",   "condensate",   "water on",      "moisture on",   "damp steel",
    "damp surface", "steel damp",   "surface damp", "moist steel",  "moist surface", "regen",         "regnet",
    "niesel",       "schnee",       "nebel",        "tau",          "kondensat",     "kondenswasser", "pluie",
    "bruine",       "neige",        "brouillard",   "rosee",        "condensat",     "lluvia",        "llovizna",
    "nieve",        "niebla",       "rocio",        "condensacion", "chuva",         "garoa",         "neve",
    "nevoeiro",     "orvalho",      "condensacao",  "pioggia",      "pioviggine",    "nebbia",        "rugiada",
    "condensa",     "motregen",     "sneeuw",       "mist op",      "dauw",          "condens",       "regn",
    "duggregn",     "sno",          "dimma",        "dagg",         "kondens",       "deszcz",        "mzawka",
    "snieg",        "mgla",         "kondensacja"};
static const char *const whole[] = {"wet",     "damp",   "moist",  "nass",    "feucht",  "mouille",
                                    "humide",  "mojado", "humedo", "molhado", "bagnato", "nat",
                                    "vochtig", "blot",   "vat",    "fuktig",  "mokro",   "wilgotno"};
/* It was dry then, or the words speak of something else: a point, a gauge, what keeps water off. */
static const char *const dry[] = {"dew point",
                                  "fog coat",
                                  "fog pass",
                                  "mist pass",
                                  "mist coats",
                                  "point de rosee",
                                  "punto de rocio",
                                  "ponto de orvalho",
                                  "punto di rugiada",
                                  "dewpoint",
                                  "dew pt",
                                  "td",
                                  "rosa dei",
                                  "stopped",
                                  "ended",
                                  "over by",
                                  "until",
                                  "before",
                                  "after",
                                  "dry",
                                  "dried",
                                  "cleared",
                                  "later",
                                  "cover",
                                  "covered",
                                  "covers",
                                  "sheeted",
                                  "tent",
                                  "tented",
                                  "sheltered",
                                  "shelter",
                                  "roof",
                                  "forecast",
                                  "expected",
                                  "free of",
                                  "free from",
                                  "mist coat",
                                  "trocken",
                                  "sec",
                                  "seco",
                                  "asciutto",
                                  "droog",
                                  "torr",
                                  "suchy",
                                  "vorher",
                                  "danach",
                                  "avant",
                                  "apres",
                                  "antes",
                                  "despues",
                                  "prima",
                                  "dopo",
                                  "gun",
                                  "hose",
                                  "hoses",
                                  "removed",
                                  "wiped",
                                  "wft",
                                  "risk"};

bool mr_says_damp(const char *words) {
    if (mr_word_among(words, strlen(words), whole, MR_COUNT(whole)))
        return true;
    return mr_words_hold_any(words, damp, MR_COUNT(damp)) && !mr_words_hold_any(words, dry, MR_COUNT(dry)) &&
           !mr_words_negated(words);
}
