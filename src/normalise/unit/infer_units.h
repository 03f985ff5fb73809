/*
 * infer_units.h - units that no file states.
 */
#ifndef MILRISE_NORMALISE_UNIT_INFER_UNITS_H
#define MILRISE_NORMALISE_UNIT_INFER_UNITS_H

#include "normalise/row/file_state.h"

/** mr_infer_units - units that no file states, by the physical range or by the job's other files; else set aside. */
void mr_infer_units(struct mr_file_state *files, size_t n);

#endif
