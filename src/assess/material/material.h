/*
 * material.h - what material.c and lots.c share.
 */
#ifndef MILRISE_ASSESS_MATERIAL_MATERIAL_H
#define MILRISE_ASSESS_MATERIAL_MATERIAL_H

#include "assess/finding/caution.h"
#include "assess/finding/finding_text.h"

/** mr_assess_lots - lots and shelf dates traced to zones and coats (lots.c). */
void mr_assess_lots(struct mr_assess *a);

/** mr_is_beside - whether a moment is at most a day before a shift or after it. mr_find_other_days - tells that no
 * row of the material log is. mr_find_rising_level - of a row whose level after is above that before
 * (material_rows.c). */
bool mr_is_beside(const struct mr_shift *shift, int64_t t_utc_ms);
void mr_find_other_days(struct mr_assess *a);
void mr_find_rising_level(struct mr_assess *a, const struct mr_material *m);

#endif
