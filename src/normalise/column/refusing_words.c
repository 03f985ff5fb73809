/*
 * refusing_words.c - "RH std", "Soll", "Cal.": the words are looked for before any role is given, in any order and in
 * the languages of the maps. Words are folded: lower case, no accents.
 */
#include "normalise/column/refusing_words.h"

#include "base/text.h"
#include "normalise/cell/words.h"

#include <string.h>

/* Figures about a quantity: how sure it is, how it scatters, how often it was taken. Nothing that is measured. */
static const char *const figures_about[] = {
    /* spread */
    "sd", "std", "stdev", "stddev", "stdv", "sigma", "deviation", "dev", "variance", "spread", "cv", "cov", "rsd",
    "rms", "standardabweichung", "abweichung", "abw", "streuung", "ecart", "desviacion", "desv", "desvest", "desvio",
    "desvpad", "deviazione", "scarto", "standaardafwijking", "afwijking", "spreiding", "standardavvikelse",
    "avvikelse", "spridning", "odchylenie", "rozrzut", "rozstep", "dispersion", "dispersione", "dispersao", "ci",
    "confidence", "percentile", "quartile", "skewness", "kurtosis", "iqr", "mad",
    /* differences and sums */
    "delta", "change", "difference", "diff", "increase", "decrease", "loss", "sum", "cumulative", "differenz",
    "diferencia", "diferenca", "differenza", "verschil", "skillnad", "roznica", "summe", "somme", "suma",
    /* error and accuracy */
    "repeatability", "hysteresis", "drift", "hysterese", "error", "err", "errors", "fehler", "erreur", "errore",
    "erro", "fout", "fel", "blad", "accuracy", "precision", "uncertainty", "uncert", "resolution", "genauigkeit",
    "unsicherheit", "aufloesung", "auflosung", "exactitude", "incertitude", "exactitud", "incertidumbre",
    "precisione", "incertezza", "accuratezza", "nauwkeurigheid", "onzekerheid", "noggrannhet", "osakerhet",
    "dokladnosc", "niepewnosc", "exatidao", "incerteza", "precisao",
    /* tolerance and offset */
    "tolerance", "tolerances", "tol", "toleranz", "tolerancia", "tolleranza", "tolerantie", "tolerans", "tolerancja",
    "offset", "offsets", "correction", "corr", "bias", "korrektur", "versatz", "decalage", "correccion", "correzione",
    "correcao", "correctie", "korrektion", "korrigering", "korekta", "poprawka", "przesuniecie",
    /* count and quality */
    "count", "anzahl", "nombre", "recuento", "conteo", "conteggio", "contagem", "aantal", "antal", "liczba", "ilosc",
    "quality", "qual", "qc", "flag", "flags", "qualitat", "gute", "qualite", "calidad", "qualita", "qualidade",
    "kwaliteit", "kvalitet", "jakosc"};

/* What a value should be, or what an instrument was set to. A certified value may be called so. */
static const char *const wishes[] = {
    "target",       "targets",      "setpoint",     "set",          "soll",      "sollwert",      "nominal",
    "nominell",     "required",     "requirement",  "spec",         "specified", "specification", "design",
    "planned",      "vorgabe",      "ziel",         "zielwert",     "consigne",  "cible",         "objectif",
    "requis",       "objetivo",     "consigna",     "requerido",    "obiettivo", "richiesto",     "alvo",
    "requerida",    "streefwaarde", "doel",         "gewenst",      "vereist",   "borvarde",      "malvarde",
    "krav",         "zadana",       "zadany",       "zadane",       "wymagana",  "wymagany",      "docelowa",
    "limit",        "limits",       "lim",          "lcl",          "ucl",       "lsl",           "usl",
    "expected",     "predicted",    "forecast",     "estimated",    "estimate",  "theoretical",   "allowed",
    "permissible",  "permitted",    "gefordert",    "geforderte",   "zulassig",  "zulassige",     "erwartet",
    "erwartete",    "prognose",     "vorhersage",   "exige",        "exigee",    "vise",          "visee",
    "nominale",     "nominelle",    "prevu",        "prevue",       "prevision", "admissible",    "exigido",
    "exigida",      "especificado", "especificada", "previsto",     "prevista",  "pronostico",    "admisible",
    "impostata",    "impostato",    "ammesso",      "gewenste",     "verwacht",  "verwachte",     "toegestaan",
    "kravd",        "forvantad",    "tillaten",     "nominalna",    "nominalny", "oczekiwana",    "prognoza",
    "dopuszczalna", "minimo",       "minima",       "minimale",     "minimal",   "maximo",        "maxima",
    "maximale",     "maximal",      "massimo",      "massima",      "mini",      "maxi",          "maks",
    "lagsta",       "hogsta",       "alarm",        "alarme",       "alarma",    "warning",       "threshold",
    "grenzwert",    "grenze",       "schwelle",     "limite",       "seuil",     "umbral",        "soglia",
    "limiar",       "limiet",       "grens",        "drempel",      "grans",     "gransvarde",    "granica",
    "prog",         "cal",          "calib",        "calibration",  "kal",       "kalibrierung",  "abgleich",
    "etalonnage",   "calibrage",    "calibracion",  "calibrazione", "taratura",  "calibracao",    "kalibratie",
    "ijking",       "kalibrering",  "kalibracja",   "wzorcowanie"};

/* The same quantity at another time. */
static const char *const other_times[] = {"previous", "prior",   "old",       "last",    "yesterday", "former",
                                          "vorige",   "gestern", "hier",      "ayer",    "ieri",      "ontem",
                                          "gisteren", "wczoraj", "precedent", "anterior"};

/* What is no film although it is as thick, and what is no air although it is as warm or as moist. */
static const char *const other_layers[] = {"primer",          "zinc",           "insulation",     "galvanizing",
                                           "calculated",      "grundierung",    "zink",           "steel thickness",
                                           "plate thickness", "wall thickness", "shim thickness", "foil thickness",
                                           "before repair",   "stahldicke",     "blechdicke",     "wanddicke"};
static const char *const other_air[] = {"material", "pump", "apparent", "virtual", "soil"};
static const char *const other_moisture[] = {"surface", "steel", "specific", "status", "material", "soil"};

/* Other quantities, whose unit may look like that of a temperature or a film: "Force [F]". */
static const char *const others[] = {
    "raw",       "uncompensated", "uncorrected", "unkorrigiert", "rohwert", "brut",       "brute",
    "bruto",     "crudo",         "grezzo",      "ruwe",         "force",   "kraft",      "fuerza",
    "forza",     "forca",         "kracht",      "sila",         "load",    "voltage",    "spannung",
    "tension",   "tensione",      "spanning",    "napiecie",     "flow",    "durchfluss", "debit",
    "caudal",    "portata",       "speed",       "wind",         "rain",    "hardness",   "harte",
    "gloss",     "glanz",         "adhesion",    "haftung",      "haftzug", "viscosity",  "viskositat",
    "roughness", "rauheit",       "weight",      "gewicht",      "poids",   "peso",       "mass"};

/* The instrument's own state, in a heading that also speaks of a temperature or of a share. */
static const char *const housing[] = {"logger", "internal", "battery",  "board",   "housing", "enclosure",
                                      "cpu",    "gehause",  "intern",   "interna", "interne", "interno",
                                      "chip",   "akku",     "batterie", "bateria"};

/* Parts of compound words: "Sollschichtdicke", "Messfehler". */
static const char *const beginnings[] = {"soll", "ziel", "grenz", "toleranz", "kalibrier", "mindest", "hochst"};
static const char *const endings[] = {"fehler",      "abweichung",   "toleranz",  "sollwert",  "grenzwert",
                                      "genauigkeit", "unsicherheit", "avvikelse", "afwijking", "korrektur"};

static bool part_of(const char *word, size_t n) {
    for (size_t i = 0; i < MR_COUNT(beginnings); i++)
        if (n > strlen(beginnings[i]) && memcmp(word, beginnings[i], strlen(beginnings[i])) == 0)
            return true;
    for (size_t i = 0; i < MR_COUNT(endings); i++) {
        size_t k = strlen(endings[i]);
        if (n > k && memcmp(word + n - k, endings[i], k) == 0)
            return true;
    }
    return false;
}

static bool is_sensor(enum mr_meaning m) {
    return mr_is_channel(m) || m == MR_M_FILM || m == MR_M_VALUE || m == MR_M_BEFORE || m == MR_M_AFTER;
}

/* Words that refuse one meaning only. */
static const char *refuses_this(const char *words, enum mr_meaning m) {
    const char *const *list = m == MR_M_FILM ? other_layers : m == MR_M_AIR ? other_air : other_moisture;
    size_t n = m == MR_M_FILM  ? MR_COUNT(other_layers)
               : m == MR_M_AIR ? MR_COUNT(other_air)
               : m == MR_M_RH  ? MR_COUNT(other_moisture)
                               : 0;
    for (size_t i = 0; i < n; i++)
        if (mr_words_hold(words, list[i]))
            return list[i];
    return NULL;
}

/* A time that was meant, or that is of something else: "Planned start", "Calibration date", "Due". */
static const char *refuses_time(const char *words) {
    static const char *const no_moments[] = {
        "planned",     "plan",       "scheduled",    "schedule",     "forecast",    "expected",     "estimated",
        "target",      "due",        "proposed",     "intended",     "geplant",     "geplante",     "geplanter",
        "soll",        "prevu",      "prevue",       "previsto",     "prevista",    "pianificato",  "gepland",
        "geplande",    "planerad",   "planowany",    "planowana",    "calibration", "cal",          "certificate",
        "expiry",      "expires",    "kalibrierung", "etalonnage",   "calibracion", "calibrazione", "kalibratie",
        "kalibrering", "kalibracja", "manufacture",  "manufactured", "production"};
    for (size_t i = 0; i < MR_COUNT(no_moments); i++)
        if (mr_words_hold(words, no_moments[i]))
            return no_moments[i];
    return NULL;
}

const char *mr_refusing_word(const char *words, const char *text, enum mr_meaning m) {
    if (m != MR_M_SHELF && mr_is_time(m))
        return refuses_time(words);
    bool sensor = is_sensor(m), certified = m == MR_M_CERTIFIED;
    if (!sensor && !certified)
        return NULL;
    if (strstr(text, "\xc2\xb1") || strstr(text, "+/-") || strstr(text, "+-"))
        return words;
    const char *own = refuses_this(words, m);
    if (own)
        return own;
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        size_t n = strcspn(w, " ");
        bool about = mr_word_among(w, n, figures_about, MR_COUNT(figures_about));
        if (certified && n == 3 && memcmp(w, "std", 3) == 0)
            continue; /* there a standard */
        if (about || (sensor && (mr_word_among(w, n, wishes, MR_COUNT(wishes)) || part_of(w, n))))
            return w;
        if (sensor && m != MR_M_BEFORE && m != MR_M_AFTER &&
            (mr_word_among(w, n, others, MR_COUNT(others)) ||
             mr_word_among(w, n, other_times, MR_COUNT(other_times))))
            return w;
        if (mr_is_channel(m) && mr_word_among(w, n, housing, MR_COUNT(housing)))
            return w;
    }
    return NULL;
}

enum mr_meaning mr_statistic_word(struct mr_arena *arena, const char *words, const char **rest) {
    static const char *const means[] = {"mean",         "average", "avg",        "ave",   "mittel",   "mittelwert",
                                        "durchschnitt", "moyenne", "moy",        "media", "promedio", "prom",
                                        "gemiddelde",   "gem",     "medelvarde", "medel", "srednia",  "xbar"};
    static const char *const spreads[] = {"std",
                                          "sd",
                                          "stdev",
                                          "stddev",
                                          "standardabweichung",
                                          "desviacion",
                                          "standaardafwijking",
                                          "standardavvikelse",
                                          "odchylenie",
                                          "deviation",
                                          "std dev",
                                          "s d",
                                          "standard deviation",
                                          "ecart type"};
    static const char *const counts[] = {"n",
                                         "count",
                                         "readings",
                                         "number of readings",
                                         "no of readings",
                                         "n readings",
                                         "num readings",
                                         "reading count",
                                         "anzahl",
                                         "anzahl messungen",
                                         "nombre",
                                         "nombre de mesures",
                                         "numero de lecturas",
                                         "numero di letture",
                                         "aantal",
                                         "aantal metingen",
                                         "antal",
                                         "antal matningar",
                                         "liczba pomiarow",
                                         "liczba"};
    *rest = "";
    for (size_t i = 0; i < MR_COUNT(counts); i++)
        if (strcmp(words, counts[i]) == 0)
            return MR_M_COUNT_OF;
    for (size_t i = 0; i < MR_COUNT(spreads); i++)
        if (mr_words_hold(words, spreads[i]))
            return MR_M_SPREAD;
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        size_t n = strcspn(w, " ");
        if (!mr_word_among(w, n, means, MR_COUNT(means)))
            continue;
        const char *after = w[n] ? w + n + 1 : "";
        size_t before = w > words ? (size_t)(w - words) - (*after ? 0 : 1) : 0;
        *rest = mr_printf(arena, "%.*s%s", (int)before, words, after);
        return MR_M_FILM;
    }
    return MR_M_IGNORE;
}
