/*
 * relief.h - when the pressures of a pause came down.
 *
 * Relieved is a system, not a gauge: both lines and the main stand under the level at the same time, and stay there
 * for long enough to be no stroke or slip of a gauge. One sample relieves nothing and condemns nothing.
 */
#ifndef MILRISE_ASSESS_LINES_RELIEF_H
#define MILRISE_ASSESS_LINES_RELIEF_H

#include "assess/lines/line_tracks.h"

struct mr_relief {
    int64_t lines_ms; /* from when on both lines were down together, and stayed down; MR_T_NONE */
    int64_t all_ms;   /* the same with the main pressure; MR_T_NONE also where that is not logged */
    size_t charged;   /* samples in which a line stood above the level before that */
    size_t main_up;   /* samples in which the main did */
};

/** mr_relief_in - over t0..t1; down is under level_kpa for hold_ms, in two samples at least, never across a gap.
 * Nothing is known where a line is not logged. */
struct mr_relief mr_relief_in(const struct mr_line_tracks *tracks, int64_t t0_ms, int64_t t1_ms, double level_kpa,
                              int64_t hold_ms, int64_t gap_ms);

#endif
