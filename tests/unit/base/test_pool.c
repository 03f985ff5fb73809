/* Pieces of work by several threads: each once, and what they keep in arenas of their own lives as long as its
 * parent. */
#include "base/pool.h"
#include "milrise/diag.h"

#include <criterion/criterion.h>
#include <stdio.h>

enum { PIECES = 1000 };

struct piece {
    struct mr_arena *arena;
    char *text;
    int done;
    struct mr_diags diags;
};

static void fill(void *ctx, size_t i, size_t worker) {
    struct piece *p = (struct piece *)ctx + i;
    cr_assert_lt(worker, mr_pool_most());
    p->done++;
    p->text = mr_printf(p->arena, "piece %zu", i);
    if (i % 3 == 0)
        mr_diag_add(&p->diags, MR_WARNING, "third", (struct mr_place){0}, NULL, NULL, "piece %zu", i);
}

static size_t run(size_t threads, char *said, size_t room) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct piece *p = MR_ARRAY(arena, struct piece, PIECES);
    struct mr_diags all;
    mr_diags_init(&all, arena);
    for (size_t i = 0; i < PIECES; i++) {
        p[i].arena = mr_arena_child(arena);
        mr_diags_init(&p[i].diags, p[i].arena);
    }
    mr_pool_threads(threads);
    mr_pool_each(PIECES, fill, p);
    mr_pool_threads(1);
    size_t used = 0;
    for (size_t i = 0; i < PIECES; i++) {
        cr_assert_eq(p[i].done, 1);
        mr_diags_append(&all, &p[i].diags);
    }
    for (size_t i = 0; i < all.list.n; i++)
        used += (size_t)snprintf(said + used, room - used, "%s;", all.list.v[i].what);
    cr_assert_eq(all.count[MR_WARNING], all.list.n);
    cr_assert_str_eq(p[PIECES - 1].text, "piece 999");
    const size_t bytes = mr_arena_bytes(arena);
    mr_arena_reset(arena);
    cr_assert_eq(mr_arena_bytes(arena), 0);
    mr_arena_free(arena);
    return bytes;
}

Test(pool, each_piece_once_and_in_order_whatever_the_threads) {
    static char one[1 << 16], many[1 << 16];
    const size_t bytes = run(1, one, sizeof one);
    cr_expect_eq(run(4, many, sizeof many), bytes);
    cr_expect_str_eq(one, many);
    mr_pool_each(0, fill, NULL);
}

Test(pool, more_threads_than_sense_are_cut) {
    mr_pool_threads(0);
    cr_expect_eq(mr_pool_most(), 1);
    mr_pool_threads(100000);
    cr_expect_leq(mr_pool_most(), 64);
    mr_pool_threads(1);
}
