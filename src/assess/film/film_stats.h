/*
 * film_stats.h - the statistics of a film: one zone, one coat, or the whole job.
 *
 * The independent value is the spot: three readings inside a 4 cm circle share the film under it, so intervals, tests
 * and charts are taken over spot means, not over readings. Quartiles, SD and extremes of the readings are given
 * beside them. All values in µm, corrected. What is not defined for so few values is NaN.
 */
#ifndef MILRISE_ASSESS_THICKNESS_FILM_STATS_H
#define MILRISE_ASSESS_THICKNESS_FILM_STATS_H

#include "assess/film/film.h"
#include "assess/gauge/gauge.h"
#include "numeric/summary_stats.h"

/* Readings ordered by area and spot; spots in order of time. */
struct mr_film_values {
    size_t n;
    size_t n_behind; /* gauge readings behind them; n where each is a single reading */
    bool means;      /* some are means of several readings */
    double *reading_um;
    size_t *reading_area, *reading_spot; /* labels */
    size_t n_spots, n_areas;
    double *spot_um;
    const char **spot_name;   /* "spot 3, area 2" */
    size_t *spot_area;        /* label */
    size_t *spot_n;           /* readings in it, at least 1 */
    struct mr_moments behind; /* of the readings behind the rows, as far as these tell */
};

/* How many more spots would settle whether the zone's mean meets a limit. */
enum mr_more { MR_MORE_SETTLED, MR_MORE_SPOTS, MR_MORE_NEVER, MR_MORE_UNKNOWN };

struct mr_film_stats {
    struct mr_moments reading, spot;
    double q1, median, q3;             /* of the readings, rule 6; NaN where only means are given */
    struct mr_interval mean_ci, sd_ci; /* of the spots */
    double k2, k1;
    struct mr_interval tolerance;    /* two-sided, spots */
    double lower_bound, upper_bound; /* one-sided, spots */
    double below_pct, above_pct;     /* of the spots, outside the specified limits; NaN without that limit */
    struct mr_nested nested;
    struct mr_outlier grubbs;
    size_t esd_tried, esd_found;
    const char *outliers; /* names of the spots found by the generalised test; "" */
    struct mr_normality normality;
    struct mr_runs runs;
    double lag1;
    struct mr_control_limits individuals, xbar, s; /* single spots; areas of spots */
    size_t individuals_out, xbar_out, s_out, chart_size;
    struct mr_capability capability;
    const char *capability_warning; /* "" where it may be read as it stands */
    double u_gauge_um,
        u_mean_um;       /* standard uncertainties at the mean: of the gauge alone; with the scatter of spots */
    double p_mean;       /* probability that the true mean lies within the limits */
    double p_spot_least; /* least of the spots, for the specified limits */
    size_t spots_close;  /* spots whose probability is below the job's threshold */
    double guard_low_um, guard_high_um; /* limits moved inwards by the expanded uncertainty of the gauge; NaN */
    enum mr_more more;
    size_t more_spots;
};

/* All of these: results in arena; scratch is the caller's to reset. */

/** mr_film_values_of - values of a film less the correction (quanta), µm; discarded readings are left out. */
struct mr_film_values mr_film_values_of(struct mr_arena *arena, struct mr_arena *scratch, const struct mr_film *film,
                                        struct mr_ratio correction);

/** mr_film_readings_in_time - corrected readings in order of time, µm; discarded ones are left out. */
double *mr_film_readings_in_time(struct mr_arena *arena, struct mr_arena *scratch, const struct mr_film *film,
                                 struct mr_ratio correction);

/* Factors of tolerance intervals that are known already: a pair costs thousands of chi-squared probabilities, and
 * most zones of a job have as many spots as another. */
struct mr_tolerance_pair {
    size_t n;
    double coverage, confidence, k2, k1;
};
typedef MR_VEC(struct mr_tolerance_pair) mr_tolerance_pairs;

/** mr_film_stats_of - all of the above. min_um, max_um: specified limits, NaN where none. known: in/out, grows in
 * arena. */
struct mr_film_stats mr_film_stats_of(struct mr_arena *arena, struct mr_arena *scratch,
                                      const struct mr_film_values *values, double min_um, double max_um,
                                      const struct mr_accuracy *uncertainty, const struct mr_settings *settings,
                                      mr_tolerance_pairs *known);

#endif
