/*
 * mixed_units.h - unit columns in which the rows of a file state different units.
 */
#ifndef MILRISE_NORMALISE_COLUMN_MIXED_UNITS_H
#define MILRISE_NORMALISE_COLUMN_MIXED_UNITS_H

#include "normalise/column/plan.h"

/** mr_mixed_units - reads the file's unit columns to their end. Where they and the headings state more than one unit
 *  of a quantity, mixed_units of the measured column says so and blanks of the unit column are carried no more: a
 * blank cell then states nothing. A file without such a column is not read. MR_E_IO as mr_read_rows. */
enum mr_status mr_mixed_units(struct mr_plan *plan) MR_MUST_USE;

#endif
