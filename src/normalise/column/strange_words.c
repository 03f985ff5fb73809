/* strange_words.c - see strange_words.h. Words are folded. */
#include "normalise/column/strange_words.h"

#include "base/text.h"

#include <string.h>

/* How a value was measured, small words, the place in a series: of films and of logs. */
static const char *const harmless[] = {
    "total",   "final",     "actual",   "measured", "measurement", "meas",    "reading",  "readings", "value",
    "values",  "result",    "data",     "number",   "no",          "nr",      "num",      "point",    "pt",
    "of",      "the",       "at",       "in",       "on",          "per",     "and",      "system",   "current",
    "ist",     "istwert",   "wert",     "gemessen", "gemessene",   "messung", "der",      "die",      "des",
    "de",      "du",        "la",       "le",       "el",          "del",     "di",       "da",       "do",
    "van",     "av",        "och",      "mesure",   "mesuree",     "mesures", "reelle",   "reel",     "medido",
    "medida",  "real",      "misurato", "misurata", "misura",      "reale",   "gemeten",  "meting",   "uppmatt",
    "verklig", "zmierzona", "pomiar",   "unit",     "units",       "shown",   "displayed"};

static const char *const of_film[] = {"gauge", "gage",     "spot", "film",  "coating", "coat",  "paint",
                                      "dry",   "dft",      "fe",   "nfe",   "f",       "nf",    "ferrous",
                                      "non",   "magnetic", "eddy", "seco",  "seca",    "secco", "sec",
                                      "seche", "droge",    "torr", "sucha", "thk",     "mikro"};

/* Sensors and how they sample. No word of a place: where a logger stood is asked for. */
static const char *const of_climate[] = {"sensor",      "sonde",     "sonda",       "fuhler",        "probe",
                                         "givare",      "opnemer",   "czujnik",     "channel",       "ch",
                                         "chan",        "kanal",     "canal",       "canale",        "kanaal",
                                         "voie",        "input",     "ext",         "external",      "extern",
                                         "temp",        "temps",     "temperature", "temperatur",    "temperatura",
                                         "temperatuur", "t",         "air",         "ambient",       "relative",
                                         "relativ",     "relativa",  "rel",         "site",          "work",
                                         "job",         "live",      "instant",     "instantaneous", "avg",
                                         "ave",         "average",   "mean",        "mittel",        "mittelwert",
                                         "moyenne",     "promedio",  "media",       "gemiddelde",    "medel",
                                         "srednia",     "corrected", "compensated", "calibrated",    "thermocouple",
                                         "tc",          "pt",        "rtd",         "ntc",           "type",
                                         "k",           "j",         "magnet",      "magnetic",      "contact",
                                         "infrared",    "ir",        "laser",       "dry",           "bulb",
                                         "db",          "log",       "logged",      "record",        "recorded",
                                         "scale",       "degrees",   "degree",      "deg",           "celsius",
                                         "fahrenheit",  "grad",      "percent",     "pct",           "prozent",
                                         "digital"};

/* Parts of a structure, beside the word steel. */
static const char *const of_steel[] = {"upper", "lower", "top",    "bottom", "inner", "outer", "side",     "left",
                                       "right", "north", "south",  "east",   "west",  "chord", "flange",   "web",
                                       "deck",  "plate", "girder", "beam",   "pipe",  "weld",  "stiffener"};

/* What a probe is called by the logger, and details of the part that it sits on: beside them any word may be a place
 * of its own. */
static const char *const of_probe[] = {
    "logger",   "node",      "module",   "surface", "steel",    "substrate", "stahl",     "pos",     "position",
    "location", "loc",       "flange",   "web",     "chord",    "weld",      "stiffener", "plate",   "edge",
    "seam",     "film",      "coating",  "coat",    "reaction", "rise",      "heat",      "element", "point",
    "spot",     "messpunkt", "punto",    "punkt",   "main",     "reference", "ref",       "acier",   "acero",
    "acciaio",  "staal",     "surfaces", "north",   "south",    "east",      "west",      "left",    "right",
    "mid",      "middle",    "centre",   "center",  "nord",     "sud",       "ost",       "mitte"};

/* The lines of a proportioning pump, where they are measured, and their material. */
static const char *const of_lines[] = {
    "pressure", "press",     "line",     "lines",   "hose",         "pump",    "side",       "part",   "component",
    "comp",     "material",  "fluid",    "gun",     "outlet",       "out",     "transducer", "sensor", "gauge",
    "gage",     "channel",   "ch",       "port",    "proportioner", "a",       "b",          "resin",  "hardener",
    "iso",      "poly",      "pol",      "res",     "main",         "air",     "supply",     "inlet",  "compressor",
    "druck",    "leitung",   "schlauch", "pumpe",   "pression",     "ligne",   "presion",    "linea",  "pressao",
    "linha",    "pressione", "druk",     "leiding", "tryck",        "ledning", "cisnienie",  "linia",  "avg",
    "average",  "mean",      "inst",     "instant", "live",         "p",       "absolute",   "abs",    "relative",
    "absolut",  "absolu",    "psia",     "bara",    "kpaa",         "mbara",   "psig",       "barg"};

static bool is_index(const char *w, size_t n) {
    return strspn(w, "0123456789#") >= n;
}

/* A word of some phrase by which the map knows the meaning. */
static bool is_in_map(const struct mr_map *map, enum mr_meaning meaning, const char *w, size_t n) {
    for (size_t i = 0; i < map->words.n; i++) {
        if (map->words.v[i].meaning != meaning)
            continue;
        for (const char *p = map->words.v[i].words; *p; p += strcspn(p, " "), p += *p == ' ')
            if (strcspn(p, " ") == n && memcmp(p, w, n) == 0)
                return true;
    }
    return false;
}

static bool is_known(const struct mr_map *map, enum mr_meaning meaning, const char *w, size_t n) {
    enum mr_unit unit;
    if (is_index(w, n) || mr_unit_parse(w, n, mr_meaning_dim(meaning), &unit) || is_in_map(map, meaning, w, n) ||
        mr_word_among(w, n, harmless, MR_COUNT(harmless)))
        return true;
    if (meaning == MR_M_FILM)
        return mr_word_among(w, n, of_film, MR_COUNT(of_film));
    if (meaning == MR_M_LINE_A || meaning == MR_M_LINE_B || meaning == MR_M_MAIN)
        return mr_word_among(w, n, of_lines, MR_COUNT(of_lines));
    if (meaning == MR_M_STEEL && mr_word_among(w, n, of_steel, MR_COUNT(of_steel)))
        return true;
    if (meaning == MR_M_PROBE_TEMP && (n <= 2 || mr_word_among(w, n, of_probe, MR_COUNT(of_probe))))
        return true;                                              /* "K2" is a number of the logger's */
    const bool moist = meaning == MR_M_RH || meaning == MR_M_DEW; /* humidity "of the air" */
    return mr_word_among(w, n, of_climate, MR_COUNT(of_climate)) || (moist && is_in_map(map, MR_M_AIR, w, n));
}

const char *mr_strange_word(const struct mr_map *map, enum mr_meaning meaning, const char *words, size_t *out_n) {
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        *out_n = strcspn(w, " ");
        if (!is_known(map, meaning, w, *out_n))
            return w;
    }
    return NULL;
}
