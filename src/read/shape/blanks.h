/*
 * blanks.h - tables whose columns runs of blanks divide.
 */
#ifndef MILRISE_READ_BLANKS_H
#define MILRISE_READ_BLANKS_H

#include "read/shape/sample.h"

/** mr_blanks_columns - number of columns where the rows speak for runs of blanks, else 0.
 *  blanks: the sample with MR_BLANKS; other: the one of the delimiter that was chosen before. */
size_t mr_blanks_columns(const struct mr_sample *blanks, const struct mr_sample *other);

/** mr_blanks_headers - rows of words above the data get k cells where it is certain which: a comment mark of its own
 * is left out, names of several words stand two blanks apart, one name may stand over date and time of day, and units
 * stand under their names. Rows where it is not certain stay as they are. text: of which the sample was taken. */
void mr_blanks_headers(struct mr_arena *arena, struct mr_sample *blanks, size_t k, const char *text, size_t n);

#endif
