#include "support/simulate.h"

#include <math.h>

#define STEEL_KG_M3 7850.0
#define STEEL_J_KGK 440.0
#define KPA_PER_PSI 6.894757293168361

/* --- chance: SplitMix64 (Steele, Lea and Flood 2014), public domain constants --- */

static uint64_t next(struct sim_rng *rng) {
    uint64_t z = (rng->state += 0x9E3779B97F4A7C15U);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
    return z ^ (z >> 31);
}

struct sim_rng sim_seed(uint64_t seed, uint64_t stream) {
    struct sim_rng rng = {seed * 0xD1342543DE82EF95U + stream};
    rng.state = next(&rng) ^ (stream << 32);
    return rng;
}

double sim_uniform(struct sim_rng *rng) {
    return (double)(next(rng) >> 11) * 0x1p-53;
}

double sim_between(struct sim_rng *rng, double low, double high) {
    return low + (high - low) * sim_uniform(rng);
}

double sim_normal(struct sim_rng *rng, double mean, double sd) {
    double sum = -6.0;
    for (int i = 0; i < 12; i++)
        sum += sim_uniform(rng);
    return mean + sd * sum;
}

double sim_round(double value, double step) {
    return round(value / step) * step;
}

/* --- heat --- */

double sim_heat_capacity(const struct sim_material *material, const struct sim_steel *steel, double film_um) {
    return steel->thickness_mm * 1e-3 * STEEL_KG_M3 * STEEL_J_KGK +
           film_um * 1e-6 * material->density_kg_m3 * material->heat_capacity_j_kgk;
}

double sim_tau(const struct sim_material *material, const struct sim_steel *steel, double film_um) {
    return sim_heat_capacity(material, steel, film_um) / steel->h_w_m2k;
}

double sim_rise_adiabatic(const struct sim_material *material, const struct sim_steel *steel, double film_um) {
    double heat_j_m2 = film_um * 1e-6 * material->density_kg_m3 * material->heat_j_kg;
    return heat_j_m2 / sim_heat_capacity(material, steel, film_um);
}

/* Response to one joule's worth of adiabatic rise; tau belongs to the whole film, which sim_rise_of needs. */
static double unit_rise(double k_per_s, double tau_s, double t_s) {
    if (t_s <= 0.0)
        return 0.0;
    double a = k_per_s * tau_s;
    if (fabs(a - 1.0) < 1e-9)
        return k_per_s * t_s * exp(-k_per_s * t_s);
    return a / (a - 1.0) * (exp(-t_s / tau_s) - exp(-k_per_s * t_s));
}

double sim_rise_at(const struct sim_material *material, const struct sim_steel *steel, double film_um, double t_s) {
    double tau_s = sim_tau(material, steel, film_um);
    return sim_rise_adiabatic(material, steel, film_um) * unit_rise(material->k_per_s, tau_s, t_s);
}

double sim_rise_peak(const struct sim_material *material, const struct sim_steel *steel, double film_um,
                     double *out_t_s) {
    double tau_s = sim_tau(material, steel, film_um);
    double a = material->k_per_s * tau_s;
    double t_s = fabs(a - 1.0) < 1e-9 ? tau_s : tau_s * log(a) / (a - 1.0);
    if (out_t_s)
        *out_t_s = t_s;
    return sim_rise_at(material, steel, film_um, t_s);
}

double sim_rise_of(const struct sim_material *material, const struct sim_steel *steel, const struct sim_pass *passes,
                   size_t n, double t_s) {
    double film_um = 0.0, rise_k = 0.0;
    for (size_t i = 0; i < n; i++)
        film_um += passes[i].film_um;
    double capacity = sim_heat_capacity(material, steel, film_um);
    double tau_s = capacity / steel->h_w_m2k;
    for (size_t i = 0; i < n; i++) {
        double heat_j_m2 = passes[i].film_um * 1e-6 * material->density_kg_m3 * material->heat_j_kg * passes[i].share;
        rise_k += heat_j_m2 / capacity * unit_rise(material->k_per_s, tau_s, t_s - passes[i].t_s);
    }
    return rise_k;
}

/* --- pressure --- */

static const double static_psi = 86.0;  /* charged, trigger shut */
static const double dynamic_psi = 83.0; /* trigger pulled */
static const double stroke_on_s = 26.0, stroke_off_s = 2.5;
static const double lag_s = 0.8; /* hose and gauge follow the pump with this time constant */

static double line_target_psi(enum sim_phase_kind kind, double t_in_phase_s) {
    if (kind == SIM_RELIEVED)
        return 0.3;
    if (kind == SIM_WATER_TEST)
        return 30.0;
    if (kind == SIM_CHARGED)
        return static_psi;
    return fmod(t_in_phase_s, stroke_on_s + stroke_off_s) < stroke_on_s ? dynamic_psi : static_psi;
}

static double fault_factor(const struct sim_lines *lines, char line, double t_s) {
    double factor = 1.0;
    for (size_t i = 0; i < lines->n_faults; i++) {
        const struct sim_fault *f = &lines->faults[i];
        if (f->line == line && t_s >= f->t0_s && t_s < f->t1_s)
            factor *= f->factor;
    }
    return factor;
}

void sim_pressure_log(struct sim_rng *rng, const struct sim_lines *lines, double t0_s, size_t n,
                      struct sim_pressure *out) {
    const double dt_s = 0.1, follow = 1.0 - exp(-dt_s / lag_s);
    double psi[3] = {0.3, 0.3, 0.3}, wander = 0.0;
    size_t phase = 0;
    for (size_t second = 0; second < n; second++) {
        double sum[3] = {0.0, 0.0, 0.0};
        wander += sim_normal(rng, -0.02 * wander, 0.06); /* slow walk of the balance between the lines */
        for (int tick = 0; tick < 10; tick++) {
            double t_s = t0_s + (double)second + 0.1 * tick;
            while (phase + 1 < lines->n_phases && t_s >= lines->phases[phase + 1].t_s)
                phase++;
            enum sim_phase_kind kind = lines->phases[phase].kind;
            double target = line_target_psi(kind, t_s - lines->phases[phase].t_s);
            double stroke = kind == SIM_SPRAY ? 0.9 * sin(2.0 * 3.14159265358979 * 0.83 * t_s) : 0.0;
            double main_psi = kind == SIM_CHARGED || kind == SIM_SPRAY ? static_psi + 0.4 * stroke : target;
            double noise_sd = target > 5.0 ? 0.5 : 0.05, apart = target > 5.0 ? 0.4 + wander : 0.0;
            double want[3] = {(target + stroke + apart) * fault_factor(lines, 'A', t_s),
                              (target - stroke - apart) * fault_factor(lines, 'B', t_s), main_psi};
            for (int i = 0; i < 3; i++) {
                psi[i] += (want[i] - psi[i]) * follow;
                sum[i] += psi[i] + sim_normal(rng, 0.0, noise_sd);
            }
        }
        out[second].a_kpa = fmax(sum[0] / 10.0, 0.0) * KPA_PER_PSI;
        out[second].b_kpa = fmax(sum[1] / 10.0, 0.0) * KPA_PER_PSI;
        out[second].main_kpa = fmax(sum[2] / 10.0, 0.0) * KPA_PER_PSI;
    }
}

/* --- film --- */

double sim_area_film(struct sim_rng *rng, const struct sim_film *film) {
    return film->mean_um * (1.0 + sim_normal(rng, 0.0, film->area_sd));
}

double sim_spot_film(struct sim_rng *rng, const struct sim_film *film, double area_um) {
    return area_um * (1.0 + sim_normal(rng, 0.0, film->spot_sd));
}

double sim_gauge_um(struct sim_rng *rng, double film_um, double base_metal_um, double bias, double noise_sd) {
    return (film_um + base_metal_um) * (1.0 + bias) * (1.0 + sim_normal(rng, 0.0, noise_sd));
}

/* --- climate --- */

double sim_air_c(const struct sim_day *day, double t_s) {
    double hour = t_s / 3600.0;
    double wave = sin(3.14159265358979 * (hour - 5.2) / 20.0); /* 0 at 05:12, 1 at 15:12 */
    return day->low_c + (day->high_c - day->low_c) * wave;
}

double sim_dew_c(const struct sim_day *day, double t_s) {
    return day->dew_c + day->dew_slope_k_h * (t_s / 3600.0 - 12.0);
}

double sim_rh_pct(double air_c, double dew_c) {
    return 100.0 * exp(17.62 * dew_c / (243.12 + dew_c) - 17.62 * air_c / (243.12 + air_c));
}
