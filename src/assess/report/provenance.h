/*
 * provenance.h - what provenance.c, file_accounts.c and clock_findings.c share.
 */
#ifndef MILRISE_ASSESS_REPORT_PROVENANCE_H
#define MILRISE_ASSESS_REPORT_PROVENANCE_H

#include "assess/finding/finding_text.h"

/** mr_assess_clocks - the table of clocks, and findings on clocks that look wrong. */
void mr_assess_clocks(struct mr_assess *a);

/** mr_assess_inputs - tables and findings on files and on rows set aside; findings from the diagnostics of the stages
 * before. */
void mr_assess_inputs(struct mr_assess *a);

/** mr_assess_sayings - the table of words that no rule judges, and a note on each file that has some. */
void mr_assess_sayings(struct mr_assess *a);

/** mr_clock_reading - what the instrument's clock showed, "2026-05-11 14:03:20"; " UTC" behind it where the file
 * says UTC. */
const char *mr_clock_reading(struct mr_assess *a, int64_t t_ms, enum mr_time_basis basis);

#endif
