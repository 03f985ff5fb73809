/*
 * hand_doubts.h - what a row of the zone register or of the shift record says beside its own columns: that something
 * was not well, or that more is asked of a zone than the job file states. The job's word on a column settles it.
 */
#ifndef MILRISE_NORMALISE_ROW_HAND_DOUBTS_H
#define MILRISE_NORMALISE_ROW_HAND_DOUBTS_H

#include "normalise/row/row_fields.h"

/** mr_take_objection - the first column beside a shift's item that speaks against it: "Leak: yes". */
void mr_take_objection(const struct mr_spread *s, struct mr_shift_item *r);

/** mr_take_asks - the first requirement of a zone that the job file does not have, and the first word against it. */
void mr_take_asks(const struct mr_spread *s, struct mr_zone_row *r);

#endif
