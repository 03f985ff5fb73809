/*
 * bench_align.c - time of placing logs, windows and readings against the size of the job, at four sizes.
 *
 * A job of N log rows at 1 s, one file a day: half of them a thermometer with three probes, half a pressure logger
 * with two lines, local times of a zone with summer time, so that every row is converted; a hygrometer each minute; N
 * / 10,000 windows in a spray log; N / 20 thickness readings, a third without a zone of their own. Largest: 20
 * million rows, 2,000 windows, a million readings. CPU seconds of align    mr_align: UTC, tracks, onsets, activity,
 * windows, clock estimates, readings climate  mr_climate_at for every reading and every minute of every window and
 * nanoseconds for each log row. Linear growth keeps ns/row level; the last line gives the exponent of a power law
 * through the first and the last size. BENCH_ROWS sets the largest size.
 */
#include "support/align_fixture.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { DAY_S = 86400, PROBES = 3, SIZES = 4 };

static double cpu_s(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static double noise(uint64_t *state) {
    *state = *state * 6364136223846793005U + 1442695040888963407U;
    return (double)(*state >> 40) / 16777216.0 - 0.5;
}

struct shape {
    size_t rows, seconds, windows, readings;
    double every_s; /* a window starts */
};

static struct shape shape_of(size_t rows) {
    struct shape s = {.rows = rows, .seconds = rows / 2, .windows = rows / 10000, .readings = rows / 20};
    s.every_s = (double)s.seconds / (double)s.windows;
    return s;
}

/* Seconds since the window that began last; its length is 240 s. */
static double since_window(const struct shape *s, size_t second, size_t *out_window) {
    size_t w = (size_t)((double)second / s->every_s);
    *out_window = w;
    return (double)second - (double)w * s->every_s;
}

static int64_t start_ms(void) {
    return fix_time("2024-01-08 00:00");
}

static void add_day(struct fixture *f, const struct shape *s, size_t from, size_t n, uint64_t *rng) {
    int64_t *t = MR_ARRAY(f->arena, int64_t, n);
    double *probe[PROBES], *line[2];
    for (size_t k = 0; k < PROBES; k++)
        probe[k] = MR_ARRAY(f->arena, double, n);
    for (size_t k = 0; k < 2; k++)
        line[k] = MR_ARRAY(f->arena, double, n);
    for (size_t i = 0; i < n; i++) {
        size_t window;
        double since = since_window(s, from + i, &window), heat = 5 * (1 - exp(-since / 60)) * exp(-since / 900);
        t[i] = start_ms() + (int64_t)(from + i) * 1000;
        for (size_t k = 0; k < PROBES; k++)
            probe[k][i] = 15 + (window % PROBES == k ? heat : 0) + 0.1 * noise(rng);
        line[0][i] = (since < 240 ? 570 : 10) + 5 * noise(rng);
        line[1][i] = (since < 240 ? 565 : 10) + 5 * noise(rng);
    }
    char *path = mr_printf(f->arena, "day %04zu", from / DAY_S);
    uint32_t *lines = MR_ARRAY(f->arena, uint32_t, n);
    for (size_t i = 0; i < n; i++)
        lines[i] = (uint32_t)i + 2;
    uint32_t steel = fix_file(f, mr_printf(f->arena, "steel %s", path), MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    for (size_t k = 0; k < PROBES; k++)
        fix_channel(f, steel, mr_printf(f->arena, "T%zu", k), MR_M_PROBE_TEMP, n, t, probe[k], lines);
    uint32_t pressure = fix_file(f, mr_printf(f->arena, "lines %s", path), MR_KIND_PRESSURE, MR_TIME_LOCAL, "PL");
    fix_channel(f, pressure, "A", MR_M_LINE_A, n, t, line[0], lines);
    fix_channel(f, pressure, "B", MR_M_LINE_B, n, t, line[1], lines);
}

static void add_climate(struct fixture *f, const struct shape *s, uint64_t *rng) {
    size_t n = s->seconds / 60 + 1;
    int64_t *t = MR_ARRAY(f->arena, int64_t, n);
    double *air = MR_ARRAY(f->arena, double, n), *rh = MR_ARRAY(f->arena, double, n);
    for (size_t i = 0; i < n; i++) {
        t[i] = start_ms() + (int64_t)i * 60000;
        air[i] = 15 + noise(rng);
        rh[i] = 60 + noise(rng);
    }
    uint32_t file = fix_file(f, "climate", MR_KIND_CLIMATE, MR_TIME_LOCAL, "H1");
    fix_channel(f, file, "air", MR_M_AIR, n, t, air, NULL);
    fix_channel(f, file, "rh", MR_M_RH, n, t, rh, NULL);
}

static void add_hand_kept(struct fixture *f, const struct shape *s, uint64_t *rng) {
    uint32_t log = fix_file(f, "spray log", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    for (size_t w = 0; w < s->windows; w++) {
        int64_t t0 = start_ms() + (int64_t)((double)w * s->every_s * 1000);
        fix_spray(f, log, MR_ACTION_SPRAY, mr_printf(f->arena, "Z%zu", w % (s->windows / 2 + 1)),
                  w < s->windows / 2 + 1 ? "1" : "2", t0, t0 + 240000);
    }
    uint32_t file = fix_file(f, "thickness", MR_KIND_THICKNESS, MR_TIME_LOCAL, "G1");
    for (size_t i = 0; i < s->readings; i++) {
        double at = (double)i / (double)s->readings * (double)s->seconds;
        size_t w = (size_t)(at / s->every_s);
        const char *zone = i % 3 ? mr_printf(f->arena, "z-%04zu", w % (s->windows / 2 + 1)) : "";
        fix_reading(f, file, zone, start_ms() + (int64_t)(at * 1000), 250 + 20 * noise(rng));
    }
}

/* Every reading, and every minute of every window; returns how many had a climate. */
static size_t join_climate(const struct mr_alignment *a) {
    size_t known = 0;
    for (size_t i = 0; i < a->readings.n; i++)
        known += isnan(mr_climate_at(a, a->readings.v[i].zone, a->readings.v[i].t_utc_ms, 900000).rh_pct) ? 0 : 1;
    for (size_t i = 0; i < a->windows.n; i++)
        for (int64_t t = a->windows.v[i].t0_utc_ms; t <= a->windows.v[i].t1_utc_ms; t += 60000)
            known += isnan(mr_climate_at(a, a->windows.v[i].zone, t, 900000).rh_pct) ? 0 : 1;
    return known;
}

static double bench(size_t rows) {
    struct fixture f;
    uint64_t rng = 1;
    struct shape s = shape_of(rows);
    fix_init(&f, "America/Chicago");
    for (size_t from = 0; from < s.seconds; from += DAY_S)
        add_day(&f, &s, from, s.seconds - from < DAY_S ? s.seconds - from : DAY_S, &rng);
    add_climate(&f, &s, &rng);
    add_hand_kept(&f, &s, &rng);
    for (size_t k = 0; k < PROBES; k++)
        fix_assign(&f, "K1", mr_printf(f.arena, "T%zu", k), mr_printf(f.arena, "Z%zu", k), NULL, NULL);
    size_t given = mr_arena_bytes(f.arena);
    double t0 = cpu_s();
    fix_align(&f);
    double t1 = cpu_s();
    size_t known = join_climate(f.aligned);
    double t2 = cpu_s();
    if (f.status != MR_OK || known == 0 || f.aligned->windows.n == 0) {
        fprintf(stderr, "bench_align: status %d, %zu windows, %zu climates\n", (int)f.status, f.aligned->windows.n,
                known);
        exit(1);
    }
    printf("%12zu %8zu %10zu %9.2f %9.2f %8.1f %9.0f %9.0f\n", rows, f.aligned->windows.n, f.aligned->readings.n,
           t1 - t0, t2 - t1, (t2 - t0) * 1e9 / (double)rows, (double)given / 1e6,
           (double)(mr_arena_bytes(f.arena) - given) / 1e6);
    fflush(stdout);
    fix_free(&f);
    return t2 - t0;
}

int main(void) {
    const char *set = getenv("BENCH_ROWS");
    size_t largest = set ? (size_t)strtoull(set, NULL, 10) : 20000000;
    if (largest < 160000)
        largest = 160000;
    puts("align: CPU seconds against size");
    puts("    log rows  windows   readings   align s climate s   ns/row  input MB  added MB");
    double first = 0, last = 0;
    for (size_t i = 0; i < SIZES; i++) {
        last = bench(largest >> (SIZES - 1 - i));
        first = i == 0 ? last : first;
    }
    printf("time grows with size to the power %.2f\n", log(last / first) / log((double)(1 << (SIZES - 1))));
    return 0;
}
