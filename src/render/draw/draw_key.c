/*
 * draw_key.c - see draw_key.h. Every member is added by itself: the gaps between members of a struct hold anything.
 */
#include "render/draw/draw_key.h"

#include "base/sha256.h"

#include <string.h>

static void add_text(struct mr_sha256 *sha, const char *text) {
    const unsigned char there = text != NULL;
    mr_sha256_add(sha, &there, sizeof there);
    mr_sha256_add(sha, text, text ? strlen(text) + 1 : 0);
}

static void add_op(struct mr_sha256 *sha, const struct mr_op *op) {
    const double number[] = {op->x, op->y, op->w, op->h, op->size};
    const unsigned char small[] = {
        (unsigned char)op->kind,   op->ink.r, op->ink.g,  op->ink.b,  (unsigned char)op->dash,
        (unsigned char)op->anchor, op->bold,  op->turned, op->beside, (unsigned char)op->mark};
    const uint64_t n = op->n;
    mr_sha256_add(sha, number, sizeof number);
    mr_sha256_add(sha, small, sizeof small);
    mr_sha256_add(sha, &n, sizeof n);
    add_text(sha, op->text);
    mr_sha256_add(sha, op->point, op->n * sizeof *op->point);
}

void mr_draw_key(const struct mr_drawlist *list, const char *drawer, char out[65]) {
    const double size[] = {list->width_pt, list->height_pt, list->plot_top_pt, list->plot_bottom_pt};
    struct mr_sha256 *sha = mr_sha256_new();
    add_text(sha, drawer);
    mr_sha256_add(sha, size, sizeof size);
    add_text(sha, list->title);
    add_text(sha, list->desc);
    add_text(sha, list->subtitle);
    add_text(sha, list->caption);
    for (size_t i = 0; i < list->ops.n; i++)
        add_op(sha, &list->ops.v[i]);
    mr_sha256_end(sha, out);
}
