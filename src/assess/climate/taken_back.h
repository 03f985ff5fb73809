/*
 * taken_back.h - samples of a log that their own rows take back ("Valid: no") while a limit had to hold.
 */
#ifndef MILRISE_ASSESS_CLIMATE_TAKEN_BACK_H
#define MILRISE_ASSESS_CLIMATE_TAKEN_BACK_H

#include "milrise/align.h"

struct mr_assess;

/** mr_find_taken_back - the finding that two or more in a row leave a coat's time open. what: "the climate is", "line
 * pressures are". */
void mr_find_taken_back(struct mr_assess *a, const struct mr_window *window, int64_t from_ms, int64_t to_ms,
                        const char *what);

#endif
