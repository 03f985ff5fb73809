/*
 * line_stretches.h - stretches of samples in which a condition holds, and the level that is held.
 */
#ifndef MILRISE_ASSESS_LINES_LINE_STRETCHES_H
#define MILRISE_ASSESS_LINES_LINE_STRETCHES_H

#include "assess/lines/line_scan.h"

/* True where the sample belongs to the kind of stretch looked for. */
typedef bool (*mr_line_condition)(const struct mr_line_work *w, size_t i, const void *ctx);

/* What is looked for between samples lo and hi (exclusive). */
struct mr_line_look {
    size_t lo, hi;
    mr_line_condition holds;
    const void *ctx;
    const double *v; /* NaN where the sample is missing; NULL: what is missing is looked at elsewhere */
    int64_t event_ms;
    struct mr_line_event pattern; /* kind and line of what is found */
};

/** mr_line_stretches - appends every stretch of at least event_ms to out. A shorter one goes to w->brief; where one
 * sample alone, or samples missing beside the stretch, leave open whether it was an event, it counts in w->lone. */
void mr_line_stretches(struct mr_line_work *w, const struct mr_line_look *look, mr_line_events *out);

/** mr_line_hold_end - until when a sample holds. */
int64_t mr_line_hold_end(const struct mr_line_work *w, size_t i);

/** mr_held_most - the greatest level that x (n values, each holding for hold_ms, NaN breaks) keeps or exceeds for
 * event_ms at a stretch, in two samples at least; samples where off is set break too. NaN where no stretch is that
 * long. queue: room for n. */
double mr_held_most(const double *x, const int64_t *t_ms, const double *hold_ms, const unsigned char *off, size_t n,
                    int64_t event_ms, size_t *queue);

#endif
