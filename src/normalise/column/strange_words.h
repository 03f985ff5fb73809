/*
 * strange_words.h - the word of a heading that nobody knows: "RH office", "Thickness zorb um".
 */
#ifndef MILRISE_NORMALISE_COLUMN_STRANGE_WORDS_H
#define MILRISE_NORMALISE_COLUMN_STRANGE_WORDS_H

#include "normalise/column/column_map.h"

/** mr_strange_word - the first of the folded words that is no number, no unit of the meaning's dimension, no word by
 *  which the map knows the meaning and none known to be harmless beside it. *out_n: its length. NULL = all known. */
const char *mr_strange_word(const struct mr_map *map, enum mr_meaning meaning, const char *words, size_t *out_n);

#endif
