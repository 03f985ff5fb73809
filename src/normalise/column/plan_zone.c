/*
 * plan_zone.c - what a file says of the zone of its clock in headers and in columns of their own.
 */
#include "normalise/column/plan_zone.h"

#include "base/text.h"
#include "normalise/cell/when.h"
#include "normalise/column/zone_words.h"

#include <string.h>

bool mr_name_among(const char *words, const char *names) {
    size_t length = strlen(words);
    for (const char *name = names; *name;) {
        size_t n = strcspn(name, "|");
        if (length == n && memcmp(words, name, n) == 0)
            return true;
        name += n + (name[n] == '|');
    }
    return false;
}

const char *mr_preamble_value(struct mr_arena *arena, const struct mr_source *source, const char *names) {
    for (size_t i = 0; i < source->preamble.n; i++) {
        const struct mr_pair *p = &source->preamble.v[i];
        if (*p->value && mr_name_among(mr_words_fold(arena, p->name, strlen(p->name)), names))
            return p->value;
    }
    return NULL;
}

/* "-05:00", "+2" or "+0530" in a header: minutes east. Without a zone's name only the form with a colon counts. */
static bool header_offset(const char *text, bool named, int32_t *out_min) {
    for (const char *p = text; *p; p++) {
        if ((*p != '+' && *p != '-') || (p > text && mr_is_digit(p[-1])))
            continue;
        size_t digits = strspn(p + 1, "0123456789");
        const char *colon = p + 1 + digits;
        bool pair = *colon == ':' && strspn(colon + 1, "0123456789") == 2;
        if (digits != 1 && digits != 2 && digits != 4)
            continue;
        const char *end = pair ? colon + 3 : colon;
        const bool alone = p > text && strchr("([", p[-1]) && *end && strchr(")]", *end); /* "(-0500)" */
        if (*colon == ':' ? !pair : !named && !alone)
            continue;
        int whole = 0;
        for (size_t i = 1; i <= digits; i++)
            whole = whole * 10 + (p[i] - '0');
        int minutes = digits == 4 ? whole % 100 : pair ? (colon[1] - '0') * 10 + (colon[2] - '0') : 0;
        int hours = digits == 4 ? whole / 100 : whole;
        if (hours > 14 || minutes > 59)
            continue;
        *out_min = (*p == '-' ? -1 : 1) * (hours * 60 + minutes);
        return true;
    }
    return false;
}

bool mr_header_zone(struct mr_arena *arena, const struct mr_head *head, int32_t *out_min) {
    const char *words = mr_words_fold(arena, head->text, strlen(head->text));
    *out_min = 0;
    bool named = mr_words_hold(words, "utc") || mr_words_hold(words, "gmt") || mr_words_hold(words, "zulu");
    return header_offset(head->text, named, out_min) || named;
}

void mr_plan_header_zone(struct mr_arena *arena, struct mr_plan *plan, size_t col) {
    const struct mr_head *head = &plan->source->columns[col];
    int32_t min;
    if (mr_header_zone(arena, head, &min)) {
        plan->zone_stated = true;
        plan->zone_min = min;
        plan->zone_header = head->text;
    } else if (!*plan->zone_word) {
        plan->zone_word =
            mr_zone_word_in(arena, head->text, mr_words_fold(arena, head->text, strlen(head->text)), false);
    }
}

/* A column that names the zone of every row. One zone for all rows holds for the file; its words never mean a zone of
 * the steel. */
void mr_plan_zone_column(struct mr_arena *arena, struct mr_plan *plan, const struct mr_column_shapes *shapes) {
    static const char *const names[] = {"time zone",      "timezone",    "utc offset",    "gmt offset",
                                        "zone offset",    "tz",          "tz offset",     "zeitzone",
                                        "zona horaria",   "fuso orario", "fuso horario",  "tijdzone",
                                        "fuseau horaire", "tidszon",     "strefa czasowa"};
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_shape *s = &shapes->col[i];
        bool named = false;
        for (size_t k = 0; k < MR_COUNT(names); k++)
            named |= strcmp(plan->col[i].words, names[k]) == 0;
        named |= strcmp(plan->col[i].words, "offset") == 0 && s->n_texts && strchr("+-", s->texts[0][0]) &&
                 strchr(s->texts[0], ':');
        if (!named)
            continue;
        plan->col[i].as.meaning = MR_M_IGNORE;
        if (!s->n_texts || plan->zone_stated)
            continue;
        struct mr_when w;
        const char *sign = mr_is_digit(s->texts[0][0]) ? "+" : "";
        const char *probe = mr_printf(arena, "2026-01-01 00:00 %s%s", sign, s->texts[0]);
        if (s->n_texts == 1 && mr_when_scan(probe, strlen(probe), &w) && w.has_zone) {
            plan->zone_stated = true;
            plan->zone_min = w.offset_min;
            plan->zone_header = mr_printf(arena, "%s = %s", plan->col[i].as.name, s->texts[0]);
        } else {
            plan->zone_word = mr_strdup(arena, s->n_texts == 1 ? s->texts[0] : "more than one zone");
        }
    }
}
