/*
 * contradictions.h - two exports of one instrument that give different values for one moment.
 */
#ifndef MILRISE_NORMALISE_FILE_CONTRADICTIONS_H
#define MILRISE_NORMALISE_FILE_CONTRADICTIONS_H

#include "normalise/file/repeated_runs.h"

/** mr_find_contradictions - rows of a and b, files of one instrument, that cannot both be true: log rows get fates
 * and are set aside, film readings stay and are marked, so that a failing one is not lost. from..to: the time that
 * both files cover. one_instrument: their serials say so; where none is stated, two exports of film that go through
 * the same moments and places row by row are of one gauge all the same. Several rows at a full minute are left alone:
 * their times may be cut. */
void mr_find_contradictions(struct mr_compared_rows *a, struct mr_compared_rows *b, int64_t from, int64_t to,
                            bool one_instrument);

#endif
