/*
 * named_areas.c - the areas that a person names in a row about a repair: "repair area 2", "areas A1, A3 and A5",
 * "Bereiche 2-4". A repair closes what failed there and nowhere else.
 */
#include "assess/thickness/thickness.h"

#include "base/text.h"

#include <string.h>

static const char *const area_words[] = {"area", "areas", "bereich", "bereiche", "bereichen",
                                         "aire", "aires", "feld",    "felder"};
static const char *const joins[] = {"and", "und", "et", "y", "e", "en", "och", "i"};
static const char *const numbers[] = {"no", "nr", "number", "numbers", "nos"};
static const char *const spans[] = {"to", "bis", "through", "a", "tot", "till"};

#define AMONG(list) mr_word_among(p, n, list, MR_COUNT(list))

static size_t token_length(const char *p) {
    size_t n = 0;
    while (mr_is_digit(p[n]) || (p[n] >= 'a' && p[n] <= 'z') || (unsigned char)p[n] >= 0x80)
        n++;
    if (n == 1 && !mr_is_digit(*p) && p[1] == '-' && mr_is_digit(p[2])) /* "A-3" is one name */
        for (n = 3; mr_is_digit(p[n]);)
            n++;
    return n;
}

static bool may_be_id(const char *p, size_t n) {
    return n == 1 || strcspn(p, "0123456789") < n;
}

static void add(struct mr_arena *arena, struct mr_repair *out, const char *p, size_t n) {
    const char *id = mr_area_id(arena, mr_strndup(arena, p, n));
    if (*id)
        MR_PUSH(arena, &out->area_ids, id);
}

static long figure(const char *p) { /* at most four digits */
    long value = 0;
    for (int i = 0; i < 4 && mr_is_digit(p[i]); i++)
        value = 10 * value + (p[i] - '0');
    return value;
}

/* "2-4" and "2 to 4" hold what lies between, where both are figures. */
static void add_span(struct mr_arena *arena, struct mr_repair *out, const char *last, const char *p) {
    const long to = figure(p);
    for (long k = figure(last) + 1, n = 0; k < to && n < 100; k++, n++) {
        const char *id = mr_printf(arena, "%ld", k);
        add(arena, out, id, strlen(id));
    }
}

/* The list behind a word for areas; returns where it ends. */
static char *take_list(struct mr_arena *arena, char *p, struct mr_repair *out) {
    const char *last = NULL;
    bool joined = true, span = false;
    while (*p) {
        const size_t gap = strcspn(p, "0123456789abcdefghijklmnopqrstuvwxyz");
        for (size_t i = 0; i < gap; i++) {
            joined = joined || strchr(",&+/-;", p[i]);
            span = span || p[i] == '-';
            if (strchr(":.()\n", p[i]) && last)
                return p;
        }
        p += gap;
        const size_t n = token_length(p);
        if (!n)
            return p;
        if (last && (AMONG(joins) || AMONG(spans)) && !(n == 1 && joined)) {
            span = AMONG(spans);
            joined = true;
        } else if (may_be_id(p, n) && joined) {
            if (span && last && mr_is_digit(*last) && mr_is_digit(*p))
                add_span(arena, out, last, p);
            add(arena, out, p, n);
            last = p;
            joined = span = false;
        } else if (last || !AMONG(numbers)) {
            return p;
        }
        p += n;
    }
    return p;
}

static size_t letters_of(const char *p, size_t n) {
    size_t k = 0;
    while (k < n && !mr_is_digit(p[k]))
        k++;
    return k;
}

/* "a7" where the areas of the zone are a1, a2 and a3: letters and a number. */
static bool like_known(const char *p, size_t n, const mr_area_ids *known) {
    size_t letters = letters_of(p, n);
    if (letters > 1 && p[letters - 1] == '-')
        letters--;
    if (letters == 0 || letters == n)
        return false;
    for (size_t i = 0; i < known->n; i++) {
        const char *id = known->v[i];
        const size_t own = letters_of(id, strlen(id));
        if (own == letters && id[own] && memcmp(id, p, own) == 0)
            return true;
    }
    return false;
}

static bool is_known(const mr_area_ids *known, const char *id) {
    for (size_t i = 0; i < known->n; i++)
        if (strcmp(known->v[i], id) == 0)
            return true;
    return false;
}

/* "A3" of a zone whose areas are 1, 2 and 3, and "area 3" of one with A1, A2 and A3. */
static const char *as_known(struct mr_arena *arena, const char *id, const mr_area_ids *known) {
    const char *with = mr_printf(arena, "a%s", id), *without = *id == 'a' ? id + 1 : id;
    return is_known(known, id) ? id : is_known(known, without) ? without : is_known(known, with) ? with : id;
}

/* "a3" where the zone has an area 3. */
static bool is_numbered_area(struct mr_arena *arena, const char *p, size_t n, const mr_area_ids *known) {
    const size_t digits = *p == 'a' ? strspn(p + 1, "-") + 1 : 0;
    return digits && digits < n && mr_is_digit(p[digits]) &&
           is_known(known, mr_area_id(arena, mr_strndup(arena, p + digits, n - digits)));
}

bool mr_named_areas(struct mr_arena *arena, const char *text, const mr_area_ids *known, struct mr_repair *out) {
    const size_t before = out->area_ids.n;
    char *p = mr_strdup(arena, text ? text : "");
    for (char *c = p; *c; c++)
        *c = (char)(*c >= 'A' && *c <= 'Z' ? *c + ('a' - 'A') : *c);
    while (*p) {
        const size_t n = token_length(p);
        if (like_known(p, n, known) || is_numbered_area(arena, p, n, known))
            add(arena, out, p, n);
        p = AMONG(area_words) ? take_list(arena, p + n, out) : p + (n ? n : 1);
    }
    for (size_t i = before; i < out->area_ids.n; i++)
        out->area_ids.v[i] = as_known(arena, out->area_ids.v[i], known);
    return out->area_ids.n > before;
}
