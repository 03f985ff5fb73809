/*
 * test_pub_heat.c - heat against what others have published or solved.
 */
#include "assess/heat/heat.h"
#include "assess/heat/steel.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>

Test(pub_heat, peak_share_and_peak_time_have_their_four_values) {
    /* a^(-1/(a-1)) and ln(a)/(a-1), worked out with 60 digits from the closed form of the lumped balance */
    static const struct {
        double a, share, delay;
    } rows[] = {{1.0, 0.367879, 1.0}, {2.0, 0.5, 0.693147}, {4.0, 0.629961, 0.462098}, {10.0, 0.774264, 0.255843}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct mr_heat_curve c = {0.0, 7.0, rows[i].a / 1000.0, 1000.0};
        cr_assert_float_eq(mr_heat_peak_rise(&c) / 7.0, rows[i].share, 5e-7, "a = %g", rows[i].a);
        cr_assert_float_eq(mr_heat_peak_delay(&c) / 1000.0, rows[i].delay, 5e-7, "a = %g", rows[i].a);
        cr_assert_float_eq(mr_heat_rise(&c, mr_heat_peak_delay(&c)), mr_heat_peak_rise(&c), 1e-12, "a = %g",
                           rows[i].a);
    }
}

/* C dT/dt = q(t) - h T and dx/dt = -k x: temperature above the surroundings and unreacted share. */
static int balance(double t, const double y[], double dydt[], void *params) {
    const struct mr_heat_curve *c = params;
    (void)t;
    dydt[0] = c->adiabatic_k * c->k_per_s * y[1] - y[0] / c->tau_s;
    dydt[1] = -c->k_per_s * y[1];
    return GSL_SUCCESS;
}

Test(pub_heat, closed_form_agrees_with_a_numerical_solution) {
    /* independent: GSL's Runge-Kutta-Prince-Dormand integrator, relative error 1e-12 */
    static const double a[] = {0.5, 0.99999, 1.0, 1.0001, 1.2, 4.0, 40.0};
    for (size_t i = 0; i < MR_COUNT(a); i++) {
        struct mr_heat_curve c = {0.0, 5.5, a[i] / 1200.0, 1200.0};
        gsl_odeiv2_system system = {balance, NULL, 2, &c};
        gsl_odeiv2_driver *driver = gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rk8pd, 1.0, 1e-13, 1e-12);
        double t = 0.0, y[2] = {0.0, 1.0};
        for (int step = 1; step <= 40; step++) {
            cr_assert_eq(gsl_odeiv2_driver_apply(driver, &t, 120.0 * step, y), GSL_SUCCESS);
            cr_assert_float_eq(mr_heat_rise(&c, t), y[0], 1e-9, "a = %g, t = %g", a[i], t);
        }
        gsl_odeiv2_driver_free(driver);
    }
}

Test(pub_heat, steel_has_the_properties_of_en_1993_1_2) {
    /* EN 1993-1-2:2005, 3.4.1.2 and 3.4.1.3: 439.80 J/kgK at 20 °C, 487.62 at 100 °C; 53.33 W/mK at 20 °C; the peak
     * of specific heat at 735 °C is 5000 (from memory), 650 above 900 °C */
    static const struct {
        double t, heat, tolerance;
    } rows[] = {{20.0, 439.80, 5e-3},
                {100.0, 487.62, 5e-3},
                {735.0, 5000.0, 1e-6},
                {900.0, 650.0, 1.0},
                {1100.0, 650.0, 1e-12}};
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        cr_assert_float_eq(mr_steel_heat(rows[i].t), rows[i].heat, rows[i].tolerance, "%g °C", rows[i].t);
    cr_assert_float_eq(mr_steel_heat(-10.0), mr_steel_heat(20.0), 0.0);
    /* continuous at 600 °C to the clause's own rounding */
    cr_assert_float_eq(mr_steel_heat(600.0 - 1e-9), mr_steel_heat(600.0), 0.5);
}

Test(pub_heat, adiabatic_rises_of_the_illustrative_plate) {
    /* 6 mm plate, 7850 kg/m3, 440 J/kgK; film 1600 kg/m3, 1000 J/kgK, 100 kJ/kg: worked out by
     * hand, 3.717, 7.167, 18.806 K */
    static const double film_um[] = {500.0, 1000.0, 3000.0}, rise[] = {3.717, 7.167, 18.806};
    for (size_t i = 0; i < 3; i++) {
        double film = mr_film_capacity(film_um[i], 1600.0, 1000.0),
               steel = mr_steel_capacity(6.0, 20.0) * 440.0 / mr_steel_heat(20.0);
        cr_assert_float_eq(film_um[i] * 1e-6 * 1600.0 * 100e3 / (film + steel), rise[i], 5e-4);
    }
}
