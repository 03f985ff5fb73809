/*
 * block_lines.h - lines between the blocks of one export.
 */
#ifndef MILRISE_NORMALISE_ROW_BLOCK_LINES_H
#define MILRISE_NORMALISE_ROW_BLOCK_LINES_H

#include "normalise/row/file_state.h"

/* How lines above a table and between its blocks call the zone of the steel. */
#define MR_ZONE_NAMES "zone|zone name|area name|location|bereich|zona"

/* ... the area, which gauges call a batch. */
#define MR_AREA_NAMES "batch|batch no|batch name|area|area no|test area|group|charge|lote|lot de mesures|partia"

/** mr_block_line - a line between the blocks of a file that gives the rows below it a date, a unit, a zone or a
 * serial. */
bool mr_block_line(struct mr_file_state *file, const struct mr_row *row);

#endif
