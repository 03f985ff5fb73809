/*
 * chains.c - see chains.h.
 */
#include "base/chains.h"

struct mr_chains mr_chains_new(struct mr_arena *arena, size_t n_keys, size_t n_items) {
    struct mr_chains c = {n_keys, MR_ARRAY(arena, size_t, n_keys + 1), MR_ARRAY(arena, size_t, n_items + 1)};
    for (size_t i = 0; i <= n_keys; i++)
        c.first[i] = MR_NONE;
    return c;
}

static size_t slot_of(const struct mr_chains *c, size_t key) {
    return key < c->n_keys ? key : c->n_keys;
}

void mr_chains_put(struct mr_chains *c, size_t key, size_t item) {
    c->next[item] = c->first[slot_of(c, key)];
    c->first[slot_of(c, key)] = item;
}

size_t mr_chains_first(const struct mr_chains *c, size_t key) {
    return c->first[slot_of(c, key)];
}
