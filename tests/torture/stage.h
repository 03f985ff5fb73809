/*
 * stage.h - the job that is tortured, before and after, and the judgement of what a run has left.
 */
#ifndef MILRISE_TESTS_TORTURE_STAGE_H
#define MILRISE_TESTS_TORTURE_STAGE_H

#include "trace.h"

/** stage_begin - milrise and a folder of this test's own. stage_end - remove it; prints the sums, returns 0 or 1. */
void stage_begin(const char *milrise, const char *base);
int stage_end(void);

/** stage_set - one published report, then a changed input; options of both runs. Exits where that does not work. */
void stage_set(const char *options);

/** stage_fresh - the work folder as it was set. stage_job, stage_err: paths. */
void stage_fresh(void);
const char *stage_job(void);
const char *stage_err(void);
const char *stage_milrise(void);
const char *stage_options(void);

/** stage_judge - what the run left; then a clean run. what names the fault. */
void stage_judge(const struct fault *fault, const struct traced *run);

double stage_seconds(void);

/** stage_spread - the i-th of total, from 1, in an order that covers the range evenly however early it ends. */
size_t stage_spread(size_t i, size_t total);

int stage_shell(const char *format, ...) __attribute__((format(printf, 1, 2)));
void stage_slurp(const char *path, char *out, size_t size);

#endif
