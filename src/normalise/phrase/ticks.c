/* ticks.c - see ticks.h. Words are folded; the lists hold the languages of the maps. What is missing from them makes
 * a tick open, which costs a line to read. */
#include "normalise/phrase/ticks.h"

#include "base/text.h"
#include "milrise/base.h"
#include "normalise/cell/answers.h"
#include "normalise/cell/words.h"
#include "normalise/phrase/damp_words.h"
#include "normalise/phrase/defect_words.h"
#include "normalise/phrase/verdict_words.h"

#include <string.h>

/* Something is not well, of film, material, machine, sensor or record. */
static const char *const amiss[] = {
    /* in English */
    "rejected", "reject", "refused", "hold", "on hold", "held", "quarantine", "quarantined", "blocked", "expired",
    "overdue", "out of date", "frozen", "froze", "sediment", "contaminated", "contamination", "leak", "leaks",
    "leaking", "leakage", "overpressure", "over pressure", "recirculating", "interrupted", "interruption", "aborted",
    "abandoned", "off steel", "probe off", "sensor off", "off the steel", "detached", "came off", "fell off", "loose",
    "open circuit", "short circuit", "disconnected", "unplugged", "soft", "uncured", "not cured", "repair needed",
    "repair required", "needs repair", "to be repaired", "rework", "below min", "below minimum", "below limit",
    "under minimum", "above max", "above maximum", "above limit", "over maximum", "low alarm", "high alarm", "alarm",
    "fault", "faulty", "fail", "failed", "failure", "skipped", "worn", "damaged", "damage", "defect", "defects",
    "defect found", "dirty", "dirt", "dust", "dusty", "oil", "oily", "grease", "greasy", "rust", "rusty", "rusted",
    "corrosion", "precoated", "pre coated", "existing paint", "old paint", "existing coating", "old coating",
    "over paint", "low battery", "battery low", "suspect", "doubtful", "questionable", "nonconforming",
    "nonconformance", "non conformance", "ncr", "clogged", "blockage", "plugged", "starved", "dry run", "power loss",
    "power failure", "unstable", "disbonded", "disbond", "wrong", "cancelled", "canceled", "postponed", "omitted",
    "estimated", "simulated", "guessed", "invalid", "void", "deleted", "excluded", "overspray", "runs", "sags",
    /* in the other languages */
    "dew point reached", "below dew point", "at dew point", "taupunkt erreicht", "taupunkt unterschritten",
    "point de rosee atteint", "punto de rocio alcanzado", "punto di rugiada raggiunto", "gesperrt", "sperre",
    "abgelehnt", "zuruckgewiesen", "abgelaufen", "gefroren", "eingefroren", "undicht", "leck", "verschmutzt",
    "schmutz", "staub", "rost", "weich", "defekt", "mangel", "schaden", "unterbrochen", "abgebrochen", "gestort",
    "storung", "altbeschichtung", "perime", "perimee", "gele", "fuite", "sale", "rouille", "bloque", "interrompu",
    "detache", "endommage", "rechazado", "rechazada", "retenido", "caducado", "congelado", "fuga", "sucio", "oxido",
    "interrumpido", "suelto", "danado", "rifiutato", "scaduto", "perdita", "sporco", "ruggine", "interrotto",
    "staccato", "danneggiato", "rejeitado", "vencido", "vazamento", "sujo", "ferrugem", "afgekeurd", "geblokkeerd",
    "verlopen", "bevroren", "lek", "vuil", "roest", "onderbroken", "los", "beschadigd", "underkand", "sparrad",
    "utgangen", "frusen", "lackage", "smutsig", "skadad", "odrzucony", "wstrzymany", "przeterminowany", "zamarzniety",
    "wyciek", "brudny", "rdza", "uszkodzony"};
/* All is well with it. */
static const char *const well[] = {
    /* in English */
    "accepted", "acceptable", "acceptance", "approved", "approval", "ok", "okay", "good", "passed", "pass", "valid",
    "released", "release", "signed", "sign off", "signed off", "countersigned", "complete", "completed", "done",
    "finished", "in tolerance", "within tolerance", "in spec", "within spec", "in range", "in limits",
    "within limits", "clean", "dry", "cured", "conforms", "conforming", "compliant", "compliance", "calibrated",
    "well mixed", "probe on steel", "sensor on steel", "attached", "connected", "satisfactory", "sound",
    /* in the other languages */
    "abgenommen", "freigegeben", "freigabe", "bestanden", "trocken", "sauber", "ausgehartet", "gultig",
    "unterschrieben", "in ordnung", "accepte", "conforme", "propre", "valide", "signe", "approuve", "aceptado",
    "aprobado", "limpio", "seco", "firmado", "accettato", "approvato", "pulito", "asciutto", "firmato", "aceito",
    "aprovado", "limpo", "goedgekeurd", "schoon", "droog", "ondertekend", "godkand", "ren", "torr", "zatwierdzony",
    "czysty", "suchy"};
/* What was not well no longer is. */
static const char *const mended[] = {"removed", "repaired", "cleared", "fixed",  "cleaned",  "closed", "resolved",
                                     "mended",  "entfernt", "behoben", "repare", "reparado", "rimosso"};
/* It was looked for: what was found the answer does not say. */
static const char *const sought[] = {
    "test",     "tested", "check", "checked", "inspection", "inspected", "prufung", "gepruft", "kontrolle",
    "controle", "prueba", "prova", "proef",   "kontroll",   "kontrola",  "survey",  "limit",   "code",
    "number",   "no of",  "time",  "count",   "level",      "setting",   "allowed", "factor"};
static const char *const negations[] = {"not",  "un",    "non",  "no",    "nicht", "kein",  "keine",
                                        "pas",  "sans",  "sin",  "senza", "sem",   "niet",  "geen",
                                        "inte", "ingen", "inga", "nie",   "bez",   "never", "without"};
static const char *const answers[] = {"yes", "no", "y", "n", "ja", "nein", "j", "oui", "non", "si", "0", "1", "or"};

enum { HEADING_BYTES = 120 };

/* The heading without its answers ("Leak (Y/N)") and without the words that deny it. */
static bool core_of(const char *heading, char out[HEADING_BYTES]) {
    size_t n = 0, words = 0;
    bool negated = false;
    for (const char *w = heading; *w; w += strcspn(w, " "), w += *w == ' ')
        words++;
    for (const char *w = heading; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t length = strcspn(w, " ");
        const char *rest = w;
        while (*rest && mr_word_among(rest, strcspn(rest, " "), answers, MR_COUNT(answers))) {
            rest += strcspn(rest, " ");
            rest += *rest == ' ';
        }
        if (!*rest && n > 0) /* nothing but answers is left */
            break;
        if (words > 1 && mr_word_among(w, length, negations, MR_COUNT(negations))) {
            negated = !negated;
            continue;
        }
        if (n + length + 2 > HEADING_BYTES)
            break;
        if (n > 0)
            out[n++] = ' ';
        memcpy(out + n, w, length);
        n += length;
    }
    out[n] = '\0';
    return negated;
}

#define HOLDS(words, list) mr_words_hold_any(words, list, MR_COUNT(list))

static bool is_amiss(const char *core) {
    return HOLDS(core, amiss) || mr_names_defect("", core) || mr_says_damp(core) || mr_says_not_passed(core) ||
           mr_says_harmed(core);
}

enum mr_tick mr_tick_of(const char *heading, const char *words) {
    const bool yes = mr_answers_yes(words) || strcmp(words, "1") == 0;
    if (!yes && !mr_answers_none(words) && strcmp(words, "0") != 0)
        return MR_TICK_NONE;
    char core[HEADING_BYTES];
    const bool affirmed = core_of(heading, core) != yes, bad = is_amiss(core);
    if (HOLDS(core, well) || (bad && HOLDS(core, mended)))
        return affirmed ? MR_TICK_AGREES : MR_TICK_OBJECTS;
    if (bad && !HOLDS(core, sought))
        return affirmed ? MR_TICK_OBJECTS : MR_TICK_AGREES;
    return MR_TICK_OPEN;
}

bool mr_says_amiss(const char *words) {
    char core[HEADING_BYTES];
    const bool negated = core_of(words, core);
    return HOLDS(core, well) ? negated : !negated && is_amiss(core) && !HOLDS(core, mended) && !HOLDS(core, sought);
}
