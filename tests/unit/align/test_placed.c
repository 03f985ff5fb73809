/*
 * Readings: route order, coat, stage, surveys; the dump that lets a reviewer follow one.
 */
#include "support/align_fixture.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static int64_t at(const char *clock) {
    char text[32] = "2026-05-11 ";
    strcat(text, clock);
    return fix_time(text);
}

static void windows(struct fixture *f) {
    fix_init(f, "UTC");
    uint32_t log = fix_file(f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    fix_spray(f, log, MR_ACTION_SPRAY, "A", "1", at("08:00"), at("08:30"));
    fix_spray(f, log, MR_ACTION_SPRAY, "B", "1", at("09:00"), at("09:30"));
    fix_spray(f, log, MR_ACTION_SPRAY, "C", "1", at("09:20"), at("09:40"));
    fix_spray(f, log, MR_ACTION_SPRAY, "A", "2", at("12:00"), at("12:30"));
    fix_spray(f, log, MR_ACTION_REPAIR, "A", "", at("15:00"), at("15:10"));
}

Test(placed, own_then_assignment_then_window_then_none) {
    struct fixture f;
    windows(&f);
    fix_instrument(&f, "G1");
    fix_assign(&f, "G1", "", "B", "2026-05-11 13:00", "2026-05-11 14:00");
    uint32_t file = fix_file(&f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "G1");
    static const struct {
        char zone[8], clock[8];
        size_t want;
        enum mr_route route;
    } rows[] = {
        {"C", "13:30", 2, MR_ROUTE_OWN},       {"", "13:30", 1, MR_ROUTE_ASSIGNED},
        {"", "14:01", MR_NONE, MR_ROUTE_NONE}, {"", "08:30", 0, MR_ROUTE_WINDOW},
        {"", "08:31", MR_NONE, MR_ROUTE_NONE}, {"", "09:10", 1, MR_ROUTE_WINDOW},
        {"", "09:25", MR_NONE, MR_ROUTE_NONE}, /* two zones at once: not guessed */
        {"", "09:35", 2, MR_ROUTE_WINDOW},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        fix_reading(&f, file, rows[i].zone, at(rows[i].clock), 100);
    fix_reading(&f, file, "", MR_T_NONE, 100);
    fix_align(&f);
    size_t routes[4] = {0};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        cr_expect_eq(f.aligned->readings.v[i].zone, rows[i].want, "row %zu", i);
        cr_expect_eq(f.aligned->readings.v[i].route, rows[i].route, "row %zu", i);
        routes[rows[i].route]++;
    }
    routes[MR_ROUTE_NONE]++;
    for (size_t i = 0; i < 4; i++)
        cr_expect_eq(f.aligned->by_route[i], routes[i], "%s", mr_route_text((enum mr_route)i));
    fix_free(&f);
}

/* A gauge's batches: each bears the name of a zone, or they are areas as elsewhere. */
Test(placed, batches_named_as_zones_of_the_register_say_the_zone) {
    for (int strange = 0; strange < 2; strange++) {
        struct fixture f;
        windows(&f);
        const uint32_t zones = fix_file(&f, "zones.csv", MR_KIND_ZONES, MR_TIME_LOCAL, "");
        fix_zone(&f, zones, "A", "");
        fix_zone(&f, zones, "B", "girder");
        uint32_t file = fix_file(&f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "G1");
        static const char *const batch[] = {"a", "Girder", "B"};
        for (size_t i = 0; i < MR_COUNT(batch); i++) {
            fix_reading(&f, file, "", MR_T_NONE, 100);
            f.data.readings.v[i].area = strange && i == 2 ? "B2" : batch[i];
        }
        fix_align(&f);
        for (size_t i = 0; i < MR_COUNT(batch); i++) {
            const struct mr_placed *p = &f.aligned->readings.v[i];
            cr_expect_eq(p->zone, strange ? MR_NONE : i > 0, "%s", batch[i]);
            cr_expect_eq(p->route, strange ? MR_ROUTE_NONE : MR_ROUTE_OWN, "%s", batch[i]);
            cr_expect_eq(*p->reading->area != '\0', strange, "%s", batch[i]);
        }
        fix_free(&f);
    }
}

Test(placed, coat_stage_and_survey_follow_windows_and_repairs) {
    struct fixture f;
    windows(&f);
    uint32_t file = fix_file(&f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "");
    static const struct {
        char clock[8], coat[8];
        int want_coat;
        enum mr_stage stage;
        size_t survey;
        size_t window;
    } rows[] = {
        {"07:00", "", 0, MR_STAGE_BEFORE_COAT, 0, MR_NONE}, {"10:00", "", 1, MR_STAGE_AFTER_COAT, 1, 0},
        {"11:00", "", 1, MR_STAGE_AFTER_COAT, 1, 0},        {"11:30", "2", 2, MR_STAGE_BEFORE_COAT, 2, 0},
        {"13:00", "", 2, MR_STAGE_AFTER_COAT, 3, 3},        {"16:00", "", 2, MR_STAGE_AFTER_REPAIR, 4, 3},
    };
    for (size_t i = MR_COUNT(rows); i-- > 0;) /* order of rows does not matter */
        fix_reading(&f, file, "A", at(rows[i].clock), 100)->coat = rows[i].coat;
    fix_reading(&f, file, "A", at("16:00") + 9 * 3600000, 100); /* the survey gap is eight hours */
    fix_align(&f);
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const struct mr_placed *p = &f.aligned->readings.v[MR_COUNT(rows) - 1 - i];
        cr_expect_eq(p->coat, rows[i].want_coat, "%s: coat %d", rows[i].clock, p->coat);
        cr_expect_eq(p->stage, rows[i].stage, "%s: stage %d", rows[i].clock, (int)p->stage);
        cr_expect_eq(p->survey, rows[i].survey, "%s: survey %u", rows[i].clock, p->survey);
        cr_expect_eq(p->window, rows[i].window, "%s: window %zu", rows[i].clock, p->window);
    }
    cr_expect_eq(f.aligned->readings.v[MR_COUNT(rows)].survey, 5);
    fix_free(&f);
}

Test(placed, readings_without_time_keep_their_zone_and_are_one_survey_a_file) {
    struct fixture f;
    windows(&f);
    for (int k = 0; k < 2; k++) {
        uint32_t file = fix_file(&f, k ? "2.csv" : "1.csv", MR_KIND_THICKNESS, MR_TIME_NONE, "");
        fix_reading(&f, file, "A", MR_T_NONE, 100);
        fix_reading(&f, file, "A", MR_T_NONE, 100);
    }
    uint32_t file = fix_file(&f, "3.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "");
    fix_reading(&f, file, "A", at("13:00"), 100);
    fix_align(&f);
    const size_t survey[] = {0, 0, 1, 1, 2};
    for (size_t i = 0; i < 5; i++) {
        cr_expect_eq(f.aligned->readings.v[i].survey, survey[i], "reading %zu", i);
        cr_expect_eq(f.aligned->readings.v[i].route, MR_ROUTE_OWN);
    }
    cr_expect_eq(f.aligned->readings.v[0].stage, MR_STAGE_UNKNOWN);
    fix_free(&f);
}

Test(placed, the_dump_follows_a_reading_from_line_to_window) {
    struct fixture f;
    windows(&f);
    f.job.time_zone = "Europe/Berlin";
    uint32_t file = fix_file(&f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "");
    fix_reading(&f, file, "a.", at("10:00"), 127);
    fix_align(&f);
    char *dump = mr_align_dump(f.arena, f.aligned);
    cr_assert(
        strstr(
            dump,
            "  dft.csv:2 read 2026-05-11T10:00:00.000 -> 2026-05-11T08:00:00.000Z -> \"A\" (own zone column: written "
            "'a.') window 0 coat 1, after coat, survey 0, 127 um\n"),
        "%s", dump);
    cr_assert_str_eq(dump, mr_align_dump(f.arena, f.aligned));
    fix_free(&f);
}

Test(found, windows_of_a_zone_without_a_log_come_from_heat_and_the_gun_and_are_marked) {
    struct fixture f;
    fix_init(&f, "UTC");
    enum { N = 4 * 3600 };
    int64_t *t = MR_ARRAY(f.arena, int64_t, N);
    double *line = MR_ARRAY(f.arena, double, N), *steel = MR_ARRAY(f.arena, double, N);
    for (int i = 0; i < N; i++) {
        bool first = i >= 3600 && i < 4800, second = i >= 9000 && i < 10200;
        double since = i >= 9300 ? i - 9300 : i >= 4000 ? i - 4000 : -1;
        t[i] = at("08:00") + i * 1000;
        line[i] = (first || second) && i % 40 < 36 ? 560 : 3; /* short releases at the turns */
        steel[i] = 15 + (since > 0 ? 5 * (1 - exp(-since / 60)) * exp(-since / 1200) : 0) + 0.02 * (i % 3);
    }
    uint32_t lines = fix_file(&f, "lines.csv", MR_KIND_PRESSURE, MR_TIME_LOCAL, "PL");
    fix_channel(&f, lines, "A", MR_M_LINE_A, N, t, line, NULL);
    uint32_t probes = fix_file(&f, "steel.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    fix_channel(&f, probes, "T1", MR_M_PROBE_TEMP, N, t, steel, NULL);
    fix_assign(&f, "K1", "T1", "A", NULL, NULL);
    fix_align(&f);
    const struct mr_alignment *a = f.aligned;
    cr_assert_eq(a->windows.n, 2);
    for (size_t i = 0; i < 2; i++) {
        cr_assert(a->windows.v[i].found && a->windows.v[i].log == NULL && a->windows.v[i].coat == (int)i + 1);
        cr_expect_leq(llabs(a->windows.v[i].t0_utc_ms - (at("08:00") + (i ? 9000 : 3600) * 1000)), 5000);
        cr_expect_leq(llabs(a->windows.v[i].t1_utc_ms - (at("08:00") + (i ? 10200 : 4800) * 1000)), 10000);
    }
    cr_assert_str_eq(a->windows.v[0].place.file, "steel.csv");
    /* Without the pressure log the onsets alone tell when, to some seconds. */
    f.data.channels.n = 1;
    f.data.channels.v[0] = f.data.channels.v[1];
    fix_align(&f);
    cr_assert_eq(f.aligned->windows.n, 2);
    cr_expect_leq(llabs(f.aligned->windows.v[0].t0_utc_ms - (at("08:00") + 4000 * 1000)), 20000);
    /* A spray log of that zone outranks what is found. */
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    fix_spray(&f, log, MR_ACTION_SPRAY, "A", "1", at("09:00"), at("09:20"));
    fix_align(&f);
    cr_assert_eq(f.aligned->windows.n, 1);
    cr_assert_not(f.aligned->windows.v[0].found);
    fix_free(&f);
}
