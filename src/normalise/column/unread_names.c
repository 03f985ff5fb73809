/* unread_names.c - see unread_names.h. */
#include "normalise/column/unread_names.h"

#include "base/text.h"
#include "normalise/cell/words.h"
#include "normalise/column/companion_words.h"
#include "normalise/column/suggest.h"
#include "normalise/phrase/free_words.h"

#include <string.h>

#define HOLDS(words, list) mr_words_hold_any(words, list, MR_COUNT(list))

/* Headings that may name the gauge; and what else they say of it. */
static const char *const of_gauge[] = {"gauge",  "gage",    "device",     "meter",       "equipment",   "tool",
                                       "serial", "sn",      "instrument", "gerat",       "prufgerat",   "messgerat",
                                       "tester", "apparat", "appareil",   "apparecchio", "dispositivo", "matricola"};
static const char *const of_its_state[] = {
    "model", "type",    "mode",   "name",   "make",    "maker",    "manufacturer", "brand",       "battery", "temp",
    "range", "memory",  "status", "state",  "version", "firmware", "software",     "certificate", "cert",    "cal",
    "until", "expires", "due",    "offset", "probe",   "typ",      "modell",       "modele",      "modelo",  "unit"};

static size_t column_of(const struct mr_plan *plan, enum mr_meaning meaning) {
    for (size_t i = 0; i < plan->n; i++)
        if (plan->col[i].as.meaning == meaning)
            return i;
    return MR_NONE;
}

/* "Pos. no" without the words that any name may have: what is left says what is numbered. */
static const char *without_numbering(struct mr_arena *arena, const char *words) {
    static const char *const numbering[] = {"no", "nr", "number", "id", "tag", "num", "nummer"};
    const char *left = "";
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        if (!mr_word_among(w, n, numbering, MR_COUNT(numbering)))
            left = mr_printf(arena, "%s%s%.*s", left, *left ? " " : "", (int)n, w);
    }
    return left;
}

static bool is_left_out(const struct mr_map *map, const char *words) {
    for (size_t i = 0; i < map->ignore.n; i++)
        if (mr_words_hold(words, map->ignore.v[i]))
            return true;
    return false;
}

/* "G1" and "G22" are written alike, "6000 FN" and "784512" are not. */
static const char *form_of(struct mr_arena *arena, const char *text) {
    char *form = mr_strndup(arena, text, strlen(text)), last = '\0';
    size_t n = 0;
    for (const char *p = text; *p; p++) {
        const char now = mr_is_digit(*p) ? '9' : *p;
        if (now != '9' || last != '9')
            form[n++] = last = now;
    }
    form[n] = '\0';
    return form;
}

static bool has_text(const struct mr_shape *shape, const char *text) {
    for (size_t i = 0; i < shape->n_texts; i++)
        if (strcmp(shape->texts[i], text) == 0)
            return true;
    return false;
}

/* Whether a column holds a name that the other one lacks and that is written like one of it. */
static bool names_another(struct mr_arena *arena, const struct mr_shape *shape, const struct mr_shape *read) {
    for (size_t i = 0; i < shape->n_texts; i++)
        for (size_t k = 0; k < read->n_texts && !has_text(read, shape->texts[i]); k++)
            if (strcmp(form_of(arena, shape->texts[i]), form_of(arena, read->texts[k])) == 0)
                return true;
    return false;
}

static bool may_name_gauge(struct mr_arena *arena, const struct mr_plan *plan, const struct mr_column_shapes *shapes,
                           size_t col) {
    const struct mr_plan_column *c = &plan->col[col];
    const size_t read = column_of(plan, MR_M_SERIAL);
    if (c->beaten != MR_M_SERIAL && (!HOLDS(c->words, of_gauge) || HOLDS(c->words, of_its_state)))
        return false;
    return read == MR_NONE || names_another(arena, &shapes->col[col], &shapes->col[read]);
}

/* Small whole numbers that come again and again, as the places of an area do; a series through all rows counts them.
 */
static bool numbers_places(const struct mr_shape *s) {
    enum { MOST = 500 };
    return s->cells > 2 && s->integers == s->cells && !s->missing && s->least >= 0.0 && s->most > s->least &&
           s->most <= (double)MOST && s->most - s->least + 1.0 < (double)s->cells && !mr_shape_counts(s);
}

/* What a column of places could be: the spot, or the area where spots are named; MR_M_IGNORE. */
static enum mr_meaning place_of(struct mr_arena *arena, const struct mr_plan *plan,
                                const struct mr_column_shapes *shapes, size_t col) {
    const char *words = without_numbering(arena, plan->col[col].words);
    const char *text = plan->source->columns[col].text;
    const bool spot = column_of(plan, MR_M_SPOT) == MR_NONE, area = column_of(plan, MR_M_AREA_ID) == MR_NONE;
    if (plan->kind != MR_KIND_THICKNESS || (!spot && !area) || !numbers_places(&shapes->col[col]) ||
        *plan->source->columns[col].unit || is_left_out(plan->map, words) || mr_is_neutral_heading(words) ||
        mr_companion_of(plan->kind, text, mr_words_fold(arena, text, strlen(text))) != MR_COMPANION_ABOUT)
        return MR_M_IGNORE;
    return spot ? MR_M_SPOT : MR_M_AREA_ID;
}

static bool is_asked_of(enum mr_kind kind) {
    return mr_is_film_kind(kind) || kind == MR_KIND_VERIFICATION;
}

static enum mr_meaning could_name(struct mr_arena *arena, const struct mr_plan *plan,
                                  const struct mr_column_shapes *shapes, size_t col) {
    const struct mr_plan_column *c = &plan->col[col];
    if (c->as.meaning != MR_M_IGNORE || c->by_job || c->asked || !*c->words || !shapes->col[col].cells)
        return MR_M_IGNORE;
    return may_name_gauge(arena, plan, shapes, col) ? MR_M_SERIAL : place_of(arena, plan, shapes, col);
}

static void ask(struct mr_arena *arena, struct mr_plan *plan, size_t col, enum mr_meaning meaning,
                struct mr_diags *diags) {
    const size_t read = column_of(plan, meaning);
    const char *word = mr_meaning_word(meaning), *name = plan->col[col].as.name,
               *key = mr_column_key(arena, plan->source, col);
    const char *other =
        read == MR_NONE ? "" : mr_printf(arena, ", and %s = ignore", mr_column_key(arena, plan->source, read));
    const char *line = mr_printf(arena, "%s = %s", key, read == MR_NONE ? word : "ignore");
    mr_diag_add(diags, MR_ERROR, "unread-name",
                (struct mr_place){.file = plan->source->path, .line = plan->source->header_line},
                mr_clean_text(arena, name, strlen(name), 60),
                mr_printf(arena,
                          "Say in job.milrise what it is: %s / %s = %s%s; otherwise %s = ignore. Values set aside.",
                          mr_file_key(arena, plan->source), key, word, other, key),
                read == MR_NONE ? "may hold the %s, which no column that is read gives"
                                : "names another %s than the column that is read",
                word);
    mr_plan_ask(arena, plan, MR_ASK_NAME,
                read == MR_NONE ? mr_printf(arena, "%s\n# or = ignore, where it holds no %s", line, word)
                                : mr_printf(arena, "%s\n# or %s = %s%s", line, key, word, other));
}

void mr_ask_unread_names(struct mr_arena *arena, struct mr_plan *plan, const struct mr_column_shapes *shapes,
                         struct mr_diags *diags) {
    bool open = false;
    for (size_t i = 0; is_asked_of(plan->kind) && i < plan->n; i++) {
        const enum mr_meaning meaning = could_name(arena, plan, shapes, i);
        if (meaning == MR_M_IGNORE)
            continue;
        ask(arena, plan, i, meaning, diags);
        plan->col[i].asked = open = true;
    }
    for (size_t i = 0; open && i < plan->n; i++)
        if (plan->col[i].as.meaning == MR_M_FILM) {
            plan->col[i].as = (struct mr_column){.name = plan->col[i].as.name, .unit_why = ""};
            plan->col[i].asked = plan->names_open = true;
        }
}
