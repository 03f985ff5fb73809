/*
 * rivals.h - several columns of a file that claim one meaning.
 */
#ifndef MILRISE_NORMALISE_COLUMN_RIVALS_H
#define MILRISE_NORMALISE_COLUMN_RIVALS_H

#include "normalise/column/plan.h"

/** mr_settle_rivals - of several columns that claim a meaning of names or times the best header keeps it. score: of
 *  each column's header. */
void mr_settle_rivals(struct mr_plan_column *col, const int *score, const struct mr_column_shapes *shapes, size_t n);

/** mr_ask_rivals - columns of measured values that claim one meaning are left out, with a question; once the job's
 * own columns are known. */
void mr_ask_rivals(struct mr_arena *arena, const struct mr_job *job, struct mr_plan *plan, struct mr_diags *diags);

#endif
