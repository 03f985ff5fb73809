/*
 * rise_line.h - does each zone's heat fit its film? Pure statistics on arrays.
 *
 * The heat that a square metre of film gives off is its thickness times the heat of a volume of film, and nothing
 * else: the line goes through zero and its scatter grows with it. So the line is fitted to z = ln(heat / film): its
 * centre is the constant of the job, its spread one figure for thin and thick films. Zones that do not belong are
 * found with the generalised extreme Studentised deviate test (Rosner 1983), which keeps the chance of any false
 * finding in a clean job of 24 zones or more under 1 - share, and is not blinded by several bad zones: up to just
 * under half of them are looked for, since two or three hide each other where fewer are. Centre, spread and band come
 * from the zones that remain. A zone's probability is that of lying as far out as it does, if it belonged, times the
 * number of zones looked at (Bonferroni), with the zone itself left out of centre and spread.
 *
 * Rejected: a line with a free intercept for the band. Films of one job differ too little for it; the intercept then
 * takes the band's sharpness away. It is fitted beside (robustly, bisquare) and reported, for the eye: it should be
 * near zero.
 */
#ifndef MILRISE_ASSESS_HEAT_RISE_LINE_H
#define MILRISE_ASSESS_HEAT_RISE_LINE_H

#include "numeric/least_squares.h"

struct mr_rise_point {
    double film_um, heat; /* J/m2; both above 0 */
    /* results */
    double expected, low, high; /* J/m2: the line and the band at this film */
    double ratio;               /* heat over expected */
    double p;                   /* see above; at most 1 */
    bool out;
};

struct mr_rise_line {
    size_t n, n_clean;
    double heat_per_volume;         /* J/m3 */
    double volume_low, volume_high; /* its interval at `confidence` */
    double scatter;                 /* standard deviation of z */
    double band_low, band_high;     /* factors on the line */
    bool free_fitted;
    struct mr_lsq_line free; /* heat in J/m2 against film in m, intercept free, all zones, robust */
};

/** mr_rise_film - fit and judge n points. share: of the band over the whole job, 0 to 1; confidence of the interval
 * of the constant. Returns: MR_OK; MR_E_FEW where n < 4 or the points do not scatter. */
enum mr_status mr_rise_film(struct mr_arena *scratch, struct mr_rise_point *points, size_t n, double share,
                            double confidence, struct mr_rise_line *out) MR_MUST_USE;

#endif
