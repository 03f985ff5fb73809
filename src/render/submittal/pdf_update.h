/*
 * pdf_update.h - what the graphics library cannot say in a PDF, said behind it: that the document is tagged, its
 * language, and the alternative text of each figure.
 *
 * The document is left as it is and an incremental update is appended (ISO 32000-1:2008, 7.5.6), with new versions of
 * the catalog (14.7.1, 14.9.2) and of the figures' structure elements (14.9.3).
 */
#ifndef MILRISE_RENDER_SUBMITTAL_PDF_UPDATE_H
#define MILRISE_RENDER_SUBMITTAL_PDF_UPDATE_H

#include "base/buffer.h"

/** mr_pdf_update - append the update. language: "en"; alt: a text for each figure, in the order of the document
 * (UTF-8, n of them). Returns: false, and nothing was appended, where the document is not built as expected. */
bool mr_pdf_update(struct mr_buffer *doc, const char *language, size_t n, const char *const *alt);

#endif
