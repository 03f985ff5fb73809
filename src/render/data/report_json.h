/*
 * report_json.h - the machine's view of a report; its schema is templates/report.schema.json.
 */
#ifndef MILRISE_RENDER_DATA_REPORT_JSON_H
#define MILRISE_RENDER_DATA_REPORT_JSON_H

#include "render/data/outline.h"
#include "render/publish/publish.h"

#define MR_REPORT_SCHEMA "1.2"

/* The rows of a longer table stand in a file of their own, a JSON object on each line; report.json names it. */
#define MR_JSON_ROWS_MOST 50000

/** mr_table_rows_file - "tables/gauge-readings.jsonl" of a table longer than that; NULL of others. */
const char *mr_table_rows_file(struct mr_arena *arena, const struct mr_table *table);

/** mr_table_rows - write that file to an open stream, which is closed. Returns: 0, or the errno of the first failure.
 */
int mr_table_rows(struct mr_arena *arena, const struct mr_table *table, FILE *file);

/** mr_report_json - write report.json to an open stream, which is closed. outputs: the files that are finished, with
 * their hashes. Returns: 0, or the errno of the first failure. */
int mr_report_json(const struct mr_outline *outline, FILE *file, const struct mr_publish *outputs);

#endif
