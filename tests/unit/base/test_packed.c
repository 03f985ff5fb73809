/*
 * Columns in few bytes give back what was put in, to the bit.
 */
#include "base/packer.h"

#include <criterion/criterion.h>
#include <float.h>
#include <math.h>

static struct mr_arena *arena;

static void open_arena(void) {
    arena = mr_arena_new(NULL, NULL);
}

static void close_arena(void) {
    mr_arena_free(arena);
}

TestSuite(packed, .init = open_arena, .fini = close_arena);

static uint64_t next(uint64_t *state) { /* xorshift64, G. Marsaglia 2003 */
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

enum { N = 3 * MR_STRETCH + 17, KINDS = 9 };

/* Numbers as logs have them, and as none should. */
static int64_t number(int kind, size_t i, uint64_t *rng) {
    const uint64_t r = next(rng);
    switch (kind) {
    case 0:
        return 1715000000000 + (int64_t)i * 1000; /* once a second */
    case 1:
        return 1715000000000 + (int64_t)i * 1000 + (int64_t)(r % 7); /* at odd moments */
    case 2:
        return 1715000000000 + (int64_t)(i / 300) * 86400000000 + (int64_t)i * 60000; /* with weeks between */
    case 3:
        return 1715000000000 - (int64_t)i * 500; /* from new to old */
    case 4:
        return r % 5 ? 1715000000000 + (int64_t)i : MR_T_NONE;
    case 5:
        return (int64_t)r; /* anything */
    case 6:
        return r % 2 ? INT64_MAX : INT64_MIN;
    case 7:
        return (int64_t)(r % 70000) - 35000;
    default:
        return 7;
    }
}

Test(packed, whole_numbers_come_back_whatever_they_are) {
    for (int kind = 0; kind < KINDS; kind++)
        for (size_t n = 0; n <= N; n += n < 3                ? 1
                                        : n == 3             ? MR_STRETCH - 4
                                        : n < MR_STRETCH + 1 ? 1
                                        : N - n              ? N - n
                                                             : 1) {
            uint64_t rng = 88172645463325252U;
            int64_t v[N];
            for (size_t i = 0; i < n; i++)
                v[i] = number(kind, i, &rng);
            const struct mr_wholes c = mr_wholes_pack(arena, v, n);
            cr_assert_eq(mr_is_column(&c), n > 0);
            for (size_t i = 0; i < n; i++)
                cr_assert_eq(mr_whole(&c, i), v[i], "kind %d of %zu: %zu", kind, n, i);
            const struct mr_wholes part = mr_wholes_from(c, n / 3);
            for (size_t i = 0; n / 3 + i < n; i++)
                cr_assert_eq(mr_whole(&part, i), v[n / 3 + i]);
        }
}

Test(packed, lines_come_back_up_to_the_greatest) {
    uint32_t v[N];
    for (size_t i = 0; i < N; i++)
        v[i] = i % 3 ? (uint32_t)i : UINT32_MAX - (uint32_t)i;
    const struct mr_wholes c = mr_lines_pack(arena, v, N);
    for (size_t i = 0; i < N; i++)
        cr_assert_eq(mr_whole(&c, i), v[i]);
}

static bool same_bits(double a, double b) {
    return memcmp(&a, &b, sizeof a) == 0;
}

/* few: values of a sensor with two decimals, among them none, both zeros, infinity and two kinds of NaN. */
static void draw(double *v, size_t n, bool few, uint64_t *rng) {
    const double odd[] = {NAN, -NAN, 0.0, -0.0, INFINITY, -INFINITY, DBL_MAX, DBL_TRUE_MIN};
    for (size_t i = 0; i < n; i++) {
        const uint64_t r = next(rng);
        if (r % 11 == 0)
            v[i] = odd[r / 11 % 8];
        else if (few)
            v[i] = (double)(r % 150) / 100 * 6.894757293168361;
        else
            v[i] = (double)(int64_t)r;
    }
}

Test(packed, values_come_back_to_the_bit) {
    double v[N], out[N];
    for (int few = 0; few < 2; few++) {
        uint64_t rng = 1;
        draw(v, N, few, &rng);
        const struct mr_reals c = mr_reals_pack(arena, v, N);
        cr_assert_eq(c.raw != NULL, !few, "a column that gains nothing stands as it is, one that gains does not");
        for (size_t i = 0; i < N; i++)
            cr_assert(same_bits(mr_real(&c, i), v[i]), "%d: %zu", few, i);
        const struct mr_reals part = mr_reals_from(c, 300);
        mr_reals_copy(&part, 5, N - 305, out);
        for (size_t i = 305; i < N; i++)
            cr_assert(same_bits(out[i - 305], v[i]));
    }
}

Test(packed, a_log_takes_two_bytes_a_value_and_none_a_moment) {
    enum { ROWS = 100000 };
    struct mr_arena *own = mr_arena_new(NULL, NULL);
    int64_t *t = MR_ARRAY(arena, int64_t, ROWS);
    double *v = MR_ARRAY(arena, double, ROWS);
    uint64_t rng = 5;
    for (size_t i = 0; i < ROWS; i++) {
        t[i] = 1715000000000 + (int64_t)i * 1000;
        v[i] = (double)(1500 + next(&rng) % 2000) / 100;
    }
    mr_wholes_pack(own, t, ROWS);
    cr_assert_lt(mr_arena_bytes(own), ROWS / 8);
    mr_reals_pack(own, v, ROWS);
    cr_assert_lt(mr_arena_bytes(own), ROWS * 5 / 2);
    mr_arena_free(own);
}

Test(packed, the_first_from_a_moment_on_is_found) {
    int64_t v[N];
    for (size_t i = 0; i < N; i++)
        v[i] = (int64_t)i * 10 + (i > 400 ? 5000 : 0);
    const struct mr_wholes c = mr_wholes_pack(arena, v, N);
    for (int64_t at = -5; at < v[N - 1] + 20; at += 3) {
        size_t plain = 0;
        while (plain < N && v[plain] < at)
            plain++;
        cr_assert_eq(mr_wholes_first(&c, N, at), plain, "%lld", (long long)at);
    }
}

/* Parts in any order, of which one may stand as it is: the joined column holds the very same values. */
Test(packed, joined_columns_keep_their_values) {
    for (int unpacked = 0; unpacked < 2; unpacked++) {
        double v[3][N];
        struct mr_reals c[3];
        const struct mr_reals *parts[3];
        uint64_t rng = 9;
        for (int p = 0; p < 3; p++) {
            draw(v[p], N, p != 1 || !unpacked, &rng);
            c[p] = mr_reals_pack(arena, v[p], N);
            parts[p] = &c[p];
        }
        struct mr_joiner join;
        mr_joiner_begin(&join, arena, 3, parts, 3 * N);
        for (size_t i = 0; i < 3 * N; i++)
            mr_joiner_add(&join, (i + 2) % 3, i / 3);
        const struct mr_reals all = mr_joiner_end(&join, arena);
        for (size_t i = 0; i < 3 * N; i++)
            cr_assert(same_bits(mr_real(&all, i), v[(i + 2) % 3][i / 3]), "%d: %zu", unpacked, i);
    }
}
