/*
 * plan_zone.h - the zone of a file's clock, as far as headers and columns tell it.
 */
#ifndef MILRISE_NORMALISE_COLUMN_PLAN_ZONE_H
#define MILRISE_NORMALISE_COLUMN_PLAN_ZONE_H

#include "normalise/column/plan.h"

/** mr_header_zone - whether a header names UTC or an offset from it, "Date Time, GMT-05:00"; minutes east. */
bool mr_header_zone(struct mr_arena *arena, const struct mr_head *head, int32_t *out_min);

/** mr_plan_header_zone - take the zone in the header of a column that tells the time. */
void mr_plan_header_zone(struct mr_arena *arena, struct mr_plan *plan, size_t col);

/** mr_plan_zone_column - take the zone of a column that names it for every row; such a column never names a zone of
 * the steel. */
void mr_plan_zone_column(struct mr_arena *arena, struct mr_plan *plan, const struct mr_column_shapes *shapes);

#endif
