/*
 * zone_words.h - a time zone in words: letters ("CDT"), a place ("America/Chicago"), a season ("winter time"). What
 * offset they mean depends on the country and, in daily use, on the season; so they are never applied. They are
 * compared with what the job's own zone shows at the file's times: where they say the same, nothing is open.
 */
#ifndef MILRISE_NORMALISE_COLUMN_ZONE_WORDS_H
#define MILRISE_NORMALISE_COLUMN_ZONE_WORDS_H

#include "base/tzone.h"

/** mr_zone_word_in - the zone that a heading or a line names, in the letters of the zone data ("cdt") or as written
 *  ("winterzeit", "Europe/Berlin"); "" where it names none. text: as written; words: the same, folded.
 *  sure_only: letters count only where they stand in capitals, as in a sentence. */
const char *mr_zone_word_in(struct mr_arena *arena, const char *text, const char *words, bool sure_only);

/** mr_zone_says_time - whether a line speaks of time at all: "All times are CET", never "CET Engineering". */
bool mr_zone_says_time(const char *words);

/** mr_zone_fits - whether what a file calls its zone is what the job's zone shows at two local times, the file's
 *  first and last. zone: the job's, called name. */
bool mr_zone_fits(struct mr_arena *arena, const char *text, const struct mr_tzone *zone, const char *name,
                  int64_t first_local_ms, int64_t last_local_ms);

/** mr_zone_example - a fixed zone to propose for letters, in the spelling of a job file: west of UTC counts as plus
 *  there; NULL where none is usual. */
const char *mr_zone_example(struct mr_arena *arena, const char *text);

#endif
