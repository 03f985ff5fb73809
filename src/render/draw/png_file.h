/*
 * png_file.h - pixels as a PNG file, small and fast.
 */
#ifndef MILRISE_RENDER_DRAW_PNG_FILE_H
#define MILRISE_RENDER_DRAW_PNG_FILE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct mr_pixels {
    unsigned width, height;
    size_t stride;           /* bytes from row to row */
    const unsigned char *at; /* 32-bit words of the machine, 0x00RRGGBB; aligned as the graphics library does */
};

/** mr_png_write - hand the file's bytes to put, piece by piece; put returns false to stop. colours: at most so many,
 * 256 or 16; of a picture with more, those that are worth most stand for the others. Returns: false where
 * put did, or where memory ran out. */
bool mr_png_write(const struct mr_pixels *pixels, unsigned dpi, unsigned colours,
                  bool (*put)(void *ctx, const unsigned char *data, size_t n), void *ctx);

#endif
