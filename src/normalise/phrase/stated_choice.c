/* stated_choice.c - see stated_choice.h. Words are folded. */
#include "normalise/phrase/stated_choice.h"

#include "base/text.h"
#include "normalise/cell/answers.h"
#include "normalise/cell/words.h"

#include <string.h>

#define AMONG(words, list) mr_word_among(words, strlen(words), list, MR_COUNT(list))
#define HOLDS(words, list) mr_words_hold_any(words, list, MR_COUNT(list))

/* Of several values the greatest, or a peak that was held. */
static const char *const greatest[] = {"max of",      "maximum of",  "highest of",  "greatest of",    "largest of",
                                       "best of",     "peak hold",   "max hold",    "maximum hold",   "peak value",
                                       "peak values", "maxima only", "spitzenwert", "hochstwert aus", "maximum aus",
                                       "max aus",     "maximum de",  "max de",      "massimo di",     "maximo de",
                                       "hoogste van", "hogsta av",   "najwyzsza z"};
/* Only what passed. */
static const char *const of_filter[] = {"filter",  "filters", "filtered", "selection", "selected",
                                        "auswahl", "filtre",  "filtro",   "seleccion", "selezione"};
static const char *const passed_only[] = {"accepted readings only",
                                          "accepted only",
                                          "only accepted",
                                          "passing readings only",
                                          "passed only",
                                          "passes only",
                                          "pass only",
                                          "only pass",
                                          "only passing",
                                          "only passed",
                                          "within limits only",
                                          "only within limits",
                                          "without low readings",
                                          "low readings removed",
                                          "above limit only",
                                          "nur gutwerte",
                                          "nur bestandene",
                                          "seulement conformes"};
static const char *const all[] = {"off", "all", "alle", "tous", "todos", "tutti", "0", "everything", "keine"};
/* What a pump does when it does not spray the work; and another zero of the scale. */
static const char *const not_spraying[] = {"water test",    "leak test",         "dry run",     "no material",
                                           "recirculation", "recirculating",     "circulation", "bypass",
                                           "flushing",      "flush only",        "idle run",    "pump test",
                                           "test run",      "absolute pressure", "abs pressure"};
/* Where a climate log's values come from, when that is not the site. */
static const char *const of_origin[] = {"source",          "data source", "origin", "station",
                                        "weather station", "location",    "quelle", "herkunft",
                                        "fuente",          "fonte",       "bron",   "kalla"};
static const char *const away[] = {"airport",  "weather service", "met service", "online",       "internet",
                                   "forecast", "nearest",         "flughafen",   "wetterdienst", "aeroport",
                                   "meteo",    "aeropuerto",      "aeroporto",   "luchthaven",   "flygplats",
                                   "lotnisko", "public station"};
/* Of a log kept by hand. */
static const char *const of_plan[] = {
    "planned",   "plan for",    "plan of",     "schedule",     "scheduled",  "programme", "draft",
    "not final", "provisional", "trial panel", "trial panels", "test panel", "geplant",   "planung",
    "entwurf",   "prevu",       "planning",    "previsto",     "borrador",   "bozza",     "utkast",
    "planerad",  "zaplanowano", "primer only", "primer coat",  "priming"};
static const char *const plans[] = {"plan", "primer", "programm", "brouillon"};
static const char *const of_verdict[] = {"result",   "verdict",   "outcome", "passed", "pass",         "ergebnis",
                                         "resultat", "resultado", "esito",   "wynik",  "verification", "check"};
static const char *const failing[] = {"fail",    "failed", "failing",  "not passed",        "nicht bestanden",
                                      "no pass", "nok",    "rejected", "before adjustment", "as found"};

/* A filter that is off, or that has no value of its own, keeps all. */
static bool is_kept_by_value(const char *own, const char *words) {
    return HOLDS(words, passed_only) || (HOLDS(own, of_filter) && *words && !mr_answers_none(words) &&
                                         !AMONG(words, all) && !mr_words_negated(words));
}

bool mr_says_choice(struct mr_arena *arena, enum mr_kind kind, const char *name, const char *value) {
    const char *own = mr_words_fold(arena, name, strlen(name));
    const char *words = mr_words_fold(arena, value, strlen(value));
    const char *line = mr_printf(arena, "%s%s%s", own, *own ? " " : "", words);
    static const char *const wanting[] = {"no material", "not final"};
    if (mr_words_negated(line) && kind != MR_KIND_VERIFICATION)
        return (kind == MR_KIND_PRESSURE || kind == MR_KIND_SPRAY_LOG) && HOLDS(line, wanting);
    switch (kind) {
    case MR_KIND_THICKNESS:
    case MR_KIND_BASE_METAL:
    case MR_KIND_WET_FILM:
        return HOLDS(line, greatest) || is_kept_by_value(own, words);
    case MR_KIND_PRESSURE:
        return HOLDS(line, greatest) || HOLDS(line, not_spraying);
    case MR_KIND_CLIMATE:
    case MR_KIND_TEMPERATURE:
        return HOLDS(own, of_origin) && HOLDS(words, away);
    case MR_KIND_VERIFICATION:
        return AMONG(own, of_verdict) ? HOLDS(words, failing) || mr_answers_no(words)
                                      : HOLDS(line, failing) && !mr_words_negated(line);
    case MR_KIND_SPRAY_LOG:
        return HOLDS(line, of_plan) || AMONG(words, plans);
    case MR_KIND_UNKNOWN:
    case MR_KIND_SHIFT_RECORD:
    case MR_KIND_MATERIAL:
    case MR_KIND_ZONES:
    case MR_KIND_NOT_A_TABLE:
    case MR_KIND_COUNT:
        break;
    }
    return false;
}
