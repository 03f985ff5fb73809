/*
 * heat_hand.h - a job built by hand: zones with one coat each, a probe that logs every 10 s from one hour before to
 * two hours after, and what each of them saw.
 */
#ifndef ASSESS_HEAT_HEAT_HAND_H
#define ASSESS_HEAT_HEAT_HAND_H

#include "assess/finding/assessment.h"
#include "assess/heat/heat.h"
#include "support/heat_sim.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ZONES_MOST = 12, SAMPLES = 1080 };
static const int64_t T0 = 1778500800000; /* the first window opens; each zone two minutes after the one before */

struct seen {       /* what a zone's probe sees */
    double rise_k;  /* peak; 0 = nothing */
    double after_s; /* onset after the window opens */
    double steel_mm, film_um;
    bool no_data;
    double sun_k_per_h; /* steady warming of the steel */
    double noise_k;     /* of the probe; 0: 0.03 */
    double tau_s;       /* of the cooling; 0: 1500 */
};

struct site {
    struct mr_arena *arena;
    struct mr_job job;
    struct mr_settings *settings;
    struct mr_alignment aligned;
    struct mr_assessment out;
    struct mr_assess a;
};

static inline void set(struct site *s, enum mr_setting_id id, double value, enum mr_unit unit) {
    s->settings->v[id] = (struct mr_setting){.set = true,
                                             .from_job = true,
                                             .value = value,
                                             .written = mr_from_canonical(unit, value),
                                             .unit = unit,
                                             .text = "x"};
}

static inline void add_track(struct site *s, size_t zone, bool gun, const struct seen *seen, int64_t t0) {
    int64_t *t = MR_ARRAY(s->arena, int64_t, SAMPLES);
    double *c = MR_ARRAY(s->arena, double, SAMPLES);
    int64_t *line = MR_ARRAY(s->arena, int64_t, SAMPLES);
    struct heat_rng rng = {.state = 100 + zone};
    struct mr_heat_curve curve = {seen->after_s, 1.0, 0.015, seen->tau_s > 0.0 ? seen->tau_s : 1500.0};
    curve.adiabatic_k = seen->rise_k / mr_heat_peak_rise(&curve);
    for (int i = 0; i < SAMPLES; i++) {
        double at = 10.0 * i - 3600.0;
        t[i] = t0 + (int64_t)(at * 1e3);
        c[i] = seen->no_data && at > -600.0 && at < 1800.0
                   ? NAN
                   : 20.0 + (seen->noise_k > 0.0 ? seen->noise_k : 0.03) * heat_normal(&rng) +
                         (seen->rise_k > 0.0 ? mr_heat_rise(&curve, at) : 0.0) + seen->sun_k_per_h * at / 3600.0;
        line[i] = (int64_t)(2 + i);
    }
    struct mr_track track = {.instrument = "logger",
                             .channel = mr_printf(s->arena, "ch%zu", zone),
                             .meaning = MR_M_PROBE_TEMP,
                             .n = SAMPLES,
                             .t_utc_ms.raw = t,
                             .value.raw = c,
                             .line.raw = line};
    struct mr_stay stay = {.zone = gun ? MR_NONE : zone,
                           .gun = gun,
                           .t0_utc_ms = INT64_MIN,
                           .t1_utc_ms = INT64_MAX,
                           .route = MR_ROUTE_ASSIGNED};
    MR_PUSH(s->arena, &track.stays, stay);
    MR_PUSH(s->arena, &s->aligned.tracks, track);
}

static inline struct site *build(const struct seen *seen, size_t n) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct site *s = MR_NEW(arena, struct site);
    s->arena = arena;
    s->job = *mr_job_default(arena);
    s->settings = &s->job.settings;
    s->aligned.job = &s->job;
    struct mr_clock clock = {.instrument = "logger", .stated = true};
    MR_PUSH(arena, &s->aligned.clocks, clock);
    for (size_t z = 0; z < n; z++) {
        struct mr_zone zone = {.name = mr_printf(arena, "Z%zu", z + 1),
                               .aliases = "",
                               .registered = true,
                               .area_m2 = 10,
                               .steel_mm = seen[z].steel_mm,
                               .settings = s->settings,
                               .coats = 1};
        MR_PUSH(arena, &s->aligned.zones, zone);
        int64_t t0 = T0 + 120000 * (int64_t)z;
        struct mr_window window = {.zone = z, .coat = 1, .t0_utc_ms = t0, .t1_utc_ms = t0 + 300000};
        MR_PUSH(arena, &s->aligned.windows, window);
        add_track(s, z, false, &seen[z], t0);
        if (seen[z].film_um > 0.0) {
            struct mr_zone_film film = {.zone = z, .mean_um = seen[z].film_um};
            MR_PUSH(arena, &s->out.films, film);
        }
    }
    s->a = (struct mr_assess){.arena = arena, .aligned = &s->aligned, .job = &s->job, .out = &s->out};
    return s;
}

static inline const struct mr_check *check(const struct site *s, const char *id, size_t zone) {
    for (size_t i = 0; i < s->out.checks.n; i++)
        if (strcmp(s->out.checks.v[i].id, id) == 0 && s->out.checks.v[i].zone == zone)
            return &s->out.checks.v[i];
    return NULL;
}

static inline const struct mr_finding *finding(const struct site *s, const char *id, size_t zone) {
    for (size_t i = 0; i < s->out.findings.n; i++)
        if (strcmp(s->out.findings.v[i].id, id) == 0 && s->out.findings.v[i].zone == zone)
            return &s->out.findings.v[i];
    return NULL;
}

static inline const struct mr_table *table(const struct site *s, const char *id) {
    for (size_t i = 0; i < s->out.tables.n; i++)
        if (strcmp(s->out.tables.v[i]->id, id) == 0)
            return s->out.tables.v[i];
    return NULL;
}

#endif
