/*
 * broken_note.h - what stands in a job's folder after a run that ended before it could say why, so that nobody takes
 * an older answer for today's.
 */
#ifndef MILRISE_CLI_BROKEN_NOTE_H
#define MILRISE_CLI_BROKEN_NOTE_H

#include "cli/console.h"

/** mr_broken_note - the note beside the reports, and the answer. out: where reports go, NULL = JOB/reports; then only
 * is the answer the folder's. why: a clause, mend: what to do. A folder without a job file gets neither. */
void mr_broken_note(struct mr_arena *arena, const char *dir, const char *out, const char *now, const char *why,
                    const char *mend);

#endif
