/*
 * plan.h - how one file is to be read: its kind, what each column means, how its numbers and times are written. Made
 * once per file from header, shape, column maps and the job; then every row is decoded by it without further
 * questions.
 */
#ifndef MILRISE_NORMALISE_COLUMN_PLAN_H
#define MILRISE_NORMALISE_COLUMN_PLAN_H

#include "normalise/cell/number.h"
#include "normalise/column/column_map.h"
#include "normalise/column/column_shape.h"
#include "normalise/column/stated_unit.h"

struct mr_plan_column {
    struct mr_column as; /* what the outside sees */
    size_t cell;         /* index of its cell in a row */
    struct mr_number_style style;
    const char *words; /* header, folded */
    bool unit_stated;
    const char *unit_rival;     /* another unit than the heading's that the preamble states, as written; NULL */
    const char *unit_unknown;   /* a unit that is stated and none of this quantity, as written; NULL */
    struct mr_unit_scale scale; /* of the numbers as written */
    bool style_open;            /* no fraction seen yet: the first one settles the mark */
    bool generic;               /* known by a word such as "reading" that many kinds share */
    bool second_day;            /* it has a day of its own, beside the row's (row/second_times.h) */
    enum mr_meaning beaten;     /* what it would mean, had another column not a better heading for it; MR_M_IGNORE */
    int score;                  /* how well the heading fits its meaning */
    bool by_job;                /* the job file gives the meaning */
    bool mean;                  /* each value is a mean of several readings */
    bool asked;                 /* left out with a question: another column claims the same meaning */
    enum mr_meaning rival_of;   /* the meaning that it was left out of so; MR_M_IGNORE */
    const char *refused;        /* the word that keeps it from being a sensor; NULL */
    bool mixed_units;           /* the rows state different units for it: one without a unit has none */
    bool carried;               /* a blank cell means what stands above it, as merged cells are saved */
};

enum mr_time_form {
    MR_FORM_NONE,
    MR_FORM_DATETIME,   /* one cell */
    MR_FORM_DATE_CLOCK, /* two cells; or the clock in cells of its own for hour, minute and second */
    MR_FORM_PARTS,  /* year, month and day, or year and day of the year, in cells of their own; the clock likewise or
                       as  one cell */
    MR_FORM_SERIAL, /* a spreadsheet's day numbers */
    MR_FORM_DATE,
    MR_FORM_CLOCK, /* time of day; the date stands in the preamble, in the file's name or nowhere */
    MR_FORM_EPOCH,
    MR_FORM_ELAPSED, /* since a start that stands in the preamble or nowhere */
    MR_FORM_COUNT
};

enum mr_clock_style {
    MR_CLOCK_TEXT,     /* each cell says how it is written */
    MR_CLOCK_FIGURES,  /* HHMM as a number, leading zeros gone: 0, 59, 930 */
    MR_CLOCK_FRACTION, /* a share of the day */
    MR_CLOCK_DOTTED,   /* 09.05.10, which is a date elsewhere */
    MR_CLOCK_HOUR,     /* hours; minutes and seconds may have columns of their own */
};

/* Parts of a time that have a column each. */
enum mr_time_part {
    MR_PART_YEAR,
    MR_PART_MONTH,
    MR_PART_DAY,
    MR_PART_YEARDAY,
    MR_PART_MINUTE,
    MR_PART_SECOND,
    MR_PART_MILLI,
    MR_PART_HALF,
    MR_PART_COUNT
};

struct mr_plan {
    const struct mr_source *source;
    const struct mr_map *map; /* of the kind; NULL where unknown */
    enum mr_kind kind;
    const char *kind_why;
    const char *mend; /* lines for the job file that settle what is open; "" (question.h) */
    uint32_t asked;   /* a bit for each question behind them */
    bool kind_stated;
    size_t n; /* columns */
    struct mr_plan_column *col;
    size_t shift;
    size_t most_cells, least_cells; /* of a whole row */
    enum mr_time_form form;
    size_t date_col, clock_col;     /* MR_NONE; epoch, elapsed and day numbers stand in date_col */
    size_t part_col[MR_PART_COUNT]; /* MR_NONE */
    enum mr_clock_style clock_style;
    bool day_shares;     /* the day of the year has a fraction: the share of the day */
    bool compact_hours;  /* the date column is written YYYYMMDDHH */
    int64_t sample_ms;   /* the elapsed column counts samples of this interval; 0 */
    double first_sample; /* the number of the first one, which stands at the start */
    enum mr_unit elapsed_unit;
    bool zone_stated;        /* the header names a zone: "UTC", "GMT-05:00" */
    int32_t zone_min;        /* its offset */
    const char *zone_header; /* that header; "" */
    const char *zone_word;   /* letters in the header that may mean a zone and do not say which: "MST"; "" */
    bool second_days;        /* some column has a second day */
    bool rivals;             /* columns that claim one meaning were left out, with a question */
    bool names_open;         /* an unread column may hold the gauge, spot or area: values left out, with a question */
    bool carries;            /* some column is carried */
    const char *missing;     /* texts that mean "no value" by the job file, "" */
};

/** mr_plan_make - recognise a file. maps: words. Diagnostics: unknown kind, map names that do not exist. */
struct mr_plan *mr_plan_make(struct mr_arena *arena, const struct mr_job *job, const struct mr_maps *maps,
                             const struct mr_source *source, const struct mr_column_shapes *shapes,
                             struct mr_diags *diags);

/** mr_plan_column_of - index of the first column of a meaning, or MR_NONE. */
size_t mr_plan_column_of(const struct mr_plan *plan, enum mr_meaning meaning);

/** mr_preamble_value - value of the first preamble line whose folded name is one of the names (separated by '|');
 * NULL.
 */
const char *mr_preamble_value(struct mr_arena *arena, const struct mr_source *source, const char *names);

/** mr_name_among - whether folded words are one of the names (separated by '|'). */
bool mr_name_among(const char *words, const char *names);

/** mr_plan_times - which columns tell the time of a row, and how it is written in them. */
void mr_plan_times(struct mr_arena *arena, struct mr_plan *plan, const struct mr_column_shapes *shapes);

#endif
