/*
 * png_file.c - the only user of libdeflate.
 *
 * A picture of a chart is flat colour with a dozen inks. libpng and zlib took two thirds of its time, so the chunks
 * of the format (ISO/IEC 15948, clauses 5 and 11) are written here and the bytes are deflated by libdeflate in one
 * go, without row filters: those win nothing on flat colour. The blends at the edges of letters and lines are rounded
 * to 16 steps a channel: every full ink stays exact, an edge pixel is off by at most 8 of 255, and a byte per pixel
 * from a palette of at most 256 colours halves file and time. A picture with more colours than that is written as it
 * is, three bytes a pixel. Many rows repeat the one above; they are copied. A picture of 16 colours takes half a byte
 * a pixel.
 */
#include "render/draw/png_file.h"

#include "milrise/arena.h"

#include <libdeflate.h>
#include <string.h>

enum { LEVEL = 6, LEVEL_OF_FEW = 12, FEW_COLOURS = 16, COLOURS = 256, SLOTS = 1024, RECENT = 4096, FULL_RUN = 4 };
enum { COLOUR_RGB = 2, COLOUR_PALETTE = 3, CHUNK_NAME = 4, HEADER_BYTES = 13, PLACES_BYTES = 9 };

/* Colours by open addressing: slot 0 means free, so an entry holds the colour plus 1. */
struct palette {
    uint32_t key[SLOTS];
    unsigned char index[SLOTS];
    unsigned char colour[COLOURS][3];
    unsigned n;
    uint32_t recent[RECENT]; /* the colour as drawn, plus 1, that this place last held */
    unsigned char recent_index[RECENT];
};

static unsigned slot_of(const struct palette *p, uint32_t key) {
    unsigned i = (unsigned)((key * 2654435761U) >> 22);
    while (p->key[i] != 0 && p->key[i] != key + 1)
        i = (i + 1) % SLOTS;
    return i;
}

/* The index of a colour under its key; -1 where the palette is full. */
static int palette_add(struct palette *p, uint32_t key, uint32_t rgb) {
    const unsigned i = slot_of(p, key);
    if (p->key[i] != 0)
        return p->index[i];
    if (p->n == COLOURS)
        return -1;
    p->key[i] = key + 1;
    p->index[i] = (unsigned char)p->n;
    p->colour[p->n][0] = (unsigned char)(rgb >> 16);
    p->colour[p->n][1] = (unsigned char)(rgb >> 8 & 0xff);
    p->colour[p->n][2] = (unsigned char)(rgb & 0xff);
    return (int)p->n++;
}

/* Each channel to the nearest of 0, 17, 34, ... 255; marked apart from exact colours. */
static uint32_t rounded(uint32_t rgb) {
    uint32_t out = 0;
    for (unsigned shift = 0; shift < 24; shift += 8)
        out |= ((rgb >> shift & 0xff) * 15 + 127) / 255 * 17 << shift;
    return out;
}

/* An ink as it is, any other colour rounded. */
static int index_of(struct palette *p, uint32_t rgb) {
    const unsigned at = (unsigned)((rgb * 2654435761U) >> 20);
    if (p->recent[at] == rgb + 1)
        return p->recent_index[at];
    const uint32_t near = rounded(rgb);
    const unsigned exact = slot_of(p, rgb);
    const int index = p->key[exact] != 0 ? p->index[exact] : palette_add(p, near | 0x1000000, near);
    if (index >= 0) {
        p->recent[at] = rgb + 1;
        p->recent_index[at] = (unsigned char)index;
    }
    return index;
}

static const uint32_t *row_of(const struct mr_pixels *px, unsigned y) {
    return (const uint32_t *)(const void *)(px->at + y * px->stride);
}

static bool repeats(const struct mr_pixels *px, unsigned y) {
    return y > 0 && memcmp(row_of(px, y), row_of(px, y - 1), 4 * (size_t)px->width) == 0;
}

/* Where the run of one colour that begins at x ends. */
static unsigned run_end(const uint32_t *row, unsigned x, unsigned width) {
    const uint32_t rgb = row[x] & 0xffffff;
    do
        x++;
    while (x < width && (row[x] & 0xffffff) == rgb);
    return x;
}

/* The inks: colours that fill at least FULL_RUN pixels in a row somewhere. */
static bool take_inks(struct palette *p, const struct mr_pixels *px) {
    for (unsigned y = 0; y < px->height; y++) {
        const uint32_t *row = row_of(px, y);
        const unsigned width = repeats(px, y) ? 0 : px->width;
        for (unsigned x = 0, end; x < width; x = end) {
            end = run_end(row, x, width);
            if (end - x >= FULL_RUN && palette_add(p, row[x] & 0xffffff, row[x] & 0xffffff) < 0)
                return false;
        }
    }
    return true;
}

/* The picture as a byte a pixel, each row behind the byte that says that it has no filter. */
static bool take_indices(struct palette *p, const struct mr_pixels *px, unsigned char *out) {
    for (unsigned y = 0; y < px->height; y++, out += 1 + px->width) {
        const uint32_t *row = row_of(px, y);
        out[0] = 0;
        if (repeats(px, y)) {
            memcpy(out, out - 1 - px->width, 1 + (size_t)px->width);
            continue;
        }
        for (unsigned x = 0, end; x < px->width; x = end) {
            end = run_end(row, x, px->width);
            const int index = index_of(p, row[x] & 0xffffff);
            if (index < 0)
                return false;
            memset(out + 1 + x, index, end - x);
        }
    }
    return true;
}

static uint64_t distance(const unsigned char a[3], const unsigned char b[3]) {
    uint64_t sum = 0;
    for (int i = 0; i < 3; i++)
        sum += (uint64_t)((a[i] - b[i]) * (a[i] - b[i]));
    return sum;
}

/* 16 colours stand for all, the nearest of them for each: first the one used most, then ever the one whose pixels are
 * farthest off in sum. */
static void make_few(struct palette *p, const struct mr_pixels *px, unsigned char *raw) {
    uint64_t used[COLOURS] = {0}, off[COLOURS];
    const size_t row = 1 + (size_t)px->width;
    unsigned char kept[FEW_COLOURS][3], near[COLOURS] = {0};
    for (size_t i = 0; i < px->height * row; i++)
        used[raw[i]] += i % row != 0;
    memset(off, 0xff, sizeof off);
    for (unsigned char k = 0; k < FEW_COLOURS; k++) {
        unsigned worst = 0;
        for (unsigned i = 1; i < p->n; i++)
            if (k == 0 ? used[i] > used[worst] : used[i] * off[i] > used[worst] * off[worst])
                worst = i;
        memcpy(kept[k], p->colour[worst], 3);
        for (unsigned i = 0; i < p->n; i++) {
            const uint64_t d = distance(p->colour[i], kept[k]);
            near[i] = d < off[i] ? k : near[i];
            off[i] = d < off[i] ? d : off[i];
        }
    }
    for (size_t i = 0; i < px->height * row; i++)
        raw[i] = i % row == 0 ? 0 : near[raw[i]];
    memcpy(p->colour, kept, sizeof kept);
    p->n = FEW_COLOURS;
}

/* Two pixels a byte, in place. Returns: bytes in all. */
static size_t pack(const struct mr_pixels *px, unsigned char *raw) {
    const size_t row = 1 + (size_t)px->width, packed = 1 + ((size_t)px->width + 1) / 2;
    for (size_t y = 0; y < px->height; y++) {
        const unsigned char *from = raw + y * row;
        unsigned char *to = raw + y * packed;
        *to++ = 0;
        for (size_t x = 0; x < px->width; x += 2)
            *to++ = (unsigned char)(from[1 + x] << 4 | (x + 1 < px->width ? from[2 + x] : 0));
    }
    return px->height * packed;
}

static void take_colours(const struct mr_pixels *px, unsigned char *out) {
    for (unsigned y = 0; y < px->height; y++) {
        const uint32_t *row = row_of(px, y);
        *out++ = 0;
        for (unsigned x = 0; x < px->width; x++) {
            *out++ = (unsigned char)(row[x] >> 16 & 0xff);
            *out++ = (unsigned char)(row[x] >> 8 & 0xff);
            *out++ = (unsigned char)(row[x] & 0xff);
        }
    }
}

struct out {
    bool (*put)(void *ctx, const unsigned char *data, size_t n);
    void *ctx;
};

static void big_endian(unsigned char out[4], size_t value) {
    for (int i = 0; i < 4; i++)
        out[i] = (unsigned char)(value >> (24 - 8 * i) & 0xff);
}

static bool chunk(const struct out *out, const char *name, const unsigned char *data, size_t n) {
    unsigned char head[4 + CHUNK_NAME], sum[4];
    big_endian(head, n);
    memcpy(head + 4, name, CHUNK_NAME);
    big_endian(sum, libdeflate_crc32(libdeflate_crc32(0, head + 4, CHUNK_NAME), data, n));
    return out->put(out->ctx, head, sizeof head) && (n == 0 || out->put(out->ctx, data, n)) &&
           out->put(out->ctx, sum, sizeof sum);
}

static bool write_head(const struct out *out, const struct mr_pixels *px, unsigned dpi, const struct palette *p) {
    static const unsigned char signature[8] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'}, perceptual[1] = {0};
    unsigned char header[HEADER_BYTES] =
        {[8] = p && p->n <= FEW_COLOURS ? 4 : 8, [9] = p ? COLOUR_PALETTE : COLOUR_RGB},
                  places[PLACES_BYTES];
    const size_t per_metre = (size_t)(dpi / 0.0254 + 0.5);
    big_endian(header, px->width);
    big_endian(header + 4, px->height);
    big_endian(places, per_metre);
    big_endian(places + 4, per_metre);
    places[8] = 1; /* the metre */
    return out->put(out->ctx, signature, sizeof signature) && chunk(out, "IHDR", header, sizeof header) &&
           chunk(out, "sRGB", perceptual, sizeof perceptual) && chunk(out, "pHYs", places, sizeof places) &&
           (!p || chunk(out, "PLTE", &p->colour[0][0], 3 * (size_t)p->n));
}

static bool write_deflated(struct mr_arena *arena, const struct out *out, const unsigned char *raw, size_t n,
                           int level) {
    struct libdeflate_compressor *z = libdeflate_alloc_compressor(level);
    if (!z)
        return false;
    const size_t room = libdeflate_zlib_compress_bound(z, n);
    unsigned char *to = mr_alloc(arena, room, 1);
    const size_t got = libdeflate_zlib_compress(z, raw, n, to, room);
    libdeflate_free_compressor(z);
    return got > 0 && chunk(out, "IDAT", to, got) && chunk(out, "IEND", to, 0);
}

bool mr_png_write(const struct mr_pixels *px, unsigned dpi, unsigned colours,
                  bool (*put)(void *ctx, const unsigned char *data, size_t n), void *ctx) {
    const struct out out = {put, ctx};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct palette *p = MR_NEW(arena, struct palette);
    size_t n = px->height * (1 + (size_t)px->width);
    unsigned char *raw = MR_ARRAY(arena, unsigned char, n);
    const bool indexed = take_inks(p, px) && take_indices(p, px, raw);
    if (indexed && p->n > FEW_COLOURS && colours <= FEW_COLOURS)
        make_few(p, px, raw);
    if (indexed && p->n <= FEW_COLOURS) {
        n = pack(px, raw);
    } else if (!indexed) {
        n = px->height * (1 + 3 * (size_t)px->width);
        raw = MR_ARRAY(arena, unsigned char, n);
        take_colours(px, raw);
    }
    const bool good = write_head(&out, px, dpi, indexed ? p : NULL) &&
                      write_deflated(arena, &out, raw, n, colours <= FEW_COLOURS ? LEVEL_OF_FEW : LEVEL);
    mr_arena_free(arena);
    return good;
}
