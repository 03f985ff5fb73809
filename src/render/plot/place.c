/*
 * place.c - see the header. What is drawn is kept as cells of one point; a label asks whether its cells are free.
 */
#include "render/plot/place.h"

#include <math.h>

struct mr_placer {
    struct mr_drawlist *list;
    size_t read; /* ops taken in */
    size_t cols, rows;
    unsigned char *cell; /* shape: rows * cols; 1 = ink, 2 = text */
    double clip[4];      /* x0, y0, x1, y1 in force */
};

enum { INK = 1, TEXT = 2 };

#define MARGIN_PT 0.8 /* kept between a label and ink */

struct mr_placer *mr_placer_new(struct mr_drawlist *list) {
    struct mr_placer *p = MR_NEW(list->arena, struct mr_placer);
    p->list = list;
    p->cols = (size_t)ceil(list->width_pt) + 1;
    p->rows = (size_t)ceil(list->height_pt) + 1;
    p->cell = MR_ARRAY(list->arena, unsigned char, p->cols * p->rows);
    p->clip[2] = list->width_pt;
    p->clip[3] = list->height_pt;
    return p;
}

/* Cells of a rectangle, cut at the page: false where nothing of it lies there. */
static bool cells_of(const struct mr_placer *p, struct mr_box b, size_t out[4]) {
    const double x0 = fmax(b.x0, 0), y0 = fmax(b.y0, 0);
    const double x1 = fmin(b.x1, (double)p->cols - 1), y1 = fmin(b.y1, (double)p->rows - 1);
    if (!(x1 >= x0) || !(y1 >= y0))
        return false;
    out[0] = (size_t)x0;
    out[1] = (size_t)y0;
    out[2] = (size_t)x1;
    out[3] = (size_t)y1;
    return true;
}

static void ink_rect(struct mr_placer *p, struct mr_box b, unsigned char what) {
    b.x0 = fmax(b.x0, p->clip[0]);
    b.y0 = fmax(b.y0, p->clip[1]);
    b.x1 = fmin(b.x1, p->clip[2]);
    b.y1 = fmin(b.y1, p->clip[3]);
    size_t c[4];
    if (b.x1 < b.x0 || b.y1 < b.y0 || !cells_of(p, b, c))
        return;
    for (size_t y = c[1]; y <= c[3]; y++)
        for (size_t x = c[0]; x <= c[2]; x++)
            p->cell[y * p->cols + x] |= what;
}

static void ink_stroke(struct mr_placer *p, struct mr_point a, struct mr_point b, double pen) {
    const double length = hypot(b.x - a.x, b.y - a.y), half = pen / 2;
    if (!isfinite(length))
        return;
    if (fabs(a.x - b.x) < 0.01 || fabs(a.y - b.y) < 0.01) { /* along an axis: one rectangle */
        ink_rect(p,
                 (struct mr_box){fmin(a.x, b.x) - half, fmin(a.y, b.y) - half, fmax(a.x, b.x) + half,
                                 fmax(a.y, b.y) + half},
                 INK);
        return;
    }
    const size_t steps = (size_t)fmin(ceil(length / 0.7), 20000);
    for (size_t i = 0; i <= steps; i++) {
        const double t = (double)i / (double)steps, x = a.x + (b.x - a.x) * t, y = a.y + (b.y - a.y) * t;
        ink_rect(p, (struct mr_box){x - half, y - half, x + half, y + half}, INK);
    }
}

static void ink_box(struct mr_placer *p, const struct mr_op *op) {
    const struct mr_point c[5] = {{op->x, op->y},
                                  {op->x + op->w, op->y},
                                  {op->x + op->w, op->y + op->h},
                                  {op->x, op->y + op->h},
                                  {op->x, op->y}};
    for (size_t i = 0; i < 4; i++)
        ink_stroke(p, c[i], c[i + 1], op->size);
}

static void take_in(struct mr_placer *p) {
    for (; p->read < p->list->ops.n; p->read++) {
        const struct mr_op *op = &p->list->ops.v[p->read];
        switch (op->kind) {
        case MR_OP_LINE:
            for (size_t i = 1; !mr_op_is_ground(op) && i < op->n; i++)
                ink_stroke(p, op->point[i - 1], op->point[i], op->size);
            break;
        case MR_OP_MARKS:
            for (size_t i = 0; i < op->n; i++)
                ink_rect(p,
                         (struct mr_box){op->point[i].x - 0.65 * op->size, op->point[i].y - 0.65 * op->size,
                                         op->point[i].x + 0.65 * op->size, op->point[i].y + 0.65 * op->size},
                         INK);
            break;
        case MR_OP_BOX:
            ink_box(p, op);
            break;
        case MR_OP_HATCH:
            ink_rect(p, (struct mr_box){op->x, op->y, op->x + op->w, op->y + op->h}, INK);
            break;
        case MR_OP_TEXT:
            ink_rect(p, mr_text_box(op), TEXT);
            break;
        case MR_OP_CLIP:
            p->clip[0] = op->x;
            p->clip[1] = op->y;
            p->clip[2] = op->x + op->w;
            p->clip[3] = op->y + op->h;
            break;
        case MR_OP_UNCLIP:
            p->clip[0] = p->clip[1] = 0;
            p->clip[2] = p->list->width_pt;
            p->clip[3] = p->list->height_pt;
            break;
        case MR_OP_RECT:
        case MR_OP_AREA:
            break;
        }
    }
}

static bool is_clear(const struct mr_placer *p, struct mr_room room, struct mr_box b) {
    if (b.x0 < room.x || b.y0 < room.y || b.x1 > room.x + room.w || b.y1 > room.y + room.h)
        return false;
    size_t c[4];
    b = (struct mr_box){b.x0 - MARGIN_PT, b.y0 - MARGIN_PT, b.x1 + MARGIN_PT, b.y1 + MARGIN_PT};
    if (!cells_of(p, b, c))
        return false;
    for (size_t y = c[1]; y <= c[3]; y++)
        for (size_t x = c[0]; x <= c[2]; x++)
            if (p->cell[y * p->cols + x])
                return false;
    return true;
}

static struct mr_op text_op(struct mr_type type, struct mr_point at, const char *text) {
    return (struct mr_op){.kind = MR_OP_TEXT,
                          .x = at.x,
                          .y = at.y,
                          .size = type.size,
                          .anchor = type.anchor,
                          .bold = type.bold,
                          .turned = type.turned,
                          .text = text};
}

bool mr_label_text(struct mr_placer *p, struct mr_room room, struct mr_type type, const char *text, size_t n,
                   const struct mr_point *candidate) {
    take_in(p);
    for (size_t i = 0; i < n; i++) {
        const struct mr_op op = text_op(type, candidate[i], text);
        if (!is_clear(p, room, mr_text_box(&op)))
            continue;
        mr_draw_text(p->list, type, candidate[i].x, candidate[i].y, text);
        return true;
    }
    return false;
}

/* A thin line from the nearest point of the label's box to what it names. */
struct leader {
    bool needed;
    struct mr_point from, to;
};

static struct leader leader_of(struct mr_point to, double clear, struct mr_box b) {
    const double x = fmin(fmax(to.x, b.x0), b.x1), y = fmin(fmax(to.y, b.y0), b.y1);
    const double d = hypot(x - to.x, y - to.y);
    if (d < clear + 3)
        return (struct leader){false, to, to};
    const double from = 1.6 / d, until = 1 - clear / d;
    return (struct leader){
        true, {x + (to.x - x) * from, y + (to.y - y) * from}, {x + (to.x - x) * until, y + (to.y - y) * until}};
}

/* A leader may cross lines, but no text. */
static bool leads(const struct mr_placer *p, const struct leader *l) {
    const double length = hypot(l->to.x - l->from.x, l->to.y - l->from.y);
    const size_t steps = l->needed ? (size_t)ceil(length / 0.5) + 1 : 0;
    for (size_t i = 0; i <= steps && l->needed; i++) {
        const double t = (double)i / (double)steps, x = l->from.x + (l->to.x - l->from.x) * t,
                     y = l->from.y + (l->to.y - l->from.y) * t;
        size_t c[4];
        if (!cells_of(p, (struct mr_box){x - 0.6, y - 0.6, x + 0.6, y + 0.6}, c))
            return false;
        for (size_t row = c[1]; row <= c[3]; row++)
            for (size_t col = c[0]; col <= c[2]; col++)
                if (p->cell[row * p->cols + col] & TEXT)
                    return false;
    }
    return true;
}

static bool place_led(struct mr_placer *p, struct mr_room room, struct mr_type type, const char *text,
                      struct mr_point at, struct mr_point to, double clear) {
    take_in(p);
    const struct mr_op op = text_op(type, at, text);
    const struct mr_box b = mr_text_box(&op);
    const struct leader l = leader_of(to, clear, b);
    if (!is_clear(p, room, b) || !leads(p, &l))
        return false;
    mr_draw_text(p->list, type, at.x, at.y, text);
    if (l.needed)
        mr_draw_segment(p->list, type.ink, 0.5, MR_SOLID, l.from.x, l.from.y, l.to.x, l.to.y);
    return true;
}

bool mr_label_level(struct mr_placer *p, struct mr_room room, struct mr_ink ink, double y, const char *text) {
    enum { ALONG = 25, ROWS = 10 };
    const struct mr_type type = {ink, MR_SIZE_CAPTION, MR_RIGHT, false, false};
    struct mr_point at[ALONG * ROWS];
    size_t n = 0;
    const double w = mr_text_width(text, type.size, false), right = room.x + room.w - 3,
                 span = right - room.x - 3 - w;
    for (size_t r = 0; r < ROWS; r++) {
        const double off = 9.0 * (double)(r / 2);
        for (size_t i = 0; i < ALONG; i++)
            at[n++] =
                (struct mr_point){right - span * (double)i / (ALONG - 1), r % 2 == 0 ? y - 3.4 - off : y + 8.2 + off};
    }
    if (mr_label_text(p, room, type, text, 2 * ALONG, at))
        return true;
    for (size_t i = 2 * ALONG; i < n; i++)
        if (place_led(p, room, type, text, at[i], (struct mr_point){at[i].x - w / 2, y}, 0.5))
            return true;
    return false;
}

/* Beside, above and below the point, then in rings around it. */
static size_t around(struct mr_point at, double clear, double w, struct mr_point *out, size_t most) {
    size_t n = 0;
    for (double r = clear + 1.5; n + 16 <= most; r += r < clear + 12 ? 4.0 : 9.0)
        for (size_t k = 0; k < 16; k++) {
            static const int order[16] = {0, 8, 12, 4, 14, 2, 10, 6, 15, 1, 9, 7, 13, 3, 11, 5};
            const double angle = 2 * 3.14159265358979 * order[k] / 16.0, c = cos(angle), s = sin(angle);
            out[n++] = (struct mr_point){at.x + r * c +
                                             (c > 0.01    ? w / 2
                                              : c < -0.01 ? -w / 2
                                                          : 0) *
                                                 fabs(c),
                                         at.y + r * s +
                                             (s > 0.01    ? 7.2
                                              : s < -0.01 ? -1.8
                                                          : 2.6) *
                                                 fabs(s) +
                                             2.6 * (1 - fabs(s))};
        }
    return n;
}

bool mr_label_point(struct mr_placer *p, struct mr_room room, struct mr_type type, struct mr_point at, double clear,
                    const char *text) {
    struct mr_point candidate[256];
    type.anchor = MR_MIDDLE;
    const size_t n = around(at, clear, mr_text_width(text, type.size, type.bold), candidate, MR_COUNT(candidate));
    for (size_t i = 0; i < n; i++)
        if (place_led(p, room, type, text, candidate[i], at, clear))
            return true;
    return false;
}

void mr_label_or_number(struct mr_placer *p, struct mr_room room, struct mr_type type, struct mr_point at,
                        double clear, const char *text) {
    const double most = room.w / 3;
    const char *shown = mr_text_fit(p->list->arena, text, type.size, type.bold, most);
    if (mr_label_point(p, room, type, at, clear, shown)) {
        if (shown != text)
            mr_tell(p->list, text);
        return;
    }
    const size_t told = p->list->numbered.n, number = mr_tell_numbered(p->list, text);
    type.bold = true;
    if (mr_label_point(p, room, type, at, clear, mr_printf(p->list->arena, "%zu", number)) || number <= told)
        return;
    p->list->numbered.n = told; /* a number that stands nowhere in the plot leads nowhere */
    mr_tell(p->list, text);
}

void mr_label_above(struct mr_placer *p, struct mr_room room, struct mr_ink ink, struct mr_point at, bool right,
                    const char *text) {
    enum { SLIDES = 9 };
    struct mr_type type = {ink, MR_SIZE_TICK, MR_MIDDLE, false, false};
    const double w = mr_text_width(text, type.size, false);
    for (double y = at.y - 3; y > room.y + 6; y -= 9.5) {
        const double near = w / 2 + 2, far = w / 2 + 5; /* a slanted leader passes the end of a label below */
        const double side[5] = {right ? near : -near, right ? -near : near, right ? far : -far, right ? -far : far,
                                0};
        for (size_t i = 0; i < MR_COUNT(side); i++)
            if (place_led(p, room, type, text, (struct mr_point){at.x + side[i], y}, at, 1))
                return;
        for (int i = 1; i < 2 * SLIDES; i++) { /* slid along until it only just covers its line */
            const double x = at.x + (i % 2 ? 1 : -1) * w / 2 * (double)i / (2 * SLIDES);
            if (place_led(p, room, type, text, (struct mr_point){x, y}, at, 1))
                return;
        }
    }
    mr_label_or_number(p, room, type, at, 1, text);
}
