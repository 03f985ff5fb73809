/*
 * words.h - words of headings and lines: letter case, accents and marks do not count.
 */
#ifndef MILRISE_NORMALISE_CELL_WORDS_H
#define MILRISE_NORMALISE_CELL_WORDS_H

#include "milrise/arena.h"

/** mr_words_fold - lower-case words with single blanks, without accents: marks become blanks, "SteelTemp" two words,
 * "CH1" two. */
char *mr_words_fold(struct mr_arena *arena, const char *text, size_t n);

/** mr_words_match - how well folded header words match a pattern: 0 = not, more is better, MR_MATCH_WHOLE and up = in
 * full. */
int mr_words_match(const char *words, const char *pattern);
#define MR_MATCH_WHOLE 1000

/** mr_words_hold - whether a pattern's words stand in a row anywhere in words. */
bool mr_words_hold(const char *words, const char *pattern);

/** mr_words_hold_any - whether one of a list's patterns stands in the words. */
bool mr_words_hold_any(const char *words, const char *const *list, size_t count);

/** mr_words_negated - whether a word turns round the others: "not deleted", "nicht verworfen", "no error". */
bool mr_words_negated(const char *words);

/** mr_text_scaled - whether a line speaks of tenths or hundredths of a unit. */
bool mr_text_scaled(struct mr_arena *arena, const char *text);

#endif
