/*
 * word_index.h - where a word stands in a list, without a search through all of it: zones by name, in tables of
 * many zones.
 */
#ifndef MILRISE_RENDER_DATA_WORD_INDEX_H
#define MILRISE_RENDER_DATA_WORD_INDEX_H

#include "milrise/arena.h"

struct mr_word_index {
    size_t n;
    const char **word; /* in order of the words; borrowed */
    size_t *at;        /* place of each in the list */
};

/** mr_word_index_make - words: shape n, borrowed as long as the index is used. */
struct mr_word_index mr_word_index_make(struct mr_arena *arena, size_t n, const char *const *words);

/** mr_word_places - the places of a word, in ascending order; *out_n is 0 where there is none. */
const size_t *mr_word_places(const struct mr_word_index *index, const char *word, size_t *out_n);

#endif
