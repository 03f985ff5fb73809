/*
 * buffer.h - a run of bytes that grows, in an arena: texts and files that are put together piece by piece.
 */
#ifndef MILRISE_BASE_BUFFER_H
#define MILRISE_BASE_BUFFER_H

#include "milrise/arena.h"

struct mr_buffer {
    struct mr_arena *arena;
    MR_VEC(char) v;
};

void mr_buffer_add(struct mr_buffer *buffer, const void *data, size_t n);
void mr_buffer_text(struct mr_buffer *buffer, const char *text);
void mr_buffer_put(struct mr_buffer *buffer, const char *format, ...) MR_PRINTF(2, 3); /* as printf */

/** mr_buffer_keep - as mr_buffer_add, for writers that hand over pieces; ctx is a struct mr_buffer. Returns: 0. */
int mr_buffer_keep(void *ctx, const void *data, size_t n);

/** mr_buffer_end - the bytes as a NUL-terminated text; more may follow. */
char *mr_buffer_end(struct mr_buffer *buffer);

#endif
