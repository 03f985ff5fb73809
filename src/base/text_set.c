/*
 * text_set.c - see text_set.h.
 */
#include "base/text_set.h"

#include "base/text.h"

#include <string.h>

static size_t hash(const char *p, size_t n) {
    const uint64_t h = mr_hash(MR_HASH_SEED, p, n);
    return (size_t)(h ^ (h >> 32));
}

static void grow(struct mr_text_set *set) {
    const size_t cap = set->cap ? set->cap * 2 : 64;
    struct mr_text_entry *slot = MR_ARRAY(set->arena, struct mr_text_entry, cap);
    for (size_t i = 0; i < set->cap; i++)
        if (set->slot[i].text) {
            size_t at = hash(set->slot[i].text, strlen(set->slot[i].text)) & (cap - 1);
            while (slot[at].text)
                at = (at + 1) & (cap - 1);
            slot[at] = set->slot[i];
        }
    set->slot = slot;
    set->cap = cap;
}

struct mr_text_entry *mr_text_entry(struct mr_text_set *set, const char *text, size_t n) {
    if (set->n * 2 >= set->cap)
        grow(set);
    size_t at = hash(text, n) & (set->cap - 1);
    for (; set->slot[at].text; at = (at + 1) & (set->cap - 1))
        if (strncmp(set->slot[at].text, text, n) == 0 && set->slot[at].text[n] == '\0')
            return &set->slot[at];
    set->n++;
    return &set->slot[at];
}
