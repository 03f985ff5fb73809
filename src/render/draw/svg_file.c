/*
 * svg_file.c - see the header. cairo's own SVG turns letters into outlines, so the list is written directly.
 *
 * Coordinates are whole hundredths of a point; a line goes on by differences of these, so that nothing adds up. Each
 * text states the width that the layout counted on, so another font than the charts' own keeps clear of what stands
 * beside it; only where all its advances are known (draw_list.h).
 */
#include "render/draw/svg_file.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { BUFFER_BYTES = 1 << 14, PIECE_MOST = 512 };

#define SMALL_DOT_PT 3.0

struct svg {
    bool (*put)(void *ctx, const unsigned char *data, size_t n);
    void *ctx;
    bool good;
    size_t used, clips;
    int64_t x, y; /* end of the path so far, hundredths */
    unsigned char buffer[BUFFER_BYTES];
};

static void bytes(struct svg *s, const char *data, size_t n) {
    if (n > sizeof s->buffer - s->used) {
        s->good = s->good && s->put(s->ctx, s->buffer, s->used);
        s->used = 0;
    }
    if (n > sizeof s->buffer) {
        s->good = s->good && s->put(s->ctx, (const unsigned char *)data, n);
        return;
    }
    memcpy(s->buffer + s->used, data, n);
    s->used += n;
}

static void text(struct svg *s, const char *t) {
    bytes(s, t, strlen(t));
}

__attribute__((format(printf, 2, 3))) static void form(struct svg *s, const char *format, ...) {
    char piece[PIECE_MOST];
    va_list args;
    va_start(args, format);
    const int n = vsnprintf(piece, sizeof piece, format, args);
    va_end(args);
    bytes(s, piece, n < 0 ? 0 : (size_t)n < sizeof piece ? (size_t)n : sizeof piece - 1);
}

static int64_t hundredths(double v) {
    return isfinite(v) ? llround(fmax(fmin(v, 1e7), -1e7) * 100.0) : 0;
}

/* "12.5", "-0.07", "3"; after a blank where one is needed. */
static void number(struct svg *s, int64_t v, bool blank) {
    char out[32];
    const uint64_t size = (uint64_t)(v < 0 ? -v : v);
    int n = snprintf(out, sizeof out, "%s%s%llu", blank && v >= 0 ? " " : "", v < 0 ? "-" : "",
                     (unsigned long long)(size / 100));
    const unsigned rest = (unsigned)(size % 100);
    if (rest)
        n += snprintf(out + n, sizeof out - (size_t)n, rest % 10 ? ".%02u" : ".%u", rest % 10 ? rest : rest / 10);
    bytes(s, out, (size_t)n);
}

static void escaped(struct svg *s, const char *t) {
    for (; *t; t++) {
        if (*t == '&')
            text(s, "&amp;");
        else if (*t == '<')
            text(s, "&lt;");
        else if (*t == '>')
            text(s, "&gt;");
        else if (*t == '"')
            text(s, "&quot;");
        else
            bytes(s, t, 1);
    }
}

static void ink(struct svg *s, const char *what, struct mr_ink i) {
    form(s, " %s=\"#%02x%02x%02x\"", what, i.r, i.g, i.b);
}

static void attribute(struct svg *s, const char *name, double v) {
    form(s, " %s=\"", name);
    number(s, hundredths(v), false);
    text(s, "\"");
}

static void rect(struct svg *s, const struct mr_op *op) {
    text(s, "<rect");
    attribute(s, "x", op->x);
    attribute(s, "y", op->y);
    attribute(s, "width", fabs(op->w));
    attribute(s, "height", fabs(op->h));
}

static void move_to(struct svg *s, double x, double y) {
    s->x = hundredths(x);
    s->y = hundredths(y);
    text(s, "M");
    number(s, s->x, false);
    number(s, s->y, true);
}

static void line_to(struct svg *s, double x, double y) {
    const int64_t to_x = hundredths(x), to_y = hundredths(y);
    text(s, "l");
    number(s, to_x - s->x, false);
    number(s, to_y - s->y, true);
    s->x = to_x;
    s->y = to_y;
}

static void polygon(struct svg *s, struct mr_point at, size_t n, const struct mr_point *corner, double scale) {
    for (size_t i = 0; i < n; i++) {
        if (i == 0)
            move_to(s, at.x + corner[i].x * scale, at.y + corner[i].y * scale);
        else
            line_to(s, at.x + corner[i].x * scale, at.y + corner[i].y * scale);
    }
    text(s, "z");
}

static void circle(struct svg *s, struct mr_point at, double r) {
    move_to(s, at.x - r, at.y);
    for (int half = 0; half < 2; half++) {
        text(s, "a");
        number(s, hundredths(r), false);
        number(s, hundredths(r), true);
        text(s, " 0 1 0");
        number(s, hundredths(half ? -2 * r : 2 * r), true);
        text(s, " 0");
    }
    text(s, "z");
}

static void stroke_style(struct svg *s, struct mr_ink i, double pen, enum mr_dash dash, bool round) {
    text(s, "\" fill=\"none\"");
    ink(s, "stroke", i);
    attribute(s, "stroke-width", pen);
    double lengths[4];
    const size_t n = mr_dash_lengths(dash, pen, lengths);
    for (size_t k = 0; k < n; k++) {
        text(s, k == 0 ? " stroke-dasharray=\"" : " ");
        number(s, hundredths(lengths[k]), false);
    }
    text(s, n ? "\"" : "");
    text(s, round ? " stroke-linecap=\"round\" stroke-linejoin=\"round\"/>\n" : "/>\n");
}

static void line(struct svg *s, const struct mr_op *op) {
    text(s, "<path d=\"");
    for (size_t i = 0; i < op->n; i++) {
        if (i == 0)
            move_to(s, op->point[i].x, op->point[i].y);
        else
            line_to(s, op->point[i].x, op->point[i].y);
    }
    stroke_style(s, op->ink, op->size, op->dash, op->dash == MR_SOLID && op->n > 2);
}

/* Slanted lines, cut at the rectangle's edges. */
static void hatch(struct svg *s, const struct mr_op *op) {
    const double step = 3.2;
    text(s, "<path d=\"");
    for (double x = op->x - op->h; x < op->x + op->w; x += step) {
        const double from = fmax(0, op->x - x), to = fmin(op->h, op->x + op->w - x);
        if (to <= from)
            continue;
        move_to(s, x + from, op->y + op->h - from);
        line_to(s, x + to, op->y + op->h - to);
    }
    stroke_style(s, op->ink, op->size, MR_SOLID, false);
}

static void mark(struct svg *s, enum mr_mark kind, struct mr_point at, double r) {
    static const struct mr_point up[3] = {{0, -0.62}, {0.56, 0.38}, {-0.56, 0.38}},
                                 down[3] = {{0, 0.62}, {0.56, -0.38}, {-0.56, -0.38}},
                                 diamond[4] = {{0, -0.65}, {0.65, 0}, {0, 0.65}, {-0.65, 0}},
                                 square[4] = {{-0.45, -0.45}, {0.45, -0.45}, {0.45, 0.45}, {-0.45, 0.45}};
    switch (kind) {
    case MR_UP:
        polygon(s, at, 3, up, r);
        break;
    case MR_DOWN:
        polygon(s, at, 3, down, r);
        break;
    case MR_DIAMOND:
        polygon(s, at, 4, diamond, r);
        break;
    case MR_SQUARE:
        polygon(s, at, 4, square, r);
        break;
    case MR_CROSS:
        move_to(s, at.x - 0.45 * r, at.y - 0.45 * r);
        line_to(s, at.x + 0.45 * r, at.y + 0.45 * r);
        move_to(s, at.x - 0.45 * r, at.y + 0.45 * r);
        line_to(s, at.x + 0.45 * r, at.y - 0.45 * r);
        break;
    case MR_DOT:
    case MR_RING:
        circle(s, at, 0.5 * r);
        break;
    }
}

/* Small dots are lines of no length with round ends: a tenth of a circle's bytes. */
static void marks(struct svg *s, const struct mr_op *op) {
    const bool small = op->mark == MR_DOT && op->size < SMALL_DOT_PT;
    text(s, "<path d=\"");
    for (size_t i = 0; i < op->n; i++) {
        if (small) {
            move_to(s, op->point[i].x, op->point[i].y);
            text(s, "h0");
        } else {
            mark(s, op->mark, op->point[i], op->size);
        }
    }
    if (small || op->mark == MR_CROSS || op->mark == MR_RING) {
        stroke_style(s, op->ink, small ? op->size : 1.0, MR_SOLID, small);
    } else {
        text(s, "\"");
        ink(s, "fill", op->ink);
        text(s, "/>\n");
    }
}

static void area(struct svg *s, const struct mr_op *op) {
    text(s, "<path d=\"");
    polygon(s, (struct mr_point){0, 0}, op->n, op->point, 1.0);
    text(s, "\"");
    ink(s, "fill", op->ink);
    text(s, "/>\n");
}

static bool width_known(const char *t) {
    for (; *t; t++) {
        const unsigned char c = (unsigned char)*t;
        if (c >= 0xc4)
            return false;
    }
    return true;
}

static void words(struct svg *s, const struct mr_op *op) {
    static const char *const anchors[] = {"start", "middle", "end"};
    text(s, "<text");
    attribute(s, "x", op->x);
    attribute(s, "y", op->y);
    attribute(s, "font-size", op->size);
    ink(s, "fill", op->ink);
    if (op->anchor != MR_LEFT)
        form(s, " text-anchor=\"%s\"", anchors[op->anchor]);
    text(s, op->bold ? " font-weight=\"bold\"" : "");
    if (width_known(op->text))
        attribute(s, "textLength", mr_text_width(op->text, op->size, op->bold));
    if (op->turned) {
        text(s, " transform=\"rotate(-90");
        number(s, hundredths(op->x), true);
        number(s, hundredths(op->y), true);
        text(s, ")\"");
    }
    text(s, ">");
    escaped(s, op->text);
    text(s, "</text>\n");
}

static void write_op(struct svg *s, const struct mr_op *op) {
    switch (op->kind) {
    case MR_OP_RECT:
        rect(s, op);
        ink(s, "fill", op->ink);
        text(s, "/>\n");
        break;
    case MR_OP_BOX:
        rect(s, op);
        text(s, " fill=\"none\"");
        ink(s, "stroke", op->ink);
        attribute(s, "stroke-width", op->size);
        text(s, "/>\n");
        break;
    case MR_OP_LINE:
        line(s, op);
        break;
    case MR_OP_AREA:
        area(s, op);
        break;
    case MR_OP_HATCH:
        hatch(s, op);
        break;
    case MR_OP_TEXT:
        words(s, op);
        break;
    case MR_OP_MARKS:
        marks(s, op);
        break;
    case MR_OP_CLIP:
        form(s, "<clipPath id=\"c%zu\">", ++s->clips);
        rect(s, op);
        form(s, "/></clipPath>\n<g clip-path=\"url(#c%zu)\">\n", s->clips);
        break;
    case MR_OP_UNCLIP:
        text(s, "</g>\n");
        break;
    }
}

static void head(struct svg *s, const struct mr_drawlist *list, const char *font, const char *stamp_iso) {
    text(s, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\"");
    text(s, " version=\"1.1\" width=\"");
    number(s, hundredths(list->width_pt), false);
    text(s, "pt\" height=\"");
    number(s, hundredths(list->height_pt), false);
    text(s, "pt\" viewBox=\"0 0");
    number(s, hundredths(list->width_pt), true);
    number(s, hundredths(list->height_pt), true);
    form(s, "\" role=\"img\" aria-labelledby=\"title desc\" font-family=\"'%s', Verdana, sans-serif\">\n", font);
    text(s, "<title id=\"title\">");
    escaped(s, list->title);
    text(s, "</title>\n<desc id=\"desc\">");
    escaped(s, list->desc ? list->desc : list->title);
    text(s, "</desc>\n<metadata><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\" "
            "xmlns:dc=\"http://purl.org/dc/elements/1.1/\"><rdf:Description rdf:about=\"\"><dc:title>");
    escaped(s, list->title);
    text(s, "</dc:title><dc:creator>milrise</dc:creator><dc:format>image/svg+xml</dc:format>");
    if (stamp_iso[0]) {
        text(s, "<dc:date>");
        escaped(s, stamp_iso);
        text(s, "</dc:date>");
    }
    text(s, "</rdf:Description></rdf:RDF></metadata>\n<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n");
}

bool mr_svg_write(const struct mr_drawlist *list, const char *font, const char *stamp_iso,
                  bool (*put)(void *ctx, const unsigned char *data, size_t n), void *ctx) {
    struct svg s = {.put = put, .ctx = ctx, .good = true};
    head(&s, list, font, stamp_iso ? stamp_iso : "");
    for (size_t i = 0; i < list->ops.n && s.good; i++)
        write_op(&s, &list->ops.v[i]);
    text(&s, "</svg>\n");
    return s.good && put(ctx, s.buffer, s.used);
}
