/*
 * report_json.h - the machine's view of a report; its schema is templates/report.schema.json.
 */
#ifndef MILRISE_RENDER_DATA_REPORT_JSON_H
#define MILRISE_RENDER_DATA_REPORT_JSON_H

#include "render/data/outline.h"
#include "render/publish/publish.h"

#define MR_REPORT_SCHEMA "1.0"

/* A longer table is left to the workbook; report.json then gives its fields and number of rows. */
#define MR_JSON_ROWS_MOST 50000

/** mr_report_json - write report.json to an open stream, which is closed. outputs: the files that are finished, with
 * their hashes. Returns: 0, or the errno of the first failure. */
int mr_report_json(const struct mr_outline *outline, FILE *file, const struct mr_publish *outputs);

#endif
