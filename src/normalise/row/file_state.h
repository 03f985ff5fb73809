/*
 * file_state.h - one file on its way through the stage: plan, times, rows counted, records kept until the whole job
 * is known.
 */
#ifndef MILRISE_NORMALISE_ROW_FILE_STATE_H
#define MILRISE_NORMALISE_ROW_FILE_STATE_H

#include "normalise/row/timer.h"

/* Fate of a row beside enum mr_aside. */
enum { MR_FATE_USED = -1, MR_FATE_HEADER = -2 };

struct mr_fate_run { /* consecutive rows of one fate */
    int fate;        /* enum mr_aside, MR_FATE_USED or MR_FATE_HEADER */
    uint32_t line, line_end;
    uint64_t rows;
};

/* A log's columns. Wide: one value column per channel; long: one value column and the channel of each row. */
struct mr_log_channel {
    const char *name;
    enum mr_meaning meaning;
    size_t col;         /* column of the plan */
    enum mr_unit unit;  /* of the values in memory; NONE = as written, unit not known yet */
    double least, most; /* what such a channel can show, in `unit`; infinite where that is not known yet */
    double *value;      /* wide: shape rows */
    size_t cell;        /* of its column */
    char mark;          /* decimal mark of its column */
    bool plain;         /* nothing but number, mark and range has to be looked at in most cells */
    bool dropped;       /* no unit */
};

struct mr_log {
    bool is_long;
    size_t n, cap;
    int64_t *t_ms;
    uint32_t *line;
    uint32_t *which; /* long: channel of each row */
    double *value;   /* long: shape rows */
    MR_VEC(struct mr_log_channel) channels;
};

struct mr_legend_line { /* a line above or below the table, its cells joined by tabs */
    const char *text;
    uint32_t line;
};

struct mr_spray_times { /* beside a spray row, until the dates are settled */
    int64_t date, start_date, start_clock, stop_date, stop_clock, duration_ms; /* -1 = not given, as the clocks */
};

struct mr_file_state {
    struct mr_arena *arena, *scratch;
    const struct mr_job *job;
    const struct mr_source *source;
    struct mr_diags *diags;
    struct mr_plan *plan; /* NULL for a file that is no table, or a copy */
    struct mr_timer timer;
    struct mr_file *file;
    uint32_t index;  /* of the file */
    uint64_t row_no; /* rows seen */
    MR_VEC(struct mr_fate_run) fates;
    uint64_t said[MR_ASIDE_COUNT]; /* diagnostics of each reason, the unshown too */
    uint64_t values_left_out;
    bool film_inferred; /* units of film readings were inferred, so they infer nothing else */
    bool body_seen;
    bool after_summary;                    /* the row before was one of statistics */
    const char *block_zone, *block_serial; /* of the block of rows in hand; "" */
    struct carried_cell *carried;          /* shape: columns; what stands above blank cells */
    struct mr_cell *carry_cells;
    struct mr_row carry_row;
    size_t carried_rows;
    uint64_t footer_row; /* row_no of the last blank row or footer line; a footer line may follow */
    size_t fullest;      /* most cells with content in a used row */
    struct mr_date_verdict verdict;
    size_t copy_of;     /* index, or MR_NONE */
    size_t serial_col;  /* of a log; MR_NONE */
    const char *serial; /* first serial in a column; "" */
    /* records */
    struct mr_log log;
    MR_VEC(struct mr_reading) readings;
    MR_VEC(struct mr_verification) verifications;
    MR_VEC(struct mr_spray) sprays;
    MR_VEC(struct mr_spray_times) spray_times;
    MR_VEC(struct mr_shift_item) shift_items;
    MR_VEC(struct mr_material) materials;
    MR_VEC(struct mr_zone_row) zones;
    struct mr_texts *texts;
    MR_VEC(struct mr_legend_line) legend; /* see unit_evidence.h */
};

/* How lines above a table and between its blocks call the zone of the steel. */
#define MR_ZONE_NAMES "zone|zone name|area name|location|bereich|zona"

/* How many diagnostics of one reason a file shows; the rest is counted. */
enum { MR_SAY_MOST = 5 };

/** mr_state_fate - count a row. */
void mr_state_fate(struct mr_file_state *work, int fate, const struct mr_row *row);

/** mr_state_relabel - all used rows get a fate (the whole file is set aside). */
void mr_state_relabel(struct mr_file_state *work, enum mr_aside why);

/** mr_state_split - used rows get fates of their own: fate[i] for the i-th used row, whose line is line[i]. */
void mr_state_split(struct mr_file_state *work, const int8_t *fate, const uint32_t *line, size_t n);

/** mr_rows_split - as mr_state_split for records of which several may stand in one row, in order of lines. */
void mr_rows_split(struct mr_file_state *work, const int8_t *fate, const uint32_t *line, size_t n);

/** mr_state_close - the public account. False where the identity does not hold. */
bool mr_state_close(struct mr_file_state *work) MR_MUST_USE;

/** mr_state_say - a diagnostic about a row, unless this file has had enough of the kind. */
void mr_state_say(struct mr_file_state *work, enum mr_aside why, const struct mr_row *row, uint32_t column,
                  const struct mr_cell *cell, const char *mend, const char *what);

/** mr_state_not_data - count rows that are no data rows (headers, blanks, broken, repeated headers, ragged); true
 * where done. */
bool mr_state_not_data(struct mr_file_state *work, const struct mr_row *row);

/** mr_legend_keep - remember a line that is no data row, for the units it may state. */
void mr_legend_keep(struct mr_file_state *work, const struct mr_row *row);

/** mr_state_summary - whether a row that cannot be data is a statistics or footer line: its first cell with content
 * says so. */
bool mr_state_summary(const struct mr_row *row);

/** mr_record_summary - the same for a row of a gauge or a hand-kept table, by any cell that names a place or a time.
 * The row must be as written: what merged cells fill in later would hide the word. */
bool mr_record_summary(const struct mr_file_state *work, const struct mr_row *row);

/** mr_state_last - whether this is the last row of a file that ends in mid-line. */
bool mr_state_last(const struct mr_file_state *work);

/** mr_state_bad_time - set a row aside whose time cannot be read. */
void mr_state_bad_time(struct mr_file_state *work, const struct mr_row *row, enum mr_time_read got);

/** mr_fill_down - the row with blanks of merged cells filled from above, valid until the next call. Only where
 * plan->carries. */
const struct mr_row *mr_fill_down(struct mr_file_state *work, const struct mr_row *row);

/** mr_fill_down_say - a note about the rows that were filled so. */
void mr_fill_down_say(struct mr_file_state *work);

/** mr_block_line - a line between the blocks of a file that gives the rows below it a date, a unit, a zone or a
 * serial.
 */
bool mr_block_line(struct mr_file_state *work, const struct mr_row *row);

/** mr_say_unread - columns of the kind's own matter that the plan does not read: warnings, a handful at most. */
void mr_say_unread(struct mr_file_state *work, const struct mr_column_shapes *survey);

/** mr_says_absolute - whether folded words speak of absolute pressure; mr_refuse_absolute - such a column's unit is
 * not taken. */
bool mr_says_absolute(const char *words);
void mr_refuse_absolute(struct mr_file_state *work);

/** mr_text_keep - an interned copy of a text in the arena. Files say the same few texts many times. */
const char *mr_text_keep(struct mr_file_state *work, const char *text, size_t n);

/** mr_physical_range - what a channel or film reading can show, canonical. */
void mr_physical_range(const struct mr_settings *settings, enum mr_meaning meaning, double *least, double *most);

/* The kinds. Each is a mr_row_fn over a struct mr_file_state. */
bool mr_row_log(void *work, const struct mr_row *row);
bool mr_row_record(void *work, const struct mr_row *row);
bool mr_row_unknown(void *work, const struct mr_row *row);

/** mr_log_begin - set up the channels of a log. */
void mr_log_begin(struct mr_file_state *work);

/** mr_resolve_dates - settle the dates of a file; its stamps become moments, or the whole file is set aside. */
void mr_resolve_dates(struct mr_file_state *work);

/** mr_infer_units - units that no file states, by the physical range or by the job's other files; else set aside. */
void mr_infer_units(struct mr_file_state *works, size_t n);

/** mr_find_overlap - rows that stand in an earlier file too; half lines of files that a longer copy completes. */
void mr_find_overlap(struct mr_file_state *works, size_t n);

/** mr_flag_implausible - stuck sensors, jumps, gaps, time going backwards: warnings. */
void mr_flag_implausible(struct mr_file_state *work);

/** mr_state_drop - rows of a log or records with fate != MR_FATE_USED leave; fate: shape rows. Fates are split too.
 */
void mr_log_drop(struct mr_file_state *work, const int8_t *fate);
void mr_readings_drop(struct mr_file_state *work, const int8_t *fate);

#endif
