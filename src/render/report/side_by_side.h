/*
 * side_by_side.h - what of a report is made by several threads: workbook, submittal, pictures.
 */
#ifndef MILRISE_RENDER_REPORT_SIDE_BY_SIDE_H
#define MILRISE_RENDER_REPORT_SIDE_BY_SIDE_H

#include "milrise/render.h"
#include "render/data/outline.h"
#include "render/publish/publish.h"

/** mr_make_side_by_side - make and close these files in staging, pictures and submittal where charts are wanted, with
 * options->threads. Returns: MR_OK; MR_E_OUTPUT with the first failure told in pub->diags. */
enum mr_status mr_make_side_by_side(const struct mr_outline *outline, const struct mr_render_options *options,
                                    struct mr_publish *pub) MR_MUST_USE;

#endif
