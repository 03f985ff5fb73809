/*
 * draw_font.c - the letters of figures and pages: set up alike everywhere, found, measured.
 */
#include "render/draw/draw_cairo.h"

#include "base/sha256.h"
#include "milrise/render.h"
#include "render/draw/draw_key.h"

#include <cairo.h>
#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>
#include <pthread.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/* Hinting is switched off, so that letters stand alike at every resolution. */
void mr_type_setup(cairo_t *cr, PangoLayout *layout) {
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    cairo_set_font_options(cr, options);
    PangoContext *context = pango_layout_get_context(layout);
    pango_cairo_context_set_font_options(context, options);
    pango_cairo_context_set_resolution(context, 72.0);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_layout_context_changed(layout);
    cairo_font_options_destroy(options);
}

/* A layout on a surface of one pixel, for questions about letters. */
static PangoLayout *layout_new(void) {
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1);
    cairo_t *cr = cairo_create(surface);
    PangoLayout *layout = pango_cairo_create_layout(cr);
    mr_type_setup(cr, layout);
    cairo_destroy(cr);
    cairo_surface_destroy(surface);
    return layout;
}

double mr_font_width(const char *text, double size, bool bold) {
    PangoLayout *layout = layout_new();
    PangoFontDescription *font = pango_font_description_from_string(MR_CHART_FONT);
    pango_font_description_set_absolute_size(font, size * PANGO_SCALE);
    pango_font_description_set_weight(font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(layout, font);
    pango_layout_set_text(layout, text, -1);
    int width, height;
    pango_layout_get_size(layout, &width, &height);
    pango_font_description_free(font);
    g_object_unref(layout);
    return (double)width / PANGO_SCALE;
}

/* Where memory is short, pango would wait for ever for a thread that asks fontconfig again and again. */
static void load_fonts(void) {
    static bool loaded; /* by the thread that renders, before it starts others */
    if (loaded)
        return;
    FcConfig *config = FcInitLoadConfigAndFonts();
    if (!config || !FcConfigSetCurrent(config))
        mr_out_of_memory();
    FcConfigDestroy(config); /* the library keeps its own hold */
    loaded = true;
}

static void *nothing(void *ctx) {
    return ctx;
}

/* The library that sets text starts a thread of its own, and ends the process where it gets none. */
static int start_a_thread(void) {
    enum { TRIES = 20, PAUSE_US = 100000 };
    int error = 0;
    for (int i = 0; i < TRIES; i++) {
        pthread_t thread;
        error = pthread_create(&thread, NULL, nothing, NULL);
        if (!error)
            return pthread_join(thread, NULL);
        usleep(PAUSE_US);
    }
    return error;
}

int mr_render_fonts(void) {
    load_fonts();
    return start_a_thread();
}

bool mr_font_found(char *out, size_t n) {
    load_fonts();
    PangoLayout *layout = layout_new();
    PangoFontDescription *asked = pango_font_description_from_string(MR_CHART_FONT);
    PangoFont *font = pango_context_load_font(pango_layout_get_context(layout), asked);
    if (font) {
        PangoFontDescription *found = pango_font_describe(font);
        snprintf(out, n, "%s", pango_font_description_get_family(found));
        pango_font_description_free(found);
        g_object_unref(font);
    }
    pango_font_description_free(asked);
    g_object_unref(layout);
    return font != NULL;
}

/* A fallback for letters that the charts' font lacks may be any font, so all of them count. */
static void add_fonts(struct mr_sha256 *sha, const FcFontSet *set) {
    for (int i = 0; set && i < set->nfont; i++) {
        FcChar8 *file = NULL, *name = NULL;
        int version = 0;
        FcPatternGetString(set->fonts[i], FC_FILE, 0, &file);
        FcPatternGetString(set->fonts[i], FC_FULLNAME, 0, &name);
        FcPatternGetInteger(set->fonts[i], FC_FONTVERSION, 0, &version);
        mr_sha256_add(sha, file, file ? strlen((const char *)file) + 1 : 0);
        mr_sha256_add(sha, name, name ? strlen((const char *)name) + 1 : 0);
        mr_sha256_add(sha, &version, sizeof version);
    }
}

void mr_drawer_print(char out[65]) {
    const char *const library[] = {mr_draw_code, cairo_version_string(), pango_version_string(), MR_CHART_FONT};
    const int number[] = {FcGetVersion(), MR_CHART_DPI, MR_SCREEN_DPI, MR_SMALL_DPI};
    struct mr_sha256 *sha = mr_sha256_new();
    for (size_t i = 0; i < MR_COUNT(library); i++)
        mr_sha256_add(sha, library[i], strlen(library[i]) + 1);
    mr_sha256_add(sha, number, sizeof number);
    load_fonts();
    add_fonts(sha, FcConfigGetFonts(NULL, FcSetSystem));
    mr_sha256_end(sha, out);
}
