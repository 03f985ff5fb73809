/*
 * leaf_pdf.h - pages become a PDF: text stays text, figures stay vectors, the structure is tagged.
 */
#ifndef MILRISE_RENDER_SUBMITTAL_LEAF_PDF_H
#define MILRISE_RENDER_SUBMITTAL_LEAF_PDF_H

#include "render/draw/draw_cairo.h"
#include "render/submittal/leaves.h"

/* What stands on every page and in the document's properties; texts are never NULL. */
struct mr_leaf_info {
    const char *title, *author, *subject, *keywords;
    const char *language;               /* "en" */
    const char *created_iso;            /* "2026-05-11T14:03:20Z" */
    const char *head_left, *head_right; /* above each page but the first */
    const char *foot_left;
    const char *page, *of; /* "page", "of" in the report's language */
};

/** mr_leaf_pdf - hand the document's bytes to put. Returns: MR_OK; MR_E_OUTPUT with errno set where writing failed
 * (ENOMEM where the graphics library gave up). */
enum mr_status mr_leaf_pdf(const struct mr_leaves *leaves, const struct mr_leaf_info *info, mr_put_fn put,
                           void *ctx) MR_MUST_USE;

/** mr_leaf_picture_size - width and height in pixels of a PNG file's bytes. Returns: false where they are none that
 * can be drawn. */
bool mr_leaf_picture_size(const unsigned char *bytes, size_t n, double *width, double *height);

#endif
