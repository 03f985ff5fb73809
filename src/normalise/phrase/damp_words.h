/*
 * damp_words.h - what a crew notes of water on the work or in the air: "rain started", "steel sweating".
 */
#ifndef MILRISE_NORMALISE_PHRASE_DAMP_WORDS_H
#define MILRISE_NORMALISE_PHRASE_DAMP_WORDS_H

#include <stdbool.h>

/** mr_says_damp - whether folded words beside a coat say that it was wet: no denial, no "dry again", no cover. */
bool mr_says_damp(const char *words);

#endif
