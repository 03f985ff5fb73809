/*
 * heat_band.c - the band of a coat's rise, scaled to its steel, its film and its cooling. See heat_job.h.
 *
 * By the lumped balance a coat warms its plate by heat per area over capacity, less what the plate loses meanwhile:
 * rise = A share(k tau). The band is stated for one steel, film and heat loss; here it is multiplied by the coat's
 * own rise over the one that the same film, reacting as fast, would have had there. Thin steel loses more in the same
 * time than thick steel does, and wind takes away what calm air leaves, so a band scaled by capacity alone would sit
 * askew on both.
 */
#include "assess/finding/finding_text.h"
#include "assess/heat/heat.h"
#include "assess/heat/heat_job.h"
#include "assess/heat/steel.h"

#include <math.h>

/* Share of the adiabatic rise that is left at the peak. */
static double share_left(double k_per_s, double tau_s) {
    struct mr_heat_curve curve = {.adiabatic_k = 1.0, .k_per_s = k_per_s, .tau_s = tau_s};
    return mr_heat_peak_rise(&curve);
}

struct mr_heat_usual mr_heat_usual_of(const struct mr_assess *a, size_t zone) {
    const struct mr_zone *z = zone == MR_NONE ? NULL : &a->aligned->zones.v[zone];
    const struct mr_settings *set = z ? z->settings : &a->job->settings;
    double loss = mr_set_num(set, MR_RISE_LOSS), slowest = mr_set_num(set, MR_RISE_SLOWEST);
    struct mr_heat_usual u = {.tau_log_sd = MR_LOSS_LOG_SD, .k_log_sd = MR_RATE_LOG_SD};
    if (z && z->steel_mm > 0.0 && loss > 0.0)
        u.tau_s = mr_steel_capacity(z->steel_mm, 20.0) / loss;
    if (slowest > 0.0)
        u.k_per_s = MR_RATE_TIMES_SLOWEST / slowest;
    return u;
}

static double factor_of(const struct mr_assess *a, const struct mr_coat_heat *coat, const struct mr_probe_heat *p,
                        struct mr_rise_band *b) {
    const struct mr_zone *zone = &a->aligned->zones.v[coat->zone];
    const struct mr_settings *set = zone->settings;
    double steel_mm = mr_set_num(set, MR_RISE_STEEL), film_um = mr_set_num(set, MR_RISE_FILM);
    double density = mr_set_num(set, MR_FILM_DENSITY), heat = mr_set_num(set, MR_FILM_HEAT);
    double loss = mr_set_num(set, MR_RISE_LOSS);
    double factor = 1.0, here = isnan(coat->film_um) ? 0.0 : coat->film_um;
    b->steel = steel_mm > 0.0 && zone->steel_mm > 0.0;
    b->film = film_um > 0.0 && here > 0.0;
    if (b->film)
        factor *= here / film_um;
    if (!b->steel)
        return factor;
    double there = b->film ? film_um : here;
    double capacity =
        mr_steel_capacity(zone->steel_mm, 20.0) + mr_film_capacity(here + coat->below_um, density, heat);
    double stated = mr_steel_capacity(steel_mm, 20.0) + mr_film_capacity(there, density, heat);
    factor *= stated / capacity;
    struct mr_heat_usual usual = mr_heat_usual_of(a, coat->zone);
    bool known = p && p->tau_s > 0.0 && p->k_per_s > 0.0;
    double tau = known ? p->tau_s : usual.tau_s, k = known ? p->k_per_s : usual.k_per_s;
    if (!(loss > 0.0) || !(k > 0.0) || !(tau > 0.0))
        return factor;
    b->cooling = true;
    b->tau_s = tau;
    b->loss_put_back = known;
    return factor * share_left(k, tau) / share_left(usual.k_per_s > 0.0 ? usual.k_per_s : k, stated / loss);
}

struct mr_rise_band mr_rise_band_of(struct mr_assess *a, const struct mr_coat_heat *coat,
                                    const struct mr_probe_heat *p) {
    const struct mr_settings *set = a->aligned->zones.v[coat->zone].settings;
    struct mr_limit low = mr_limit_of(a, set, MR_RISE_MIN), high = mr_limit_of(a, set, MR_RISE_MAX);
    struct mr_rise_band b = {
        .unit = low.set ? low.unit : high.unit, .decimals = 1, .source = low.set ? low.source : high.source};
    b.factor = factor_of(a, coat, p, &b);
    b.low_k = b.factor * mr_set_num(set, MR_RISE_MIN);
    b.high_k = b.factor * mr_set_num(set, MR_RISE_MAX);
    b.none_k = 2.0 * mr_heat_least_k(a, coat->zone);
    return b;
}

/* A thick plate warms little: what counts as no reaction shrinks with the band. */
double mr_heat_least_k(struct mr_assess *a, size_t zone) {
    const struct mr_settings *set = zone == MR_NONE ? &a->job->settings : a->aligned->zones.v[zone].settings;
    double none = mr_set_num(set, MR_RISE_NONE), low = mr_set_num(set, MR_RISE_MIN);
    struct mr_coat_heat bare = {.zone = zone, .film_um = MR_NAN, .capacity = MR_NAN};
    struct mr_rise_band unused = {.factor = 1.0};
    double factor = zone == MR_NONE ? 1.0 : factor_of(a, &bare, NULL, &unused);
    if (!isnan(low))
        none = fmin(isnan(none) ? 1e9 : none, 0.5 * low * fmin(factor, 1.0));
    return isnan(none) ? 0.5 : 0.5 * none;
}
