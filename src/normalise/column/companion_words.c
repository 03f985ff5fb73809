/* companion_words.c - see companion_words.h. Words are folded; the lists hold the languages of the maps. */
#include "normalise/column/companion_words.h"

#include "base/text.h"
#include "normalise/cell/answers.h"
#include "normalise/column/stated_purpose.h"
#include "normalise/phrase/defect_words.h"
#include "normalise/phrase/stated_state.h"
#include "normalise/phrase/ticks.h"
#include "normalise/phrase/verdict_words.h"

#include <string.h>

/* Words of headings. */
static const char *const small[] = {
    "reading", "readings", "measurement", "value",  "values", "data",  "row",  "record", "is",     "was",
    "the",     "of",       "sensor",      "probe",  "logger", "gauge", "gage", "meter",  "device", "channel",
    "sample",  "in",       "y",           "n",      "yes",    "no",    "or",   "0",      "1",      "for",
    "report",  "not",      "code",        "number", "name",   "id",    "base"};
static const char *const of_yes[] = {
    "valid",   "validated", "accept", "accepted", "acceptable", "ok",       "use",    "used",    "usable",
    "include", "included",  "good",   "keep",     "kept",       "counted",  "gultig", "valido",  "valida",
    "valide",  "geldig",    "giltig", "wazny",    "wazna",      "aceptado", "aceito", "accepte", "accettato"};
static const char *const of_no[] = {
    "deleted",    "delete",     "excluded", "exclude",   "ignore",      "ignored",      "invalid",   "rejected",
    "reject",     "void",       "voided",   "outlier",   "outliers",    "suspect",      "error",     "errors",
    "fault",      "faults",     "alarm",    "simulated", "estimated",   "interpolated", "cancelled", "canceled",
    "omitted",    "omit",       "discard",  "discarded", "withdrawn",   "struck",       "bad",       "flagged",
    "ausreisser", "ausreiszer", "ungultig", "geloscht",  "fehler",      "erreur",       "exclu",     "excluido",
    "eliminado",  "escluso",    "errore",   "erro",      "uitgesloten", "fout",         "utesluten", "fel",
    "wykluczony", "blad",       "storung",  "planned",   "scheduled"};
static const char *const of_state[] = {
    "status",  "flag",     "state",   "quality", "flags",   "mode",      "result",   "check",    "validity",
    "verdict", "outcome",  "statut",  "estado",  "zustand", "etat",      "stato",    "toestand", "tillstand",
    "stan",    "qualitat", "qualite", "calidad", "qualita", "kwaliteit", "kvalitet", "jakosc",   "modus",
};

static const char *const of_failing[] = {"fail", "failed", "nok", "nio"};

/* What a value is, by which method: few words there say that it is none. In a log an alarm is one against limits. */
static const char *const of_nature[] = {"kind",  "type",   "source",    "method",
                                        "class", "quelle", "condition", "conditions"};
static const char *const of_alarm[] = {"alarm", "alarms", "warning", "warnings", "alarme", "alarma"};

/* Whose film it is. */
static const char *const of_owner[] = {"product", "paint",   "material", "coating",    "system",   "substrate",
                                       "project", "job",     "contract", "produkt",    "projekt",  "auftrag",
                                       "produit", "projet",  "producto", "proyecto",   "prodotto", "progetto",
                                       "produto", "projeto", "projekty", "untergrund", "sustrato"};

/* Words of cells. */
static const char *const good[] = {"ok",   "v",      "good",     "valid", "accepted", "included", "used",
                                   "pass", "passed", "approved", "kept",  "keep",     "use",      "fine"};
static const char *const quiet[] = {"ok",       "normal",    "clear",    "good",     "valid",     "off",
                                    "no error", "no errors", "no alarm", "no fault", "no alarms", "no faults"};
/* Against limits: the value is what it is. */
static const char *const limits[] = {"fail",
                                     "failed",
                                     "pass",
                                     "passed",
                                     "high",
                                     "hi",
                                     "low",
                                     "lo",
                                     "hh",
                                     "ll",
                                     "h",
                                     "l",
                                     "above",
                                     "below",
                                     "too high",
                                     "too low",
                                     "in range",
                                     "in spec",
                                     "in limits",
                                     "within limits",
                                     "out of limits",
                                     "out of spec",
                                     "above limit",
                                     "below limit",
                                     "n i o"};
static const char *const out_of_limits[] = {
    "fail",     "failed",  "high",          "hi",          "low",         "lo",          "hh",   "ll",
    "too high", "too low", "out of limits", "out of spec", "above limit", "below limit", "n i o"};
/* A value that an instrument measured and wrote down, and what a pump was doing meanwhile. */
static const char *const measured[] = {
    "ok",          "good",      "normal",   "valid",      "measured",    "measuring",     "measurement",
    "live",        "actual",    "real",     "log",        "logged",      "logging",       "record",
    "recorded",    "recording", "auto",     "automatic",  "active",      "online",        "connected",
    "running",     "run",       "idle",     "standby",    "stop",        "stopped",       "on",
    "start",       "started",   "none",     "no error",   "no alarm",    "no fault",      "clear",
    "spray",       "spraying",  "trigger",  "triggered",  "instant",     "instantaneous", "interval",
    "periodic",    "sample",    "sampled",  "reading",    "sensor",      "logger",        "gauge",
    "probe",       "meter",     "data",     "regular",    "complete",    "completed",     "accepted",
    "approved",    "yes",       "gut",      "in ordnung", "i o",         "gemessen",      "messung",
    "gultig",      "bon",       "bien",     "mesure",     "valide",      "bueno",         "medido",
    "valido",      "buono",     "misurato", "goed",       "gemeten",     "geldig",        "bra",
    "uppmatt",     "giltig",    "dobry",    "pomiar",     "recirculate", "recirculating", "recirc",
    "circulation", "manual",    "jog",      "park",       "parked",      "ready",         "hold",
    "heating",     "preheat",   "purge",    "flush",      "pressure",    "temperature",   "climate",
    "humidity",    "steel",     "air",      "film",       "dft"};
/* What a gauge read on that was not the work, for headings that name the piece. */
static const char *const of_piece[] = {"sample", "specimen", "test", "piece", "probe piece", "muster", "muestra"};
static const char *const pieces[] = {"panel", "plate", "coupon", "tile", "strip", "platte", "plaque", "placa"};
/* Done, of a row of a log kept by hand. */
static const char *const done[] = {"done",    "complete", "completed", "finished", "sprayed", "ok",        "good",
                                   "yes",     "y",        "pass",      "passed",   "closed",  "accepted",  "approved",
                                   "applied", "normal",   "erledigt",  "fertig",   "fait",    "hecho",     "feito",
                                   "fatto",   "gedaan",   "klar",      "wykonane", "spray",   "production"};
/* Not measured, or not by a sensor in its place. */
static const char *const spoilt[] = {
    "error",        "fault",        "faulty",        "failure",      "bad",       "invalid",   "void",
    "rejected",     "excluded",     "deleted",       "ignored",      "ignore",    "suspect",   "questionable",
    "disconnected", "open circuit", "short circuit", "lost",         "missing",   "overflow",  "overrange",
    "over range",   "underrange",   "under range",   "out of range", "saturated", "frozen",    "stuck",
    "estimated",    "interpolated", "extrapolated",  "filled",       "set point", "setpoint",  "target",
    "test",         "calibration",  "calibrating",   "maintenance",  "service",   "warm up",   "warming up",
    "expired",      "overdue",      "uncalibrated",  "offline",      "timeout",   "stale",     "out of order",
    "defect",       "defective",    "broken",        "unplugged",    "fehler",    "ungultig",  "gestort",
    "defekt",       "erreur",       "exclu",         "errore",       "erro",      "fout",      "storing",
    "fel",          "blad",         "aborted",       "cancelled",    "canceled",  "planned",   "scheduled",
    "postponed",    "abgesagt",     "geplant",       "annule",       "prevu",     "cancelado", "previsto",
    "annullato",    "geannuleerd",  "installt",      "anulowany"};
/* The same, said by what is wanting. */
static const char *const absent[] = {
    "no sensor",     "no probe",     "no signal",      "no data",        "no reading",   "no value",
    "no connection", "no contact",   "no response",    "not calibrated", "not valid",    "not measured",
    "not connected", "not accepted", "not sprayed",    "not done",       "kein sensor",  "kein signal",
    "pas de signal", "sin senal",    "nessun segnale", "geen signaal",   "ingen signal", "brak sygnalu"};
/* Headings that say how the gauge or the sensor stood when it was checked. */
static const char *const of_verification[] = {
    "calibration", "calibrated",    "cal",        "verification", "verified",    "zero",
    "zeroed",      "calibrage",     "etalonnage", "calibracion",  "calibrado",   "calibrazione",
    "calibrato",   "kalibrierung",  "kalibriert", "kalibratie",   "kalibrering", "kalibrerad",
    "kalibracja",  "verifizierung", "check",      "checked",      "kontrolle",   "prufung",
    "gepruft",     "controle",      "control",    "controllo",    "kontroll",    "kontrola"};
/* In a note: the sensor or the gauge was not where the work was. */
static const char *const elsewhere[] = {
    "not at the work", "not on the work", "not on site",   "in truck",          "in the truck",
    "in van",          "in the van",      "in car",        "in the car",        "in office",
    "in the office",   "indoors",         "on bench",      "on the bench",      "in the shop",
    "in box",          "in the box",      "in case",       "in the case",       "in bag",
    "in the bag",      "unplugged",       "fell off",      "came off",          "detached",
    "not attached",    "disconnected",    "on tape",       "on the tape",       "over tape",
    "trial panel",     "test plate",      "not the deck",  "planned only",      "not sprayed",
    "cancelled",       "canceled",        "test spray",    "forecast",          "estimated",
    "guessed",         "from memory",     "copied",        "made up",           "not measured",
    "expired",         "overdue",         "uncalibrated",  "not calibrated",    "out of calibration",
    "out of date",     "not cured",       "not yet cured", "uncured",           "still wet",
    "not dry",         "wrong zone",      "wrong area",    "wrong gauge",       "wrong probe",
    "wrong batch",     "last year",       "last job",      "nicht ausgehartet", "falsche zone",
    "noch nass",       "pas sec",         "mauvaise zone", "zona equivocada",   "zona sbagliata"};
/* In a log kept by hand: what the row tells of was left undone, in part at least. */
static const char *const undone[] = {"not done",       "not complete",     "not completed",
                                     "not finished",   "not carried out",  "not performed",
                                     "not executed",   "not started",      "not repaired",
                                     "not applied",    "did not happen",   "didn t happen",
                                     "to be done",     "still to do",      "planned for",
                                     "scheduled for",  "postponed",        "deferred",
                                     "put off",        "called off",       "rained off",
                                     "aborted",        "abandoned",        "skipped",
                                     "on hold",        "no material",      "no time",
                                     "test patch",     "trial patch",      "incomplete",
                                     "unfinished",     "nicht ausgefuhrt", "nicht durchgefuhrt",
                                     "nicht gemacht",  "nicht fertig",     "nicht erledigt",
                                     "verschoben",     "abgebrochen",      "entfallen",
                                     "zuruckgestellt", "pas fait",         "pas fini",
                                     "non fait",       "non realise",      "reporte a",
                                     "abandonne",      "no realizado",     "no hecho",
                                     "sin hacer",      "aplazado",         "pospuesto",
                                     "non eseguito",   "non fatto",        "rinviato",
                                     "sospeso",        "niet gedaan",      "niet uitgevoerd",
                                     "uitgesteld",     "inte gjort",       "inte utfort",
                                     "uppskjuten",     "nie wykonano",     "nie zrobione",
                                     "odlozone",       "nao realizado",    "nao feito",
                                     "adiado"};
/* The same, of work that was put off; but not of looking at it. */
static const char *const later[] = {"tomorrow",       "will be",  "to be built",     "to be sprayed",
                                    "to be repaired", "next day", "to be completed", "to be finished",
                                    "next week",      "morgen",   "demain",          "manana",
                                    "domani",         "imorgon",  "jutro",           "amanha"};
static const char *const looked[] = {"measure", "measured", "inspect", "inspected", "check", "checked",
                                     "survey",  "dry",      "cure",    "cured",     "test",  "tested",
                                     "messen",  "mesurer",  "medir",   "misurare"};
/* Headings there of whether it was done. */
static const char *const of_done[] = {"done",     "complete", "completed", "finished",   "executed",     "performed",
                                      "carried",  "out",      "sprayed",   "applied",    "repaired",     "approved",
                                      "accepted", "erledigt", "fertig",    "ausgefuhrt", "durchgefuhrt", "fait",
                                      "realise",  "termine",  "hecho",     "realizado",  "feito",        "concluido",
                                      "fatto",    "eseguito", "gedaan",    "uitgevoerd", "klar",         "utfort",
                                      "wykonane", "wykonano", "zrobione",  "work",       "job"};
/* Where a logger lay that was not at the work; for headings that name a place. */
static const char *const places[] = {"office",     "store",   "stores",  "storeroom", "shed",      "lab",
                                     "laboratory", "bench",   "truck",   "van",       "warehouse", "airport",
                                     "home",       "canteen", "buro",    "lager",     "labor",     "bureau",
                                     "magasin",    "oficina", "almacen", "ufficio",   "magazzino", "kantoor",
                                     "magazijn",   "kontor",  "biuro",   "magazyn"};
static const char *const of_place[] = {"location", "place",   "station",   "position", "site",   "where", "ort",
                                       "standort", "lieu",    "ubicacion", "luogo",    "plaats", "plats", "miejsce",
                                       "placed",   "mounted", "installed", "stored",   "kept"};

#define AMONG(words, list) mr_word_among(words, strlen(words), list, MR_COUNT(list))
#define HOLDS(words, list) mr_words_hold_any(words, list, MR_COUNT(list))

/* Whether every word of a heading is on the list or a small one, and one at least on the list. */
static bool made_of(const char *heading, const char *const *list, size_t count) {
    bool any = false;
    for (const char *w = heading; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        const bool own = mr_word_among(w, n, list, count);
        if (!own && !mr_word_among(w, n, small, MR_COUNT(small)))
            return false;
        any |= own;
    }
    return any;
}

enum mr_companion mr_companion_of(enum mr_kind kind, const char *text, const char *words) {
    const bool log = mr_is_log(kind);
    if (kind == MR_KIND_VERIFICATION && mr_is_verdict_heading(words))
        return made_of(words, of_failing, MR_COUNT(of_failing)) ? MR_COMPANION_NO : MR_COMPANION_VERDICT;
    if (kind == MR_KIND_VERIFICATION && made_of(words, of_verification, MR_COUNT(of_verification)))
        return MR_COMPANION_ABOUT; /* "Check: after use" */
    if (made_of(words, of_yes, MR_COUNT(of_yes)) && !mr_words_hold(words, "not"))
        return MR_COMPANION_YES;
    if (made_of(words, of_nature, MR_COUNT(of_nature)) || (log && made_of(words, of_alarm, MR_COUNT(of_alarm))))
        return MR_COMPANION_LIMIT;
    if (kind == MR_KIND_THICKNESS && made_of(words, of_owner, MR_COUNT(of_owner)))
        return MR_COMPANION_OWNER;
    if ((log || mr_is_film_kind(kind)) && mr_is_shift_heading(mr_is_film_kind(kind), words))
        return MR_COMPANION_SHIFT;
    if (strchr(text, '%')) /* "Error %" is a figure */
        return MR_COMPANION_ABOUT;
    if (made_of(words, of_no, MR_COUNT(of_no)) || made_of(words, of_yes, MR_COUNT(of_yes)))
        return MR_COMPANION_NO;
    return made_of(words, of_state, MR_COUNT(of_state)) ? MR_COMPANION_STATE : MR_COMPANION_ABOUT;
}

static bool says_yes(const char *words) {
    return mr_answers_yes(words) || AMONG(words, good);
}

static bool says_no(const char *words) {
    return mr_answers_none(words) || AMONG(words, quiet);
}

/* "Bad", "no sensor"; but not "no error": there the word before it turns it round. */
static bool is_spoilt(const char *words) {
    return HOLDS(words, absent) || (HOLDS(words, spoilt) && !mr_words_negated(words));
}

static enum mr_companion_says of_yes_column(const char *words) {
    if (mr_is_figure(words))
        return strspn(words, "0 ") == strlen(words) ? MR_SAYS_NOT : MR_SAYS_COUNTS;
    if (says_yes(words) || AMONG(words, limits))
        return MR_SAYS_COUNTS;
    return says_no(words) || is_spoilt(words) ? MR_SAYS_NOT : MR_SAYS_UNKNOWN;
}

/* A number with a fraction is a figure ("Error 0.4"), which folding parts in two. */
static enum mr_companion_says of_no_column(const char *words) {
    if (mr_is_figure(words))
        return strchr(words, ' ') || strspn(words, "0") == strlen(words) ? MR_SAYS_COUNTS : MR_SAYS_NOT;
    if (is_spoilt(words))
        return MR_SAYS_NOT;
    if (says_no(words) || AMONG(words, limits) || mr_words_negated(words))
        return MR_SAYS_COUNTS;
    return says_yes(words) ? MR_SAYS_NOT : MR_SAYS_UNKNOWN;
}

/* Codes: 0 means no fault but for a quality, where OPC DA has 192 for good and 0 for bad. */
static enum mr_companion_says of_code(const char *heading, const char *words) {
    if (mr_words_hold(heading, "quality"))
        return strcmp(words, "192") == 0 ? MR_SAYS_COUNTS : MR_SAYS_UNKNOWN;
    const bool codes = mr_words_hold(heading, "status") || mr_words_hold(heading, "flags") ||
                       mr_words_hold(heading, "flag") || mr_words_hold(heading, "state") ||
                       mr_words_hold(heading, "validity");
    return codes && strspn(words, "0 ") != strlen(words) ? MR_SAYS_UNKNOWN : MR_SAYS_COUNTS;
}

static enum mr_companion_says of_state_column(const struct mr_map *map, const char *heading, const char *words) {
    if (mr_is_figure(words))
        return of_code(heading, words);
    const bool film = map->kind == MR_KIND_THICKNESS || map->kind == MR_KIND_BASE_METAL;
    if (film && mr_list_holds(mr_map_list(map, "words.film"), words, true))
        return MR_SAYS_COUNTS;
    if (film && mr_list_holds(mr_map_list(map, "words.no film"), words, false))
        return map->kind == MR_KIND_BASE_METAL ? MR_SAYS_COUNTS : MR_SAYS_NOT;
    if (map->kind == MR_KIND_SPRAY_LOG ? AMONG(words, done) : AMONG(words, measured) || says_yes(words))
        return MR_SAYS_COUNTS;
    if ((film || mr_is_log(map->kind)) && AMONG(words, limits))
        return MR_SAYS_COUNTS;
    return is_spoilt(words) ? MR_SAYS_NOT : MR_SAYS_UNKNOWN;
}

static enum mr_companion_says of_note(const struct mr_map *map, const char *heading, const char *words) {
    const bool checked = made_of(heading, of_verification, MR_COUNT(of_verification));
    const bool failed = (map->kind == MR_KIND_VERIFICATION && (mr_says_not_passed(words) || mr_says_harmed(words))) ||
                        (checked && (mr_says_not_passed(words) || mr_answers_no(words)));
    const bool away = mr_is_log(map->kind) && HOLDS(heading, of_place) && HOLDS(words, places);
    static const char *const turns[] = {"beside",  "next to", "near",     "not on", "neben",   "bei",
                                        "pres de", "junto a", "vicino a", "naast",  "bredvid", "obok"};
    if (HOLDS(words, turns))
        return MR_SAYS_COUNTS;
    const bool piece = map->kind == MR_KIND_THICKNESS && AMONG(heading, of_piece) && HOLDS(words, pieces);
    static const char *const coated[] = {"primer",      "primed",     "grundierung", "grundiert", "primaire",
                                         "imprimacion", "fondo",      "paint",       "painted",   "coated",
                                         "old coating", "galvanised", "galvanized",  "zinc"};
    const bool not_bare = map->kind == MR_KIND_BASE_METAL && HOLDS(words, coated) && !mr_words_negated(words);
    const bool kept_by_hand = map->kind == MR_KIND_SPRAY_LOG;
    const bool put_off = HOLDS(words, later) && !HOLDS(words, looked);
    const bool left =
        kept_by_hand &&
        (put_off || HOLDS(words, undone) ||
         (made_of(heading, of_done, MR_COUNT(of_done)) && (mr_answers_no(words) || (mr_is_zero(words)))));
    const bool defect = (kept_by_hand || map->kind == MR_KIND_THICKNESS) && mr_names_defect(heading, words);
    /* "Includes primer: yes" */
    const bool of_other = mr_answers_yes(words) && mr_says_other_purpose(map->kind, heading);
    /* a climate or a line that objects is judged as it stands (objections.h) */
    const bool softly = map->kind == MR_KIND_CLIMATE || map->kind == MR_KIND_PRESSURE;
    const bool ticked = !softly && mr_tick_of(heading, words) == MR_TICK_OBJECTS;
    const bool doubtful = ticked || of_other || failed || left || defect || not_bare ||
                          mr_is_withdrawn(map->kind, heading, words) || away || piece || HOLDS(words, elsewhere) ||
                          mr_says_other_purpose(map->kind, words) || mr_names_other_substrate(heading, words);
    return doubtful ? MR_SAYS_UNKNOWN : MR_SAYS_COUNTS;
}

/* Whether the export has taken it into account nobody knows. */
static enum mr_companion_says of_shift(const char *words) {
    return mr_is_figure(words) && !mr_is_zero(words) ? MR_SAYS_UNKNOWN : MR_SAYS_COUNTS;
}

bool mr_says_out_of_limits(const char *words) {
    return AMONG(words, out_of_limits);
}

/* The spray log of a primer is none of the coating's; a coat of number 0 is none. */
static enum mr_companion_says of_coat(const char *words) {
    const bool none = mr_is_zero(words);
    return none || mr_says_other_purpose(MR_KIND_THICKNESS, words) ? MR_SAYS_UNKNOWN : MR_SAYS_COUNTS;
}

enum mr_companion_says mr_companion_reads(const struct mr_map *map, enum mr_companion companion, const char *heading,
                                          const char *words, const char *cell) {
    const bool ticked = companion <= MR_COMPANION_STATE;
    if (!*words) /* "*", or the dash that fills a blank */
        return ticked && !strchr("-.", *cell) && (unsigned char)*cell != 0xe2 ? MR_SAYS_UNKNOWN : MR_SAYS_COUNTS;
    switch (companion) {
    case MR_COMPANION_YES:
        return of_yes_column(words);
    case MR_COMPANION_NO:
        return of_no_column(words);
    case MR_COMPANION_STATE:
        return of_state_column(map, heading, words);
    case MR_COMPANION_VERDICT:
        return mr_verdict_passed(heading, words) ? MR_SAYS_COUNTS : MR_SAYS_UNKNOWN;
    case MR_COMPANION_LIMIT:
        if (is_spoilt(words) ||
            (map->kind == MR_KIND_THICKNESS && mr_list_holds(mr_map_list(map, "words.no film"), words, false)))
            return MR_SAYS_NOT;
        break;
    case MR_COMPANION_OWNER:
        return MR_SAYS_UNKNOWN;
    case MR_COMPANION_SHIFT:
        return of_shift(words);
    case MR_COMPANION_COAT:
        return of_coat(words);
    case MR_COMPANION_NOTE:
        return of_note(map, "", words);
    case MR_COMPANION_ABOUT:
        break;
    }
    /* "Primer: yes" is the row of a primer as "primer" is */
    const char *said = mr_answers_yes(words) ? heading : words;
    const bool coat = map->kind == MR_KIND_SPRAY_LOG && mr_is_other_purpose(MR_KIND_THICKNESS, said);
    return coat ? MR_SAYS_UNKNOWN : of_note(map, heading, words);
}
