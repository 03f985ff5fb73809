/*
 * text_pool.c - each text of a file kept once: its rows say the same few over and over.
 */
#include "normalise/row/text_pool.h"

#include "base/text_set.h"

#include <string.h>

const char *mr_text_keep(struct mr_file_state *state, const char *text, size_t n) {
    const char *nul = n ? memchr(text, '\0', n) : NULL;
    n = nul ? (size_t)(nul - text) : n;
    if (!n)
        return "";
    if (!state->texts) {
        state->texts = MR_NEW(state->scratch, struct mr_text_set);
        state->texts->arena = state->scratch;
    }
    struct mr_text_entry *e = mr_text_entry(state->texts, text, n);
    if (!e->text)
        e->text = mr_strndup(state->arena, text, n);
    return e->text;
}
