/*
 * heat_job.h - heat as the job sees it: what heat_events.c, heat_coat.c, heat_judge.c and rise_thickness.c hand on.
 *
 *   heat_events.c  tracks -> events with zone, coat and window (out->heats)
 *   heat_coat.c    events -> one struct mr_coat_heat per window: what each of its probes saw, taken together
 *   heat_judge.c   coat heats against the band -> checks and findings; the tables of events and coats
 *   rise_thickness.c    coat heats against films over the whole job -> checks, findings, tables; the statistics are
 * rise_line.c
 */
#ifndef MILRISE_ASSESS_HEAT_HEAT_JOB_H
#define MILRISE_ASSESS_HEAT_HEAT_JOB_H

#include "assess/finding/assessment.h"

/* What one probe saw of one coat. */
struct mr_probe_heat {
    const struct mr_track *track;
    size_t n_events;          /* passes of one coat may each show */
    size_t first, best;       /* indices into out->heats: the first event, the one with the greatest rise; MR_NONE */
    double rise_k, rise_se_k; /* of all events together, by the fit where it serves, else plain; without events the
                               * largest warming seen, NaN where data do not say */
    double adiabatic_k, adiabatic_se_k; /* sum over the events; NaN where a fit is missing */
    double onset_s;                     /* after the window's opening; NaN */
    double baseline_c;
    bool lower_bound;    /* the record begins or ends in the event */
    double coverage_pct; /* of the time in which an onset was to be seen */
};

/* One coat on one zone. */
struct mr_coat_heat {
    size_t window, zone;
    int coat;
    size_t n_probes;
    struct mr_probe_heat *probes; /* shape: n_probes, in order of tracks */
    double film_um;               /* of this coat; NaN where not known */
    double below_um;              /* film of the coats under it; 0 where not known */
    bool film_shared;             /* film_um is an equal share of the system's film */
    double capacity;              /* steel and film, J/(m2 K); NaN without steel thickness */
    double heat, heat_se;         /* per area, J/m2: adiabatic rise times capacity, mean of the probes; NaN */
};
typedef MR_VEC(struct mr_coat_heat) mr_coat_heats;

/** mr_heat_collect - fills out->heats. */
void mr_heat_collect(struct mr_assess *a);

/** mr_heat_coats - one per window, in the order of windows. */
void mr_heat_coats(struct mr_assess *a, mr_coat_heats *out);

/** mr_heat_judge - group "reaction": rise and onset per coat, the mix check; tables. */
void mr_heat_judge(struct mr_assess *a, const mr_coat_heats *coats);

/** mr_heat_against_film - check "reaction.rise-against-film" per zone; tables. */
void mr_heat_against_film(struct mr_assess *a, const mr_coat_heats *coats);

/** mr_band_factor - by what the band for steel and film is multiplied to hold for this coat: 1 where neither is
 * stated or known. *out_steel, *out_film tell which was. */
double mr_band_factor(struct mr_assess *a, const struct mr_coat_heat *coat, bool *out_steel, bool *out_film);

/** mr_heat_least_k - the smallest rise that is looked for in a zone (MR_NONE: the job). */
double mr_heat_least_k(struct mr_assess *a, size_t zone);

#endif
