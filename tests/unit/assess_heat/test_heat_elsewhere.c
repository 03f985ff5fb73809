/*
 * test_heat_elsewhere.c - a coat that lacks its heat is not condemned while the heat may stand on the records at
 * another time or in another place. That a clock and a place are doubted before a coat: project decision.
 */
#include "assess/heat/heat_job.h"
#include "support/heat_sim.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#define T0 INT64_C(1778486400000) /* 2026-05-11 08:00 UTC */
enum { SAMPLES = 1080, APART_MS = 1500000 };

struct site {
    struct mr_arena *arena;
    struct mr_job job;
    struct mr_alignment aligned;
    struct mr_assessment out;
    struct mr_assess a;
};

static struct site *begin(bool stated) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct site *s = MR_NEW(arena, struct site);
    s->arena = arena;
    s->job = *mr_job_default(arena);
    s->aligned.job = &s->job;
    struct mr_clock clock = {.instrument = "logger", .stated = stated};
    MR_PUSH(arena, &s->aligned.clocks, clock);
    s->a = (struct mr_assess){.arena = arena, .aligned = &s->aligned, .job = &s->job, .out = &s->out};
    return s;
}

/* A probe that stays there and warms by 5 K at every moment (s after eight, NaN none) of two. */
static void add_probe(struct site *s, struct mr_stay stay, double hit_s, double other_hit_s) {
    const size_t number = s->aligned.tracks.n;
    int64_t *t = MR_ARRAY(s->arena, int64_t, SAMPLES);
    double *c = MR_ARRAY(s->arena, double, SAMPLES);
    int64_t *line = MR_ARRAY(s->arena, int64_t, SAMPLES);
    struct heat_rng rng = {.state = 100 + number};
    struct mr_heat_curve curve = {0.0, 1.0, 0.015, 1500.0};
    curve.adiabatic_k = 5.0 / mr_heat_peak_rise(&curve);
    for (int i = 0; i < SAMPLES; i++) {
        double at = 10.0 * i - 3600.0;
        t[i] = T0 + (int64_t)(at * 1e3);
        c[i] = 20.0 + 0.03 * heat_normal(&rng);
        c[i] += isnan(hit_s) ? 0.0 : mr_heat_rise(&curve, at - hit_s);
        c[i] += isnan(other_hit_s) ? 0.0 : mr_heat_rise(&curve, at - other_hit_s);
        line[i] = (int64_t)(2 + i);
    }
    struct mr_track track = {.instrument = "logger",
                             .channel = mr_printf(s->arena, "ch%zu", number + 1),
                             .meaning = MR_M_PROBE_TEMP,
                             .n = SAMPLES,
                             .t_utc_ms.raw = t,
                             .value.raw = c,
                             .line.raw = line};
    stay.t0_utc_ms = INT64_MIN;
    stay.t1_utc_ms = INT64_MAX;
    stay.route = MR_ROUTE_ASSIGNED;
    MR_PUSH(s->arena, &track.stays, stay);
    MR_PUSH(s->arena, &s->aligned.tracks, track);
}

/* A zone, sprayed `number` times 25 min after eight for five minutes, and the probe that stands on it. */
static void add_zone(struct site *s, int number, double hit_s, double other_hit_s) {
    size_t z = s->aligned.zones.n;
    struct mr_zone zone = {.name = mr_printf(s->arena, "Z%zu", z + 1),
                           .aliases = "",
                           .registered = true,
                           .area_m2 = 10,
                           .steel_mm = 5,
                           .settings = &s->job.settings,
                           .coats = 1};
    MR_PUSH(s->arena, &s->aligned.zones, zone);
    int64_t t0 = T0 + (int64_t)APART_MS * number;
    struct mr_window window = {.zone = z, .coat = 1, .t0_utc_ms = t0, .t1_utc_ms = t0 + 300000};
    MR_PUSH(s->arena, &s->aligned.windows, window);
    add_probe(s, (struct mr_stay){.zone = z}, hit_s, other_hit_s);
}

static const struct mr_check *check(struct site *s, const char *id, size_t zone) {
    for (size_t i = 0; i < s->out.checks.n; i++)
        if (strcmp(s->out.checks.v[i].id, id) == 0 && s->out.checks.v[i].zone == zone)
            return &s->out.checks.v[i];
    cr_assert_fail("no check %s", id);
    return NULL;
}

static bool is_told(const struct site *s, const char *words) {
    for (size_t i = 0; i < s->out.findings.n; i++)
        if (strstr(s->out.findings.v[i].next_step, words))
            return true;
    return false;
}

/* 15 min after the opening: late, or a logger that is 12 min fast. Other coats in time, or the job's word for the
 * clock, decide. */
Test(heat_elsewhere, late_heat_may_be_a_clock_that_nothing_confirms) {
    for (int kind = 0; kind < 3; kind++) {
        struct site *s = begin(kind == 1);
        add_zone(s, 0, 900, NAN);
        for (int i = 1; i < 4 && kind == 2; i++)
            add_zone(s, i, 1500 * i + 60, NAN);
        mr_assess_reaction(&s->a);
        const struct mr_check *onset = check(s, "reaction.onset", 0);
        cr_expect_eq(onset->outcome, kind ? MR_DOES_NOT_CONFORM : MR_NOT_SHOWN, "%d: %s", kind, onset->detail);
        cr_expect_eq(is_told(s, "clock offset"), kind == 0, "%d", kind);
        mr_arena_free(s->arena);
    }
}

/* No heat in the window, and heat of a coat's size 70 min later that no coat accounts for. */
Test(heat_elsewhere, no_heat_may_be_heat_at_another_time) {
    for (int kind = 0; kind < 3; kind++) {
        struct site *s = begin(kind == 1);
        add_zone(s, 0, NAN, 4300);
        for (int i = 1; i < 4 && kind == 2; i++)
            add_zone(s, i, 1500 * i + 60, NAN);
        mr_assess_reaction(&s->a);
        const struct mr_check *rise = check(s, "reaction.rise", 0);
        cr_expect_eq(rise->outcome, kind ? MR_DOES_NOT_CONFORM : MR_NOT_SHOWN, "%d: %s", kind, rise->detail);
        mr_arena_free(s->arena);
    }
}

/* One other probe alone warms in the window of a coat without heat: it may stand there. Where all warm, or none, the
 * coat has no heat. */
Test(heat_elsewhere, no_heat_may_be_heat_in_another_place) {
    for (int warm = 0; warm < 4; warm++) {
        struct site *s = begin(true);
        add_zone(s, 1, NAN, NAN);
        for (int i = 0; i < 3; i++)
            add_zone(s, 2 + i, 1500 * (2 + i) + 60, i < warm ? 1560 : NAN);
        mr_assess_reaction(&s->a);
        const struct mr_check *rise = check(s, "reaction.rise", 0);
        cr_expect_eq(rise->outcome, warm == 1 ? MR_NOT_SHOWN : MR_DOES_NOT_CONFORM, "%d: %s", warm, rise->detail);
        cr_expect_eq(is_told(s, "[assign"), warm == 1, "%d", warm);
        mr_arena_free(s->arena);
    }
}

/* A window of four minutes, and heat that began while the next zone was sprayed: it is that zone's. */
Test(heat_elsewhere, heat_in_the_next_zones_window_proves_nothing_for_this_one) {
    for (int next = 0; next < 2; next++) {
        struct site *s = begin(true);
        add_zone(s, 0, 480, NAN);
        s->aligned.windows.v[0].t1_utc_ms = T0 + 240000;
        add_zone(s, 1, 1560, NAN);
        if (next)
            s->aligned.windows.v[1].t0_utc_ms = T0 + 360000;
        mr_assess_reaction(&s->a);
        const struct mr_check *onset = check(s, "reaction.onset", 0);
        cr_expect_eq(onset->outcome, next ? MR_NOT_SHOWN : MR_CONFORMS, "%d: %s", next, onset->detail);
        mr_arena_free(s->arena);
    }
}

/* A mix check at 7:45 with heat at the gun at 7:20 alone: a logger that is slow, or a mix that did not react. Coats
 * in time on the same logger, or the job's word for its clock, decide. */
Test(heat_elsewhere, a_mix_check_is_not_condemned_by_a_clock_that_nothing_confirms) {
    for (int kind = 0; kind < 4; kind++) {
        struct site *s = begin(kind == 1);
        for (int i = 0; i < 3 && kind == 2; i++)
            add_zone(s, i, 1500 * i + 60, NAN);
        add_probe(s, (struct mr_stay){.gun = true, .zone = MR_NONE}, kind == 3 ? NAN : -2400, NAN);
        struct mr_spray log = {.action = MR_ACTION_MIX_CHECK, .action_text = "mix check"};
        struct mr_action_at at = {
            .log = &log, .t0_utc_ms = T0 - 900000, .t1_utc_ms = T0 - 840000, .zone = MR_NONE, .shift = MR_NONE};
        MR_PUSH(s->arena, &s->aligned.actions, at);
        mr_assess_reaction(&s->a);
        const struct mr_check *mix = check(s, "reaction.mix-check", MR_NONE);
        cr_expect_eq(mix->outcome, kind ? MR_DOES_NOT_CONFORM : MR_NOT_SHOWN, "%d: %s", kind, mix->detail);
        cr_expect_eq(is_told(s, "clock offset"), kind == 0, "%d", kind);
        mr_arena_free(s->arena);
    }
}

/* The job has a probe at the gun, whose record holds nothing of the mix check. */
Test(heat_elsewhere, a_probe_at_the_gun_without_a_record_is_not_passed_over) {
    struct site *s = begin(true);
    add_probe(s, (struct mr_stay){.gun = true, .zone = MR_NONE}, NAN, NAN);
    struct mr_spray log = {.action = MR_ACTION_MIX_CHECK, .action_text = "mix check"};
    struct mr_action_at at = {.log = &log,
                              .t0_utc_ms = T0 - INT64_C(86400000),
                              .t1_utc_ms = T0 - INT64_C(86340000),
                              .zone = MR_NONE,
                              .shift = MR_NONE};
    MR_PUSH(s->arena, &s->aligned.actions, at);
    mr_assess_reaction(&s->a);
    const struct mr_check *mix = check(s, "reaction.mix-check", MR_NONE);
    cr_expect_eq(mix->outcome, MR_NOT_SHOWN, "%s", mix->detail);
    cr_expect(strstr(mix->detail, "no record"), "%s", mix->detail);
    mr_arena_free(s->arena);
}
