/*
 * answers.h - cells that answer their heading by yes, by no or by nothing, in the languages of the maps. words:
 * folded.
 */
#ifndef MILRISE_NORMALISE_CELL_ANSWERS_H
#define MILRISE_NORMALISE_CELL_ANSWERS_H

#include <stdbool.h>

/** mr_answers_yes, mr_answers_no - "yes", "ja", a cross; "no", "false". mr_answers_none - "no" too, and "none",
 * "keine", "n/a": there is nothing of what the heading asks for. */
bool mr_answers_yes(const char *words);
bool mr_answers_no(const char *words);
bool mr_answers_none(const char *words);

/** mr_is_figure - nothing but digits, of which folding parts a fraction in two. mr_is_zero - a figure of zeros alone.
 */
bool mr_is_figure(const char *words);
bool mr_is_zero(const char *words);

#endif
