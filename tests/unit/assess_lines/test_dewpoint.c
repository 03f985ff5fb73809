/* test_dewpoint.c - what no table prints: guards, inverse, monotony. */
#include "milrise/assess.h"
#include "numeric/dew_point.h"
#include "numeric/magnus.h"

#include <criterion/criterion.h>
#include <math.h>

Test(dewpoint, nothing_comes_of_values_that_no_air_can_have) {
    static const struct {
        double air_c, rh;
    } bad[] = {{20, 0}, {20, -3}, {20, 106}, {61, 50}, {-46, 50}, {NAN, 50}, {20, NAN}, {INFINITY, 50}};
    for (size_t i = 0; i < MR_COUNT(bad); i++)
        cr_expect(isnan(mr_dew_point_c(bad[i].air_c, bad[i].rh)), "row %zu", i);
}

Test(dewpoint, saturated_air_is_its_own_dew_point_and_a_little_over_is_clamped) {
    cr_expect_float_eq(mr_dew_point_c(17.3, 100), 17.3, 0);
    cr_expect_float_eq(mr_dew_point_c(17.3, 103), 17.3, 0);
}

Test(dewpoint, vapour_pressure_at_the_dew_point_is_the_airs_own) {
    for (double t = -40; t <= 60; t += 3.7) {
        for (double rh = 5; rh <= 100; rh += 4.5) {
            double dew = mr_dew_point_c(t, rh), e = rh / 100 * mr_magnus_pa(t);
            cr_expect(dew <= t, "%g C %g %%", t, rh);
            cr_expect(fabs(mr_magnus_pa(dew) / e - 1) < 1e-12, "%g C %g %%", t, rh);
            cr_expect(mr_dew_point_c(t, rh) > mr_dew_point_c(t, rh - 1), "rises with humidity");
        }
    }
}
