/*
 * clock_hold.h - nothing is judged by a clock that looks wrong.
 *
 * Align names what fits the events better than the times or places as given (mr_clock_doubt). A check or finding
 * whose evidence stands on such a place is held back when it is handed in: it is not shown, for this reason, until
 * the doubt is settled, and what settles it is the next step. What is not shown anyway gets the reason too. Every
 * part gets this from mr_add_check and mr_add_finding, as long as its evidence names the rows it judged by. Nor does
 * a coat conform of which only a moment is known, because its log has no start or stop.
 */
#ifndef MILRISE_ASSESS_FINDING_CLOCK_HOLD_H
#define MILRISE_ASSESS_FINDING_CLOCK_HOLD_H

#include "assess/finding/assessment.h"

/** mr_doubt_next_step - what settles a doubt, with the lines to paste below its first line. In the arena of a. */
const char *mr_doubt_next_step(struct mr_assess *a, const struct mr_clock_doubt *d);

/** mr_is_doubted - whether a doubt hangs over what stands at a place, for a zone (MR_NONE: for none). */
bool mr_is_doubted(const struct mr_assess *a, size_t zone, const struct mr_place *place);

/** mr_hold_check, mr_hold_finding - hold back in place what a doubt hangs over. */
void mr_hold_check(struct mr_assess *a, struct mr_check *check);
void mr_hold_finding(struct mr_assess *a, struct mr_finding *finding);

#endif
