/*
 * report_before.h - what an earlier report.json says that it wrote.
 */
#ifndef MILRISE_RENDER_DATA_REPORT_BEFORE_H
#define MILRISE_RENDER_DATA_REPORT_BEFORE_H

#include "render/publish/publish.h"

/** mr_report_before - hand the outputs of out_dir/report.json to mr_publish_stale. A file that is absent, or that
 * cannot be understood, means that nothing is known to be ours: nothing is removed. */
void mr_report_before(struct mr_publish *pub);

#endif
