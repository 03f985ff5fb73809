/*
 * draw_key.h - a fingerprint of a picture before it is drawn: of all that its bytes hang on.
 */
#ifndef MILRISE_RENDER_DRAW_DRAW_KEY_H
#define MILRISE_RENDER_DRAW_DRAW_KEY_H

#include "render/draw/draw_list.h"

/* SHA-256 of the sources of src/render/draw, made when they are built. */
extern const char mr_draw_code[65];

/** mr_draw_key - SHA-256 over every item of the list, bit by bit, its size and its words, and over drawer: two lists
 * with one key give the same bytes in each format with the same date. */
void mr_draw_key(const struct mr_drawlist *list, const char *drawer, char out[65]);

/** mr_drawer_print - SHA-256 over what turns a list into bytes: the code of src/render/draw, the graphics libraries
 * and the fonts of this system, in their versions. */
void mr_drawer_print(char out[65]);

#endif
