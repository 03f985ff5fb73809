/*
 * cautions.h - what every report says beside its figures: the meaning of the outcomes, cautions, limit of use.
 */
#ifndef MILRISE_RENDER_DATA_CAUTIONS_H
#define MILRISE_RENDER_DATA_CAUTIONS_H

#include "milrise/assess.h"

enum { MR_MEANINGS = 4, MR_CAUTIONS = 5, MR_LIMITS = 6 };

struct mr_meaning_of {
    enum mr_outcome outcome;
    const char *text;
};

extern const struct mr_meaning_of mr_meanings[MR_MEANINGS];
extern const char *const mr_cautions[MR_CAUTIONS];
extern const char *const mr_limits[MR_LIMITS];
extern const char mr_limit_of_use[]; /* in short, for the first page */
extern const char mr_foot_words[];   /* shorter still, for the foot of each page */

#endif
