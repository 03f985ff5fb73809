/*
 * heat_site_judge.c - see heat_site_judge.h.
 */
#include "support/heat_site_judge.h"

#include "assess/heat/heat.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static const int64_t ZERO_MS = 1778479200000;

static int64_t at_ms(double t_s) {
    return ZERO_MS + (int64_t)llround(t_s * 1e3);
}

static void set(struct mr_settings *s, enum mr_setting_id id, double value, enum mr_unit unit) {
    s->v[id] = (struct mr_setting){.set = true,
                                   .from_job = true,
                                   .value = value,
                                   .written = mr_from_canonical(unit, value),
                                   .unit = unit,
                                   .text = "x"};
}

static void add_track(struct mr_arena *arena, struct mr_alignment *al, const struct site *s, size_t probe) {
    if (!s->c[probe])
        return;
    int64_t *t = MR_ARRAY(arena, int64_t, s->n);
    int64_t *line = MR_ARRAY(arena, int64_t, s->n);
    for (size_t i = 0; i < s->n; i++) {
        t[i] = at_ms(s->t_s[i]);
        line[i] = (int64_t)(2 + i);
    }
    struct mr_track track = {.instrument = probe <= SITE_ZONES ? "logger" : "hygrometer",
                             .channel = mr_printf(arena, "ch%zu", probe + 1),
                             .meaning = probe <= SITE_ZONES ? MR_M_PROBE_TEMP : MR_M_AIR,
                             .n = s->n,
                             .t_utc_ms.raw = t,
                             .value.raw = s->c[probe],
                             .line.raw = line};
    struct mr_stay stay = {.zone = probe, .t0_utc_ms = INT64_MIN, .t1_utc_ms = INT64_MAX, .route = MR_ROUTE_ASSIGNED};
    if (probe < SITE_ZONES)
        MR_PUSH(arena, &track.stays, stay);
    MR_PUSH(arena, &al->tracks, track);
}

/* One reading after each coat of a zone that has two. */
static void add_readings(struct mr_arena *arena, struct mr_alignment *al, size_t zone, const struct site_zone *z) {
    for (int coat = 1; coat <= 2; coat++) {
        struct mr_reading *r = MR_NEW(arena, struct mr_reading);
        r->film_um = z->film_um + (coat == 2 ? z->second.film_um : 0.0);
        struct mr_placed placed = {.reading = r, .zone = zone, .coat = coat, .stage = MR_STAGE_AFTER_COAT};
        MR_PUSH(arena, &al->readings, placed);
    }
}

static void add_window(struct mr_arena *arena, struct mr_alignment *al, size_t zone, int coat,
                       const double window_s[2]) {
    struct mr_window window = {
        .zone = zone, .coat = coat, .t0_utc_ms = at_ms(window_s[0]), .t1_utc_ms = at_ms(window_s[1])};
    size_t at = al->windows.n;
    MR_PUSH(arena, &al->windows, window);
    for (; at > 0 && al->windows.v[at - 1].t0_utc_ms > window.t0_utc_ms; at--) {
        al->windows.v[at] = al->windows.v[at - 1];
        al->windows.v[at - 1] = window;
    }
}

struct mr_assess *site_assess(struct mr_arena *arena, const struct site *s) {
    struct mr_assess *a = MR_NEW(arena, struct mr_assess);
    struct mr_alignment *al = MR_NEW(arena, struct mr_alignment);
    struct mr_assessment *out = MR_NEW(arena, struct mr_assessment);
    struct mr_job *job = MR_NEW(arena, struct mr_job);
    *job = *mr_job_default(arena);
    set(&job->settings, MR_RISE_STEEL, SITE_BAND_STEEL_MM, MR_UNIT_MM);
    set(&job->settings, MR_RISE_FILM, SITE_BAND_FILM_UM, MR_UNIT_UM);
    set(&job->settings, MR_RISE_LOSS, 15.0, MR_UNIT_NONE);
    set(&job->settings, MR_RISE_TIME, 82.0, MR_UNIT_S);
    al->job = out->job = job;
    out->aligned = al;
    for (size_t k = 0; k < SITE_ZONES; k++) {
        const struct site_zone *z = &s->zone[k];
        struct mr_zone zone = {.name = mr_printf(arena, "Z%zu", k + 1),
                               .aliases = "",
                               .registered = true,
                               .area_m2 = 10,
                               .steel_mm = z->steel_mm,
                               .settings = &job->settings,
                               .coats = z->twice ? 2 : 1};
        struct mr_zone_film film = {.zone = k, .mean_um = z->film_um + (z->twice ? z->second.film_um : 0.0)};
        MR_PUSH(arena, &al->zones, zone);
        MR_PUSH(arena, &out->films, film);
        add_window(arena, al, k, 1, z->window_s);
        if (!z->twice)
            continue;
        add_window(arena, al, k, 2, z->second.window_s);
        if (!z->film_not_measured)
            add_readings(arena, al, k, z);
    }
    for (size_t k = 0; k < SITE_PROBES; k++)
        add_track(arena, al, s, k);
    *a = (struct mr_assess){.arena = arena, .aligned = al, .job = job, .out = out};
    mr_assess_reaction(a);
    return a;
}

static enum mr_outcome outcome_of(const struct mr_assess *a, size_t zone, int coat, const char **why, double *ratio) {
    enum mr_outcome worst = MR_NOT_REQUIRED;
    for (size_t i = 0; i < a->out->checks.n; i++) {
        const struct mr_check *c = &a->out->checks.v[i];
        bool rise = strcmp(c->id, "reaction.rise") == 0;
        if (c->zone != zone || c->coat != coat || (!rise && strcmp(c->id, "reaction.onset") != 0))
            continue;
        if (rise)
            *ratio = c->measured / (0.5 * (c->limit_low + c->limit_high));
        if (c->outcome > worst) {
            worst = c->outcome;
            *why = c->detail;
        }
    }
    return worst;
}

static enum mr_outcome wanted(enum site_fault fault) {
    if (fault == SITE_HEALTHY)
        return MR_CONFORMS;
    return fault == SITE_PROBE_OFF || fault == SITE_EARLY ? MR_NOT_SHOWN : MR_DOES_NOT_CONFORM;
}

/* The event nearest to the true onset. */
static const struct mr_heat_event *event_of(const struct mr_assess *a, double onset_s, size_t zone) {
    const struct mr_heat_event *best = NULL;
    int64_t near = 240000, onset = at_ms(onset_s);
    for (size_t i = 0; i < a->out->heats.n; i++) {
        const struct mr_heat_event *e = &a->out->heats.v[i];
        int64_t off = e->t_onset > onset ? e->t_onset - onset : onset - e->t_onset;
        if (e->zone == zone && off < near) {
            near = off;
            best = e;
        }
    }
    return best;
}

static void count(enum site_fault fault, size_t verdict, double ratio, struct site_score *score) {
    score->coats++;
    score->right += verdict == 0;
    score->not_shown += verdict == 1;
    score->wrong += verdict == 2;
    score->by_fault[fault][verdict]++;
    if (fault != SITE_HEALTHY)
        return;
    score->healthy++;
    score->healthy_right += verdict == 0;
    score->healthy_wrong += verdict == 2;
    score->placed += !isnan(ratio);
    score->sum_centre += isnan(ratio) ? 0.0 : ratio;
}

static void add_coat(const struct mr_assess *a, const struct site *s, size_t zone, int coat, bool verbose,
                     struct site_score *score) {
    const struct site_zone *z = &s->zone[zone];
    const struct site_coat one = {.film_um = z->film_um,
                                  .fault = z->fault,
                                  .onset_s = z->onset_s,
                                  .true_rise_k = z->true_rise_k},
                           *c = coat == 2 ? &z->second : &one;
    const char *why = "";
    double ratio = MR_NAN;
    enum mr_outcome is = outcome_of(a, zone, coat, &why, &ratio), should = wanted(c->fault);
    size_t verdict = is == should ? 0 : is == MR_NOT_SHOWN ? 1 : 2;
    score->passed += verdict == 2 && is == MR_CONFORMS;
    count(c->fault, verdict, ratio, score);
    const struct mr_heat_event *e = event_of(a, c->onset_s, zone);
    bool hot = c->fault != SITE_PROBE_OFF && c->fault != SITE_NO_HEAT;
    if (hot && e && e->fit == MR_FIT_OK) {
        score->fitted++;
        score->covered += fabs(e->rise_fit_k - c->true_rise_k) < 1.96 * e->rise_fit_se_k;
    }
    if (!verbose || verdict == 0)
        return;
    printf("%s seed %" PRIu64
           " zone %zu coat %d (%s, %.0f mm, %.0f um, step %.0f s, true rise %.2f K, fit %.2f se %.3f): ",
           verdict == 2 ? " " : "   ", s->seed, zone + 1, coat, site_fault_text[c->fault], z->steel_mm, c->film_um,
           s->dt_s, c->true_rise_k, e ? e->rise_fit_k : NAN, e ? e->rise_fit_se_k : NAN);
    if (z->twice)
        printf("%.1f min apart: ", (z->second.onset_s - z->onset_s) / 60.0);
    printf("%s: %s\n", mr_outcome_text(is), why);
}

void site_add(struct mr_arena *arena, const struct site *s, bool verbose, struct site_score *score) {
    const struct mr_assess *a = site_assess(arena, s);
    for (size_t k = 0; k < SITE_ZONES; k++)
        for (int coat = 1; coat <= 1 + s->zone[k].twice; coat++)
            add_coat(a, s, k, coat, verbose, score);
}

double site_coverage_pct(const struct site_score *score) {
    return score->fitted ? 100.0 * (double)score->covered / (double)score->fitted : MR_NAN;
}
