/*
 * report_lists.h - checks and findings as tables, so that sheets, formulas and text see one kind of thing.
 */
#ifndef MILRISE_RENDER_DATA_REPORT_LISTS_H
#define MILRISE_RENDER_DATA_REPORT_LISTS_H

#include "render/data/outline.h"

/** mr_checks_table, mr_findings_table - a row for each, in the assessment's order. */
const struct mr_table *mr_checks_table(const struct mr_outline *outline);
const struct mr_table *mr_findings_table(const struct mr_outline *outline);

#endif
