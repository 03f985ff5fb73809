/*
 * bench_read.c - what reading costs beyond bare libcsv, in one run over the same file.
 *
 * A log of BENCH_MB million bytes (default 200) is written to a temporary file: date, time, six probes, as a
 * data-logging thermometer saves it at 1 s. Then, in turn and three times over, CPU seconds of libcsv    csv_parse in
 * chunks of 64 KiB with empty callbacks: the floor describe  mr_read_source: fingerprint, encoding, shape, number of
 * records rows      mr_read_rows with a callback that looks at each cell's length decode    mr_normalise: rows once
 * more, with numbers, times and units, plausibility flags included The median of each is shown, with (describe +
 * rows) / libcsv, and the whole reading (describe + decode) / libcsv, whose limit is 1.5.
 */
#include "milrise/normalise.h"

#include <csv.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { RUNS = 3 };

static double cpu_s(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static void give_up(const char *what) {
    fprintf(stderr, "bench_read: %s\n", what);
    exit(1);
}

/* A seeded generator of its own, so that two machines bench the same bytes. */
static unsigned next(unsigned *state) {
    *state = *state * 1664525U + 1013904223U;
    return *state >> 16;
}

static uint64_t write_log(const char *path, uint64_t bytes) {
    FILE *f = fopen(path, "w");
    if (!f)
        give_up("cannot write the log");
    fprintf(f, "date,time,\"P1, degC\",\"P2, degC\",\"P3, degC\",\"P4, degC\",\"P5, degC\",\"P6, degC\"\n");
    unsigned state = 20260511;
    uint64_t rows = 1;
    while ((uint64_t)ftell(f) < bytes) {
        for (int k = 0; k < 256; k++, rows++) {
            unsigned day = (unsigned)((rows - 1) / 86400), second = (unsigned)((rows - 1) % 86400);
            fprintf(f, "2026-%02u-%02u,%02u:%02u:%02u", 1 + day / 28 % 12, 1 + day % 28, second / 3600,
                    second / 60 % 60, second % 60);
            for (int p = 0; p < 6; p++)
                fprintf(f, ",%u.%02u", 18 + next(&state) % 8, next(&state) % 100);
            fputc('\n', f);
        }
    }
    if (fclose(f) != 0)
        give_up("cannot write the log");
    return rows;
}

struct sums {
    uint64_t rows, cells, bytes;
};

static void on_cell(void *p, size_t n, void *ctx) {
    (void)p;
    (void)n;
    ((struct sums *)ctx)->cells++;
}

static void on_row(int end, void *ctx) {
    (void)end;
    ((struct sums *)ctx)->rows++;
}

static double time_libcsv(const char *path, struct sums *out) {
    static char buf[64 << 10];
    struct csv_parser parser;
    double t0 = cpu_s();
    int fd = open(path, O_RDONLY);
    ssize_t got;
    csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI);
    while ((got = read(fd, buf, sizeof buf)) > 0)
        if (csv_parse(&parser, buf, (size_t)got, on_cell, on_row, out) != (size_t)got)
            give_up("libcsv refuses the log");
    csv_fini(&parser, on_cell, on_row, out);
    csv_free(&parser);
    close(fd);
    return cpu_s() - t0;
}

static bool take_row(void *ctx, const struct mr_row *row) {
    struct sums *sums = ctx;
    sums->rows++;
    sums->cells += row->n;
    for (size_t i = 0; i < row->n; i++)
        sums->bytes += row->cell[i].n;
    return true;
}

static void time_milrise(const char *path, double *describe, double *rows, struct sums *out) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_source source;
    double t0 = cpu_s();
    if (mr_read_source(arena, mr_job_default(arena), path, "log.csv", NULL, &source) != MR_OK)
        give_up("the log cannot be described");
    double t1 = cpu_s();
    if (mr_read_rows(&source, take_row, out) != MR_OK || out->rows != source.rows)
        give_up("the log cannot be read");
    *describe = t1 - t0;
    *rows = cpu_s() - t1;
    mr_arena_free(arena);
}

static double time_decode(const char *path, uint64_t rows, size_t *bytes) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    const struct mr_job *job = mr_job_default(arena);
    struct mr_diags diags;
    mr_diags_init(&diags, arena);
    struct mr_source source;
    if (mr_read_source(arena, job, path, "log.csv", &diags, &source) != MR_OK)
        give_up("the log cannot be described");
    struct mr_sources sources = {.job = job};
    MR_PUSH(arena, &sources.list, source);
    const struct mr_data *data;
    double t0 = cpu_s();
    if (mr_normalise(arena, &sources, &diags, &data) != MR_OK || data->files.v[0].account.rows_used != rows - 1)
        give_up("the log cannot be decoded");
    double t1 = cpu_s();
    *bytes = mr_arena_bytes(arena);
    mr_arena_free(arena);
    return t1 - t0;
}

static int by_size(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

int main(void) {
    const char *mb = getenv("BENCH_MB"), *tmp = getenv("TMPDIR");
    uint64_t bytes = (mb ? strtoull(mb, NULL, 10) : 200) * 1000000U;
    char path[4096];
    snprintf(path, sizeof path, "%s/milrise-bench-%ld.csv", tmp ? tmp : "/tmp", (long)getpid());
    uint64_t rows = write_log(path, bytes);
    double bare[RUNS], describe[RUNS], read_rows[RUNS], decode[RUNS];
    size_t memory = 0;
    for (int run = 0; run < RUNS; run++) {
        struct sums by_libcsv = {0}, by_milrise = {0};
        bare[run] = time_libcsv(path, &by_libcsv);
        time_milrise(path, &describe[run], &read_rows[run], &by_milrise);
        if (by_libcsv.rows != by_milrise.rows || by_libcsv.cells != by_milrise.cells || by_libcsv.rows != rows)
            give_up("the two do not agree on rows and cells");
        decode[run] = time_decode(path, rows, &memory);
    }
    unlink(path);
    qsort(bare, RUNS, sizeof *bare, by_size);
    qsort(describe, RUNS, sizeof *describe, by_size);
    qsort(read_rows, RUNS, sizeof *read_rows, by_size);
    qsort(decode, RUNS, sizeof *decode, by_size);
    double floor_s = bare[RUNS / 2], describe_s = describe[RUNS / 2], rows_s = read_rows[RUNS / 2],
           decode_s = decode[RUNS / 2];
    printf("read: %.0f MB, %llu rows, CPU s: libcsv %.3f, describe %.3f, rows %.3f; milrise / libcsv = %.2f\n",
           (double)bytes / 1e6, (unsigned long long)rows, floor_s, describe_s, rows_s,
           (describe_s + rows_s) / floor_s);
    printf("decode: CPU s: %.3f, %.1f MB of columns for %.0f MB of text; whole reading / libcsv = %.2f\n", decode_s,
           (double)memory / 1e6, (double)bytes / 1e6, (describe_s + decode_s) / floor_s);
    return 0;
}
