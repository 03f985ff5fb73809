/*
 * heat_verdict.h - what one probe proves about its coat (heat_verdict.c).
 */
#ifndef MILRISE_ASSESS_HEAT_HEAT_VERDICT_H
#define MILRISE_ASSESS_HEAT_HEAT_VERDICT_H

#include "assess/heat/heat_job.h"

enum mr_heat_kind { /* in rising order of what is told first */
                    MR_HEAT_FITS,
                    MR_HEAT_UNKNOWN,
                    MR_HEAT_HOT,
                    MR_HEAT_WEAK,
                    MR_HEAT_NO_REACTION
};

struct mr_heat_verdict {
    enum mr_outcome outcome;
    enum mr_heat_kind kind;
    const struct mr_probe_heat *probe; /* NULL: no probe at all */
    const char *why, *next;
};

/** mr_heat_verdict_of - JCGM 106:2012: simple acceptance where the expanded uncertainty (95 %) is at most a third of
 * the band, else guarded acceptance; rejection only where the whole interval lies outside. What is left between is
 * not shown. */
struct mr_heat_verdict mr_heat_verdict_of(struct mr_assess *a, const struct mr_coat_heat *coat,
                                          const struct mr_rise_band *band, const struct mr_probe_heat *probe);

/** mr_rise_text, mr_rise_doubt_text - "9.1 °F"; "9.1 ± 0.4 °F", or "not determined". */
const char *mr_rise_doubt_text(struct mr_assess *a, const struct mr_rise_band *band, double k, double se_k);

#endif
