/*
 * unread_names.h - a serial, spot, area or zone that no column gives is filled in later: the only gauge of the job,
 * readings in their order, the zone of the file. That is right only where no unread column could hold it.
 */
#ifndef MILRISE_NORMALISE_COLUMN_UNREAD_NAMES_H
#define MILRISE_NORMALISE_COLUMN_UNREAD_NAMES_H

#include "normalise/column/plan.h"

/** mr_ask_unread_names - films and verifications: where an unread column may name the gauge, spot or area that no
 *  column gives, or another gauge than the column that does, the values are left out with a question. */
void mr_ask_unread_names(struct mr_arena *arena, struct mr_plan *plan, const struct mr_column_shapes *shapes,
                         struct mr_diags *diags);

#endif
