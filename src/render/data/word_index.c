#include "render/data/word_index.h"

#include "numeric/search.h"
#include "numeric/stable_sort.h"

#include <string.h>

struct indexed {
    const char *word;
    size_t at;
};

static int by_word(const void *a, const void *b) {
    return strcmp(((const struct indexed *)a)->word, ((const struct indexed *)b)->word);
}

static int word_order(const void *item, const void *key) {
    return strcmp(*(const char *const *)item, key);
}

struct mr_word_index mr_word_index_make(struct mr_arena *arena, size_t n, const char *const *words) {
    struct mr_word_index index = {n, MR_ARRAY(arena, const char *, n), MR_ARRAY(arena, size_t, n)};
    struct indexed *items = MR_ARRAY(arena, struct indexed, n);
    for (size_t i = 0; i < n; i++)
        items[i] = (struct indexed){words[i], i};
    mr_sort_stable(arena, items, n, sizeof *items, by_word);
    for (size_t i = 0; i < n; i++) {
        index.word[i] = items[i].word;
        index.at[i] = items[i].at;
    }
    return index;
}

const size_t *mr_word_places(const struct mr_word_index *index, const char *word, size_t *out_n) {
    const size_t from = mr_first_from(word, index->word, index->n, sizeof *index->word, word_order);
    *out_n = mr_first_after(word, index->word, index->n, sizeof *index->word, word_order) - from;
    return index->at + from;
}
