/*
 * progress.h - one line on the terminal while a report is made: stage, files, rows, what is left.
 *
 * Only where standard error is a terminal, and only after the first second: a pipe or a log never sees it. A thread
 * of its own writes the line, so that it goes on while a library works.
 */
#ifndef MILRISE_CLI_PROGRESS_H
#define MILRISE_CLI_PROGRESS_H

#include "milrise/arena.h"

enum mr_step { MR_STEP_READ, MR_STEP_NORMALISE, MR_STEP_ALIGN, MR_STEP_ASSESS, MR_STEP_RENDER, MR_STEP_COUNT };

struct mr_progress;

/** mr_progress_begin - NULL where nothing is to be shown (quiet, no terminal, no thread); the other calls pass that
 * over. figures: the report has some. */
struct mr_progress *mr_progress_begin(struct mr_arena *arena, bool quiet, bool figures);

/** mr_progress_step - the next step begins; mr_progress_rows: of all files. */
void mr_progress_step(struct mr_progress *p, enum mr_step step);
void mr_progress_rows(struct mr_progress *p, uint64_t rows);

/** mr_progress_end - the line is wiped; to be called before anything else is printed. */
void mr_progress_end(struct mr_progress *p);

/** mr_progress_text - the line.
 *
 *  done, of   pieces of the step; of 0: not known
 *  spent_s    since the beginning; expected_s: of the whole, NaN where it cannot be told yet
 *  out        shape: n */
void mr_progress_text(enum mr_step step, bool figures, size_t done, size_t of, uint64_t rows, double spent_s,
                      double expected_s, char *out, size_t n);

/** mr_progress_expected - seconds of the whole from what is spent at a place in a step; NaN too early to tell. */
double mr_progress_expected(enum mr_step step, bool figures, size_t done, size_t of, double spent_s);

#endif
