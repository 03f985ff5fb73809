/*
 * deflate_rows.h - rows of a picture of flat colour, deflated fast.
 */
#ifndef MILRISE_RENDER_DRAW_DEFLATE_ROWS_H
#define MILRISE_RENDER_DRAW_DEFLATE_ROWS_H

#include "milrise/arena.h"

#include <stddef.h>

/** mr_deflate_rows - 0 < n < 2^32 bytes in rows of row_bytes each as one deflate stream (RFC 1951) in the arena.
 * Returns: its bytes. */
size_t mr_deflate_rows(struct mr_arena *arena, const unsigned char *raw, size_t n, size_t row_bytes,
                       unsigned char **out);

#endif
