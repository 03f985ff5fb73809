/*
 * The palette in grey and as colour-blind readers see it. Simulation: the matrices of Machado, Oliveira and Fernandes
 * (IEEE Transactions on Visualization and Computer Graphics 15, 2009, table of severity 1.0), applied to linear RGB;
 * figures from memory. Contrast and relative luminance: WCAG 2.1, definitions; 3:1 for graphics (1.4.11), 4.5:1 for
 * text (1.4.3).
 */
#include "render/chart/chart_heat.h"
#include "render/plot/chart_axes.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

enum { NORMAL, PROTAN, DEUTAN, TRITAN, GREY, VISIONS };

static const double matrix[VISIONS][3][3] = {
    [NORMAL] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
    [PROTAN] = {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
    [DEUTAN] = {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
    [TRITAN] = {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
    [GREY] = {{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}}};

static const struct mr_ink white = {0xff, 0xff, 0xff};

static double linear(unsigned char v) {
    const double c = v / 255.0;
    return c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
}

static void seen(struct mr_ink ink, int vision, double out[3]) {
    const double in[3] = {linear(ink.r), linear(ink.g), linear(ink.b)};
    for (int r = 0; r < 3; r++) {
        out[r] = 0;
        for (int c = 0; c < 3; c++)
            out[r] += matrix[vision][r][c] * in[c];
        out[r] = fmin(fmax(out[r], 0), 1);
    }
}

static double luminance(struct mr_ink ink, int vision) {
    double c[3];
    seen(ink, vision, c);
    return 0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2];
}

static double contrast(struct mr_ink a, struct mr_ink b, int vision) {
    const double x = luminance(a, vision), y = luminance(b, vision);
    return (fmax(x, y) + 0.05) / (fmin(x, y) + 0.05);
}

/* Each row sums to 1, so that white stays white: a mistyped figure shows. */
Test(palette, matrices_leave_white_white) {
    for (int v = 0; v < VISIONS; v++)
        for (int r = 0; r < 3; r++)
            cr_expect_float_eq(matrix[v][r][0] + matrix[v][r][1] + matrix[v][r][2], 1.0, 2e-6, "%d %d", v, r);
}

Test(palette, every_series_stands_out_from_the_ground) {
    static const struct mr_ink inks[] = {{0x1a, 0x1a, 0x1a}, {0x5e, 0x5e, 0x5e}, {0x00, 0x72, 0xb2},
                                         {0x00, 0x3f, 0x6b}, {0xb8, 0x4a, 0x00}, {0x00, 0x7f, 0x5c},
                                         {0xa0, 0x6a, 0x00}, {0x94, 0x44, 0x7a}};
    const struct mr_ink named[] = {MR_INK_BLACK, MR_INK_GREY,  MR_INK_BLUE,  MR_INK_NAVY,
                                   MR_INK_RED,   MR_INK_GREEN, MR_INK_AMBER, MR_INK_PURPLE};
    cr_assert_eq(memcmp(inks, named, sizeof inks), 0, "the palette changed: look at it in grey again");
    for (int v = 0; v < VISIONS; v++) {
        for (size_t i = 0; i < MR_COUNT(named); i++) {
            const bool text = i == 0 || i == 1 || i == 4; /* the inks that words are set in */
            cr_expect_geq(contrast(named[i], white, v), text ? 4.5 : 3.0, "ink %zu, vision %d: %.2f before white", i,
                          v, contrast(named[i], white, v));
            cr_expect_geq(contrast(named[i], MR_INK_SHADE, v), 3.0, "ink %zu, vision %d: shade", i, v);
            cr_expect_geq(contrast(named[i], MR_INK_BAND, v), 3.0, "ink %zu, vision %d: band", i, v);
        }
        cr_expect_geq(contrast(MR_INK_ORANGE, white, v), 3.0, "line B, vision %d: %.2f", v,
                      contrast(MR_INK_ORANGE, white, v));
        /* beside the dash of line B */
        cr_expect_geq(contrast(MR_INK_ORANGE, MR_INK_NAVY, v), 2.0, "line A and B, vision %d: %.2f", v,
                      contrast(MR_INK_ORANGE, MR_INK_NAVY, v));
    }
    cr_expect_lt(contrast((struct mr_ink){0x56, 0xb4, 0xe9}, white, GREY), 3.0, "the check can fail: sky blue");
}

/* Probes of one coat: no two share a dash or a mark, so that no colour is needed to tell them apart. */
Test(palette, probes_differ_without_colour) {
    for (size_t i = 0; i < MR_PROBES_MOST; i++)
        for (size_t k = 0; k < i; k++) {
            cr_expect_neq(mr_heat_looks[i].dash, mr_heat_looks[k].dash, "%zu %zu", i, k);
            cr_expect_neq(mr_heat_looks[i].mark, mr_heat_looks[k].mark, "%zu %zu", i, k);
        }
}
