/*
 * heat_job.h - heat as the job sees it: what heat_events.c, heat_coat.c, heat_judge.c and rise_thickness.c hand on.
 *
 *   heat_events.c  tracks -> events with zone, coat and window (out->heats)
 *   heat_coat.c    events -> one struct mr_coat_heat per window: what each of its probes saw, taken together
 *   heat_turns.c   windows of a zone one after the other: whose a pulse is
 *   heat_judge.c   coat heats against the band -> checks and findings; the tables of events and coats
 *   rise_thickness.c    coat heats against films over the whole job -> checks, findings, tables; the statistics are
 * rise_line.c
 */
#ifndef MILRISE_ASSESS_HEAT_HEAT_JOB_H
#define MILRISE_ASSESS_HEAT_HEAT_JOB_H

#include "assess/finding/assessment.h"
#include "assess/heat/heat.h"

/* Which pulse of a record is taken for the coat's. */
enum mr_pulse {
    MR_PULSE_NONE,    /* none: see most_k */
    MR_PULSE_IN_TIME, /* its onset lies in the window, or no later than a late onset, give or take the clock */
    MR_PULSE_EARLY,   /* it began before the window */
    MR_PULSE_LATE,
    MR_PULSE_UNFIT /* a climb in time that no fit describes */
};

/* What one probe saw of one coat. */
struct mr_probe_heat {
    const struct mr_track *track;
    enum mr_pulse pulse;
    size_t event;             /* index into out->heats; MR_NONE for MR_PULSE_NONE */
    size_t n_more;            /* further fitted pulses in time: never added up */
    double more_k;            /* the rises of all of them */
    double rise_k, rise_se_k; /* of the pulse by its fit; without one, of the likeliest pulse in time; NaN where not
                               * determined */
    double resolution_k;      /* of the record, with a pulse; else 0 */
    double most_k;            /* without a pulse: no pulse of any onset in time was greater (95 %); NaN */
    double adiabatic_k, adiabatic_se_k; /* NaN without a fit, or where further pulses lie in the window */
    double k_per_s, tau_s;              /* NaN without a fit */
    double k_se, tau_se;
    double cooling_s,
        cooling_log_sd;              /* cooling constant and rate as the fit and the other coats have them, and the */
    double rate_per_s, rate_log_sd;  /* deviations of their logarithms; NaN without a fit */
    double onset_s, onset_se_s;      /* after the window's opening; NaN */
    double shared_loss, shared_rate; /* W/m2K, 1/s: of the job's coats; NaN where too few show them */
    double baseline_c;
    bool lower_bound;    /* the record begins or ends in the event */
    double warmed_k;     /* by how much it left the line before, whatever the shape; NaN where a pulse is in time */
    double stray_k;      /* the greatest climb out of time that no fit describes; 0 for none */
    double stray_s;      /* its onset after the window's opening */
    bool as_the_air;     /* the record follows the air's: no steel behind the probe */
    bool weather;        /* the doubt comes from the weather, not from the probe's noise */
    double gust_log_sd;  /* where gusts change the loss: by how much until the peak, of its logarithm; else 0 */
    size_t other_window; /* MR_PULSE_EARLY, MR_PULSE_LATE: the window of another zone in which it began; MR_NONE */
    size_t also_of;      /* an earlier window of the zone whose pulse this may be as well; MR_NONE */
    double coverage_pct; /* of the time in which an onset should show */
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

/* A window without a pulse in time, as one track saw it. */
struct mr_no_pulse {
    size_t window, track;
    struct mr_heat_absence absence;
};
typedef MR_VEC(struct mr_no_pulse) mr_no_pulses;

/** mr_heat_collect - fills out->heats; absent: the windows without a pulse. */
void mr_heat_collect(struct mr_assess *a, mr_no_pulses *absent);

/** mr_heat_coats - one per window, in the order of windows. */
void mr_heat_coats(struct mr_assess *a, const mr_no_pulses *absent, mr_coat_heats *out);

/** mr_heat_settle_cooling - the cooling constants of all coats, each drawn to the heat loss that the job's coats
 * share.
 */
void mr_heat_settle_cooling(struct mr_assess *a, mr_coat_heats *coats);

/** mr_heat_judge - group "reaction": rise and onset per coat, the mix check; tables. */
void mr_heat_judge(struct mr_assess *a, const mr_coat_heats *coats);

/** mr_heat_against_film - check "reaction.rise-against-film" per zone; tables. */
void mr_heat_against_film(struct mr_assess *a, const mr_coat_heats *coats);

/* Heat loss of a plate in moving air and the rate of a reaction that peaks well within the slowest rise: how far they
 * scatter (of the logarithm), and the rate itself. Common practice, no source. */
#define MR_LOSS_USUAL 15.0 /* W/m2K over both faces */
#define MR_LOSS_LOG_SD 0.4
#define MR_RATE_LOG_SD 0.8
#define MR_RATE_TIMES_SLOWEST 22.0

struct mr_rise_band {
    double low_k, high_k;      /* scaled; NaN = none */
    double none_k;             /* less is no reaction */
    double factor;             /* by what the stated band was multiplied */
    bool steel, film, cooling; /* for what it was scaled */
    bool open;                 /* stated for a steel or a film, and the zone's is not known */
    double tau_s;              /* cooling constant used */
    double doubt;              /* relative standard error of the factor, from cooling and rate */
    double gusts; /* likewise, from what gusts did to the cooling until the peak; 0 where none are seen */
    enum mr_unit unit;
    int decimals;
    const char *source;
};

/** mr_rise_band_of - the band of a coat as this probe saw it (NULL: with the usual cooling and rate). */
struct mr_rise_band mr_rise_band_of(struct mr_assess *a, const struct mr_coat_heat *coat,
                                    const struct mr_probe_heat *p);

/** mr_heat_usual_of - what is known of a zone's cooling and of the reaction's rate before any record is seen. */
struct mr_heat_usual mr_heat_usual_of(const struct mr_assess *a, size_t zone);

/** mr_heat_least_k - the smallest rise that is looked for in a zone (MR_NONE: the job). */
double mr_heat_least_k(struct mr_assess *a, size_t zone);

#endif
