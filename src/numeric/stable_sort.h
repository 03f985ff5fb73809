/*
 * stable_sort.h - sorting that keeps equal items in the order they came, so that reports never depend on the C
 * library's qsort.
 */
#ifndef MILRISE_NUMERIC_STABLE_SORT_H
#define MILRISE_NUMERIC_STABLE_SORT_H

#include "milrise/arena.h"

#define MR_ORDER(a, b) (((a) > (b)) - ((a) < (b)))

/** mr_sort_stable - n items of size bytes, merge sort with a copy in arena; order as qsort's comparison. */
void mr_sort_stable(struct mr_arena *arena, void *items, size_t n, size_t size,
                    int (*order)(const void *, const void *));

#endif
