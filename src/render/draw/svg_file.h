/*
 * svg_file.h - a draw list as an SVG file (W3C SVG 1.1) whose texts stay texts: they can be selected, searched and
 * read aloud.
 */
#ifndef MILRISE_RENDER_DRAW_SVG_FILE_H
#define MILRISE_RENDER_DRAW_SVG_FILE_H

#include "render/draw/draw_list.h"

/** mr_svg_write - hand the file's bytes to put, piece by piece; put returns false to stop. font: the family, for
 * which fallbacks are named. stamp_iso: date in the metadata, "" for none. Returns: false where put did. */
bool mr_svg_write(const struct mr_drawlist *list, const char *font, const char *stamp_iso,
                  bool (*put)(void *ctx, const unsigned char *data, size_t n), void *ctx);

#endif
