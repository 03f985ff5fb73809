/*
 * text_pool.h - each text of a file kept once.
 */
#ifndef MILRISE_NORMALISE_ROW_TEXT_POOL_H
#define MILRISE_NORMALISE_ROW_TEXT_POOL_H

#include "normalise/row/file_state.h"

/** mr_text_keep - an interned copy of a text in the arena, cut at a NUL. Files say the same few texts many times. */
const char *mr_text_keep(struct mr_file_state *file, const char *text, size_t n);

#endif
