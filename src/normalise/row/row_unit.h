/*
 * row_unit.h - units that a column of their own, or a line between blocks, gives to rows.
 */
#ifndef MILRISE_NORMALISE_ROW_ROW_UNIT_H
#define MILRISE_NORMALISE_ROW_ROW_UNIT_H

#include "normalise/row/file_state.h"

enum mr_row_unit { MR_ROW_UNIT_ABSENT, MR_ROW_UNIT_GIVEN, MR_ROW_UNIT_UNKNOWN, MR_ROW_UNIT_OPEN };

/** mr_row_unit - what the unit columns say of the value in plan column `col`, whose dimension is dim. Of several unit
 *  columns the one between this value and the next speaks for it; a single one speaks for every column that has its
 *  dimension. *out: where given. *out_cell: the unit's cell, where unknown. OPEN: the row
 *  states none, and the others state different ones. */
enum mr_row_unit mr_row_unit(const struct mr_plan *plan, const struct mr_row *row, size_t col, enum mr_dim dim,
                             struct mr_stated_unit *out, const struct mr_cell **out_cell);

/** mr_channel_takes - the unit of the rows from here on. The first one known becomes the unit of the values in
 * memory; values above it that had none are left out, and that is said. */
void mr_channel_takes(struct mr_file_state *state, struct mr_log_channel *channel, const struct mr_stated_unit *unit,
                      enum mr_unit_origin origin);

/** mr_channel_bounds - what a channel can show, in its unit. */
void mr_channel_bounds(const struct mr_file_state *state, struct mr_log_channel *channel);

/** mr_units_below_heading - a first row that holds words in measured columns and nothing else states their units,
 * also where they are none that are known. True where it was one. */
bool mr_units_below_heading(struct mr_file_state *state, const struct mr_row *row);

#endif
