/*
 * fixture_assessment.c - see the header. Noise comes from a fixed linear congruence, so every run gives the same
 * figures.
 */
#include "fixture_assessment.h"

#include "align/tzone.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ZONES = 8, SHIFTS = 2, MINUTE = 60000 };

static const int64_t day0 = 1778457600000; /* 2026-05-11T00:00:00Z */

struct build {
    struct mr_arena *arena;
    struct mr_assessment *a;
    struct mr_alignment *al;
    struct mr_data *data;
    struct mr_job *job;
    uint32_t seed;
};

static double uniform(struct build *b) {
    b->seed = b->seed * 1664525u + 1013904223u;
    return ((double)(b->seed >> 8) + 0.5) / 16777216.0;
}

static double gauss(struct build *b) {
    double s = 0;
    for (int i = 0; i < 12; i++)
        s += uniform(b);
    return s - 6.0;
}

static const struct {
    const char *name;
    double area_m2, steel_mm, film_um, rise_k;
    enum mr_outcome outcome;
} plan[ZONES] = {{"Deck plate 1", 42, 8, 260, 5.1, MR_CONFORMS},
                 {"Deck plate 2", 42, 8, 190, 3.4, MR_DOES_NOT_CONFORM},
                 {"Deck plate 3", 42, 8, 255, 0, MR_DOES_NOT_CONFORM},
                 {"Girder north, web", 30, 12, 262, 4.9, MR_CONFORMS},
                 {"Girder south, web", 30, 12, 248, 4.7, MR_CONFORMS},
                 {"Tank shell, lower ring", 55, 6, 270, 6.0, MR_NOT_SHOWN},
                 {"Tank shell, upper ring", 55, 6, 265, 5.6, MR_CONFORMS},
                 {"Tank roof", 25, 6, 250, 5.2, MR_CONFORMS}};

static void add_file(struct build *b, const char *path, enum mr_kind kind, uint64_t used, uint64_t aside) {
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
                        .first_ms = day0 + 7 * 60 * MINUTE,
                        .last_ms = day0 + 16 * 60 * MINUTE};
    f.account = (struct mr_account){
        .rows_read = used + aside + 3, .rows_header = 3, .rows_used = used, .rows_set_aside = aside};
    if (aside) {
        f.account.by_reason[MR_ASIDE_NO_VALUE] = aside;
        struct mr_aside_run run = {MR_ASIDE_NO_VALUE, 118, 118 + (uint32_t)aside - 1, aside};
        MR_PUSH(b->arena, &f.account.runs, run);
    }
    MR_PUSH(b->arena, &b->data->files, f);
}

static void add_zone(struct build *b, size_t i) {
    struct mr_zone z = {.name = plan[i].name,
                        .aliases = "",
                        .registered = true,
                        .area_m2 = plan[i].area_m2,
                        .steel_mm = plan[i].steel_mm,
                        .profile_um = 60,
                        .member_mm = MR_NAN,
                        .substrate = "carbon steel",
                        .grade = "Sa 2½",
                        .coats = 1,
                        .settings = &b->job->settings,
                        .place = {"zones.csv", (uint32_t)i + 2, 0, 0}};
    MR_PUSH(b->arena, &b->al->zones, z);
}

static void add_windows(struct build *b) {
    for (size_t i = 0; i < ZONES; i++) {
        const size_t shift = i / 4;
        const int64_t t0 = day0 + (int64_t)shift * 86400000 + (6 * 60 + (int64_t)(i % 4) * 75) * MINUTE;
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
                                 day0 + (int64_t)s * 86400000, s ? "2026-05-12" : "2026-05-11"};
        MR_PUSH(b->arena, &b->al->shifts, shift);
    }
}

static void add_track(struct build *b, const char *instrument, const char *channel, enum mr_meaning meaning, size_t n,
                      int64_t *t, double *v, uint32_t file) {
    struct mr_track track = {.instrument = instrument,
                             .channel = channel,
                             .meaning = meaning,
                             .n = n,
                             .t_utc_ms = t,
                             .value = v,
                             .file0 = file};
    uint32_t *line = MR_ARRAY(b->arena, uint32_t, n);
    for (size_t i = 0; i < n; i++)
        line[i] = (uint32_t)i + 4;
    track.line = line;
    MR_PUSH(b->arena, &b->al->tracks, track);
}

static void add_climate(struct build *b) {
    enum { N = 2 * 9 * 60 };
    int64_t *t = MR_ARRAY(b->arena, int64_t, N);
    double *air = MR_ARRAY(b->arena, double, N), *rh = MR_ARRAY(b->arena, double, N),
           *steel = MR_ARRAY(b->arena, double, N);
    size_t n = 0;
    for (int k = 0; k < N; k++) {
        const int day = k / 540, minute = k % 540;
        if (day == 0 && minute > 200 && minute < 245)
            continue; /* the logger's gap */
        t[n] = day0 + (int64_t)day * 86400000 + (5 * 60 + minute) * (int64_t)MINUTE;
        const double h = minute / 60.0;
        air[n] = 11.5 + 8.0 * sin(h / 9.0 * 2.6) + 0.1 * gauss(b);
        rh[n] = 74 - 22 * sin(h / 9.0 * 2.6) + 0.5 * gauss(b) + (day == 1 && minute > 300 && minute < 345 ? 20 : 0);
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
static void add_lines(struct build *b) {
    enum { N = 2 * 6 * 360 };
    int64_t *t = MR_ARRAY(b->arena, int64_t, N);
    double *line_a = MR_ARRAY(b->arena, double, N), *line_b = MR_ARRAY(b->arena, double, N);
    for (int k = 0; k < N; k++) {
        const int64_t day = k / 2160;
        t[k] = day0 + day * 86400000 + 6 * 60 * (int64_t)MINUTE - 10 * (int64_t)MINUTE + (k % 2160) * 10000LL;
        bool spraying = false;
        for (size_t i = 0; i < ZONES; i++)
            spraying = spraying || (t[k] >= b->al->windows.v[i].t0_utc_ms - MINUTE &&
                                    t[k] <= b->al->windows.v[i].t1_utc_ms + MINUTE);
        line_a[k] = spraying ? 590 + 4 * gauss(b) : 2;
        line_b[k] = spraying ? 585 + 4 * gauss(b) : 2;
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

static void add_heat(struct build *b, size_t zone) {
    const struct mr_window *w = &b->al->windows.v[zone];
    const int64_t from = w->t0_utc_ms - 15 * MINUTE, onset = w->t0_utc_ms + 3 * MINUTE;
    const size_t n = 90 * 20;
    int64_t *t = MR_ARRAY(b->arena, int64_t, n);
    double *v = MR_ARRAY(b->arena, double, n);
    const double k = 1 / 95.0, tau = 900, a = k * tau, adiabatic = plan[zone].rise_k / pow(a, -1 / (a - 1));
    double peak = -1e9;
    int64_t at = onset;
    for (size_t i = 0; i < n; i++) {
        t[i] = from + (int64_t)i * 3000;
        const double clean = 13.0 + (double)zone * 0.4 + lumped(adiabatic, k, tau, (double)(t[i] - onset) / 1000.0);
        v[i] = clean + 0.12 * gauss(b);
        if (clean > peak) {
            peak = clean;
            at = t[i];
        }
    }
    add_track(b, "thermometer 1", zone % 2 ? "channel 2" : "channel 1", MR_M_PROBE_TEMP, n, t, v, 3);
    struct mr_track *track = &b->al->tracks.v[b->al->tracks.n - 1];
    struct mr_stay stay = {zone, false, from, from + 90 * (int64_t)MINUTE, MR_ROUTE_ASSIGNED};
    MR_PUSH(b->arena, &track->stays, stay);
    if (plan[zone].rise_k <= 0)
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
                              .rise_k = plan[zone].rise_k,
                              .rise_se_k = 0.05,
                              .rise_fit_k = plan[zone].rise_k,
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

static int by_value(const void *x, const void *y) {
    const double p = *(const double *)x, q = *(const double *)y;
    return p < q ? -1 : p > q;
}

static void add_film(struct build *b, size_t zone) {
    enum { SPOTS = 15, N = 45 };
    double *r = MR_ARRAY(b->arena, double, N), *s = MR_ARRAY(b->arena, double, SPOTS),
           *sorted = MR_ARRAY(b->arena, double, N);
    double sum = 0, ss = 0;
    for (int i = 0; i < SPOTS; i++) {
        const double level = plan[zone].film_um + 17 * gauss(b);
        for (int k = 0; k < 3; k++)
            sum += r[3 * i + k] = sorted[3 * i + k] = level + 7 * gauss(b);
        s[i] = (r[3 * i] + r[3 * i + 1] + r[3 * i + 2]) / 3;
    }
    for (int i = 0; i < N; i++)
        ss += (r[i] - sum / N) * (r[i] - sum / N);
    qsort(sorted, N, sizeof *sorted, by_value);
    const double sd = sqrt(ss / (N - 1));
    struct mr_zone_film f = {.zone = zone,
                             .n_readings = N,
                             .n_spots = SPOTS,
                             .n_areas = 3,
                             .need_readings = 45,
                             .need_spots = 15,
                             .need_areas = 3,
                             .mean_um = sum / N,
                             .sd_um = sd,
                             .cv_pct = 100 * sd / (sum / N),
                             .min_um = sorted[0],
                             .q1_um = sorted[11],
                             .median_um = sorted[22],
                             .q3_um = sorted[33],
                             .max_um = sorted[N - 1],
                             .ci_low_um = sum / N - 2.0154 * sd / sqrt(N),
                             .ci_high_um = sum / N + 2.0154 * sd / sqrt(N),
                             .n_values = N,
                             .reading_um = r,
                             .n_spot_values = SPOTS,
                             .spot_um = s,
                             .limit_min_um = 203.2,
                             .limit_max_um = 304.8};
    for (int i = 0; i < SPOTS; i++) {
        f.share_below_pct += (s[i] < f.limit_min_um) * 100.0 / SPOTS;
        f.share_above_pct += (s[i] > f.limit_max_um) * 100.0 / SPOTS;
    }
    MR_PUSH(b->arena, &b->a->films, f);
    struct mr_reading *reading = MR_ARRAY(b->arena, struct mr_reading, 1);
    *reading = (struct mr_reading){.file = 0, .line = 4 + 45 * (uint32_t)zone, .film_um = r[0]};
    struct mr_placed placed = {.reading = reading, .t_utc_ms = b->al->windows.v[zone].t1_utc_ms, .zone = zone};
    MR_PUSH(b->arena, &b->al->readings, placed);
}

static void add_check(struct build *b, size_t zone, size_t group, const char *id, const char *title,
                      enum mr_outcome outcome, double measured, enum mr_unit unit, double low, double high,
                      const char *rule, const char *source) {
    struct mr_check c = {.id = id,
                         .title = title,
                         .group = mr_groups[group],
                         .zone = zone,
                         .coat = group == 3,
                         .outcome = outcome,
                         .measured = measured,
                         .unit = unit,
                         .decimals = 1,
                         .limit_low = low,
                         .limit_high = high,
                         .rule = rule,
                         .source = source,
                         .detail = outcome == MR_CONFORMS ? "Inside the limits."
                                                          : "Outside the limits, or not enough to say."};
    struct mr_evidence e = {{"survey/thickness.csv", 4 + (uint32_t)zone * 45, 48 + (uint32_t)zone * 45, 0},
                            "readings of the zone"};
    MR_PUSH(b->arena, &c.evidence, e);
    MR_PUSH(b->arena, &b->a->checks, c);
    struct mr_zone_result *r = &b->a->zones[zone];
    r->by_group[group] = mr_outcome_worst(r->by_group[group], outcome);
    r->outcome = mr_outcome_worst(r->outcome, outcome);
    b->a->outcome = mr_outcome_worst(b->a->outcome, outcome);
    if (outcome == r->outcome && outcome > MR_CONFORMS)
        r->worst = title;
}

static void add_checks(struct build *b, size_t z, bool us) {
    const enum mr_unit film = us ? MR_UNIT_MIL : MR_UNIT_UM, rise = us ? MR_UNIT_RISE_F : MR_UNIT_RISE_K;
    const double mean = mr_from_canonical(film, b->a->films.v[z].mean_um), low = mr_from_canonical(film, 203.2),
                 high = mr_from_canonical(film, 304.8);
    const bool thin = plan[z].film_um < 210, cold = plan[z].rise_k < 4.4;
    b->a->zones[z].worst = "";
    add_check(b, z, 0, "thickness.area-mean", "mean of each area", thin ? MR_DOES_NOT_CONFORM : MR_CONFORMS, mean,
              film, low, high, "restriction level 3, area mean within the specified range",
              "SSPC-PA 2 (2012), table 1");
    add_check(b, z, 1, "gauge.bracket", "readings between two verifications that passed",
              z == 5 ? MR_NOT_SHOWN : MR_CONFORMS, MR_NAN, MR_UNIT_NONE, MR_NAN, MR_NAN,
              "every reading lies between two verifications that passed", "project decision");
    add_check(b, z, 2, "climate.spread", "steel above dew point", z == 7 ? MR_CONFORMS : MR_CONFORMS,
              mr_from_canonical(rise, 4.1), rise, mr_from_canonical(rise, 3), MR_NAN,
              "least steel temperature above dew point", "ISO 8502-4");
    add_check(b, z, 3, "reaction.rise", "rise of the coat", cold ? MR_DOES_NOT_CONFORM : MR_CONFORMS,
              mr_from_canonical(rise, plan[z].rise_k), rise, mr_from_canonical(rise, 4.44),
              mr_from_canonical(rise, 6.2), "rise of a normal film", "common practice, no source");
    add_check(b, z, 4, "lines.imbalance", "difference between the lines", MR_CONFORMS, 3.2, MR_UNIT_PCT, MR_NAN, 10,
              "greatest difference between the lines", "project decision");
}

static void add_findings(struct build *b, bool us) {
    const enum mr_unit film = us ? MR_UNIT_MIL : MR_UNIT_UM, rise = us ? MR_UNIT_RISE_F : MR_UNIT_RISE_K;
    const struct mr_window *w = b->al->windows.v;
    struct mr_finding f[] = {
        {.id = "thin-zone",
         .severity = MR_ERROR,
         .zone = 1,
         .t0_utc_ms = w[1].t1_utc_ms,
         .t1_utc_ms = MR_T_NONE,
         .what = "The mean of area 1 lies below the specified minimum; the deficit is worth one further pass.",
         .measured = mr_from_canonical(film, 188.4),
         .limit = mr_from_canonical(film, 203.2),
         .unit = film,
         .decimals = us ? 2 : 0,
         .rule = "restriction level 3, area mean",
         .source = "SSPC-PA 2 (2012), table 1",
         .next_step = "Spray one further pass over the zone and measure it again."},
        {.id = "no-reaction",
         .severity = MR_ERROR,
         .zone = 2,
         .coat = 1,
         .t0_utc_ms = w[2].t0_utc_ms,
         .t1_utc_ms = w[2].t1_utc_ms,
         .what = "The steel under coat 1 did not warm after the material landed.",
         .measured = 0.1,
         .limit = mr_from_canonical(rise, 1),
         .unit = rise,
         .decimals = 1,
         .rule = "no reaction below",
         .source = "project decision",
         .next_step = "Scratch-test the film, look at the lines over the same minutes, and repair where it is soft.",
         .caution = "Lines under pressure can inject material through skin: relieve them before opening anything."},
        {.id = "gauge-open",
         .severity = MR_WARNING,
         .zone = 5,
         .t0_utc_ms = MR_T_NONE,
         .t1_utc_ms = MR_T_NONE,
         .what = "The gauge failed its closing verification, so the readings after 14:10 are not shown to be right.",
         .measured = MR_NAN,
         .limit = MR_NAN,
         .unit = MR_UNIT_NONE,
         .rule = "every reading lies between two verifications that passed",
         .source = "project decision",
         .next_step = "Verify the gauge again and measure the zone again."},
        {.id = "clock-error",
         .severity = MR_NOTE,
         .zone = MR_NONE,
         .t0_utc_ms = w[0].t0_utc_ms,
         .t1_utc_ms = w[7].t1_utc_ms,
         .what = "The steel thermometer runs 4 min late against the spray log.",
         .measured = 240,
         .limit = 60,
         .unit = MR_UNIT_S,
         .decimals = 0,
         .rule = "estimated clock error that is a finding",
         .source = "project decision",
         .next_step = "Set its clock, or state the offset in the job file."}};
    for (size_t i = 0; i < MR_COUNT(f); i++) {
        struct mr_evidence e = {{"survey/thickness.csv", 94 + (uint32_t)i, 138, 0}, i ? "second survey" : NULL};
        MR_PUSH(b->arena, &f[i].evidence, e);
        MR_PUSH(b->arena, &b->a->findings, f[i]);
    }
}

static void add_story(struct build *b) {
    for (size_t s = 0; s < SHIFTS; s++)
        for (size_t i = 4 * s; i < 4 * s + 4; i++) {
            const struct mr_window *w = &b->al->windows.v[i];
            struct mr_shift_event e[] = {
                {MR_EVENT_WINDOW, s, w->t0_utc_ms, w->t1_utc_ms, i, "coat 1 sprayed", plan[i].outcome, w->place},
                {MR_EVENT_HEAT,
                 s,
                 w->t0_utc_ms + 3 * MINUTE,
                 MR_T_NONE,
                 i,
                 plan[i].rise_k > 0 ? "heat of coat 1" : "no heat found",
                 plan[i].rise_k < 4.4 ? MR_DOES_NOT_CONFORM : MR_CONFORMS,
                 {"logs/steel-temperature.csv", 304, 0, 0}},
                {MR_EVENT_LINE,
                 s,
                 w->t0_utc_ms + 9 * MINUTE,
                 w->t0_utc_ms + 10 * MINUTE,
                 i,
                 "line B fell to 31 % of its median for 41 s",
                 i == 2 ? MR_DOES_NOT_CONFORM : MR_NOT_REQUIRED,
                 {"logs/lines.csv", 9000, 0, 0}},
                {MR_EVENT_PAUSE,
                 s,
                 w->t1_utc_ms,
                 w->t1_utc_ms + 30 * MINUTE,
                 MR_NONE,
                 "pause of 30 min, lines charged",
                 i % 3 == 1 ? MR_DOES_NOT_CONFORM : MR_CONFORMS,
                 {"logs/lines.csv", 9900, 0, 0}}};
            for (size_t k = 0; k < MR_COUNT(e); k++)
                if (k != 2 || i == 2 || i == 5)
                    MR_PUSH(b->arena, &b->a->timeline, e[k]);
            if (i % 4 == 0) {
                struct mr_shift_event check = {MR_EVENT_CHECK,
                                         s,
                                         w->t0_utc_ms - 20 * MINUTE,
                                         MR_T_NONE,
                                         MR_NONE,
                                         "gauge 1 verified before use",
                                         s ? MR_NOT_SHOWN : MR_CONFORMS,
                                         {"survey/verification.csv", 3, 0, 0}};
                MR_PUSH(b->arena, &b->a->timeline, check);
            }
        }
}

void fixture_table(struct mr_arena *arena, struct mr_assessment *a, size_t rows) {
    const bool us = a->job->display.film == MR_UNIT_MIL;
    const struct mr_field fields[] = {
        {"time", "Time", MR_UNIT_NONE, 0, 0},
        {"zone", "Zone", MR_UNIT_NONE, 0, 26},
        {"reading_no", "No.", MR_UNIT_NONE, 0, 0},
        {us ? "film_mil" : "film_um", "Film", us ? MR_UNIT_MIL : MR_UNIT_UM, us ? 2 : 0, 0},
        {"outcome", "Outcome", MR_UNIT_NONE, 0, 0},
        {"place", "File and line", MR_UNIT_NONE, 0, 30}};
    struct mr_table *t = mr_table_new(
        arena, "readings", "Readings",
        "Every thickness reading that counts, in order of time, with its file and line. Times are local.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < rows; i++) {
        const double um = 230 + (double)(i * 37 % 61);
        const struct mr_value v[] = {mr_v_time(day0 + (int64_t)i * 7000),
                                     mr_v_text(plan[i % ZONES].name),
                                     mr_v_count((int64_t)i + 1),
                                     i == 3 ? mr_v_blank("set aside: OL") : mr_v_num(us ? um / 25.4 : um),
                                     mr_v_outcome(i % 9 ? MR_CONFORMS : MR_NOT_SHOWN),
                                     mr_v_text(mr_printf(arena, "survey/thickness.csv:%zu", i + 4))};
        mr_table_add(arena, t, v);
    }
    MR_PUSH(arena, &a->tables, t);
}

static void add_rise_comparison(struct build *b) {
    b->a->rise.steel_mm = 10;
    for (size_t i = 0; i < ZONES; i++) {
        const double film = b->a->films.v[i].mean_um, fit = 0.0145 * film;
        const struct mr_rise_zone z = {i, film, i == 1 ? fit - 1.3 : fit + 0.2 * gauss(b), fit, fit - 0.8, fit + 0.8};
        MR_PUSH(b->arena, &b->a->rise.zones, z);
    }
}

static void set_default(struct mr_settings *s, enum mr_setting_id id, double value, enum mr_unit unit,
                        const char *text) {
    s->v[id] = (struct mr_setting){
        .set = true, .value = value, .written = mr_from_canonical(unit, value), .unit = unit, .text = text};
}

struct mr_assessment *fixture_assessment(struct mr_arena *arena, const char *dir, bool us) {
    struct build b = {arena,
                      MR_NEW(arena, struct mr_assessment),
                      MR_NEW(arena, struct mr_alignment),
                      MR_NEW(arena, struct mr_data),
                      MR_NEW(arena, struct mr_job),
                      20260511u};
    *b.job = *mr_job_default(arena);
    b.job->dir = dir;
    b.job->time_zone = "Europe/Vienna";
    b.job->name = "Footbridge and water tank";
    b.job->site = "River crossing, north bank";
    b.job->contract = "contract 7, lot 2";
    b.job->client = "the owner's engineer";
    b.job->crew = "coating crew 1";
    if (us)
        b.job->display = (struct mr_display){MR_UNIT_MIL, MR_UNIT_F,  MR_UNIT_RISE_F, MR_UNIT_PSI,
                                             MR_UNIT_FT2, MR_UNIT_IN, MR_UNIT_GAL,    MR_UNIT_LB};
    else
        b.job->display = (struct mr_display){MR_UNIT_UM, MR_UNIT_C,  MR_UNIT_RISE_K, MR_UNIT_KPA,
                                             MR_UNIT_M2, MR_UNIT_MM, MR_UNIT_L,      MR_UNIT_KG};
    set_default(&b.job->settings, MR_DFT_MIN, 203.2, MR_UNIT_MIL, "8 mil");
    set_default(&b.job->settings, MR_DFT_MAX, 304.8, MR_UNIT_MIL, "12 mil");
    b.job->settings.v[MR_DFT_MIN].from_job = b.job->settings.v[MR_DFT_MAX].from_job = true;
    b.job->settings.v[MR_DFT_MIN].place = (struct mr_place){"job.milrise", 14, 0, 0};
    if (mr_tzone_load(arena, b.job->time_zone, &b.al->site) != MR_OK)
        b.al->site = NULL;
    b.al->data = b.data;
    b.al->job = b.data->job = b.a->job = b.job;
    b.a->aligned = b.al;
    b.a->judged = true;
    add_file(&b, "survey/thickness.csv", MR_KIND_THICKNESS, 360, 4);
    add_file(&b, "survey/verification.csv", MR_KIND_VERIFICATION, 4, 0);
    add_file(&b, "logs/hygrometer.csv", MR_KIND_CLIMATE, 1036, 0);
    add_file(&b, "logs/steel-temperature.csv", MR_KIND_TEMPERATURE, 14400, 0);
    add_file(&b, "spray-log.csv", MR_KIND_SPRAY_LOG, 8, 0);
    add_file(&b, "zones.csv", MR_KIND_ZONES, ZONES, 0);
    add_file(&b, "logs/lines.csv", MR_KIND_PRESSURE, 4320, 0);
    b.al->accounts = MR_ARRAY(arena, struct mr_account, b.data->files.n);
    for (size_t i = 0; i < b.data->files.n; i++)
        b.al->accounts[i] = b.data->files.v[i].account;
    b.a->zones = MR_ARRAY(arena, struct mr_zone_result, ZONES);
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
    MR_PUSH(arena, &b.al->clocks, clock);
    for (size_t i = 0; i < ZONES; i++)
        add_zone(&b, i);
    add_windows(&b);
    add_climate(&b);
    add_lines(&b);
    for (size_t i = 0; i < ZONES; i++) {
        add_heat(&b, i);
        add_film(&b, i);
        add_checks(&b, i, us);
    }
    add_findings(&b, us);
    add_story(&b);
    add_rise_comparison(&b);
    fixture_table(arena, b.a, 120);
    b.al->last_utc_ms = day0 + 86400000 + 15 * 60 * (int64_t)MINUTE;
    return b.a;
}

struct mr_assessment *fixture_hostile(struct mr_arena *arena, const char *dir) {
    struct mr_assessment *a = fixture_assessment(arena, dir, false);
    struct mr_zone *z = a->aligned->zones.v;
    struct mr_job *job = (struct mr_job *)(uintptr_t)a->job;
    char *longest = MR_ARRAY(arena, char, 301);
    memset(longest, 'W', 300);
    job->name = "R&G && &G &[Picture] <&\"'>";
    job->site = "bad \xff\xfe bytes, bell \a, \xef\xbf\xbf end";
    z[0].name = longest;
    z[1].name = "=cmd|' /C calc'!A0";
    z[2].name = "a\tb\nc\x01_x0041_";
    z[3].name = "漢字の名前とても長い名前です";
    z[4].name = "";
    z[5].name = "../../etc/passwd";
    z[6].name = "\xc3\x28 broken";
    z[7].name = "DECK/PLATE";
    struct mr_finding *f = &a->findings.v[0];
    char *huge = MR_ARRAY(arena, char, 40001);
    memset(huge, 'x', 40000);
    f->what = huge;
    f->measured = INFINITY;
    f->rule = "=1+1";
    a->checks.v[0].measured = MR_NAN;
    a->checks.v[1].limit_low = INFINITY;
    for (size_t i = 0; i < 2; i++) { /* titles that collide once cut and cleaned */
        struct mr_table *copy = MR_NEW(arena, struct mr_table);
        *copy = *a->tables.v[0];
        copy->id = i ? "readings-b" : "readings-a";
        copy->title =
            i ? "readings: every one of them, over and over" : "READINGS: every one of them, and over again";
        MR_PUSH(arena, &a->tables, copy);
    }
    struct mr_table *same = MR_NEW(arena, struct mr_table);
    *same = *a->tables.v[0];
    same->id = "readings-c";
    same->title = "findings";
    MR_PUSH(arena, &a->tables, same);
    return a;
}
