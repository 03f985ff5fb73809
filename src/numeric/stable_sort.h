/*
 * stable_sort.h - sorting that keeps equal items in the order they came, so that reports never depend on the C
 * library's qsort.
 */
#ifndef MILRISE_NUMERIC_STABLE_SORT_H
#define MILRISE_NUMERIC_STABLE_SORT_H

#include "milrise/arena.h"
#include "numeric/search.h"

/** mr_sort_stable - n items of size bytes, with a copy in arena; order as qsort's comparison. A natural merge sort:
 * n log(runs), so joined logs cost one pass for each doubling of their number, and a file from new to old one turn.
 */
void mr_sort_stable(struct mr_arena *arena, void *items, size_t n, size_t size,
                    int (*order)(const void *, const void *));

#endif
