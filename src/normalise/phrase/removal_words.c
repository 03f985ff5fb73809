/* removal_words.c - see removal_words.h. Words are folded; the lists hold the languages of the maps. */
#include "normalise/phrase/removal_words.h"

#include "base/text.h"
#include "normalise/cell/words.h"

#include <string.h>

/* Beginnings of words: "stripped", "stripping". */
static const char *const ways[] = {
    "grind",      "grinding",    "sanded",     "sanding",   "blast",      "sandblast", "gritblast",   "hydroblast",
    "shotblast",  "scrap",       "chipp",      "chisel",    "delamin",    "disbond",   "debond",      "detach",
    "spall",      "demolish",    "dismantl",   "remov",     "jetted",     "jetting",   "abgeschliff", "abschleif",
    "entschicht", "abgestrahlt", "gestrahlt",  "strahlen",  "abgetragen", "abgelost",  "abgekratz",   "abgeplatzt",
    "decap",      "ponce",       "ponca",      "enlev",     "sable",      "sablage",   "decoll",      "lijad",
    "chorread",   "granall",     "eliminad",   "retirad",   "decapad",    "desprend",  "rimoss",      "rimozion",
    "sabbiat",    "carteggiat",  "levigat",    "staccat",   "lixad",      "jatead",    "verwijder",   "gestraald",
    "afgeslepen", "geschuurd",   "losgelaten", "bortslip",  "borttag",    "avlagsn",   "blastr",      "slipad",
    "slipat",     "usunie",      "zeszlifow",  "szlifowan", "piaskowan",  "odspoi",    "milled",      "shaved",
    "entrostet",  "geschliff",   "hydrojet",   "debonded",  "geslepen",   "descamad",  "waterjet",    "abgefras",
    "gefrast",    "afgebikt",    "weggenomen"};
/* Words and rows of words: "stripe" is no beginning of "strip". */
static const char *const said[] = {
    "strip",       "stripped",      "stripping",      "peeled",     "peeling",       "entfernt",     "ground off",
    "ground back", "ground down",   "ground away",    "ground out", "ground smooth", "ground flush", "taken off",
    "taken down",  "took off",      "came off",       "come off",   "fell off",      "fallen off",   "cleaned off",
    "cleaned to",  "burnt off",     "burned off",     "washed off", "cut out",       "cut off",      "cut away",
    "cut back",    "water jet",     "water jetting",  "power tool", "knocked off",   "broken off",   "rubbed off",
    "rubbed down", "torn off",      "wiped off",      "back to sa", "back to steel", "back to bare", "to bare",
    "flex ground", "needle gunned", "tool cleaning",  "ripped off", "pulled off",    "scraped off",  "a nu",
    "mis a nu",    "schleifen",     "weg geschnitten"};
static const char *const surface[] = {"bare",  "steel",   "metal", "stahl", "blank",     "blankem", "acier",
                                      "acero", "acciaio", "staal", "stal",  "substrate", "sa"};
static const char *const film[] = {"film",         "coating",      "coat",    "coats",     "ceramic",
                                   "layer",        "layers",       "paint",   "dft",       "beschichtung",
                                   "schicht",      "revetement",   "couche",  "pelicula",  "recubrimiento",
                                   "revestimento", "rivestimento", "laag",    "coatings",  "skikt",
                                   "belaggning",   "powloka",      "powloke", "insulation"};
/* What is put up and taken down beside the film, whatever else the text says. */
static const char *const beside[] = {
    "mask",      "masking", "masked",          "demasking", "tape",      "tapes",       "protective", "protection",
    "plastic",   "foil",    "foils",           "folie",     "scaffold",  "scaffolding", "cover",      "covers",
    "sheet",     "sheets",  "sheeting",        "tent",      "tarpaulin", "tarp",        "abdeckung",  "abklebung",
    "kreppband", "gerust",  "film protecteur", "cinta",     "nastro",    "afplakband"};
/* What is cleaned and taken out of the way of it, or belongs to the pump. */
static const char *const other[] = {
    "gun",     "guns",    "hose",     "hoses",        "pump",    "line",      "lines",      "tip",      "tips",
    "nozzle",  "nozzles", "filter",   "filters",      "mixer",   "static",    "strainer",   "blockage", "dust",
    "debris",  "rust",    "salt",     "salts",        "spatter", "overspray", "oil",        "grease",   "moisture",
    "rain",    "snow",    "ice",      "drum",         "drums",   "equipment", "probe",      "probes",   "logger",
    "loggers", "sensor",  "sensors",  "thermocouple", "heater",  "heaters",   "lid",        "pistole",  "schlauch",
    "pumpe",   "staub",   "pistolet", "pistola",      "rubbish", "waste",     "sludge",     "valve",    "manifold",
    "swivel",  "packing", "seal",     "seals",        "stripe",  "signed",    "certificate"};

/* Whether a word begins as one of the list. */
static bool begins_any(const char *words, const char *const *list, size_t count) {
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        for (size_t i = 0; i < count; i++)
            if (strncmp(w, list[i], strlen(list[i])) == 0)
                return true;
    return false;
}

/* "Not removed", "to be stripped", "stripping planned". */
static bool is_undone(const char *words) {
    static const char *const undone[] = {"planned",  "scheduled", "pending",        "required",        "needed",
                                         "to be",    "to do",     "cancelled",      "canceled",        "postponed",
                                         "proposed", "geplant",   "before coating", "before spraying", "prior to"};
    return mr_words_negated(words) || mr_words_hold_any(words, undone, MR_COUNT(undone));
}

bool mr_says_removed(struct mr_arena *arena, const char *text, bool of_film) {
    if (!text || !*text)
        return false;
    const char *words = mr_words_fold(arena, text, strlen(text));
    if (!begins_any(words, ways, MR_COUNT(ways)) && !mr_words_hold_any(words, said, MR_COUNT(said)) &&
        strcmp(words, "ground") != 0)
        return false;
    if (is_undone(words) || mr_words_hold_any(words, beside, MR_COUNT(beside)))
        return false;
    if (mr_words_hold_any(words, film, MR_COUNT(film)))
        return true;
    return (!of_film || mr_words_hold_any(words, surface, MR_COUNT(surface))) &&
           !mr_words_hold_any(words, other, MR_COUNT(other));
}
