/*
 * dew_point.h - vapour pressure, dew point and the psychrometer.
 *
 * Everything over liquid water, also below 0 °C: what is judged is whether water films form on steel, and coatings
 * are not sprayed on frost. A dew point below 0 °C is named "dew point over water", never "frost point".
 */
#ifndef MILRISE_NUMERIC_DEW_POINT_H
#define MILRISE_NUMERIC_DEW_POINT_H

/** mr_dew_point_c - dew point over water, °C, from air temperature and relative humidity; NaN outside what the
 * formula covers. The one formula of the project: climate's judgement and the climate chart both use it. */
double mr_dew_point_c(double air_c, double rh_pct);

/** mr_saturation_magnus_pa - saturation vapour pressure over water, Pa, t_c in -45..60 °C, else NaN.
 *  Source: Magnus form with the constants of Sonntag (1990), as used by the WMO. */
double mr_saturation_magnus_pa(double t_c);

/** mr_saturation_hyland_wexler_pa - the same, t_c in 0..200 °C, else NaN. A second, more exact formula for checks.
 *  Source: Hyland and Wexler (1983), as in ASHRAE Fundamentals 2017, chapter 1, equation 6. */
double mr_saturation_hyland_wexler_pa(double t_c);

/** mr_vapour_wet_bulb_pa - vapour pressure, Pa, from dry and wet bulb at an air pressure in Pa; NaN where the wet
 * bulb is above the dry one or a temperature is outside -45..60 °C. Source: WMO psychrometer formula for aspirated
 * instruments. */
double mr_vapour_wet_bulb_pa(double dry_c, double wet_c, double air_pa);

/** mr_dew_from_vapour_c - dew point over water at a vapour pressure in Pa (inverse of Magnus); NaN outside -80..60
 * °C.
 */
double mr_dew_from_vapour_c(double vapour_pa);

#endif
