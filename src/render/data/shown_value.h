/*
 * shown_value.h - a table's cells found by key, and as text for people: what every printed output shows.
 */
#ifndef MILRISE_RENDER_DATA_SHOWN_VALUE_H
#define MILRISE_RENDER_DATA_SHOWN_VALUE_H

#include "render/data/outline.h"
#include "render/plot/chart_table.h"

/** mr_shown_value - a cell as text: rounded to its decimals, moments in the job's zone, the reason of a blank. */
const char *mr_shown_value(const struct mr_outline *outline, const struct mr_table *table, size_t row, size_t column);

/** mr_shown_text - the same of a value that stands in no table, in arena. */
const char *mr_shown_text(const struct mr_outline *outline, struct mr_arena *arena, const struct mr_field *field,
                          const struct mr_value *value);

/** mr_shown_measured - what a check measured, with unit and enough digits to show a miss; "" where nothing was.
 * mr_shown_limits - "at least 5 °F", "80 to 90 psi"; "" where there is no limit. */
const char *mr_shown_measured(struct mr_arena *arena, const struct mr_check *check);
const char *mr_shown_limits(struct mr_arena *arena, const struct mr_check *check);

/** mr_shown_places - the first place of the evidence and the number of the rest: "lines.csv:118-131, +2". */
const char *mr_shown_places(struct mr_arena *arena, const mr_evidence_list *evidence);

#endif
