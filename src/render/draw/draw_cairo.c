/*
 * draw_cairo.c - the only user of cairo and pango.
 *
 * Traps met here: cairo's own PNG writer is slow, so png_file.c writes the surface's rows. cairo's SVG turns text
 * into outlines, so svg_file.c writes the list. A PDF carries dates unless they are set. cairo loses errno: the
 * writer keeps it. Hinting is switched off, so that letters stand alike at every resolution. Text in a PDF stays text
 * (selectable, searchable). Lines of many points are stroked in short pieces: the stroker's cost grows faster than
 * the length of a path.
 */
#include "render/draw/draw_cairo.h"

#include "base/text.h"
#include "milrise/arena.h"
#include "render/draw/png_file.h"
#include "render/draw/svg_file.h"

#include <cairo-pdf.h>
#include <cairo.h>
#include <errno.h>
#include <math.h>
#include <pango/pangocairo.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

const char *const mr_picture_suffix[MR_PICTURE_COUNT] = {"png", "svg", "pdf"};

#define SMALL_DOT_PT 3.0

enum { PIECE_POINTS = 30, BUFFER_BYTES = 1 << 16 };

/* Buffered writer that keeps the first error. */
struct sink {
    mr_put_fn put;
    void *ctx;
    int error; /* errno of the first failure */
    size_t used;
    unsigned char buffer[BUFFER_BYTES];
};

static void sink_flush(struct sink *s) {
    if (s->used > 0 && !s->error)
        s->error = s->put(s->ctx, s->buffer, s->used);
    s->used = 0;
}

static void sink_bytes(struct sink *s, const unsigned char *data, size_t n) {
    while (n > 0) {
        size_t room = sizeof s->buffer - s->used;
        size_t part = n < room ? n : room;
        memcpy(s->buffer + s->used, data, part);
        s->used += part;
        data += part;
        n -= part;
        if (s->used == sizeof s->buffer)
            sink_flush(s);
    }
}

static cairo_status_t sink_write(void *closure, const unsigned char *data, unsigned n) {
    struct sink *s = closure;
    sink_bytes(s, data, n);
    return s->error ? CAIRO_STATUS_WRITE_ERROR : CAIRO_STATUS_SUCCESS;
}

/* A pen: cairo context with the one layout that all texts reuse. */
struct pen {
    cairo_t *cr;
    PangoLayout *layout;
    PangoFontDescription *font;
};

/* The pen takes the context over. */
static void pen_init(struct pen *pen, cairo_t *cr) {
    pen->cr = cr;
    cairo_set_antialias(cr, CAIRO_ANTIALIAS_FAST);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    pen->layout = pango_cairo_create_layout(cr);
    mr_type_setup(cr, pen->layout);
    pen->font = pango_font_description_from_string(MR_CHART_FONT);
}

static void pen_release(struct pen *pen) {
    pango_font_description_free(pen->font);
    g_object_unref(pen->layout);
    cairo_destroy(pen->cr);
}

static void set_text(struct pen *pen, const char *text, double size, bool bold) {
    pango_font_description_set_absolute_size(pen->font, size * PANGO_SCALE);
    pango_font_description_set_weight(pen->font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(pen->layout, pen->font);
    pango_layout_set_text(pen->layout, text, -1);
}

static void draw_text(struct pen *pen, const struct mr_op *op) {
    set_text(pen, op->text, op->size, op->bold);
    int width, height;
    pango_layout_get_size(pen->layout, &width, &height);
    double shift = op->anchor == MR_LEFT ? 0.0 : (double)width / PANGO_SCALE * (op->anchor == MR_RIGHT ? 1.0 : 0.5);
    double baseline = (double)pango_layout_get_baseline(pen->layout) / PANGO_SCALE;
    cairo_save(pen->cr);
    cairo_translate(pen->cr, op->x, op->y);
    if (op->turned)
        cairo_rotate(pen->cr, -1.5707963267948966);
    cairo_move_to(pen->cr, -shift, -baseline);
    pango_cairo_update_layout(pen->cr, pen->layout);
    pango_cairo_show_layout(pen->cr, pen->layout);
    cairo_restore(pen->cr);
}

static void set_dash(cairo_t *cr, enum mr_dash dash, double pen) {
    double lengths[4];
    const int n = (int)mr_dash_lengths(dash, pen, lengths);
    cairo_set_dash(cr, lengths, n, 0.0);
}

static void draw_line(cairo_t *cr, const struct mr_op *op) {
    cairo_set_line_width(cr, op->size);
    set_dash(cr, op->dash, op->size);
    cairo_set_line_cap(cr, op->dash == MR_SOLID && op->n > 2 ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
    for (size_t i = 0; i < op->n; i++) {
        if (i == 0)
            cairo_move_to(cr, op->point[i].x, op->point[i].y);
        else
            cairo_line_to(cr, op->point[i].x, op->point[i].y);
        if (op->dash == MR_SOLID && i > 0 && i % PIECE_POINTS == 0 && i + 1 < op->n) {
            cairo_stroke(cr);
            cairo_move_to(cr, op->point[i].x, op->point[i].y);
        }
    }
    cairo_stroke(cr);
    set_dash(cr, MR_SOLID, 1.0);
}

/* Slanted lines, for areas that must be told apart without colour. */
static void draw_hatch(cairo_t *cr, const struct mr_op *op) {
    const double step = 3.2;
    cairo_save(cr);
    cairo_rectangle(cr, op->x, op->y, op->w, op->h);
    cairo_clip(cr);
    cairo_set_line_width(cr, op->size);
    for (double x = op->x - op->h; x < op->x + op->w; x += step) {
        cairo_move_to(cr, x, op->y + op->h);
        cairo_line_to(cr, x + op->h, op->y);
    }
    cairo_stroke(cr);
    cairo_restore(cr);
}

static void polygon(cairo_t *cr, double x, double y, size_t n, const struct mr_point *corner, double scale) {
    cairo_new_sub_path(cr);
    for (size_t i = 0; i < n; i++)
        cairo_line_to(cr, x + corner[i].x * scale, y + corner[i].y * scale);
    cairo_close_path(cr);
}

/* Many small dots: a line of no length with round ends takes a tenth of a circle's bytes in a vector file. */
static void draw_small_dots(cairo_t *cr, const struct mr_op *op) {
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_width(cr, op->size);
    for (size_t i = 0; i < op->n; i++) {
        cairo_move_to(cr, op->point[i].x, op->point[i].y);
        cairo_close_path(cr);
        if (i % PIECE_POINTS == PIECE_POINTS - 1)
            cairo_stroke(cr);
    }
    cairo_stroke(cr);
}

static void draw_marks(cairo_t *cr, const struct mr_op *op) {
    if (op->mark == MR_DOT && op->size < SMALL_DOT_PT) {
        draw_small_dots(cr, op);
        return;
    }
    static const struct mr_point up[3] = {{0, -0.62}, {0.56, 0.38}, {-0.56, 0.38}},
                                 down[3] = {{0, 0.62}, {0.56, -0.38}, {-0.56, -0.38}},
                                 diamond[4] = {{0, -0.65}, {0.65, 0}, {0, 0.65}, {-0.65, 0}},
                                 square[4] = {{-0.45, -0.45}, {0.45, -0.45}, {0.45, 0.45}, {-0.45, 0.45}};
    for (size_t i = 0; i < op->n; i++) {
        const double x = op->point[i].x, y = op->point[i].y, r = op->size;
        switch (op->mark) {
        case MR_UP:
            polygon(cr, x, y, 3, up, r);
            break;
        case MR_DOWN:
            polygon(cr, x, y, 3, down, r);
            break;
        case MR_DIAMOND:
            polygon(cr, x, y, 4, diamond, r);
            break;
        case MR_SQUARE:
            polygon(cr, x, y, 4, square, r);
            break;
        case MR_CROSS:
            cairo_move_to(cr, x - 0.45 * r, y - 0.45 * r);
            cairo_line_to(cr, x + 0.45 * r, y + 0.45 * r);
            cairo_move_to(cr, x - 0.45 * r, y + 0.45 * r);
            cairo_line_to(cr, x + 0.45 * r, y - 0.45 * r);
            break;
        case MR_DOT:
        case MR_RING:
            cairo_new_sub_path(cr);
            cairo_arc(cr, x, y, 0.5 * r, 0.0, 6.283185307179586);
            break;
        }
    }
    cairo_set_line_width(cr, 1.0);
    if (op->mark == MR_CROSS || op->mark == MR_RING)
        cairo_stroke(cr);
    else
        cairo_fill(cr);
}

static void draw_area(cairo_t *cr, const struct mr_op *op) {
    polygon(cr, 0, 0, op->n, op->point, 1.0);
    cairo_fill(cr);
}

static void draw_op(struct pen *pen, const struct mr_op *op) {
    cairo_t *cr = pen->cr;
    cairo_set_source_rgb(cr, op->ink.r / 255.0, op->ink.g / 255.0, op->ink.b / 255.0);
    switch (op->kind) {
    case MR_OP_RECT:
        cairo_rectangle(cr, op->x, op->y, op->w, op->h);
        cairo_fill(cr);
        break;
    case MR_OP_BOX:
        cairo_set_line_width(cr, op->size);
        cairo_rectangle(cr, op->x, op->y, op->w, op->h);
        cairo_stroke(cr);
        break;
    case MR_OP_LINE:
        draw_line(cr, op);
        break;
    case MR_OP_AREA:
        draw_area(cr, op);
        break;
    case MR_OP_HATCH:
        draw_hatch(cr, op);
        break;
    case MR_OP_TEXT:
        draw_text(pen, op);
        break;
    case MR_OP_MARKS:
        draw_marks(cr, op);
        break;
    case MR_OP_CLIP:
        cairo_save(cr);
        cairo_rectangle(cr, op->x, op->y, op->w, op->h);
        cairo_clip(cr);
        break;
    case MR_OP_UNCLIP:
        cairo_restore(cr);
        break;
    }
}

static void draw_ops(cairo_t *cr, const struct mr_drawlist *list, bool plot_alone) {
    struct pen pen;
    pen_init(&pen, cairo_reference(cr));
    for (size_t i = 0; i < list->ops.n; i++)
        if (!plot_alone || !list->ops.v[i].beside)
            draw_op(&pen, &list->ops.v[i]);
    pen_release(&pen);
}

void mr_draw_on(cairo_t *cr, const struct mr_drawlist *list) {
    draw_ops(cr, list, false);
}

static cairo_status_t draw_list(const struct mr_drawlist *list, cairo_surface_t *surface, double scale,
                                bool plot_alone) {
    cairo_t *cr = cairo_create(surface);
    cairo_scale(cr, scale, scale);
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_paint(cr);
    draw_ops(cr, list, plot_alone);
    const cairo_status_t status = cairo_status(cr);
    cairo_destroy(cr);
    return status;
}

static bool sink_more(void *ctx, const unsigned char *data, size_t n) {
    struct sink *s = ctx;
    sink_bytes(s, data, n);
    return !s->error;
}

/* Sixteen steps of each colour: what smooth edges add is then few enough for a palette, at half the bytes. */
static void make_coarse(const struct mr_pixels *p, unsigned char *data) {
    enum { STEPS = 15 };
    for (unsigned y = 0; y < p->height; y++)
        for (size_t i = 0; i < 4 * (size_t)p->width; i++) {
            unsigned char *v = &data[y * p->stride + i];
            *v = (unsigned char)((*v * STEPS + 127) / 255 * 255 / STEPS);
        }
}

static bool draw_png(const struct mr_drawlist *list, enum mr_picture kind, struct sink *sink) {
    const bool screen = kind != MR_PICTURE_PNG;
    const unsigned dpi = kind == MR_PICTURE_PNG     ? MR_CHART_DPI
                         : kind == MR_PICTURE_SMALL ? MR_SMALL_DPI
                                                    : MR_SCREEN_DPI;
    const double scale = dpi / 72.0, top_pt = screen ? list->plot_top_pt : 0,
                 height_pt = screen ? mr_plot_height(list) : list->height_pt;
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)(list->width_pt * scale + 0.5),
                                                          (int)(height_pt * scale + 0.5));
    cairo_surface_set_device_offset(surface, 0, -round(top_pt * scale));
    bool good = cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS;
    good = good && draw_list(list, surface, scale, kind == MR_PICTURE_SMALL) == CAIRO_STATUS_SUCCESS;
    cairo_surface_flush(surface);
    const struct mr_pixels pixels = {
        (unsigned)cairo_image_surface_get_width(surface), (unsigned)cairo_image_surface_get_height(surface),
        (size_t)cairo_image_surface_get_stride(surface), cairo_image_surface_get_data(surface)};
    if (good && screen)
        make_coarse(&pixels, cairo_image_surface_get_data(surface));
    good = good && mr_png_write(&pixels, dpi, kind == MR_PICTURE_SMALL ? 16 : 256, sink_more, sink);
    cairo_surface_destroy(surface);
    return good;
}

static bool draw_pdf(const struct mr_drawlist *list, const char *stamp_iso, struct sink *sink) {
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(sink_write, sink, list->width_pt, list->height_pt);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, list->title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, list->desc ? list->desc : list->title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "milrise");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, stamp_iso);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, stamp_iso);
    bool good = cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS;
    good = good && draw_list(list, surface, 1.0, false) == CAIRO_STATUS_SUCCESS;
    cairo_surface_finish(surface);
    good = good && cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS;
    cairo_surface_destroy(surface);
    return good;
}

enum mr_status mr_draw_file(const struct mr_drawlist *list, enum mr_picture kind, const char *stamp_iso,
                            mr_put_fn put, void *ctx) {
    struct sink sink = {.put = put, .ctx = ctx};
    bool good = kind == MR_PICTURE_PDF   ? draw_pdf(list, stamp_iso, &sink)
                : kind == MR_PICTURE_SVG ? mr_svg_write(list, MR_CHART_FONT, stamp_iso, sink_more, &sink)
                                         : draw_png(list, kind, &sink);
    sink_flush(&sink);
    if (good && !sink.error)
        return MR_OK;
    errno = sink.error ? sink.error : ENOMEM;
    return MR_E_OUTPUT;
}
