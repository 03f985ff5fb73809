/*
 * heat_elsewhere.h - could the heat that a coat lacks stand on the records at another time, or in another place
 * (heat_elsewhere.c)?
 */
#ifndef MILRISE_ASSESS_HEAT_HEAT_ELSEWHERE_H
#define MILRISE_ASSESS_HEAT_HEAT_ELSEWHERE_H

#include "assess/heat/heat_job.h"

struct mr_heat_elsewhere {
    const char *why; /* NULL: nothing speaks for it; else one or two sentences */
    const char *next;
};

/** mr_heat_elsewhere - of a coat that p would condemn: for too little heat, or (late) for heat that came too late.
 * least_k: smaller rises are not taken for a coat's. */
struct mr_heat_elsewhere mr_heat_elsewhere(struct mr_assess *a, const mr_coat_heats *coats,
                                           const struct mr_coat_heat *coat, const struct mr_probe_heat *p, bool late,
                                           double least_k);

/** mr_mix_check_elsewhere - the same for the heat that the probe at the gun lacks at a mix check. */
struct mr_heat_elsewhere mr_mix_check_elsewhere(struct mr_assess *a, const mr_coat_heats *coats,
                                                const struct mr_action_at *at, double least_k);

/** mr_heat_seen_alike - the event of a probe on another zone, where nothing was sprayed then, that began with the
 *  coat's own and is at least half as great; NULL. */
const struct mr_heat_event *mr_heat_seen_alike(const struct mr_assess *a, const struct mr_coat_heat *coat,
                                               const struct mr_probe_heat *p);

#endif
