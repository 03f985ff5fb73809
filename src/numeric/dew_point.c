/*
 * dew_point.c - dew point from air temperature and relative humidity.
 *
 * The project judges by the Magnus form with Sonntag's constants of 1990: one logarithm, inverted in closed form,
 * within 0.3 % of the best vapour pressures and within 0.1 K in dew point where steel is coated. Rejected: the older
 * constants (17.27; 237.7), which are no better documented, and an iterated Hyland-Wexler inverse, whose gain is far
 * below any hygrometer's accuracy. Hyland-Wexler stands here to check the first by.
 */
#include "numeric/dew_point.h"

#include "milrise/base.h"
#include "numeric/magnus.h"

#include <math.h>

static const double t_low_c = MR_MAGNUS_LOW_C, t_high_c = MR_MAGNUS_HIGH_C;
static const double rh_clamp_pct =
    105.0; /* capacitive sensors show a little over 100 in saturated air; more is a fault */

double mr_saturation_magnus_pa(double t_c) {
    if (!(t_c >= t_low_c && t_c <= t_high_c))
        return MR_NAN;
    return mr_magnus_pa(t_c);
}

double mr_saturation_hyland_wexler_pa(double t_c) {
    if (!(t_c >= 0.0 && t_c <= 200.0))
        return MR_NAN;
    double t_k = t_c + 273.15;
    return exp(-5800.2206 / t_k + 1.3914993 - 4.8640239e-2 * t_k + 4.1764768e-5 * t_k * t_k -
               1.4452093e-8 * t_k * t_k * t_k + 6.5459673 * log(t_k));
}

double mr_dew_from_vapour_c(double vapour_pa) {
    if (!(vapour_pa > 0.0))
        return MR_NAN;
    double g = log(vapour_pa / MR_MAGNUS_PA), dew_c = MR_MAGNUS_B_C * g / (MR_MAGNUS_A - g);
    return dew_c >= -80.0 && dew_c <= t_high_c ? dew_c : MR_NAN;
}

double mr_dew_point_c(double air_c, double rh_pct) {
    if (!(rh_pct > 0.0 && rh_pct <= rh_clamp_pct) || !(air_c >= t_low_c && air_c <= t_high_c))
        return MR_NAN;
    return rh_pct >= 100.0 ? air_c : mr_magnus_dew_c(air_c, rh_pct);
}

double mr_vapour_wet_bulb_pa(double dry_c, double wet_c, double air_pa) {
    if (!(wet_c <= dry_c) || !(air_pa > 0.0) || !(dry_c <= t_high_c))
        return MR_NAN;
    return mr_saturation_magnus_pa(wet_c) - 6.53e-4 * (1.0 + 9.44e-4 * wet_c) * air_pa * (dry_c - wet_c);
}
