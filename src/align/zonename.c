/*
 * zonename.c - folding of zone names. Letters are lowered and told from punctuation by GLib's Unicode tables, which
 * do not depend on the locale.
 */
#include "align/zonename.h"

#include "base/keyfile.h"
#include "base/text.h"
#include "base/utf8.h"

#include <glib.h>
#include <string.h>

size_t mr_zone_key(const char *text, char out[MR_ZONE_KEY_MAX]) {
    size_t n = strlen(text), used = 0;
    bool sign = false; /* blanks or punctuation since the last kept character */
    for (size_t i = 0; i < n && used + 8 < MR_ZONE_KEY_MAX;) {
        size_t len = mr_utf8_length(text + i, n - i);
        gunichar c = len ? g_utf8_get_char(text + i) : 0xfffd;
        if (len && !g_unichar_isalnum(c) && !g_unichar_ismark(c)) {
            sign = true;
            i += len;
            continue;
        }
        bool figure = c < 128 && mr_is_digit((char)c), after_figure = used && mr_is_digit(out[used - 1]);
        bool run_starts = figure && (!after_figure || sign);
        if (run_starts && c == '0' && mr_is_digit(text[i + 1])) {
            i += len; /* a leading zero: the sign before it stays in force */
            continue;
        }
        if (run_starts && after_figure)
            out[used++] = ' ';
        sign = false;
        if (len == 0)
            out[used++] = text[i];
        else
            used += (size_t)g_unichar_to_utf8(g_unichar_tolower(c), out + used);
        i += len ? len : 1;
    }
    out[used] = '\0';
    return used;
}

char *mr_folded_name(struct mr_arena *arena, const char *name) {
    char key[MR_ZONE_KEY_MAX];
    size_t n = mr_zone_key(name, key), kept = 0;
    for (size_t i = 0; i < n; i++) /* a blank parts figures only: "A 1" is "A1" */
        if (key[i] != ' ' || (i > 0 && mr_is_digit(key[i - 1]) && mr_is_digit(key[i + 1])))
            key[kept++] = key[i];
    return mr_strndup(arena, key, kept);
}

const char *mr_name_next(const char *list, const char *separators, char out[MR_ZONE_KEY_MAX]) {
    while (*list && (*list == ' ' || *list == '\t' || strchr(separators, *list)))
        list++;
    if (!*list)
        return NULL;
    size_t n = strcspn(list, separators), kept = n < MR_ZONE_KEY_MAX - 1 ? n : MR_ZONE_KEY_MAX - 1;
    while (kept && (list[kept - 1] == ' ' || list[kept - 1] == '\t'))
        kept--;
    memcpy(out, list, kept);
    out[kept] = '\0';
    return list + n;
}

const char *mr_alias_next(const char *list, char out[MR_ZONE_KEY_MAX]) {
    return mr_name_next(list, ";|/", out);
}

/* The figures of a key; a blank stands only between figures. "Deck 2" is no slip of the pen for "Deck 3". */
static void figures_of(const char *key, char *out) {
    for (; *key; key++)
        if (mr_is_digit(*key) || *key == ' ')
            *out++ = *key;
    *out = '\0';
}

void mr_zone_candidate_add(struct mr_arena *arena, mr_zone_candidates *list, const char *name) {
    char key[MR_ZONE_KEY_MAX], figures[MR_ZONE_KEY_MAX];
    if (mr_zone_key(name, key) == 0)
        return;
    figures_of(key, figures);
    struct mr_zone_candidate c = {mr_strdup(arena, name), mr_strdup(arena, key), mr_strdup(arena, figures)};
    MR_PUSH(arena, list, c);
}

const char *mr_zone_near(const char *text, const mr_zone_candidates *list, const char **room) {
    char key[MR_ZONE_KEY_MAX], figures[MR_ZONE_KEY_MAX];
    mr_zone_key(text, key);
    figures_of(key, figures);
    size_t kept = 0;
    for (size_t i = 0; i < list->n; i++)
        if (strcmp(figures, list->v[i].figures) == 0)
            room[kept++] = list->v[i].key;
    const char *best = kept ? mr_nearest(key, room, kept) : NULL;
    for (size_t i = 0; best && i < list->n; i++)
        if (list->v[i].key == best || strcmp(list->v[i].key, best) == 0)
            return list->v[i].name;
    return NULL;
}

static size_t hash_of(const char *text) {
    const uint64_t h = mr_hash(MR_HASH_SEED, text, strlen(text));
    return (size_t)(h ^ (h >> 32));
}

static size_t slot_of(const struct mr_names *names, const char *text) {
    size_t i = hash_of(text) & (names->room - 1);
    while (names->text[i] && strcmp(names->text[i], text) != 0)
        i = (i + 1) & (names->room - 1);
    return i;
}

size_t mr_names_get(const struct mr_names *names, const char *text) {
    if (names->room == 0)
        return MR_NONE;
    size_t i = slot_of(names, text);
    return names->text[i] ? names->value[i] : MR_NONE;
}

void mr_names_put(struct mr_arena *arena, struct mr_names *names, const char *text, size_t value) {
    if (names->n * 2 >= names->room) {
        struct mr_names grown = {.n = names->n, .room = names->room ? names->room * 2 : 64};
        grown.text = MR_ARRAY(arena, const char *, grown.room);
        grown.value = MR_ARRAY(arena, size_t, grown.room);
        for (size_t i = 0; i < names->room; i++)
            if (names->text[i]) {
                size_t k = slot_of(&grown, names->text[i]);
                grown.text[k] = names->text[i];
                grown.value[k] = names->value[i];
            }
        *names = grown;
    }
    size_t i = slot_of(names, text);
    if (!names->text[i]) {
        names->text[i] = mr_strdup(arena, text);
        names->n++;
    }
    names->value[i] = value;
}
