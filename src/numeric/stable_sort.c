/*
 * stable_sort.c - a bottom-up merge sort. glibc's qsort is stable only as long as memory allows, others' not at all.
 */
#include "numeric/stable_sort.h"

#include <string.h>

static void merge(const char *from, char *to, size_t lo, size_t mid, size_t hi, size_t size,
                  int (*order)(const void *, const void *)) {
    size_t i = lo, j = mid;
    for (size_t k = lo; k < hi; k++) {
        bool left = i < mid && (j >= hi || order(from + i * size, from + j * size) <= 0);
        memcpy(to + k * size, from + (left ? i++ : j++) * size, size);
    }
}

void mr_sort_stable(struct mr_arena *arena, void *items, size_t n, size_t size,
                    int (*order)(const void *, const void *)) {
    if (n < 2)
        return;
    char *a = items, *b = mr_alloc(arena, n, size), *copy = b;
    for (size_t width = 1; width < n; width *= 2) {
        for (size_t lo = 0; lo < n; lo += 2 * width) {
            size_t mid = lo + width < n ? lo + width : n, hi = lo + 2 * width < n ? lo + 2 * width : n;
            merge(a, b, lo, mid, hi, size, order);
        }
        char *swap = a;
        a = b;
        b = swap;
    }
    if (a != (char *)items)
        memcpy(items, a, n * size);
    mr_arena_drop(arena, copy);
}
