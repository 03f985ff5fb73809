/*
 * line_scan.h - the two lines over one window: balance, ripple, dropouts, surges, pressure band. Numbers only, no
 * wording.
 *
 * What counts: the span between the moment when a line first stands above `dropout share` of its median and the
 * moment when one last does, less `settle` at both ends: a window typed to the minute begins and ends with lines that
 * are not up. Sustained: a condition counts once it has held for `event time`; a sample holds until the next one. One
 * sample makes no event, however long it holds: it is counted apart, and so is a shorter stretch that samples missing
 * beside it may have made an event. A stretch never reaches across a gap or a hole (line_grid.h).
 */
#ifndef MILRISE_ASSESS_LINES_LINE_SCAN_H
#define MILRISE_ASSESS_LINES_LINE_SCAN_H

#include "milrise/align.h"

enum mr_line_kind {
    MR_LINE_DROPOUT,
    MR_LINE_BOTH_DOWN,
    MR_LINE_SURGE,
    MR_LINE_IMBALANCE,
    MR_LINE_MAIN_LOW,
    MR_LINE_MAIN_HIGH,
    MR_LINE_PAUSE,
    MR_LINE_KINDS
};

struct mr_line_event {
    enum mr_line_kind kind;
    char line;            /* 'A', 'B' (of an imbalance: the low one), 'M' main, '+' both */
    int64_t t0_ms, t1_ms; /* t1: when the last sample of it ceased to hold */
    double extreme;       /* lowest or highest pressure in kPa; imbalance in % */
};
typedef MR_VEC(struct mr_line_event) mr_line_events;

struct mr_line_limits { /* canonical units; NaN = no limit */
    double main_min_kpa, main_max_kpa;
    double imbalance_pct, dropout_pct, surge_pct;
    double relieved_kpa;
    int64_t event_ms, gap_ms, settle_ms, pause_ms;
};

struct mr_line_result {
    bool up;                                /* the lines stood under pressure at some time of the window */
    double down_ms;                         /* how long no logged line did, in all */
    int64_t pressed_from_ms, pressed_to_ms; /* from when a line first stood under pressure, until one last did */
    int64_t up_from_ms, up_to_ms;           /* the span that counts */
    double coverage_pct;                    /* of the window by samples of both lines */
    double main_coverage_pct;
    double mean_a_kpa, mean_b_kpa, median_a_kpa, median_b_kpa; /* NaN where not known */
    double ripple_a_pct, ripple_b_pct;                         /* sample SD over mean, outside events */
    double ripple_without_worst_pct; /* the greater of both, once the sample that strays most is left out of each */
    size_t lone[MR_LINE_KINDS];      /* single samples that would be events if one sample could tell */
    double imbalance_mean_pct;       /* (A - B) over their mean, mean over the samples */
    double imbalance_held_pct;       /* greatest difference held for the event time */
    double main_mean_kpa, main_low_kpa, main_high_kpa; /* lowest and highest held for the event time */
    double main_judged_ms;                             /* how long the main was logged and judged, in all */
    mr_line_events events;                             /* in order of time */
    mr_line_events brief; /* stretches out of a limit too short for an event, likewise; extreme NaN */
};

/* More usual steps than this between two samples, and one is missing between them. */
#define MR_LINE_MISSED 1.5

/* Buffers that serve one window after another; start with {.arena = ...}. */
struct mr_line_work {
    struct mr_arena *arena;
    size_t cap, n;
    int64_t *t_ms;
    double *a, *b, *x, *hold_ms, *scratch;
    unsigned char *off; /* not judged for balance and ripple */
    size_t *queue;
    size_t lone[MR_LINE_KINDS];
    mr_line_events brief;
    double usual_ms; /* between two samples, in the middle */
    int64_t gap_ms;  /* more than this between two samples is a gap or a hole */
};

/** mr_line_scan - the lines over t0..t1. Any track may be NULL. Linear in the samples of the window. */
void mr_line_scan(struct mr_line_work *work, const struct mr_track *line_a, const struct mr_track *line_b,
                  const struct mr_track *main_line, int64_t t0_ms, int64_t t1_ms, const struct mr_line_limits *limits,
                  struct mr_line_result *out);

#endif
