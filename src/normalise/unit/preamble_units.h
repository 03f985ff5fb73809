/*
 * preamble_units.h - units that the lines above a table state.
 */
#ifndef MILRISE_NORMALISE_UNIT_PREAMBLE_UNITS_H
#define MILRISE_NORMALISE_UNIT_PREAMBLE_UNITS_H

#include "normalise/row/file_state.h"

/** mr_preamble_units - a unit in the preamble holds for the columns of its dimension that state none, or for the one
 * it names. A column whose heading states another has no unit then, and its file asks; a unit by the job file stands.
 */
void mr_preamble_units(struct mr_file_state *state);

#endif
