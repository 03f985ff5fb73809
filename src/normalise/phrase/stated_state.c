/* stated_state.c - see stated_state.h. Words are folded; the lists hold the languages of the maps. */
#include "normalise/phrase/stated_state.h"

#include "base/text.h"
#include "milrise/units.h"
#include "normalise/cell/answers.h"
#include "normalise/cell/number.h"
#include "normalise/cell/words.h"

#include <string.h>

#define AMONG(words, list) mr_word_among(words, strlen(words), list, MR_COUNT(list))
#define HOLDS(words, list) mr_words_hold_any(words, list, MR_COUNT(list))

/* Under any name, or under none. */
static const char *const unfit[] = {"sensor fault",
                                    "sensor error",
                                    "sensor failure",
                                    "sensor failed",
                                    "sensor defective",
                                    "probe fault",
                                    "probe error",
                                    "probe failure",
                                    "probe defective",
                                    "not connected",
                                    "disconnected",
                                    "unplugged",
                                    "low battery",
                                    "battery low",
                                    "battery empty",
                                    "battery dead",
                                    "battery critical",
                                    "replace battery",
                                    "battery failure",
                                    "battery fault",
                                    "not calibrated",
                                    "uncalibrated",
                                    "out of calibration",
                                    "out of order",
                                    "out of tolerance",
                                    "calibration expired",
                                    "calibration overdue",
                                    "standard expired",
                                    "standards expired",
                                    "shim expired",
                                    "shims expired",
                                    "certificate expired",
                                    "calibration failed",
                                    "self test failed",
                                    "selftest failed",
                                    "gauge dropped",
                                    "probe dropped",
                                    "gauge damaged",
                                    "probe damaged",
                                    "gauge fell",
                                    "zero lost",
                                    "lost zero",
                                    "probe worn",
                                    "worn probe",
                                    "defective",
                                    "malfunction",
                                    "clock not set",
                                    "clock reset",
                                    "power failure",
                                    "power lost",
                                    "memory full",
                                    "data lost",
                                    "sensor defekt",
                                    "sensorfehler",
                                    "fuhler defekt",
                                    "batterie leer",
                                    "batterie schwach",
                                    "akku leer",
                                    "nicht kalibriert",
                                    "nicht angeschlossen",
                                    "kalibrierung abgelaufen",
                                    "defekt",
                                    "gestort",
                                    "gerat gefallen",
                                    "capteur en panne",
                                    "capteur defectueux",
                                    "pile faible",
                                    "batterie faible",
                                    "non etalonne",
                                    "hors service",
                                    "sensor averiado",
                                    "bateria baja",
                                    "sin calibrar",
                                    "fuera de servicio",
                                    "sensore guasto",
                                    "batteria scarica",
                                    "non calibrato",
                                    "fuori servizio",
                                    "sensor defect",
                                    "batterij leeg",
                                    "niet gekalibreerd",
                                    "sensorfel",
                                    "lagt batteri",
                                    "ej kalibrerad",
                                    "uszkodzony",
                                    "bateria slaba",
                                    "nie skalibrowany"};

/* Names of lines about the state of the instrument. */
static const char *const of_state[] = {"status",
                                       "sensor status",
                                       "probe status",
                                       "logger status",
                                       "device status",
                                       "gauge status",
                                       "state",
                                       "condition",
                                       "self test",
                                       "selftest",
                                       "sensor",
                                       "probe",
                                       "rh sensor",
                                       "humidity sensor",
                                       "steel probe",
                                       "surface probe",
                                       "temperature probe",
                                       "air sensor",
                                       "transducer",
                                       "calibration status",
                                       "calibrated",
                                       "calibration",
                                       "cal status",
                                       "battery",
                                       "battery status",
                                       "warning",
                                       "warnings",
                                       "error",
                                       "errors",
                                       "fault",
                                       "faults",
                                       "fehler",
                                       "storung",
                                       "zustand",
                                       "geratestatus",
                                       "sensorstatus",
                                       "batterie",
                                       "erreur",
                                       "erreurs",
                                       "etat",
                                       "avertissement",
                                       "estado",
                                       "errores",
                                       "advertencia",
                                       "stato",
                                       "errore",
                                       "errori",
                                       "avviso",
                                       "fout",
                                       "waarschuwing",
                                       "toestand",
                                       "fel",
                                       "varning",
                                       "tillstand",
                                       "blad",
                                       "stan",
                                       "ostrzezenie",
                                       "error code",
                                       "error status",
                                       "sensor error",
                                       "sensor fault",
                                       "sensor errors"};
/* What such a line says of one that is unfit. */
static const char *const words_unfit[] = {
    "error",         "errors",  "fault",      "faults",      "faulty",     "failed",    "failure",
    "fail",          "defect",  "defective",  "broken",      "damaged",    "worn",      "low",
    "empty",         "dead",    "critical",   "expired",     "overdue",    "invalid",   "unknown",
    "not ok",        "bad",     "dropped",    "wet",         "frozen",     "stuck",     "open circuit",
    "short circuit", "open",    "missing",    "none fitted", "not fitted", "not valid", "no signal",
    "defekt",        "fehler",  "abgelaufen", "leer",        "schwach",    "gestort",   "en panne",
    "defectueux",    "perimee", "faible",     "averiado",    "caducada",   "baja",      "guasto",
    "scaduta",       "scarica", "verlopen",   "leeg",        "utgangen",   "uszkodzony"};
/* A line of such a name says of a fault by any word but these. */
static const char *const of_fault[] = {"error",        "errors",       "fault",         "faults",      "fehler",
                                       "storung",      "erreur",       "erreurs",       "errores",     "errore",
                                       "errori",       "fout",         "fel",           "blad",        "error code",
                                       "error status", "sensor error", "sensor errors", "sensor fault"};
static const char *const well[] = {"ok", "0", "00", "000", "clear", "normal", "off", "good"};

bool mr_says_unfit(struct mr_arena *arena, const char *name, const char *value) {
    const char *own = mr_words_fold(arena, name, strlen(name));
    const char *words = mr_words_fold(arena, value, strlen(value));
    const char *line = mr_printf(arena, "%s %s", own, words);
    if (HOLDS(line, unfit))
        return true;
    /* "Sensor A", "Probe 2" */
    const bool numbered =
        mr_words_hold(own, "sensor") || mr_words_hold(own, "probe") || mr_words_hold(own, "transducer");
    if (!AMONG(own, of_state) && !(numbered && strlen(own) <= strlen("transducer 00")))
        return false;
    if (strcmp(own, "calibrated") == 0)
        return mr_answers_no(words);
    if (AMONG(own, of_fault)) {
        /* "Error: 2 %" is an accuracy */
        const bool code = !strpbrk(value, "%.,") && (mr_is_figure(words) || !mr_is_digit(*words));
        return *words && code && !mr_answers_none(words) && !AMONG(words, well) && !mr_words_negated(words);
    }
    return HOLDS(words, words_unfit) && !mr_words_negated(words);
}

/* ---- clocks ---- */

static const char *const of_clock[] = {"clock offset",
                                       "clock error",
                                       "clock correction",
                                       "clock deviation",
                                       "clock drift",
                                       "clock",
                                       "logger clock",
                                       "device clock",
                                       "gauge clock",
                                       "instrument clock",
                                       "time offset",
                                       "time error",
                                       "time correction",
                                       "time deviation",
                                       "time shift",
                                       "clock difference",
                                       "time difference",
                                       "clock status",
                                       "uhr",
                                       "uhrzeit offset",
                                       "zeitversatz",
                                       "uhrabweichung",
                                       "zeitabweichung",
                                       "gangabweichung",
                                       "decalage horaire",
                                       "decalage",
                                       "ecart d horloge",
                                       "horloge",
                                       "desfase horario",
                                       "reloj",
                                       "scarto orario",
                                       "orologio",
                                       "klokafwijking",
                                       "klok",
                                       "klocka",
                                       "klockfel",
                                       "zegar",
                                       "blad zegara"};
static const char *const clocks[] = {"clock", "uhr",    "horloge", "reloj",  "orologio",
                                     "klok",  "klocka", "zegar",   "relogio"};
static const char *const ways[] = {"slow",     "fast",      "behind",     "ahead",     "wrong",  "late",   "early",
                                   "off by",   "not set",   "reset",      "nach",      "vor",    "falsch", "retard",
                                   "avance",   "atrasado",  "adelantado", "indietro",  "avanti", "achter", "voor",
                                   "fel",      "spoznia",   "spieszy",    "incorrect", "lost",   "unset",  "stopped",
                                   "hour off", "hours off", "h off",      "min off"};

bool mr_says_clock_off(struct mr_arena *arena, const char *name, const char *value) {
    const char *own = mr_words_fold(arena, name, strlen(name));
    const char *words = mr_words_fold(arena, value, strlen(value));
    if (HOLDS(mr_printf(arena, "%s %s", own, words), clocks) && HOLDS(words, ways) && !mr_words_negated(words))
        return true;
    if (HOLDS(words, clocks) && HOLDS(words, ways))
        return true;
    if (!AMONG(own, of_clock) || !mr_is_digit(*(value + strcspn(value, "0123456789"))))
        return false;
    /* a moment ("Clock: 2026-05-11 07:00") or a time zone is no difference */
    const bool moment = strlen(words) > 12 || strchr(value, '/') || strstr(words, "utc") || strstr(words, "gmt");
    return !moment && strcspn(value, "123456789") < strlen(value) &&
           (strpbrk(value, "+-hms") || strchr(value, ':')) && (strcmp(own, "clock") != 0 || strpbrk(value, "+-"));
}

/* ---- values ---- */

static const char *const of_shift[] = {"offset",         "offsets",     "versatz",     "decalage capteur",
                                       "desplazamiento", "scostamento", "przesuniecie"};
static const char *const of_correction[] = {"correction", "corrections",   "adjustment",  "adjust",     "deviation",
                                            "korrektur",  "korrekturwert", "abweichung",  "correccion", "correcao",
                                            "correzione", "correctie",     "korrigering", "korekta"};
/* An offset of these is none of the values, or was taken away when the instrument was set. */
static const char *const of_else[] = {"clock",       "time",   "zeit",    "utc",      "gmt",   "zone",
                                      "hour",        "date",   "heure",   "horaire",  "hora",  "oraria",
                                      "calibration", "cal",    "factory", "firmware", "alarm", "row",
                                      "line offset", "column", "page",    "standard", "std"};
static const char *const shows[] = {"reads", "shows", "indicates", "zeigt", "indique", "marca", "segna"};
static const char *const amiss[] = {"low",    "high",     "zu wenig", "zu viel", "trop",
                                    "de mas", "de menos", "in piu",   "in meno"};

bool mr_is_shift_heading(bool film, const char *words) {
    static const char *const correction[] = {"correction", "corrections", "korrektur", "korrekturwert", "correccion",
                                             "correcao",   "correzione",  "correctie", "korrigering",   "korekta"};
    static const char *const length[] = {"mm", "cm", "m", "in", "inch", "ft", "x", "y", "edge", "position"};
    static const char *const limits[] = {"setpoint", "set", "target", "limit", "from", "between"};
    if (HOLDS(words, of_else) || HOLDS(words, limits) || (film && HOLDS(words, length)))
        return false;
    return HOLDS(words, of_shift) || HOLDS(words, correction);
}

bool mr_says_value_off(struct mr_arena *arena, bool film, const char *name, const char *value) {
    const char *own = mr_words_fold(arena, name, strlen(name));
    const char *words = mr_words_fold(arena, value, strlen(value));
    if (HOLDS(words, shows) && HOLDS(words, amiss) && !mr_words_negated(words))
        return true;
    if (HOLDS(own, of_else) || (!HOLDS(own, of_shift) && (film || !HOLDS(own, of_correction))))
        return false;
    const char *at = value + strspn(value, " +-");
    const char *unit = at + strspn(at, "0123456789.,: ");
    return mr_is_digit(*at) && strcspn(at, "123456789") < (size_t)(unit - at) &&
           *unit; /* "Offset: -6" may be hours */
}

bool mr_says_long_mean(struct mr_arena *arena, double most_s, const char *name, const char *value) {
    static const char *const averaged[] = {"averaging", "average",   "averaged",       "averages",   "mean",
                                           "means",     "mittelung", "mittelungszeit", "mittelwert", "moyenne",
                                           "promedio",  "media",     "gemiddelde"};
    const char *line = mr_printf(arena, "%s %s", name, value), *at = value + strcspn(value, "0123456789");
    if (!HOLDS(mr_words_fold(arena, line, strlen(line)), averaged) || !mr_is_digit(*at))
        return false;
    const size_t n = strspn(at, "0123456789.,");
    const char *unit = at + n + strspn(at + n, " ");
    struct mr_number x;
    enum mr_unit in;
    return mr_number_scan(at, n, (struct mr_number_style){.mark = '?'}, &x) == MR_NUM_OK &&
           mr_unit_parse(unit, strcspn(unit, " ,;)"), MR_DIM_DURATION, &in) && mr_to_canonical(in, x.value) > most_s;
}
