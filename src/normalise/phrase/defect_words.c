/* defect_words.c - see defect_words.h. Words are folded; the lists hold the languages of the maps. */
#include "normalise/phrase/defect_words.h"

#include "base/text.h"
#include "milrise/base.h"
#include "normalise/cell/answers.h"
#include "normalise/cell/words.h"

#include <string.h>

/* In any cell. */
static const char *const defects[] = {
    /* of the film */
    "blister", "blisters", "blistered", "blistering", "crack", "cracks", "cracked", "cracking", "delaminated",
    "delamination", "delaminating", "disbonded", "disbonding", "disbondment", "debonded", "debonding", "peeling",
    "peeled", "flaking", "flaked", "holiday", "holidays", "pinhole", "pinholes", "missed area", "missed areas",
    "missed spot", "missed spots", "bare spot", "bare spots", "poor adhesion", "lifting off", "soft spot",
    "soft spots", "sticky", "tacky", "gummy", "burnt film", "damaged film", "film damaged", "blasen", "blase", "riss",
    "risse", "rissig", "abplatzung", "abplatzungen", "abgeplatzt", "enthaftung", "fehlstelle", "fehlstellen",
    "klebrig", "cloque", "cloques", "fissure", "fissures", "decollement", "decolle", "collant", "ampolla", "ampollas",
    "grieta", "grietas", "desprendido", "desprendimiento", "pegajoso", "bolla", "bolle", "crepa", "crepe", "distacco",
    "appiccicoso", "bolha", "bolhas", "trinca", "trincas", "descolado", "blaar", "blaren", "scheur", "scheuren",
    "onthecht", "kleverig", "blasor", "spricka", "sprickor", "lossnat", "klibbig", "pecherz", "pecherze", "pekniecie",
    "pekniecia", "odspojenie", "lepki",
    /* of what it was made of */
    "off ratio", "offratio", "out of ratio", "wrong ratio", "wrong drum", "wrong drums", "wrong product",
    "wrong material", "wrong lot", "wrong hardener", "unmixed", "poorly mixed", "bad mix", "contaminated drum",
    "contaminated material", "falsches fass", "falsches material", "falsches produkt", "mauvais fut",
    "mauvais produit", "bidon equivocado", "producto equivocado", "prodotto sbagliato", "verkeerd vat", "fel fat",
    "zly produkt",
    /* of what lay beneath */
    "surface wet", "wet surface", "wet steel", "steel wet", "over dew", "over wet", "on wet", "over dust",
    "over dirt", "over rust", "over oil", "over grease", "surface dirty", "dirty surface", "contaminated surface",
    "surface contaminated", "condensation on steel", "condensation on surface", "flash rust", "unblasted",
    "stahl nass", "nasser stahl", "auf nassem", "flugrost", "acier mouille", "surface mouillee", "superficie mojada",
    "acero mojado", "superficie bagnata", "nat oppervlak", "vat yta", "mokra powierzchnia"};
/* By what is wanting. */
static const char *const wanting[] = {"no adhesion",     "did not cure",   "not curing",      "not mixed",
                                      "not blasted",     "not cleaned",    "does not adhere", "not bonded",
                                      "nicht gestrahlt", "nicht gemischt", "haftet nicht",    "non adherent",
                                      "sin mezclar",     "niet gestraald"};
/* Headings whose cells answer whether there is one. */
static const char *const of_defect[] = {
    "defect",   "defects", "flaw",        "flaws",   "holiday",  "holidays",     "holiday test", "blister",
    "blisters", "crack",   "cracks",      "pinhole", "pinholes", "delamination", "damage",       "damages",
    "mangel",   "schaden", "fehlstellen", "defaut",  "defauts",  "defecto",      "defectos",     "difetto",
    "difetti",  "defeito", "defeitos",    "gebrek",  "gebreken", "skador",       "wada",         "wady"};
static const char *const sound[] = {"ok",         "pass",        "passed",      "good", "clear",
                                    "free",       "visual",      "sound",       "done", "not found",
                                    "none found", "low voltage", "high voltage"};
static const char *const denying[] = {"free of",  "free from", "frei von", "exempt de", "libre de", "privo di",
                                      "vrij van", "fri fran",  "bez",      "keine",     "kein",     "geen",
                                      "inga",     "sin",       "senza",    "sem",       "sans",     "aucun",
                                      "aucune",   "ninguna",   "nessuna",  "repaired",  "removed",  "0"};

#define AMONG(words, list) mr_word_among(words, strlen(words), list, MR_COUNT(list))
#define HOLDS(words, list) mr_words_hold_any(words, list, MR_COUNT(list))

bool mr_names_defect(const char *heading, const char *words) {
    if (HOLDS(words, wanting))
        return true;
    const bool denied = mr_words_negated(words) || HOLDS(words, denying);
    if (*words && HOLDS(words, defects))
        return !denied;
    return *words && !denied && AMONG(heading, of_defect) && !mr_answers_none(words) && !AMONG(words, sound) &&
           !mr_is_zero(words);
}
