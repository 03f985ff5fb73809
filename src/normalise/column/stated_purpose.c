/* stated_purpose.c - see stated_purpose.h. Phrases are folded. */
#include "normalise/column/stated_purpose.h"

#include "base/text.h"
#include "normalise/cell/words.h"
#include "normalise/column/limits_missed.h"
#include "normalise/phrase/stated_choice.h"
#include "normalise/phrase/stated_state.h"

#include <string.h>

/* Not measured, or not at the work. */
static const char *const not_real[] = {
    "demo",         "demonstration", "simulation",  "simulated",    "simulator",        "simulado",
    "simule",       "simuliert",     "dummy",       "mock",         "mock up",          "fake",
    "practice",     "practise",      "training",    "trainee",      "exercise",         "ubung",
    "oefening",     "ovning",        "forecast",    "vorhersage",   "prevision",        "previsione",
    "pronostico",   "prognos",       "prognose",    "example",      "previsions",       "previsioni",
    "previsao",     "previsoes",     "prognoza",    "verwachting",  "weersverwachting", "wettervorhersage",
    "vaderprognos", "forecasts",     "nowcast",     "example data", "sample data",      "test data",
    "testdaten",    "beispiel",      "exemple",     "ejemplo",      "esempio",          "voorbeeld",
    "exempel",      "przyklad",      "not for use", "not valid",    "invalid",          "dummy plate",
    "interpolated", "gap filled",    "gaps filled", "filled gaps",  "estimated"};

/* As thick as film, and none. */
static const char *const no_film[] = {"test plate",
                                      "test panel",
                                      "test piece",
                                      "test coupon",
                                      "coupon",
                                      "test plates",
                                      "test panels",
                                      "test pieces",
                                      "coupons",
                                      "witness panel",
                                      "shim",
                                      "shims",
                                      "foil",
                                      "foils",
                                      "zero plate",
                                      "calibration plate",
                                      "reference plate",
                                      "calibration foil",
                                      "wet film",
                                      "wft",
                                      "bare steel",
                                      "uncoated",
                                      "base metal",
                                      "blasted steel",
                                      "primer",
                                      "prufplatte",
                                      "probeplatte",
                                      "musterplatte",
                                      "kalibrierfolie",
                                      "folie",
                                      "folien",
                                      "nassfilm",
                                      "grundierung",
                                      "eprouvette",
                                      "plaque d essai",
                                      "cale",
                                      "cales",
                                      "probeta",
                                      "placa de prueba",
                                      "galga",
                                      "galgas",
                                      "provino",
                                      "proefplaat",
                                      "provplatta",
                                      "plytka wzorcowa"};

/* What a probe may sit on that is sprayed beside the work. */
static const char *const no_work[] = {
    "test plate",  "test panel",      "test piece",  "test coupon",   "coupon",        "coupons",
    "test plates", "test panels",     "test pieces", "witness panel", "witness plate", "trial panel",
    "trial plate", "prufplatte",      "probeplatte", "musterplatte",  "eprouvette",    "plaque d essai",
    "probeta",     "placa de prueba", "provino",     "proefplaat",    "provplatta",    "plytka testowa"};

/* Lines about the instrument itself: on what it was set and checked is no word on what it measured. */
static const char *const of_instrument[] = {
    "calibration", "calibrated",   "cal",         "verification", "verified",    "zero",         "zeroed",
    "adjusted",    "probe",        "gauge",       "correction",   "deduction",   "check",        "checked",
    "accuracy",    "kalibrierung", "justierung",  "etalonnage",   "calibracion", "calibrazione", "kalibratie",
    "kalibrering", "kalibracja",   "certificate", "reference"};

/* Beginnings of words by which readings are taken back. */
static const char *const taken_back[] = {
    "delet",     "reject",    "discard",    "cancelled", "canceled", "voided",      "withdrawn",
    "outlier",   "supersed",  "invalid",    "disregard", "verworf",  "gelosch",     "ungultig",
    "storniert", "ausreiss",  "ausreisz",   "supprim",   "rejete",   "annule",      "aberrant",
    "elimin",    "rechazad",  "anulad",     "descartad", "excluid",  "scartat",     "annullat",
    "esclus",    "excluded",  "verwijderd", "afgekeurd", "geannul",  "uitgesloten", "raderad",
    "kasserad",  "utesluten", "uteslutna",  "usuniet",   "odrzucon", "anulowan",    "wykluczon",
    "rejeitad",  "apagad",    "ignored",    "struck",    "erased",   "wiped",       "overwrit"};
static const char *const not_for_use[] = {
    "do not use",      "not for use",      "not used",        "unused",         "void",
    "another job",     "other job",        "other site",      "another site",   "nicht verwenden",
    "anderer auftrag", "andere baustelle", "ne pas utiliser", "autre chantier", "no usar",
    "no utilizar",     "otra obra",        "non usare",       "altro cantiere", "niet gebruiken",
    "ander project",   "anvand ej",        "nie uzywac",      "nao usar",       "outra obra"};

static bool begins_taken_back(const char *word) {
    for (size_t i = 0; i < MR_COUNT(taken_back); i++)
        if (strncmp(word, taken_back[i], strlen(taken_back[i])) == 0)
            return true;
    return false;
}

bool mr_says_taken_back(const char *words) {
    static const char *const but[] = {"excluding", "ohne", "sans", "sin",     "senza",    "zonder",
                                      "utan",      "bez",  "sem",  "removed", "exclusive"};
    if (mr_words_hold_any(words, not_for_use, MR_COUNT(not_for_use)))
        return true;
    if (mr_words_negated(words) || mr_words_hold_any(words, but, MR_COUNT(but)))
        return false;
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        if (begins_taken_back(w))
            return true;
    return false;
}

/* "Calibration", "zero check": nothing but words of the instrument's own checks. */
static bool is_of_calibration(const char *words) {
    static const char *const checks[] = {
        "calibration",  "calibrating", "cal",        "verification", "verifying",   "zero",        "zeroing",
        "kalibrierung", "justierung",  "nullpunkt",  "nullmessung",  "etalonnage",  "calibracion", "calibrazione",
        "taratura",     "calibracao",  "kalibratie", "ijking",       "kalibrering", "kalibracja",  "wzorcowanie"};
    static const char *const with[] = {"check", "test", "point", "reading", "readings", "only", "on", "the", "of"};
    bool any = false;
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        const bool own = mr_word_among(w, n, checks, MR_COUNT(checks));
        if (!own && !mr_word_among(w, n, with, MR_COUNT(with)))
            return false;
        any |= own;
    }
    return any;
}

bool mr_is_withdrawn(enum mr_kind kind, const char *heading, const char *words) {
    enum { WORDS_MOST = 3 };
    size_t n = 0;
    if (mr_is_log(kind) || kind == MR_KIND_MATERIAL ||
        mr_words_hold_any(heading, of_instrument, MR_COUNT(of_instrument)))
        return false;
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        n++;
    return (mr_is_film_kind(kind) && is_of_calibration(words)) ||
           (mr_says_taken_back(words) && (n <= WORDS_MOST || begins_taken_back(words)));
}

bool mr_says_other_purpose(enum mr_kind kind, const char *words) {
    return mr_words_hold_any(words, not_real, MR_COUNT(not_real)) ||
           (kind == MR_KIND_THICKNESS && mr_words_hold_any(words, no_film, MR_COUNT(no_film))) ||
           (kind == MR_KIND_TEMPERATURE && mr_words_hold_any(words, no_work, MR_COUNT(no_work)));
}

bool mr_is_other_purpose(enum mr_kind kind, const char *words) {
    return mr_word_among(words, strlen(words), not_real, MR_COUNT(not_real)) ||
           (kind == MR_KIND_THICKNESS && mr_word_among(words, strlen(words), no_film, MR_COUNT(no_film)));
}

/* Whether one of the words, none of the shortest, stands in a text of the job. */
static bool shares_word(const char *words, const char *text) {
    enum { LEAST = 3 };
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        for (const char *t = text; *t && n >= LEAST; t += strcspn(t, " "), t += *t == ' ')
            if (strcspn(t, " ") == n && memcmp(t, w, n) == 0)
                return true;
    }
    return false;
}

bool mr_names_other_job(struct mr_arena *arena, const struct mr_job *job, const char *name, const char *words) {
    static const char *const headings[] = {"job",           "job name",  "project", "project name", "contract",
                                           "contract name", "bridge",    "projekt", "auftrag",      "projet",
                                           "proyecto",      "progetto",  "projeto", "project nr",   "baustelle",
                                           "chantier",      "structure", "bauwerk"};
    enum { LETTERS_LEAST = 4 };
    const char *texts[] = {job->name, job->site, job->contract, job->client, job->crew};
    if (!mr_word_among(name, strlen(name), headings, MR_COUNT(headings)) || !*job->name)
        return false;
    bool word = false;
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        word |= strcspn(w, " 0123456789") >= LETTERS_LEAST;
    for (size_t i = 0; i < MR_COUNT(texts) && word; i++)
        if (shares_word(words, mr_words_fold(arena, texts[i], strlen(texts[i]))))
            return false;
    return word;
}

bool mr_names_other_substrate(const char *name, const char *words) {
    static const char *const headings[] = {"surface",       "base",       "surface type",  "oberflache",
                                           "material",      "substrate",  "base material", "untergrund",
                                           "grundmaterial", "substrat",   "sustrato",      "substrato",
                                           "supporto",      "ondergrond", "underlag",      "podloze"};
    static const char *const others[] = {
        "aluminium", "aluminum", "alu",        "concrete",   "beton",     "hormigon",  "wood",     "timber",
        "holz",      "glass",    "glas",       "copper",     "kupfer",    "brass",     "bronze",   "zinc",
        "titanium",  "plastic",  "galvanised", "galvanized", "verzinkt",  "galvanise", "plastics", "grp",
        "frp",       "gfk",      "plaster",    "gypsum",     "alluminio", "aluminio"};
    return mr_word_among(name, strlen(name), headings, MR_COUNT(headings)) &&
           mr_words_hold_any(words, others, MR_COUNT(others)) && !mr_words_negated(words);
}

/* Files that someone put away or never finished, as their name or their folder says. Copies need no word: a file that
 * repeats another is seen by its rows. */
static bool is_put_away(struct mr_arena *arena, const char *path) {
    static const char *const words[] = {
        "old",       "superseded", "withdrawn",    "void",      "voided",  "rejected",   "obsolete", "outdated",
        "archive",   "archived",   "trash",        "discarded", "deleted", "do not use", "unused",   "draft",
        "planned",   "plan",       "previous job", "other job", "entwurf", "verworfen",  "archiv",   "veraltet",
        "brouillon", "annule",     "perime",       "borrador",  "anulado", "obsoleto",   "bozza",    "concept"};
    return mr_words_hold_any(mr_words_fold(arena, path, strlen(path)), words, MR_COUNT(words));
}

static bool tells(struct mr_arena *arena, enum mr_kind kind, const char *text) {
    return mr_says_other_purpose(kind, mr_words_fold(arena, text, strlen(text)));
}

/* Of a log, the probe's place is what it measured. */
static bool is_of_instrument(struct mr_arena *arena, enum mr_kind kind, const char *name) {
    const char *words = mr_words_fold(arena, name, strlen(name));
    return mr_words_hold_any(words, of_instrument, MR_COUNT(of_instrument)) &&
           !(mr_is_log(kind) && mr_words_hold(words, "probe"));
}

/* A title, above the table or among its rows. */
static bool is_other_title(struct mr_arena *arena, enum mr_kind kind, const char *text) {
    return tells(arena, kind, text) || mr_says_taken_back(mr_words_fold(arena, text, strlen(text)));
}

/* A sensor at fault, a clock that was off, readings that the gauge deleted or chose. What a person writes by hand has
 * no such head. */
static bool says_trouble(struct mr_arena *arena, enum mr_kind kind, const char *name, const char *value) {
    static const char *const none[] = {"0", "no", "none", "nil"};
    if (!mr_is_log(kind) && !mr_is_film_kind(kind) && kind != MR_KIND_VERIFICATION)
        return kind == MR_KIND_SPRAY_LOG && mr_says_choice(arena, kind, name, value);
    if (mr_says_choice(arena, kind, name, value))
        return true;
    const char *own = mr_words_fold(arena, name, strlen(name)), *words = mr_words_fold(arena, value, strlen(value));
    const bool deleted = *own && mr_says_taken_back(own) && mr_is_digit(*words) &&
                         !mr_word_among(words, strlen(words), none, MR_COUNT(none));
    /* common practice, no source: longer means level a miss that matters, of a line that of a few seconds */
    const double mean_most_s = kind == MR_KIND_PRESSURE ? 10.0 : 900.0;
    const bool may_be_mean = kind == MR_KIND_CLIMATE || kind == MR_KIND_PRESSURE;
    return deleted || (may_be_mean && mr_says_long_mean(arena, mean_most_s, name, value)) ||
           mr_says_unfit(arena, name, value) || mr_says_clock_off(arena, name, value) ||
           (kind != MR_KIND_VERIFICATION && mr_says_value_off(arena, mr_is_film_kind(kind), name, value));
}

/* Lines among the rows: one cell with a colon is a pair too. */
static const char *other_among_rows(struct mr_arena *arena, const struct mr_job *job, enum mr_kind kind,
                                    const struct mr_source *source, struct mr_place *out_place) {
    static const char *const none[] = {"0", "no", "none", "nil"};
    if (kind == MR_KIND_SHIFT_RECORD || kind == MR_KIND_ZONES) /* their rows may be words alone */
        return NULL;
    for (size_t i = 0; i < source->between.n; i++) {
        const struct mr_pair *p = &source->between.v[i];
        const char *colon = *p->name ? NULL : strchr(p->value, ':');
        const char *name = colon ? mr_strndup(arena, p->value, (size_t)(colon - p->value)) : p->name;
        const char *value = colon && colon[1] ? colon + 1 : p->value;
        const char *words = mr_words_fold(arena, value, strlen(value));
        *out_place = p->place;
        if (mr_names_other_job(arena, job, mr_words_fold(arena, name, strlen(name)), words) ||
            (!is_of_instrument(arena, kind, name) && is_other_title(arena, kind, value)) ||
            says_trouble(arena, kind, name, value) ||
            (!mr_word_among(words, strlen(words), none, MR_COUNT(none)) &&
             mr_says_taken_back(mr_words_fold(arena, name, strlen(name)))))
            return *p->name ? mr_printf(arena, "%s: %s", p->name, p->value) : p->value;
    }
    return NULL;
}

const char *mr_other_purpose(struct mr_arena *arena, const struct mr_job *job, enum mr_kind kind,
                             const struct mr_source *source, struct mr_place *out_place) {
    for (size_t i = 0; i < source->preamble.n; i++) {
        const struct mr_pair *p = &source->preamble.v[i];
        *out_place = p->place;
        const char *name = mr_words_fold(arena, p->name, strlen(p->name));
        const char *value = mr_words_fold(arena, p->value, strlen(p->value));
        const bool other = mr_names_other_job(arena, job, name, value) || mr_names_other_substrate(name, value);
        if (other || says_trouble(arena, kind, p->name, p->value) ||
            mr_line_misses(arena, job, kind, p->name, p->value) ||
            (!is_of_instrument(arena, kind, p->name) && tells(arena, kind, p->value)))
            return mr_printf(arena, "%s: %s", p->name, p->value);
    }
    for (size_t i = 0; i < source->titles.n; i++) {
        *out_place = source->titles.v[i].place;
        if (is_other_title(arena, kind, source->titles.v[i].value) ||
            says_trouble(arena, kind, "", source->titles.v[i].value))
            return source->titles.v[i].value;
    }
    const char *among = other_among_rows(arena, job, kind, source, out_place);
    if (among)
        return among;
    *out_place = (struct mr_place){.file = source->path};
    return tells(arena, kind, source->path) || is_put_away(arena, source->path) ? source->path : NULL;
}
