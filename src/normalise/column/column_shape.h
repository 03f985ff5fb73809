/*
 * column_shape.h - the shape of a file's columns, from its first rows: what the cells are, whatever the header says.
 */
#ifndef MILRISE_NORMALISE_COLUMN_COLUMN_SHAPE_H
#define MILRISE_NORMALISE_COLUMN_COLUMN_SHAPE_H

#include "milrise/normalise.h"

enum { MR_SURVEY_TEXTS = 16, MR_COLUMNS_MOST = 1024 }; /* a file of more is set aside as a whole */

struct mr_shape {
    uint32_t cells, missing;           /* with and without content */
    uint32_t numbers, with_unit;       /* numbers; those of them that carry a unit */
    uint32_t integers, rising;         /* whole numbers; numbers greater than the one before */
    uint32_t datetimes, dates, clocks; /* each cell counts once */
    uint32_t midnights, null_dates;    /* of the datetimes: at 00:00:00; on the day that a spreadsheet counts from */
    uint32_t zoned;                    /* of the datetimes and clocks, those with a zone */
    uint32_t epochs, durations, plain_clocks, figure_clocks, compact_hours; /* may count beside numbers and clocks */
    uint32_t dotted;                     /* two digits and a point, thrice, that may be a clock: 09.05.10 */
    uint32_t counting;                   /* whole numbers one greater than the number before, or 0 or 1 */
    uint32_t blanks;                     /* of the missing: cells without any content */
    uint32_t marked, fractions;          /* of the cells that are no numbers: "<50", "(216)"; "3/8" */
    bool filled_first;                   /* the first row has content */
    uint32_t points, commas;             /* decimal marks beyond doubt */
    uint32_t doubt_points, doubt_commas; /* "1.234", "1,234" */
    uint32_t grouped;                    /* thousands marks beyond doubt */
    double least, most, last;            /* of the numbers; NaN before the first */
    char unit[24];                       /* first unit seen in a cell */
    size_t n_texts;                      /* distinct texts, the first few */
    char texts[MR_SURVEY_TEXTS][40];
};

struct mr_column_shapes {
    size_t rows;          /* looked at */
    size_t columns;       /* that have a header */
    size_t shift;         /* 1 where the header has no name for the row numbers in front */
    struct mr_shape *col; /* shape: columns, by header */
    char decimal;         /* '.' or ',' where the columns agree or the source says so, else 0 */
};

/** mr_column_shapes_take - look at the first rows. MR_E_IO as mr_read_rows. */
enum mr_status mr_column_shapes_take(struct mr_arena *arena, const struct mr_source *source, const char *missing,
                                     struct mr_column_shapes *out) MR_MUST_USE;

/** mr_shape_counts - whether the column numbers its rows: 1, 2, 3 ... without a gap. */
bool mr_shape_counts(const struct mr_shape *shape);

#endif
