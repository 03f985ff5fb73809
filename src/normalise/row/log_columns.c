/*
 * log_columns.c - see log_columns.h. What is packed lies where the channels that are published will, so that a log
 * that nothing changed is handed on as it is.
 */
#include "normalise/row/log_columns.h"

static void open_times(struct mr_log *log) {
    if (log->t_ms || !log->n)
        return;
    log->t_ms = MR_ARRAY(log->arena, int64_t, log->n);
    mr_wholes_copy(&log->times, 0, log->n, log->t_ms);
}

void mr_log_open(struct mr_file_state *state) {
    struct mr_log *log = &state->log;
    open_times(log);
    if (!log->line && log->n) {
        log->line = MR_ARRAY(log->arena, uint32_t, log->n);
        for (size_t i = 0; i < log->n; i++)
            log->line[i] = (uint32_t)mr_whole(&log->lines, i);
    }
    for (size_t k = 0; k < log->channels.n && !log->is_long && log->n; k++) {
        struct mr_log_channel *c = &log->channels.v[k];
        if (c->value)
            continue;
        c->value = MR_ARRAY(log->arena, double, log->n);
        mr_reals_copy(&c->values, 0, log->n, c->value);
    }
}

void mr_log_change_times(struct mr_file_state *state) {
    open_times(&state->log);
    state->log.times = (struct mr_wholes){0};
}

void mr_log_change(struct mr_file_state *state) {
    struct mr_log *log = &state->log;
    mr_log_open(state);
    log->times = log->lines = (struct mr_wholes){0};
    for (size_t k = 0; k < log->channels.n; k++)
        log->channels.v[k].values = (struct mr_reals){0};
    if (log->packed)
        mr_arena_reset(log->packed);
}

static bool has_values(const struct mr_reals *c) {
    return c->raw || c->value;
}

void mr_log_pack(struct mr_file_state *state) {
    struct mr_log *log = &state->log;
    if (!log->n)
        return;
    log->packed = log->packed ? log->packed : mr_arena_child(state->file->series);
    if (!mr_is_column(&log->times))
        log->times = mr_wholes_pack(log->packed, log->t_ms, log->n);
    if (!mr_is_column(&log->lines))
        log->lines = mr_lines_pack(log->packed, log->line, log->n);
    for (size_t k = 0; k < log->channels.n; k++)
        if (!has_values(&log->channels.v[k].values))
            log->channels.v[k].values = mr_reals_pack(log->packed, log->channels.v[k].value, log->n);
}

void mr_log_close(struct mr_file_state *state) {
    struct mr_log *log = &state->log;
    if (!state->plan || state->plan->kind == MR_KIND_UNKNOWN || log->is_long || log->place.n || !log->n)
        return;
    mr_log_pack(state);
    mr_arena_reset(log->arena);
    log->t_ms = NULL;
    log->line = NULL;
    for (size_t k = 0; k < log->channels.n; k++)
        log->channels.v[k].value = NULL;
}
