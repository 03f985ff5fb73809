/*
 * heat_group.h - what heat_find.c and heat_measure.c share: a search under way, and one group of overlapping events.
 */
#ifndef MILRISE_ASSESS_HEAT_HEAT_GROUP_H
#define MILRISE_ASSESS_HEAT_HEAT_GROUP_H

#include "assess/heat/heat.h"

struct mr_heat_finder { /* one search */
    struct mr_arena *arena, *scratch;
    const struct mr_heat_bins *bins;
    const mr_heat_candidates *found;
    mr_heat_list *out;
    MR_VEC(struct mr_heat_curve) carried; /* fitted events so far */
    const struct mr_heat_options *options;
    int64_t zero_ms;
    struct mr_arena *work; /* of one fit */
    struct mr_heat_room room;
};

struct mr_heat_group { /* events that overlap, and their fit */
    struct mr_heat_candidate event[MR_HEAT_TOGETHER];
    size_t m;
    size_t from, to; /* bins to fit */
    double next_s;   /* onset of what comes after; infinite at the end */
    struct mr_heat_fit fit;
    enum mr_status status;
    bool aside; /* outside the focus: not fitted */
};

/** mr_heat_measure - event j of a group as found: fitted figures taken over, plain ones read off the record, pushed
 * to f->out. quiet_from_s: nothing before it belongs to the baseline. */
void mr_heat_measure(struct mr_heat_finder *f, const struct mr_heat_group *g, size_t j, double quiet_from_s);

#endif
