/*
 * test_pub_exotherm.c - heat that is not that of a thin film on steel, and the slab behind the lumped balance.
 *
 * Curves of other reacting materials, in the form in which they are published, scaled so that their greatest rise is
 * that of a healthy coat: only the shape can tell. None may conform, and none may be said to give no heat where it
 * does within the time in which a reaction is looked for. Parameters are of usual size (from memory); no data are
 * copied.
 */
#include "assess/heat/heat.h"
#include "support/heat_site_judge.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { STEPS = 20000, LOOKED_FOR_S = 2400 };

/* Share of the heat given off at t minutes. */
struct material {
    const char *name;
    double (*degree)(double min);
    double loss_min; /* cooling constant of the sample; HUGE_VAL: adiabatic */
};

/* Three-parameter model of hydration, exp(-(tau/t)^beta): Freiesleben Hansen and Pedersen 1977; 16 h and 0.9. */
static double concrete(double min) {
    return min > 0.0 ? exp(-pow(16.0 * 60.0 / min, 0.9)) : 0.0;
}

/* The same, of a cement that sets in minutes: 12 min and 1.2. */
static double fast_cement(double min) {
    return min > 0.0 ? exp(-pow(12.0 / min, 1.2)) : 0.0;
}

/* Setting plaster after Avrami (J. Chem. Phys. 7 (1939) 1103), exponent 3, half way at 18 min. */
static double plaster(double min) {
    return min > 0.0 ? 1.0 - exp(-pow(min / 20.3, 3.0)) : 0.0;
}

/* Autocatalytic cure, da/dt = (k1 + k2 a)(1 - a): Kamal and Sourour, Polym. Eng. Sci. 13 (1973) 59, with both orders
 * 1, which has a closed form. Epoxy in a cup: k1 0.004, k2 0.35 a minute. */
static double epoxy(double min) {
    const double k1 = 0.004, k2 = 0.35, e = exp((k1 + k2) * fmax(min, 0.0));
    return (e - 1.0) / (e + k2 / k1);
}

/* Bone cement: nothing for 6 min, then all within two. */
static double bone_cement(double min) {
    return min > 0.0 ? 1.0 / (1.0 + exp(-(min - 7.0) / 0.35)) - 1.0 / (1.0 + exp(20.0)) : 0.0;
}

/* Foam, second order, half in 40 s; its core hardly cools. */
static double foam(double min) {
    return min > 0.0 ? min / (min + 2.0 / 3.0) : 0.0;
}

/* A hot thing laid on the probe: all at once. */
static double touch(double min) {
    return min > 0.0 ? 1.0 : 0.0;
}

static const struct material materials[] = {
    {"concrete, adiabatic", concrete, HUGE_VAL},
    {"concrete, semi-adiabatic", concrete, 1500.0},
    {"fast cement, adiabatic", fast_cement, HUGE_VAL},
    {"fast cement, semi-adiabatic", fast_cement, 60.0},
    {"plaster", plaster, 40.0},
    {"epoxy in a cup", epoxy, 15.0},
    {"bone cement", bone_cement, 8.0},
    {"foam", foam, 240.0},
    {"hot thing, stays", touch, HUGE_VAL},
    {"hot thing, cools at once", touch, 2.0},
};

/* Temperature at the end of each step of 1 s, per kelvin of adiabatic rise. */
static void respond(const struct material *m, double *out) {
    double theta = 0.0, before = 0.0, keep = exp(-1.0 / (60.0 * m->loss_min));
    for (int i = 0; i < STEPS; i++) {
        double now = m->degree((i + 1) / 60.0);
        theta = theta * keep + (now - before);
        before = now;
        out[i] = theta;
    }
}

static void put(struct site *s, size_t zone, const double *theta) {
    const struct site_zone *z = &s->zone[zone];
    double most = 0.0, *c = s->c[zone];
    memcpy(c, s->c[SITE_ZONES], s->n * sizeof *c); /* the bare plate beside it */
    for (size_t i = 0; i < s->n; i++) {
        double since = s->t_s[i] - z->onset_s;
        if (since >= 0.0 && since < STEPS)
            most = fmax(most, theta[(int)since]);
    }
    for (size_t i = 0; i < s->n; i++) {
        double since = s->t_s[i] - z->onset_s;
        if (since >= 0.0 && since < STEPS)
            c[i] += theta[(int)since] / most * z->true_rise_k;
    }
}

struct told {
    size_t conforms, fails, not_shown, no_heat;
};

static void count(const struct mr_assess *a, size_t zone, struct told *told) {
    for (size_t i = 0; i < a->out->checks.n; i++) {
        const struct mr_check *c = &a->out->checks.v[i];
        if (c->zone != zone || strcmp(c->id, "reaction.rise") != 0)
            continue;
        told->conforms += c->outcome == MR_CONFORMS;
        told->fails += c->outcome == MR_DOES_NOT_CONFORM;
        told->not_shown += c->outcome == MR_NOT_SHOWN;
    }
    for (size_t i = 0; i < a->out->findings.n; i++)
        told->no_heat += a->out->findings.v[i].zone == zone && strcmp(a->out->findings.v[i].id, "no-reaction") == 0;
}

Test(pub_exotherm, no_other_material_passes_for_a_film_on_steel, .timeout = 300) {
    static double theta[STEPS];
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (size_t m = 0; m < MR_COUNT(materials); m++) {
        struct told told = {0};
        respond(&materials[m], theta);
        for (size_t i = 0; i < 20; i++) {
            struct site_plan plan = {.seed = 57000 + i, .weather = SITE_CALM, .reference = true, .ordinary = true};
            struct site *s = site_make(arena, &plan);
            size_t zone = i % SITE_ZONES;
            put(s, zone, theta);
            count(site_assess(arena, s), zone, &told);
            mr_arena_reset(arena);
        }
        printf("%-28s %zu conform, %zu do not, %zu are not shown; said to give no heat %zu\n", materials[m].name,
               told.conforms, told.fails, told.not_shown, told.no_heat);
        cr_expect_eq(told.conforms, 0U, "%s", materials[m].name);
        if (theta[LOOKED_FOR_S] > 0.05 * theta[STEPS - 1]) /* concrete has hardly begun by then */
            cr_expect_eq(told.no_heat, 0U, "%s", materials[m].name);
    }
    mr_arena_free(arena);
}

/* ---- the slab ---- */

static const double SLAB_K = 53.3, SLAB_RHO = 7850.0, SLAB_C = 440.0; /* EN 1993-1-2 at 20 °C; density from memory */

/* Back of a plane slab that is insulated there while a film at its front gives off one joule a square metre at the
 * rate k exp(-k t). The response to a heat given off at once is (1 + 2 sum (-1)^n exp(-l_n t)) / (rho c L) with l_n =
 * a n2 pi2 / L2 (Carslaw and Jaeger, Conduction of heat in solids (1959), section 14.3; from memory); Duhamel's
 * integral over it has a closed form. */
static double back_under_film(double thick_m, double k_per_s, double t_s) {
    const double a = SLAB_K / (SLAB_RHO * SLAB_C);
    double sum = 1.0 - exp(-k_per_s * t_s);
    for (int n = 1; n < 200; n++) {
        double l = a * n * n * M_PI * M_PI / (thick_m * thick_m);
        sum += (n % 2 ? -2.0 : 2.0) * k_per_s / (l - k_per_s) * (exp(-k_per_s * t_s) - exp(-l * t_s));
    }
    return sum / (SLAB_RHO * SLAB_C * thick_m);
}

/* Both faces of a plate of one temperature: what the judgement takes for granted up to 20 mm. */
Test(pub_exotherm, the_back_of_a_slab_follows_the_lumped_balance) {
    static const double thick_mm[] = {3, 6, 12, 20}, at_s[] = {30, 60, 120, 240};
    const double k = 1.0 / 75.0;
    for (size_t i = 0; i < MR_COUNT(thick_mm); i++) {
        const double l = thick_mm[i] * 1e-3, whole = 1.0 / (SLAB_RHO * SLAB_C * l);
        const struct mr_heat_curve lumped = {0.0, whole, k, 1e9};
        for (size_t j = 0; j < MR_COUNT(at_s); j++) {
            double off = (back_under_film(l, k, at_s[j]) - mr_heat_rise(&lumped, at_s[j])) / whole;
            /* the back lags by L2/(6 a), 4.3 s at 20 mm: no more of the rise than k gives in that time */
            double lag_s = l * l * SLAB_RHO * SLAB_C / (6.0 * SLAB_K);
            cr_expect(off <= 1e-3 && off >= -1.1 * k * lag_s * exp(-k * (at_s[j] - lag_s)) - 1e-3,
                      "%g mm, %g s: %.4f", thick_mm[i], at_s[j], off);
        }
    }
}

/* The record of the slab's back, with a loss that makes its Biot number 0.004, judged as any record: rise and cooling
 * are those of the lumped balance. */
Test(pub_exotherm, a_slab_gives_its_rise_and_its_cooling) {
    enum { N = 900 };
    static double t[N], c[N], film[N];
    static const double thick_mm[] = {4, 10, 20};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (size_t i = 0; i < MR_COUNT(thick_mm); i++) {
        const double l = thick_mm[i] * 1e-3, k = 1.0 / 75.0, capacity = SLAB_RHO * SLAB_C * l, tau = capacity / 12.0;
        struct heat_rng rng = {.state = 61 + i};
        for (int n = 0; n < N; n++)
            film[n] = n < 200 ? 0.0 : back_under_film(l, k, 5.0 * (n - 199)) * capacity;
        double theta = 0.0, adiabatic_k = 5.0;
        for (int n = 0; n < N; n++) { /* the loss, small against the conduction, from the mean temperature */
            theta = theta * exp(-5.0 / tau) + adiabatic_k * (film[n] - (n ? film[n - 1] : 0.0));
            t[n] = 5.0 * n;
            c[n] = 20.0 + theta + 0.03 * heat_normal(&rng);
        }
        const struct mr_heat_series series = {.n = N, .t_s = t, .value.raw = c};
        const struct mr_heat_options options = {.slowest_s = 1200.0, .least_k = 1.0};
        mr_heat_list found = {0};
        mr_heat_find(arena, arena, &series, &options, &found);
        cr_assert_eq(found.n, 1U, "%g mm: %zu events", thick_mm[i], found.n);
        const struct mr_heat_curve truth = {0.0, adiabatic_k, k, tau};
        cr_expect_eq(found.v[0].fit, MR_FIT_OK);
        cr_expect_float_eq(found.v[0].rise_fit_k / mr_heat_peak_rise(&truth), 1.0, 0.02, "%g mm: %.4f", thick_mm[i],
                           found.v[0].rise_fit_k / mr_heat_peak_rise(&truth));
        cr_expect_float_eq(found.v[0].curve.tau_s / tau, 1.0, 0.1, "%g mm", thick_mm[i]);
    }
    mr_arena_free(arena);
}
