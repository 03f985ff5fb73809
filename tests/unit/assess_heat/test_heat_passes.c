/*
 * test_heat_passes.c - pulses of one window are never added up: a coat that landed in two halves shows two half
 * rises, and neither makes a whole one.
 */
#include "assess/heat/heat.h"
#include "support/heat_site_judge.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

/* The bare plate's record, with as many equal pulses as asked for, each with its share of a healthy rise. */
static void put_pulses(struct site *s, size_t zone, size_t n, double share, double apart_s) {
    struct site_zone *z = &s->zone[zone];
    double *c = s->c[zone], capacity = z->steel_mm * 3500.0;
    memcpy(c, s->c[SITE_ZONES], s->n * sizeof *c);
    z->window_s[1] = fmax(z->window_s[1], z->onset_s + apart_s * (double)n);
    for (size_t p = 0; p < n; p++) {
        struct mr_heat_curve curve = {z->onset_s + apart_s * (double)p, 1.0, 1.0 / 75.0, capacity / 14.0};
        curve.adiabatic_k = share * z->true_rise_k / mr_heat_peak_rise(&curve);
        for (size_t i = 0; i < s->n; i++)
            c[i] += mr_heat_rise(&curve, s->t_s[i]);
    }
}

/* Outcome of the rise. */
static enum mr_outcome rise_of(const struct mr_assess *a, size_t zone, const char **why) {
    for (size_t i = 0; i < a->out->checks.n; i++) {
        const struct mr_check *c = &a->out->checks.v[i];
        *why = c->detail;
        if (c->zone == zone && strcmp(c->id, "reaction.rise") == 0)
            return c->outcome;
    }
    return MR_NOT_REQUIRED;
}

Test(heat_passes, halves_in_one_window_never_make_a_whole) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    size_t whole = 0, told = 0;
    for (size_t i = 0; i < 24; i++) {
        struct site_plan plan = {.seed = 58000 + i, .weather = SITE_CALM, .reference = true, .ordinary = true};
        const char *why = "";
        struct site *s = site_make(arena, &plan);
        put_pulses(s, 0, 1, 1.0, 0.0);
        whole += rise_of(site_assess(arena, s), 0, &why) == MR_CONFORMS;
        s = site_make(arena, &plan);
        put_pulses(s, 0, 2, 0.5, 480.0 + 20.0 * (double)i);
        cr_expect_neq(rise_of(site_assess(arena, s), 0, &why), MR_CONFORMS, "site %zu: %s", i, why);
        told += strstr(why, "2 pulses began in the window") != NULL;
        mr_arena_reset(arena);
    }
    cr_expect_geq(whole, 22U, "%zu of 24 whole coats conform", whole);
    cr_expect_geq(told, 16U, "two passes are told in %zu of 24", told);
    mr_arena_free(arena);
}
