/* Searching, sorting, medians and the straight line, against their definitions over seeded data. */
#include "numeric/interpolate.h"
#include "numeric/search.h"
#include "numeric/select.h"
#include "numeric/stable_sort.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static uint32_t roll(uint64_t *state, uint32_t sides) { /* xorshift64*, Vigna 2016 */
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return (uint32_t)((*state * 2685821657736338717ULL) >> 32) % sides;
}

Test(order, the_first_from_and_after_a_moment_are_those_of_a_plain_count) {
    uint64_t state = 20260511;
    for (int round = 0; round < 500; round++) {
        int64_t t[40];
        size_t n = roll(&state, 40);
        for (size_t i = 0; i < n; i++)
            t[i] = (i ? t[i - 1] : 0) + (int64_t)roll(&state, 3);
        for (int64_t key = -1; key < 90; key++) {
            size_t before = 0, not_after = 0;
            for (size_t i = 0; i < n; i++) {
                before += t[i] < key;
                not_after += t[i] <= key;
            }
            cr_assert_eq(mr_first_ms_from(t, n, key), before);
            cr_assert_eq(mr_first_ms_after(t, n, key), not_after);
        }
    }
    cr_assert_eq(mr_first_ms_from(NULL, 0, 5), 0);
}

struct pair {
    int key, place;
};

static int by_key(const void *a, const void *b) {
    const struct pair *x = a, *y = b;
    return MR_ORDER(x->key, y->key);
}

Test(order, sorting_keeps_equal_items_in_their_order_whatever_runs_there_are) {
    uint64_t state = 4711;
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (int round = 0; round < 2000; round++) {
        struct pair v[64];
        int n = (int)roll(&state, 64), way = (int)roll(&state, 4);
        for (int i = 0; i < n; i++) {
            int random = (int)roll(&state, 9);
            v[i] = (struct pair){way == 0 ? i / 3 : way == 1 ? -i : way == 2 ? i % 7 : random, i};
        }
        mr_sort_stable(arena, v, (size_t)n, sizeof *v, by_key);
        for (int i = 1; i < n; i++)
            cr_assert(v[i - 1].key < v[i].key || (v[i - 1].key == v[i].key && v[i - 1].place < v[i].place),
                      "round %d", round);
    }
    mr_arena_free(arena);
}

Test(order, the_median_is_the_middle_of_the_sorted_values) {
    uint64_t state = 99;
    for (int round = 0; round < 3000; round++) {
        double v[33], sorted[33];
        size_t n = 1 + roll(&state, 33);
        for (size_t i = 0; i < n; i++)
            v[i] = (double)roll(&state, 20);
        memcpy(sorted, v, sizeof v);
        mr_sort(sorted, n);
        double want = n % 2 ? sorted[n / 2] : (sorted[n / 2 - 1] + sorted[n / 2]) / 2;
        double again[33];
        memcpy(again, sorted, sizeof again);
        cr_assert_eq(mr_median(again, n), want);
        cr_assert_eq(memcmp(again, sorted, n * sizeof *v), 0); /* a sorted array stays as it is */
        cr_assert_eq(mr_median(v, n), want);
    }
    cr_assert(isnan(mr_median(NULL, 0)));
}

Test(order, the_line_between_two_samples_meets_both_and_their_middle) {
    cr_assert_eq(mr_between(1000, 20.0, 3000, 30.0, 1000), 20.0);
    cr_assert_eq(mr_between(1000, 20.0, 3000, 30.0, 3000), 30.0);
    cr_assert_eq(mr_between(1000, 20.0, 3000, 30.0, 1500), 22.5);
    cr_assert(isnan(mr_between(0, MR_NAN, 10, 1.0, 5)));
}
