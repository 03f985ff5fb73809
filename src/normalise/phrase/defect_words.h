/*
 * defect_words.h - what stands beside a film reading or a coat and says that the coating is no good there:
 * "blisters", "Holiday: yes", "off ratio". No limit is missed by it, and the film does not conform for all that.
 */
#ifndef MILRISE_NORMALISE_PHRASE_DEFECT_WORDS_H
#define MILRISE_NORMALISE_PHRASE_DEFECT_WORDS_H

#include <stdbool.h>

/** mr_names_defect - whether a cell names a defect, by its own words or by an answer under a heading that does.
 *  heading, words: folded. "No blisters" and "free of pinholes" name none. */
bool mr_names_defect(const char *heading, const char *words);

#endif
