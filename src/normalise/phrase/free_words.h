/*
 * free_words.h - which words of a file a person has to read, since no rule judges them: all but those that only name
 * the instrument, the export or who took part.
 */
#ifndef MILRISE_NORMALISE_PHRASE_FREE_WORDS_H
#define MILRISE_NORMALISE_PHRASE_FREE_WORDS_H

#include "milrise/normalise.h"

/** mr_is_neutral_cell - whether a cell under an unread heading says nothing of the work. heading, words: folded. */
bool mr_is_neutral_cell(const char *heading, const char *words);

/** mr_is_neutral_heading - whether a folded heading only names the instrument, the export or who took part. */
bool mr_is_neutral_heading(const char *heading);

/** mr_is_neutral_line - whether a line beside the table only names what the export is, or is read by a rule of its
 *  own. name: folded, "" for a title; words: its value, folded; value: as written. */
bool mr_is_neutral_line(struct mr_arena *arena, const struct mr_job *job, const char *name, const char *words,
                        const char *value);

#endif
