/*
 * heat_site.h - a steel site in the weather, simulated explicitly in time: what the heat's judgement is measured on.
 *
 * The physics is written apart from the assessing code and shares no constant with it: plates with a heat balance of
 * their own (sun, sky, wind, rain), a film that lands in seconds and reacts with Arrhenius kinetics, probes that lag,
 * are noisy and round. Each plate is run in the same weather with and without a coat's heat: the greatest difference
 * is the true rise.
 */
#ifndef TEST_HEAT_SITE_H
#define TEST_HEAT_SITE_H

#include "support/heat_sim.h"

enum site_weather { SITE_CALM, SITE_SUN, SITE_CLOUD, SITE_WIND, SITE_RAIN, SITE_WEATHERS };
extern const char *const site_weather_text[SITE_WEATHERS];

enum site_fault {
    SITE_HEALTHY,
    SITE_LESS_25,
    SITE_LESS_40,
    SITE_NO_HEAT,
    SITE_LATE,      /* the heat begins 15 to 20 min after the window opens */
    SITE_EARLY,     /* the window is logged 15 to 20 min too late */
    SITE_OFF_RATIO, /* one part runs short for part of the coat: half the heat, half as fast */
    SITE_PROBE_OFF, /* the probe hangs in the air */
    SITE_FAULTS
};
extern const char *const site_fault_text[SITE_FAULTS];

enum { SITE_ZONES = 6, SITE_PROBES = SITE_ZONES + 2 }; /* zones, the reference on bare steel, the air */

struct site_plan {
    uint64_t seed;
    enum site_weather weather;
    bool reference;      /* a probe stands on steel that is never coated */
    bool ordinary;       /* film, steel, sampling as on most jobs; else over the whole range */
    double faulty_share; /* of the zones */
    bool steady;         /* no scatter of the coats' heat, no noise, for the centre of the band */
    double again_s[2];   /* a second coat begins so long after the first one's onset, from least to most; 0: none */
};

struct site_coat {
    double film_um;
    enum site_fault fault;
    double window_s[2]; /* as the spray log says */
    double onset_s;
    double true_rise_k;
};

struct site_zone {
    double steel_mm, film_um;
    enum site_fault fault;
    double window_s[2];
    double onset_s;
    double true_rise_k;
    bool twice;
    struct site_coat second; /* with twice */
    bool film_not_measured;  /* of each coat by itself */
};

struct site {
    uint64_t seed;
    size_t n; /* samples */
    double dt_s;
    double *t_s;            /* shape: n */
    double *c[SITE_PROBES]; /* shape: n each; NULL where there is no such probe */
    struct site_zone zone[SITE_ZONES];
};

/** site_make - in arena. */
struct site *site_make(struct mr_arena *arena, const struct site_plan *plan);

#define SITE_BAND_STEEL_MM 5.0 /* for which the site's specification states its band of 8 to 10 degF */
#define SITE_BAND_FILM_UM 127.0

#endif
