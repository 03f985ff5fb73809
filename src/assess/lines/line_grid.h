/*
 * line_grid.h - what line_scan.c needs of line_grid.c.
 */
#ifndef MILRISE_ASSESS_LINES_LINE_GRID_H
#define MILRISE_ASSESS_LINES_LINE_GRID_H

#include "assess/lines/line_scan.h"

/** mr_line_load - samples of `first` from t0_ms to t1_ms into w->a, the values of `second` (may be NULL) at the same
 * moments into w->b, interpolated where need be, NaN across gaps; how long each holds; w->off cleared. */
void mr_line_load(struct mr_line_work *w, const struct mr_track *first, const struct mr_track *second, int64_t t0_ms,
                  int64_t t1_ms, int64_t gap_ms);

/** mr_line_at - the first loaded sample at or after a moment; w->n where none. */
size_t mr_line_at(const struct mr_line_work *w, int64_t t_ms);

#endif
