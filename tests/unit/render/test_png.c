/* Pictures as PNG files, read back by libpng: the same pixels, whatever the picture; and the code beneath. */
#include "milrise/arena.h"
#include "render/draw/png_file.h"
#include "render/draw/prefix_code.h"
#include "support/simulate.h"

#include <criterion/criterion.h>
#include <math.h>
#include <png.h>
#include <stdlib.h>
#include <string.h>

struct file {
    unsigned char bytes[1 << 22];
    size_t n;
};

static bool keep(void *ctx, const unsigned char *data, size_t n) {
    struct file *f = ctx;
    cr_assert_leq(n, sizeof f->bytes - f->n);
    if (n > 0)
        memcpy(f->bytes + f->n, data, n);
    f->n += n;
    return true;
}

/* How a generated picture looks: shares of its rows and of the stretches in a row. */
struct look {
    unsigned width, height, colours;
    double row_again, run, stamp; /* the rest of a row is noise */
};

static unsigned upto(struct sim_rng *rng, unsigned n) {
    return (unsigned)(sim_uniform(rng) * n) % n;
}

/* Colours of 16 steps a channel, which are written exactly; each pixel with a byte beside that says nothing. */
static void paint(struct sim_rng *rng, const struct look *look, uint32_t *pixel) {
    uint32_t colour[512];
    for (unsigned i = 0; i < look->colours; i++)
        colour[i] = upto(rng, 16) * 0x110000 | upto(rng, 16) * 0x1100 | upto(rng, 16) * 0x11;
    for (unsigned y = 0; y < look->height; y++) {
        uint32_t *row = pixel + (size_t)y * look->width;
        if (y > 0 && sim_uniform(rng) < look->row_again) {
            memcpy(row, row - look->width, 4 * (size_t)look->width);
            continue;
        }
        for (unsigned x = 0, n; x < look->width; x += n) {
            const double kind = sim_uniform(rng);
            const unsigned left = look->width - x;
            const uint32_t one = colour[upto(rng, look->colours)];
            const size_t seen = (size_t)y * look->width + x;
            n = 1 + upto(rng, kind < look->run ? 700 : 40);
            n = n < left ? n : left;
            const size_t from = seen > 41 ? upto(rng, (unsigned)(seen - 40)) : 0;
            for (unsigned i = 0; i < n; i++)
                row[x + i] = kind < look->run                              ? one
                             : kind < look->run + look->stamp && seen > 41 ? pixel[from + i % 40]
                                                                           : colour[upto(rng, look->colours)];
        }
    }
}

/* Returns: the bytes of its file. */
static size_t see_same(const struct look *look, const uint32_t *pixel) {
    static struct file f;
    f.n = 0;
    const struct mr_pixels px = {look->width, look->height, 4 * (size_t)look->width, (const unsigned char *)pixel};
    cr_assert(mr_png_write(&px, 300, 256, keep, &f));
    png_image image = {.version = PNG_IMAGE_VERSION};
    cr_assert(png_image_begin_read_from_memory(&image, f.bytes, f.n), "%s", image.message);
    cr_assert(image.width == look->width && image.height == look->height);
    image.format = PNG_FORMAT_BGRA;
    uint32_t *back = malloc(PNG_IMAGE_SIZE(image));
    cr_assert(png_image_finish_read(&image, NULL, back, 0, NULL) && image.warning_or_error == 0, "%s", image.message);
    for (size_t i = 0; i < (size_t)look->width * look->height; i++)
        cr_assert_eq(back[i] & 0xffffff, pixel[i] & 0xffffff, "%ux%u, %u colours: pixel %zu is %06x, was %06x",
                     look->width, look->height, look->colours, i, back[i] & 0xffffff, pixel[i] & 0xffffff);
    free(back);
    return f.n;
}

Test(png, generated_pictures_come_back_pixel_by_pixel) {
    static const struct look looks[] = {{1, 1, 1, 0, 0, 0},
                                        {1, 300, 2, 0.5, 0, 0},
                                        {2, 2, 3, 0, 0, 0},
                                        {9, 40, 17, 0.2, 0.3, 0},
                                        {259, 3, 1, 0, 1, 0},
                                        {517, 60, 20, 0.6, 0.6, 0.2},
                                        {40000, 5, 40, 0.3, 0.5, 0.3},
                                        {300, 300, 256, 0, 0, 0},
                                        {300, 200, 400, 0.1, 0.2, 0.2}};
    for (unsigned k = 0; k < 400; k++) {
        struct sim_rng rng = sim_seed(20260301, k);
        struct look look = {1 + upto(&rng, 900), 1 + upto(&rng, 80), 1 + upto(&rng, k % 9 ? 100 : 400),
                            sim_uniform(&rng),   sim_uniform(&rng),  sim_uniform(&rng) / 2};
        if (k < MR_COUNT(looks))
            look = looks[k];
        uint32_t *pixel = malloc(4 * (size_t)look.width * look.height);
        paint(&rng, &look, pixel);
        see_same(&look, pixel);
        free(pixel);
    }
}

/* A picture of flat colour costs next to nothing, whether its rows are alike or its columns. */
Test(png, runs_and_rows_alike_are_told_in_few_bytes) {
    enum { SIDE = 1000 };
    static uint32_t pixel[SIDE * SIDE];
    for (int across = 0; across < 2; across++) {
        struct sim_rng rng = sim_seed(7, 7);
        uint32_t line[SIDE];
        for (unsigned i = 0; i < SIDE; i++)
            line[i] = upto(&rng, 16) * 0x111111;
        for (unsigned i = 0; i < SIDE * SIDE; i++)
            pixel[i] = line[across ? i / SIDE : i % SIDE];
        const struct look look = {.width = SIDE, .height = SIDE, .colours = 16};
        cr_assert_lt(see_same(&look, pixel), 9000);
    }
}

/* Of times[n]: complete (Kraft's sum is 1, L. G. Kraft 1949), in order, within the limit. Returns: the bits of all.
 */
static double check_code(const uint32_t *times, unsigned n, unsigned most, unsigned *longest) {
    struct mr_prefix code;
    mr_prefix_make(times, n, most, &code);
    double places = 0, bits = 0;
    *longest = 0;
    for (unsigned i = 0; i < n; i++) {
        cr_assert(times[i] == 0 || code.bits[i] > 0, "symbol %u has no code", i);
        cr_assert_leq(code.bits[i], most);
        places += code.bits[i] ? ldexp(1, -code.bits[i]) : 0;
        bits += (double)times[i] * code.bits[i];
        *longest = code.bits[i] > *longest ? code.bits[i] : *longest;
        for (unsigned j = 0; j < i && code.bits[i]; j++)
            cr_assert(!code.bits[j] || ((code.code[i] ^ code.code[j]) &
                                        ((1U << (code.bits[i] < code.bits[j] ? code.bits[i] : code.bits[j])) - 1)),
                      "codes of %u and %u begin alike", i, j);
    }
    cr_assert_eq(places, 1);
    return bits;
}

/* Shannon's bounds: no code is shorter than the entropy, Huffman's is less than a bit a symbol longer. Times in
 * Fibonacci's numbers make the deepest tree there is. */
Test(png, codes_are_complete_short_and_within_their_limit) {
    unsigned longest;
    uint32_t deep[30] = {1, 1};
    for (unsigned i = 2; i < MR_COUNT(deep); i++)
        deep[i] = deep[i - 1] + deep[i - 2];
    check_code(deep, 19, 7, &longest);
    cr_assert_eq(longest, 7);
    check_code(deep, 30, 15, &longest);
    cr_assert_eq(longest, 15);
    for (unsigned k = 0; k < 500; k++) {
        struct sim_rng rng = sim_seed(11, k);
        uint32_t times[MR_PREFIX_SYMBOLS] = {0};
        const unsigned n = 2 + upto(&rng, MR_PREFIX_SYMBOLS - 1);
        const double steep = sim_between(&rng, 0, 12), used = sim_uniform(&rng);
        double sum = 0, entropy = 0;
        for (unsigned i = 0; i < n; i++)
            times[i] = sim_uniform(&rng) < used ? (uint32_t)exp(steep * sim_uniform(&rng)) : 0;
        for (unsigned i = 0; i < n; i++)
            sum += times[i];
        for (unsigned i = 0; i < n; i++)
            entropy -= times[i] ? times[i] * log2(times[i] / sum) : 0;
        const double bits = check_code(times, n, 15, &longest);
        cr_assert(bits >= entropy - 1e-6 && bits <= entropy + sum, "%u: %g bits, entropy %g", k, bits, entropy);
    }
}
