/*
 * live_typed.h - what of the workbook was typed over since the report and no formula follows, so that no outcome
 * stays milder than a new report would be.
 *
 * Cells on which outcomes rest are held against what the report gave; each formula looks at some rows of one table
 * and of one zone (live_unlike.c; live_guards.c says which). A second table adds them up by zone and group of checks,
 * and the checks look there: one cell for each (live_since.c). Of cells whose change a formula follows, this asks
 * whether they are numbers alone.
 */
#ifndef MILRISE_RENDER_BOOK_LIVE_TYPED_H
#define MILRISE_RENDER_BOOK_LIVE_TYPED_H

#include "render/book/live.h"
#include "render/sheet/value_cell.h"

/* What stands in a cell of guarded rows. */
enum mr_guard_cell {
    MR_GUARD_SKIPPED = 'x',
    MR_GUARD_EMPTY = 'e',
    MR_GUARD_TEXT = 't',
    MR_GUARD_NUMBER = 'n',
    MR_GUARD_FOLLOWED = 'f'
};

/* Bytes of a text in a formula: far below the 255 characters that programs take. */
enum { MR_GUARD_TEXT_BYTES = 200 };

/** mr_guard_cell_of - a cell of a table as the sheet has it. mr_guard_number: its number, moments as spreadsheets
 * count them (days since 1899-12-30); NaN: none. */
struct mr_cell_out mr_guard_cell_of(struct mr_live *live, const struct mr_table *table, size_t row, size_t column);
bool mr_guard_is_text(const struct mr_cell_out *cell);
double mr_guard_number(const struct mr_cell_out *cell);

/* The texts of a reading that say where it belongs; of a very long sheet as that leaves out what is usual. */
enum { MR_READING_NAMES = 5 };
extern const char *const mr_reading_names[MR_READING_NAMES];
const char *mr_reading_name(const struct mr_live *live, const char *column, size_t row);
bool mr_reading_corrected_alike(const struct mr_live *live, size_t a, size_t b);

/** mr_live_unlike - how many cells of guarded rows are not as they were reported, as a formula. */
mr_x mr_live_unlike(struct mr_live *live, const struct mr_guard *guard);

/** mr_find_guards - all rows that are looked at, by zone and basis. */
void mr_find_guards(struct mr_live *live, mr_recipes_fn *recipes);

/** mr_basis_word - "film", as the sheet Typed over names it. */
const char *mr_basis_word(enum mr_basis basis);

/** mr_live_plus - two terms of a sum, either of which may not be there (NULL). */
mr_x mr_live_plus(struct mr_live *live, mr_x a, mr_x b);

/** mr_live_how_many - of how many cells a condition holds. */
mr_x mr_live_how_many(struct mr_live *live, mr_x condition);

#endif
