/*
 * lost_columns.c - a column that is steel, humidity or a line by its heading was set aside: its unit is unknown, or
 * another column claims the same. It may be just the one that misses a limit. That another instrument covers the coat
 * is no answer: the time that its rows cover is not shown until the job file says how to read it
 * (assess/report/unread_logs.c).
 */
#include "normalise/file/lost_columns.h"

#include "normalise/row/log_columns.h"

#include <math.h>

static void lose(struct mr_file_state *state, enum mr_aside why) {
    const struct mr_log *log = &state->log;
    uint32_t first = log->line[0], last = log->line[0];
    for (size_t i = 1; i < log->n; i++) {
        first = log->line[i] < first ? log->line[i] : first;
        last = log->line[i] > last ? log->line[i] : last;
    }
    MR_PUSH(state->arena, &state->records.lost_cells, ((struct mr_lost_cell){first, last, why}));
}

static bool has_values(const struct mr_log *log, size_t k) {
    for (size_t i = 0; i < log->n; i++)
        if (log->is_long ? log->which[i] == k && !isnan(log->value[i]) : !isnan(log->channels.v[k].value[i]))
            return true;
    return false;
}

/* A sensor that was not plugged in shows 999 all day, and takes nothing back; but somebody should know. */
static void tell_impossible(struct mr_file_state *state) {
    const struct mr_log *log = &state->log;
    for (size_t k = 0; k < log->channels.n; k++) {
        const struct mr_log_channel *c = &log->channels.v[k];
        if (2 * c->out_of_range > log->n)
            mr_diag_add(
                state->diags, MR_WARNING, "values-impossible",
                (struct mr_place){.file = state->source->path, .line = state->source->header_line}, c->name,
                "If no sensor was plugged in, set the column to ignore in the file's [file] section; else check "
                "sensor and unit.",
                "%zu of its values cannot be true and are left out", c->out_of_range);
    }
}

/* A dew point without a unit is held against the row's own in the unit of the log (row/objections.c). */
static bool is_heard(const struct mr_file_state *state, const struct mr_log_channel *c) {
    return c->meaning == MR_M_DEW && !state->plan->col[c->col].unit_unknown;
}

void mr_note_lost_columns(struct mr_file_state *state) {
    const struct mr_log *log = &state->log;
    tell_impossible(state);
    if (!log->n || (state->plan->kind != MR_KIND_CLIMATE && state->plan->kind != MR_KIND_PRESSURE))
        return;
    mr_log_open(state);
    bool rivals = false, no_unit = false;
    for (size_t i = 0; i < state->plan->n; i++)
        rivals |= mr_is_channel(state->plan->col[i].rival_of);
    for (size_t k = 0; k < log->channels.n; k++)
        no_unit |= log->channels.v[k].dropped && !is_heard(state, &log->channels.v[k]) && has_values(log, k);
    if (rivals)
        lose(state, MR_ASIDE_RIVALS);
    if (no_unit)
        lose(state, MR_ASIDE_NO_UNIT);
}
