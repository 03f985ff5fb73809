/*
 * test_stated_facts.c - what a log or a gauge's export says of itself above its table is held against its rows: the
 * day of its download, its extremes, the number of its samples, the place of a channel. Common practice, no source.
 */
#include "normalise/column/limits_missed.h"
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define AIR                                                                                                          \
    "time,air [degC],RH [%]\n2026-05-11 08:00:00,20.1,50\n2026-05-11 08:01:00,20.2,57.3\n"                           \
    "2026-05-11 08:02:00,20.9,52\n"
#define PROBES "time,T1 [degC],T2 [degC]\n2026-05-11 08:00:00,20.0,20.1\n2026-05-11 08:00:05,25.0,20.1\n"
#define LINES                                                                                                        \
    "time,Line A (kPa),Line B (kPa),Main (kPa)\n2026-05-11 08:00:00,600,602,620\n2026-05-11 08:00:01,0,0,0\n"
#define FILM "date,time,zone,spot,thickness [um]\n2026-05-12,09:00:00,Deck,1,210\n2026-05-12,09:00:05,Deck,2,215\n"

static const struct {
    const char *above, *table;
    bool holds;
} facts[] = {{"Max RH: 73.4 %\n", AIR, false},
             {"Max RH: 57.3 %\n", AIR, true},
             {"Maximum humidity: 57 %\n", AIR, true}, /* as far as it is shown */
             {"RH min: 12 %\n", AIR, false},
             {"Highest air temperature: 69.6 degF\n", AIR, true}, /* 20.9 degC is 69.62 */
             {"Highest air temperature: 75 degF\n", AIR, false},
             {"Samples: 1500\n", AIR, false},
             {"Samples: 3\n", AIR, true},
             {"Records: 6\n", AIR, true},      /* of two channels */
             {"Max T1: 20.3\n", PROBES, true}, /* of part of the record, it may be */
             {"Max T1: 31.0\n", PROBES, false},
             {"Max T3: 31.0\n", PROBES, true},
             {"Min Line A: 0 kPa\n", LINES, true},
             {"Max main: 900 kPa\n", LINES, false},
             {"Max main: 90 psi\n", LINES, true}, /* 620.5 kPa */
             {"Downloaded: 2026-05-09\n", AIR, false},
             {"Downloaded: 2026-05-11 08:05\n", AIR, true},
             {"Export date: 10.05.2026\n", FILM, true}, /* of two orders, one lies behind the rows */
             {"Export date: 2026-05-10\n", FILM, false},
             {"Printed on: 2026-05-13\n", FILM, true},
             {"T1: Chute\n", PROBES, false},
             {"T1: Hopper\n", PROBES, true},
             {"T1: upper flange\n", PROBES, true}}; /* no zone of the job's: for a person to read */

static const char *stated_otherwise(const char *above, const char *table, bool by_job, char *out, size_t size) {
    static struct mr_assignment at[] = {{"K8", "T1", "Hopper", MR_T_NONE, MR_T_NONE, {0}},
                                        {"K8", "T2", "Chute", MR_T_NONE, MR_T_NONE, {0}}};
    struct norm_rig rig;
    char text[800];
    snprintf(text, sizeof text, "%s%s", above, table);
    norm_begin(&rig);
    rig.job->assignments.v = at;
    rig.job->assignments.n = MR_COUNT(at);
    if (by_job)
        norm_rule(&rig, "a.csv")->kind = strcmp(table, AIR) == 0      ? "climate"
                                         : strcmp(table, PROBES) == 0 ? "temperature"
                                         : strcmp(table, LINES) == 0  ? "pressure"
                                                                      : "thickness";
    norm_add(&rig, "a.csv", text, 0);
    norm_run(&rig);
    cr_expect(norm_identity(&rig), "%s", above);
    const char *disagrees = rig.data->files.v[0].disagrees;
    snprintf(out, size, "%s", disagrees ? disagrees : "");
    norm_end(&rig);
    return out;
}

Test(stated_facts, that_the_rows_do_not_bear_out_are_told_and_the_job_settles_them) {
    char text[300];
    for (size_t i = 0; i < MR_COUNT(facts); i++) {
        stated_otherwise(facts[i].above, facts[i].table, false, text, sizeof text);
        cr_expect_eq(!*text, facts[i].holds, "%s: %s", facts[i].above, text);
        cr_expect_str_empty(stated_otherwise(facts[i].above, facts[i].table, true, text, sizeof text), "%s",
                            facts[i].above);
    }
}

/* Limits: humidity 85 %, spread 3 K, steel and air at least 5 degrees Celsius, ratio 1 within 5 %. */
Test(stated_facts, a_figure_above_a_table_is_held_against_the_limits_as_in_a_column) {
    static const struct {
        enum mr_kind kind;
        const char *name, *value;
        bool misses;
    } lines[] = {{MR_KIND_SPRAY_LOG, "RH", "93 %", true},
                 {MR_KIND_SPRAY_LOG, "RH", "63 %", false},
                 {MR_KIND_SPRAY_LOG, "Weather", "rain all day", true},
                 {MR_KIND_SPRAY_LOG, "Weather", "dry, 20 degC", false},
                 {MR_KIND_SPRAY_LOG, "Rain", "no", false},
                 {MR_KIND_SPRAY_LOG, "Rain", "yes", true},
                 {MR_KIND_SPRAY_LOG, "Steel temperature", "2 degC", true},
                 {MR_KIND_SPRAY_LOG, "Steel temperature", "68 degF", false},
                 {MR_KIND_SPRAY_LOG, "Ratio", "1.4", true},
                 {MR_KIND_SPRAY_LOG, "Operator", "crew of the rain shift", false},
                 {MR_KIND_CLIMATE, "Min spread", "1.1 K", true},
                 {MR_KIND_CLIMATE, "Min spread", "4.1 K", false},
                 {MR_KIND_CLIMATE, "RH limit", "90 %", false},
                 {MR_KIND_THICKNESS, "RH", "93 %", false}};
    struct norm_rig rig;
    norm_begin(&rig);
    static const struct {
        enum mr_setting_id id;
        double value;
    } limits[] = {{MR_RH_MAX, 85}, {MR_SPREAD_MIN, 3}, {MR_STEEL_MIN, 5},
                  {MR_AIR_MIN, 5}, {MR_RATIO, 1},      {MR_RATIO_TOL, 5}};
    for (size_t i = 0; i < MR_COUNT(limits); i++) {
        rig.job->settings.v[limits[i].id].set = true;
        rig.job->settings.v[limits[i].id].value = limits[i].value;
    }
    for (size_t i = 0; i < MR_COUNT(lines); i++)
        cr_expect_eq(mr_line_misses(rig.arena, rig.job, lines[i].kind, lines[i].name, lines[i].value),
                     lines[i].misses, "%s: %s", lines[i].name, lines[i].value);
    norm_end(&rig);
}

/* The day on which it was calibrated and for how long that holds state together the day on which it ends. */
Test(stated_facts, a_calibration_ends_with_its_interval) {
    static const struct {
        const char *above;
        int64_t day; /* of 2020-03-01: 18322 days since 1970; 0: none */
    } heads[] = {{"Calibrated: 2019-03-01\nCalibration interval: 12 months\n", 18328},
                 {"Last calibration: 2019-03-01\nCalibration interval: 1 year\n", 18322},
                 {"Calibrated: 2019-03-01\n", 0},
                 {"Calibration interval: 12 months\n", 0},
                 {"Calibrated: 2019-03-01\nCalibration interval: as needed\n", 0}};
    for (size_t i = 0; i < MR_COUNT(heads); i++) {
        struct norm_rig rig;
        char text[400];
        snprintf(text, sizeof text, "%s%s", heads[i].above, AIR);
        norm_begin(&rig);
        norm_add(&rig, "a.csv", text, 0);
        norm_run(&rig);
        cr_expect_eq(rig.data->files.v[0].certified_until_local_ms,
                     heads[i].day ? heads[i].day * INT64_C(86400000) : MR_T_NONE, "%s", heads[i].above);
        norm_end(&rig);
    }
}
