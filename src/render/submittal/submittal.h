/*
 * submittal.h - one PDF that goes to the reviewer as it is: cover and sign-off, verdict, what is open, findings, the
 * zones with figures, numbers and evidence, gauges, inputs, basis, cautions.
 *
 * It is made from the same assessment and tables as workbook and report.json; nothing is worked out again. The same
 * report gives the same bytes.
 */
#ifndef MILRISE_RENDER_SUBMITTAL_SUBMITTAL_H
#define MILRISE_RENDER_SUBMITTAL_SUBMITTAL_H

#include "render/data/outline.h"
#include "render/draw/draw_cairo.h"

/* Which zones have pages of their own; what belongs to the whole job is always shown. */
struct mr_zone_choice {
    const bool *chosen; /* shape: zones; NULL = all */
    bool other_font;    /* the figures' font is missing */
    bool draft;         /* not one of the published revisions, and says so */
};

/** mr_submittal - hand the document's bytes to put. Returns: MR_OK; MR_E_OUTPUT with errno. */
enum mr_status mr_submittal(const struct mr_outline *outline, const struct mr_zone_choice *choice, mr_put_fn put,
                            void *ctx) MR_MUST_USE;

/** mr_submittal_leaves - the pages, for tests. */
struct mr_leaves;
struct mr_leaves *mr_submittal_leaves(const struct mr_outline *outline, const struct mr_zone_choice *choice);

#endif
