/*
 * fixture_measured.c - the fixture's files, zones, windows and logs.
 */
#include "fixture_build.h"

#include <math.h>

const struct fixture_zone fixture_plan[ZONES] = {{"Deck plate 1", 42, 8, 260, 5.1, MR_CONFORMS},
                                                 {"Deck plate 2", 42, 8, 190, 3.4, MR_DOES_NOT_CONFORM},
                                                 {"Deck plate 3", 42, 8, 255, 0, MR_DOES_NOT_CONFORM},
                                                 {"Girder north, web", 30, 12, 262, 4.9, MR_CONFORMS},
                                                 {"Girder south, web", 30, 12, 248, 4.7, MR_CONFORMS},
                                                 {"Tank shell, lower ring", 55, 6, 270, 6.0, MR_NOT_SHOWN},
                                                 {"Tank shell, upper ring", 55, 6, 265, 5.6, MR_CONFORMS},
                                                 {"Tank roof", 25, 6, 250, 5.2, MR_CONFORMS}};

static double uniform(struct fixture_build *b) {
    b->seed = b->seed * 1664525u + 1013904223u;
    return ((double)(b->seed >> 8) + 0.5) / 16777216.0;
}

double fixture_gauss(struct fixture_build *b) {
    double s = 0;
    for (int i = 0; i < 12; i++)
        s += uniform(b);
    return s - 6.0;
}

static void add_file(struct fixture_build *b, const char *path, enum mr_kind kind, uint64_t used, uint64_t aside) {
    struct mr_source *s = MR_NEW(b->arena, struct mr_source);
    s->path = path;
    s->readable = true;
    s->delimiter = ',';
    s->decimal = '.';
    s->line_ends = "LF";
    s->encoding_why = "no byte above 127";
    s->size = 40 * (used + aside);
    for (int i = 0; i < 64; i++)
        s->sha256[i] = "0123456789abcdef"[(unsigned)(i * 7 + (int)used + (int)kind) % 16];
    struct mr_file f = {.source = s,
                        .kind = kind,
                        .kind_why = "columns by their trade words",
                        .basis = MR_TIME_LOCAL,
                        .date_order = "year-first",
                        .date_why = "the year stands first",
                        .instrument_name = "",
                        .first_ms = FIXTURE_DAY0 + 7 * 60 * MINUTE,
                        .last_ms = FIXTURE_DAY0 + 16 * 60 * MINUTE};
    f.account = (struct mr_account){
        .rows_read = used + aside + 3, .rows_header = 3, .rows_used = used, .rows_set_aside = aside};
    if (aside) {
        f.account.by_reason[MR_ASIDE_NO_VALUE] = aside;
        struct mr_aside_run run = {MR_ASIDE_NO_VALUE, 118, 118 + (uint32_t)aside - 1, aside};
        MR_PUSH(b->arena, &f.account.runs, run);
    }
    MR_PUSH(b->arena, &b->data->files, f);
}

static void add_zone(struct fixture_build *b, size_t i) {
    struct mr_zone z = {.name = fixture_plan[i].name,
                        .aliases = "",
                        .registered = true,
                        .area_m2 = fixture_plan[i].area_m2,
                        .steel_mm = fixture_plan[i].steel_mm,
                        .profile_um = 60,
                        .member_mm = MR_NAN,
                        .substrate = "carbon steel",
                        .grade = "Sa 2½",
                        .coats = 1,
                        .settings = &b->job->settings,
                        .place = {"zones.csv", (uint32_t)i + 2, 0, 0}};
    MR_PUSH(b->arena, &b->al->zones, z);
}

static void add_windows(struct fixture_build *b) {
    for (size_t i = 0; i < ZONES; i++) {
        const size_t shift = i / 4;
        const int64_t t0 = FIXTURE_DAY0 + (int64_t)shift * 86400000 + (6 * 60 + (int64_t)(i % 4) * 75) * MINUTE;
        struct mr_window w = {.zone = i,
                              .coat = 1,
                              .t0_utc_ms = t0,
                              .t1_utc_ms = t0 + (22 + (int64_t)i * 2) * MINUTE,
                              .shift = shift,
                              .n_rows = 1,
                              .place = {"spray-log.csv", (uint32_t)i + 2, 0, 0}};
        MR_PUSH(b->arena, &b->al->windows, w);
    }
    for (size_t s = 0; s < SHIFTS; s++) {
        struct mr_shift shift = {b->al->windows.v[4 * s].t0_utc_ms, b->al->windows.v[4 * s + 3].t1_utc_ms,
                                 FIXTURE_DAY0 + (int64_t)s * 86400000, s ? "2026-05-12" : "2026-05-11"};
        MR_PUSH(b->arena, &b->al->shifts, shift);
    }
}

static void add_track(struct fixture_build *b, const char *instrument, const char *channel, enum mr_meaning meaning,
                      size_t n, int64_t *t, double *v, uint32_t file) {
    struct mr_track track = {.instrument = instrument,
                             .channel = channel,
                             .meaning = meaning,
                             .n = n,
                             .t_utc_ms.raw = t,
                             .value.raw = v,
                             .file0 = file};
    int64_t *line = MR_ARRAY(b->arena, int64_t, n);
    for (size_t i = 0; i < n; i++)
        line[i] = (int64_t)i + 4;
    track.line.raw = line;
    MR_PUSH(b->arena, &b->al->tracks, track);
}

static void add_climate(struct fixture_build *b) {
    enum { N = 2 * 9 * 60 };
    int64_t *t = MR_ARRAY(b->arena, int64_t, N);
    double *air = MR_ARRAY(b->arena, double, N), *rh = MR_ARRAY(b->arena, double, N),
           *steel = MR_ARRAY(b->arena, double, N);
    size_t n = 0;
    for (int k = 0; k < N; k++) {
        const int day = k / 540, minute = k % 540;
        if (day == 0 && minute > 200 && minute < 245)
            continue; /* the logger's gap */
        t[n] = FIXTURE_DAY0 + (int64_t)day * 86400000 + (5 * 60 + minute) * (int64_t)MINUTE;
        const double h = minute / 60.0;
        air[n] = 11.5 + 8.0 * sin(h / 9.0 * 2.6) + 0.1 * fixture_gauss(b);
        rh[n] = 74 - 22 * sin(h / 9.0 * 2.6) + 0.5 * fixture_gauss(b) +
                (day == 1 && minute > 300 && minute < 345 ? 20 : 0);
        steel[n] = air[n] - 0.4 + 1.8 * sin(h / 9.0 * 3.0);
        n++;
    }
    add_track(b, "hygrometer 1", "air", MR_M_AIR, n, t, air, 2);
    add_track(b, "hygrometer 1", "humidity", MR_M_RH, n, t, rh, 2);
    add_track(b, "hygrometer 1", "steel", MR_M_STEEL, n, t, steel, 2);
    double *second = MR_ARRAY(b->arena, double, N);
    for (size_t i = 0; i < n; i++)
        second[i] = air[i] + 0.5;
    add_track(b, "hygrometer 2", "air", MR_M_AIR, n, t, second, 2);
}

/* Both lines over each shift at 10 s: charged while spraying, a dropout of line B in the third window. */
static void add_lines(struct fixture_build *b) {
    enum { N = 2 * 6 * 360 };
    int64_t *t = MR_ARRAY(b->arena, int64_t, N);
    double *line_a = MR_ARRAY(b->arena, double, N), *line_b = MR_ARRAY(b->arena, double, N);
    for (int k = 0; k < N; k++) {
        const int64_t day = k / 2160;
        t[k] = FIXTURE_DAY0 + day * 86400000 + 6 * 60 * (int64_t)MINUTE - 10 * (int64_t)MINUTE + (k % 2160) * 10000LL;
        bool spraying = false;
        for (size_t i = 0; i < ZONES; i++)
            spraying = spraying || (t[k] >= b->al->windows.v[i].t0_utc_ms - MINUTE &&
                                    t[k] <= b->al->windows.v[i].t1_utc_ms + MINUTE);
        line_a[k] = spraying ? 590 + 4 * fixture_gauss(b) : 2;
        line_b[k] = spraying ? 585 + 4 * fixture_gauss(b) : 2;
        if (t[k] >= b->al->windows.v[2].t0_utc_ms + 9 * (int64_t)MINUTE &&
            t[k] <= b->al->windows.v[2].t0_utc_ms + 10 * (int64_t)MINUTE)
            line_b[k] = 180;
    }
    add_track(b, "pressure logger", "A", MR_M_LINE_A, N, t, line_a, 6);
    add_track(b, "pressure logger", "B", MR_M_LINE_B, N, t, line_b, 6);
}

/* A lumped body heated by a first-order reaction against loss. */
static double lumped(double adiabatic, double k, double tau, double s) {
    const double a = k * tau;
    return s <= 0 ? 0 : adiabatic * a / (a - 1) * (exp(-s / tau) - exp(-k * s));
}

void fixture_heat(struct fixture_build *b, size_t zone) {
    const struct mr_window *w = &b->al->windows.v[zone];
    const int64_t from = w->t0_utc_ms - 15 * MINUTE, onset = w->t0_utc_ms + 3 * MINUTE;
    const size_t n = 90 * 20;
    int64_t *t = MR_ARRAY(b->arena, int64_t, n);
    double *v = MR_ARRAY(b->arena, double, n);
    const double k = 1 / 95.0, tau = 900, a = k * tau, adiabatic = fixture_plan[zone].rise_k / pow(a, -1 / (a - 1));
    double peak = -1e9;
    int64_t at = onset;
    for (size_t i = 0; i < n; i++) {
        t[i] = from + (int64_t)i * 3000;
        const double clean = 13.0 + (double)zone * 0.4 + lumped(adiabatic, k, tau, (double)(t[i] - onset) / 1000.0);
        v[i] = clean + 0.12 * fixture_gauss(b);
        if (clean > peak) {
            peak = clean;
            at = t[i];
        }
    }
    add_track(b, "thermometer 1", zone % 2 ? "channel 2" : "channel 1", MR_M_PROBE_TEMP, n, t, v, 3);
    struct mr_track *track = &b->al->tracks.v[b->al->tracks.n - 1];
    struct mr_stay stay = {zone, false, from, from + 90 * (int64_t)MINUTE, MR_ROUTE_ASSIGNED};
    MR_PUSH(b->arena, &track->stays, stay);
    if (fixture_plan[zone].rise_k <= 0)
        return;
    struct mr_heat_event e = {.track = b->al->tracks.n - 1,
                              .zone = zone,
                              .window = zone,
                              .coat = 1,
                              .t_onset = onset,
                              .t_peak = at,
                              .t_end = from + 80 * (int64_t)MINUTE,
                              .t_baseline = from,
                              .line_c = 13.0 + (double)zone * 0.4,
                              .baseline_c = 13.0 + (double)zone * 0.4,
                              .peak_c = peak,
                              .rise_k = fixture_plan[zone].rise_k,
                              .rise_se_k = 0.05,
                              .rise_fit_k = fixture_plan[zone].rise_k,
                              .rise_adiabatic_k = adiabatic,
                              .rise_adiabatic_se_k = 0.1,
                              .rate_k_per_s = adiabatic * k,
                              .time_to_peak_s = (double)(at - onset) / 1000.0,
                              .time_above_half_s = 800,
                              .area_k_s = 4000,
                              .k_per_s = k,
                              .tau_s = tau,
                              .k_se = 1e-4,
                              .tau_se = 20,
                              .onset_se_s = 3,
                              .rmse_k = 0.12,
                              .fit = MR_FIT_OK,
                              .fit_note = "",
                              .place = {"logs/steel-temperature.csv", 304, 1600, 0}};
    MR_PUSH(b->arena, &b->a->heats, e);
}

void fixture_measured(struct fixture_build *b) {
    add_file(b, "survey/thickness.csv", MR_KIND_THICKNESS, 360, 4);
    add_file(b, "survey/verification.csv", MR_KIND_VERIFICATION, 4, 0);
    add_file(b, "logs/hygrometer.csv", MR_KIND_CLIMATE, 1036, 0);
    add_file(b, "logs/steel-temperature.csv", MR_KIND_TEMPERATURE, 14400, 0);
    add_file(b, "spray-log.csv", MR_KIND_SPRAY_LOG, 8, 0);
    add_file(b, "zones.csv", MR_KIND_ZONES, ZONES, 0);
    add_file(b, "logs/lines.csv", MR_KIND_PRESSURE, 4320, 0);
    b->al->accounts = MR_ARRAY(b->arena, struct mr_account, b->data->files.n);
    for (size_t i = 0; i < b->data->files.n; i++)
        b->al->accounts[i] = b->data->files.v[i].account;
    b->a->zones = MR_ARRAY(b->arena, struct mr_zone_result, ZONES);
    struct mr_clock clock = {.instrument = "thermometer 1",
                             .time_zone = "UTC",
                             .offset_s = 0,
                             .estimated = true,
                             .est_offset_s = 240,
                             .est_spread_s = 22,
                             .est_drift_s_per_day = MR_NAN,
                             .est_events = 7,
                             .est_against = "spray log",
                             .note = "Runs late."};
    MR_PUSH(b->arena, &b->al->clocks, clock);
    for (size_t i = 0; i < ZONES; i++)
        add_zone(b, i);
    add_windows(b);
    add_climate(b);
    add_lines(b);
}
