/*
 * value_cell.h - a value of a table as a cell.
 */
#ifndef MILRISE_RENDER_SHEET_VALUE_CELL_H
#define MILRISE_RENDER_SHEET_VALUE_CELL_H

#include "render/data/outline.h"
#include "render/sheet/book.h"

/** mr_value_cell - a cell of a table as it looks, without formula or link. Its texts are borrowed or in arena. */
struct mr_cell_out mr_value_cell(const struct mr_outline *outline, struct mr_arena *arena,
                                 const struct mr_table *table, size_t row, size_t column, bool wrap);

#endif
