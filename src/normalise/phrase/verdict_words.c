/* verdict_words.c - see verdict_words.h. Words are folded; the lists hold the languages of the maps. */
#include "normalise/phrase/verdict_words.h"

#include "base/text.h"
#include "normalise/cell/words.h"

#include <string.h>

/* Words of which a heading of verdicts is made, with small words between them. */
static const char *const of_verdict[] = {
    "result",     "results",     "status",     "pass",        "passed",       "passes",      "fail",
    "failed",     "ok",          "okay",       "verdict",     "judgement",    "judgment",    "outcome",
    "accepted",   "acceptable",  "acceptance", "approved",    "approval",     "valid",       "compliant",
    "compliance", "conforms",    "conformity", "conformance", "conforming",   "ergebnis",    "bewertung",
    "bestanden",  "beurteilung", "urteil",     "befund",      "konform",      "gultig",      "resultat",
    "conforme",   "conformite",  "verdit",     "accepte",     "valide",       "resultado",   "aprobado",
    "aprobada",   "conformidad", "apto",       "cumple",      "veredicto",    "aprovado",    "conformidade",
    "risultato",  "esito",       "conformita", "superato",    "resultaat",    "goedgekeurd", "oordeel",
    "voldoet",    "godkand",     "utfall",     "bedomning",   "wynik",        "zaliczone",   "zgodny",
    "zgodnosc",   "ocena",       "grade",      "good",        "satisfactory", "i",           "o",
    "io",         "nio"};
static const char *const small[] = {"of",    "the",          "y",     "n",    "yes", "no",  "or",  "is", "was",
                                    "check", "verification", "gauge", "test", "in",  "not", "nok", "0",  "1"};
static const char *const in_tolerance[] = {"in tolerance",
                                           "within tolerance",
                                           "in tol",
                                           "within tol",
                                           "in limits",
                                           "within limits",
                                           "in spec",
                                           "within spec",
                                           "in range",
                                           "in toleranz",
                                           "innerhalb der toleranz",
                                           "innerhalb toleranz",
                                           "dans la tolerance",
                                           "dans tolerance",
                                           "en tolerancia",
                                           "dentro de tolerancia",
                                           "in tolleranza",
                                           "binnen tolerantie",
                                           "inom tolerans",
                                           "w tolerancji"};

/* Cells by which the gauge passed. */
static const char *const passed[] = {
    "p",           "pass",         "passed",     "passes",    "ok",         "okay",      "o k",
    "y",           "yes",          "true",       "t",         "good",       "fine",      "valid",
    "accepted",    "acceptable",   "approved",   "verified",  "calibrated", "compliant", "conforms",
    "conforming",  "satisfactory", "green",      "ja",        "j",          "wahr",      "bestanden",
    "i o",         "io",           "in ordnung", "gut",       "konform",    "gultig",    "erfullt",
    "grun",        "oui",          "o",          "vrai",      "conforme",   "bon",       "correct",
    "accepte",     "valide",       "reussi",     "si",        "s",          "verdadero", "aprobado",
    "aceptado",    "apto",         "cumple",     "correcto",  "superado",   "sim",       "aprovado",
    "aceito",      "superato",     "accettato",  "valido",    "positivo",   "goed",      "goedgekeurd",
    "akkoord",     "voldoet",      "geldig",     "godkand",   "bra",        "giltig",    "tak",
    "zaliczone",   "zgodny",       "zgodne",     "pozytywny", "dobry",      "wazny",     "\xe2\x9c\x93",
    "\xe2\x9c\x94"};
static const char *const ticked[] = {"x", "v"};

/* The gauge did not pass, wherever it is said; and what says so only where nothing else stands in the cell. */
static const char *const not_passed[] = {"fail",
                                         "failed",
                                         "fails",
                                         "failure",
                                         "nok",
                                         "not ok",
                                         "out of tolerance",
                                         "out of tol",
                                         "outside tolerance",
                                         "out of limits",
                                         "out of range",
                                         "out of spec",
                                         "not passed",
                                         "not accepted",
                                         "not acceptable",
                                         "not valid",
                                         "unacceptable",
                                         "rejected",
                                         "reject",
                                         "defective",
                                         "faulty",
                                         "n i o",
                                         "nio",
                                         "nicht bestanden",
                                         "nicht in ordnung",
                                         "nicht ok",
                                         "durchgefallen",
                                         "ausserhalb",
                                         "non conforme",
                                         "pas conforme",
                                         "echec",
                                         "echoue",
                                         "hors tolerance",
                                         "refuse",
                                         "rejete",
                                         "no conforme",
                                         "rechazado",
                                         "rechazada",
                                         "fuera de tolerancia",
                                         "no apto",
                                         "no cumple",
                                         "suspenso",
                                         "respinto",
                                         "fuori tolleranza",
                                         "non superato",
                                         "afgekeurd",
                                         "buiten tolerantie",
                                         "niet goedgekeurd",
                                         "voldoet niet",
                                         "underkand",
                                         "utanfor tolerans",
                                         "ej godkand",
                                         "niezgodny",
                                         "niezgodne",
                                         "poza tolerancja",
                                         "negatywny",
                                         "reprovado",
                                         "reprovada",
                                         "nao conforme",
                                         "fora de tolerancia",
                                         "rejeitado",
                                         "fallido",
                                         "\xe2\x9c\x97",
                                         "\xe2\x9c\x98",
                                         "\xe2\x9d\x8c"};
static const char *const not_passed_alone[] = {"f",     "bad",     "red",      "invalid",  "schlecht",
                                               "rot",   "mauvais", "malo",     "ungultig", "slecht",
                                               "dalig", "zly",     "too high", "too low"};

#define AMONG(words, n, list) mr_word_among(words, n, list, MR_COUNT(list))
#define HOLDS(words, list) mr_words_hold_any(words, list, MR_COUNT(list))

bool mr_is_verdict_heading(const char *heading) {
    bool any = false;
    if (HOLDS(heading, in_tolerance))
        return true;
    for (const char *w = heading; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        const bool own = AMONG(w, n, of_verdict);
        if (!own && !AMONG(w, n, small))
            return false;
        any |= own && n > 1;
    }
    return any;
}

bool mr_verdict_passed(const char *heading, const char *words) {
    const size_t n = strlen(words);
    if (strspn(words, "0123456789 ") == n) /* a fraction is folded in two parts */
        return strchr(words, ' ') || strspn(words, "0") != n;
    if (AMONG(words, n, ticked)) /* a cross under "Result" may be either */
        return (mr_words_hold(heading, "pass") || mr_words_hold(heading, "passed") || mr_words_hold(heading, "ok")) &&
               !mr_words_hold(heading, "fail") && !mr_words_hold(heading, "failed");
    return AMONG(words, n, passed) || AMONG(words, n, in_tolerance);
}

bool mr_says_not_passed(const char *words) {
    return HOLDS(words, not_passed) || AMONG(words, strlen(words), not_passed_alone);
}

/* What befell a gauge at its check: the figures beside it may be those of another state of it. */
static const char *const befell[] = {"dropped",
                                     "fell",
                                     "fallen",
                                     "fell down",
                                     "damaged",
                                     "bent",
                                     "broken",
                                     "worn",
                                     "zero lost",
                                     "lost zero",
                                     "zero shifted",
                                     "drifted",
                                     "readjusted",
                                     "re adjusted",
                                     "adjusted after",
                                     "recalibrated after",
                                     "re zeroed after",
                                     "rezeroed after",
                                     "zeroed after",
                                     "probe replaced",
                                     "probe changed",
                                     "new probe",
                                     "after failing",
                                     "first try",
                                     "second attempt",
                                     "second try",
                                     "third attempt",
                                     "failed first",
                                     "off by",
                                     "out by",
                                     "was off",
                                     "out of tolerance",
                                     "heruntergefallen",
                                     "gefallen",
                                     "verstellt",
                                     "nachjustiert",
                                     "neu justiert",
                                     "beschadigt",
                                     "tombe",
                                     "endommage",
                                     "reajuste",
                                     "caido",
                                     "danado",
                                     "caduto",
                                     "danneggiato",
                                     "gevallen",
                                     "beschadigd",
                                     "tappad",
                                     "skadad",
                                     "upadl",
                                     "uszkodzony",
                                     "knocked",
                                     "hit",
                                     "shock"};

bool mr_says_harmed(const char *words) {
    return mr_words_hold_any(words, befell, MR_COUNT(befell)) && !mr_words_negated(words);
}
