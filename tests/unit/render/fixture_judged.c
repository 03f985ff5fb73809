/*
 * fixture_judged.c - the fixture's outcomes: films, checks, findings, timeline.
 */
#include "fixture_assessment.h"
#include "fixture_build.h"

#include <math.h>
#include <stdlib.h>

static int by_value(const void *x, const void *y) {
    const double p = *(const double *)x, q = *(const double *)y;
    return p < q ? -1 : p > q;
}

void fixture_film(struct fixture_build *b, size_t zone) {
    enum { SPOTS = 15, N = 45 };
    double *r = MR_ARRAY(b->arena, double, N), *s = MR_ARRAY(b->arena, double, SPOTS),
           *sorted = MR_ARRAY(b->arena, double, N);
    double sum = 0, ss = 0;
    for (int i = 0; i < SPOTS; i++) {
        const double level = fixture_plan[zone].film_um + 17 * fixture_gauss(b);
        for (int k = 0; k < 3; k++)
            sum += r[3 * i + k] = sorted[3 * i + k] = level + 7 * fixture_gauss(b);
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
                             .limit_max_um = 304.8,
                             .n_files = 1,
                             .files = MR_ARRAY(b->arena, uint32_t, 1)};
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

static void add_check(struct fixture_build *b, size_t zone, size_t group, const char *id, const char *title,
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

void fixture_checks(struct fixture_build *b, size_t z, bool us) {
    const enum mr_unit film = us ? MR_UNIT_MIL : MR_UNIT_UM, rise = us ? MR_UNIT_RISE_F : MR_UNIT_RISE_K;
    const double mean = mr_from_canonical(film, b->a->films.v[z].mean_um), low = mr_from_canonical(film, 203.2),
                 high = mr_from_canonical(film, 304.8);
    const bool thin = fixture_plan[z].film_um < 210, cold = fixture_plan[z].rise_k < 4.4;
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
              mr_from_canonical(rise, fixture_plan[z].rise_k), rise, mr_from_canonical(rise, 4.44),
              mr_from_canonical(rise, 6.2), "rise of a normal film", "common practice, no source");
    add_check(b, z, 4, "lines.imbalance", "difference between the lines", MR_CONFORMS, 3.2, MR_UNIT_PCT, MR_NAN, 10,
              "greatest difference between the lines", "project decision");
}

static void push_findings(struct fixture_build *b, size_t n, struct mr_finding *f) {
    for (size_t i = 0; i < n; i++) {
        const size_t at = b->a->findings.n;
        struct mr_evidence e = {{"survey/thickness.csv", 94 + (uint32_t)at, 138, 0}, at ? "second survey" : NULL};
        MR_PUSH(b->arena, &f[i].evidence, e);
        MR_PUSH(b->arena, &b->a->findings, f[i]);
    }
}

static void add_errors(struct fixture_build *b, bool us) {
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
         .caution = "Lines under pressure can inject material through skin: relieve them before opening anything."}};
    push_findings(b, MR_COUNT(f), f);
}

void fixture_findings(struct fixture_build *b, bool us) {
    add_errors(b, us);
    const struct mr_window *w = b->al->windows.v;
    struct mr_finding f[] = {
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
    push_findings(b, MR_COUNT(f), f);
}

void fixture_timeline(struct fixture_build *b) {
    for (size_t s = 0; s < SHIFTS; s++)
        for (size_t i = 4 * s; i < 4 * s + 4; i++) {
            const struct mr_window *w = &b->al->windows.v[i];
            struct mr_shift_event e[] = {{MR_EVENT_WINDOW, s, w->t0_utc_ms, w->t1_utc_ms, i, "coat 1 sprayed",
                                          fixture_plan[i].outcome, w->place},
                                         {MR_EVENT_HEAT,
                                          s,
                                          w->t0_utc_ms + 3 * MINUTE,
                                          MR_T_NONE,
                                          i,
                                          fixture_plan[i].rise_k > 0 ? "heat of coat 1" : "no heat found",
                                          fixture_plan[i].rise_k < 4.4 ? MR_DOES_NOT_CONFORM : MR_CONFORMS,
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

/* The table of zones, as the fourth stage makes it, in the columns that the workbook refers to. */
void fixture_zones(struct mr_arena *arena, struct mr_assessment *a) {
    const char *const keys[] = {"zone",  "outcome",  "thickness",    "gauge",   "climate",  "reaction",
                                "lines", "material", "shift_record", "history", "findings", "worst_checks"};
    enum { KEYS = MR_COUNT(keys) };
    struct mr_field fields[KEYS];
    for (size_t i = 0; i < KEYS; i++)
        fields[i] = (struct mr_field){keys[i], keys[i], MR_UNIT_NONE, 0};
    struct mr_table *t = mr_table_new(arena, "zones", "Zones", "One row a zone, and the job.", KEYS, fields);
    for (size_t z = 0; z <= a->aligned->zones.n; z++) {
        const bool job = z == a->aligned->zones.n;
        struct mr_value row[KEYS] = {mr_v_text(job ? "(whole job)" : a->aligned->zones.v[z].name),
                                     mr_v_outcome((int)(job ? a->outcome : a->zones[z].outcome))};
        size_t findings = 0;
        for (size_t g = 0; g < MR_COUNT(mr_groups); g++) {
            int worst = 0;
            for (size_t k = 0; k < a->aligned->zones.n; k++)
                worst =
                    (job || k == z) && (int)a->zones[k].by_group[g] > worst ? (int)a->zones[k].by_group[g] : worst;
            row[2 + g] = mr_v_outcome(worst);
        }
        for (size_t i = 0; i < a->findings.n; i++)
            findings += (job || a->findings.v[i].zone == z) && a->findings.v[i].severity >= MR_WARNING;
        row[10] = mr_v_count((int64_t)findings);
        row[11] = mr_v_text(job ? "" : a->zones[z].worst);
        mr_table_add(arena, t, row);
    }
    MR_PUSH(arena, &a->tables, t);
}

void fixture_table(struct mr_arena *arena, struct mr_assessment *a, size_t rows) {
    const bool us = a->job->display.film == MR_UNIT_MIL;
    const struct mr_field fields[] = {
        {"time", "Time", MR_UNIT_NONE, 0},
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"reading_no", "No.", MR_UNIT_NONE, 0},
        {us ? "film_mil" : "film_um", "Film", us ? MR_UNIT_MIL : MR_UNIT_UM, us ? 2 : 0},
        {"outcome", "Outcome", MR_UNIT_NONE, 0},
        {"place", "File and line", MR_UNIT_NONE, 0}};
    struct mr_table *t = mr_table_new(
        arena, "readings", "Readings",
        "Every thickness reading that counts, in order of time, with its file and line. Times are local.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < rows; i++) {
        const double um = 230 + (double)(i * 37 % 61);
        const struct mr_value v[] = {mr_v_time(FIXTURE_DAY0 + (int64_t)i * 7000),
                                     mr_v_text(fixture_plan[i % ZONES].name),
                                     mr_v_count((int64_t)i + 1),
                                     i == 3 ? mr_v_blank("set aside: OL") : mr_v_num(us ? um / 25.4 : um),
                                     mr_v_outcome(i % 9 ? MR_CONFORMS : MR_NOT_SHOWN),
                                     mr_v_text(mr_printf(arena, "survey/thickness.csv:%zu", i + 4))};
        mr_table_add(arena, t, v);
    }
    MR_PUSH(arena, &a->tables, t);
}

void fixture_rise_comparison(struct fixture_build *b) {
    b->a->rise.steel_mm = 10;
    for (size_t i = 0; i < ZONES; i++) {
        const double film = b->a->films.v[i].mean_um, fit = 0.0145 * film;
        const struct mr_rise_zone z = {i,   film,      fit + (i == 1 ? -1.3 : i == 4 ? 1.4 : 0.2 * fixture_gauss(b)),
                                       fit, fit - 0.8, fit + 0.8};
        MR_PUSH(b->arena, &b->a->rise.zones, z);
    }
}
