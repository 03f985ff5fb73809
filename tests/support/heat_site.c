/*
 * heat_site.c - see heat_site.h.
 *
 * Figures of the weather (common practice, no source): broken cloud passes a third to all of the sun, about 8 min
 * clear and 6 min dark at a time, its edges 20 to 60 s wide; gusts last about 2 min. Sky radiation is linear about
 * 20 °C. Steel 7830 kg/m3 and 450 J/kgK, from memory, on purpose not the figures of the assessing code.
 */
#include "support/heat_site.h"

#include <math.h>

const char *const site_weather_text[SITE_WEATHERS] = {"calm shade", "sun", "broken cloud", "wind", "rain begins"};
const char *const site_fault_text[SITE_FAULTS] = {"healthy", "25 % less heat", "40 % less heat", "no heat",
                                                  "late",    "logged late",    "off ratio",      "probe off"};

static const double STEP_S = 1.0;

struct weather { /* shape: n each */
    double *air_c, *sun_w_m2, *wind, *wet;
};

/* First-order noise of unit variance and a time of correlation. */
struct wander {
    double value, corr_s;
};
static double wander(struct wander *w, struct heat_rng *rng) {
    double keep = exp(-STEP_S / w->corr_s);
    return w->value = keep * w->value + sqrt(1.0 - keep * keep) * heat_normal(rng);
}

static void cloud(struct heat_rng *rng, size_t n, double *through) {
    bool clear = heat_uniform(rng, 0.0, 1.0) < 0.6;
    double next = 0.0, level = 1.0, target = 1.0, edge = 30.0;
    for (size_t i = 0; i < n; i++) {
        if ((double)i >= next) {
            clear = !clear;
            target = clear ? heat_uniform(rng, 0.9, 1.05) : heat_uniform(rng, 0.3, 0.6);
            edge = heat_uniform(rng, 20.0, 60.0);
            next = (double)i - (clear ? 480.0 : 360.0) * log(1.0 - heat_uniform(rng, 0.0, 1.0));
        }
        level += (target - level) * STEP_S / edge;
        through[i] = level;
    }
}

static struct weather weather_of(struct mr_arena *arena, struct heat_rng *rng, const struct site_plan *plan,
                                 size_t n) {
    struct weather w = {MR_ARRAY(arena, double, n), MR_ARRAY(arena, double, n), MR_ARRAY(arena, double, n),
                        MR_ARRAY(arena, double, n)};
    double *through = MR_ARRAY(arena, double, n), base = heat_uniform(rng, 14.0, 26.0);
    double phase = heat_uniform(rng, 0.0, 2.0 * M_PI), top = heat_uniform(rng, 600.0, 850.0);
    double morning = heat_uniform(rng, 2.0, 7.0) * 3600.0, rain = (double)n * heat_uniform(rng, 0.3, 0.8);
    double breeze = plan->weather == SITE_CALM ? 0.08 : plan->weather == SITE_WIND ? 0.4 : 0.15;
    struct wander gust = {heat_normal(rng), 120.0}, air = {heat_normal(rng), 600.0};
    if (plan->weather == SITE_CLOUD)
        cloud(rng, n, through);
    for (size_t i = 0; i < n; i++) {
        double t = STEP_S * (double)i, sun = 0.0;
        w.air_c[i] = base + 3.0 * sin(2.0 * M_PI * t / 86400.0 + phase) + 0.15 * wander(&air, rng);
        w.wind[i] = fmax(0.2, 1.0 + breeze * wander(&gust, rng)) * (plan->weather == SITE_WIND ? 2.0 : 1.0);
        if (plan->weather == SITE_SUN || plan->weather == SITE_CLOUD)
            sun = top * fmax(0.0, sin(M_PI * (t + morning) / 50400.0));
        if (plan->weather == SITE_WIND)
            sun = 150.0;
        w.sun_w_m2[i] = plan->weather == SITE_CLOUD ? sun * through[i] : sun;
        w.wet[i] = plan->weather == SITE_RAIN && t > rain ? fmin((t - rain) / 120.0, 1.0) : 0.0;
    }
    return w;
}

enum { LAYERS = 2 };

struct layer {
    double film_um, onset_s, heat_j_m3, rate_per_s; /* rate at 20 °C */
};

struct plate {
    double steel_mm, absorbs, faces_w_m2k, sun_delay_s, lag_s;
    size_t n;
    struct layer layer[LAYERS]; /* shape: n */
};

/* One layer's share of a step: its flux in W/m2; the film that has landed is added to capacity. */
static double layer_step(const struct layer *l, double t_s, double t_c, double *on, double *left, double *capacity) {
    if (t_s >= l->onset_s)
        *on = fmin(*on + STEP_S / 12.0, 1.0); /* the gun takes 12 s to pass over */
    *capacity += *on * l->film_um * 1e-6 * 1880.0 * 1050.0;
    double rate = l->rate_per_s * exp(5200.0 * (1.0 / 293.15 - 1.0 / (t_c + 273.15)));
    double reacted = *on * rate * pow(*left, 1.1) * STEP_S;
    *left -= reacted;
    return reacted / STEP_S * l->heat_j_m3 * l->film_um * 1e-6;
}

/* Temperatures of the plate at every step, in the same weather whatever the heat: hot: so many of its layers react
 * with heat. */
static void run(const struct weather *w, size_t n, const struct plate *p, size_t hot, double *out) {
    double steel = p->steel_mm * 1e-3 * 7830.0 * 450.0, t_c = w->air_c[0] + 2.0;
    double left[LAYERS] = {1.0, 1.0}, on[LAYERS] = {0.0};
    t_c += p->absorbs * w->sun_w_m2[0] / p->faces_w_m2k;
    for (size_t i = 0; i < n; i++) {
        double t = STEP_S * (double)i, flux = 0.0, capacity = steel;
        size_t from = (double)i > p->sun_delay_s ? i - (size_t)p->sun_delay_s : 0;
        for (size_t j = 0; j < p->n; j++) {
            double w_m2 = layer_step(&p->layer[j], t, t_c, &on[j], &left[j], &capacity);
            flux += j < hot ? w_m2 : 0.0;
        }
        double convects = p->faces_w_m2k * (0.5 + 0.5 * w->wind[i]);
        flux += p->absorbs * w->sun_w_m2[from] - convects * (t_c - w->air_c[i]);
        flux -= w->wet[i] * (60.0 + 8.0 * (t_c - w->air_c[i]));
        out[i] = t_c;
        t_c += STEP_S * flux / capacity;
    }
}

/* The probe follows the plate with a lag, is read every dt, is noisy and rounds. */
static double *probe(struct mr_arena *arena, struct heat_rng *rng, const double *plate, size_t n, size_t every,
                     double lag_s, double noise_k, double step_k) {
    double *out = MR_ARRAY(arena, double, n / every + 1), seen = plate[0];
    for (size_t i = 0; i < n; i++) {
        seen += (plate[i] - seen) * STEP_S / fmax(lag_s, STEP_S);
        if (i % every == 0) {
            double c = seen + noise_k * heat_normal(rng);
            out[i / every] = step_k > 0.0 ? step_k * floor(c / step_k + 0.5) : c;
        }
    }
    return out;
}

static double pick(struct heat_rng *rng, const double *of, size_t n) {
    return of[(size_t)heat_uniform(rng, 0.0, (double)n - 1e-9)];
}

static const double FIRST_S = 5400.0, APART_S = 1500.0, AFTER_S = 6000.0;

static void spoil_heat(struct layer *l, enum site_fault fault) {
    if (fault == SITE_LESS_25)
        l->heat_j_m3 *= 0.75;
    if (fault == SITE_LESS_40)
        l->heat_j_m3 *= 0.6;
    if (fault == SITE_NO_HEAT)
        l->heat_j_m3 = 0.0;
    if (fault == SITE_OFF_RATIO) {
        l->heat_j_m3 *= 0.5;
        l->rate_per_s *= 0.5;
    }
}

static struct plate plate_of(struct heat_rng *rng, const struct site_plan *plan, struct site_zone *z, size_t k,
                             double rate) {
    static const double all_mm[] = {3, 4, 5, 6, 8, 10, 12, 16, 20}, usual_mm[] = {4, 5, 6, 8};
    z->steel_mm = plan->ordinary ? pick(rng, usual_mm, MR_COUNT(usual_mm)) : pick(rng, all_mm, MR_COUNT(all_mm));
    z->film_um =
        25.4 * heat_uniform(rng, plan->ordinary ? 4.0 : fmax(3.0, 0.4 * z->steel_mm), plan->ordinary ? 8.0 : 12.0);
    z->fault = SITE_HEALTHY;
    const double most_fault = plan->again_s[1] > 0.0 ? (double)SITE_NO_HEAT : (double)(SITE_FAULTS - 1);
    if (heat_uniform(rng, 0.0, 1.0) < plan->faulty_share)
        z->fault = 1 + (enum site_fault)heat_uniform(rng, 0.0, most_fault - 1e-9);
    double opens = FIRST_S + APART_S * (double)k + heat_uniform(rng, 0.0, 60.0);
    z->window_s[0] = opens;
    z->window_s[1] = opens + heat_uniform(rng, 180.0, 420.0);
    z->onset_s = opens + heat_uniform(rng, 5.0, z->window_s[1] - opens - 30.0);
    struct layer l = {.film_um = z->film_um, .onset_s = z->onset_s};
    struct plate p = {.steel_mm = z->steel_mm, .n = 1};
    p.absorbs = heat_uniform(rng, 0.25, 0.5) * heat_uniform(rng, 0.4, 1.0);
    p.faces_w_m2k = heat_uniform(rng, 10.0, 18.0);
    p.sun_delay_s = floor(heat_uniform(rng, 0.0, 4.0));
    l.heat_j_m3 = 8.62e8 * (plan->steady ? 1.0 : 1.0 + 0.02 * heat_normal(rng));
    l.rate_per_s = rate * (plan->steady ? 1.0 : exp(0.1 * heat_normal(rng)));
    p.lag_s = heat_uniform(rng, 2.0, 12.0);
    spoil_heat(&l, z->fault);
    if (z->fault == SITE_LATE)
        l.onset_s = z->onset_s = z->window_s[0] + heat_uniform(rng, 900.0, 1200.0);
    if (z->fault == SITE_EARLY) {
        double late = heat_uniform(rng, 900.0, 1200.0);
        z->window_s[0] += late;
        z->window_s[1] += late;
    }
    p.layer[0] = l;
    return p;
}

/* A second coat over the first; of the faults it may have those of its heat. */
static void coat_again(struct heat_rng *rng, const struct site_plan *plan, struct site_zone *z, double rate,
                       struct plate *p) {
    struct site_coat *second = &z->second;
    const double apart = heat_uniform(rng, plan->again_s[0], plan->again_s[1]);
    z->twice = true;
    z->window_s[1] = fmin(z->window_s[1], z->onset_s + heat_uniform(rng, 0.1, 0.6) * apart);
    second->fault = SITE_HEALTHY;
    if (heat_uniform(rng, 0.0, 1.0) < plan->faulty_share)
        second->fault = SITE_LESS_25 + (enum site_fault)heat_uniform(rng, 0.0, 3.0 - 1e-9);
    second->film_um = z->film_um * heat_uniform(rng, 0.97, 1.03);
    second->onset_s = z->onset_s + apart;
    second->window_s[0] = fmax(z->window_s[1], second->onset_s - heat_uniform(rng, 5.0, 0.9 * apart));
    second->window_s[1] = second->onset_s + heat_uniform(rng, 60.0, 300.0);
    struct layer l = {.film_um = second->film_um, .onset_s = second->onset_s};
    l.heat_j_m3 = 8.62e8 * (1.0 + 0.02 * heat_normal(rng));
    l.rate_per_s = rate * exp(0.1 * heat_normal(rng));
    spoil_heat(&l, second->fault);
    p->layer[p->n++] = l;
}

static double greatest_gap(size_t n, const double *a, const double *b) {
    double most = 0.0;
    for (size_t i = 0; i < n; i++)
        most = fmax(most, a[i] - b[i]);
    return most;
}

struct site *site_make(struct mr_arena *arena, const struct site_plan *plan) {
    struct heat_rng rng = {.state = plan->seed * 7919 + (uint64_t)plan->weather};
    struct site *s = MR_NEW(arena, struct site);
    s->seed = plan->seed;
    static const double all_s[] = {1, 2, 5, 10, 20, 30, 60}, usual_s[] = {1, 5, 10}, steps[] = {0, 0.01, 0.0625, 0.1};
    double noise = plan->steady ? 0.03 : heat_uniform(&rng, 0.02, 0.1),
           step = plan->steady ? 0 : pick(&rng, steps, 4);
    s->dt_s = plan->steady     ? 2
              : plan->ordinary ? pick(&rng, usual_s, MR_COUNT(usual_s))
                               : pick(&rng, all_s, MR_COUNT(all_s));
    double rate = plan->steady ? 1.0 / 80.0 : 1.0 / heat_uniform(&rng, 55.0, 95.0);
    size_t n = (size_t)(FIRST_S + APART_S * SITE_ZONES + AFTER_S), every = (size_t)s->dt_s;
    struct weather w = weather_of(arena, &rng, plan, n);
    double *with = MR_ARRAY(arena, double, n), *without = MR_ARRAY(arena, double, n),
           *both = MR_ARRAY(arena, double, n);
    s->n = (n - 1) / every + 1;
    s->t_s = MR_ARRAY(arena, double, s->n);
    for (size_t i = 0; i < s->n; i++)
        s->t_s[i] = s->dt_s * (double)i;
    for (size_t k = 0; k < SITE_ZONES; k++) {
        struct site_zone *z = &s->zone[k];
        struct plate p = plate_of(&rng, plan, z, k, rate);
        if (plan->again_s[1] > 0.0)
            coat_again(&rng, plan, z, rate, &p);
        run(&w, n, &p, 0, without);
        run(&w, n, &p, 1, with);
        run(&w, n, &p, 2, both);
        z->true_rise_k = greatest_gap(n, with, without);
        z->second.true_rise_k = greatest_gap(n, both, with);
        s->c[k] = probe(arena, &rng, z->fault == SITE_PROBE_OFF ? w.air_c : both, n, every, p.lag_s, noise, step);
    }
    struct plate bare = {.steel_mm = heat_uniform(&rng, 5.0, 8.0),
                         .absorbs = heat_uniform(&rng, 0.3, 0.45),
                         .faces_w_m2k = heat_uniform(&rng, 11.0, 16.0)};
    run(&w, n, &bare, 0, without);
    if (plan->reference)
        s->c[SITE_ZONES] = probe(arena, &rng, without, n, every, 5.0, noise, step);
    s->c[SITE_ZONES + 1] = probe(arena, &rng, w.air_c, n, every, 60.0, noise, step);
    return s;
}
