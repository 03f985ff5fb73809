/* file_state.c - see file_state.h. */
#include "normalise/row/file_state.h"

#include "base/text_set.h"
#include "normalise/row/log_columns.h"

#include <string.h>

static void widen(int64_t t_ms, int64_t *first_ms, int64_t *last_ms) {
    if (t_ms == MR_T_NONE)
        return;
    *first_ms = *first_ms == MR_T_NONE || t_ms < *first_ms ? t_ms : *first_ms;
    *last_ms = *last_ms == MR_T_NONE || t_ms > *last_ms ? t_ms : *last_ms;
}

bool mr_state_span(const struct mr_file_state *state, int64_t *first_ms, int64_t *last_ms) {
    const struct mr_records *r = &state->records;
    *first_ms = *last_ms = MR_T_NONE;
    for (size_t i = 0; i < state->log.n; i++)
        widen(mr_log_ms(&state->log, i), first_ms, last_ms);
    for (size_t i = 0; i < r->readings.n; i++)
        widen(r->readings.v[i].t_ms, first_ms, last_ms);
    for (size_t i = 0; i < r->verifications.n; i++)
        widen(r->verifications.v[i].t_ms, first_ms, last_ms);
    for (size_t i = 0; i < r->sprays.n; i++) {
        widen(r->sprays.v[i].start_ms, first_ms, last_ms);
        widen(r->sprays.v[i].stop_ms, first_ms, last_ms);
    }
    for (size_t i = 0; i < r->shift_items.n; i++)
        widen(r->shift_items.v[i].day_ms, first_ms, last_ms);
    for (size_t i = 0; i < r->materials.n; i++)
        widen(r->materials.v[i].t_ms, first_ms, last_ms);
    return *first_ms != MR_T_NONE;
}

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
