/*
 * file_state.h - one file on its way through the stage: plan, times, rows counted, records kept until the whole job
 * is known.
 */
#ifndef MILRISE_NORMALISE_ROW_FILE_STATE_H
#define MILRISE_NORMALISE_ROW_FILE_STATE_H

#include "normalise/clock/timer.h"
#include "normalise/column/companion_words.h"
#include "normalise/phrase/objecting_words.h"

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
    size_t col;           /* column of the plan */
    enum mr_unit unit;    /* of the values in memory; NONE = as written, unit not known yet */
    enum mr_unit written; /* unit of the rows in hand, where a unit column or a block rules them; NONE = as `unit` */
    struct mr_unit_scale scale; /* of the numbers as written */
    double least, most;         /* what such a channel can show, in `unit`; infinite where that is not known yet */
    double *value;              /* wide: shape rows; NULL while the log is closed */
    struct mr_reals values;     /* the same, packed; no column where it was not, or the rows changed */
    size_t cell;                /* of its column */
    char mark;                  /* decimal mark of its column */
    bool plain;                 /* nothing but number, mark and range has to be looked at in most cells */
    bool dropped;               /* no unit */
    size_t out_of_range;        /* values that no such channel shows, left out */
    const char *zone;           /* that its heading names; NULL */
};

struct mr_log {
    struct mr_arena *arena; /* of the rows, until they are published */
    bool is_long;
    size_t n, cap;
    int64_t *t_ms;                 /* NULL while the log is closed, see log_columns.h */
    uint32_t *line;                /* likewise */
    struct mr_wholes times, lines; /* the same, packed; no column where they were not, or the rows changed */
    struct mr_arena *packed;       /* where what is packed lies; NULL */
    uint32_t *which;               /* long: channel of each row */
    double *value;                 /* long: shape rows */
    MR_VEC(struct mr_log_channel) channels;
    size_t place_col;           /* that names the zone of each row; MR_NONE */
    MR_VEC(const char *) place; /* shape rows where there is such a column, else empty; texts kept once */
};

struct mr_legend_line { /* a line above or below the table, its cells joined by tabs */
    const char *text;
    uint32_t line;
};

struct mr_spray_times { /* beside a spray row, until the dates are settled */
    int64_t date, start_date, start_clock, stop_date, stop_clock, duration_ms; /* -1 = not given, as the clocks */
    bool doubted; /* the row says that it may not have been sprayed, so its times were left out */
};

struct mr_odd_type { /* a type of reading that is no word that is known */
    const char *text;
    size_t col;
    uint32_t line;
    size_t rows;
};

struct mr_companion_column { /* that speaks of the values in its row; see companions.h */
    size_t col;
    enum mr_companion companion;
    char *last; /* the text of the cell before, and what came of it */
    uint32_t last_n, room;
    int last_fate;
    size_t looked;
};

struct mr_objecting_column { /* of a log, whose cells may object to the values beside them; see objections.h */
    size_t col;
    enum mr_objecting how;
    enum mr_unit unit; /* of its figures; MR_UNIT_NONE */
    double limit;      /* canonical; NaN of words */
    char last[40];     /* the text of the cell before, and what came of it */
    size_t last_n;
    bool objects;
    size_t rows; /* that object */
    uint32_t first;
    const char *text; /* of the first */
};

enum { MR_FREE_TEXTS = 8 }; /* a log may have a million: the first few of a column are kept, the others counted */

struct mr_free_column { /* whose words no rule judges; see free_cells.h */
    size_t col;
    struct mr_saying *text; /* the first few that differ, and which of them say nothing of the work */
    bool neutral[MR_FREE_TEXTS];
    size_t n, last;   /* last: that of the cell before */
    uint64_t further; /* cells of other texts */
};

struct mr_own_limits { /* readings that count and that the gauge marks as out of its own limits */
    size_t rows, col;
    uint32_t first, last; /* lines */
    const char *text;     /* of the first */
};

struct mr_row_count {
    uint64_t seen; /* rows so far */
    MR_VEC(struct mr_fate_run) fates;
    uint64_t said[MR_ASIDE_COUNT]; /* diagnostics of each reason, the unshown too */
    uint64_t values_left_out;
    uint64_t footer_row; /* `seen` at the last blank row or footer line; a footer line may follow */
    size_t fullest;      /* most cells with content in a used row */
    size_t widest;       /* most cells of a row, where rows are only counted */
    bool body_seen;
    bool after_summary; /* the row before was one of statistics */
};

struct mr_row_place { /* of a row of a gauge or of a hand-kept table, used or not; see unread_rows.h */
    uint32_t line;
    const char *zone, *serial; /* zone NULL: of a spray log, and about no coat */
};

struct mr_lost_cell { /* of a row that may be used for its other cells; of a log: of consecutive rows */
    uint32_t line, line_end;
    enum mr_aside why;
};

/* What rows of gauges and of hand-kept tables have become. */
struct mr_records {
    MR_VEC(struct mr_reading) readings;
    MR_VEC(struct mr_taken_back) taken_back;
    MR_VEC(struct mr_position) positions;
    MR_VEC(struct mr_verification) verifications;
    MR_VEC(struct mr_spray) sprays;
    MR_VEC(struct mr_spray_times) spray_times; /* shape: sprays, until the dates are settled */
    MR_VEC(struct mr_shift_item) shift_items;
    MR_VEC(struct mr_material) materials;
    MR_VEC(struct mr_zone_row) zones;
    MR_VEC(struct mr_row_place) places; /* in order of lines */
    MR_VEC(struct mr_lost_cell) lost_cells;
};

/* What a row takes from above it: merged cells, and lines between the blocks of an export. */
struct mr_above {
    struct mr_kept_cell *kept; /* shape: columns; what stands above blank cells */
    struct mr_cell *cells;     /* of `row` */
    struct mr_row row;
    size_t rows;                                                      /* that were filled */
    const char *block_zone, *block_area, *block_serial, *block_probe; /* of the block of rows in hand; "" */
};

struct mr_file_state {
    struct mr_arena *arena, *scratch;
    const struct mr_job *job;
    const struct mr_source *source;
    struct mr_diags *diags;
    struct mr_file *file;
    uint32_t index;       /* of the file */
    size_t copy_of;       /* index, or MR_NONE */
    struct mr_plan *plan; /* NULL for a file that is no table, or a copy */
    struct mr_row_count count;
    enum mr_aside refused_as; /* where mr_file_refuse refused it */
    struct mr_timer timer;
    struct mr_date_verdict verdict;
    struct mr_above above;
    struct mr_log log;
    struct mr_records records;
    struct mr_text_set *texts;
    MR_VEC(struct mr_odd_type) odd_types;
    MR_VEC(struct mr_companion_column) companions;
    struct mr_own_limits own_limits;
    MR_VEC(uint32_t) checked; /* lines above the table that were held against the rows (stated_facts.h) */
    MR_VEC(struct mr_free_column) free_columns;
    MR_VEC(struct mr_objecting_column) objecting;
    bool unit_columns;                    /* of a log: some column names the unit of each row */
    size_t serial_col;                    /* of a log; MR_NONE */
    const char *serial;                   /* first serial in a column; "" */
    bool film_inferred;                   /* units of film readings were inferred, so they infer nothing else */
    uint32_t back_line;                   /* of a log: where the time goes back over rows that stand; 0 */
    bool start_asked, decimal_asked;      /* lines of file->mend that stand there once */
    MR_VEC(struct mr_legend_line) legend; /* see unit_evidence.h */
};

/** mr_state_span - the first and last moment of the file's rows, as they stand so far. Returns: false where none has
 * one; both are then MR_T_NONE. */
bool mr_state_span(const struct mr_file_state *state, int64_t *first_ms, int64_t *last_ms);

/** mr_text_keep - an interned copy of a text in the arena, cut at a NUL. Files say the same few texts many times. */
const char *mr_text_keep(struct mr_file_state *file, const char *text, size_t n);

#endif
