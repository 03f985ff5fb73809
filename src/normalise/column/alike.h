/*
 * alike.h - columns without telling headings whose numbers behave like a climate log: for suggestions only, never for
 * judging.
 */
#ifndef MILRISE_NORMALISE_COLUMN_ALIKE_H
#define MILRISE_NORMALISE_COLUMN_ALIKE_H

#include "normalise/column/column_shape.h"

struct mr_alike {
    size_t air, rh, dew; /* columns; dew MR_NONE where only air and humidity were found */
    enum mr_unit unit;   /* of the temperatures, °C or °F */
    double off_k;        /* middle misfit of the vapour law */
};

/** mr_find_alike - three columns that obey the vapour law, else two that move against each other. False where there
 * are none. */
bool mr_find_alike(struct mr_arena *arena, const struct mr_source *source, const struct mr_column_shapes *shapes,
                   struct mr_alike *out);

#endif
