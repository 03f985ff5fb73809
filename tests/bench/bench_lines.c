/*
 * bench_lines.c - time of judging climate and line pressures against the size of the job, at four sizes.
 *
 * A job of N seconds: two lines and the main pressure at 1 Hz, air, humidity and steel every 10 s, N / 2,500 windows
 * that fill four fifths of the time, lead and cure times of 10 and 30 minutes (so a sample of the climate serves in
 * two windows on average). CPU seconds and nanoseconds for each row of the pressure log; linear growth keeps ns/row
 * level. The last line gives the exponent of a power law through the first and the last size. BENCH_ROWS sets the
 * largest size.
 */
#include "assess/finding/assessment.h"
#include "read/job/job_reader.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { SIZES = 4, ZONES = 100 };

static double cpu_s(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

struct bench {
    struct mr_arena *arena;
    struct mr_diags diags;
    struct mr_job *job;
    struct mr_data data;
    struct mr_alignment al;
    struct mr_assessment out;
};

static void add_tracks(struct bench *b, const char *instrument, const enum mr_meaning *meaning, const double *level,
                       size_t n, int64_t step_ms) {
    int64_t *t = MR_ARRAY(b->arena, int64_t, n);
    int64_t *line = MR_ARRAY(b->arena, int64_t, n);
    for (size_t i = 0; i < n; i++) {
        t[i] = (int64_t)i * step_ms;
        line[i] = (int64_t)i + 2;
    }
    for (size_t k = 0; k < 3; k++) {
        double *v = MR_ARRAY(b->arena, double, n);
        for (size_t i = 0; i < n; i++)
            v[i] = level[k] * (1.0 + 1e-4 * (double)((i * 7919 + k * 31) % 97));
        struct mr_track track = {.instrument = instrument,
                                 .channel = "",
                                 .meaning = meaning[k],
                                 .n = n,
                                 .t_utc_ms.raw = t,
                                 .value.raw = v,
                                 .line.raw = line};
        MR_PUSH(b->arena, &b->al.tracks, track);
    }
}

static void add_windows(struct bench *b, size_t rows) {
    size_t n = rows / 2500;
    for (size_t z = 0; z < ZONES; z++) {
        struct mr_zone zone = {.name = mr_printf(b->arena, "Z%zu", z),
                               .aliases = "",
                               .area_m2 = 10,
                               .settings = &b->job->settings,
                               .coats = (int)((n + ZONES - 1) / ZONES)};
        MR_PUSH(b->arena, &b->al.zones, zone);
    }
    for (size_t i = 0; i < n; i++) {
        int64_t t0 = (int64_t)i * 2500000;
        if (i % 16 == 0) {
            struct mr_shift shift = {t0, t0 + 40000000, t0 / 86400000 * 86400000,
                                     mr_printf(b->arena, "shift %zu", i / 16)};
            MR_PUSH(b->arena, &b->al.shifts, shift);
        }
        struct mr_window w = {.zone = i % ZONES,
                              .coat = (int)(i / ZONES) + 1,
                              .t0_utc_ms = t0,
                              .t1_utc_ms = t0 + 2000000,
                              .shift = i / 16,
                              .n_rows = 1};
        MR_PUSH(b->arena, &b->al.windows, w);
    }
}

static struct bench *make(size_t rows) {
    static const char job_text[] = "[climate]\nlead time = 10 min\ncure time = 30 min\n";
    static const enum mr_meaning lines[] = {MR_M_LINE_A, MR_M_LINE_B, MR_M_MAIN},
                                 climate[] = {MR_M_AIR, MR_M_RH, MR_M_STEEL};
    static const double line_level[] = {578, 578, 590}, climate_level[] = {20, 60, 18};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct bench *b = MR_NEW(arena, struct bench);
    b->arena = arena;
    mr_diags_init(&b->diags, arena);
    if (mr_job_parse(arena, ".", MR_JOB_FILE, job_text, strlen(job_text), &b->diags, &b->job) != MR_OK)
        exit(1);
    struct mr_source *source = MR_NEW(arena, struct mr_source);
    source->path = "log.csv";
    struct mr_file file = {.source = source};
    MR_PUSH(arena, &b->data.files, file);
    b->al.data = &b->data;
    b->data.job = b->al.job = b->job;
    b->al.last_utc_ms = (int64_t)rows * 1000;
    add_tracks(b, "P", lines, line_level, rows, 1000);
    add_tracks(b, "H", climate, climate_level, rows / 10, 10000);
    add_windows(b, rows);
    b->out.aligned = &b->al;
    b->out.job = b->job;
    return b;
}

int main(void) {
    const char *asked = getenv("BENCH_ROWS");
    size_t largest = asked != NULL ? strtoull(asked, NULL, 10) : 8000000;
    double per_row[SIZES], rows_at[SIZES];
    printf("%12s %8s %10s %8s %10s %8s %8s\n", "rows", "windows", "climate s", "ns/row", "lines s", "ns/row",
           "checks");
    for (int i = 0; i < SIZES; i++) {
        size_t rows = largest >> (SIZES - 1 - i);
        struct bench *b = make(rows);
        struct mr_assess a = {
            .arena = b->arena, .aligned = &b->al, .job = b->job, .diags = &b->diags, .out = &b->out};
        double t0 = cpu_s();
        mr_assess_climate(&a);
        double t1 = cpu_s();
        mr_assess_lines(&a);
        double t2 = cpu_s();
        rows_at[i] = (double)rows;
        per_row[i] = (t2 - t0) / rows_at[i] * 1e9;
        printf("%12zu %8zu %10.3f %8.1f %10.3f %8.1f %8zu\n", rows, b->al.windows.n, t1 - t0,
               (t1 - t0) / rows_at[i] * 1e9, t2 - t1, (t2 - t1) / rows_at[i] * 1e9, b->out.checks.n);
        mr_arena_free(b->arena);
    }
    printf("exponent %.2f\n", 1.0 + log(per_row[SIZES - 1] / per_row[0]) / log(rows_at[SIZES - 1] / rows_at[0]));
    return 0;
}
