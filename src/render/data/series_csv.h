/*
 * series_csv.h - every sample of the logs, on the job's time scale and with its zone, as CSV beside the workbook,
 * which tells of the logs by coat and window only.
 */
#ifndef MILRISE_RENDER_DATA_SERIES_CSV_H
#define MILRISE_RENDER_DATA_SERIES_CSV_H

#include "render/data/outline.h"

#include <stdio.h>

/* So many rows go into one file that a spreadsheet opens it whole. */
enum { MR_SERIES_ROWS_MOST = 1000000 };

/* Channels of one instrument that share their rows, and a stretch of these. */
struct mr_series_file {
    const char *name; /* "series/k8-117.csv", "series/k8-117-2.csv", of one channel "series/n3-208-gun.csv" */
    MR_VEC(const struct mr_track *) tracks;
    size_t from, to; /* rows; the last one out */
};
typedef MR_VEC(struct mr_series_file) mr_series_list;

/** mr_series_of - the files, in the order of the instruments; none where the job wants none. rows_most: of one file.
 */
mr_series_list mr_series_of(const struct mr_outline *outline, size_t rows_most);

/** mr_series_note - of a table that is made from logs: where their samples stand; "" of others. */
const char *mr_series_note(const struct mr_outline *outline, const char *table_id);

/** mr_series_rows - write one to an open stream, which is closed. A row is a row of the log: its moment in UTC and on
 *  the site's clocks (ISO 8601), of each channel the value in the unit of its file, the value in the unit of the
 * report (nine decimals), and the zones it stands for then; what was being sprayed; file and line. Returns: 0, or the
 * errno of the first failure. */
int mr_series_rows(const struct mr_outline *outline, const struct mr_series_file *series, FILE *file);

#endif
