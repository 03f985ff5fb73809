/*
 * test_prop_units.c - what a log is written in does not matter: the same weather and the same pressures in SI and in
 * US units, in one file or in two, read from text to judgement, give the same outcomes, minutes and findings.
 */
#include "assess/finding/assessment.h"
#include "read/job/job_reader.h"
#include "support/simulate.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { MINUTES = 120, PSI, BAR };

struct world {
    double air_c[MINUTES], rh_pct[MINUTES], steel_c[MINUTES];
    double a_kpa[MINUTES * 12], b_kpa[MINUTES * 12], main_kpa[MINUTES * 12]; /* every 5 s */
};

static void draw(struct sim_rng *rng, struct world *w) {
    double steel = sim_between(rng, 11, 16), rh = sim_between(rng, 60, 84);
    for (size_t i = 0; i < MINUTES; i++) {
        steel += sim_between(rng, -0.4, 0.4);
        rh += sim_between(rng, -1.5, 1.5);
        w->air_c[i] = 18;
        w->rh_pct[i] = fmin(99, fmax(30, rh));
        w->steel_c[i] = steel;
    }
    for (size_t i = 0; i < MINUTES * 12; i++) {
        bool off = i % 97 < (size_t)sim_between(rng, 0, 4);
        w->a_kpa[i] = (off ? 200 : 580) + sim_between(rng, -8, 8);
        w->b_kpa[i] = 580 + sim_between(rng, -30, 30);
        w->main_kpa[i] = 590 + sim_between(rng, -45, 45);
    }
}

struct text {
    char *p;
    size_t n;
};

static void put(struct text *t, const char *format, ...) MR_PRINTF(2, 3);
static void put(struct text *t, const char *format, ...) {
    va_list args;
    va_start(args, format);
    t->n += (size_t)vsnprintf(t->p + t->n, 200, format, args);
    va_end(args);
}

static const char *clock_text(char out[64], size_t s) {
    snprintf(out, 64, "2026-05-11 %02zu:%02zu:%02zu", 8 + s / 3600, s / 60 % 60, s % 60);
    return out;
}

static void climate_csv(struct text *t, const struct world *w, bool us, size_t from, size_t to) {
    char at[64];
    put(t, us ? "Time,Air temperature (degF),Relative humidity (%%),Steel temperature (degF)\n"
              : "Time,Air temperature (degC),Relative humidity (%%),Steel temperature (degC)\n");
    for (size_t i = from; i < to; i++) {
        double air = us ? w->air_c[i] * 1.8 + 32 : w->air_c[i], steel = us ? w->steel_c[i] * 1.8 + 32 : w->steel_c[i];
        put(t, "%s,%.9f,%.9f,%.9f\n", clock_text(at, i * 60), air, w->rh_pct[i], steel);
    }
}

static void lines_csv(struct text *t, const struct world *w, bool us, size_t from, size_t to) {
    char at[64];
    double k = us ? 6.894757293168361 : 100.0;
    put(t, us ? "Time,Line A (psi),Line B (psi),Main (psi)\n" : "Time,Line A (bar),Line B (bar),Main (bar)\n");
    for (size_t i = from; i < to; i++)
        put(t, "%s,%.9f,%.9f,%.9f\n", clock_text(at, i * 5), w->a_kpa[i] / k, w->b_kpa[i] / k, w->main_kpa[i] / k);
}

static void add_source(struct mr_arena *arena, const struct mr_job *job, struct mr_sources *sources,
                       struct mr_diags *diags, const char *path, const char *data, size_t n) {
    struct mr_source source;
    cr_assert_eq(mr_read_memory(arena, job, path, data, n, diags, &source), MR_OK);
    MR_PUSH(arena, &sources->list, source);
}

/* From text to judgement. Returns a stable text of checks, with figures rounded far below what units can disturb. */
static char *judge(struct mr_arena *arena, const struct world *w, bool us, bool split) {
    static const char job_text[] =
        "[job]\ntime zone = UTC\n[report]\nunits = US\n[climate]\ndew-point spread minimum = 3 K\n"
        "[lines]\ngreatest gap = 30 s\n";
    static const char spray[] =
        "Zone,Coat,Start,Stop\nDeck 1,1,2026-05-11 08:20,2026-05-11 09:00\nDeck 2,1,2026-05-11 "
        "09:10,2026-05-11 09:50\n";
    static const char zones[] = "Zone,Area (m2),Coats\nDeck 1,20,1\nDeck 2,30,1\n";
    struct mr_diags *diags = MR_NEW(arena, struct mr_diags);
    mr_diags_init(diags, arena);
    struct mr_job *job;
    cr_assert_eq(mr_job_parse(arena, ".", MR_JOB_FILE, job_text, strlen(job_text), diags, &job), MR_OK);
    struct mr_sources *sources = MR_NEW(arena, struct mr_sources);
    sources->job = job;
    struct text t[4];
    for (size_t k = 0; k < 4; k++)
        t[k] = (struct text){mr_alloc(arena, 200000, 1), 0};
    climate_csv(&t[0], w, us, 0, split ? 50 : MINUTES);
    climate_csv(&t[1], w, us, 50, MINUTES);
    lines_csv(&t[2], w, us, 0, split ? 700 : MINUTES * 12);
    lines_csv(&t[3], w, us, 700, MINUTES * 12);
    add_source(arena, job, sources, diags, "climate 1.csv", t[0].p, t[0].n);
    if (split)
        add_source(arena, job, sources, diags, "climate 2.csv", t[1].p, t[1].n);
    add_source(arena, job, sources, diags, "lines 1.csv", t[2].p, t[2].n);
    if (split)
        add_source(arena, job, sources, diags, "lines 2.csv", t[3].p, t[3].n);
    add_source(arena, job, sources, diags, "spray log.csv", spray, strlen(spray));
    add_source(arena, job, sources, diags, "zones.csv", zones, strlen(zones));
    const struct mr_data *data;
    const struct mr_alignment *al;
    cr_assert_eq(mr_normalise(arena, sources, diags, &data), MR_OK);
    cr_assert_eq(mr_align(arena, data, diags, &al), MR_OK);
    struct mr_assessment out = {.aligned = al, .job = job};
    struct mr_assess a = {.arena = arena, .aligned = al, .job = job, .diags = diags, .out = &out};
    mr_assess_climate(&a);
    mr_assess_lines(&a);
    struct text s = {mr_alloc(arena, 100000, 1), 0};
    for (size_t i = 0; i < out.checks.n; i++) {
        const struct mr_check *c = &out.checks.v[i];
        put(&s, "%zu %d %s: %s %.5f %s\n", c->zone, c->coat, c->id, mr_outcome_text(c->outcome), c->measured + 0.0,
            mr_unit_symbol(c->unit));
    }
    for (size_t i = 0; i < out.findings.n; i++)
        put(&s, "%s %lld %lld %.5f\n", out.findings.v[i].id, (long long)out.findings.v[i].t0_utc_ms / 100,
            (long long)out.findings.v[i].t1_utc_ms / 100, out.findings.v[i].measured);
    return s.p;
}

Test(prop_units, units_and_files_of_a_log_do_not_change_its_judgement) {
    size_t violations = 0;
    for (uint64_t seed = 1; seed <= 12; seed++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        struct sim_rng rng = sim_seed(21, seed);
        struct world *w = MR_NEW(arena, struct world);
        draw(&rng, w);
        char *si = judge(arena, w, false, false), *us = judge(arena, w, true, false),
             *parts = judge(arena, w, false, true);
        cr_expect_str_eq(si, us, "seed %llu\n%s\n%s", (unsigned long long)seed, si, us);
        cr_expect_str_eq(si, parts, "seed %llu, two files", (unsigned long long)seed);
        violations += strstr(si, "does not conform") != NULL;
        cr_expect_null(strstr(si, "climate.spread: not shown nan"), "the data were read: %s", si);
        mr_arena_free(arena);
    }
    cr_expect_gt(violations, 3, "some worlds are bad, or nothing was compared");
}
