/*
 * random_job.c - see the header. All figures are invented.
 */
#include "random_job.h"

#include "read/job/job_reader.h"
#include "support/sim_align.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

enum { MINUTE_MS = 60000 };

struct plan {
    uint64_t state;
    int zones, coats, probes;
    double minutes; /* of one window */
    const char *time_zone;
    int64_t day0;
};

static double real(struct plan *p, double low, double high) {
    return alignsim_uniform(&p->state, low, high);
}

static int whole(struct plan *p, int low, int high) {
    return low + (int)floor(real(p, 0, high - low + 0.999999));
}

static bool one_in(struct plan *p, int n) {
    return whole(p, 1, n) == 1;
}

static const char *zone_name(struct mr_arena *arena, int z, uint64_t seed) {
    static const char *const forms[] = {"Z%d",
                                        "Girder %d",
                                        "Deck soffit panel %d, between the second and third pier",
                                        "Träger %d",
                                        "Stringer %d / north-north-west",
                                        "Bay%dWithoutAnyBlankInItsNameWhichNoLineCanBreak"};
    const size_t form = (seed + (seed % 3 ? 0 : (uint64_t)z)) % MR_COUNT(forms);
    switch (form) {
    case 0:
        return mr_printf(arena, "Z%d", z + 1);
    case 1:
        return mr_printf(arena, "Girder %d", z + 1);
    case 2:
        return mr_printf(arena, "Deck soffit panel %d, between the second and the third pier", z + 1);
    case 3:
        return mr_printf(arena, "Träger %d", z + 1);
    case 4:
        return mr_printf(arena, "Stringer %d / north-north-west", z + 1);
    default:
        return mr_printf(arena, "Bay%dWithoutAnyBlankInItsNameWhichNoLineCanBreak", z + 1);
    }
}

static double window_start_min(const struct plan *p, int zone, int coat) {
    return 1440.0 * coat + 480 + (p->minutes + 1) * zone;
}

static int64_t ms_at(const struct plan *p, double minute) {
    return p->day0 + llround(minute * MINUTE_MS);
}

static void add_spray(struct fixture *f, struct plan *p, uint64_t seed) {
    const uint32_t log = fix_file(f, "spray log.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    for (int c = 0; c < p->coats; c++)
        for (int z = 0; z < p->zones; z++) {
            const double t0 = window_start_min(p, z, c);
            fix_spray(f, log, MR_ACTION_SPRAY, zone_name(f->arena, z, seed), mr_printf(f->arena, "%d", c + 1),
                      ms_at(p, t0), ms_at(p, t0 + p->minutes));
        }
    if (one_in(p, 3))
        fix_spray(f, log, MR_ACTION_REPAIR, zone_name(f->arena, 0, seed), "", ms_at(p, 1440.0 * p->coats + 540),
                  ms_at(p, 1440.0 * p->coats + 550));
}

static void add_survey(struct fixture *f, struct plan *p, uint64_t seed, int z, double at, uint32_t file) {
    const double level = real(p, 0, 1) < 0.7 ? real(p, 215, 290) : real(p, 120, 420),
                 sd = real(p, 0, 1) < 0.1 ? 0 : 9;
    const int spots = one_in(p, 5) ? whole(p, 1, 4) : 15;
    for (int s = 0; s < spots; s++)
        for (int k = 0; k < 3; k++) {
            struct mr_reading *r = fix_reading(f, file, zone_name(f->arena, z, seed), ms_at(p, at + s + 0.1 * k),
                                               level + (sd > 0 ? real(p, -sd, sd) : 0));
            r->area = mr_printf(f->arena, "%d", s / 5 + 1);
            r->spot = mr_printf(f->arena, "%d", s % 5 + 1);
            r->serial = "G1";
            if (seed % 2 == 0) { /* some on one line, some on one point, some without a place */
                const struct mr_position place = {file, r->line, seed % 8 ? 700.0 * (s % 5) + 90 * (s / 5.0) : 0,
                                                  seed % 6 ? 450.0 * (s * 7 % 4) : 1200};
                if (s != 3)
                    MR_PUSH(f->arena, &f->data.positions, place);
            }
        }
}

static void add_film(struct fixture *f, struct plan *p, uint64_t seed) {
    const uint32_t file = fix_file(f, "film.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "G1");
    const double from = 1440.0 * p->coats + 480;
    for (int z = 0; z < p->zones; z++)
        if (!one_in(p, 8))
            add_survey(f, p, seed, z, from + (z % 20) * 20 + 1440.0 * (z / 20), file);
    if (one_in(p, 2))
        add_survey(f, p, seed, 0, from + 900, file);
}

/* A channel of n samples; v gives the value at a minute. */
static void add_channel(struct fixture *f, struct plan *p, uint32_t file, const char *name, enum mr_meaning meaning,
                        double step_min, double (*v)(struct plan *, double, const void *), const void *with) {
    const double end = window_start_min(p, p->zones, 0) + 60;
    const size_t per_day = (size_t)((end - 450) / step_min), n = per_day * (size_t)p->coats;
    int64_t *t = MR_ARRAY(f->arena, int64_t, n);
    double *value = MR_ARRAY(f->arena, double, n);
    const bool gap = one_in(p, 4);
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        const double at = 1440.0 * (double)(i / per_day) + 450 + step_min * (double)(i % per_day);
        if (gap && i % per_day > per_day / 2 && i % per_day < per_day / 2 + 40)
            continue;
        t[kept] = ms_at(p, at);
        value[kept++] = v(p, at, with);
    }
    fix_channel(f, file, name, meaning, kept, t, value, NULL);
}

struct hit {
    double at[3], rise[3];
    int n;
};

static double steel_c(struct plan *p, double minute, const void *with) {
    const struct hit *h = with;
    double c = 16 + 4 * sin(minute / 300) + real(p, -0.05, 0.05);
    for (int i = 0; i < h->n; i++) {
        const double s = minute - h->at[i];
        c += s > 0 ? h->rise[i] * (1 - exp(-s)) * exp(-s / 25) : 0;
    }
    return c;
}

static double air_c(struct plan *p, double minute, const void *with) {
    (void)with;
    return 15 + 5 * sin(minute / 400) + real(p, -0.1, 0.1);
}

static double humidity(struct plan *p, double minute, const void *with) {
    return *(const double *)with + 8 * cos(minute / 500) + real(p, -0.5, 0.5);
}

static double line_kpa(struct plan *p, double minute, const void *with) {
    const double *fault = with; /* minute and factor */
    const double in_day = fmod(minute, 1440), since = fmod(in_day - 480, p->minutes + 1);
    const bool on = in_day >= 480 && in_day < window_start_min(p, p->zones, 0) && since < p->minutes;
    const double kpa = (on ? 580 : 3) + real(p, -4, 4);
    return minute > fault[0] && minute < fault[0] + 0.7 ? kpa * fault[1] : kpa;
}

static void add_logs(struct fixture *f, struct plan *p, uint64_t seed) {
    fix_instrument(f, "K1");
    fix_instrument(f, "H1");
    fix_instrument(f, "P1");
    const uint32_t steel = fix_file(f, "steel.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    for (int z = 0; z < p->probes; z++) {
        struct hit *h = MR_NEW(f->arena, struct hit);
        for (int c = 0; c < p->coats; c++) {
            h->at[h->n] = window_start_min(p, z, c) + p->minutes * 0.4;
            h->rise[h->n++] = one_in(p, 6) ? 0 : real(p, 2, 8);
        }
        const char *channel = mr_printf(f->arena, "T%d", z + 1);
        add_channel(f, p, steel, channel, MR_M_PROBE_TEMP, 0.5, steel_c, h);
        fix_assign(f, "K1", channel, zone_name(f->arena, z, seed), NULL, NULL);
    }
    double *level = MR_NEW(f->arena, double);
    *level = real(p, 35, 92);
    const uint32_t air = fix_file(f, "air.csv", MR_KIND_CLIMATE, MR_TIME_LOCAL, "H1");
    add_channel(f, p, air, "air", MR_M_AIR, 5, air_c, NULL);
    add_channel(f, p, air, "rh", MR_M_RH, 5, humidity, level);
    const uint32_t lines = fix_file(f, "lines.csv", MR_KIND_PRESSURE, MR_TIME_LOCAL, "P1");
    for (int line = 0; line < 2; line++) {
        double *fault = MR_ARRAY(f->arena, double, 2);
        fault[0] = one_in(p, 2) ? 480 + real(p, 0, p->minutes) : -1e9;
        fault[1] = real(p, 0.1, 1.5);
        add_channel(f, p, lines, line ? "B" : "A", line ? MR_M_LINE_B : MR_M_LINE_A, 0.1, line_kpa, fault);
    }
}

static struct plan plan_of(uint64_t seed) {
    struct plan p = {.state = seed * 7919 + 29};
    static const char *const zones[] = {"UTC", "Europe/Vienna", "America/Chicago"};
    const int size = whole(&p, 1, 100);
    p.zones = size <= 75 ? whole(&p, 1, 7) : size <= 93 ? whole(&p, 8, 30) : size <= 97 ? whole(&p, 31, 90) : 300;
    p.coats = p.zones > 30 ? 1 : whole(&p, 1, 2);
    p.probes = p.zones < 2 ? p.zones : whole(&p, 0, 2);
    p.minutes = p.zones > 90 ? 2 : p.zones > 30 ? 6 : real(&p, 4, 14);
    p.time_zone = zones[whole(&p, 0, 2)];
    p.day0 = fix_time(one_in(&p, 6) ? "2026-10-24 00:00" : "2026-05-11 00:00");
    return p;
}

const struct mr_assessment *random_job(struct fixture *f, uint64_t seed) {
    static const char *const rules[] = {"restriction-level-3", "restriction-level-1", "80-20", "90-10",
                                        "plain-limits"};
    struct plan p = plan_of(seed);
    struct mr_job *job = NULL;
    fix_init(f, p.time_zone);
    const char *text = mr_printf(
        f->arena,
        "[job]\nname = Job %d of a bridge\ntime zone = %s\n[report]\nunits = %s\nfigures = all\n[thickness]\nminimum "
        "= %s\nmaximum "
        "= "
        "%s\nrules = %s\n[climate]\nlead time = %d min\ncure time = %d min\nsteel minimum = 5 degC\n[lines]\n"
        "imbalance maximum = %d %%\n",
        (int)seed, p.time_zone, one_in(&p, 2) ? "US" : "SI", one_in(&p, 5) ? "40 um" : "200 um",
        one_in(&p, 5) ? "1200 um" : "300 um", rules[whole(&p, 0, 4)], whole(&p, 0, 20), whole(&p, 0, 40),
        whole(&p, 3, 12));
    cr_assert_eq(mr_job_parse(f->arena, ".", "job.milrise", text, strlen(text), &f->diags, &job), MR_OK);
    f->job = *job;
    const uint32_t zones = fix_file(f, "zones.csv", MR_KIND_ZONES, MR_TIME_LOCAL, "");
    for (int z = 0; z < p.zones; z++) {
        fix_zone(f, zones, zone_name(f->arena, z, seed), "");
        f->data.zones.v[z].area_m2 = 25;
        f->data.zones.v[z].steel_mm = real(&p, 3, 12);
    }
    add_spray(f, &p, seed);
    if (!one_in(&p, 6))
        add_logs(f, &p, seed);
    if (!one_in(&p, 10))
        add_film(f, &p, seed);
    fix_align(f);
    const struct mr_assessment *a = NULL;
    (void)!mr_assess(f->arena, f->aligned, &f->diags, &a);
    cr_assert_not_null(a);
    return a;
}
