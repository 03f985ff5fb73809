/*
 * test_thresholds.c - figures at which a judgement turns, each held from both sides. All are common practice, no
 * source: a job may change those that stand under [plausibility].
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

/* A climate log of one row a minute; air and humidity of each row by a function. */
static size_t flags(const char *id, size_t rows, int step_s, double (*air)(size_t), double (*rh)(size_t)) {
    struct norm_rig rig;
    norm_begin(&rig);
    size_t room = rows * 40 + 64, n;
    char *text = mr_alloc(rig.arena, room, 1);
    n = (size_t)snprintf(text, room,
                         "time,air \xc2\xb0"
                         "C,RH %%\n");
    for (size_t i = 0; i < rows; i++) {
        int s = (int)i * step_s;
        n += (size_t)snprintf(text + n, room - n, "2026-05-13 %02d:%02d:%02d,%.2f,%.1f\n", s / 3600, s / 60 % 60,
                              s % 60, air(i), rh(i));
    }
    norm_add(&rig, "a.csv", text, n);
    norm_run(&rig);
    size_t found = norm_count(&rig, id);
    norm_end(&rig);
    return found;
}

static double calm_air(size_t i) {
    return 20.0 + 0.01 * (double)(i % 7);
}

static double calm_rh(size_t i) {
    return 50.0 + 0.1 * (double)(i % 5);
}

static double step_14(size_t i) {
    return calm_air(i % 7) + (i >= 20 ? 14.0 : 0.0);
}

static double step_16(size_t i) {
    return calm_air(i % 7) + (i >= 20 ? 16.0 : 0.0);
}

static double rh_step_39(size_t i) {
    return calm_rh(i) + (i >= 20 ? 39.0 : 0.0);
}

static double rh_step_41(size_t i) {
    return calm_rh(i) + (i >= 20 ? 41.0 : 0.0);
}

/* Unchanged from row 10 on for 175 rows, that is 2 h 54 min; for 190 rows, 3 h 09 min. */
static double still_air_175(size_t i) {
    return i >= 10 && i < 185 ? 20.3 : calm_air(i);
}

static double still_air_190(size_t i) {
    return i >= 10 && i < 200 ? 20.3 : calm_air(i);
}

/* For 28 min and for 33 min. */
static double still_rh_29(size_t i) {
    return i >= 10 && i < 39 ? 55.0 : calm_rh(i);
}

static double still_rh_34(size_t i) {
    return i >= 10 && i < 44 ? 55.0 : calm_rh(i);
}

static double saturated_rh_34(size_t i) {
    return i >= 10 && i < 44 ? 100.0 : calm_rh(i);
}

static double whole_rh(size_t i) {
    return i < 190 ? 55.0 : 56.0;
}

Test(thresholds, a_jump_is_15_k_or_40_percent_within_a_minute) {
    cr_expect_eq(flags("jump", 40, 60, step_14, calm_rh), 0);
    cr_expect_eq(flags("jump", 40, 60, step_16, calm_rh), 1);
    cr_expect_eq(flags("jump", 40, 61, step_16, calm_rh), 0, "longer than a minute apart");
    cr_expect_eq(flags("jump", 40, 60, calm_air, rh_step_39), 0);
    cr_expect_eq(flags("jump", 40, 60, calm_air, rh_step_41), 1);
}

Test(thresholds, a_sensor_is_stuck_after_three_hours_and_humidity_in_tenths_after_half_an_hour) {
    cr_expect_eq(flags("stuck-sensor", 220, 60, still_air_175, calm_rh), 0);
    cr_expect_eq(flags("stuck-sensor", 220, 60, still_air_190, calm_rh), 1);
    cr_expect_eq(flags("stuck-sensor", 60, 60, calm_air, still_rh_29), 0);
    cr_expect_eq(flags("stuck-sensor", 60, 60, calm_air, still_rh_34), 1);
    cr_expect_eq(flags("stuck-sensor", 60, 60, calm_air, saturated_rh_34), 0);
    cr_expect_eq(flags("stuck-sensor", 220, 60, calm_air, whole_rh), 1, "whole figures: three hours");
    cr_expect_eq(flags("stuck-sensor", 100, 60, calm_air, whole_rh), 0);
}

static double cold_air(size_t i) {
    return i >= 10 && i < 20 ? -21.0 : calm_air(i);
}

static double cool_air(size_t i) {
    return i >= 10 && i < 20 ? -19.0 : calm_air(i);
}

static size_t apart(double (*air)(size_t)) {
    struct norm_rig rig;
    char text[4096];
    size_t n = (size_t)snprintf(text, sizeof text, "time,air [degC],steel [degC],RH [%%]\n");
    norm_begin(&rig);
    for (size_t i = 0; i < 40; i++)
        n += (size_t)snprintf(text + n, sizeof text - n, "2026-05-13 07:%02zu:00,%.2f,20.0,50.1\n", i, air(i));
    norm_add(&rig, "a.csv", text, n);
    norm_run(&rig);
    const size_t found = norm_count(&rig, "steel-air-apart");
    norm_end(&rig);
    return found;
}

Test(thresholds, steel_and_air_lie_at_most_40_k_apart) {
    cr_expect_eq(apart(cool_air), 0);
    cr_expect_eq(apart(cold_air), 1);
}

/* Air that changes `changes` times within ten rows from the tenth on, and steel that is the same there. */
static size_t twins(size_t changes, double apart_c) {
    struct norm_rig rig;
    char text[4096];
    size_t n = (size_t)snprintf(text, sizeof text, "time,air [degC],steel [degC],RH [%%]\n");
    norm_begin(&rig);
    for (size_t i = 0; i < 40; i++) {
        const bool same = i >= 10 && i < 20;
        const double air = 20.0 + 0.1 * (double)(same && i - 10 <= changes ? (i - 10) % 2 : 0);
        n += (size_t)snprintf(text + n, sizeof text - n, "2026-05-13 07:%02zu:00,%.1f,%.2f,50.1\n", i, air,
                              air + (same ? apart_c : 0.4));
    }
    norm_add(&rig, "a.csv", text, n);
    norm_run(&rig);
    const size_t found = norm_count(&rig, "steel-is-air");
    norm_end(&rig);
    return found;
}

Test(thresholds, steel_is_the_air_where_both_change_eight_times_alike) {
    cr_expect_eq(twins(8, 0.0), 1);
    cr_expect_eq(twins(6, 0.0), 0, "and back once");
    cr_expect_eq(twins(0, 0.0), 0, "nothing changes");
    cr_expect_eq(twins(8, 0.01), 0);
}

static size_t told_of(const char *path, const char *text, const char *id) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, path, text, 0);
    norm_run(&rig);
    const size_t found = norm_count(&rig, id);
    norm_end(&rig);
    return found;
}

Test(thresholds, rows_long_after_the_day_in_the_name_are_told) {
    static const char text[] = "time,air [degC],RH [%]\n2026-05-13 07:00,20.1,50.1\n2026-05-13 07:01,20.2,50.2\n";
    cr_expect_eq(told_of("climate 2025-05-13.csv", text, "name-date"), 1);
    cr_expect_eq(told_of("climate 2026-04-11.csv", text, "name-date"), 1);
    cr_expect_eq(told_of("climate 2026-04-12.csv", text, "name-date"), 0);
    cr_expect_eq(told_of("climate 2026-05-13.csv", text, "name-date"), 0);
    cr_expect_eq(told_of("climate 2026-09-01.csv", text, "name-date"), 0, "the day of the export");
}

Test(thresholds, a_column_of_which_most_values_cannot_be_true_is_told) {
    static const char head[] = "time,air [degC],RH [%],steel [degC]\n2026-05-13 07:00,20.1,50.1,500\n";
    char text[400];
    snprintf(text, sizeof text, "%s2026-05-13 07:01,20.1,50.1,500\n2026-05-13 07:02,20.1,50.1,20\n", head);
    cr_expect_eq(told_of("a.csv", text, "values-impossible"), 1);
    snprintf(text, sizeof text, "%s2026-05-13 07:01,20.1,50.1,21\n2026-05-13 07:02,20.1,50.1,20\n", head);
    cr_expect_eq(told_of("a.csv", text, "values-impossible"), 0);
}

/* Air that moves every minute; steel that stays for so many minutes, in a log of 90. */
static size_t still_steel(size_t minutes, double moves_c) {
    struct norm_rig rig;
    char text[8192];
    size_t n = (size_t)snprintf(text, sizeof text, "time,air [degC],steel [degC],RH [%%]\n");
    norm_begin(&rig);
    for (size_t i = 0; i < 90; i++)
        n += (size_t)snprintf(text + n, sizeof text - n, "2026-05-13 %02zu:%02zu:00,%.1f,%.1f,50.1\n", 7 + i / 60,
                              i % 60, 20.0 + moves_c * (double)(i % 3),
                              i <= minutes ? 23.0 : 22.0 + 0.1 * (double)(i % 7));
    norm_add(&rig, "a.csv", text, n);
    norm_run(&rig);
    const size_t found = norm_count(&rig, "still-steel");
    norm_end(&rig);
    return found;
}

Test(thresholds, steel_that_stands_for_an_hour_in_moving_air_is_told) {
    cr_expect_eq(still_steel(60, 0.1), 1);
    cr_expect_eq(still_steel(59, 0.1), 0);
    cr_expect_eq(still_steel(80, 0.0), 0, "the air stands too");
}

/* Rows every minute, and one pause of `pause` minutes. */
static size_t gaps(int pause) {
    struct norm_rig rig;
    norm_begin(&rig);
    char text[4096];
    size_t n = (size_t)snprintf(text, sizeof text,
                                "time,air \xc2\xb0"
                                "C\n");
    for (int i = 0; i < 60; i++) {
        int minute = i + (i >= 30 ? pause - 1 : 0);
        n += (size_t)snprintf(text + n, sizeof text - n, "2026-05-13 %02d:%02d:00,%.2f\n", minute / 60, minute % 60,
                              20.0 + 0.01 * i);
    }
    norm_add(&rig, "a.csv", text, n);
    norm_run(&rig);
    size_t found = norm_count(&rig, "gap");
    norm_end(&rig);
    return found;
}

Test(thresholds, a_gap_is_more_than_five_usual_steps) {
    cr_expect_eq(gaps(5), 0);
    cr_expect_eq(gaps(6), 1);
}

/* Readings of two files without a serial: `same` of 20 are equal. Returns how many of the second file count. */
static uint64_t second_file_uses(int same) {
    struct norm_rig rig;
    norm_begin(&rig);
    char text[2][2048];
    for (int file = 0; file < 2; file++) {
        size_t n = (size_t)snprintf(text[file], sizeof text[file], "time,zone,spot,thickness um\n");
        for (int i = 0; i < 20; i++)
            n += (size_t)snprintf(text[file] + n, sizeof text[file] - n, "2026-05-13 08:%02d,D,%d,%d\n", i, i,
                                  130 + i % 9 + (file && i >= same ? 20 : 0));
    }
    norm_add(&rig, "a.csv", text[0], 0);
    norm_add(&rig, "b.csv", text[1], 0);
    norm_run(&rig);
    uint64_t used = rig.data->files.v[1].account.rows_used;
    norm_end(&rig);
    return used;
}

Test(thresholds, exports_without_a_serial_overlap_where_nine_rows_of_ten_are_equal) {
    cr_expect_eq(second_file_uses(20), 0);
    cr_expect_eq(second_file_uses(18), 2, "18 of 20 equal: the equal ones count once");
    cr_expect_eq(second_file_uses(17), 20, "17 of 20 equal: two gauges on the same spots");
    cr_expect_eq(second_file_uses(7), 20, "a third equal is chance");
}

/* Readings without times: the last `run` of a are the first of b. */
static uint64_t untimed_uses(int run) {
    struct norm_rig rig;
    norm_begin(&rig);
    char text[2][2048];
    for (int file = 0; file < 2; file++) {
        size_t n = (size_t)snprintf(text[file], sizeof text[file], "zone,spot,thickness um\n");
        for (int i = 0; i < 12; i++) {
            int at = i + (file ? 12 - run : 0);
            n += (size_t)snprintf(text[file] + n, sizeof text[file] - n, "D,%d,%d\n", at, 120 + at * 7 % 23);
        }
    }
    norm_add(&rig, "a.csv", text[0], 0);
    norm_add(&rig, "b.csv", text[1], 0);
    norm_run(&rig);
    uint64_t used = rig.data->files.v[1].account.rows_used;
    norm_end(&rig);
    return used;
}

Test(thresholds, five_readings_in_a_row_without_times_are_a_repetition) {
    cr_expect_eq(untimed_uses(4), 12);
    cr_expect_eq(untimed_uses(5), 7);
}
