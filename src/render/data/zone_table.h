/*
 * zone_table.h - a zone's checks and film as a table that pastes into a word processor: CSV and HTML.
 */
#ifndef MILRISE_RENDER_DATA_ZONE_TABLE_H
#define MILRISE_RENDER_DATA_ZONE_TABLE_H

#include "render/data/outline.h"

enum mr_zone_format { MR_ZONE_CSV, MR_ZONE_HTML, MR_ZONE_FORMATS };

/* Checks by zone, found once. */
struct mr_zone_rows_of;
const struct mr_zone_rows_of *mr_zone_rows_make(const struct mr_outline *outline);

/** mr_zone_table_name - "zones/07-girder-2-outer-web.csv". */
const char *mr_zone_table_name(const struct mr_outline *outline, size_t zone, enum mr_zone_format format);

/** mr_zone_table_text - the whole file, UTF-8. CSV (RFC 4180) begins with a byte order mark, so that every
 * spreadsheet reads its letters; a text that a spreadsheet would take for a formula begins with an apostrophe there.
 */
const char *mr_zone_table_text(const struct mr_outline *outline, const struct mr_zone_rows_of *rows, size_t zone,
                               enum mr_zone_format format);

#endif
