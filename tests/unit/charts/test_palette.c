/*
 * The palette in grey and as colour-blind readers see it. Simulation: the matrices of Machado, Oliveira and Fernandes
 * (IEEE Transactions on Visualization and Computer Graphics 15, 2009, table of severity 1.0), applied to linear RGB;
 * figures from memory. Contrast and relative luminance: WCAG 2.1, definitions; 3:1 for graphics (1.4.11), 4.5:1 for
 * text (1.4.3).
 */
#include "random_job.h"
#include "render/chart/chart_heat.h"
#include "render/chart/figures.h"
#include "render/plot/chart_axes.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
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

/* --- every figure: what is drawn, before what lies beneath it --- */

static bool same(struct mr_ink a, struct mr_ink b) {
    return memcmp(&a, &b, sizeof a) == 0;
}

/* Even-odd rule. */
static bool inside(const struct mr_op *area, struct mr_point p) {
    bool in = false;
    for (size_t i = 0, k = area->n - 1; i < area->n; k = i++) {
        const struct mr_point a = area->point[i], b = area->point[k];
        if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
            in = !in;
    }
    return in;
}

static struct mr_ink ground(const struct mr_drawlist *l, size_t before, struct mr_point p) {
    for (size_t i = before; i-- > 0;) {
        const struct mr_op *op = &l->ops.v[i];
        if ((op->kind == MR_OP_RECT && p.x >= op->x && p.x <= op->x + op->w && p.y >= op->y &&
             p.y <= op->y + op->h) ||
            (op->kind == MR_OP_AREA && inside(op, p)))
            return op->ink;
    }
    return white;
}

/* What carries a figure's message: no light grid, no frame or rule in the pale ink of lines, no pale outline. */
static bool speaks(const struct mr_op *op) {
    return (op->kind == MR_OP_LINE || op->kind == MR_OP_MARKS || op->kind == MR_OP_TEXT || op->kind == MR_OP_HATCH) &&
           !same(op->ink, MR_INK_GRID) && !same(op->ink, MR_INK_LINE);
}

/* A few points of it, as it is drawn. */
static size_t points_of(const struct mr_op *op, struct mr_point out[8]) {
    if (op->kind == MR_OP_HATCH || op->kind == MR_OP_TEXT) {
        const double w = op->kind == MR_OP_TEXT ? mr_text_width(op->text, op->size, op->bold) : op->w;
        const double shift = op->kind == MR_OP_HATCH || op->anchor == MR_LEFT ? w / 2
                             : op->anchor == MR_RIGHT                         ? -w / 2
                                                                              : 0;
        out[0] = op->turned               ? (struct mr_point){op->x - op->size / 3, op->y - shift}
                 : op->kind == MR_OP_TEXT ? (struct mr_point){op->x + shift, op->y - op->size / 3}
                                          : (struct mr_point){op->x + shift, op->y + op->h / 2};
        return 1;
    }
    const size_t n = op->n < 8 ? op->n : 8;
    for (size_t i = 0; i < n; i++)
        out[i] = op->point[i * (op->n - 1) / (n > 1 ? n - 1 : 1)];
    return n;
}

static size_t faint(const struct mr_drawlist *l, const char *name) {
    size_t bad = 0;
    for (size_t i = 0; i < l->ops.n; i++) {
        const struct mr_op *op = &l->ops.v[i];
        struct mr_point p[8];
        const size_t n = speaks(op) ? points_of(op, p) : 0;
        for (size_t k = 0; k < n; k++)
            for (int v = 0; v < VISIONS; v++) {
                const struct mr_ink on = ground(l, i, p[k]);
                const double c = contrast(op->ink, on, v);
                if (c < 3.0 && bad++ < 3)
                    printf("%s: op %d #%02x%02x%02x on #%02x%02x%02x at %.0f,%.0f, vision %d: %.2f %s\n", name,
                           (int)op->kind, op->ink.r, op->ink.g, op->ink.b, on.r, on.g, on.b, p[k].x, p[k].y, v, c,
                           op->kind == MR_OP_TEXT ? op->text : "");
            }
    }
    return bad;
}

/* Lines of one dash and thickness, or marks of one shape, in two inks: apart in lightness for every eye, or a reader
 * of a grey print takes them for one. */
static bool one_look(const struct mr_op *a, const struct mr_op *b) {
    const double apart_pt = 0.4; /* a line so much thicker is another one */
    return a->kind == b->kind &&
           (a->kind == MR_OP_LINE ? a->dash == b->dash && fabs(a->size - b->size) < apart_pt : a->mark == b->mark);
}

static size_t alike(const struct mr_drawlist *l, const char *name) {
    const struct mr_op *look[64];
    size_t n = 0, bad = 0;
    for (size_t i = 0; i < l->ops.n; i++) {
        const struct mr_op *op = &l->ops.v[i];
        const double series_pt = 0.9; /* thinner lines are axes, ticks and leaders */
        bool new = speaks(op) && (op->kind == MR_OP_MARKS || (op->kind == MR_OP_LINE && op->size >= series_pt)) &&
                   n < MR_COUNT(look);
        for (size_t k = 0; k < n && new; k++)
            new = !(one_look(op, look[k]) && same(op->ink, look[k]->ink));
        if (new)
            look[n++] = op;
    }
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < i; k++)
            for (int v = 0; v < VISIONS; v++)
                if (one_look(look[i], look[k]) && contrast(look[i]->ink, look[k]->ink, v) < 1.25 && bad++ < 3)
                    printf("%s: op %d #%02x%02x%02x pen %.1f like #%02x%02x%02x pen %.1f, vision %d: %.2f\n", name,
                           (int)look[i]->kind, look[i]->ink.r, look[i]->ink.g, look[i]->ink.b, look[i]->size,
                           look[k]->ink.r, look[k]->ink.g, look[k]->ink.b, look[k]->size, v,
                           contrast(look[i]->ink, look[k]->ink, v));
    return bad;
}

Test(palette, every_kind_of_figure_reads_in_grey_and_for_the_colour_blind, .timeout = 300) {
    enum { JOBS_SEEN = 40, FIGURES_LEAST = 1000 };
    size_t figures = 0, dim = 0, twins = 0;
    for (uint64_t seed = 1; seed <= JOBS_SEEN; seed++) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        const struct mr_chart_job job = {f.arena, a, a->job->display, a->job->name, "since revision 0", NULL, NULL};
        for (int k = 0; k < MR_FIGURE_COUNT; k++) {
            mr_chart_list charts = {0};
            mr_figure_make(&job, mr_figure_kind_find(mr_figure_words[k].name), MR_NONE, &charts);
            for (size_t i = 0; i < charts.n; i++, figures++) {
                const char *name = mr_printf(f.arena, "job %d %s", (int)seed, charts.v[i].stem);
                dim += faint(charts.v[i].list, name);
                twins += alike(charts.v[i].list, name);
            }
        }
        fix_free(&f);
    }
    printf("seen: %zu figures, %zu faint, %zu alike\n", figures, dim, twins);
    cr_expect_eq(dim, 0);
    cr_expect_eq(twins, 0);
    cr_expect_gt(figures, FIGURES_LEAST);
}
