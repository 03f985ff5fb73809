/*
 * magnus.h - the Magnus form over water. Sonntag (1990), as used by the WMO. Here because two stages need it: the dew
 * point is computed in one, and tells the unit of a column in another.
 */
#ifndef MILRISE_NUMERIC_MAGNUS_H
#define MILRISE_NUMERIC_MAGNUS_H

#include <math.h>

#define MR_MAGNUS_PA 611.2
#define MR_MAGNUS_A 17.62
#define MR_MAGNUS_B_C 243.12
#define MR_MAGNUS_LOW_C (-45.0) /* range stated with the constants */
#define MR_MAGNUS_HIGH_C 60.0

/** mr_magnus_pa - saturation vapour pressure in Pa at t_c °C; the range is the caller's to look after. */
static inline double mr_magnus_pa(double t_c) {
    return MR_MAGNUS_PA * exp(MR_MAGNUS_A * t_c / (MR_MAGNUS_B_C + t_c));
}

/** mr_magnus_dew_c - dew point in °C of air at air_c °C with rh_pct % of humidity. */
static inline double mr_magnus_dew_c(double air_c, double rh_pct) {
    double g = log(rh_pct / 100.0) + MR_MAGNUS_A * air_c / (MR_MAGNUS_B_C + air_c);
    return MR_MAGNUS_B_C * g / (MR_MAGNUS_A - g);
}

#endif
