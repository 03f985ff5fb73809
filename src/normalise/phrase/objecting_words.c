/* objecting_words.c - see objecting_words.h. Words are folded; the lists hold the languages of the maps. */
#include "normalise/phrase/objecting_words.h"

#include "base/text.h"
#include "normalise/cell/answers.h"
#include "normalise/cell/words.h"
#include "normalise/phrase/damp_words.h"
#include "normalise/phrase/statistic_words.h"

#include <string.h>

static const char *const small[] = {"the",  "of",     "is",     "to",   "in",     "a", "b",  "main",
                                    "line", "logger", "sensor", "on",   "y",      "n", "or", "yes",
                                    "no",   "state",  "status", "flag", "active", "0", "1"};
static const char *const of_alarm[] = {"alarm",   "alarms",  "warning", "warnings",    "alarme",
                                       "alarma",  "alarmes", "allarme", "alert",       "alerts",
                                       "warnung", "aviso",   "larm",    "waarschuwing"};
static const char *const of_permit[] = {
    "ok to paint",  "ok to coat",    "ok to spray", "okay to paint", "okay to coat",  "okay to spray",
    "go no go",     "go nogo",       "go",          "paint ok",      "painting ok",   "coating ok",
    "spray ok",     "spraying ok",   "may paint",   "may spray",     "may coat",      "paint allowed",
    "fit to paint", "fit to spray",  "in spec",     "in limits",     "within limits", "within spec",
    "in tolerance", "conditions ok", "climate ok",  "suitable",      "permitted",     "allowed",
    "result",       "pass",          "pass fail",   "passed",        "verdict",       "compliant",
    "conforms",     "conforming",    "in ordnung",  "freigabe",      "bestanden",     "ergebnis",
    "conforme",     "resultat",      "apto",        "cumple",        "resultado",     "esito",
    "idoneo",       "goedgekeurd",   "voldoet",     "godkand",       "wynik",         "zgodny"};
static const char *const of_event[] = {"condensation",
                                       "condensing",
                                       "condensate",
                                       "rain",
                                       "raining",
                                       "fog",
                                       "mist",
                                       "drizzle",
                                       "frost",
                                       "ice",
                                       "wet",
                                       "wetness",
                                       "leak",
                                       "blockage",
                                       "blocked",
                                       "offratio",
                                       "off ratio",
                                       "out of ratio",
                                       "ratio alarm",
                                       "ratio error",
                                       "clogged",
                                       "dry run",
                                       "kondensat",
                                       "kondensation",
                                       "regen",
                                       "nebel",
                                       "pluie",
                                       "brouillard",
                                       "lluvia",
                                       "niebla",
                                       "chuva",
                                       "pioggia",
                                       "nebbia",
                                       "condensa",
                                       "regn",
                                       "dimma",
                                       "kondens",
                                       "condensacion",
                                       "condensacao",
                                       "deszcz",
                                       "taupunktunterschreitung"};
static const char *const of_rest[] = {"state",   "mode",    "status",  "pump",     "pumps",    "gun",
                                      "valve",   "machine", "trigger", "spraying", "unit",     "proportioner",
                                      "zustand", "etat",    "estado",  "stato",    "toestand", "tillstand",
                                      "stan",    "modus",   "spray"};
/* Cells. */
static const char *const at_rest[] = {"park",          "parked",      "idle",          "standby",     "stand by",
                                      "stop",          "stopped",     "off",           "closed",      "recirculate",
                                      "recirculating", "recirc",      "recirculation", "circulation", "circulating",
                                      "flush",         "flushing",    "purge",         "purging",     "rest",
                                      "shut",          "preheat",     "heating",       "warm up",     "jog",
                                      "hold",          "released",    "aus",           "ruhe",        "arret",
                                      "parada",        "fermo",       "uit",           "av",          "wylaczony",
                                      "not spraying",  "calibration", "maintenance"};
static const char *const calm[] = {"ok",   "off",      "normal",    "clear",         "dry",  "inactive", "good",
                                   "idle", "in range", "in limits", "within limits", "pass", "passed"};
static const char *const refusing[] = {"stop", "nok", "bad", "red", "rot", "rouge", "rojo", "not allowed", "wait"};
static const char *const happening[] = {"on",      "active", "alarm",   "detected", "wet",
                                        "present", "rain",   "raining", "heavy",    "light"};
static const char *const failed[] = {"fail",
                                     "failed",
                                     "no go",
                                     "nogo",
                                     "too high",
                                     "too low",
                                     "nok",
                                     "n i o",
                                     "nio",
                                     "out of limits",
                                     "out of spec",
                                     "above limit",
                                     "below limit",
                                     "limit exceeded",
                                     "do not paint",
                                     "do not spray",
                                     "do not coat",
                                     "not suitable",
                                     "unsuitable",
                                     "off ratio",
                                     "nicht bestanden",
                                     "nicht in ordnung",
                                     "non conforme",
                                     "no conforme",
                                     "no apto",
                                     "no cumple",
                                     "non superato",
                                     "niet goedgekeurd",
                                     "voldoet niet",
                                     "underkand",
                                     "niezgodny",
                                     "nao conforme",
                                     "out of tolerance"};
/* Words of figures of the climate. */
static const char *const of_humidity[] = {"rh",
                                          "humidity",
                                          "rel humidity",
                                          "feuchte",
                                          "luftfeuchte",
                                          "luftfeuchtigkeit",
                                          "humidite",
                                          "hr",
                                          "rf",
                                          "rhum",
                                          "humedad",
                                          "humidade",
                                          "umidade",
                                          "umidita",
                                          "luchtvochtigheid",
                                          "luftfuktighet",
                                          "wilgotnosc"};
static const char *const of_steel[] = {"steel",      "surface", "substrate", "stahl", "oberflache", "acier", "acero",
                                       "superficie", "acciaio", "aco",       "staal", "oppervlak",  "stal",  "yta"};
static const char *const of_dew[] = {"dew",   "dewpoint", "td",      "dp",       "frost point", "taupunkt", "rosee",
                                     "rocio", "orvalho",  "rugiada", "dauwpunt", "daggpunkt",   "rosy",     "tau"};
static const char *const of_spread[] = {"spread",
                                        "dew point spread",
                                        "taupunktabstand",
                                        "dew point difference",
                                        "dew point margin",
                                        "above dew point",
                                        "delta t",
                                        "dt",
                                        "d t",
                                        "delta ts td",
                                        "ts td",
                                        "tsurf td",
                                        "ts minus td",
                                        "steel minus dew",
                                        "steel td",
                                        "steel dp",
                                        "surface td",
                                        "surface dp",
                                        "steel dew",
                                        "surface dew",
                                        "stahl taupunkt",
                                        "acier rosee",
                                        "tsurface td",
                                        "tsteel td",
                                        "margin",
                                        "depression",
                                        "t td",
                                        "ts tdp",
                                        "ecart point de rosee",
                                        "ecart au point de rosee",
                                        "diferencia punto de rocio",
                                        "abstand"};
static const char *const of_wet_bulb[] = {
    "wet bulb",         "wetbulb",      "twb",          "wb",          "feuchtkugel",
    "feuchttemperatur", "bulbe humide", "bulbo humedo", "bulbo umido", "natteboltemperatuur",
    "nattebol"};
static const char *const of_ratio[] = {
    "ratio",    "a b",      "mix ratio", "mischungsverhaltnis", "verhaltnis", "rapport",
    "relacion", "rapporto", "relacao",   "mengverhouding",      "verhouding", "blandningsforhallande",
    "stosunek"};
/* What is no figure of the moment but one to hold it against, or of something else. */
static const char *const of_bound[] = {"limit",    "limits", "setpoint",   "set point", "target",    "threshold",
                                       "alarm",    "offset", "correction", "required",  "allowed",   "uncertainty",
                                       "uncert",   "error",  "absolute",   "specific",  "deficit",   "std",
                                       "sd",       "flag",   "code",       "quality",   "grenzwert", "limite",
                                       "internal", "board",  "resolution", "accuracy",  "uhrzeit",   "time"};

#define HOLDS(words, list) mr_words_hold_any(words, list, MR_COUNT(list))
#define AMONG(words, list) mr_word_among(words, strlen(words), list, MR_COUNT(list))

/* Whether nothing stands in the heading but one phrase of the list and small words. */
static bool made_of(const char *words, const char *const *list, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (!mr_words_hold(words, list[i]))
            continue;
        const char *at = strstr(words, list[i]);
        bool all = true;
        for (const char *w = words; *w && all; w += strcspn(w, " "), w += *w == ' ') {
            const size_t n = strcspn(w, " ");
            all = (w >= at && w < at + strlen(list[i])) || mr_word_among(w, n, small, MR_COUNT(small));
        }
        if (all)
            return true;
    }
    return false;
}

static enum mr_objecting figure_of(const char *words) {
    if (HOLDS(words, of_bound))
        return MR_OBJECTING_NONE;
    if (HOLDS(words, of_wet_bulb))
        return MR_OBJECTING_WET_BULB;
    if (HOLDS(words, of_spread))
        return MR_OBJECTING_SPREAD;
    if (HOLDS(words, of_humidity))
        return MR_OBJECTING_RH; /* also the least of an interval: where that is too damp, all of it was */
    if (HOLDS(words, of_dew))
        return MR_OBJECTING_DEW;
    return HOLDS(words, of_steel) && mr_holds_statistic(words, MR_STATISTIC_LEAST) ? MR_OBJECTING_STEEL
                                                                                   : MR_OBJECTING_NONE;
}

static const char *const of_difference[] = {"difference", "diff",      "imbalance", "delta p",
                                            "dp",         "differenz", "ecart",     "diferencia",
                                            "differenza", "verschil",  "skillnad"};

enum mr_meaning mr_line_of_words(const char *words) {
    static const char *const main_air[] = {"main", "air", "supply"};
    return HOLDS(words, main_air)      ? MR_M_MAIN
           : mr_words_hold(words, "a") ? MR_M_LINE_A
           : mr_words_hold(words, "b") ? MR_M_LINE_B
                                       : MR_M_IGNORE;
}

static bool is_ratio(const char *words) {
    static const char *const else_of[] = {"mean", "average", "avg", "compression", "air", "deviation"};
    return HOLDS(words, of_ratio) && !HOLDS(words, else_of);
}

static enum mr_objecting of_lines(const char *words) {
    if (HOLDS(words, of_bound))
        return MR_OBJECTING_NONE;
    if (HOLDS(words, of_difference))
        return MR_OBJECTING_APART;
    if (is_ratio(words))
        return MR_OBJECTING_RATIO;
    if (mr_line_of_words(words) == MR_M_IGNORE)
        return MR_OBJECTING_NONE;
    return mr_holds_statistic(words, MR_STATISTIC_LEAST)  ? MR_OBJECTING_LEAST
           : mr_holds_statistic(words, MR_STATISTIC_MOST) ? MR_OBJECTING_GREATEST
                                                          : MR_OBJECTING_NONE;
}

/* The steel and the air of a coat, of which a crew writes down what it read. */
static enum mr_objecting of_coat(const char *words) {
    static const char *const temperature[] = {
        "temp", "temperature", "temperatur", "temperatura", "temperatuur", "degc", "degf", "c", "f"};
    const enum mr_objecting figure = figure_of(words);
    if (figure != MR_OBJECTING_NONE)
        return figure;
    if (!HOLDS(words, of_bound) && is_ratio(words))
        return MR_OBJECTING_RATIO;
    if (HOLDS(words, of_bound) || !HOLDS(words, temperature))
        return MR_OBJECTING_WEATHER;
    static const char *const air[] = {"air", "ambient", "luft", "aire", "aria", "ar", "lucht", "powietrza"};
    return HOLDS(words, of_steel) ? MR_OBJECTING_STEEL : HOLDS(words, air) ? MR_OBJECTING_AIR : MR_OBJECTING_WEATHER;
}

enum mr_objecting mr_objecting_of(enum mr_kind kind, const char *words) {
    const bool climate = kind == MR_KIND_CLIMATE;
    if (kind == MR_KIND_SPRAY_LOG)
        return of_coat(words);
    if (!climate && kind != MR_KIND_PRESSURE)
        return MR_OBJECTING_NONE;
    if (made_of(words, of_alarm, MR_COUNT(of_alarm)))
        return MR_OBJECTING_ALARM;
    if (made_of(words, of_permit, MR_COUNT(of_permit)))
        return MR_OBJECTING_PERMIT;
    if (made_of(words, of_event, MR_COUNT(of_event)))
        return MR_OBJECTING_EVENT;
    if (!climate && made_of(words, of_rest, MR_COUNT(of_rest)))
        return MR_OBJECTING_REST;
    const enum mr_objecting figure = climate ? figure_of(words) : of_lines(words);
    return figure == MR_OBJECTING_NONE ? MR_OBJECTING_TEXT : figure;
}

bool mr_is_judged_figure(enum mr_kind kind, const char *words) {
    const enum mr_objecting how = mr_objecting_of(kind, words);
    return how >= MR_OBJECTING_RH || how == MR_OBJECTING_ALARM || how == MR_OBJECTING_EVENT;
}

bool mr_cell_objects(enum mr_objecting objecting, const char *words) {
    if (!*words)
        return false;
    if (objecting != MR_OBJECTING_NONE && objecting != MR_OBJECTING_WEATHER && AMONG(words, failed))
        return true;
    switch (objecting) {
    case MR_OBJECTING_ALARM:
        return mr_is_figure(words) ? !mr_is_zero(words)
                                   : !mr_answers_none(words) && !AMONG(words, calm) && !mr_words_negated(words);
    case MR_OBJECTING_PERMIT:
        return mr_answers_no(words) || AMONG(words, refusing) || HOLDS(words, failed) || mr_is_zero(words);
    case MR_OBJECTING_EVENT:
        return mr_is_figure(words) ? !mr_is_zero(words) : mr_answers_yes(words) || AMONG(words, happening);
    case MR_OBJECTING_REST:
        return mr_answers_no(words) || mr_is_zero(words) || AMONG(words, at_rest);
    case MR_OBJECTING_WEATHER:
        return mr_says_damp(words);
    case MR_OBJECTING_NONE:
    case MR_OBJECTING_TEXT:
    case MR_OBJECTING_RH:
    case MR_OBJECTING_SPREAD:
    case MR_OBJECTING_STEEL:
    case MR_OBJECTING_DEW:
    case MR_OBJECTING_AIR:
    case MR_OBJECTING_WET_BULB:
    case MR_OBJECTING_RATIO:
    case MR_OBJECTING_LEAST:
    case MR_OBJECTING_GREATEST:
    case MR_OBJECTING_APART:
    case MR_OBJECTING_COUNT:
        break;
    }
    return false;
}
