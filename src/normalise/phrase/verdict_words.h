/*
 * verdict_words.h - what a column of a gauge verification says of its outcome: "Passed: no", "Ergebnis: nicht
 * bestanden". The figures may look right and the gauge have failed all the same.
 */
#ifndef MILRISE_NORMALISE_PHRASE_VERDICT_WORDS_H
#define MILRISE_NORMALISE_PHRASE_VERDICT_WORDS_H

#include <stdbool.h>

/** mr_is_verdict_heading - whether folded words of a heading ask how a verification ended. */
bool mr_is_verdict_heading(const char *heading);

/** mr_verdict_passed - whether a cell under such a heading is known to say that the gauge passed. A figure that is
 *  neither 0 nor 1 is no verdict and stands against nothing. heading, words: folded. */
bool mr_verdict_passed(const char *heading, const char *words);

/** mr_says_not_passed - whether folded words, under whatever heading, say that a gauge did not pass. */
bool mr_says_not_passed(const char *words);

/** mr_says_harmed - whether a note says that a gauge was dropped, damaged or put right when it was checked. */
bool mr_says_harmed(const char *words);

#endif
