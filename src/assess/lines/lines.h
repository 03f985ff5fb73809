/*
 * lines.h - what lines.c and pauses.c share.
 */
#ifndef MILRISE_ASSESS_LINES_LINES_H
#define MILRISE_ASSESS_LINES_LINES_H

#include "assess/finding/finding_text.h"
#include "assess/lines/line_scan.h"

/* Cautions that stand next to findings on lines, in the project's own words. */
extern const char mr_caution_relieve[], mr_caution_mix[];

/* The line logger's tracks for a stretch of time; NULL where none. */
struct mr_line_tracks {
    const struct mr_track *a, *b, *main;
};

/** mr_line_tracks_for - of several loggers the one that covers most of t0..t1; never one that stands for another
 * zone.
 */
struct mr_line_tracks mr_line_tracks_for(const struct mr_alignment *aligned, size_t zone, int64_t t0_ms,
                                         int64_t t1_ms, int64_t gap_ms);

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
    bool unshown; /* at least one check has too little data */
};

/** mr_line_find_events - findings and story entries for a window's events. mr_line_event_table, mr_line_event_rows -
 * the table of all of them. mr_line_rule - the rule that an event of that kind breaks (line_events.c). */
void mr_line_find_events(struct mr_assess *a, const struct mr_line_run *run);
struct mr_table *mr_line_event_table(struct mr_assess *a);
void mr_line_event_rows(struct mr_assess *a, struct mr_table *table, const struct mr_line_run *run);
const char *mr_line_rule(enum mr_line_kind kind);

/** mr_pressure_decimals - decimals to show a pressure with. mr_say_places - "lines/log.csv:12-40; ..." */
int mr_pressure_decimals(enum mr_unit unit);
const char *mr_say_places(struct mr_assess *a, const mr_evidence_list *list);

/* A stretch in which the trigger was pulled now and then: a row of the spray log, or a found window. */
struct mr_pull {
    int64_t t0_ms, t1_ms;
    size_t window;
};
typedef MR_VEC(struct mr_pull) mr_pulls;

/** mr_assess_pauses - pauses between pulls, relief, clean-out; their checks, findings and table
 * (pauses.c). inner: pauses that lines.c saw inside windows, both lines down; in order of time. */
void mr_assess_pauses(struct mr_assess *a, const mr_pulls *inner);

/** mr_assess_water_tests - logged water tests, job-wide checks (water_test.c). */
void mr_assess_water_tests(struct mr_assess *a);

#endif
