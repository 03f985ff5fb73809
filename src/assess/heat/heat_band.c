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
#include "numeric/select.h"
#include "numeric/summary_stats.h"

#include <math.h>

/* A fit of first order is off by as much in its cooling constant, however small its standard error; plates of one job
 * scatter by at least as much in their loss; so many coats show what they share. Measured on simulated sites. */
static const double SHAPE_LOG_SD = 0.15, WEATHER_LOG_SD = 0.3, SHARED_LOG_SD = 0.1;
enum { SHARED_BY = 4 };

/* Share of the adiabatic rise that is left at the peak. */
static double share_left(double k_per_s, double tau_s) {
    struct mr_heat_curve curve = {.adiabatic_k = 1.0, .k_per_s = k_per_s, .tau_s = tau_s};
    return mr_heat_peak_rise(&curve);
}

struct mr_heat_usual mr_heat_usual_of(const struct mr_assess *a, size_t zone) {
    const struct mr_zone *z = zone == MR_NONE ? NULL : &a->aligned->zones.v[zone];
    const struct mr_settings *set = z ? z->settings : &a->job->settings;
    double slowest = mr_set_num(set, MR_RISE_SLOWEST);
    struct mr_heat_usual u = {.tau_log_sd = MR_LOSS_LOG_SD, .k_log_sd = MR_RATE_LOG_SD};
    if (z && z->steel_mm > 0.0)
        u.tau_s = mr_steel_capacity(z->steel_mm, 20.0) / MR_LOSS_USUAL;
    if (slowest > 0.0)
        u.k_per_s = MR_RATE_TIMES_SLOWEST / slowest;
    return u;
}

/* Share that the plate keeps, over the one that the stated plate would keep under the stated loss from a reaction of
 * the stated rate; what is not stated is as the job's coats show it, or as this one does. */
static double cooling_factor(const struct mr_assess *a, size_t zone, double capacity, double stated,
                             const struct mr_probe_heat *p, struct mr_rise_band *b) {
    const struct mr_settings *set = a->aligned->zones.v[zone].settings;
    struct mr_heat_usual usual = mr_heat_usual_of(a, zone);
    bool known = p->cooling_s > 0.0 && p->rate_per_s > 0.0;
    double shared_tau = p->shared_loss > 0.0 ? capacity / p->shared_loss : usual.tau_s;
    double tau = known ? p->cooling_s : shared_tau;
    double k = known ? p->rate_per_s : p->shared_rate > 0.0 ? p->shared_rate : usual.k_per_s;
    if (!(k > 0.0) || !(tau > 0.0))
        return 1.0;
    double loss = mr_set_num(set, MR_RISE_LOSS), time = mr_set_num(set, MR_RISE_TIME);
    if (!(loss > 0.0))
        loss = p->shared_loss > 0.0 ? p->shared_loss : capacity / tau;
    double rate = time > 0.0 ? 1.0 / time : p->shared_rate > 0.0 ? p->shared_rate : k;
    b->cooling = true;
    b->tau_s = tau;
    double answers = fabs(log(share_left(1.1 * k, tau) / share_left(k, tau)) / log(1.1)); /* to tau as to k */
    b->doubt = answers * (known ? hypot(p->cooling_log_sd, p->rate_log_sd) : hypot(MR_LOSS_LOG_SD, MR_RATE_LOG_SD));
    b->gusts = known ? answers * p->gust_log_sd : 0.0;
    return share_left(k, tau) / share_left(rate, stated / loss);
}

static double factor_of(const struct mr_assess *a, const struct mr_coat_heat *coat, const struct mr_probe_heat *p,
                        struct mr_rise_band *b) {
    const struct mr_zone *zone = &a->aligned->zones.v[coat->zone];
    const struct mr_settings *set = zone->settings;
    double steel_mm = mr_set_num(set, MR_RISE_STEEL), film_um = mr_set_num(set, MR_RISE_FILM);
    double density = mr_set_num(set, MR_FILM_DENSITY), heat = mr_set_num(set, MR_FILM_HEAT);
    double factor = 1.0, here = isnan(coat->film_um) ? 0.0 : coat->film_um;
    b->steel = steel_mm > 0.0 && zone->steel_mm > 0.0;
    b->film = film_um > 0.0 && here > 0.0;
    b->open = (steel_mm > 0.0 && !b->steel) || (film_um > 0.0 && !b->film);
    if (b->film)
        factor *= here / film_um;
    if (!b->steel)
        return factor;
    double there = b->film ? film_um : here;
    double capacity =
        mr_steel_capacity(zone->steel_mm, 20.0) + mr_film_capacity(here + coat->below_um, density, heat);
    double stated = mr_steel_capacity(steel_mm, 20.0) + mr_film_capacity(there, density, heat);
    factor *= stated / capacity;
    return p ? factor * cooling_factor(a, coat->zone, capacity, stated, p, b) : factor;
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

/* ---- what the coats of a job share ---- */

/* Plates of one job stand in one air and their film is one material: heat loss and rate of a coat are drawn to what
 * the others show, as far as its own fit leaves them open. */
struct shared {
    size_t n;
    double middle, log_sd; /* of the logarithms */
};

static bool speaks(const struct mr_coat_heat *coat, const struct mr_probe_heat *p) {
    return p->pulse == MR_PULSE_IN_TIME && p->n_more == 0 && p->also_of == MR_NONE && coat->capacity > 0.0 &&
           p->tau_se < 0.5 * p->tau_s && p->k_se < 0.5 * p->k_per_s;
}

static struct shared share(struct mr_assess *a, const mr_coat_heats *coats, bool rate) {
    size_t room = 0;
    for (size_t i = 0; i < coats->n; i++)
        room += coats->v[i].n_probes;
    struct shared out = {0};
    double *ln = MR_ARRAY(a->arena, double, room), *work = MR_ARRAY(a->arena, double, room);
    for (size_t i = 0; i < coats->n; i++)
        for (size_t j = 0; j < coats->v[i].n_probes; j++) {
            const struct mr_probe_heat *p = &coats->v[i].probes[j];
            if (speaks(&coats->v[i], p))
                ln[out.n++] = rate ? log(p->k_per_s) : log(coats->v[i].capacity / p->tau_s);
        }
    if (out.n < SHARED_BY)
        return (struct shared){.n = 0};
    out.log_sd = fmax(mr_mad(ln, out.n, work), SHARED_LOG_SD);
    out.middle = mr_median(ln, out.n);
    return out;
}

/* Where both disagree by more than they leave open, both are in doubt (Birge, Phys. Rev. 40 (1932) 207). */
static double draw(double own_ln, double own_sd, double other_ln, double other_sd, double *out_sd) {
    double own = 1.0 / (own_sd * own_sd), other = 1.0 / (other_sd * other_sd);
    *out_sd = fmax(1.0, fabs(own_ln - other_ln) / hypot(own_sd, other_sd)) / sqrt(own + other);
    return (own * own_ln + other * other_ln) / (own + other);
}

static void settle(const struct mr_coat_heat *coat, const struct shared *loss, const struct shared *rate,
                   struct mr_probe_heat *p) {
    p->shared_loss = loss->n ? exp(loss->middle) : MR_NAN;
    p->shared_rate = rate->n ? exp(rate->middle) : MR_NAN;
    double tau_sd = hypot(p->tau_se / p->tau_s, p->weather ? WEATHER_LOG_SD : SHAPE_LOG_SD),
           k_sd = p->k_se / p->k_per_s;
    if (isnan(p->tau_s))
        return;
    p->cooling_s = p->tau_s;
    p->cooling_log_sd = tau_sd;
    p->rate_per_s = p->k_per_s;
    p->rate_log_sd = k_sd;
    if (loss->n && coat->capacity > 0.0)
        p->cooling_s =
            exp(draw(log(p->tau_s), tau_sd, log(coat->capacity) - loss->middle, loss->log_sd, &p->cooling_log_sd));
    if (rate->n)
        p->rate_per_s =
            exp(draw(log(p->k_per_s), hypot(k_sd, SHARED_LOG_SD), rate->middle, rate->log_sd, &p->rate_log_sd));
}

void mr_heat_settle_cooling(struct mr_assess *a, mr_coat_heats *coats) {
    struct shared loss = share(a, coats, false), rate = share(a, coats, true);
    for (size_t i = 0; i < coats->n; i++)
        for (size_t j = 0; j < coats->v[i].n_probes; j++)
            settle(&coats->v[i], &loss, &rate, &coats->v[i].probes[j]);
}
