/*
 * text_pool.c - each text of a file kept once: its rows say the same few over and over.
 */
#include "normalise/row/text_pool.h"

#include "base/text.h"

#include <string.h>

struct mr_texts { /* open addressing over interned texts; only looked up, never walked */
    const char **slot;
    size_t n, cap;
};

static size_t hash(const char *p, size_t n) {
    const uint64_t h = mr_hash(MR_HASH_SEED, p, n);
    return (size_t)(h ^ (h >> 32));
}

static void rehash(struct mr_file_state *state, struct mr_texts *t) {
    size_t cap = t->cap ? t->cap * 2 : 64;
    const char **slot = MR_ARRAY(state->scratch, const char *, cap);
    for (size_t i = 0; i < t->cap; i++)
        if (t->slot[i]) {
            size_t at = hash(t->slot[i], strlen(t->slot[i])) & (cap - 1);
            while (slot[at])
                at = (at + 1) & (cap - 1);
            slot[at] = t->slot[i];
        }
    t->slot = slot;
    t->cap = cap;
}

const char *mr_text_keep(struct mr_file_state *state, const char *text, size_t n) {
    const char *nul = n ? memchr(text, '\0', n) : NULL;
    n = nul ? (size_t)(nul - text) : n;
    if (!n)
        return "";
    if (!state->texts)
        state->texts = MR_NEW(state->scratch, struct mr_texts);
    struct mr_texts *t = state->texts;
    if (t->n * 2 >= t->cap)
        rehash(state, t);
    size_t at = hash(text, n) & (t->cap - 1);
    for (; t->slot[at]; at = (at + 1) & (t->cap - 1))
        if (strncmp(t->slot[at], text, n) == 0 && t->slot[at][n] == '\0')
            return t->slot[at];
    t->n++;
    return t->slot[at] = mr_strndup(state->arena, text, n);
}
