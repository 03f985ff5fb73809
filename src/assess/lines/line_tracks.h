/*
 * line_tracks.h - the pressure tracks that serve a stretch of time.
 */
#ifndef MILRISE_ASSESS_LINES_LINE_TRACKS_H
#define MILRISE_ASSESS_LINES_LINE_TRACKS_H

#include "milrise/align.h"

/* The line logger's tracks for a stretch of time; NULL where none. */
struct mr_line_tracks {
    const struct mr_track *a, *b, *main;
};

/** mr_line_tracks_for - of several loggers the one that covers most of t0..t1; never one that stands for another
 * zone.
 */
struct mr_line_tracks mr_line_tracks_for(const struct mr_alignment *aligned, size_t zone, int64_t t0_ms,
                                         int64_t t1_ms, int64_t gap_ms);

/** mr_line_tracks_of - the same among the tracks of one logger, by its clock (MR_NONE: of all). */
struct mr_line_tracks mr_line_tracks_of(const struct mr_alignment *aligned, size_t clock, size_t zone, int64_t t0_ms,
                                        int64_t t1_ms, int64_t gap_ms);

#endif
