/*
 * glib_text.h - what this stage takes from GLib: letter case.
 */
#ifndef MILRISE_RENDER_PUBLISH_GLIB_TEXT_H
#define MILRISE_RENDER_PUBLISH_GLIB_TEXT_H

#include <stdbool.h>

/** mr_same_name - equal but for letter case, in all of Unicode; both are well-formed UTF-8. */
bool mr_same_name(const char *a, const char *b);

#endif
