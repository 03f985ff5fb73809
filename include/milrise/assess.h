/*
 * assess.h - stage 4: aligned data and specification become outcomes, findings and statistics.
 *
 * Every check is judged on unrounded values and gives one of four outcomes; what cannot be shown is never softened
 * into "conforms". Every finding says what, where, when, against what limit, from which file and lines, by which
 * rule, and what to do next.
 */
#ifndef MILRISE_ASSESS_H
#define MILRISE_ASSESS_H

#include "milrise/align.h"
#include "milrise/table.h"

/* In rising order of gravity, so that the worst of several is the greatest. */
enum mr_outcome { MR_NOT_REQUIRED, MR_CONFORMS, MR_NOT_SHOWN, MR_DOES_NOT_CONFORM };
const char *
mr_outcome_text(enum mr_outcome outcome); /* "not required", "conforms", "not shown", "does not conform" */
/* Why a cell of the gauge readings is blank; formulas of the workbook give the same words. */
#define MR_LEFT_OUT "unusual, not repeated"
#define MR_FEW_IN_SPOT "fewer than 3 readings in the spot"

enum mr_outcome mr_outcome_worst(enum mr_outcome a, enum mr_outcome b);

struct mr_evidence {
    struct mr_place place; /* file with first and last line */
    const char *note;      /* what stands there; may be NULL */
};
typedef MR_VEC(struct mr_evidence) mr_evidence_list;

struct mr_check {
    const char *id; /* stable: "thickness.spot-minimum", "climate.spread", "reaction.rise", "lines.imbalance" ... */
    const char *title; /* for people */
    const char
        *group;  /* "thickness", "gauge", "climate", "reaction", "lines", "material", "shift record", "history" */
    size_t zone; /* MR_NONE = the whole job */
    int coat;    /* 0 = the system or all coats */
    enum mr_outcome outcome;
    double measured; /* in unit; NaN where nothing was measured */
    enum mr_unit unit;
    int decimals;
    double limit_low, limit_high; /* in unit; NaN = no such limit */
    const char *rule;             /* name of the rule, e.g. "restriction level 3, spot minimum 80 %" */
    const char *source;           /* document, edition, clause; or "common practice, no source" */
    const char *detail;           /* one sentence: why this outcome */
    mr_evidence_list evidence;
};

struct mr_finding {
    const char *id; /* stable kebab-case kind, e.g. "thin-zone", "dropout", "clock-error" */
    enum mr_severity
        severity; /* MR_ERROR: something does not conform; MR_WARNING: not shown, or needs review; MR_NOTE */
    size_t zone;  /* MR_NONE */
    int coat;     /* 0 */
    int64_t t0_utc_ms, t1_utc_ms; /* MR_T_NONE */
    const char *what;             /* one sentence */
    double measured, limit;       /* in unit; NaN */
    enum mr_unit unit;
    int decimals;
    const char *rule, *source;
    const char *next_step; /* one sentence */
    const char *caution;   /* stands next to findings on lines and material; may be NULL */
    mr_evidence_list evidence;
};

enum mr_fit { MR_FIT_NONE, MR_FIT_OK, MR_FIT_POOR, MR_FIT_NO_CONVERGENCE };

/* What an earlier event still gives off: adiabatic_k a/(a - 1) (exp(-s/tau) - exp(-k s)), a = k tau, s from its
 * onset.
 */
struct mr_heat_term {
    double before_s; /* its onset before that of the event that stands on it */
    double adiabatic_k, k_per_s, tau_s;
};

/* One event of heat in one temperature track; a coat of several passes may show several. Times UTC ms, temperatures
 * °C, rises K. */
/* What reference probes and the air told of a record at a moment, K. */
struct mr_heat_share {
    int64_t t_utc_ms;
    double k;
};

struct mr_heat_event {
    size_t track, zone, window; /* MR_NONE */
    bool gun;                   /* mix check at the gun */
    int coat;                   /* 0 = not known */
    int64_t t_onset, t_peak, t_end;
    double baseline_c, peak_c;
    double rise_k; /* plain: peak minus baseline */
    double rise_se_k;
    double rise_fit_k, rise_fit_se_k; /* peak of the fitted curve above what the steel would have done without it; NaN
                                       * without a fit */
    bool no_baseline;                 /* the record begins in the event: the rise is a lower bound */
    bool no_peak;                     /* the record ends before the rise does: the same */
    enum mr_route route;              /* how the event came to its zone */
    int64_t t_baseline;               /* from when on the baseline was taken */
    double rise_adiabatic_k, rise_adiabatic_se_k; /* corrected for heat loss */
    double rate_k_per_s;                          /* greatest rate of rise */
    double time_to_peak_s, time_above_half_s, area_k_s;
    double k_per_s, tau_s; /* reaction rate and cooling time constant of the fit */
    double k_se, tau_se, onset_se_s;
    double line_c;        /* the fitted line without any coat, at the onset */
    double drift_k_per_s; /* its slope there */
    double bend_k_per_s2; /* its bend */
    size_t n_carried;
    const struct mr_heat_term *carried; /* tails of earlier events, shape: n_carried */
    size_t n_shared;
    const struct mr_heat_share *shared; /* what references told of the record, shape: n_shared, in order of time */
    double rmse_k;
    double resolution_k; /* of the record: the smallest step between two values */
    bool weather;        /* the doubt of the rise comes from the weather more than from the probe's noise */
    double gust_log_sd;  /* where gusts change the loss: by how much until the peak, of its logarithm; else 0 */
    enum mr_fit fit;
    const char *fit_note;
    struct mr_place place; /* lines from onset to end */
};

/** mr_heat_model_c - the fitted curve at a moment, °C; NaN before the event's baseline or without a fit. */
double mr_heat_model_c(const struct mr_heat_event *event, int64_t t_utc_ms);

/** mr_heat_without_c - what the fit takes the steel to have been without this event: drift, references, tails of
 * earlier ones, °C; NaN likewise. */
double mr_heat_without_c(const struct mr_heat_event *event, int64_t t_utc_ms);

/* Thickness of one zone's newest complete survey (system) in short, for charts and the summary. */
struct mr_zone_film {
    size_t zone;
    size_t n_readings, n_spots, n_areas;
    size_t need_readings, need_spots, need_areas;
    double mean_um, sd_um, cv_pct, min_um, q1_um, median_um, q3_um,
        max_um; /* of the readings; NaN where n is too small */
    double ci_low_um, ci_high_um;
    double share_below_pct, share_above_pct; /* of the spots */
    size_t n_values;
    const double *reading_um; /* shape: n_values, corrected, in order of time */
    size_t n_spot_values;
    const double *spot_um;             /* shape: n_spot_values */
    double limit_min_um, limit_max_um; /* NaN = none */
    size_t n_files;
    const uint32_t
        *files; /* shape: n_files, index into data->files: where readings of the zone stand, in their order */
};

/* Rise against thickness: one zone whose heat is known. Rises in K, as on a steel of the thickness the comparison
 * names; the last three are NaN where no relation was fitted. */
struct mr_rise_zone {
    size_t zone;
    double film_um, rise_k;
    double expected_k, low_k, high_k; /* the fitted relation and its prediction band at this film */
};
struct mr_rise_comparison {
    double steel_mm;                   /* NaN where nothing was compared */
    MR_VEC(struct mr_rise_zone) zones; /* in the order of zones */
};

/* What happened, in order of time: for the time line of each shift. */
enum mr_shift_event_kind {
    MR_EVENT_WINDOW,
    MR_EVENT_PAUSE,
    MR_EVENT_HEAT,
    MR_EVENT_LINE,
    MR_EVENT_CLIMATE,
    MR_EVENT_ACTION,
    MR_EVENT_CHECK
};
struct mr_shift_event {
    enum mr_shift_event_kind kind;
    size_t shift;
    int64_t t0_utc_ms, t1_utc_ms;
    size_t zone;
    const char *what;
    enum mr_outcome outcome; /* MR_NOT_REQUIRED where nothing is judged */
    struct mr_place place;
};

/* An entry of the register: what did not conform, and what became of it. Texts are "" where not known. */
struct mr_nonconformance {
    const char *number; /* stays over revisions: day found, zone, kind */
    const char *kind;
    bool film;   /* thickness: what a written disposition speaks of */
    size_t zone; /* MR_NONE = the whole job */
    int coat;
    const char *what;
    int64_t found_utc_ms; /* MR_T_NONE */
    const char *found_in; /* file and lines */
    const char *disposition;
    const char *accepted;  /* "accepted as is on ... by role ...: why"; NULL where it was not */
    int64_t closed_utc_ms; /* MR_T_NONE = open; accepted as is counts as closed, and the zone does not conform */
    const char *closed_by; /* file and lines */
};

struct mr_zone_result {
    enum mr_outcome outcome;     /* its worst check */
    enum mr_outcome by_group[8]; /* see mr_groups */
    const char *worst;           /* titles of the checks that gave the outcome */
};
extern const char *const mr_groups[8];       /* stable words, as in report.json: "thickness" */
extern const char *const mr_group_titles[8]; /* heads of columns: "Thickness" */

struct mr_assessment {
    const struct mr_alignment *aligned;
    const struct mr_job *job;
    MR_VEC(struct mr_check) checks;                   /* by zone, then group order, then coat */
    MR_VEC(struct mr_nonconformance) nonconformances; /* by zone, kind, time */
    MR_VEC(struct mr_finding) findings;               /* gravest first, then time */
    MR_VEC(struct mr_heat_event) heats;               /* by track, then time */
    MR_VEC(struct mr_zone_film) films;                /* per zone that has readings */
    MR_VEC(struct mr_shift_event) timeline;           /* by shift, then time */
    struct mr_rise_comparison rise;
    MR_VEC(struct mr_table *) tables; /* in sheet order */
    struct mr_zone_result *zones;     /* shape: aligned->zones.n */
    enum mr_outcome outcome;          /* of the job: the worst zone or job-wide check */
    bool judged;                      /* false: no input that could be judged */
};

/** mr_assess - judge everything. Returns: MR_OK; MR_E_NODATA where nothing could be judged (out is still set). */
enum mr_status mr_assess(struct mr_arena *arena, const struct mr_alignment *aligned, struct mr_diags *diags,
                         const struct mr_assessment **out) MR_MUST_USE;

#define MR_REGISTER "non-conformances" /* id of the register's table */

/** mr_register_table - the register without rows, so that a later stage can carry entries of a former report. */
struct mr_table *mr_register_table(struct mr_arena *arena, const char *note);

/** mr_assess_dump - the stage as stable text. */
char *mr_assess_dump(struct mr_arena *arena, const struct mr_assessment *assessment);

/** mr_assess_dump_to - the same text in pieces, for a reader that keeps none of it: of a large job it is as long as
 *  the input. */
void mr_assess_dump_to(struct mr_arena *arena, const struct mr_assessment *assessment,
                       void (*take)(void *ctx, const void *data, size_t n), void *ctx);

#endif
