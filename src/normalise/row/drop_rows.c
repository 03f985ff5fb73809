/*
 * drop_rows.c - rows that were read and are set aside after all leave the records, and their fates change.
 */
#include "normalise/row/drop_rows.h"

#include "normalise/row/log_columns.h"
#include "normalise/row/row_fates.h"

void mr_log_drop(struct mr_file_state *state, const int8_t *fate) {
    struct mr_log *log = &state->log;
    mr_log_change(state);
    mr_state_split(state, fate, log->line, log->n);
    size_t kept = 0;
    for (size_t i = 0; i < log->n; i++) {
        if (fate[i] != MR_FATE_USED)
            continue;
        log->t_ms[kept] = log->t_ms[i];
        log->line[kept] = log->line[i];
        if (log->place.n)
            log->place.v[kept] = log->place.v[i];
        if (log->is_long) {
            log->which[kept] = log->which[i];
            log->value[kept] = log->value[i];
        }
        for (size_t k = 0; k < log->channels.n && !log->is_long; k++)
            log->channels.v[k].value[kept] = log->channels.v[k].value[i];
        kept++;
    }
    log->n = kept;
    if (log->place.n)
        log->place.n = kept;
}

void mr_readings_drop(struct mr_file_state *state, const int8_t *fate) {
    size_t n = state->records.readings.n, kept = 0;
    uint32_t *line = MR_ARRAY(state->scratch, uint32_t, n + 1);
    for (size_t i = 0; i < n; i++) {
        line[i] = state->records.readings.v[i].line;
        if (fate[i] == MR_FATE_USED)
            state->records.readings.v[kept++] = state->records.readings.v[i];
    }
    state->records.readings.n = kept;
    mr_rows_split(state, fate, line, n);
}
