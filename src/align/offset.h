/*
 * offset.h - how far one clock stands off, from events that both sides saw. Pure functions on sorted lists.
 *
 * An offset is what the instrument shows minus the reference, in ms.
 */
#ifndef MILRISE_ALIGN_OFFSET_H
#define MILRISE_ALIGN_OFFSET_H

#include "milrise/arena.h"

struct mr_offset {
    bool found;
    double offset_ms, spread_ms; /* spread: half width of the 95 % interval */
    size_t events, unmatched;    /* events that agree with the offset, and those that do not */
};

struct mr_offset_limits {
    int64_t search_ms;    /* largest offset looked for */
    int64_t tolerance_ms; /* how exactly a time of the reference is believed */
    int64_t lag_ms;       /* longest natural delay of an event after the end of its interval */
    int64_t unit_ms;      /* the reference's times are whole multiples of this */
    size_t least;         /* fewest events */
};

/* One stretch of the reference within which an event must have happened. */
struct mr_offset_range {
    int64_t t0_ms, t1_ms;
    size_t group; /* an event of a known group belongs to intervals of that group only; MR_NONE fits all */
};

struct mr_event {
    int64_t t_ms;
    size_t group;
};

/** mr_offset_by_intervals - each event happened somewhere within an interval (or lag after it); where is not known.
 * The offset is what the most events agree with; the spread is half of the range in which they all do. events,
 * intervals: in order of time. */
struct mr_offset mr_offset_by_intervals(struct mr_arena *arena, const struct mr_event *events, size_t n_events,
                                        const struct mr_offset_range *intervals, size_t n_intervals,
                                        const struct mr_offset_limits *limits);

/** mr_offset_by_edges - starts of the reference's intervals answer starts of the instrument's, ends answer ends. The
 * offset that matches most edges, then the median of what is left, with a spread from the median absolute deviation.
 */
struct mr_offset mr_offset_by_edges(struct mr_arena *arena, const struct mr_offset_range *shown, size_t n_shown,
                                    const struct mr_offset_range *reference, size_t n_reference,
                                    const struct mr_offset_limits *limits);

#endif
