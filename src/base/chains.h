/*
 * chains.h - items of a list by a small whole number each has, such as the zone of a check: each number's items in
 * the order of the list, found without a look at the others.
 */
#ifndef MILRISE_BASE_CHAINS_H
#define MILRISE_BASE_CHAINS_H

#include "milrise/arena.h"
#include "milrise/base.h"

struct mr_chains {
    size_t n_keys;
    size_t *first; /* shape: n_keys + 1, the last for all other keys; MR_NONE where a key has none */
    size_t *next;  /* shape: items; MR_NONE at the end */
};

/** mr_chains_new - without items. mr_chains_put - one item; the list's last goes first. */
struct mr_chains mr_chains_new(struct mr_arena *arena, size_t n_keys, size_t n_items);
void mr_chains_put(struct mr_chains *chains, size_t key, size_t item);

/** mr_chains_first - the first item of a key; MR_NONE. */
size_t mr_chains_first(const struct mr_chains *chains, size_t key);

#endif
