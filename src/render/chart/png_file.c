/*
 * png_file.c - the only user of libpng.
 *
 * Two things make chart pictures cheap. Row filters are left out and deflate runs at level 3: trying all filters
 * costs four times the time and wins nothing on flat colour. And a chart has a dozen inks, whose blends at the edges
 * of letters and lines are rounded to 16 steps a channel: every full ink stays exact, an edge pixel is off by at most
 * 8 of 255, and a byte per pixel from a palette of at most 256 colours halves file and time. A picture with more
 * colours than that is written as it is, three bytes a pixel.
 */
#include "render/chart/png_file.h"

#include <png.h>
#include <string.h>

enum { LEVEL = 3, COLOURS = 256, SLOTS = 1024, FULL_RUN = 4, ROW_BYTES_MOST = 16384 };

/* Colours by open addressing: slot 0 means free, so an entry holds the colour plus 1. */
struct palette {
    uint32_t key[SLOTS];
    unsigned char index[SLOTS];
    png_color colour[COLOURS];
    unsigned n;
};

static unsigned slot_of(const struct palette *p, uint32_t key) {
    unsigned i = (unsigned)((key * 2654435761U) >> 22);
    while (p->key[i] != 0 && p->key[i] != key + 1)
        i = (i + 1) % SLOTS;
    return i;
}

static bool palette_add(struct palette *p, uint32_t key, uint32_t rgb) {
    const unsigned i = slot_of(p, key);
    if (p->key[i] != 0)
        return true;
    if (p->n == COLOURS)
        return false;
    p->key[i] = key + 1;
    p->index[i] = (unsigned char)p->n;
    p->colour[p->n++] =
        (png_color){(png_byte)(rgb >> 16 & 0xff), (png_byte)(rgb >> 8 & 0xff), (png_byte)(rgb & 0xff)};
    return true;
}

/* Each channel to the nearest of 0, 17, 34, ... 255; marked apart from exact colours. */
static uint32_t rounded(uint32_t rgb) {
    uint32_t out = 0;
    for (unsigned shift = 0; shift < 24; shift += 8)
        out |= ((rgb >> shift & 0xff) * 15 + 127) / 255 * 17 << shift;
    return out;
}

static uint32_t key_of(const struct palette *p, uint32_t rgb) {
    return p->key[slot_of(p, rgb)] != 0 ? rgb : rounded(rgb) | 0x1000000;
}

static const uint32_t *row_of(const struct mr_pixels *px, unsigned y) {
    return (const uint32_t *)(const void *)(px->at + y * px->stride);
}

/* First the inks: colours that fill at least FULL_RUN pixels in a row somewhere; then the blends. */
static bool palette_make(struct palette *p, const struct mr_pixels *px) {
    memset(p, 0, sizeof *p);
    for (int blends = 0; blends < 2; blends++)
        for (unsigned y = 0; y < px->height; y++) {
            const uint32_t *row = row_of(px, y);
            for (unsigned x = 0, end; x < px->width; x = end) {
                const uint32_t rgb = row[x] & 0xffffff;
                for (end = x + 1; end < px->width && (row[end] & 0xffffff) == rgb;)
                    end++;
                if (blends ? !palette_add(p, key_of(p, rgb), p->key[slot_of(p, rgb)] ? rgb : rounded(rgb))
                           : end - x >= FULL_RUN && !palette_add(p, rgb, rgb))
                    return false;
            }
        }
    return true;
}

struct out {
    bool (*put)(void *ctx, const unsigned char *data, size_t n);
    void *ctx;
};

static void write_some(png_structp png, png_bytep data, size_t n) {
    const struct out *out = png_get_io_ptr(png);
    if (!out->put(out->ctx, data, n))
        png_error(png, "write");
}

static void flush_nothing(png_structp png) {
    (void)png;
}

/* libpng reports by message and long jump; the message is of no use to anyone here. */
static void warned(png_structp png, png_const_charp message) {
    (void)png;
    (void)message;
}

static _Noreturn void failed(png_structp png, png_const_charp message) {
    (void)message;
    longjmp(png_jmpbuf(png), 1);
}

static void write_rows(png_structp png, const struct mr_pixels *px, const struct palette *p) {
    unsigned char line[ROW_BYTES_MOST];
    uint32_t last = 0xffffffff;
    unsigned char index = 0;
    for (unsigned y = 0; y < px->height; y++) {
        const uint32_t *row = row_of(px, y);
        for (unsigned x = 0; x < px->width; x++) {
            const uint32_t rgb = row[x] & 0xffffff;
            if (!p) {
                line[3 * x] = (unsigned char)(rgb >> 16);
                line[3 * x + 1] = (unsigned char)(rgb >> 8 & 0xff);
                line[3 * x + 2] = (unsigned char)(rgb & 0xff);
                continue;
            }
            if (rgb != last)
                index = p->index[slot_of(p, key_of(p, rgb))];
            last = rgb;
            line[x] = index;
        }
        png_write_row(png, line);
    }
}

static void write_all(png_structp png, png_infop info, const struct mr_pixels *px, unsigned dpi,
                      const struct palette *p) {
    png_set_IHDR(png, info, px->width, px->height, 8, p ? PNG_COLOR_TYPE_PALETTE : PNG_COLOR_TYPE_RGB,
                 PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    const png_uint_32 per_metre = (png_uint_32)(dpi / 0.0254 + 0.5);
    png_set_pHYs(png, info, per_metre, per_metre, PNG_RESOLUTION_METER);
    png_set_sRGB(png, info, PNG_sRGB_INTENT_PERCEPTUAL);
    if (p)
        png_set_PLTE(png, info, p->colour, (int)p->n);
    png_set_compression_level(png, LEVEL);
    png_set_filter(png, 0, PNG_FILTER_NONE);
    png_write_info(png, info);
    write_rows(png, px, p);
    png_write_end(png, NULL);
}

bool mr_png_write(const struct mr_pixels *px, unsigned dpi,
                  bool (*put)(void *ctx, const unsigned char *data, size_t n), void *ctx) {
    if (3 * (size_t)px->width > ROW_BYTES_MOST)
        return false;
    struct palette palette;
    const bool few = palette_make(&palette, px);
    struct out out = {put, ctx};
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, failed, warned);
    png_infop info = png ? png_create_info_struct(png) : NULL;
    if (!info || setjmp(png_jmpbuf(png))) {
        png_destroy_write_struct(&png, &info);
        return false;
    }
    png_set_write_fn(png, &out, write_some, flush_nothing);
    write_all(png, info, px, dpi, few ? &palette : NULL);
    png_destroy_write_struct(&png, &info);
    return true;
}
