/*
 * test_prop_heat_silent.c - records that lack what a verdict needs, or show what is no reaction: such a coat never
 * conforms by them if it is faulty, nor is it condemned if it is sound.
 *
 * Simulated sites as behind `make heat-sites`; then the record of each zone is cut, rounded, thinned or exchanged.
 */
#include "support/heat_site_judge.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum silent {
    SILENT_SUN_PULSE,    /* no heat, and the sun on this plate alone for minutes, from within the window */
    SILENT_OTHER_ZONE,   /* the channel of the next zone */
    SILENT_STARTS_LATE,  /* the record begins up to 4 min after the onset */
    SILENT_ENDS_EARLY,   /* and ends up to 6 min after it */
    SILENT_GAP,          /* no data for 6 min about the peak */
    SILENT_CONSTANT,     /* the same value all day */
    SILENT_WHOLE_DEGREE, /* rounded to 1 degC */
    SILENT_SLOW,         /* one sample a minute */
    SILENTS
};
static const char *const silent_text[SILENTS] = {
    "sun pulse without heat", "probe of another zone", "record starts after onset", "record ends in the rise",
    "gap over the peak",      "constant probe",        "rounded to 1 degC",         "one sample a minute"};

struct tally {
    size_t coats, conform, fail, wrong_conform, wrong_fail, undetermined;
};

static void cut(struct site *s, size_t zone, double from_s, double to_s) {
    for (size_t i = 0; i < s->n; i++)
        if (s->t_s[i] >= from_s && s->t_s[i] <= to_s)
            s->c[zone][i] = NAN;
}

/* A constant flux into a plate that loses heat; the edges of the shadow take 30 s. */
static void add_sun(struct site *s, size_t zone, struct heat_rng *rng) {
    const struct site_zone *z = &s->zone[zone];
    double from = heat_uniform(rng, z->window_s[0], z->window_s[1]), lasts = heat_uniform(rng, 120, 1200);
    double flux = heat_uniform(rng, 80, 350), store = z->steel_mm * 3500, loss = heat_uniform(rng, 10, 18), k = 0;
    for (size_t i = 1; i < s->n; i++) {
        double t = s->t_s[i], dt = t - s->t_s[i - 1];
        double on = fmax(0.0, fmin(1.0, fmin((t - from) / 30.0, (from + lasts - t) / 30.0)));
        k += dt * (on * flux - loss * k) / store;
        s->c[zone][i] += k;
    }
}

static void thin(struct site *s) {
    size_t every = (size_t)lround(60.0 / s->dt_s), n = 0;
    for (size_t i = 0; i < s->n; i += every, n++) {
        s->t_s[n] = s->t_s[i];
        for (size_t p = 0; p < SITE_PROBES; p++)
            if (s->c[p])
                s->c[p][n] = s->c[p][i];
    }
    s->n = n;
    s->dt_s = 60.0;
}

static void spoil(struct site *s, enum silent kind, struct heat_rng *rng) {
    double *first = s->c[0];
    for (size_t z = 0; z < SITE_ZONES; z++) {
        double onset = s->zone[z].onset_s, at = heat_uniform(rng, 0, 1);
        if (kind == SILENT_SUN_PULSE)
            add_sun(s, z, rng);
        if (kind == SILENT_OTHER_ZONE)
            s->c[z] = z + 1 < SITE_ZONES ? s->c[z + 1] : first;
        if (kind == SILENT_STARTS_LATE)
            cut(s, z, 0, onset + 240 * at);
        if (kind == SILENT_ENDS_EARLY)
            cut(s, z, onset + 360 * at, HUGE_VAL);
        if (kind == SILENT_GAP)
            cut(s, z, onset + 30 + 90 * at, onset + 390 + 90 * at);
        for (size_t i = 0; i < s->n && kind == SILENT_CONSTANT; i++)
            s->c[z][i] = 21.5;
        for (size_t i = 0; i < s->n && kind == SILENT_WHOLE_DEGREE; i++)
            s->c[z][i] = floor(s->c[z][i] + 0.5);
    }
    if (kind == SILENT_SLOW)
        thin(s);
}

static enum mr_outcome outcome_of(const struct mr_assess *a, size_t zone, const char **why) {
    enum mr_outcome worst = MR_NOT_REQUIRED;
    for (size_t i = 0; i < a->out->checks.n; i++) {
        const struct mr_check *c = &a->out->checks.v[i];
        if (c->zone != zone || c->outcome <= worst || strcmp(c->group, "reaction") != 0)
            continue;
        worst = c->outcome;
        *why = c->detail;
    }
    return worst;
}

/* A standard error of 0 or above the rise, or a figure that is none, beside a fit that is called good. */
static size_t undetermined(const struct mr_assess *a) {
    size_t n = 0;
    for (size_t i = 0; i < a->out->heats.n; i++) {
        const struct mr_heat_event *e = &a->out->heats.v[i];
        n += e->fit == MR_FIT_OK && !(e->rise_fit_se_k > 0.0 && e->rise_fit_se_k < e->rise_fit_k);
        n += e->fit != MR_FIT_OK && !isnan(e->rise_fit_se_k);
    }
    return n;
}

static struct tally play(enum silent kind, enum site_weather weather, size_t sites) {
    static const double faulty[] = {0.4, 1.0};
    struct tally t = {0};
    const char *seed = getenv("MILRISE_SEED");
    for (size_t i = 0; i < sites; i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        struct site_plan plan = {.seed = (seed ? strtoull(seed, NULL, 10) : 61000) + i,
                                 .weather = weather,
                                 .reference = i % 2,
                                 .ordinary = true,
                                 .faulty_share = faulty[kind == SILENT_SUN_PULSE]};
        struct site *s = site_make(arena, &plan);
        struct heat_rng rng = {.state = plan.seed * 31 + (uint64_t)kind};
        spoil(s, kind, &rng);
        const struct mr_assess *a = site_assess(arena, s);
        t.undetermined += undetermined(a);
        for (size_t z = 0; z < SITE_ZONES; z++) {
            enum site_fault fault = s->zone[z].fault;
            if (kind == SILENT_SUN_PULSE && fault != SITE_NO_HEAT)
                continue;
            const char *why = "";
            enum mr_outcome is = outcome_of(a, z, &why);
            enum site_fault there = s->zone[(z + 1) % SITE_ZONES].fault; /* on the plate that is really seen */
            if (kind == SILENT_OTHER_ZONE && (there == SITE_NO_HEAT || there == SITE_PROBE_OFF))
                continue; /* the record has nothing that tells the place */
            /* Nothing that a wrong place shows is the coat's. */
            bool good = is == MR_CONFORMS && (fault != SITE_HEALTHY || kind == SILENT_OTHER_ZONE),
                 bad = is == MR_DOES_NOT_CONFORM && (fault == SITE_HEALTHY || fault == SITE_PROBE_OFF);
            t.coats++;
            t.conform += is == MR_CONFORMS;
            t.fail += is == MR_DOES_NOT_CONFORM;
            t.wrong_conform += good;
            t.wrong_fail += bad;
            if ((good || bad) && getenv("MILRISE_TELL"))
                printf("  seed %llu zone %zu (%s, %.0f mm, step %.0f s, true rise %.2f K) %s: %s\n",
                       (unsigned long long)plan.seed, z + 1, site_fault_text[fault], s->zone[z].steel_mm, s->dt_s,
                       s->zone[z].true_rise_k, mr_outcome_text(is), why);
        }
        mr_arena_free(arena);
    }
    return t;
}

Test(prop_heat_silent, records_that_lack_something_neither_pass_nor_condemn, .timeout = 300) {
    const char *text = getenv("MILRISE_RUNS");
    size_t sites = text ? strtoull(text, NULL, 10) : 12;
    for (int kind = 0; kind < SILENTS; kind++)
        for (int w = 0; w < 3; w++) {
            struct tally t = play((enum silent)kind, (enum site_weather)w, sites);
            printf("%-26s %-12s %4zu coats: %3zu conform (%zu wrongly), %3zu do not (%zu wrongly), %3zu not shown\n",
                   silent_text[kind], site_weather_text[w], t.coats, t.conform, t.wrong_conform, t.fail, t.wrong_fail,
                   t.coats - t.conform - t.fail);
            cr_expect_eq(t.wrong_conform, 0, "%s, %s", silent_text[kind], site_weather_text[w]);
            cr_expect_eq(t.wrong_fail, 0, "%s, %s", silent_text[kind], site_weather_text[w]);
            cr_expect_eq(t.undetermined, 0, "%s, %s: a figure that says nothing", silent_text[kind],
                         site_weather_text[w]);
        }
}
