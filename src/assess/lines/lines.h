/*
 * lines.h - what lines.c and pauses.c share.
 */
#ifndef MILRISE_ASSESS_LINES_LINES_H
#define MILRISE_ASSESS_LINES_LINES_H

#include "assess/finding/caution.h"
#include "assess/finding/finding_text.h"
#include "assess/lines/line_scan.h"
#include "assess/lines/line_tracks.h"

/* One window under judgement. */
struct mr_line_run {
    size_t index; /* of the window */
    const struct mr_window *window;
    const struct mr_settings *settings;
    struct mr_line_tracks tracks;
    struct mr_line_limits limits;
    struct mr_line_result r;
    mr_evidence_list evidence; /* of the whole window; shared by its checks, not to be added to once it is in use */
    enum mr_outcome worst;
    bool uncovered; /* at least one check has too little data */
    double slow_ms; /* the logger's step, where longer than an event; 0 */
};

/** mr_line_find_events - findings and timeline entries for a window's events. mr_line_event_table,
 * mr_line_event_rows - the table of all of them. mr_line_rule - the rule that an event of that kind breaks
 * (line_events.c). */
void mr_line_find_events(struct mr_assess *a, const struct mr_line_run *run);
struct mr_table *mr_line_event_table(struct mr_assess *a);
void mr_line_event_rows(struct mr_assess *a, struct mr_table *table, const struct mr_line_run *run);
const char *mr_line_rule(enum mr_line_kind kind);

/** mr_line_others - other loggers that may have been on the lines of the coat (other_lines.c). */
void mr_line_others(struct mr_assess *a, struct mr_line_work *work, const struct mr_line_run *run);

/** mr_line_down - a coat for most of which the lines were without pressure (lines_down.c); whether it is one. */
bool mr_line_down(struct mr_assess *a, const struct mr_line_run *run);

/** mr_line_edges - a coat that begins or ends, by the spray log, without pressure in the lines (lines_down.c). */
void mr_line_edges(struct mr_assess *a, const struct mr_line_run *run);

/** mr_line_holes - what the logger left out of the coat, and how slow it is (line_holes.c). Returns the logger's step
 * in ms where that is longer than an event and yet bearable, else 0. mr_line_tell_pace - tells of such coats once. */
double mr_line_holes(struct mr_assess *a, struct mr_line_work *work, const struct mr_line_run *run);
void mr_line_tell_pace(struct mr_assess *a, const struct mr_line_limits *limits, double step_ms, size_t coats);

/** mr_line_still - a line that shows one value while the machine works (still_line.c). */
void mr_line_still(struct mr_assess *a, struct mr_line_work *work, const struct mr_line_run *run);

/** mr_main_brief - main pressure out of its band again and again, too briefly for events (main_brief.c). */
void mr_main_brief(struct mr_assess *a, const struct mr_line_run *run);

/** mr_find_same_lines - tells of two channels of one logger that hold the same values throughout (same_lines.c). */
void mr_find_same_lines(struct mr_assess *a);

/** mr_pressure_decimals - decimals to show a pressure with. */
int mr_pressure_decimals(enum mr_unit unit);

/* A stretch in which the trigger was pulled now and then: a row of the spray log, or a found window. */
struct mr_pull {
    int64_t t0_ms, t1_ms;
    size_t window;
};
typedef MR_VEC(struct mr_pull) mr_pulls;

/** mr_collect_pulls - the pulls of all zones whose specification asks for the lines, in order of time (pulls.c). */
void mr_collect_pulls(struct mr_assess *a, mr_pulls *pulls);

/** mr_assess_pauses - pauses between pulls, relief, clean-out; their checks, findings and table
 * (pauses.c). inner: pauses that lines.c saw inside windows, both lines down; in order of time. */
void mr_assess_pauses(struct mr_assess *a, const mr_pulls *inner);

/** mr_assess_water_tests - logged water tests, job-wide checks (water_test.c). */
void mr_assess_water_tests(struct mr_assess *a);

#endif
