/*
 * sample.h - the head of a file as rows of kept cells, once for each delimiter that it might have.
 */
#ifndef MILRISE_READ_SAMPLE_H
#define MILRISE_READ_SAMPLE_H

#include "read/shape/cellkind.h"

#define MR_SAMPLE_ROWS                                                                                               \
    600 /* rows that are looked at: preambles of a few hundred lines still leave the table in sight */
#define MR_SAMPLE_MORE 20000 /* where they show no table */

struct mr_sample_row {
    uint32_t line, line_end;
    bool broken, blank;
    bool comment; /* begins with # */
    size_t n;
    const struct mr_cell *cell;
    const enum mr_cell_kind *kind;
};

struct mr_sample {
    char delimiter;
    size_t n;
    const struct mr_sample_row *row;
    size_t rest; /* rows of the file below the sample, about */
};

/** mr_sample_take - text: the decoded head, cut at a line end unless it is the whole file; most: rows. */
struct mr_sample mr_sample_take(struct mr_arena *arena, const char *text, size_t n, char delimiter, size_t most);

/** mr_sample_choose - index in mr_delimiters of the one that the rows speak for. taken: MR_DELIMITERS + 1 samples,
 * the last for one column. */
size_t mr_sample_choose(const struct mr_sample *taken);

/** mr_sample_is_divided - whether the delimiter divides at least half of the rows, comments apart. */
bool mr_sample_is_divided(const struct mr_sample *sample);

#define MR_DELIMITERS 4
extern const char mr_delimiters[MR_DELIMITERS + 1]; /* "," ";" TAB "|" and NUL for one column */

#endif
