/*
 * A long table gives back every cell as it was put in, whatever its columns hold.
 */
#include "milrise/table.h"

#include <criterion/criterion.h>
#include <string.h>

enum { ROWS = 1500, FIELDS = 7 };

static uint64_t next(uint64_t *state) { /* xorshift64, G. Marsaglia 2003 */
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

/* Numbers that come again, numbers that do not, some of each, moments, texts, outcomes, and anything. */
static struct mr_value draw(size_t row, size_t column, uint64_t *rng) {
    static const char *const words[] = {"Deck 1", "", "Hull", NULL};
    const uint64_t r = next(rng);
    switch (column) {
    case 0:
        return mr_v_num_to((double)(r % 90) / 10, (int)(r % 3) - 1);
    case 1:
        return mr_v_num((double)r / 7);
    case 2:
        return mr_v_num(row < 700 ? (double)(r % 50) : row < 1000 ? (double)r : -0.0);
    case 3:
        return r % 9 ? mr_v_time(1715000000000 + (int64_t)row * 1000) : mr_v_blank("no time");
    case 4:
        return mr_v_text(words[r % 4]);
    case 5:
        return mr_v_outcome((int)(r % 4));
    default:
        return r % 5 == 0   ? mr_v_count((int64_t)r)
               : r % 5 == 1 ? mr_v_blank(words[r % 4])
               : r % 5 == 2 ? mr_v_num((double)(r % 7))
                            : mr_v_text(words[r % 4]);
    }
}

static bool same(struct mr_value a, struct mr_value b) {
    return a.type == b.type && a.own_decimals == b.own_decimals && memcmp(&a.count, &b.count, sizeof a.count) == 0;
}

Test(table, every_cell_comes_back_while_rows_are_added_and_after) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    const struct mr_field fields[FIELDS] = {{"a", "A", MR_UNIT_NONE, 0}};
    struct mr_table *t = mr_table_new(arena, "t", "T", NULL, FIELDS, fields);
    struct mr_value *kept = MR_ARRAY(arena, struct mr_value, ROWS * FIELDS);
    uint64_t rng = 3;
    for (size_t r = 0; r < ROWS; r++) {
        for (size_t c = 0; c < FIELDS; c++)
            kept[r * FIELDS + c] = draw(r, c, &rng);
        mr_table_add(arena, t, &kept[r * FIELDS]);
        cr_assert_eq(t->n_rows, r + 1);
        for (size_t back = 0; back <= r; back += 1 + r / 3)
            for (size_t c = 0; c < FIELDS; c++)
                cr_assert(same(mr_table_value(t, r - back, c), kept[(r - back) * FIELDS + c]), "%zu of %zu, %zu",
                          r - back, r, c);
    }
    for (size_t i = 0; i < ROWS * FIELDS; i++)
        cr_assert(same(mr_table_value(t, i / FIELDS, i % FIELDS), kept[i]), "%zu, %zu", i / FIELDS, i % FIELDS);
    mr_arena_free(arena);
}

/* Said whole at any row, it takes further rows and gives back all, its bytes included. */
Test(table, a_table_said_whole_keeps_its_cells_and_may_still_grow) {
    uint64_t rng = 5;
    for (size_t whole = 0; whole < ROWS; whole += 1 + whole / 2) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        const struct mr_field fields[FIELDS] = {{"a", "A", MR_UNIT_NONE, 0}};
        struct mr_table *t = mr_table_new(arena, "t", "T", NULL, FIELDS, fields);
        struct mr_value *kept = MR_ARRAY(arena, struct mr_value, ROWS * FIELDS);
        for (size_t r = 0; r < ROWS; r++) {
            const size_t before = mr_arena_bytes(arena);
            if (r == whole)
                mr_table_whole(arena, t);
            cr_assert_leq(mr_arena_bytes(arena), before);
            for (size_t c = 0; c < FIELDS; c++)
                kept[r * FIELDS + c] = draw(r, c, &rng);
            mr_table_add(arena, t, &kept[r * FIELDS]);
        }
        mr_table_whole(arena, t);
        for (size_t i = 0; i < ROWS * FIELDS; i++)
            cr_assert(same(mr_table_value(t, i / FIELDS, i % FIELDS), kept[i]), "%zu: %zu, %zu", whole, i / FIELDS,
                      i % FIELDS);
        mr_arena_free(arena);
    }
}

/* A reading's row: the names of where, a film in tenths, when, and the line. */
Test(table, a_row_that_says_what_others_say_takes_a_fifth_of_its_cells) {
    enum { LONG = 100000 };
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    const struct mr_field fields[4] = {{"a", "A", MR_UNIT_NONE, 0}};
    struct mr_table *t = mr_table_new(arena, "t", "T", NULL, 4, fields);
    uint64_t rng = 4;
    for (int64_t r = 0; r < LONG; r++) {
        const struct mr_value row[4] = {mr_v_text("Deck 1"), mr_v_num((double)(2000 + next(&rng) % 3000) / 10),
                                        mr_v_time(1715000000000 + r * 2000), mr_v_count(r)};
        mr_table_add(arena, t, row);
    }
    cr_assert_lt(mr_arena_bytes(arena), LONG * 16, "%zu", mr_arena_bytes(arena));
    mr_table_whole(arena, t);
    cr_assert_lt(mr_arena_bytes(arena), LONG * 11, "%zu", mr_arena_bytes(arena));
    mr_arena_free(arena);
}
