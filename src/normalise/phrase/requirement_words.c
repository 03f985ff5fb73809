/* requirement_words.c - see requirement_words.h. Words are folded; the lists hold the languages of the maps. */
#include "normalise/phrase/requirement_words.h"

#include "base/text.h"
#include "normalise/cell/words.h"

#include <string.h>

#define HOLDS(words, list) mr_words_hold_any(words, list, MR_COUNT(list))

/* That something is asked. */
static const char *const asks[] = {
    "min",       "max",           "minimum",       "maximum",     "required",  "requirement", "requirements",
    "req",       "reqd",          "specified",     "limit",       "limits",    "tolerance",   "range",
    "class",     "nominal",       "target",        "at least",    "at most",   "least",       "not below",
    "not above", "not more than", "not less than", "lowest",      "highest",   "per",         "total",
    "mindest",   "hochst",        "soll",          "minimal",     "maximal",   "gefordert",   "grenzwert",
    "minima",    "maxima",        "minimo",        "maximo",      "massimo",   "minimale",    "maximale",
    "requis",    "requise",       "exige",         "requerido",   "requerida", "exigido",     "richiesto",
    "richiesta", "vereist",       "gevraagd",      "krav",        "minst",     "hogst",       "wymagana",
    "wymagany",  "minimalna",     "maksymalna",    "nicht unter", "au moins",  "lower",       "upper"};
/* Of what. */
static const char *const quantities[] = {"dft",
                                         "ndft",
                                         "wft",
                                         "film",
                                         "thickness",
                                         "coat",
                                         "coating",
                                         "mil",
                                         "mils",
                                         "um",
                                         "rh",
                                         "humidity",
                                         "steel",
                                         "surface",
                                         "temp",
                                         "temperature",
                                         "air",
                                         "dew",
                                         "dewpoint",
                                         "spread",
                                         "readings",
                                         "spots",
                                         "areas",
                                         "spot",
                                         "reading",
                                         "rise",
                                         "exotherm",
                                         "reaction",
                                         "cure",
                                         "pressure",
                                         "ratio",
                                         "schichtdicke",
                                         "dicke",
                                         "feuchte",
                                         "luftfeuchte",
                                         "temperatur",
                                         "taupunkt",
                                         "messungen",
                                         "schichten",
                                         "epaisseur",
                                         "humidite",
                                         "couches",
                                         "espesor",
                                         "humedad",
                                         "temperatura",
                                         "capas",
                                         "espessura",
                                         "umidade",
                                         "spessore",
                                         "umidita",
                                         "strati",
                                         "laagdikte",
                                         "vochtigheid",
                                         "skikttjocklek",
                                         "fukt",
                                         "grubosc",
                                         "wilgotnosc",
                                         "coats",
                                         "layers",
                                         "passes",
                                         "stahltemperatur",
                                         "mesures",
                                         "lecturas"};
/* By themselves. */
static const char *const whole[] = {"limits",
                                    "limit",
                                    "requirement",
                                    "requirements",
                                    "acceptance",
                                    "acceptance criteria",
                                    "criteria",
                                    "rule",
                                    "rules",
                                    "rule set",
                                    "restriction level",
                                    "restriction",
                                    "tolerance",
                                    "film tolerance",
                                    "acceptance rule",
                                    "inspection level",
                                    "dft class",
                                    "dft range",
                                    "class dft",
                                    "grenzwerte",
                                    "anforderung",
                                    "anforderungen",
                                    "abnahme",
                                    "exigence",
                                    "exigences",
                                    "requisito",
                                    "requisitos",
                                    "requisiti",
                                    "eisen",
                                    "krav",
                                    "wymagania",
                                    "acceptance limits"};
/* Beginnings of words that ask for film by themselves. */
static const char *const of_film[] = {"mindestschicht", "mindestdicke", "sollschicht",   "solldicke",
                                      "sollfilm",       "hochstdicke",  "hochstschicht", "nennschicht",
                                      "maxdft",         "mindft",       "dftmin",        "dftmax"};

bool mr_heading_requires(const char *words) {
    if (mr_word_among(words, strlen(words), whole, MR_COUNT(whole)))
        return true;
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        for (size_t i = 0; i < MR_COUNT(of_film); i++)
            if (strncmp(w, of_film[i], strlen(of_film[i])) == 0)
                return true;
    return HOLDS(words, asks) && HOLDS(words, quantities);
}

/* How often the row's area counts, or how many pieces it is of. */
static const char *const of_number[] = {"sides",    "faces",      "quantity",
                                        "qty",      "pieces",     "pcs",
                                        "pc",       "count",      "number of pieces",
                                        "members",  "off",        "no off",
                                        "times",    "factor",     "multiplier",
                                        "stuck",    "stuckzahl",  "anzahl",
                                        "seiten",   "menge",      "quantite",
                                        "nombre",   "pieces n",   "faces n",
                                        "cantidad", "piezas",     "lados",
                                        "quantita", "pezzi",      "lati",
                                        "aantal",   "stuks",      "zijden",
                                        "antal",    "sidor",      "ilosc",
                                        "sztuk",    "quantidade", "pecas"};

bool mr_heading_multiplies(const char *words) {
    return mr_word_among(words, strlen(words), of_number, MR_COUNT(of_number)) || mr_words_hold(words, "number of");
}

bool mr_note_requires(const char *words) {
    static const char *const sure[] = {
        "min",      "max",        "minimum",   "maximum", "at least", "at most",    "not below",      "not above",
        "required", "mindestens", "hochstens", "mind",    "au moins", "au plus",    "minimo",         "maximo",
        "minimaal", "maximaal",   "minst",     "hogst",   "limit",    "extra coat", "additional coat"};
    return HOLDS(words, sure) && HOLDS(words, quantities) && strcspn(words, "0123456789") < strlen(words);
}

bool mr_states_film(const char *words) {
    static const char *const units[] = {"um", "mil", "mils", "micron", "microns", "mikron", "micras", "mikrometer"};
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " "), digits = strspn(w, "0123456789");
        if (!digits)
            continue;
        const char *unit = digits < n ? w + digits : w + n + (w[n] == ' ');
        if (mr_word_among(unit, strcspn(unit, " "), units, MR_COUNT(units)))
            return true;
    }
    return false;
}
