/*
 * stable_sort.c - natural merge sort. glibc's qsort is stable only as long as memory allows, others' not at all, and
 * none of them sees that logs come as a few sorted runs.
 */
#include "numeric/stable_sort.h"

#include <string.h>

struct sorting {
    size_t size;
    int (*order)(const void *, const void *);
};

static void turn(const struct sorting *s, char *v, size_t n) {
    for (size_t i = 0; i < n / 2; i++) {
        char *a = v + i * s->size, *b = v + (n - 1 - i) * s->size;
        for (size_t k = 0; k < s->size; k++) {
            char kept = a[k];
            a[k] = b[k];
            b[k] = kept;
        }
    }
}

/* End of the run that starts at item i; a strictly falling one is turned round first (equal items never are). */
static size_t run_end(const struct sorting *s, char *v, size_t i, size_t n) {
    size_t end = i + 1;
    if (end < n && s->order(v + end * s->size, v + i * s->size) < 0) {
        while (end < n && s->order(v + end * s->size, v + (end - 1) * s->size) < 0)
            end++;
        turn(s, v + i * s->size, end - i);
        return end;
    }
    while (end < n && s->order(v + end * s->size, v + (end - 1) * s->size) >= 0)
        end++;
    return end;
}

static void merge(const struct sorting *s, const char *from, char *to, size_t lo, size_t mid, size_t hi) {
    size_t i = lo, j = mid, size = s->size;
    for (to += lo * size; i < mid && j < hi; to += size) {
        bool right = s->order(from + j * size, from + i * size) < 0;
        memcpy(to, from + (right ? j++ : i++) * size, size);
    }
    memcpy(to, from + i * size, (mid - i) * size);
    memcpy(to + (mid - i) * size, from + j * size, (hi - j) * size);
}

void mr_sort_stable(struct mr_arena *arena, void *items, size_t n, size_t size,
                    int (*order)(const void *, const void *)) {
    struct sorting s = {size, order};
    MR_VEC(size_t) ends = {0};
    for (size_t i = 0; i < n;) {
        i = run_end(&s, items, i, n);
        MR_PUSH(arena, &ends, i);
    }
    if (ends.n < 2)
        return;
    char *from = items, *spare = mr_alloc(arena, n, size), *to = spare;
    while (ends.n > 1) {
        size_t start = 0, kept = 0;
        for (size_t r = 0; r < ends.n; r += 2) {
            size_t mid = ends.v[r], end = r + 1 < ends.n ? ends.v[r + 1] : mid;
            merge(&s, from, to, start, mid, end);
            ends.v[kept++] = start = end;
        }
        ends.n = kept;
        char *swap = from;
        from = to;
        to = swap;
    }
    if (from != (char *)items)
        memcpy(items, from, n * size);
    mr_arena_drop(arena, spare);
}
