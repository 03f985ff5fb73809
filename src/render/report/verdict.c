/*
 * verdict.c - the short table that the command prints: plain text, aligned by characters, no colours.
 */
#include "render/data/outline.h"

#include "base/buffer.h"
#include "base/utf8.h"
#include "milrise/render.h"

#include <string.h>

enum { ZONE_WIDTH_MOST = 32 };

static const char *short_word(enum mr_outcome outcome) {
    switch (outcome) {
    case MR_CONFORMS:
        return "yes";
    case MR_DOES_NOT_CONFORM:
        return "NO";
    case MR_NOT_SHOWN:
        return "not shown";
    case MR_NOT_REQUIRED:
        break;
    }
    return "-";
}

static void put(struct mr_buffer *out, const char *text, size_t width) {
    mr_buffer_text(out, text);
    for (size_t n = mr_utf8_characters(text, strlen(text)); n < width; n++)
        mr_buffer_text(out, " ");
}

static const char *zone_text(struct mr_arena *arena, const char *name) {
    const char *clean = mr_clean_text(arena, name, strlen(name), 200);
    size_t n = 0, i = 0;
    for (; clean[i]; i++)
        if (((unsigned char)clean[i] & 0xc0) != 0x80 && n++ == ZONE_WIDTH_MOST - 1)
            return mr_printf(arena, "%.*s…", (int)i, clean);
    return clean;
}

char *mr_verdict_text(struct mr_arena *arena, const struct mr_assessment *a) {
    struct mr_buffer out = {.arena = arena};
    size_t width = 4, group_width[8];
    const size_t zones = a->aligned->zones.n;
    const char **name = MR_ARRAY(arena, const char *, zones);
    for (size_t i = 0; i < zones; i++) {
        name[i] = zone_text(arena, a->aligned->zones.v[i].name);
        width = mr_utf8_characters(name[i], strlen(name[i])) > width ? mr_utf8_characters(name[i], strlen(name[i]))
                                                                     : width;
    }
    put(&out, "zone", width + 2);
    put(&out, "outcome", 18);
    for (size_t g = 0; g < 8; g++) {
        group_width[g] = strlen(mr_groups[g]);
        for (size_t i = 0; i < zones; i++)
            if (a->zones[i].by_group[g] == MR_NOT_SHOWN && group_width[g] < 9)
                group_width[g] = 9;
        put(&out, mr_groups[g], g == 7 ? 0 : group_width[g] + 2);
    }
    put(&out, "\n", 0);
    for (size_t i = 0; i < zones; i++) {
        put(&out, name[i], width + 2);
        put(&out, mr_outcome_text(a->zones[i].outcome), 18);
        for (size_t g = 0; g < 8; g++)
            put(&out, short_word(a->zones[i].by_group[g]), g == 7 ? 0 : group_width[g] + 2);
        put(&out, "\n", 0);
    }
    put(&out,
        mr_printf(arena, "%sjob: %s. %s; %zu %s.\n", zones ? "\n" : "", mr_outcome_text(a->outcome),
                  mr_zone_counts_text(arena, a), a->findings.n, a->findings.n == 1 ? "finding" : "findings"),
        0);
    put(&out, "yes = conforms, NO = does not conform, - = not required\n", 0);
    return mr_buffer_end(&out);
}
