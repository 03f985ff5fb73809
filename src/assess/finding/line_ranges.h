/*
 * line_ranges.h - rows of files as ranges of lines, so that a finding names "lines 118-132", not fifteen places.
 */
#ifndef MILRISE_ASSESS_FINDING_LINE_RANGES_H
#define MILRISE_ASSESS_FINDING_LINE_RANGES_H

#include "assess/finding/assessment.h"

struct mr_line {
    uint32_t file, line; /* file: index into data->files */
};

/** mr_add_lines - rows in any order, sorted in place; consecutive lines become one range. At most `most` ranges (0 =
 * 40) are named, the last one then says how many follow. */
void mr_add_lines(struct mr_assess *a, mr_evidence_list *list, struct mr_line *lines, size_t n, size_t most,
                  const char *note);

/** mr_line_place - one row as a place. */
struct mr_place mr_line_place(const struct mr_assess *a, uint32_t file, uint32_t line);

/** mr_lines_text - "dft.csv:12-14, 20" for tables, at most `most` ranges. lines: sorted in place. */
const char *mr_lines_text(struct mr_assess *a, struct mr_line *lines, size_t n, size_t most);

#endif
