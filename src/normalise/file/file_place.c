/*
 * file_place.c - see file_place.h. People name exports after what they stood in: "climate Deck.csv", "office.csv".
 * Unlike words of a heading, words of a path may be anything (a person's shift, a week), so only known places count.
 */
#include "normalise/file/file_place.h"

#include "base/text.h"
#include "normalise/cell/words.h"

#include <string.h>

static const char *const away_words[] = {
    "store",       "stores",      "storeroom",  "storage",      "stockroom",  "warehouse", "depot",       "office",
    "offices",     "canteen",     "cabin",      "truck",        "lorry",      "van",       "car",         "vehicle",
    "trailer",     "pickup",      "lab",        "labs",         "laboratory", "chamber",   "oven",        "fridge",
    "freezer",     "cabinet",     "hotbox",     "workshop",     "toolroom",   "lager",     "labor",       "werkstatt",
    "buro",        "kuhlschrank", "ofen",       "fahrzeug",     "magazin",    "bureau",    "entrepot",    "atelier",
    "laboratoire", "camion",      "four",       "oficina",      "almacen",    "taller",    "laboratorio", "horno",
    "ufficio",     "magazzino",   "officina",   "forno",        "kantoor",    "magazijn",  "werkplaats",  "kontor",
    "bench",       "testbench",   "prufstand",  "workbench",    "spare",      "forrad",    "verkstad",    "biuro",
    "magazyn",     "warsztat",    "escritorio", "armazem",      "oficinas",   "airport",   "flughafen",   "aeroport",
    "aeropuerto",  "aeroporto",   "luchthaven", "flygplats",    "lotnisko",   "metar",     "indoor",      "indoors",
    "container",   "containers",  "buero",      "wetterstation"};

/* Of two words: weather by itself is what any climate log may be called. */
static const char *const away_pairs[] = {
    "weather station", "weather service", "met office", "station meteo", "wetter station",        "meteo station",
    "estacion meteo",  "stazione meteo",  "next job",   "other job",     "meteorological station"};

/* What a probe may sit on beside the work. */
static const char *const bodies[] = {"coupon", "coupons",  "witness", "cup",    "cups",    "drum",
                                     "drums",  "hose",     "hoses",   "heater", "heaters", "becher",
                                     "fass",   "schlauch", "gobelet", "fut",    "tuyau",   "vaso",
                                     "bidon",  "manguera", "fusto",   "beker",  "vat",     "slang"};
/* In the name of a whole file; as a heading the gun is the place of the mix check, and a panel may be one of the
 * work. */
static const char *const bodies_of_files[] = {"gun",    "guns",    "kettle",   "bucket",  "pump", "panel",
                                              "panels", "pistole", "pistolet", "pistola", "tubo"};

const char *mr_body_beside(const char *words) {
    for (size_t i = 0; i < MR_COUNT(bodies); i++)
        if (mr_words_hold(words, bodies[i]))
            return bodies[i];
    return NULL;
}

/* Parts of a structure that people number. */
static const char *const parts[] = {
    "deck",    "bay",     "tank",  "hull",     "level",    "hall",     "room",      "block",  "frame",
    "girder",  "beam",    "pier",  "span",     "section",  "bulkhead", "hold",      "leg",    "tower",
    "roof",    "wall",    "floor", "vessel",   "silo",     "column",   "sphere",    "bridge", "berth",
    "pontoon", "segment", "panel", "building", "halle",    "ebene",    "trager",    "turm",   "travee",
    "pont",    "cuve",    "nave",  "tanque",   "viga",     "cubierta", "serbatoio", "trave",  "ponte",
    "ligger",  "vloer",   "dek",   "brygga",   "zbiornik", "bloc",     "bloque",    "blocco"};

/* Behind "zone" these name none. */
static const char *const no_names[] = {"time", "times", "log", "logs", "data", "export", "climate", "all",
                                       "and",  "of",    "for", "list", "the",  "record", "records", "every"};
static const char *const zone_word[] = {"zone", "bereich", "zona", "zon", "strefa"};

/* Length of the pair that begins here; 0. */
static size_t pair_at(const char *at) {
    for (size_t i = 0; i < MR_COUNT(away_pairs); i++) {
        const size_t n = strlen(away_pairs[i]);
        if (strncmp(at, away_pairs[i], n) == 0 && (at[n] == ' ' || !at[n]))
            return n;
    }
    return 0;
}

static bool is_word(const char *at, const char *const *list, size_t count) {
    return mr_word_among(at, strcspn(at, " "), list, count);
}

static const char *next_word(const char *w) {
    w += strcspn(w, " ");
    return w + (*w == ' ');
}

/* A name such as "A", "7" or "N3" is found everywhere. */
static bool is_telling(const char *name) {
    for (const char *w = name; *w; w = next_word(w)) {
        size_t letters = 0;
        for (const char *c = w; *c && *c != ' '; c++)
            letters += !mr_is_digit(*c);
        if (letters >= 3)
            return true;
    }
    return false;
}

/* What stands behind "zone" in a path; NULL where nothing does that may name one. */
static const char *behind_zone(const char *words) {
    for (const char *w = words, *before = ""; *w; before = w, w = next_word(w)) {
        const char *name = next_word(w);
        if (is_word(w, zone_word, MR_COUNT(zone_word)) && strncmp(before, "time ", 5) != 0 && *name &&
            !is_word(name, no_names, MR_COUNT(no_names)))
            return name;
    }
    return NULL;
}

static bool begins_with(const char *words, const char *name) {
    const size_t n = strlen(name);
    return strncmp(words, name, n) == 0 && (words[n] == ' ' || !words[n]);
}

/* The zone with the longest name in the words: "Deck north" is no "Deck". */
static const struct mr_zone_words *longest_in(struct mr_arena *arena, const char *words,
                                              const struct mr_register_words *zones) {
    const struct mr_zone_words *out = NULL;
    const char *behind = behind_zone(words);
    for (size_t i = 0; i < zones->v.n; i++) {
        const struct mr_zone_words *z = &zones->v.v[i];
        const bool named = (is_telling(z->words) && mr_words_without(arena, words, z->words)) ||
                           (behind && begins_with(behind, z->words));
        if (named && (!out || strlen(z->words) > strlen(out->words)))
            out = z;
    }
    return out;
}

/* A part with its number that no name of the job holds: "bay 9". */
static bool is_other_part(struct mr_arena *arena, const char *w, const struct mr_job *job) {
    const char *number = next_word(w), *behind = next_word(number);
    const size_t n = strcspn(number, " ");
    if (!is_word(w, parts, MR_COUNT(parts)) || !n || n > 2 || (n == 2 && !mr_is_digit(*number)) ||
        (mr_is_digit(*number) && mr_is_digit(*behind)))
        return false;
    const char *own = mr_printf(arena, "%s %s %s", job->name ? job->name : "", job->site ? job->site : "",
                                job->contract ? job->contract : "");
    return !mr_words_hold(mr_words_fold(arena, own, strlen(own)), mr_strndup(arena, w, (size_t)(number - w) + n));
}

struct mr_file_place mr_file_place(struct mr_arena *arena, const char *path, const struct mr_register_words *zones,
                                   const struct mr_job *job, bool probes) {
    const char *dot = strrchr(path, '.');
    const char *words = mr_words_fold(arena, path, dot ? (size_t)(dot - path) : strlen(path));
    struct mr_file_place out = {.zone = ""};
    for (const struct mr_zone_words *z; (z = longest_in(arena, words, zones));) {
        if (*out.zone && strcmp(out.zone, z->zone) != 0)
            return (struct mr_file_place){.zone = ""}; /* a file of several zones says no more than one of all */
        const char *number = mr_number_behind(words, z->words);
        if (number) /* "Deck 2" beside the zone "Deck" */
            return (struct mr_file_place){.zone = "", .away = number, .n = strcspn(number, " ")};
        out.zone = z->zone;
        words = mr_words_without(arena, words, z->words);
    }
    if (*out.zone)
        return out;
    const char *name = behind_zone(words);
    if (name)
        out.zone = mr_printf(arena, "zone %.*s", (int)strcspn(name, " "), name);
    for (const char *w = words; *w && !out.away; w = next_word(w)) {
        const size_t pair = pair_at(w);
        if (pair || is_word(w, away_words, MR_COUNT(away_words)) ||
            (probes &&
             (is_word(w, bodies, MR_COUNT(bodies)) || is_word(w, bodies_of_files, MR_COUNT(bodies_of_files)))) ||
            is_other_part(arena, w, job)) {
            out.away = w;
            out.n = pair ? pair : strcspn(w, " ");
        }
    }
    return out;
}
