/*
 * line_grid.h - what line_scan.c needs of line_grid.c.
 */
#ifndef MILRISE_ASSESS_LINES_LINE_GRID_H
#define MILRISE_ASSESS_LINES_LINE_GRID_H

#include "assess/lines/line_scan.h"

/** mr_line_load - samples of `first` from t0_ms to t1_ms into w->a, the values of `second` (may be NULL) at the same
 * moments into w->b, interpolated where need be, NaN across gaps and holes; how long each holds; w->off cleared. */
void mr_line_load(struct mr_line_work *w, const struct mr_track *first, const struct mr_track *second, int64_t t0_ms,
                  int64_t t1_ms, const struct mr_line_limits *limits);

/** mr_line_step_ms - the step at which a logger writes, from the samples that hold a value in t0..t1: the lower
 * quarter of the times between them, so that samples taken out do not lengthen it. NaN where there are fewer than
 * two. */
double mr_line_step_ms(struct mr_line_work *w, const struct mr_track *track, int64_t t0_ms, int64_t t1_ms);

/** mr_line_hole_ms - more than this between two samples is a hole: an event may lie in what the logger left out. Of a
 * logger that is slower than an event a sample must be missing. */
int64_t mr_line_hole_ms(double step_ms, int64_t event_ms);

/** mr_line_at - the first loaded sample at or after a moment; w->n where none. */
size_t mr_line_at(const struct mr_line_work *w, int64_t t_ms);

#endif
