/*
 * The simulator against closed forms and against a second way of integrating, so that tests that lean on it lean on
 * physics. Source of the formulas: lumped first-order balance, any heat transfer text; see support/simulate.h.
 */
#include "support/simulate.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdbool.h>

static const struct sim_material film = {
    .density_kg_m3 = 1600, .heat_capacity_j_kgk = 1000, .heat_j_kg = 100e3, .k_per_s = 0.01};

/* 6 mm plate, 7850 kg/m3, 440 J/kgK, film 0.5, 1 and 3 mm: 3.717, 7.167, 18.806 K; tau 1116.2 s for 1 mm and 10 W/m2K
 * on both faces. Computed by hand from the balance. */
Test(simulate, adiabatic_rise_and_time_constant_follow_the_balance) {
    static const struct { double film_mm, rise_k; } rows[] = {{0.5, 3.717}, {1.0, 7.167}, {3.0, 18.806}};
    struct sim_steel steel = {.thickness_mm = 6.0, .h_w_m2k = 20.0};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double got = sim_rise_adiabatic(&film, &steel, rows[i].film_mm * 1000);
        cr_assert_float_eq(got, rows[i].rise_k, 0.0005, "film %g mm: %g K", rows[i].film_mm, got);
    }
    cr_assert_float_eq(sim_tau(&film, &steel, 1000.0), 1116.2, 0.05);
}

/* Peak over adiabatic rise a^(-1/(a-1)) for a = k tau: 1 gives 1/e, then 0.5, 0.629961, 0.774264; exact arithmetic.
 */
Test(simulate, peak_of_one_pass_is_the_closed_form) {
    static const struct {
        double a, share;
    } rows[] = {{1.0, 0.36787944}, {2.0, 0.5}, {4.0, 0.62996052}, {10.0, 0.77426368}};
    struct sim_steel steel = {.thickness_mm = 6.0, .h_w_m2k = 20.0};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct sim_material m = film;
        m.k_per_s = rows[i].a / sim_tau(&film, &steel, 500.0);
        double t_s, peak = sim_rise_peak(&m, &steel, 500.0, &t_s);
        cr_assert_float_eq(peak / sim_rise_adiabatic(&m, &steel, 500.0), rows[i].share, 1e-7, "a = %g", rows[i].a);
        cr_assert(sim_rise_at(&m, &steel, 500.0, t_s - 5) < peak && sim_rise_at(&m, &steel, 500.0, t_s + 5) < peak);
    }
}

/* The same two passes by small steps of the differential equation. */
Test(simulate, two_passes_agree_with_stepwise_integration) {
    struct sim_steel steel = {.thickness_mm = 4.0, .h_w_m2k = 15.0};
    struct sim_pass pass[] = {{20.0, 100.0, 1.0}, {95.0, 60.0, 0.8}};
    double capacity = sim_heat_capacity(&film, &steel, 160.0), rise_k = 0.0, dt_s = 0.01;
    for (int i = 0; i < 60000; i++) {
        double t_s = (i + 0.5) * dt_s, heat_w_m2 = -steel.h_w_m2k * rise_k;
        for (int p = 0; p < 2; p++)
            if (t_s > pass[p].t_s)
                heat_w_m2 += pass[p].film_um * 1e-6 * film.density_kg_m3 * film.heat_j_kg * pass[p].share *
                             film.k_per_s * exp(-film.k_per_s * (t_s - pass[p].t_s));
        rise_k += heat_w_m2 / capacity * dt_s;
        if (i % 6000 == 5999)
            cr_assert_float_eq(sim_rise_of(&film, &steel, pass, 2, (i + 1) * dt_s), rise_k, 2e-4, "at %g s",
                               (i + 1) * dt_s);
    }
}

/* Published dew-point table: 20 °C and 60 % give 12.0 °C, 10 °C and 80 % give 6.7 °C (Halesowen weather station's
 * table). */
Test(simulate, humidity_inverts_published_dew_points) {
    cr_assert_float_eq(sim_rh_pct(20.0, 12.0), 60.0, 0.3);
    cr_assert_float_eq(sim_rh_pct(10.0, 6.7), 80.0, 0.4);
}

Test(simulate, normal_deviates_have_their_mean_and_spread) {
    struct sim_rng rng = sim_seed(1, 2);
    double sum = 0.0, squares = 0.0;
    int n = 40000;
    for (int i = 0; i < n; i++) {
        double x = sim_normal(&rng, 3.0, 2.0);
        sum += x;
        squares += (x - 3.0) * (x - 3.0);
    }
    cr_assert_float_eq(sum / n, 3.0, 4 * 2.0 / sqrt(n));
    cr_assert_float_eq(sqrt(squares / n), 2.0, 4 * 2.0 / sqrt(2.0 * n));
}

Test(simulate, same_seed_same_stream_other_stream_differs) {
    struct sim_rng a = sim_seed(7, 1), b = sim_seed(7, 1), c = sim_seed(7, 2);
    int same = 0;
    for (int i = 0; i < 100; i++) {
        double x = sim_uniform(&a);
        cr_assert(x >= 0.0 && x < 1.0);
        double y = sim_uniform(&b), z = sim_uniform(&c);
        cr_assert_eq(x, y, "draw %d", i);
        same += fabs(x - z) < 1e-12;
    }
    cr_assert_eq(same, 0);
}

Test(simulate, pressures_follow_phases_and_faults) {
    struct sim_phase phase[] = {{0, SIM_RELIEVED}, {30, SIM_CHARGED}, {60, SIM_SPRAY}, {300, SIM_RELIEVED}};
    struct sim_fault fault = {150, 165, 'B', 0.25};
    struct sim_lines lines = {phase, 4, &fault, 1};
    static struct sim_pressure p[360];
    struct sim_rng rng = sim_seed(3, 3);
    sim_pressure_log(&rng, &lines, 0.0, 360, p);
    for (int i = 0; i < 360; i++) {
        bool relieved = i < 29 || i > 310, spraying = i > 66 && i<299, faulty = i> 154 && i < 164;
        if (relieved)
            cr_assert(p[i].a_kpa < 10.0 && p[i].b_kpa < 10.0, "second %d", i);
        if (spraying && (i < 150 || i > 172))
            cr_assert(fabs(p[i].a_kpa - p[i].b_kpa) < 0.08 * p[i].a_kpa, "second %d", i);
        if (spraying)
            cr_assert(p[i].a_kpa > 530.0 && p[i].a_kpa < 620.0, "second %d: %g", i, p[i].a_kpa);
        if (faulty)
            cr_assert(p[i].b_kpa < 0.3 * p[i].a_kpa, "second %d", i);
    }
}

Test(simulate, spots_scatter_around_their_area) {
    struct sim_rng rng = sim_seed(5, 5);
    struct sim_film f = {.mean_um = 250, .area_sd = 0.01, .spot_sd = 0.02};
    double sum = 0.0;
    for (int i = 0; i < 2000; i++)
        sum += sim_gauge_um(&rng, sim_spot_film(&rng, &f, sim_area_film(&rng, &f)), 15.0, 0.0, 0.01);
    cr_assert_float_eq(sum / 2000, 265.0, 4 * 265 * 0.025 / sqrt(2000));
}
