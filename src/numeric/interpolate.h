/*
 * interpolate.h - the straight line between two samples.
 */
#ifndef MILRISE_NUMERIC_INTERPOLATE_H
#define MILRISE_NUMERIC_INTERPOLATE_H

#include "milrise/base.h"

/** mr_between - value at t_ms on the line from (t0_ms, v0) to (t1_ms, v1), t1_ms > t0_ms; NaN where an end is NaN. */
static inline double mr_between(int64_t t0_ms, double v0, int64_t t1_ms, double v1, int64_t t_ms) {
    return v0 + (v1 - v0) * ((double)(t_ms - t0_ms) / (double)(t1_ms - t0_ms));
}

#endif
