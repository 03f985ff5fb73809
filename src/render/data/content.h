/*
 * content.h - a fingerprint of what a report says, whatever its revision and date: two runs with the same one need no
 * second revision.
 */
#ifndef MILRISE_RENDER_DATA_CONTENT_H
#define MILRISE_RENDER_DATA_CONTENT_H

#include "milrise/assess.h"

/** mr_report_content - SHA-256 over the program's version, the choice of outputs, the fingerprints of all inputs and
 * of the job file, and the assessment as text. */
void mr_report_content(struct mr_arena *arena, const struct mr_assessment *assessment, const char *version,
                       bool charts, char out[65]);

#endif
