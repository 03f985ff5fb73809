/*
 * publish_records.c - the records and channels of one file join those of the job, in the order of files and lines.
 */
#include "normalise/file/publish_records.h"

#include "normalise/row/block_lines.h"

#include <string.h>

const char *mr_file_zone(struct mr_file_state *state) {
    const char *zone = mr_preamble_value(state->scratch, state->source, MR_ZONE_NAMES);
    return zone ? mr_strdup(state->arena, zone) : "";
}

static void publish_wide(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state) {
    const struct mr_log *log = &state->log;
    const char *zone = mr_file_zone(state);
    for (size_t k = 0; k < log->channels.n; k++) {
        const struct mr_log_channel *c = &log->channels.v[k];
        if (c->dropped || !log->n)
            continue;
        struct mr_channel out = {.file = state->index,
                                 .name = c->name,
                                 .meaning = c->meaning,
                                 .zone = c->zone ? c->zone : zone,
                                 .n = log->n,
                                 .t_ms = log->t_ms,
                                 .line = log->line,
                                 .value = c->value};
        MR_PUSH(arena, &data->channels, out);
    }
}

static void publish_long(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state) {
    const struct mr_log *log = &state->log;
    size_t *count = MR_ARRAY(state->scratch, size_t, log->channels.n + 1);
    for (size_t i = 0; i < log->n; i++)
        count[log->which[i]]++;
    const char *zone = mr_file_zone(state);
    struct mr_channel *out = MR_ARRAY(state->scratch, struct mr_channel, log->channels.n + 1);
    int64_t **t = MR_ARRAY(state->scratch, int64_t *, log->channels.n + 1);
    uint32_t **line = MR_ARRAY(state->scratch, uint32_t *, log->channels.n + 1);
    double **value = MR_ARRAY(state->scratch, double *, log->channels.n + 1);
    for (size_t k = 0; k < log->channels.n; k++) {
        t[k] = MR_ARRAY(arena, int64_t, count[k]);
        line[k] = MR_ARRAY(arena, uint32_t, count[k]);
        value[k] = MR_ARRAY(arena, double, count[k]);
        out[k] = (struct mr_channel){.file = state->index,
                                     .name = log->channels.v[k].name,
                                     .meaning = log->channels.v[k].meaning,
                                     .zone = zone,
                                     .t_ms = t[k],
                                     .line = line[k],
                                     .value = value[k]};
    }
    for (size_t i = 0; i < log->n; i++) {
        size_t k = log->which[i], at = out[k].n++;
        t[k][at] = log->t_ms[i];
        line[k][at] = log->line[i];
        value[k][at] = log->value[i];
    }
    for (size_t k = 0; k < log->channels.n; k++)
        if (out[k].n && !log->channels.v[k].dropped)
            MR_PUSH(arena, &data->channels, out[k]);
}

#define APPEND(to, from)                                                                                             \
    for (size_t i_ = 0; i_ < (from).n; i_++)                                                                         \
    MR_PUSH(arena, &data->to, (from).v[i_])

static void append_records(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state) {
    if (state->plan->kind == MR_KIND_BASE_METAL) {
        APPEND(base_metal, state->records.readings);
    } else {
        APPEND(readings, state->records.readings);
    }
    APPEND(verifications, state->records.verifications);
    APPEND(sprays, state->records.sprays);
    APPEND(shift_items, state->records.shift_items);
    APPEND(materials, state->records.materials);
    APPEND(zones, state->records.zones);
}

void mr_publish_records(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state) {
    struct mr_column *columns = MR_ARRAY(arena, struct mr_column, state->plan->n);
    for (size_t i = 0; i < state->plan->n; i++)
        columns[i] = state->plan->col[i].as;
    state->file->columns = columns;
    state->file->n_columns = state->plan->n;
    mr_state_span(state, &state->file->first_ms, &state->file->last_ms);
    if (state->plan->kind == MR_KIND_UNKNOWN)
        return;
    if (state->log.is_long)
        publish_long(arena, data, state);
    else
        publish_wide(arena, data, state);
    append_records(arena, data, state);
}
