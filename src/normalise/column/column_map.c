/*
 * column_map.c - reads column maps; words.c matches header words against them.
 */
#include "normalise/column/column_map.h"

#include "base/keyfile.h"
#include "base/text.h"

#include <string.h>

/* --- loading -----------------------------------------------------------------------------------------------------
 */

struct map_loader {
    struct mr_arena *arena;
    struct mr_diags *diags;
    struct mr_maps *maps;
    bool own;
};

/* Calls fn for each item of a list separated by `mark`. */
static const char *next_item(struct mr_arena *arena, const char **list, char mark) {
    const char stop[2] = {mark, '\0'};
    while (**list) {
        size_t n = strcspn(*list, stop);
        const char *item = *list;
        *list += n + ((*list)[n] != '\0');
        char *words = mr_words_fold(arena, item, n);
        if (*words)
            return words;
        char *kept = mr_fold(arena, item, n); /* a mark alone, such as a check mark */
        if (*kept)
            return kept + (*kept == ' ');
    }
    return NULL;
}

static void wrong(struct map_loader *l, const struct mr_key *key, const char *mend) {
    mr_diag_add(l->diags, MR_ERROR, "column-map", key->value_place, key->raw_key, mend,
                "is not known in a column map");
}

static mr_meanings take_meanings(struct map_loader *l, const struct mr_key *key, const char *list, char mark) {
    mr_meanings set = 0;
    enum mr_meaning meaning;
    for (const char *word; (word = next_item(l->arena, &list, mark)) != NULL;) {
        if (mr_meaning_find(l->arena, word, &meaning))
            set |= MR_BIT(meaning);
        else
            wrong(l, key, "Use the meanings that `milrise explain` shows.");
    }
    return set;
}

static void take_needs(struct map_loader *l, struct mr_map *map, const struct mr_key *key) {
    const char *list = key->value;
    while (*list) {
        size_t n = strcspn(list, "|");
        mr_meanings set = take_meanings(l, key, mr_strndup(l->arena, list, n), '+');
        if (set)
            MR_PUSH(l->arena, &map->needs, set);
        list += n + (list[n] == '|');
    }
}

static void take_kind_key(struct map_loader *l, struct mr_map *map, const struct mr_key *key) {
    const char *list = key->value;
    if (strcmp(key->key, "name") == 0)
        return;
    if (strcmp(key->key, "needs") == 0) {
        take_needs(l, map, key);
    } else if (strcmp(key->key, "helps") == 0) {
        map->helps |= take_meanings(l, key, list, ',');
    } else if (strcmp(key->key, "not with") == 0) {
        map->not_with |= take_meanings(l, key, list, ',');
    } else if (strcmp(key->key, "file words") == 0) {
        for (const char *word; (word = next_item(l->arena, &list, ',')) != NULL;)
            MR_PUSH(l->arena, &map->file_words, word);
    } else if (strcmp(key->key, "needs words") == 0) {
        for (const char *word; (word = next_item(l->arena, &list, ',')) != NULL;)
            MR_PUSH(l->arena, &map->needs_words, word);
    } else if (strcmp(key->key, "never words") == 0) {
        for (const char *word; (word = next_item(l->arena, &list, ',')) != NULL;)
            MR_PUSH(l->arena, &map->never_words, word);
    } else {
        wrong(l, key, "Keys of [kind]: name, needs, helps, not with, file words, needs words, never words.");
    }
}

static void take_columns(struct map_loader *l, struct mr_map *map, const struct mr_key *key) {
    enum mr_meaning meaning;
    if (!mr_meaning_find(l->arena, key->key, &meaning)) {
        wrong(l, key, "Use the meanings that `milrise explain` shows.");
        return;
    }
    for (const char *at = key->value; *at;) {
        size_t n = strcspn(at, ","), name = strcspn(at, "[,");
        const char *words = mr_words_fold(l->arena, at, name);
        struct mr_map_word w = {
            .meaning = meaning, .words = words, .own = l->own, .whole = at[strspn(at, " \t")] == '='};
        if (name < n && !mr_unit_parse(at + name, n - name, mr_meaning_dim(meaning), &w.unit))
            wrong(l, key, "Write the unit of a word in brackets behind it: tmpf [degF].");
        if (*words)
            MR_PUSH(l->arena, &map->words, w);
        at += n + (at[n] == ',');
    }
}

static void take_list(struct map_loader *l, struct mr_map *map, const struct mr_key_section *s,
                      const struct mr_key *key) {
    const char *name = mr_printf(l->arena, "%s.%s", s->name, mr_words_fold(l->arena, key->key, strlen(key->key)));
    struct mr_word_list *list = NULL;
    for (size_t i = 0; i < map->lists.n; i++)
        if (strcmp(map->lists.v[i].name, name) == 0)
            list = &map->lists.v[i];
    if (!list) {
        MR_PUSH(l->arena, &map->lists, (struct mr_word_list){.name = name});
        list = &map->lists.v[map->lists.n - 1];
    }
    const char *items = key->value;
    for (const char *word; (word = next_item(l->arena, &items, ',')) != NULL;)
        MR_PUSH(l->arena, &list->words, word);
}

static enum mr_kind kind_of_map(struct mr_arena *arena, const struct mr_keyfile *file) {
    enum mr_kind kind = MR_KIND_UNKNOWN;
    for (size_t i = 0; i < file->sections.n; i++) {
        const struct mr_key *key = mr_key_find(&file->sections.v[i], "name");
        if (strcmp(file->sections.v[i].name, "kind") == 0 && key)
            mr_kind_find(arena, key->value, &kind);
    }
    return kind;
}

static void load_text(struct map_loader *l, const struct mr_text_file *text) {
    struct mr_keyfile file;
    if (mr_keyfile_parse(l->arena, text->name, text->data, text->size, l->diags, &file) != MR_OK && !l->own)
        return;
    enum mr_kind kind = kind_of_map(l->arena, &file);
    if (kind == MR_KIND_UNKNOWN) {
        mr_diag_add(l->diags, MR_ERROR, "column-map", (struct mr_place){.file = text->name, .line = 1}, NULL,
                    "Begin the map with [kind] and a line name = thickness, climate, temperature, pressure ...",
                    "the map does not say what kind of file it is for");
        return;
    }
    struct mr_map *map = &l->maps->map[kind];
    for (size_t i = 0; i < file.sections.n; i++) {
        const struct mr_key_section *s = &file.sections.v[i];
        for (size_t k = 0; k < s->keys.n; k++) {
            const struct mr_key *key = &s->keys.v[k];
            if (strcmp(s->name, "kind") == 0)
                take_kind_key(l, map, key);
            else if (strcmp(s->name, "columns") == 0)
                take_columns(l, map, key);
            else if (strcmp(s->name, "ignore") == 0) {
                const char *list = key->value;
                for (const char *word; (word = next_item(l->arena, &list, ',')) != NULL;)
                    MR_PUSH(l->arena, &map->ignore, word);
            } else if (*s->name)
                take_list(l, map, s, key);
        }
    }
}

static bool is_column_map(const char *name) {
    size_t n = strlen(name);
    return strncmp(name, "columns/", 8) == 0 && n > 12 && strcmp(name + n - 4, ".map") == 0;
}

enum mr_kind mr_maps_kind(struct mr_arena *arena, const struct mr_job *job, const char *name) {
    const char *path = mr_printf(arena, "columns/%s.map", name);
    size_t n;
    const struct mr_text_file *built_in = mr_templates(&n);
    for (size_t i = 0; i < job->texts.n + n; i++) {
        const struct mr_text_file *text = i < job->texts.n ? &job->texts.v[i] : &built_in[i - job->texts.n];
        struct mr_keyfile file;
        if (strcmp(text->name, path) == 0 &&
            mr_keyfile_parse(arena, text->name, text->data, text->size, NULL, &file) == MR_OK)
            return kind_of_map(arena, &file);
    }
    return MR_KIND_UNKNOWN;
}

void mr_maps_load(struct mr_arena *arena, const struct mr_job *job, struct mr_diags *diags, struct mr_maps *out) {
    *out = (struct mr_maps){0};
    for (enum mr_kind k = MR_KIND_UNKNOWN; k < MR_KIND_COUNT; k++)
        out->map[k].kind = k;
    struct map_loader l = {.arena = arena, .diags = diags, .maps = out, .own = true};
    for (size_t i = 0; i < job->texts.n; i++)
        if (is_column_map(job->texts.v[i].name)) {
            MR_PUSH(arena, &out->names, job->texts.v[i].name);
            load_text(&l, &job->texts.v[i]);
        }
    l.own = false;
    size_t n;
    const struct mr_text_file *built_in = mr_templates(&n);
    for (size_t i = 0; i < n; i++)
        if (is_column_map(built_in[i].name))
            load_text(&l, &built_in[i]);
}

const struct mr_word_list *mr_map_list(const struct mr_map *map, const char *name) {
    for (size_t i = 0; i < map->lists.n; i++)
        if (strcmp(map->lists.v[i].name, name) == 0)
            return &map->lists.v[i];
    return NULL;
}

bool mr_list_holds(const struct mr_word_list *list, const char *words, bool whole) {
    for (size_t i = 0; list && i < list->words.n; i++)
        if (whole ? strcmp(list->words.v[i], words) == 0 : mr_words_hold(words, list->words.v[i]))
            return true;
    return false;
}
