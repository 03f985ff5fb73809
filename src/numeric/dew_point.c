/*
 * dew_point.c - dew point from air temperature and relative humidity.
 *
 * The project judges by the Magnus form with Sonntag's constants of 1990: one logarithm, inverted in closed form,
 * within 0.3 % of the best vapour pressures and within 0.1 K in dew point where steel is coated. Rejected: the older
 * constants (17.27; 237.7), which are no better documented, and an iterated Hyland-Wexler inverse, whose gain is far
 * below any hygrometer's accuracy. The tests check the first by Hyland-Wexler.
 */
#include "numeric/dew_point.h"

#include "milrise/base.h"
#include "numeric/magnus.h"

#include <math.h>

static const double t_low_c = MR_MAGNUS_LOW_C, t_high_c = MR_MAGNUS_HIGH_C;
static const double rh_clamp_pct =
    105.0; /* capacitive sensors show a little over 100 in saturated air; more is a fault */

double mr_dew_point_c(double air_c, double rh_pct) {
    if (!(rh_pct > 0.0 && rh_pct <= rh_clamp_pct) || !(air_c >= t_low_c && air_c <= t_high_c))
        return MR_NAN;
    return rh_pct >= 100.0 ? air_c : mr_magnus_dew_c(air_c, rh_pct);
}
