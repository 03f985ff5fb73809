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

/* What is not shown, because the record leaves it open: the heat of another coat may be why. */
enum mr_heat_unclear {
    MR_HEAT_CLEAR,
    MR_HEAT_UNCERTAIN,
    MR_HEAT_PARTIAL /* too little of the record is this coat's alone */
};

struct mr_heat_verdict {
    enum mr_outcome outcome;
    enum mr_heat_kind kind;
    const struct mr_probe_heat *probe; /* NULL: no probe at all */
    const char *why, *next;
    enum mr_heat_unclear unclear;
};

/** mr_heat_verdict_of - JCGM 106:2012: simple acceptance where the expanded uncertainty (95 %) is at most a third of
 * the band, else guarded acceptance; rejection only where the whole interval lies outside. What is left between is
 * not shown. */
struct mr_heat_verdict mr_heat_verdict_of(struct mr_assess *a, const struct mr_coat_heat *coat,
                                          const struct mr_rise_band *band, const struct mr_probe_heat *probe);

/** mr_heat_not_parted - a verdict that the record leaves open, with the coat that overlaps named, and what helps;
 * other verdicts as they are. */
struct mr_heat_verdict mr_heat_not_parted(struct mr_assess *a, const struct mr_coat_heat *coat,
                                          struct mr_heat_verdict v);

/** mr_rise_text, mr_rise_doubt_text - "9.1 °F"; "9.1 ± 0.4 °F", or "not determined". */
const char *mr_rise_doubt_text(struct mr_assess *a, const struct mr_rise_band *band, double k, double se_k);

#endif
