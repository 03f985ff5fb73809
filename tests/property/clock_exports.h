/*
 * clock_exports.h - the files of a job of clock_job.h, as texts.
 */
#ifndef MILRISE_TESTS_PROPERTY_CLOCK_EXPORTS_H
#define MILRISE_TESTS_PROPERTY_CLOCK_EXPORTS_H

#include "clock_job.h"

struct clock_text { /* v: to be freed */
    char *v;
    size_t n, cap;
};

struct clock_export {
    char path[48];
    struct clock_text text;
};

/** clock_exports - fills file (shape: CLOCK_FILES, all zero) in the order of paths; how many. */
int clock_exports(const struct clock_job *j, struct clock_export *file);

/** clock_job_text - the job file, with further lines; channels that those place are left out of its own. */
void clock_job_text(const struct clock_job *j, struct clock_text *t, const char *extra);

/** clock_uniform, clock_normal - chance of the job's own stream. */
double clock_uniform(uint64_t *state, double low, double high);
double clock_normal(uint64_t *state, double sd);

#endif
