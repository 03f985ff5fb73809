/*
 * time_sort.h - samples into order of time, cheaply where they nearly are.
 */
#ifndef MILRISE_NUMERIC_TIME_SORT_H
#define MILRISE_NUMERIC_TIME_SORT_H

#include "milrise/arena.h"

struct mr_timed {
    int64_t t_utc_ms;
    uint32_t part, index; /* where the sample comes from */
};

/** mr_time_sort - by time; equal times keep their order. A natural merge sort: n log(runs), so joined logs cost one
 * pass for each doubling of their number, and a file from new to old one turn. */
void mr_time_sort(struct mr_arena *arena, struct mr_timed *v, size_t n);

#endif
