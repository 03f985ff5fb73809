/*
 * requirement_words.h - words of a zone register by which a column, or a note, asks something of the zone: a limit
 * that nobody would hold if the column were passed over.
 */
#ifndef MILRISE_NORMALISE_PHRASE_REQUIREMENT_WORDS_H
#define MILRISE_NORMALISE_PHRASE_REQUIREMENT_WORDS_H

#include "milrise/arena.h"

/** mr_heading_requires - whether a heading does: "Max RH", "Areas required", "Acceptance". words: folded. */
bool mr_heading_requires(const char *words);

/** mr_heading_multiplies - whether such a column says how many pieces or sides a row stands for: its area may be that
 *  of one of them. */
bool mr_heading_multiplies(const char *words);

/** mr_note_requires - whether a note does: "min 300 um", "2 coats of 200 required". words: folded. */
bool mr_note_requires(const char *words);

/** mr_states_film - whether folded words hold a film thickness with its unit: "dft 250 350 um". */
bool mr_states_film(const char *words);

#endif
