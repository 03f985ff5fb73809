/*
 * file_place.h - what the name of a log's file, or of the folder that it lies in, says of where the logger stood.
 * Private to libmilrise.
 */
#ifndef MR_FILE_PLACE_H
#define MR_FILE_PLACE_H

#include "normalise/file/register_words.h"

/* zone: the one zone that the path names, in the register or not; "". away: the word of a place that is not the work,
 * of n bytes, within words that live in the arena; NULL. */
struct mr_file_place {
    const char *zone, *away;
    size_t n;
};

/** mr_file_place - of a path within the job. A zone counts by a name with a word of three letters, or behind "zone".
 * A part of a structure with a number ("bay 9") that the register does not have is away, unless the job bears that
 * name. probes: what a probe may sit on beside the work (a gun, a coupon) is away too. */
struct mr_file_place mr_file_place(struct mr_arena *arena, const char *path, const struct mr_register_words *zones,
                                   const struct mr_job *job, bool probes);

/** mr_body_beside - a thing of which folded words speak that stands beside the work and takes heat of its own: a
 * drum, a hose, a coupon; NULL. */
const char *mr_body_beside(const char *words);

#endif
