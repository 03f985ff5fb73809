/*
 * heat_turns.h - coats of one zone one after the other: when the heat of each is in time, and whose a pulse is.
 */
#ifndef MILRISE_ASSESS_HEAT_HEAT_TURNS_H
#define MILRISE_ASSESS_HEAT_HEAT_TURNS_H

#include "assess/heat/heat_job.h"

/** mr_heat_late_from_ms - an onset after this moment is late; mr_heat_last_onset_ms - later ones belong to no window.
 */
int64_t mr_heat_late_from_ms(const struct mr_assess *a, const struct mr_window *w);
int64_t mr_heat_last_onset_ms(const struct mr_assess *a, const struct mr_window *w);

/** mr_heat_settle_turns - a pulse that began as the next coat did, give or take the clock, is the earlier coat's
 * where that one has no other and the later one has. */
void mr_heat_settle_turns(struct mr_assess *a);

/** mr_heat_also_of - the earlier window of the zone whose pulse event number i may be as well as its own window's;
 * MR_NONE. n_more: further pulses in its own window. */
size_t mr_heat_also_of(const struct mr_assess *a, size_t i, size_t n_more);

/** mr_heat_pause_ms - coats with a longer pause between are parted in calm weather. */
int64_t mr_heat_pause_ms(const struct mr_assess *a, const struct mr_window *w);

/** mr_heat_overlapping - the window of the zone nearest in time, with too short a pause between; MR_NONE. */
size_t mr_heat_overlapping(const struct mr_assess *a, size_t window);

#endif
