/*
 * floor_figures.c - the least that figures cost with cairo and pango as they come: floor_figures FOLDER NUMBER
 * POINTS, each with axes, thirty texts and one line of so many points, written as PNG by cairo's own writer, SVG and
 * PDF.
 */
#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <cairo.h>
#include <math.h>
#include <pango/pangocairo.h>
#include <stdio.h>
#include <stdlib.h>

enum { TEXTS = 30 };
static const double width_pt = 504, height_pt = 311; /* 7 in wide, as a page takes it */

static void draw(cairo_t *cr, long points, long number) {
    cairo_set_source_rgb(cr, 1, 1, 1);
    cairo_paint(cr);
    cairo_set_source_rgb(cr, 0.2, 0.2, 0.2);
    PangoLayout *layout = pango_cairo_create_layout(cr);
    PangoFontDescription *font = pango_font_description_from_string("DejaVu Sans 8");
    pango_layout_set_font_description(layout, font);
    for (int i = 0; i < TEXTS; i++) {
        char text[32];
        snprintf(text, sizeof text, "%ld.%d °C", number, i);
        cairo_move_to(cr, i % 2 ? 4 : 40 + 15 * i, i % 2 ? 10 * i : height_pt - 14);
        pango_layout_set_text(layout, text, -1);
        pango_cairo_show_layout(cr, layout);
    }
    pango_font_description_free(font);
    g_object_unref(layout);
    cairo_set_line_width(cr, 0.5);
    cairo_rectangle(cr, 40, 20, width_pt - 50, height_pt - 50);
    cairo_stroke(cr);
    cairo_set_source_rgb(cr, 0.0, 0.3, 0.6);
    cairo_set_line_width(cr, 1);
    for (long i = 0; i < points; i++) {
        const double x = 40 + (width_pt - 50) * (double)i / (double)points;
        cairo_line_to(cr, x, height_pt / 2 - 90 * sin(x / 40 + (double)number) - 8 * sin((double)(i * 37 % 101)));
    }
    cairo_stroke(cr);
    cairo_show_page(cr);
}

static int on(cairo_surface_t *surface, long points, long number, const char *png) {
    cairo_t *cr = cairo_create(surface);
    if (png)
        cairo_scale(cr, 300.0 / 72, 300.0 / 72);
    draw(cr, points, number);
    const int bad =
        cairo_status(cr) != 0 || (png && cairo_surface_write_to_png(surface, png) != CAIRO_STATUS_SUCCESS);
    cairo_destroy(cr);
    cairo_surface_finish(surface);
    cairo_surface_destroy(surface);
    return bad;
}

int main(int argc, char **argv) {
    if (argc != 4) {
        fputs("usage: floor_figures FOLDER NUMBER POINTS\n", stderr);
        return 2;
    }
    const long number = atol(argv[2]), points = atol(argv[3]);
    for (long i = 0; i < number; i++) {
        char png[4096], svg[4096], pdf[4096];
        snprintf(png, sizeof png, "%s/%ld.png", argv[1], i);
        snprintf(svg, sizeof svg, "%s/%ld.svg", argv[1], i);
        snprintf(pdf, sizeof pdf, "%s/%ld.pdf", argv[1], i);
        if (on(cairo_image_surface_create(CAIRO_FORMAT_RGB24, 2100, 1296), points, i, png) ||
            on(cairo_svg_surface_create(svg, width_pt, height_pt), points, i, NULL) ||
            on(cairo_pdf_surface_create(pdf, width_pt, height_pt), points, i, NULL))
            return 1;
    }
    return 0;
}
