/*
 * text_buffer.h - a growing text in an arena, and the few ways in which this stage shows things.
 */
#ifndef MILRISE_NORMALISE_EXPLAIN_TEXT_BUFFER_H
#define MILRISE_NORMALISE_EXPLAIN_TEXT_BUFFER_H

#include "milrise/normalise.h"

struct mr_text_buffer {
    struct mr_arena *arena;
    MR_VEC(char) text; /* always NUL-terminated after mr_buffer_put */
};

/** mr_buffer_put - append formatted text. */
void mr_buffer_put(struct mr_text_buffer *buffer, const char *format, ...) MR_PRINTF(2, 3);

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
