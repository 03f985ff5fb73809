/*
 * search.h - binary search in sorted items: the first that is not before a key, the first that is after it.
 *
 * glibc's bsearch and GLib's g_array_binary_search give some equal item, and none where there is no equal one; what
 * stands around a moment needs the border itself. Inline, since series are searched within loops.
 */
#ifndef MILRISE_NUMERIC_SEARCH_H
#define MILRISE_NUMERIC_SEARCH_H

#include "milrise/base.h"

/** mr_first_after - how many of n sorted items stand at or before the key: the index of the first item after it.
 *  order: negative, 0 or positive as the item stands before, at or after the key. */
static inline size_t mr_first_after(const void *key, const void *items, size_t n, size_t size,
                                    int (*order)(const void *item, const void *key)) {
    size_t lo = 0, hi = n;
    while (lo < hi) {
        size_t mid = lo + (hi - lo) / 2;
        if (order((const char *)items + mid * size, key) <= 0)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

/** mr_first_from - how many of n sorted items stand before the key: the index of the first item at or after it. */
static inline size_t mr_first_from(const void *key, const void *items, size_t n, size_t size,
                                   int (*order)(const void *item, const void *key)) {
    size_t lo = 0, hi = n;
    while (lo < hi) {
        size_t mid = lo + (hi - lo) / 2;
        if (order((const char *)items + mid * size, key) < 0)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

#define MR_ORDER(a, b) (((a) > (b)) - ((a) < (b)))

static inline int mr_order_ms(const void *item, const void *key) {
    const int64_t *a = item, *b = key;
    return MR_ORDER(*a, *b);
}

/** mr_first_ms_from - the first of n rising moments at or after t_ms; mr_first_ms_after - the first after it. */
static inline size_t mr_first_ms_from(const int64_t *t, size_t n, int64_t t_ms) {
    return mr_first_from(&t_ms, t, n, sizeof *t, mr_order_ms);
}

static inline size_t mr_first_ms_after(const int64_t *t, size_t n, int64_t t_ms) {
    return mr_first_after(&t_ms, t, n, sizeof *t, mr_order_ms);
}

#endif
