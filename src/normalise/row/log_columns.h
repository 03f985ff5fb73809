/*
 * log_columns.h - the rows of a log, as they are while they are read or changed, and packed meanwhile: of all files
 * of a job only a few stand open at a time.
 *
 * Read by mr_log_ms, mr_log_line and mr_log_value it does not matter which. What reads or writes the columns
 * themselves asks for them first. Long logs, and those whose rows name their places, stay open.
 */
#ifndef MILRISE_NORMALISE_ROW_LOG_COLUMNS_H
#define MILRISE_NORMALISE_ROW_LOG_COLUMNS_H

#include "normalise/row/file_state.h"

/** mr_log_open - the columns as they are, to be read. */
void mr_log_open(struct mr_file_state *state);

/** mr_log_change - the columns as they are, to be written. mr_log_change_times - the moments alone. */
void mr_log_change(struct mr_file_state *state);
void mr_log_change_times(struct mr_file_state *state);

/** mr_log_pack - the columns packed, beside what is open; of a wide log. */
void mr_log_pack(struct mr_file_state *state);

/** mr_log_close - the columns packed alone, where such a log can be. */
void mr_log_close(struct mr_file_state *state);

/* Of row i; a channel of a wide log. */
static inline int64_t mr_log_ms(const struct mr_log *log, size_t i) {
    return log->t_ms ? log->t_ms[i] : mr_whole(&log->times, i);
}

static inline uint32_t mr_log_line(const struct mr_log *log, size_t i) {
    return log->line ? log->line[i] : (uint32_t)mr_whole(&log->lines, i);
}

static inline double mr_log_value(const struct mr_log_channel *c, size_t i) {
    return c->value ? c->value[i] : mr_real(&c->values, i);
}

#endif
