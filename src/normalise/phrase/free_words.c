/* free_words.c - see free_words.h. What is missing from these lists costs a line to read; what should not be in them
 * may cost more, so they are short. */
#include "normalise/phrase/free_words.h"

#include "base/text.h"
#include "normalise/cell/answers.h"
#include "normalise/cell/words.h"
#include "normalise/phrase/damp_words.h"
#include "normalise/phrase/ticks.h"

#include <string.h>

#define AMONG(words, list) mr_word_among(words, strlen(words), list, MR_COUNT(list))
#define HOLDS(words, list) mr_words_hold_any(words, list, MR_COUNT(list))

/* Headings and names of who took part, and with what. */
static const char *const of_people[] = {
    "operator",   "inspector",   "technician", "user",      "role",      "by",    "initials", "signature",
    "signed",     "crew",        "client",     "customer",  "company",   "owner", "name",     "bediener",
    "prufer",     "inspecteur",  "operateur",  "operador",  "operatore", "kunde", "firma",    "contractor",
    "applicator", "prepared by", "taken by",   "technicus", "controleur"};
static const char *const of_device[] = {
    "device",   "model",      "serial",       "sn",        "s n",      "firmware",    "software",    "version",
    "hardware", "instrument", "gauge",        "gage",      "logger",   "meter",       "hygrometer",  "thermometer",
    "probe",    "sensor",     "transducer",   "channel",   "channels", "id",          "no",          "nr",
    "number",   "gerat",      "seriennummer", "sonde",     "appareil", "instrumento", "dispositivo", "strumento",
    "toestel",  "matricola",  "fuhler",       "messgerat", "tag",      "file",        "path",        "drawing",
    "photo",    "photos",     "picture",      "image",     "foto",     "latitude",    "longitude",   "gps"};
/* Names of lines about the export, or that rules of their own read: units, moments, statistics, calibrations. */
static const char *const of_export[] = {
    "title",    "records",  "rows",        "output",        "separator",    "subject",  "export",    "exported",
    "printed",  "created",  "generated",   "downloaded",    "saved",        "read",     "report",    "page",
    "format",   "encoding", "delimiter",   "decimal",       "language",     "date",     "datum",     "fecha",
    "data",     "time",     "zeit",        "heure",         "hora",         "start",    "started",   "begin",
    "beginn",   "end",      "ende",        "stop",          "first",        "last",     "from",      "to",
    "duration", "interval", "sample rate", "sampling",      "log interval", "readings", "samples",   "count",
    "n",        "mean",     "average",     "min",           "max",          "minimum",  "maximum",   "sd",
    "std",      "std dev",  "median",      "unit",          "units",        "einheit",  "einheiten", "unidad",
    "unidades", "unite",    "unites",      "resolution",    "accuracy",     "battery",  "memory",    "timezone",
    "utc",      "gmt",      "session",     "zone",          "area",         "batch",    "job",       "project",
    "contract", "order",    "zeitzone",    "specification", "sample",       "logging",  "recording", "record",
    "log",      "period",   "scan",        "polling",       "logged",       "recorded", "measuring"};

/* Words of which titles of exports are made. */
static const char *const of_titles[] = {
    "end",        "eof",          "footer",      "total",        "statistics",   "units",
    "thickness",  "film",         "coating",     "dft",          "wft",          "bmr",
    "dry",        "wet",          "readings",    "reading",      "log",          "logs",
    "data",       "climate",      "hygrometer",  "humidity",     "temperature",  "temperatures",
    "steel",      "surface",      "air",         "dew",          "point",        "probe",
    "pressure",   "pressures",    "line",        "lines",        "main",         "export",
    "report",     "gauge",        "gage",        "logger",       "spray",        "coats",
    "zone",       "zones",        "register",    "list",         "verification", "verifications",
    "check",      "checks",       "material",    "shift",        "record",       "survey",
    "memory",     "session",      "measurement", "measurements", "batch",        "sheet",
    "table",      "of",           "the",         "and",          "for",          "all",
    "times",      "in",           "utc",         "gmt",          "local",        "morning",
    "evening",    "on",           "with",        "to",           "from",         "c",
    "f",          "um",           "mil",         "mils",         "kpa",          "psi",
    "bar",        "rh",           "daily",       "base",         "metal",        "degc",
    "degf",       "schichtdicke", "klima",       "messwerte",    "protokoll",    "druck",
    "temperatur", "bericht",      "epaisseur",   "mesures",      "espesor",      "registro",
    "spessore",   "laagdikte",    "standards",   "certified",    "values"};

static const char *const of_substrate[] = {"substrate", "base material", "untergrund", "material", "grundwerkstoff"};
static const char *const steels[] = {"steel", "stahl", "acier", "acero", "acciaio", "staal", "stal", "aco"};
static const char *const fine[] = {"ok",    "good",     "pass",      "passed",   "in order",
                                   "valid", "normal",   "none seen", "accepted", "approved",
                                   "done",  "complete", "completed", "finished", "closed"};

enum { FEW_WORDS = 3 };

static size_t words_of(const char *words) {
    size_t n = 0;
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        n++;
    return n;
}

/* "Errors: none" is well; "Calibration: none" is for a person to read. */
static const char *const of_trouble[] = {
    "error",    "errors",  "alarm",   "alarms",     "fault",     "faults",  "warning", "warnings", "note",  "notes",
    "remark",   "remarks", "comment", "comments",   "defect",    "defects", "damage",  "events",   "event", "deleted",
    "rejected", "offset",  "offsets", "correction", "bemerkung", "fehler",  "nota",    "notas"};
static const char *const of_care[] = {"calibration",  "calibrated", "cal",      "certificate",
                                      "kalibrierung", "status",     "revision", "rev"};
static const char *const beside[] = {"type", "name", "no",   "number", "id",  "serial", "code",  "of",   "the", "and",
                                     "time", "date", "rate", "zone",   "due", "until",  "valid", "last", "next"};

/* Positions are drawn (positions.c). */
static const char *const of_position[] = {"x",       "y",          "z",         "position", "pos",
                                          "easting", "northing",   "along",     "across",   "coordinate",
                                          "coord",   "koordinate", "coordenada"};

bool mr_is_neutral_heading(const char *heading) {
    return HOLDS(heading, of_position) || HOLDS(heading, of_people) || HOLDS(heading, of_device) ||
           HOLDS(heading, of_export);
}

bool mr_is_neutral_cell(const char *heading, const char *words) {
    /* what objects is judged, and told there (companion_words.h, objecting_words.h) */
    const enum mr_tick tick = mr_tick_of(heading, words);
    if (!*words || AMONG(words, fine) || tick == MR_TICK_AGREES || tick == MR_TICK_OBJECTS)
        return true;
    if (tick == MR_TICK_OPEN && mr_is_neutral_heading(heading) && !mr_answers_no(words))
        return true;
    if (mr_answers_none(words) && !mr_answers_no(words))
        return true;
    if (HOLDS(heading, of_substrate) && HOLDS(words, steels) && !mr_words_negated(words))
        return true;
    if (mr_words_hold(heading, "grade") && strncmp(words, "sa ", 3) == 0) /* ISO 8501-1: Sa 2 1/2 */
        return true;
    /* "Approved by QC: no" */
    return words_of(words) <= FEW_WORDS && !mr_answers_no(words) &&
           (HOLDS(heading, of_people) || HOLDS(heading, of_device));
}

/* "pl 31": a word of few letters before a figure is an id. */
static bool is_id(const char *word, size_t n) {
    enum { ID_LETTERS = 3 };
    return strcspn(word, "0123456789") < n || (n <= ID_LETTERS && word[n] == ' ' && mr_is_digit(word[n + 1]));
}

static bool is_title(struct mr_arena *arena, const struct mr_job *job, const char *words) {
    const char *const own[] = {job->name, job->site, job->contract, job->client, job->crew};
    const char *known = "";
    bool any = false;
    for (size_t i = 0; i < MR_COUNT(own); i++)
        known = mr_printf(arena, "%s %s", known, own[i] ? mr_words_fold(arena, own[i], strlen(own[i])) : "");
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        const bool id = is_id(w, n);
        any |= !id;
        if (!id && !mr_word_among(w, n, of_titles, MR_COUNT(of_titles)) &&
            !mr_words_hold(known, mr_strndup(arena, w, n)))
            return false;
    }
    return any && !mr_says_damp(words);
}

/* Whether each word of a name is one of a list, or stands beside such words. */
static bool is_made_of(const char *name, const char *const *list, size_t count) {
    bool any = false;
    for (const char *w = name; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        const bool own = mr_word_among(w, n, list, count);
        if (!own && !is_id(w, n) && !mr_word_among(w, n, beside, MR_COUNT(beside)))
            return false;
        any |= own;
    }
    return any || AMONG(name, beside);
}
#define MADE_OF(name, list) is_made_of(name, list, MR_COUNT(list))

bool mr_is_neutral_line(struct mr_arena *arena, const struct mr_job *job, const char *name, const char *words,
                        const char *value) {
    enum { VALUE_BYTES = 200 };
    if (!*words || strlen(value) > VALUE_BYTES)
        return !*words;
    static const char *const ends[] = {"end of file", "end of data", "end of log", "end of report"};
    if (AMONG(words, fine) || AMONG(words, ends) || mr_answers_yes(words) ||
        (AMONG(name, of_trouble) && mr_answers_none(words)))
        return true;
    if (mr_says_damp(words))
        return false;
    const bool counted = *name && strcspn(words, "0123456789") < strlen(words); /* "Coats: 1 of 2" */
    if (!counted && is_title(arena, job, *name ? mr_printf(arena, "%s %s", name, words) : words))
        return true;
    if (!*name || mr_answers_none(words))
        return false;
    if (HOLDS(name, of_care) && !MADE_OF(name, of_care)) /* "Calibration offset", "Calibration interval" */
        return false;
    if (HOLDS(name, of_care))
        return strcspn(words, "0123456789") < strlen(words);
    return MADE_OF(name, of_export) || MADE_OF(name, of_people) ||
           (MADE_OF(name, of_device) && words_of(words) <= FEW_WORDS);
}
