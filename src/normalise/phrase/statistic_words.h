/*
 * statistic_words.h - names of statistics in lines and headings: "Minimum", "Max RH", "Number of readings".
 */
#ifndef MILRISE_NORMALISE_PHRASE_STATISTIC_WORDS_H
#define MILRISE_NORMALISE_PHRASE_STATISTIC_WORDS_H

#include "milrise/arena.h"

enum mr_statistic { MR_STATISTIC_NONE, MR_STATISTIC_COUNT, MR_STATISTIC_LEAST, MR_STATISTIC_MOST, MR_STATISTIC_MEAN };

/** mr_statistic_named - the statistic that a whole name is. words: folded. */
enum mr_statistic mr_statistic_named(const char *words);

/** mr_holds_statistic - whether a word of the least, the most or the mean stands in a name. */
bool mr_holds_statistic(const char *words, enum mr_statistic of);

/** mr_statistic_in - the one statistic whose word stands in a name, of *out_rest: "max rh" is the most of "rh". NONE
 *  where none or several do. */
enum mr_statistic mr_statistic_in(struct mr_arena *arena, const char *words, const char **out_rest);

#endif
