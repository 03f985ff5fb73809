/* register_words.c - see register_words.h. */
#include "normalise/file/register_words.h"

#include "base/text.h"
#include "normalise/cell/words.h"

#include <string.h>

static void take_name(struct mr_arena *arena, struct mr_register_words *out, const char *name, size_t n,
                      const char *zone) {
    const char *words = mr_words_fold(arena, name, n);
    if (*words)
        MR_PUSH(arena, &out->v, ((struct mr_zone_words){words, zone}));
}

struct mr_register_words mr_register_words(struct mr_arena *arena, const struct mr_file_state *files, size_t n) {
    struct mr_register_words out = {0};
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < files[i].records.zones.n; k++) {
            const struct mr_zone_row *z = &files[i].records.zones.v[k];
            out.zones++;
            take_name(arena, &out, z->name, strlen(z->name), z->name);
            for (const char *p = z->aliases ? z->aliases : ""; *p; p += *p != '\0') {
                const size_t length = strcspn(p, ";|/");
                take_name(arena, &out, p, length, z->name);
                p += length;
            }
        }
    return out;
}

const char *mr_words_without(struct mr_arena *arena, const char *words, const char *name) {
    const size_t n = strlen(name);
    for (const char *p = words; (p = strstr(p, name)); p++)
        if ((p == words || p[-1] == ' ') && (p[n] == ' ' || !p[n]))
            return mr_printf(arena, "%.*s%s", (int)(p - words), words, p[n] ? p + n + 1 : "");
    return NULL;
}

const char *mr_number_behind(const char *words, const char *name) {
    const size_t n = strlen(name);
    for (const char *p = words; (p = strstr(p, name)); p++) {
        if ((p != words && p[-1] != ' ') || p[n] != ' ')
            continue;
        const char *behind = p + n + 1, *next = behind + strcspn(behind, " ");
        const size_t digits = strspn(behind, "0123456789");
        /* no part of a date: "11 05" */
        if (digits && digits <= 2 && behind + digits == next && !mr_is_digit(next[*next == ' ']))
            return behind;
    }
    return NULL;
}
