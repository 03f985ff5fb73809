/*
 * zone_words.c - letters, places and seasons by which clocks are named. The letters are those of the IANA time zone
 * data base (public domain), beside them those of daily use in German and French.
 */
#include "normalise/column/zone_words.h"

#include "base/text.h"
#include "normalise/cell/when.h"
#include "normalise/cell/words.h"

#include <string.h>

/* Letters, what the zone data call them, and the fixed zone that they mean most often; NULL where none is usual. */
struct zone_letters {
    const char *letters, *known_as, *example;
};

static const struct zone_letters all_letters[] = {
    {"utc", "utc", "UTC"},          {"gmt", "gmt", "UTC"},          {"est", "est", "Etc/GMT+5"},
    {"edt", "edt", "Etc/GMT+4"},    {"cst", "cst", "Etc/GMT+6"},    {"cdt", "cdt", "Etc/GMT+5"},
    {"mst", "mst", "Etc/GMT+7"},    {"mdt", "mdt", "Etc/GMT+6"},    {"pst", "pst", "Etc/GMT+8"},
    {"pdt", "pdt", "Etc/GMT+7"},    {"akst", "akst", "Etc/GMT+9"},  {"akdt", "akdt", "Etc/GMT+8"},
    {"hst", "hst", "Etc/GMT+10"},   {"ast", "ast", "Etc/GMT+4"},    {"adt", "adt", "Etc/GMT+3"},
    {"nst", "nst", NULL},           {"ndt", "ndt", NULL},           {"cet", "cet", "Etc/GMT-1"},
    {"cest", "cest", "Etc/GMT-2"},  {"mez", "cet", "Etc/GMT-1"},    {"mesz", "cest", "Etc/GMT-2"},
    {"hec", "cet", "Etc/GMT-1"},    {"heec", "cest", "Etc/GMT-2"},  {"hnec", "cet", "Etc/GMT-1"},
    {"bst", "bst", "Etc/GMT-1"},    {"ist", "ist", NULL},           {"wet", "wet", "Etc/GMT"},
    {"west", "west", "Etc/GMT-1"},  {"eet", "eet", "Etc/GMT-2"},    {"eest", "eest", "Etc/GMT-3"},
    {"oez", "eet", "Etc/GMT-2"},    {"msk", "msk", "Etc/GMT-3"},    {"sast", "sast", "Etc/GMT-2"},
    {"wat", "wat", "Etc/GMT-1"},    {"jst", "jst", "Etc/GMT-9"},    {"kst", "kst", "Etc/GMT-9"},
    {"hkt", "hkt", "Etc/GMT-8"},    {"sgt", "sgt", "Etc/GMT-8"},    {"pkt", "pkt", "Etc/GMT-5"},
    {"hne", "est", "Etc/GMT+5"},    {"hae", "edt", "Etc/GMT+4"},    {"hnc", "cst", "Etc/GMT+6"},
    {"hac", "cdt", "Etc/GMT+5"},    {"hnp", "pst", "Etc/GMT+8"},    {"hap", "pdt", "Etc/GMT+7"},
    {"wib", "wib", "Etc/GMT-7"},    {"awst", "awst", "Etc/GMT-8"},  {"acst", "acst", NULL},
    {"acdt", "acdt", NULL},         {"aest", "aest", "Etc/GMT-10"}, {"aedt", "aedt", "Etc/GMT-11"},
    {"nzst", "nzst", "Etc/GMT-12"}, {"nzdt", "nzdt", "Etc/GMT-13"}, {"brt", "brt", "Etc/GMT+3"},
    {"clt", "clt", NULL},           {"cot", "cot", "Etc/GMT+5"},    {"gst", "gst", "Etc/GMT-4"},
    {"idt", "idt", "Etc/GMT-3"},    {"trt", "trt", "Etc/GMT-3"},    {"ict", "ict", "Etc/GMT-7"},
};

/* Names in words, the longer before those that they hold. */
static const struct {
    const char *words, *known_as;
} phrases[] = {{"eastern standard time", "est"},
               {"eastern daylight time", "edt"},
               {"central standard time", "cst"},
               {"central daylight time", "cdt"},
               {"mountain standard time", "mst"},
               {"mountain daylight time", "mdt"},
               {"pacific standard time", "pst"},
               {"pacific daylight time", "pdt"},
               {"atlantic standard time", "ast"},
               {"atlantic daylight time", "adt"},
               {"alaska standard time", "akst"},
               {"alaska daylight time", "akdt"},
               {"central european summer time", "cest"},
               {"central european time", "cet"},
               {"western european summer time", "west"},
               {"western european time", "wet"},
               {"eastern european summer time", "eest"},
               {"eastern european time", "eet"},
               {"british summer time", "bst"},
               {"greenwich mean time", "gmt"},
               {"coordinated universal time", "utc"},
               {"universal time", "utc"},
               {"weltzeit", "utc"},
               {"mitteleuropaische sommerzeit", "cest"},
               {"mitteleuropaische zeit", "cet"},
               {"japan standard time", "jst"},
               {"india standard time", "ist"},
               {"us eastern", "et"},
               {"us central", "ct"},
               {"us mountain", "mt"},
               {"us pacific", "pt"},
               {"eastern time", "et"},
               {"central time", "ct"},
               {"mountain time", "mt"},
               {"pacific time", "pt"}};

static const char *const winters[] = {"standard time", "normalzeit",       "winterzeit",         "winter time",
                                      "heure d hiver", "hora de invierno", "horario de inverno", "ora solare",
                                      "wintertijd",    "vintertid",        "czas zimowy",        "normaltid"};
static const char *const summers[] = {"daylight saving time", "daylight saving", "daylight time",  "summer time",
                                      "sommerzeit",           "heure d ete",     "hora de verano", "horario de verao",
                                      "ora legale",           "zomertijd",       "sommartid",      "czas letni"};
static const char *const locals[] = {"local",     "local time",   "site time",    "site",       "ortszeit",
                                     "lokalzeit", "heure locale", "hora local",   "ora locale", "lokale tijd",
                                     "lokal tid", "czas lokalny", "tiempo local", "n a",        "none"};

static const char *one_of(const char *words, const char *const *list, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (mr_words_hold(words, list[i]))
            return list[i];
    return NULL;
}

static const struct zone_letters *find_letters(const char *word, size_t n) {
    for (size_t i = 0; i < MR_COUNT(all_letters); i++)
        if (strlen(all_letters[i].letters) == n && mr_text_equal_fold(word, n, all_letters[i].letters, n))
            return &all_letters[i];
    return NULL;
}

static const char *phrase_in(const char *words) {
    for (size_t i = 0; i < MR_COUNT(phrases); i++)
        if (mr_words_hold(words, phrases[i].words))
            return phrases[i].known_as;
    return NULL;
}

static bool letter(char c) {
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

/* "Europe/Berlin" somewhere in a text. */
static const char *place_in(struct mr_arena *arena, const char *text) {
    for (const char *slash = strchr(text, '/'); slash; slash = strchr(slash + 1, '/')) {
        const char *from = slash, *to = slash + 1;
        while (from > text && (letter(from[-1]) || from[-1] == '_'))
            from--;
        while (letter(*to) || (*to && strchr("_-/", *to)) || (mr_is_digit(*to)))
            to++;
        const struct mr_tzone *zone;
        const char *name = mr_strndup(arena, from, (size_t)(to - from));
        if (slash - from > 1 && to - slash > 2 && mr_tzone_load(arena, name, &zone) == MR_OK)
            return name;
    }
    return NULL;
}

static const char *letters_in(const char *text, bool capitals) {
    for (const char *p = text; *p;) {
        size_t n = 0;
        bool upper = true, after_word = p > text && (letter(p[-1]) || mr_is_digit(p[-1]));
        while (letter(p[n])) {
            upper &= p[n] <= 'Z';
            n++;
        }
        const struct zone_letters *found = n && !after_word ? find_letters(p, n) : NULL;
        if (found && (upper || !capitals))
            return found->known_as;
        p += n + !n;
    }
    return NULL;
}

/* "(CT)": two letters are words in any text but a bracket of their own. */
static const char *bracketed(const char *text) {
    static const char *const zones[][2] = {{"ET", "et"}, {"CT", "ct"}, {"MT", "mt"}, {"PT", "pt"}};
    for (const char *p = strpbrk(text, "(["); p; p = strpbrk(p + 1, "(["))
        for (size_t i = 0; i < MR_COUNT(zones); i++)
            if (strncmp(p + 1, zones[i][0], 2) == 0 && p[3] && strchr(")]", p[3]))
                return zones[i][1];
    return NULL;
}

const char *mr_zone_word_in(struct mr_arena *arena, const char *text, const char *words, bool sure_only) {
    const char *found = strchr(text, '/') ? place_in(arena, text) : NULL;
    found = found ? found : phrase_in(words);
    found = found ? found : one_of(words, winters, MR_COUNT(winters));
    found = found ? found : one_of(words, summers, MR_COUNT(summers));
    found = found ? found : letters_in(text, sure_only);
    found = found ? found : bracketed(text);
    return found ? found : "";
}

bool mr_zone_says_time(const char *words) {
    static const char *const list[] = {
        "time", "times", "clock", "timestamps", "timestamp",   "zeit", "zeiten", "heure", "heures",  "hora", "horas",
        "ora",  "ore",   "tid",   "tider",      "zeitangaben", "tijd", "tijden", "czas",  "timezone"};
    return one_of(words, list, MR_COUNT(list)) != NULL;
}

/* --- comparison with the job's zone -------------------------------------------------------------------------------
 */

static int64_t moment_of(const struct mr_tzone *zone, int64_t local_ms) {
    struct mr_tz_cursor cursor = mr_tz_cursor(zone);
    return mr_tz_to_utc(&cursor, local_ms).first_utc_ms;
}

/* "et" is eastern time, whatever the season: EST or EDT. */
static bool same_letters(const char *known_as, const char *shown) {
    size_t n = strlen(shown);
    if (strlen(known_as) == 2 && n == 3)
        return (shown[0] | 32) == known_as[0] && (shown[2] | 32) == known_as[1];
    return mr_text_equal_fold(known_as, strlen(known_as), shown, n);
}

/* One statement at one moment of the job's zone. */
static bool fits_at(struct mr_arena *arena, const char *text, const struct mr_tzone *zone, int64_t t_utc_ms) {
    const char *words = mr_words_fold(arena, text, strlen(text));
    const char *as = mr_printf(arena, "00:00 %s", text);
    int64_t offset = mr_tz_offset(zone, t_utc_ms);
    struct mr_when w;
    const struct mr_tzone *other;
    if (mr_when_scan(as, strlen(as), &w) && w.has_zone)
        return w.offset_min * INT64_C(60000) == offset;
    const char *place = strchr(text, '/') ? place_in(arena, text) : NULL;
    if (place && mr_tzone_load(arena, place, &other) == MR_OK)
        return mr_tz_offset(other, t_utc_ms) == offset;
    const char *known_as = phrase_in(words);
    const struct zone_letters *letters = find_letters(words, strlen(words));
    known_as = known_as ? known_as : letters ? letters->known_as : NULL;
    if (known_as && (strcmp(known_as, "utc") == 0 || strcmp(known_as, "gmt") == 0))
        return offset == 0;
    if (known_as || strlen(words) <= 5)
        return same_letters(known_as ? known_as : words, mr_tz_letters(zone, t_utc_ms));
    if (one_of(words, winters, MR_COUNT(winters)))
        return !mr_tz_summer(zone, t_utc_ms);
    return one_of(words, summers, MR_COUNT(summers)) && mr_tz_summer(zone, t_utc_ms);
}

/* "CET/CEST" names both halves of the year. */
static bool either_fits(struct mr_arena *arena, const char *text, const struct mr_tzone *zone, int64_t t_utc_ms) {
    const char *slash = strchr(text, '/');
    if (fits_at(arena, text, zone, t_utc_ms))
        return true;
    return slash && !place_in(arena, text) &&
           (fits_at(arena, mr_strndup(arena, text, (size_t)(slash - text)), zone, t_utc_ms) ||
            fits_at(arena, slash + 1, zone, t_utc_ms));
}

bool mr_zone_fits(struct mr_arena *arena, const char *text, const struct mr_tzone *zone, const char *name,
                  int64_t first_local_ms, int64_t last_local_ms) {
    const char *words = mr_words_fold(arena, text, strlen(text));
    if (!*words || mr_word_among(words, strlen(words), locals, MR_COUNT(locals)) ||
        mr_text_equal_fold(text, strlen(text), name, strlen(name)))
        return true;
    return either_fits(arena, text, zone, moment_of(zone, first_local_ms)) &&
           either_fits(arena, text, zone, moment_of(zone, last_local_ms));
}

const char *mr_zone_example(struct mr_arena *arena, const char *text) {
    const char *words = mr_words_fold(arena, text, strlen(text));
    const char *place = strchr(text, '/') ? place_in(arena, text) : NULL, *phrase = phrase_in(words);
    if (place)
        return place;
    const char *as = phrase ? phrase : words;
    const struct zone_letters *letters = find_letters(as, strlen(as));
    return letters ? letters->example : NULL;
}
