/*
 * heading.h - a header cell's name and unit, told apart by the way they are written.
 */
#ifndef MILRISE_READ_HEADING_H
#define MILRISE_READ_HEADING_H

#include "milrise/read.h"

/** mr_heading - text: the header cell; units_cell: the cell of a units row below it, or NULL. */
struct mr_head mr_heading(struct mr_arena *arena, const struct mr_cell *text, const struct mr_cell *units_cell);

/** mr_looks_like_unit - a unit milrise knows, or a text written as units and formats are (W/m^2, %, YYYY-MM-DD). */
bool mr_looks_like_unit(const char *p, size_t n);

#endif
