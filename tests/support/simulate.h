/*
 * simulate.h - a seeded simulator of what the instruments see on a coating job.
 *
 * The sample job and tests of every stage draw on it, so that the truth behind a log is known. It models
 *   heat      a film that reacts by a first-order law and shares its heat with the steel behind it, cooled on both
 *             faces (lumped balance; the film counts to the heat capacity),
 *   pressure  a two-line pump: ramps with the trigger, strokes, ripple, faults; worked at 10 Hz, given at 1 Hz,
 *   film      pass by pass, with area-to-area, spot-to-spot and gauge scatter,
 *   climate   a day's air temperature and humidity over a slowly moving dew point.
 * Same seed, same figures: the generator is integer arithmetic, the normal deviate a sum of twelve uniform ones.
 * Nothing here shares code with milrise itself.
 *
 * Sources: lumped first-order balance, any heat transfer text (formulas beside the functions); saturation pressure
 * 6.112 exp(17.62 t / (243.12 + t)) hPa, WMO form of Magnus after Sonntag 1990; steel 7850 kg/m3 (from memory) and
 * 440 J/kgK (EN 1993-1-2, 3.4.1.2, at 20 °C).
 */
#ifndef TESTS_SUPPORT_SIMULATE_H
#define TESTS_SUPPORT_SIMULATE_H

#include <stddef.h>
#include <stdint.h>

/* --- chance -------------------------------------------------------------------------------------------------- */

struct sim_rng {
    uint64_t state;
};

/** sim_seed - start a stream. Streams with different (seed, stream) pairs are independent for our purposes, so each
 *  instrument has its own and a change to one leaves the others as they were. */
struct sim_rng sim_seed(uint64_t seed, uint64_t stream);

/** sim_uniform - in [0, 1). sim_between - in [low, high). sim_normal - mean and SD; never beyond 6 SD. */
double sim_uniform(struct sim_rng *rng);
double sim_between(struct sim_rng *rng, double low, double high);
double sim_normal(struct sim_rng *rng, double mean, double sd);

/** sim_round - value to the nearest multiple of step, as an instrument's display does. */
double sim_round(double value, double step);

/* --- heat ---------------------------------------------------------------------------------------------------- */

struct sim_material {
    double density_kg_m3, heat_capacity_j_kgk; /* of the film */
    double heat_j_kg;                          /* released by a kilogram of film */
    double k_per_s;                            /* first-order rate */
};

struct sim_steel {
    double thickness_mm;
    double h_w_m2k; /* convection and radiation, both faces together */
};

/* Material landing on the place where the probe sits. */
struct sim_pass {
    double t_s;
    double film_um;
    double share; /* of the heat that comes free: 1 a sound mix, 0 no reaction */
};

/** sim_heat_capacity - of steel and film together, J/m2K. sim_tau - cooling time constant, s. */
double sim_heat_capacity(const struct sim_material *material, const struct sim_steel *steel, double film_um);
double sim_tau(const struct sim_material *material, const struct sim_steel *steel, double film_um);

/** sim_rise_adiabatic - rise without losses, K: film rho H / capacity. */
double sim_rise_adiabatic(const struct sim_material *material, const struct sim_steel *steel, double film_um);

/** sim_rise_at - rise above the baseline t_s after one pass landed, K:
 *  adiabatic a/(a - 1) (exp(-t/tau) - exp(-k t)), a = k tau (a = 1: adiabatic k t exp(-k t)). */
double sim_rise_at(const struct sim_material *material, const struct sim_steel *steel, double film_um, double t_s);

/** sim_rise_peak - greatest rise of one pass, K: adiabatic a^(-1/(a - 1)); *out_t_s when, tau ln a / (a - 1). */
double sim_rise_peak(const struct sim_material *material, const struct sim_steel *steel, double film_um,
                     double *out_t_s);

/** sim_rise_of - rise at t_s of several passes; film_um of all of them takes part in the capacity. */
double sim_rise_of(const struct sim_material *material, const struct sim_steel *steel, const struct sim_pass *passes,
                   size_t n, double t_s);

/* --- pressure ------------------------------------------------------------------------------------------------ */

enum sim_phase_kind {
    SIM_RELIEVED,   /* lines open to the air */
    SIM_WATER_TEST, /* near 30 psi */
    SIM_CHARGED,    /* main on, trigger shut */
    SIM_SPRAY       /* trigger pulled, let go for a moment at each turn */
};

struct sim_phase { /* holds until the next one */
    double t_s;
    enum sim_phase_kind kind;
};

struct sim_fault { /* a line's pressure is multiplied by factor */
    double t0_s, t1_s;
    char line; /* 'A' or 'B' */
    double factor;
};

struct sim_lines {
    const struct sim_phase *phases;
    size_t n_phases;
    const struct sim_fault *faults;
    size_t n_faults;
};

struct sim_pressure {
    double a_kpa, b_kpa, main_kpa;
};

/** sim_pressure_log - n one-second means from t0_s on. */
void sim_pressure_log(struct sim_rng *rng, const struct sim_lines *lines, double t0_s, size_t n,
                      struct sim_pressure *out);

/* --- film ---------------------------------------------------------------------------------------------------- */

struct sim_film {
    double mean_um;
    double area_sd, spot_sd; /* share of the mean */
};

/** sim_area_film - true film of one area; sim_spot_film - of a spot in it; sim_gauge_um - one shown value over film:
 *  (film + base metal) (1 + bias), with noise_sd as a share. */
double sim_area_film(struct sim_rng *rng, const struct sim_film *film);
double sim_spot_film(struct sim_rng *rng, const struct sim_film *film, double area_um);
double sim_gauge_um(struct sim_rng *rng, double film_um, double base_metal_um, double bias, double noise_sd);

/* --- climate ------------------------------------------------------------------------------------------------- */

struct sim_day {
    double low_c, high_c; /* air: least shortly after five in the morning, greatest in mid-afternoon */
    double dew_c;         /* dew point at noon */
    double dew_slope_k_h; /* its change by the hour */
};

/** sim_air_c, sim_dew_c - at a local time of day. sim_rh_pct - from air and dew point. */
double sim_air_c(const struct sim_day *day, double t_s);
double sim_dew_c(const struct sim_day *day, double t_s);
double sim_rh_pct(double air_c, double dew_c);

#endif
