/*
 * glib_text.c - GLib is here with pango anyway; the rest of the stage does without it.
 */
#include "render/publish/glib_text.h"

#include <glib.h>
#include <string.h>

bool mr_same_name(const char *a, const char *b) {
    gchar *x = g_utf8_casefold(a, -1), *y = g_utf8_casefold(b, -1);
    const bool same = strcmp(x, y) == 0;
    g_free(x);
    g_free(y);
    return same;
}
