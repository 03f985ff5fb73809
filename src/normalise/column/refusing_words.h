/*
 * refusing_words.h - words that keep a column from being a sensor, whatever else its heading says.
 */
#ifndef MILRISE_NORMALISE_COLUMN_REFUSING_WORDS_H
#define MILRISE_NORMALISE_COLUMN_REFUSING_WORDS_H

#include "normalise/column/meaning.h"

/** mr_refusing_word - the word of a heading that speaks of spread, error, accuracy, target, limit, tolerance,
 *  calibration, offset, count or quality, or of the instrument's own state, where such a column is never what the
 *  meaning needs; NULL where there is none. words: the heading, folded; text: as written, for its ± sign. */
const char *mr_refusing_word(const char *words, const char *text, enum mr_meaning meaning);

/** mr_statistic_word - what a heading of figures over several readings gives: MR_M_FILM for their mean, MR_M_SPREAD,
 *  MR_M_COUNT_OF for their number; MR_M_IGNORE where it is none. *rest: the heading without that word, in arena. */
enum mr_meaning mr_statistic_word(struct mr_arena *arena, const char *words, const char **rest);

#endif
