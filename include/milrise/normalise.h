/*
 * normalise.h - stage 2: text cells become typed records and series in canonical units (units.h).
 *
 * What kind of file, what each column means, which unit, which order of day and month: told by the job, by trade
 * words in the headers (column maps, templates/columns/) and by the data's own shape, always with the evidence.
 * Times are read but not yet placed: a wall-clock time stays `t_local_ms` with its basis; align turns it into UTC.
 * Every row of every file is used, or set aside under a named reason with its line: struct mr_account.
 */
#ifndef MILRISE_NORMALISE_H
#define MILRISE_NORMALISE_H

#include "milrise/packed.h"
#include "milrise/read.h"

/* id, word in job files and dumps, what a person calls it */
#define MR_KIND_LIST(X)                                                                                              \
    X(MR_KIND_UNKNOWN, "unknown", "not recognised")                                                                  \
    X(MR_KIND_THICKNESS, "thickness", "thickness readings")                                                          \
    X(MR_KIND_VERIFICATION, "verification", "gauge verifications")                                                   \
    X(MR_KIND_BASE_METAL, "base metal", "base metal readings")                                                       \
    X(MR_KIND_WET_FILM, "wet film", "wet-film readings")                                                             \
    X(MR_KIND_CLIMATE, "climate", "climate log")                                                                     \
    X(MR_KIND_TEMPERATURE, "temperature", "temperature log")                                                         \
    X(MR_KIND_PRESSURE, "pressure", "line pressure log")                                                             \
    X(MR_KIND_SPRAY_LOG, "spray log", "spray log")                                                                   \
    X(MR_KIND_SHIFT_RECORD, "shift record", "shift record")                                                          \
    X(MR_KIND_MATERIAL, "material", "material log")                                                                  \
    X(MR_KIND_ZONES, "zones", "zone register")                                                                       \
    X(MR_KIND_NOT_A_TABLE, "not a table", "not a table")

enum mr_kind {
#define MR_KIND_NAME(id, word, text) id,
    MR_KIND_LIST(MR_KIND_NAME)
#undef MR_KIND_NAME
        MR_KIND_COUNT
};
const char *mr_kind_word(enum mr_kind kind);
const char *mr_kind_text(enum mr_kind kind);

/* Why a row was set aside, or stays in doubt though it counts (objected, at-rest, implausible): id, stable word,
 * sentence. */
#define MR_ASIDE_LIST(X)                                                                                             \
    X(MR_ASIDE_BLANK, "blank", "blank line")                                                                         \
    X(MR_ASIDE_REPEATED_HEADER, "repeated-header", "a repeat of the header")                                         \
    X(MR_ASIDE_SUMMARY, "summary", "statistics or footer line, not a reading")                                       \
    X(MR_ASIDE_OTHER_TABLE, "other-table", "a row of another table in the same file")                                \
    X(MR_ASIDE_COPY, "copy", "the file is a copy of another")                                                        \
    X(MR_ASIDE_REPEATED, "repeated", "a repeat of a reading in an earlier row or file")                              \
    X(MR_ASIDE_RAGGED, "ragged", "more or fewer cells than the header")                                              \
    X(MR_ASIDE_QUOTE, "unclosed-quote", "a quote opens here and does not close")                                     \
    X(MR_ASIDE_LONG, "too-long", "the line is too long for a line of a table")                                       \
    X(MR_ASIDE_BYTES, "bad-bytes", "bytes that are not text in this encoding")                                       \
    X(MR_ASIDE_HALF_LINE, "half-line", "the file ends in mid-line")                                                  \
    X(MR_ASIDE_NO_TIME, "no-time", "no time where one is needed")                                                    \
    X(MR_ASIDE_BAD_TIME, "bad-time", "not a time")                                                                   \
    X(MR_ASIDE_DATE_ORDER, "date-order", "day and month cannot be told apart in this file")                          \
    X(MR_ASIDE_BAD_NUMBER, "bad-number", "not a number")                                                             \
    X(MR_ASIDE_NO_VALUE, "no-value", "no value (blank, OL, ---, Err or a stated sentinel)")                          \
    X(MR_ASIDE_BOUND, "bound", "only a bound, above or below the scale")                                             \
    X(MR_ASIDE_OUT_OF_RANGE, "out-of-range", "outside the plausible range")                                          \
    X(MR_ASIDE_DELETED, "deleted", "the gauge marks the reading as deleted")                                         \
    X(MR_ASIDE_NO_FILM, "no-film", "the row says that it is not a film reading")                                     \
    X(MR_ASIDE_UNKNOWN_TYPE, "unknown-type", "the row's type is not a known word")                                   \
    X(MR_ASIDE_MARKED, "marked", "the row says that it is not a measured value of the work")                         \
    X(MR_ASIDE_OBJECTED, "objected", "another cell of the row says that a limit was missed")                         \
    X(MR_ASIDE_AT_REST, "at-rest", "another cell of the row says that nothing was being sprayed")                    \
    X(MR_ASIDE_IMPLAUSIBLE, "implausible", "the sensor stands still, jumps away and back, or contradicts another")   \
    X(MR_ASIDE_CLOCK_ZONE, "clock-zone", "the file names a time zone other than the job's")                          \
    X(MR_ASIDE_CONTRADICTED, "contradicted", "two exports of one instrument give different values")                  \
    X(MR_ASIDE_RIVALS, "rival-columns", "several columns claim one meaning")                                         \
    X(MR_ASIDE_DOUBTFUL, "doubtful-column", "the column may hold something else")                                    \
    X(MR_ASIDE_CLOCK_RESET, "clock-reset", "the clock was reset: the time is the instrument's first day")            \
    X(MR_ASIDE_NO_UNIT, "no-unit", "no unit is stated, and none can be inferred")                                    \
    X(MR_ASIDE_NO_ZONE, "no-zone", "no zone name where one is needed")                                               \
    X(MR_ASIDE_INCOMPLETE, "incomplete", "a cell that this kind of row needs is blank")                              \
    X(MR_ASIDE_UNKNOWN_KIND, "unknown-kind", "the file was not recognised")                                          \
    X(MR_ASIDE_NOT_A_TABLE, "not-a-table", "the file is not a text table")                                           \
    X(MR_ASIDE_TOO_MANY, "too-many", "the file has more rows than a file of its kind may have")                      \
    X(MR_ASIDE_TOO_WIDE, "too-wide", "the file has more columns than a table may have")                              \
    X(MR_ASIDE_CLOCK_GAP, "clock-gap", "the time does not exist: clocks went forward")                               \
    X(MR_ASIDE_CLOCK_FOLD, "clock-fold", "the time exists twice: clocks went back")

enum mr_aside {
#define MR_ASIDE_NAME(id, word, text) id,
    MR_ASIDE_LIST(MR_ASIDE_NAME)
#undef MR_ASIDE_NAME
        MR_ASIDE_COUNT
};
const char *mr_aside_word(enum mr_aside aside);
const char *mr_aside_text(enum mr_aside aside);

struct mr_aside_run { /* consecutive rows set aside for one reason */
    enum mr_aside why;
    uint32_t line, line_end;
    uint64_t rows;
};

/* rows_read = rows_header + rows_used + rows_set_aside, always. */
struct mr_account {
    uint64_t rows_read;
    uint64_t rows_header; /* preamble included */
    uint64_t rows_used;
    uint64_t rows_set_aside;
    uint64_t by_reason[MR_ASIDE_COUNT]; /* sums to rows_set_aside */
    MR_VEC(struct mr_aside_run) runs;   /* in order of lines; their rows sum to rows_set_aside */
};

/* How a file's times stand: wall clock of the instrument, or UTC already (ISO with offset or Z, epoch). */
enum mr_time_basis { MR_TIME_NONE, MR_TIME_LOCAL, MR_TIME_UTC };

/* What a column means: id, word in column maps and job files, dimension */
#define MR_MEANING_LIST(X)                                                                                           \
    X(MR_M_IGNORE, "ignore", NONE)                                                                                   \
    X(MR_M_DATETIME, "datetime", NONE)                                                                               \
    X(MR_M_DATE, "date", NONE)                                                                                       \
    X(MR_M_CLOCK, "time", NONE)                                                                                      \
    X(MR_M_ELAPSED, "elapsed", DURATION)                                                                             \
    X(MR_M_YEAR, "year", NONE)                                                                                       \
    X(MR_M_MONTH, "month", NONE)                                                                                     \
    X(MR_M_DAY, "day of month", NONE)                                                                                \
    X(MR_M_YEARDAY, "day of year", NONE)                                                                             \
    X(MR_M_HOUR, "hour", NONE)                                                                                       \
    X(MR_M_MINUTE, "minute", NONE)                                                                                   \
    X(MR_M_SECOND, "second", NONE)                                                                                   \
    X(MR_M_MILLI, "millisecond", NONE)                                                                               \
    X(MR_M_HALF, "am or pm", NONE)                                                                                   \
    X(MR_M_STATE, "status", NONE)                                                                                    \
    X(MR_M_ZONE, "zone", NONE)                                                                                       \
    X(MR_M_COAT, "coat", NONE)                                                                                       \
    X(MR_M_AREA_ID, "area id", NONE)                                                                                 \
    X(MR_M_SPOT, "spot", NONE)                                                                                       \
    X(MR_M_READING_NO, "reading number", NONE)                                                                       \
    X(MR_M_FILM, "thickness", FILM)                                                                                  \
    X(MR_M_UNIT, "unit", NONE)                                                                                       \
    X(MR_M_SERIAL, "serial", NONE)                                                                                   \
    X(MR_M_PROBE, "probe", NONE)                                                                                     \
    X(MR_M_NOTE, "note", NONE)                                                                                       \
    X(MR_M_CERTIFIED, "certified", FILM)                                                                             \
    X(MR_M_WHEN, "before or after", NONE)                                                                            \
    X(MR_M_AIR, "air", TEMP)                                                                                         \
    X(MR_M_RH, "humidity", SHARE)                                                                                    \
    X(MR_M_STEEL, "steel", TEMP)                                                                                     \
    X(MR_M_DEW, "dew point", TEMP)                                                                                   \
    X(MR_M_CHANNEL, "channel", NONE)                                                                                 \
    X(MR_M_PROBE_TEMP, "temperature", TEMP)                                                                          \
    X(MR_M_VALUE, "value", NONE)                                                                                     \
    X(MR_M_LINE_A, "line A", PRESSURE)                                                                               \
    X(MR_M_LINE_B, "line B", PRESSURE)                                                                               \
    X(MR_M_MAIN, "main", PRESSURE)                                                                                   \
    X(MR_M_START, "start", NONE)                                                                                     \
    X(MR_M_STOP, "stop", NONE)                                                                                       \
    X(MR_M_ACTION, "action", NONE)                                                                                   \
    X(MR_M_DIRECTION, "direction", NONE)                                                                             \
    X(MR_M_LOT_A, "lot A", NONE)                                                                                     \
    X(MR_M_LOT_B, "lot B", NONE)                                                                                     \
    X(MR_M_SHELF, "shelf date", NONE)                                                                                \
    X(MR_M_DISTANCE, "gun distance", LENGTH)                                                                         \
    X(MR_M_ROLE, "role", NONE)                                                                                       \
    X(MR_M_ITEM, "item", NONE)                                                                                       \
    X(MR_M_DONE, "done", NONE)                                                                                       \
    X(MR_M_PART, "part", NONE)                                                                                       \
    X(MR_M_DRUM, "drum", NONE)                                                                                       \
    X(MR_M_LOT, "lot", NONE)                                                                                         \
    X(MR_M_BEFORE, "level before", VOLUME)                                                                           \
    X(MR_M_AFTER, "level after", VOLUME)                                                                             \
    X(MR_M_ALIASES, "aliases", NONE)                                                                                 \
    X(MR_M_AREA, "area", AREA)                                                                                       \
    X(MR_M_SUBSTRATE, "substrate", NONE)                                                                             \
    X(MR_M_STEEL_MM, "steel thickness", LENGTH)                                                                      \
    X(MR_M_GRADE, "surface grade", NONE)                                                                             \
    X(MR_M_PROFILE, "profile", FILM)                                                                                 \
    X(MR_M_SPEC, "specification", NONE)                                                                              \
    X(MR_M_COATS, "coats", NONE)                                                                                     \
    X(MR_M_MEMBER, "member size", LENGTH)                                                                            \
    X(MR_M_DURATION, "duration", DURATION)                                                                           \
    X(MR_M_COUNT_OF, "readings in mean", NONE)                                                                       \
    X(MR_M_SPREAD, "standard deviation", FILM)                                                                       \
    X(MR_M_LEAST_FILM, "least film", FILM)                                                                           \
    X(MR_M_MOST_FILM, "most film", FILM)

enum mr_meaning {
#define MR_MEANING_NAME(id, word, dim) id,
    MR_MEANING_LIST(MR_MEANING_NAME)
#undef MR_MEANING_NAME
        MR_MEANING_COUNT
};
const char *mr_meaning_word(enum mr_meaning meaning);

/* Where the unit of a column comes from. */
enum mr_unit_origin {
    MR_ORIGIN_UNKNOWN,     /* no unit, or none yet */
    MR_ORIGIN_HEADING,     /* stated in the column's heading, or by its name: "tmpf" */
    MR_ORIGIN_CELLS,       /* stated behind the numbers */
    MR_ORIGIN_UNIT_COLUMN, /* stated in a column of its own */
    MR_ORIGIN_PREAMBLE,    /* stated above the table */
    MR_ORIGIN_BLOCK,       /* stated between the blocks of the file */
    MR_ORIGIN_JOB,         /* stated in the job file */
    MR_ORIGIN_LEGEND,      /* inferred from the file's legend */
    MR_ORIGIN_LAW,         /* inferred by a law between columns */
    MR_ORIGIN_RANGE,       /* inferred from what can occur on a site */
    MR_ORIGIN_NEIGHBOURS   /* inferred from columns of the file, or files of the job, whose unit is stated */
};

struct mr_column {    /* how one column was understood */
    const char *name; /* header, or "column 3" */
    enum mr_meaning meaning;
    enum mr_unit unit;
    enum mr_unit_origin unit_origin;
    const char *unit_why; /* the same for people: "stated in the header", "inferred: ...", "job file line 12", "" */
    char decimal;         /* '.', ',' or 0 where no fraction was seen */
};

/* Words of a file that no rule judges, for a person to read: a line beside the table, or the cells of a column that
 * hold one text. */
struct mr_saying {
    uint32_t line;    /* of the first; 0 where text is NULL */
    const char *name; /* heading of the column; "" of a line */
    const char *text; /* as written, cut at 200 bytes; NULL: further texts of the column, or further lines */
    uint64_t cells;   /* that say it */
};

/* One input file, as understood. */
struct mr_file {
    const struct mr_source *source;
    enum mr_kind kind;
    const char *kind_why; /* evidence, or between what it is unsure and what to write into the job file */
    size_t n_columns;
    const struct mr_column *columns;
    enum mr_time_basis basis;
    const char *date_order; /* "year-first", "month-first", "day-first", "" where no date is written */
    const char *date_why;   /* evidence */
    const struct mr_instrument *instrument; /* from the job, or NULL */
    const char *instrument_name;            /* job name, else serial or logger id in the file, else "" */
    int64_t certified_until_local_ms; /* last day of its instrument's calibration, as the file states it; MR_T_NONE */
    int64_t first_ms, last_ms;        /* span as read, before any clock correction; MR_T_NONE */
    const char *mend;    /* lines for the job file that settle what is open, separated by '\n'; "" where nothing is */
    uint32_t asked;      /* the questions behind those lines, a bit each; 0 where nothing is open */
    const char *copy_of; /* path of the file that this one repeats as a whole, or NULL */
    const char *disagrees;            /* what the file says of its own rows and they do not; NULL */
    const char *refused;              /* the bound that the file as a whole is beyond, with its number; NULL */
    const char *refused_mend;         /* what to do about that; NULL */
    MR_VEC(struct mr_saying) sayings; /* columns of figures, lines, then column by column */
    struct mr_account account;
    struct mr_arena *series; /* holds the columns of the file's channels; NULL: the job's own arena does */
};

/* One value shown by a thickness gauge, on film, wet film or base metal. */
struct mr_reading {
    uint32_t file; /* index into mr_data.files */
    uint32_t line;
    int64_t t_ms;                          /* in the file's basis; MR_T_NONE */
    const char *zone, *coat, *area, *spot; /* as written; "" where absent */
    const char *serial, *probe, *note;
    double film_um;
    double written; /* as shown by the gauge */
    enum mr_unit unit;
    uint32_t n_readings; /* 1: a single reading; more: the row gives their mean; 0: a mean of a number not given */
    double sd_um;        /* standard deviation of those readings where the row gives it; NaN */
    bool contradicted;   /* elsewhere the gauge has another value or place for this moment */
};

struct mr_taken_back { /* readings of one place, row after row, that count for nothing; what they showed is kept */
    uint32_t file, line, line_end, n;
    const char *zone, *area, *spot; /* as written; "" where absent */
    double sum_um;
};

/* Where the readings of a row were taken, as the export gives it: on axes of its own, for maps of the film. */
struct mr_position {
    uint32_t file, line;
    double x_mm, y_mm;
};

struct mr_verification {
    uint32_t file, line;
    int64_t t_ms;
    const char *serial, *probe;
    double certified_um, reading_um;
    double certified_written, reading_written;
    enum mr_unit certified_unit, unit; /* unit: of the reading */
    const char *when;                  /* "before", "after" or "" */
    const char *note;
};

enum mr_action {
    MR_ACTION_SPRAY,
    MR_ACTION_RELIEVE,
    MR_ACTION_CLEAN_OUT,
    MR_ACTION_WATER_TEST,
    MR_ACTION_MIX_CHECK,
    MR_ACTION_REPAIR,
    MR_ACTION_OTHER,
    MR_ACTION_UNCLEAR /* a word of spraying beside one that may make it something else: "primer applied", "spray?" */
};

struct mr_spray { /* a row of the spray log */
    uint32_t file, line;
    enum mr_action action; /* a row without an action column sprays */
    const char *action_text;
    int64_t start_ms, stop_ms; /* file basis; stop after midnight already carried into the next day; MR_T_NONE */
    bool date_inferred;        /* the row had times but no date */
    const char *zone, *coat, *direction, *lot_a, *lot_b, *role, *note;
    const char *areas; /* of the zone, as written: "A2, A3"; "" or NULL: the whole zone, or as the text says */
    int64_t shelf_a_ms, shelf_b_ms; /* shelf dates where given; MR_T_NONE */
    bool shelf_unread;              /* one is given and is no date */
    int64_t from_a_ms, from_b_ms;   /* the day on which the lot was made or arrived, where given; MR_T_NONE */
    bool removes, note_removes, failed, unknown; /* film taken off, so the note; a failed test; no known action */
    double distance_mm;                          /* gun distance; NaN */
};

struct mr_shift_item {
    uint32_t file, line;
    int64_t day_ms; /* local midnight of the date; time of day added where given */
    const char *item, *role, *note;
    int done;                              /* 1 yes, 0 no, -1 blank */
    bool removes;                          /* it says that film was taken off */
    const char *objection, *objection_key; /* a cell by which it is in doubt, the line that settles it; NULL */
};

struct mr_material {
    uint32_t file, line;
    int64_t t_ms;
    bool day_only; /* the row gives a date and no time of day: t_ms is its midnight */
    char part;     /* 'A' or 'B' */
    const char *drum, *lot, *note;
    double before, after; /* L or kg */
    enum mr_unit unit;    /* canonical: MR_UNIT_L or MR_UNIT_KG */
    int64_t shelf_ms;
    bool shelf_unread;
    int64_t from_ms; /* the day on which the lot was made or arrived, where given; MR_T_NONE */
    bool removes;    /* its note says that film was taken off */
};

struct mr_zone_row {
    uint32_t file, line, column; /* column: of the name */
    const char *name, *aliases;  /* aliases separated by ';' '|' or '/' */
    double area_m2, steel_mm, profile_um,
        member_mm;                      /* NaN where absent; member_mm: largest dimension of repeating units */
    double least_film_um, most_film_um; /* limits that the register states for the film; NaN */
    bool film_unread;                   /* one is given that cannot be read, or has no unit */
    const char *asks;     /* what a column or a note that nobody reads asks of the zone, "Max RH: 50"; NULL */
    const char *asks_key; /* of that column in a [file] section */
    const char *substrate, *grade, *spec;
    int coats; /* 0 where absent */
};

/* Rows of one zone in one file that say something which could not be read: any of them may be the one that fails. */
struct mr_unread_rows {
    uint32_t file, line, line_end; /* line 0 where the file broke off */
    enum mr_aside why;
    uint64_t rows;
    const char *zone, *serial; /* as written; "" where absent or not legible */
};

/* One column of a log, in the file's order. Wide files share t_ms and line between their channels. */
struct mr_channel {
    uint32_t file;
    const char *name;        /* header or channel cell */
    enum mr_meaning meaning; /* of a log's values: MR_M_AIR to MR_M_MAIN */
    enum mr_unit unit;       /* in which the file gives the values */
    const char *zone;        /* the whole file's or channel's own zone, as written; "" */
    size_t n;
    struct mr_wholes t_ms; /* shape: n, file basis, file order */
    struct mr_wholes line; /* shape: n */
    struct mr_reals value; /* shape: n, canonical unit, NaN where missing */
};

struct mr_data {
    const struct mr_sources *sources;
    const struct mr_job *job;
    MR_VEC(struct mr_file) files;            /* same order as sources->list */
    MR_VEC(struct mr_reading) readings;      /* file order, then line order; likewise below */
    MR_VEC(struct mr_taken_back) taken_back; /* of film */
    MR_VEC(struct mr_position) positions;    /* of those of them that have one */
    MR_VEC(struct mr_reading) base_metal;
    MR_VEC(struct mr_reading) wet_film; /* of a notched gauge; never judged as dry film */
    MR_VEC(struct mr_verification) verifications;
    MR_VEC(struct mr_spray) sprays;
    MR_VEC(struct mr_shift_item) shift_items;
    MR_VEC(struct mr_material) materials;
    MR_VEC(struct mr_zone_row) zones;
    MR_VEC(struct mr_unread_rows) unread; /* of gauges and of hand-kept tables */
    MR_VEC(struct mr_channel) channels;
    const struct mr_diags *diags; /* reading and normalising; plausibility flags are warnings in here */
    struct mr_data *own;          /* this, for who gives parts of it back (align.h); NULL where nobody may */
};

/** mr_normalise - all sources. Copies and overlaps are found over the whole job, each reading counts once.
 *  Returns: MR_OK, always with the identity of every account; MR_E_BUG where it does not hold. */
enum mr_status mr_normalise(struct mr_arena *arena, const struct mr_sources *sources, struct mr_diags *diags,
                            const struct mr_data **out) MR_MUST_USE;

/** mr_normalise_dump - the stage as stable text: files, accounts, first and last records. */
char *mr_normalise_dump(struct mr_arena *arena, const struct mr_data *data);

/** mr_explain_text, mr_explain_json - how each file was understood, for a clerk and for machines. */
char *mr_explain_text(struct mr_arena *arena, const struct mr_data *data);
char *mr_explain_json(struct mr_arena *arena, const struct mr_data *data);

#endif
