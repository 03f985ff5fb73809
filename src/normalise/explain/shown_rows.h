/*
 * shown_rows.h - rows as understood, in words: what `explain` and the dump show of a file.
 */
#ifndef MILRISE_NORMALISE_EXPLAIN_SHOWN_ROWS_H
#define MILRISE_NORMALISE_EXPLAIN_SHOWN_ROWS_H

#include "base/buffer.h"
#include "milrise/normalise.h"

/** mr_basis_text - "UTC", "local time", "". */
const char *mr_basis_text(enum mr_time_basis basis);

/* A record of a file as understood, for first and last rows. */
struct mr_shown {
    uint32_t line;
    const char *text;
};

/** mr_shown_rows - the first and the last used row of a file as one line of text each. Returns how many (0, 1 or 2).
 */
size_t mr_shown_rows(struct mr_arena *arena, const struct mr_data *data, size_t file, struct mr_shown out[2]);

#endif
