/*
 * removal_words.h - words of a person that say that film was taken off, or came off, where it had been measured.
 */
#ifndef MILRISE_NORMALISE_PHRASE_REMOVAL_WORDS_H
#define MILRISE_NORMALISE_PHRASE_REMOVAL_WORDS_H

#include "milrise/arena.h"

/** mr_says_removed - whether a text says so: "stripped to bare steel", "ground off". Masking, scaffolds and what lies
 * in a hose are other things. of_film: the text is no row about work on a zone, so it must speak of film or steel. */
bool mr_says_removed(struct mr_arena *arena, const char *text, bool of_film);

#endif
