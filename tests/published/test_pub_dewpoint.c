/*
 * test_pub_dewpoint.c - vapour pressure, dew point and psychrometer against printed tables. Each block names its
 * source and the tolerance that source deserves.
 */
#include "milrise/assess.h"
#include "numeric/dew_point.h"

#include <criterion/criterion.h>
#include <math.h>

static double c_of_f(double t_f) {
    return (t_f - 32.0) * 5.0 / 9.0;
}
static double f_of_c(double t_c) {
    return t_c * 9.0 / 5.0 + 32.0;
}

/* Dew point in °C printed to 0.1 at air temperatures of -10 to 25 °C and 10 to 100 % humidity.
 * Source: dew point table, Halesowen Weather, halesowenweather.co.uk/dew_point1.htm. The table follows older
 * constants (17.27; 237.7), so the tolerance is 0.075 K where steel is coated (t >= 0 °C, RH >= 30 %) and 0.16 K at
 * its dry and cold corner. */
static const struct {
    int air_c;
    double dew_c[10]; /* 10, 20, ... 100 % */
} halesowen[] = {
    {-10, {-35.8, -28.7, -24.3, -21.0, -18.4, -16.3, -14.4, -12.8, -11.3, -10.0}},
    {-5, {-31.9, -24.5, -19.9, -16.5, -13.8, -11.5, -9.6, -7.9, -6.4, -5.0}},
    {0, {-28.0, -20.3, -15.5, -12.0, -9.2, -6.8, -4.8, -3.0, -1.4, 0.0}},
    {5, {-24.1, -16.1, -11.1, -7.5, -4.6, -2.1, 0.0, 1.8, 3.5, 5.0}},
    {10, {-20.2, -11.9, -6.8, -3.0, 0.1, 2.6, 4.8, 6.7, 8.4, 10.0}},
    {15, {-16.4, -7.8, -2.4, 1.5, 4.7, 7.3, 9.6, 11.6, 13.4, 15.0}},
    {20, {-12.5, -3.6, 1.9, 6.0, 9.3, 12.0, 14.4, 16.4, 18.3, 20.0}},
    {25, {-8.7, 0.5, 6.2, 10.4, 13.8, 16.7, 19.1, 21.3, 23.2, 25.0}},
};

Test(pub_dewpoint, eighty_printed_dew_points_come_out) {
    for (size_t i = 0; i < MR_COUNT(halesowen); i++) {
        for (int j = 0; j < 10; j++) {
            double rh = 10.0 * (j + 1), tolerance = halesowen[i].air_c >= 0 && rh >= 30.0 ? 0.075 : 0.165;
            double dew = mr_dew_point_c(halesowen[i].air_c, rh);
            cr_expect(fabs(dew - halesowen[i].dew_c[j]) <= tolerance, "%d C, %g %%: %.3f, printed %.1f",
                      halesowen[i].air_c, rh, dew, halesowen[i].dew_c[j]);
        }
    }
}

/* The same table by the constants it follows: every cell within rounding, which shows that the differences above are
 * the formula's and not a slip in typing. Constants 17.27 and 237.7: sciencealpha.com, dew point page. */
Test(pub_dewpoint, the_printed_table_follows_older_constants) {
    for (size_t i = 0; i < MR_COUNT(halesowen); i++) {
        for (int j = 0; j < 10; j++) {
            double t = halesowen[i].air_c, g = log(0.1 * (j + 1)) + 17.27 * t / (237.7 + t);
            cr_expect(fabs(237.7 * g / (17.27 - g) - halesowen[i].dew_c[j]) < 0.0501);
        }
    }
}

/* Saturation pressure over water in Pa: ASHRAE Handbook Fundamentals 2017, chapter 1, table 3, as quoted in the tests
 * of psychrolib (MIT licence); stated accuracy 300 ppm. Magnus is allowed 0.35 %: it is 0.3 % low at 25 °C by
 * construction. */
Test(pub_dewpoint, saturation_pressures_of_the_handbook_come_out) {
    static const struct { double t_c, pa; } si[] = {{5, 872.6}, {25, 3169.7}, {50, 12351.3}, {100, 101418.0}};
    for (size_t i = 0; i < MR_COUNT(si); i++) {
        cr_expect(fabs(mr_saturation_hyland_wexler_pa(si[i].t_c) / si[i].pa - 1.0) < 3e-4, "%g C", si[i].t_c);
        if (si[i].t_c <= 60.0)
            cr_expect(fabs(mr_saturation_magnus_pa(si[i].t_c) / si[i].pa - 1.0) < 3.5e-3, "%g C", si[i].t_c);
    }
    static const struct { double t_f, psi; } ip[] = {{41, 0.12656}, {77, 0.45973}, {122, 1.79140}, {212, 14.7094}};
    for (size_t i = 0; i < MR_COUNT(ip); i++)
        cr_expect(fabs(mr_saturation_hyland_wexler_pa(c_of_f(ip[i].t_f)) / 6894.757293168 / ip[i].psi - 1.0) < 3e-4,
                  "%g F", ip[i].t_f);
}

/* ASHRAE 2017, chapter 1, example 1 (quoted as above): 40 °C dry, 20 °C wet, 101325 Pa: dew point 7 °C, RH 14 %; its
 * inch-pound twin: 100 °F, 65 °F: dew point 40 °F, RH 13 %. The handbook's wet bulb is the thermodynamic one, ours
 * the aspirated instrument's, which differs by some 5 % of the vapour pressure at a depression of 20 K: dew points
 * are allowed 1 K, humidity 1 %, and the handbook's humidity ratio is not compared. */
Test(pub_dewpoint, handbook_example_of_dry_and_wet_bulb) {
    double e = mr_vapour_wet_bulb_pa(40, 20, 101325);
    cr_expect(fabs(mr_dew_from_vapour_c(e) - 7.0) < 1.0);
    cr_expect(fabs(100.0 * e / mr_saturation_magnus_pa(40) - 14.0) < 1.0);
    e = mr_vapour_wet_bulb_pa(c_of_f(100), c_of_f(65), 101325);
    cr_expect(fabs(mr_dew_from_vapour_c(e) - c_of_f(40)) < 1.0);
    cr_expect(fabs(100.0 * e / mr_saturation_magnus_pa(c_of_f(100)) - 13.0) < 1.0);
}

/* Wet and dry examples in °F. Sources: US Army TM 5-3610-285-14, p. 710 (humidity); R. DeC. Ward, Practical Exercises
 * in Elementary Meteorology, p. 77 ff., from US Weather Bureau tables (dew points, printed to whole degrees). */
Test(pub_dewpoint, weather_bureau_examples) {
    double e = mr_vapour_wet_bulb_pa(c_of_f(68), c_of_f(62), 101325);
    cr_expect(fabs(100.0 * e / mr_saturation_magnus_pa(c_of_f(68)) - 71.0) < 1.0);
    static const struct { double dry_f, wet_f, dew_f; } ward[] = {{47, 44, 41}, {61, 55, 50}, {62, 56, 52}};
    for (size_t i = 0; i < MR_COUNT(ward); i++) {
        double dew_f =
            f_of_c(mr_dew_from_vapour_c(mr_vapour_wet_bulb_pa(c_of_f(ward[i].dry_f), c_of_f(ward[i].wet_f), 101325)));
        cr_expect(fabs(dew_f - ward[i].dew_f) < 0.6, "%g/%g F: %.2f", ward[i].dry_f, ward[i].wet_f, dew_f);
    }
}

/* Air at 30 °C and 55 % condenses at 20 °C and below: glossary entry "dew point", coating glossary page.
 * Air at 70 °F and 65 %: dew point 57 °F, printed trade chart with cells off by up to 3 °F: 1 °F allowed. */
Test(pub_dewpoint, trade_examples) {
    cr_expect(fabs(mr_dew_point_c(30, 55) - 20.0) < 0.1);
    cr_expect(fabs(f_of_c(mr_dew_point_c(c_of_f(70), 65)) - 57.0) < 1.0);
}
