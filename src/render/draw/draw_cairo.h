/*
 * draw_cairo.h - the back end: a draw list becomes a PNG, SVG or PDF file.
 *
 * Safe to call from several threads at once, each with lists of its own to read: every call has its own surface and
 * layout. The same list gives the same bytes whatever the thread, the order or the time zone.
 */
#ifndef MILRISE_RENDER_DRAW_DRAW_CAIRO_H
#define MILRISE_RENDER_DRAW_DRAW_CAIRO_H

#include "render/draw/draw_list.h"

/* Besides the files: the plot alone as a PNG inside the workbook, whose sheet says the words in cells; SMALL where a
 * workbook holds very many: the figures beside the plot are left to cells too. */
enum mr_picture {
    MR_PICTURE_PNG,
    MR_PICTURE_SVG,
    MR_PICTURE_PDF,
    MR_PICTURE_COUNT,
    MR_PICTURE_SCREEN,
    MR_PICTURE_SMALL
};
extern const char *const mr_picture_suffix[MR_PICTURE_COUNT]; /* "png", ... */

#ifndef MR_CHART_DPI /* make torture asks for fewer: it makes thousands of reports */
#define MR_CHART_DPI 300
#define MR_SCREEN_DPI 110
#endif
#define MR_SMALL_DPI 96 /* of a screen at its own size */

/* Takes a picture's bytes as they come. Returns: 0; errno. */
typedef int (*mr_put_fn)(void *ctx, const void *data, size_t n);

/** mr_draw_file - hand a picture's bytes to put. stamp_iso: creation date of the PDF,
 * "2026-05-11T14:03:20Z". PNG: MR_CHART_DPI dots per inch, stated in the file. Returns: MR_OK; MR_E_OUTPUT with errno
 * set where writing failed (ENOMEM where the graphics library gave up). */
enum mr_status mr_draw_file(const struct mr_drawlist *list, enum mr_picture kind, const char *stamp_iso,
                            mr_put_fn put, void *ctx) MR_MUST_USE;

/* For documents of several pages, whose maker owns the surface. */
struct _cairo;
struct _PangoLayout;

/** mr_draw_on - the list on a page, its top left at the context's origin. */
void mr_draw_on(struct _cairo *cr, const struct mr_drawlist *list);

/** mr_type_setup - letters as in all figures: the same at every resolution, sizes in points. */
void mr_type_setup(struct _cairo *cr, struct _PangoLayout *layout);

/** mr_font_width - width in points of a text as the graphics library sets it; for the test of mr_text_width. */
double mr_font_width(const char *text, double size, bool bold);

/** mr_font_found - name of the family that the system gives for the charts' font. Copied to out, at most n bytes.
 *  Returns: false where the system has no font at all. */
bool mr_font_found(char *out, size_t n);

#define MR_CHART_FONT "DejaVu Sans"

#endif
