/*
 * absolute_pressure.h - absolute pressures are not converted by guess.
 */
#ifndef MILRISE_NORMALISE_UNIT_ABSOLUTE_PRESSURE_H
#define MILRISE_NORMALISE_UNIT_ABSOLUTE_PRESSURE_H

#include "normalise/row/file_state.h"

/** mr_says_absolute - whether folded words speak of absolute pressure. */
bool mr_says_absolute(const char *words);

/** mr_refuse_absolute - the unit of such a column is not taken, unless the job states it. */
void mr_refuse_absolute(struct mr_file_state *file);

#endif
