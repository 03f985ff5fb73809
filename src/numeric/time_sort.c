/*
 * time_sort.c - natural merge sort. qsort would forget that logs come as a few sorted runs.
 */
#include "numeric/time_sort.h"

#include <string.h>

static void turn(struct mr_timed *v, size_t n) {
    for (size_t i = 0; i < n / 2; i++) {
        struct mr_timed kept = v[i];
        v[i] = v[n - 1 - i];
        v[n - 1 - i] = kept;
    }
}

/* End of the run that starts at v[i]; a strictly falling one is turned round first (equal times never are). */
static size_t run_end(struct mr_timed *v, size_t i, size_t n) {
    size_t end = i + 1;
    if (end < n && v[end].t_utc_ms < v[i].t_utc_ms) {
        while (end < n && v[end].t_utc_ms < v[end - 1].t_utc_ms)
            end++;
        turn(v + i, end - i);
        return end;
    }
    while (end < n && v[end].t_utc_ms >= v[end - 1].t_utc_ms)
        end++;
    return end;
}

static void merge(const struct mr_timed *a, size_t a_n, const struct mr_timed *b, size_t b_n, struct mr_timed *out) {
    size_t i = 0, k = 0;
    while (i < a_n && k < b_n)
        *out++ = b[k].t_utc_ms < a[i].t_utc_ms ? b[k++] : a[i++];
    memcpy(out, a + i, (a_n - i) * sizeof *out);
    memcpy(out + (a_n - i), b + k, (b_n - k) * sizeof *out);
}

void mr_time_sort(struct mr_arena *arena, struct mr_timed *v, size_t n) {
    MR_VEC(size_t) ends = {0};
    for (size_t i = 0; i < n;) {
        i = run_end(v, i, n);
        MR_PUSH(arena, &ends, i);
    }
    if (ends.n < 2)
        return;
    struct mr_timed *from = v, *spare = MR_ARRAY(arena, struct mr_timed, n), *to = spare;
    while (ends.n > 1) {
        size_t start = 0, kept = 0;
        for (size_t r = 0; r < ends.n; r += 2) {
            size_t mid = ends.v[r], end = r + 1 < ends.n ? ends.v[r + 1] : mid;
            merge(from + start, mid - start, from + mid, end - mid, to + start);
            ends.v[kept++] = start = end;
        }
        ends.n = kept;
        struct mr_timed *swap = from;
        from = to;
        to = swap;
    }
    if (from != v)
        memcpy(v, from, n * sizeof *v);
    mr_arena_drop(arena, spare);
}
