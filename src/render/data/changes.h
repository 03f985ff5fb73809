/*
 * changes.h - a report as it follows on the one before: numbers of non-conformances that stay, and what changed.
 */
#ifndef MILRISE_RENDER_DATA_CHANGES_H
#define MILRISE_RENDER_DATA_CHANGES_H

#include "milrise/assess.h"
#include "render/data/former_report.h"

/** mr_with_former - the assessment with the register carried on and a table "revision-history" behind it; as it is
 * where there was no former report. An entry that the data no longer show stays in the register. *out_gone: open
 * entries of that kind. Everything else is shared with the original. */
const struct mr_assessment *mr_with_former(struct mr_arena *arena, const struct mr_assessment *assessment,
                                           const struct mr_former *former, const char *version, size_t *out_gone);

#endif
