/*
 * plan.h - how one file is to be read: its kind, what each column means, how its numbers and times are written. Made once
 * per file from header, shape, column maps and the job; then every row is decoded by it without further questions.
 */
#ifndef MILRISE_NORMALISE_PLAN_H
#define MILRISE_NORMALISE_PLAN_H

#include "normalise/columnmap.h"
#include "normalise/number.h"
#include "normalise/survey.h"

struct mr_plan_column {
    struct mr_column as; /* what the outside sees */
    size_t cell;         /* index of its cell in a row */
    struct mr_number_style style;
    const char *words;   /* header, folded */
    bool unit_stated;
    bool style_open;     /* no fraction seen yet: the first one settles the mark */
    bool generic;        /* known by a word such as "reading" that many kinds share */
};

enum mr_time_form {
    MR_FORM_NONE,
    MR_FORM_DATETIME, /* one cell */
    MR_FORM_DATE_CLOCK, /* two cells */
    MR_FORM_DATE,
    MR_FORM_CLOCK,    /* time of day; the date stands in the preamble, in the file's name or nowhere */
    MR_FORM_EPOCH,
    MR_FORM_ELAPSED,  /* since a start that stands in the preamble or nowhere */
};

struct mr_plan {
    const struct mr_source *source;
    const struct mr_map *map; /* of the kind; NULL where unknown */
    enum mr_kind kind;
    const char *kind_why;
    const char *mend;         /* lines for the job file that settle what is open; "" */
    bool kind_stated;
    size_t n;                 /* columns */
    struct mr_plan_column *col;
    size_t shift;
    size_t most_cells, least_cells; /* of a whole row */
    enum mr_time_form form;
    size_t date_col, clock_col; /* MR_NONE; epoch and elapsed stand in date_col */
    enum mr_unit elapsed_unit;
    bool utc_words;           /* the header calls the time UTC */
    const char *missing;      /* texts that mean "no value" by the job file, "" */
};

/** mr_plan_make - recognise a file. maps: words. Diagnostics: unknown kind, map names that do not exist. */
struct mr_plan *mr_plan_make(struct mr_arena *arena, const struct mr_job *job, const struct mr_maps *maps,
                             const struct mr_source *source, const struct mr_survey *survey, struct mr_diags *diags);

/** mr_plan_column_of - index of the first column of a meaning, or MR_NONE. */
size_t mr_plan_column_of(const struct mr_plan *plan, enum mr_meaning meaning);

/** mr_preamble_value - value of the first preamble line whose folded name is one of the names (separated by '|'); NULL. */
const char *mr_preamble_value(struct mr_arena *arena, const struct mr_source *source, const char *names);

/* Meanings that carry a log's values. */
bool mr_is_channel(enum mr_meaning meaning);

#endif
