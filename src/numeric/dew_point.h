/*
 * dew_point.h - dew point of air.
 *
 * Everything over liquid water, also below 0 °C: what is judged is whether water films form on steel, and coatings
 * are not sprayed on frost. A dew point below 0 °C is named "dew point over water", never "frost point".
 */
#ifndef MILRISE_NUMERIC_DEW_POINT_H
#define MILRISE_NUMERIC_DEW_POINT_H

/** mr_dew_point_c - dew point over water, °C, from air temperature and relative humidity; NaN outside what the
 * formula covers. The one formula of the project: climate's judgement and the climate chart both use it. */
double mr_dew_point_c(double air_c, double rh_pct);

#endif
