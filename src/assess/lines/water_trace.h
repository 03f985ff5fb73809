/*
 * water_trace.h - whether the log of the lines could show a water test before a shift's first coat, and shows none.
 */
#ifndef MILRISE_ASSESS_LINES_WATER_TRACE_H
#define MILRISE_ASSESS_LINES_WATER_TRACE_H

#include "assess/finding/assessment.h"

/** mr_is_water_test - whether a folded item of the shift record is a test of the lines under pressure. */
bool mr_is_water_test(const char *folded);

/** mr_water_untraced - true where the line log ran before the shift's first coat, from a time at which the lines
 * stood relieved, and shows no pressure of a test; list gets the lines of that log. False where the spray log has a
 * row of the test, which is judged by itself, or where the log is too short to say. */
bool mr_water_untraced(struct mr_assess *a, size_t shift, mr_evidence_list *list);

#endif
