/*
 * make_job.c - a seeded job of a given size for the benchmarks: make_job SIZE FOLDER.
 *
 *     size     zones   gauge readings   rows of logs
 *     small       20            3,000         58,000
 *     fair       100           30,000        403,000
 *     medium     500          150,000      2,017,000
 *     large    2,000        1,000,000     20,167,000
 *
 * An invented hall whose bays are sprayed one after another, day and night: a bay begins every few hundred to few
 * thousand seconds, its film is measured ten minutes later, spot by spot. Files by calendar day, as loggers keep
 * them: gauge readings, hygrometer each minute, thermometer with six probes and two line pressures each second. Same
 * size, same bytes.
 */
#include "support/simulate.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

enum { PROBES = 6, SPRAY_S = 240, MEASURE_S = 600, SPOT = 5, DAY_S = 86400, SHARE_THIN = 40 };

struct size {
    const char *name;
    long zones, readings, seconds, first_s;
};

static const struct size sizes[] = {{"small", 20, 150, 28800, 28800},
                                    {"fair", 100, 300, 200000, 0},
                                    {"medium", 500, 300, 1000000, 0},
                                    {"large", 2000, 500, 10000000, 0}};

static const struct sim_material ceramic = {
    .density_kg_m3 = 1900, .heat_capacity_j_kgk = 900, .heat_j_kg = 220000, .k_per_s = 1.0 / 45};
static const struct sim_steel plate = {.thickness_mm = 4, .h_w_m2k = 24};
static const struct sim_day weather = {.low_c = 14, .high_c = 23, .dew_c = 7, .dew_slope_k_h = 0};

static const char *folder;

static FILE *open_file(const char *format, ...) {
    char path[4096];
    int n = snprintf(path, sizeof path, "%s/", folder);
    va_list args;
    va_start(args, format);
    vsnprintf(path + n, sizeof path - (size_t)n, format, args);
    va_end(args);
    FILE *f = fopen(path, "w");
    if (!f) {
        perror(path);
        exit(1);
    }
    return f;
}

static void close_file(FILE *f) {
    if (fclose(f) != 0) {
        perror("make_job");
        exit(1);
    }
}

/* A bay's onset in seconds from the beginning of the logs. */
static long onset(const struct size *s, long zone) {
    return (long)(((double)zone + 0.1) * (double)s->seconds / (double)s->zones);
}

/* Seconds from the beginning of the logs as date and time of day. */
static void stamp(const struct size *s, long at, char date[16], char clock[16]) {
    const time_t t = 1772409600 + s->first_s + at; /* 2026-03-02 00:00 UTC */
    struct tm tm;
    gmtime_r(&t, &tm);
    strftime(date, 16, "%Y-%m-%d", &tm);
    strftime(clock, 16, "%H:%M:%S", &tm);
}

static double film_of(long zone) {
    struct sim_rng r = sim_seed(20260302, 1000 + (uint64_t)zone);
    return zone % SHARE_THIN == 7 ? 165 : sim_between(&r, 225, 265);
}

static void write_job(const struct size *s) {
    char date[16], clock[16], last[16];
    stamp(s, s->seconds - 1, last, clock);
    FILE *f = open_file("job.milrise");
    fprintf(f, "[job]\nname = Hall with %ld bays\nsite = invented\ntime zone = UTC\ndates = 2026-03-02 .. %s\n",
            s->zones, last);
    fputs("[report]\nunits = SI\nrevision = 1\n", f);
    fputs("[thickness]\nminimum = 180 um\nmaximum = 380 um\nrules = plain-limits\nreadings per spot = 5\n", f);
    fputs("[climate]\ndew-point spread minimum = 3 K\nhumidity maximum = 85 %\nlead time = 10 min\n", f);
    fputs("cure time = 20 min\n[instrument \"TG\"]\nfiles = TG-*.csv\n[instrument \"HY\"]\nfiles = HY-*.csv\n", f);
    fputs("[instrument \"TL\"]\nfiles = TL-*.csv\n[instrument \"PL\"]\nfiles = PL-*.csv\n[assign \"TL\"]\n", f);
    for (long z = 0; z < s->zones; z++) {
        stamp(s, onset(s, z) - 600 > 0 ? onset(s, z) - 600 : 0, date, clock);
        fprintf(f, "T%ld = Bay %04ld, %s %.5s .. ", z % PROBES + 1, z + 1, date, clock);
        stamp(s, onset(s, z) + 1200, date, clock);
        fprintf(f, "%s %.5s\n", date, clock);
    }
    close_file(f);
    f = open_file("zones.csv");
    fputs("Zone,Area (m2),Steel thickness (mm),Coats\n", f);
    for (long z = 0; z < s->zones; z++)
        fprintf(f, "Bay %04ld,%ld,4,1\n", z + 1, 8 + z % 5);
    close_file(f);
    f = open_file("spray log.csv");
    fputs("Date,Action,Zone,Coat,Start,Stop\n", f);
    for (long z = 0; z < s->zones; z++) {
        char stop[16];
        stamp(s, onset(s, z) + SPRAY_S, date, stop);
        stamp(s, onset(s, z), date, clock);
        fprintf(f, "%s,spray,Bay %04ld,1,%s,%s\n", date, z + 1, clock, stop);
    }
    close_file(f);
}

/* The rows of one logger from second `from` on, n of them. */
static void write_temperatures(const struct size *s, long from, long n, struct sim_rng *r, FILE *f) {
    char date[16], clock[16];
    fputs("Date,Time,T1 (degC),T2 (degC),T3 (degC),T4 (degC),T5 (degC),T6 (degC)\n", f);
    double drift = 0;
    for (long at = from; at < from + n; at++) {
        stamp(s, at, date, clock);
        drift = 0.999 * drift + 0.004 * sim_normal(r, 0, 1);
        const double air = sim_air_c(&weather, (double)((s->first_s + at) % DAY_S));
        const long zone = (long)((double)at * (double)s->zones / (double)s->seconds - 0.1 + 1) - 1;
        fprintf(f, "%s,%s", date, clock);
        for (long p = 0; p < PROBES; p++) {
            double t = air + 0.2 * (double)p + drift + sim_normal(r, 0, 0.06);
            if (zone >= 0 && zone % PROBES == p)
                t += sim_rise_at(&ceramic, &plate, film_of(zone), (double)(at - onset(s, zone)));
            fprintf(f, ",%.2f", t);
        }
        fputc('\n', f);
    }
}

static void write_pressures(const struct size *s, long from, long n, struct sim_rng *r, FILE *f) {
    char date[16], clock[16];
    fputs("Date,Time,Line A (kPa),Line B (kPa)\n", f);
    for (long at = from; at < from + n; at++) {
        stamp(s, at, date, clock);
        const long zone = (long)((double)at * (double)s->zones / (double)s->seconds - 0.1 + 1) - 1;
        const bool spraying = zone >= 0 && at - onset(s, zone) < SPRAY_S;
        fprintf(f, "%s,%s,%.1f,%.1f\n", date, clock, (spraying ? 585 : 12) + sim_normal(r, 0, 5),
                (spraying ? 580 : 12) + sim_normal(r, 0, 5));
    }
}

static void write_climate(const struct size *s, long from, long n, struct sim_rng *r, FILE *f) {
    char date[16], clock[16];
    fputs("Date,Time,Air (degC),RH (%)\n", f);
    for (long at = from; at < from + n; at += 60) {
        const double t = (double)((s->first_s + at) % DAY_S), air = sim_air_c(&weather, t);
        stamp(s, at, date, clock);
        fprintf(f, "%s,%s,%.1f,%.1f\n", date, clock, air + sim_normal(r, 0, 0.1),
                sim_rh_pct(air, sim_dew_c(&weather, t)) + sim_normal(r, 0, 0.6));
    }
}

static void write_readings(const struct size *s, long from, long n, FILE *f) {
    char date[16], clock[16];
    fputs("Date,Time,Zone,Spot,Reading no,\"DFT, µm\"\n", f);
    for (long z = 0; z < s->zones; z++) {
        const long first = onset(s, z) + MEASURE_S;
        if (first >= from + n || first + 2 * s->readings <= from)
            continue;
        struct sim_rng r = sim_seed(20260302, 900000 + (uint64_t)z);
        double spot = 0;
        for (long k = 0; k < s->readings; k++) {
            if (k % SPOT == 0)
                spot = film_of(z) * (1 + sim_normal(&r, 0, 0.04));
            const double shown = spot + sim_normal(&r, 0, 5);
            stamp(s, first + 2 * k, date, clock);
            if (first + 2 * k >= from && first + 2 * k < from + n)
                fprintf(f, "%s,%s,Bay %04ld,%ld,%ld,%.1f\n", date, clock, z + 1, k / SPOT + 1, k % SPOT + 1, shown);
        }
    }
}

int main(int argc, char **argv) {
    const struct size *s = NULL;
    for (size_t i = 0; argc == 3 && i < sizeof sizes / sizeof *sizes; i++)
        s = strcmp(argv[1], sizes[i].name) == 0 ? &sizes[i] : s;
    if (!s) {
        fputs("usage: make_job small|fair|medium|large FOLDER\n", stderr);
        return 2;
    }
    folder = argv[2];
    mkdir(folder, 0777);
    write_job(s);
    for (long from = 0, day = 0; from < s->seconds; day++) {
        const long left = DAY_S - (s->first_s + from) % DAY_S,
                   n = left < s->seconds - from ? left : s->seconds - from;
        char date[16], clock[16];
        stamp(s, from, date, clock);
        struct sim_rng r = sim_seed(20260302, (uint64_t)day);
        FILE *f;
        write_temperatures(s, from, n, &r, f = open_file("TL-%s.csv", date));
        close_file(f);
        write_pressures(s, from, n, &r, f = open_file("PL-%s.csv", date));
        close_file(f);
        write_climate(s, from, n, &r, f = open_file("HY-%s.csv", date));
        close_file(f);
        write_readings(s, from, n, f = open_file("TG-%s.csv", date));
        close_file(f);
        from += n;
    }
    return 0;
}
