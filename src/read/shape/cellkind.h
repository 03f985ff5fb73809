/*
 * cellkind.h - what a cell looks like, for telling headers from rows. Not what it means: that is normalise's
 * business.
 */
#ifndef MILRISE_READ_CELLKIND_H
#define MILRISE_READ_CELLKIND_H

#include "milrise/read.h"

enum mr_cell_kind {
    MR_CELL_MISSING, /* empty, dashes, OL, n/a, Err ... */
    MR_CELL_NUMBER,  /* 5.2 | 5,2 | 1 234.5 | 5.2 mil | -1e3 | several of them, parted by blanks */
    MR_CELL_TIME,    /* a date, a time of day or both, in any order of parts */
    MR_CELL_WORD,
};

/** mr_cell_kind - whole_line: the cell is a line of a file without delimiter. */
enum mr_cell_kind mr_cell_kind(const struct mr_cell *cell, bool whole_line);

/** mr_cell_is_rule - a line of dashes, equals signs or the like, three or more. */
bool mr_cell_is_rule(const struct mr_cell *cell);

/** mr_cell_is - equal to word but for ASCII case. */
bool mr_cell_is(const struct mr_cell *cell, const char *word);

/** mr_number_marks - a plain number's decimal mark. Sets *out_mark to '.' or ',' where it is certain which one is
 * meant, else 0, and *out_decimals to the digits behind the last mark (0 where it has none). Returns: whether it is
 * such a number. */
bool mr_number_marks(const struct mr_cell *cell, char *out_mark, int *out_decimals);

#endif
