/*
 * kept.h - figures that did not change since the newest revision: they keep what they say of themselves, the revision
 * since which they stand, and their files are taken over instead of being drawn again.
 *
 * A figure did not change where its key is the same, which holds all that is drawn but for the revision. Its files
 * are then the same bytes whether they are taken over or drawn, so nothing depends on their being there.
 */
#ifndef MILRISE_RENDER_REPORT_KEPT_H
#define MILRISE_RENDER_REPORT_KEPT_H

#include "render/data/former_report.h"
#include "render/data/outline.h"
#include "render/publish/publish.h"

/** mr_figures_keep - give each chart its key, and what the former report says of it where that has it under this key;
 * else it stands since this revision. */
void mr_figures_keep(const struct mr_outline *outline, const struct mr_former *former, mr_chart_list *charts);

/** mr_figures_copy - of a report that says the same as the former one: each chart stands since when it stands there,
 * whatever its size; one that is not there, since that revision. */
void mr_figures_copy(const struct mr_outline *outline, const struct mr_former *former, mr_chart_list *charts);

/** mr_figure_taken - hand over a file of the newest revision, where it is there and its bytes, as they are read now,
 * have this hash. Returns: whether it did; else nothing was handed over. Safe for several threads, each with its own
 * file. */
bool mr_figure_taken(const struct mr_publish *pub, const char *path, const char *sha256, struct mr_handed *handed);

#endif
