/*
 * label_law.c - see the header. The light grid and pale fills are ground: text may stand on them.
 */
#include "label_law.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { TEXTS_MOST = 2000, TOLD_MOST = 12 };

struct rect {
    double x0, y0, x1, y1;
};

static size_t told;

static void complain(const char *name, const char *what, const char *text, const char *other) {
    if (told++ < TOLD_MOST)
        printf("%s: \"%.60s\" %s%s%.60s\n", name, text, what, other[0] ? " " : "", other);
}

/* Capitals stand 0.73 of the size above the baseline, descenders 0.19 below it (read off DejaVu Sans 2.37). */
static struct rect box_of(const struct mr_op *op) {
    const double w = mr_text_width(op->text, op->size, op->bold);
    const double from = op->anchor == MR_LEFT ? 0 : op->anchor == MR_RIGHT ? -w : -w / 2;
    if (op->turned)
        return (struct rect){op->x - 0.73 * op->size, op->y - from - w, op->x + 0.19 * op->size, op->y - from};
    return (struct rect){op->x + from, op->y - 0.73 * op->size, op->x + from + w, op->y + 0.19 * op->size};
}

static bool meet(struct rect a, struct rect b) {
    return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}

/* Liang and Barsky, ACM Transactions on Graphics 3 (1984): the part of a segment inside a rectangle. */
static bool segment_meets(struct mr_point a, struct mr_point b, struct rect r) {
    const double dx = b.x - a.x, dy = b.y - a.y;
    const double p[4] = {-dx, dx, -dy, dy}, q[4] = {a.x - r.x0, r.x1 - a.x, a.y - r.y0, r.y1 - a.y};
    double t0 = 0, t1 = 1;
    for (int i = 0; i < 4; i++) {
        if (fabs(p[i]) < 1e-12) {
            if (q[i] < 0)
                return false;
            continue;
        }
        const double t = q[i] / p[i];
        if (p[i] < 0)
            t0 = fmax(t0, t);
        else
            t1 = fmin(t1, t);
    }
    return t0 < t1;
}

static bool is_grid(const struct mr_op *op) {
    return op->ink.r == 0xe4 && op->ink.g == 0xe4 && op->ink.b == 0xe4;
}

static struct rect grown(struct rect r, double by) {
    return (struct rect){r.x0 - by, r.y0 - by, r.x1 + by, r.y1 + by};
}

static struct rect cut(struct rect a, struct rect b) {
    return (struct rect){fmax(a.x0, b.x0), fmax(a.y0, b.y0), fmin(a.x1, b.x1), fmin(a.y1, b.y1)};
}

static bool inks(const struct mr_op *op, struct rect text, struct rect clip) {
    const struct rect seen = cut(text, clip);
    if (!(seen.x0 < seen.x1 && seen.y0 < seen.y1))
        return false;
    const struct rect own = {op->x, op->y, op->x + op->w, op->y + op->h};
    if (op->kind == MR_OP_LINE && !is_grid(op)) {
        for (size_t i = 1; i < op->n; i++)
            if (segment_meets(op->point[i - 1], op->point[i], grown(seen, op->size / 2)))
                return true;
    } else if (op->kind == MR_OP_MARKS) {
        for (size_t i = 0; i < op->n; i++) {
            const struct mr_point p = op->point[i];
            const double r = 0.45 * op->size;
            if (meet(seen, (struct rect){p.x - r, p.y - r, p.x + r, p.y + r}))
                return true;
        }
    } else if (op->kind == MR_OP_HATCH) {
        return meet(seen, own);
    } else if (op->kind == MR_OP_BOX) {
        const struct mr_point c[5] = {
            {own.x0, own.y0}, {own.x1, own.y0}, {own.x1, own.y1}, {own.x0, own.y1}, {own.x0, own.y0}};
        for (int i = 0; i < 4; i++)
            if (segment_meets(c[i], c[i + 1], grown(seen, op->size / 2)))
                return true;
    }
    return false;
}

static const char *const kinds[] = {"rect", "box", "line", "area", "hatch", "text", "marks", "clip", "unclip"};

static size_t over_ink(const struct mr_drawlist *l, const char *name, size_t text) {
    const struct rect page = {-1e9, -1e9, 1e9, 1e9};
    const struct mr_op *t = &l->ops.v[text];
    struct rect clip = page;
    size_t bad = 0;
    for (size_t i = 0; i < l->ops.n && !bad; i++) {
        const struct mr_op *op = &l->ops.v[i];
        if (op->kind == MR_OP_CLIP)
            clip = (struct rect){op->x, op->y, op->x + op->w, op->y + op->h};
        else if (op->kind == MR_OP_UNCLIP)
            clip = page;
        else if (inks(op, box_of(t), clip)) {
            complain(name, "lies over a", t->text, kinds[op->kind]);
            bad++;
        } else if (op->kind == MR_OP_RECT && i > text &&
                   meet(box_of(t), (struct rect){op->x, op->y, op->x + op->w, op->y + op->h})) {
            complain(name, "is covered by a later", t->text, kinds[op->kind]);
            bad++;
        }
    }
    return bad;
}

size_t label_law(const struct mr_drawlist *l, const char *name) {
    static size_t text[TEXTS_MOST];
    size_t n = 0, bad = 0;
    for (size_t i = 0; i < l->ops.n; i++) {
        const struct mr_op *op = &l->ops.v[i];
        if (op->kind == MR_OP_RECT && op->ink.r == 255 && op->ink.g == 255 && op->ink.b == 255) {
            complain(name, "a white rectangle hides ink", "", "");
            bad++;
        }
        if (op->kind != MR_OP_TEXT || n == TEXTS_MOST)
            continue;
        const struct rect b = box_of(op);
        if (b.x0 < 0 || b.y0 < 0 || b.x1 > l->width_pt || b.y1 > l->height_pt) {
            complain(name, "leaves the page", op->text, "");
            bad++;
        }
        for (size_t k = 0; k < n; k++)
            if (meet(b, box_of(&l->ops.v[text[k]]))) {
                complain(name, "meets", op->text, l->ops.v[text[k]].text);
                bad++;
            }
        bad += over_ink(l, name, i);
        text[n++] = i;
    }
    return bad;
}
