/*
 * draw_list.c - building, measuring and dumping draw lists. The table of advances was read from DejaVu Sans 2.37
 * (2048 units per em); a test holds it against the font that is installed.
 */
#include "render/draw/draw_list.h"

#include "base/utf8.h"
#include "milrise/diag.h"

#include <stdio.h>
#include <string.h>

/* Characters 32 to 126 and 160 to 255, regular and bold, in 1/2048 em. */
static const unsigned short ascii_advance[2][95] = {
    {651,  821,  942,  1716, 1303, 1946, 1597, 563,  799,  799,  1024, 1716, 651,  739,  651,  690,
     1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 1303, 690,  690,  1716, 1716, 1716, 1087,
     2048, 1401, 1405, 1430, 1577, 1294, 1178, 1587, 1540, 604,  604,  1343, 1141, 1767, 1532, 1612,
     1235, 1612, 1423, 1300, 1251, 1499, 1401, 2025, 1403, 1251, 1403, 799,  690,  799,  1716, 1024,
     1024, 1255, 1300, 1126, 1300, 1260, 721,  1300, 1298, 569,  569,  1186, 569,  1995, 1298, 1253,
     1300, 1300, 842,  1067, 803,  1298, 1212, 1675, 1212, 1212, 1075, 1303, 690,  1303, 1716},
    {713,  934,  1067, 1716, 1425, 2052, 1786, 627,  936,  936,  1071, 1716, 778,  850,  778,  748,
     1425, 1425, 1425, 1425, 1425, 1425, 1425, 1425, 1425, 1425, 819,  819,  1716, 1716, 1716, 1188,
     2048, 1585, 1561, 1503, 1700, 1399, 1399, 1681, 1714, 762,  762,  1587, 1305, 2038, 1714, 1741,
     1501, 1741, 1577, 1475, 1397, 1663, 1585, 2259, 1579, 1483, 1485, 936,  748,  936,  1716, 1024,
     1024, 1382, 1466, 1214, 1466, 1389, 891,  1466, 1458, 702,  702,  1362, 702,  2134, 1458, 1407,
     1466, 1466, 1010, 1219, 979,  1458, 1335, 1892, 1321, 1335, 1192, 1458, 748,  1458, 1716}};

static const unsigned short latin_advance[2][96] = {
    {651,  821,  1303, 1303, 1303, 1303, 690,  1024, 1024, 2048, 965,  1253, 1716, 739,  2048, 1024,
     1024, 1716, 821,  821,  1024, 1303, 1303, 651,  1024, 821,  965,  1253, 1985, 1985, 1985, 1087,
     1401, 1401, 1401, 1401, 1401, 1401, 1995, 1430, 1294, 1294, 1294, 1294, 604,  604,  604,  604,
     1587, 1532, 1612, 1612, 1612, 1612, 1612, 1716, 1612, 1499, 1499, 1499, 1499, 1251, 1239, 1290,
     1255, 1255, 1255, 1255, 1255, 1255, 2011, 1126, 1260, 1260, 1260, 1260, 569,  569,  569,  569,
     1253, 1298, 1253, 1253, 1253, 1253, 1253, 1716, 1253, 1298, 1298, 1298, 1298, 1212, 1300, 1212},
    {713,  934,  1425, 1425, 1303, 1425, 748,  1024, 1024, 2048, 1155, 1323, 1716, 850,  2048, 1024,
     1024, 1716, 897,  897,  1024, 1507, 1303, 778,  1024, 897,  1155, 1323, 2120, 2120, 2120, 1188,
     1585, 1585, 1585, 1585, 1585, 1585, 2222, 1503, 1399, 1399, 1399, 1399, 762,  762,  762,  762,
     1716, 1714, 1741, 1741, 1741, 1741, 1741, 1716, 1741, 1663, 1663, 1663, 1663, 1483, 1511, 1473,
     1382, 1382, 1382, 1382, 1382, 1382, 2146, 1214, 1389, 1389, 1389, 1389, 702,  702,  702,  702,
     1407, 1458, 1407, 1407, 1407, 1407, 1407, 1716, 1407, 1458, 1458, 1458, 1458, 1335, 1466, 1335}};

enum { EM = 2048, OTHER_ADVANCE = 1311, WIDE_ADVANCE = 2048, TEXT_MAX = 400 };

struct mr_drawlist *mr_drawlist_new(struct mr_arena *arena, double width_pt, double height_pt, const char *title) {
    struct mr_drawlist *list = MR_NEW(arena, struct mr_drawlist);
    list->arena = arena;
    list->width_pt = width_pt;
    list->height_pt = height_pt;
    list->title = mr_clean_text(arena, title, strlen(title), TEXT_MAX);
    return list;
}

double mr_plot_height(const struct mr_drawlist *list) {
    return list->plot_bottom_pt > 0 ? list->plot_bottom_pt - list->plot_top_pt : list->height_pt;
}

static void add(struct mr_drawlist *list, struct mr_op op) {
    MR_PUSH(list->arena, &list->ops, op);
}

static void add_rect(struct mr_drawlist *list, enum mr_op_kind kind, struct mr_ink ink, double pen, double x,
                     double y, double w, double h) {
    add(list, (struct mr_op){.kind = kind, .ink = ink, .size = pen, .x = x, .y = y, .w = w, .h = h});
}

void mr_draw_rect(struct mr_drawlist *list, struct mr_ink ink, double x, double y, double w, double h) {
    add_rect(list, MR_OP_RECT, ink, 0, x, y, w, h);
}

void mr_draw_box(struct mr_drawlist *list, struct mr_ink ink, double pen, double x, double y, double w, double h) {
    add_rect(list, MR_OP_BOX, ink, pen, x, y, w, h);
}

void mr_draw_hatch(struct mr_drawlist *list, struct mr_ink ink, double pen, double x, double y, double w, double h) {
    add_rect(list, MR_OP_HATCH, ink, pen, x, y, w, h);
}

void mr_draw_clip(struct mr_drawlist *list, double x, double y, double w, double h) {
    add_rect(list, MR_OP_CLIP, (struct mr_ink){0}, 0, x, y, w, h);
}

void mr_draw_unclip(struct mr_drawlist *list) {
    add(list, (struct mr_op){.kind = MR_OP_UNCLIP});
}

static void add_points(struct mr_drawlist *list, struct mr_op op, size_t n, const struct mr_point *point) {
    if (n == 0)
        return;
    struct mr_point *copy = MR_ARRAY(list->arena, struct mr_point, n);
    memcpy(copy, point, n * sizeof *copy);
    op.n = n;
    op.point = copy;
    add(list, op);
}

#define STRAIGHT_PT 0.01 /* a hundredth of a point, as fine as coordinates are written: 0.04 dots of the print */

enum { SPAN_MOST = 64 };

/* Whether p lies no farther than STRAIGHT_PT from the segment. */
static bool is_on(struct mr_point p, struct mr_point a, struct mr_point b) {
    const double dx = b.x - a.x, dy = b.y - a.y, ex = p.x - a.x, ey = p.y - a.y;
    const double along = dx * ex + dy * ey, square = dx * dx + dy * dy;
    if (along <= 0 || along >= square)
        return false;
    const double across = dx * ey - dy * ex;
    return across * across <= STRAIGHT_PT * STRAIGHT_PT * square;
}

static bool is_straight(const struct mr_point *point, size_t from, size_t to) {
    for (size_t i = from + 1; i < to; i++)
        if (!is_on(point[i], point[from], point[to]))
            return false;
    return true;
}

/* A path without the points that lie on the straight way between others: each would be drawn, printed and deflated in
 * every format, and nobody could see it. Three points at least, since two make a line of another cap. */
static void add_path(struct mr_drawlist *list, struct mr_op op, size_t n, const struct mr_point *point) {
    struct mr_point *kept = MR_ARRAY(list->arena, struct mr_point, n);
    size_t k = 0;
    for (size_t from = 0, to; from < n; from = to) {
        kept[k++] = point[from];
        for (to = from + 1; to + 1 < n && to + 1 - from < SPAN_MOST && is_straight(point, from, to + 1);)
            to++;
    }
    if (k == 2 && n > 2) {
        kept[1] = point[n / 2];
        kept[k++] = point[n - 1];
    }
    op.n = k;
    op.point = kept;
    add(list, op);
}

void mr_draw_line(struct mr_drawlist *list, struct mr_ink ink, double pen, enum mr_dash dash, size_t n,
                  const struct mr_point *point) {
    if (n > 1)
        add_path(list, (struct mr_op){.kind = MR_OP_LINE, .ink = ink, .size = pen, .dash = dash}, n, point);
}

void mr_draw_segment(struct mr_drawlist *list, struct mr_ink ink, double pen, enum mr_dash dash, double x0, double y0,
                     double x1, double y1) {
    const struct mr_point ends[2] = {{x0, y0}, {x1, y1}};
    mr_draw_line(list, ink, pen, dash, 2, ends);
}

void mr_draw_area(struct mr_drawlist *list, struct mr_ink ink, size_t n, const struct mr_point *point) {
    if (n > 2)
        add_path(list, (struct mr_op){.kind = MR_OP_AREA, .ink = ink}, n, point);
}

void mr_draw_marks(struct mr_drawlist *list, struct mr_ink ink, enum mr_mark mark, double size, size_t n,
                   const struct mr_point *point) {
    add_points(list, (struct mr_op){.kind = MR_OP_MARKS, .ink = ink, .size = size, .mark = mark}, n, point);
}

void mr_draw_mark(struct mr_drawlist *list, struct mr_ink ink, enum mr_mark mark, double size, double x, double y) {
    const struct mr_point p = {x, y};
    mr_draw_marks(list, ink, mark, size, 1, &p);
}

void mr_draw_text(struct mr_drawlist *list, struct mr_type type, double x, double y, const char *text) {
    if (!text || !text[0])
        return;
    add(list, (struct mr_op){.kind = MR_OP_TEXT,
                             .ink = type.ink,
                             .x = x,
                             .y = y,
                             .size = type.size,
                             .anchor = type.anchor,
                             .bold = type.bold,
                             .turned = type.turned,
                             .text = mr_clean_text(list->arena, text, strlen(text), TEXT_MAX)});
}

static size_t tell(struct mr_drawlist *list, bool numbered, const char *text) {
    const size_t n = numbered ? list->numbered.n : list->told.n;
    const char *clean = mr_clean_text(list->arena, text, strlen(text), TEXT_MAX);
    for (size_t i = 0; i < n; i++)
        if (strcmp(numbered ? list->numbered.v[i] : list->told.v[i], clean) == 0)
            return i + 1;
    if (numbered)
        MR_PUSH(list->arena, &list->numbered, clean);
    else
        MR_PUSH(list->arena, &list->told, clean);
    return n + 1;
}

void mr_tell(struct mr_drawlist *list, const char *text) {
    tell(list, false, text);
}

size_t mr_tell_numbered(struct mr_drawlist *list, const char *text) {
    return tell(list, true, text);
}

struct mr_box mr_text_box(const struct mr_op *op) {
    const double w = mr_text_width(op->text, op->size, op->bold), up = 0.74 * op->size, down = 0.2 * op->size;
    const double shift = op->anchor == MR_LEFT ? 0 : op->anchor == MR_RIGHT ? w : w / 2;
    if (op->turned)
        return (struct mr_box){op->x - up, op->y + shift - w, op->x + down, op->y + shift};
    return (struct mr_box){op->x - shift, op->y - up, op->x - shift + w, op->y + down};
}

size_t mr_dash_lengths(enum mr_dash dash, double pen, double out[4]) {
    static const double by_pen[][4] = {[MR_DASHED] = {4.0, 2.0},
                                       [MR_DOTTED] = {1.0, 1.5},
                                       [MR_DASH_DOT] = {5.0, 1.5, 1.0, 1.5},
                                       [MR_LONG_DASH] = {9.0, 2.5}};
    static const double fixed[][4] = {[MR_DASHED] = {1.0, 1.0},
                                      [MR_DOTTED] = {0.0, 0.8},
                                      [MR_DASH_DOT] = {1.0, 0.8, 0.0, 0.8},
                                      [MR_LONG_DASH] = {1.0, 1.0}};
    const size_t n = dash == MR_SOLID ? 0 : dash == MR_DASH_DOT ? 4 : 2;
    for (size_t i = 0; i < n; i++)
        out[i] = by_pen[dash][i] * pen + fixed[dash][i];
    return n;
}

bool mr_op_is_ground(const struct mr_op *op) {
    const struct mr_ink grid = MR_INK_GRID;
    return op->kind == MR_OP_RECT || op->kind == MR_OP_AREA || op->kind == MR_OP_CLIP || op->kind == MR_OP_UNCLIP ||
           (op->kind == MR_OP_LINE && memcmp(&op->ink, &grid, sizeof grid) == 0);
}

/* Advance of the character at p in 1/2048 em; *len gets its bytes. */
static unsigned advance(const char *p, size_t n, bool bold, size_t *len) {
    const unsigned char c = (unsigned char)p[0];
    *len = mr_utf8_length(p, n);
    if (*len == 0)
        *len = 1;
    if (c >= 32 && c < 127)
        return ascii_advance[bold][c - 32];
    if (*len == 2 && (c == 0xc2 || c == 0xc3)) {
        unsigned code = (c & 0x1fU) << 6 | ((unsigned char)p[1] & 0x3fU);
        return code >= 160 ? latin_advance[bold][code - 160] : OTHER_ADVANCE;
    }
    return *len == 4 || (*len == 3 && c >= 0xe3) ? WIDE_ADVANCE : OTHER_ADVANCE;
}

double mr_text_width(const char *text, double size, bool bold) {
    size_t n = strlen(text), len;
    unsigned long units = 0;
    for (size_t i = 0; i < n; i += len)
        units += advance(text + i, n - i, bold, &len);
    return (double)units * size / EM;
}

const char *mr_text_fit(struct mr_arena *arena, const char *text, double size, bool bold, double width) {
    if (mr_text_width(text, size, bold) <= width)
        return text;
    const double room = width - mr_text_width("…", size, bold);
    size_t n = strlen(text), len = 0, i = 0;
    double used = 0;
    while (i < n) {
        used += (double)advance(text + i, n - i, bold, &len) * size / EM;
        if (used > room)
            break;
        i += len;
    }
    while (i > 0 && text[i - 1] == ' ')
        i--;
    return mr_printf(arena, "%.*s…", (int)i, text);
}

/* Bytes of the longest piece of text that ends before a blank and fits; a word wider than the line is taken whole. */
static size_t line_bytes(const char *text, double size, bool bold, double width) {
    size_t n = strlen(text), len, fits = 0;
    double used = 0;
    for (size_t i = 0; i < n; i += len) {
        if (text[i] == ' ' && used <= width)
            fits = i;
        used += (double)advance(text + i, n - i, bold, &len) * size / EM;
        if (used > width && fits > 0)
            return fits;
    }
    return used <= width || fits == 0 ? n : fits;
}

size_t mr_text_wrap(struct mr_arena *arena, const char *text, double size, bool bold, double width, size_t max_lines,
                    const char **lines) {
    size_t n = 0;
    while (*text == ' ')
        text++;
    while (*text && n < max_lines) {
        if (n + 1 == max_lines) {
            lines[n++] = mr_text_fit(arena, text, size, bold, width);
            break;
        }
        size_t bytes = line_bytes(text, size, bold, width);
        const char *line = mr_strndup(arena, text, bytes);
        lines[n++] = mr_text_fit(arena, line, size, bold, width);
        text += bytes;
        while (*text == ' ')
            text++;
    }
    return n;
}

static const char *const kind_words[] = {[MR_OP_RECT] = "rect",   [MR_OP_BOX] = "box",     [MR_OP_LINE] = "line",
                                         [MR_OP_AREA] = "area",   [MR_OP_HATCH] = "hatch", [MR_OP_TEXT] = "text",
                                         [MR_OP_MARKS] = "marks", [MR_OP_CLIP] = "clip",   [MR_OP_UNCLIP] = "unclip"};
static const char *const mark_words[] = {"dot", "up", "down", "diamond", "square", "cross", "ring"};
static const char *const dash_words[] = {"solid", "dashed", "dotted", "dash-dot", "long-dash"};
static const char *const anchor_words[] = {"left", "middle", "right"};

/* -0.00 is shown as 0.00, so that a last bit cannot turn a golden. */
static double tidy(double v) {
    return v > -0.005 && v < 0.005 ? 0.0 : v;
}

static const char *op_line(struct mr_arena *arena, const struct mr_op *op) {
    const char *head = mr_printf(arena, "%s #%02x%02x%02x", kind_words[op->kind], op->ink.r, op->ink.g, op->ink.b);
    switch (op->kind) {
    case MR_OP_UNCLIP:
        return "unclip";
    case MR_OP_TEXT:
        return mr_printf(arena, "%s %.2f,%.2f size %.1f %s%s%s \"%s\"", head, tidy(op->x), tidy(op->y), op->size,
                         anchor_words[op->anchor], op->bold ? " bold" : "", op->turned ? " turned" : "", op->text);
    case MR_OP_LINE:
    case MR_OP_AREA:
    case MR_OP_MARKS:
        return mr_printf(arena, "%s %.2f %s n %zu from %.2f,%.2f to %.2f,%.2f", head, op->size,
                         op->kind == MR_OP_MARKS ? mark_words[op->mark] : dash_words[op->dash], op->n,
                         tidy(op->point[0].x), tidy(op->point[0].y), tidy(op->point[op->n - 1].x),
                         tidy(op->point[op->n - 1].y));
    case MR_OP_RECT:
    case MR_OP_BOX:
    case MR_OP_HATCH:
    case MR_OP_CLIP:
        break;
    }
    return mr_printf(arena, "%s %.2f %.2f,%.2f %.2fx%.2f", head, op->size, tidy(op->x), tidy(op->y), tidy(op->w),
                     tidy(op->h));
}

char *mr_drawlist_dump(struct mr_arena *arena, const struct mr_drawlist *list) {
    MR_VEC(char) text = {0};
    const char *line = mr_printf(arena, "chart %.2fx%.2f \"%s\"", list->width_pt, list->height_pt, list->title);
    for (size_t i = 0;; i++) {
        for (const char *p = line; *p; p++)
            MR_PUSH(arena, &text, *p);
        MR_PUSH(arena, &text, '\n');
        if (i == list->ops.n)
            break;
        line = op_line(arena, &list->ops.v[i]);
    }
    MR_PUSH(arena, &text, '\0');
    return text.v;
}
