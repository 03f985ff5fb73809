/*
 * Tracks, stays, interpolation and climate. Expected values are worked by hand from straight lines.
 */
#include "support/align_fixture.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static const int64_t minute = 60000;

static int64_t at(const char *clock) {
    char text[32] = "2026-05-11 ";
    strcat(text, clock);
    return fix_time(text);
}

static struct mr_channel *series(struct fixture *f, uint32_t file, const char *name, enum mr_meaning meaning,
                                 const char *from, int64_t step_ms, size_t n, double first, double slope) {
    int64_t *t = MR_ARRAY(f->arena, int64_t, n);
    double *v = MR_ARRAY(f->arena, double, n);
    for (size_t i = 0; i < n; i++) {
        t[i] = at(from) + (int64_t)i * step_ms;
        v[i] = first + slope * (double)i;
    }
    return fix_channel(f, file, name, meaning, n, t, v, NULL);
}

Test(tracks, files_of_one_instrument_join_in_order_and_each_moment_stands_once) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t late = fix_file(&f, "a-late.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    uint32_t early = fix_file(&f, "b-early.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    series(&f, late, "T1", MR_M_PROBE_TEMP, "08:05", minute, 10, 100, 1);
    series(&f, early, "T1", MR_M_PROBE_TEMP, "08:00", minute, 10, 0, 1);
    fix_align(&f);
    cr_assert_eq(f.aligned->tracks.n, 1);
    const struct mr_track *t = &f.aligned->tracks.v[0];
    cr_assert_eq(t->n, 15);
    for (size_t i = 0; i < 15; i++)
        cr_assert_eq(mr_track_ms(t, i), at("08:00") + (int64_t)i * minute);
    /* Both files hold 08:05 to 08:09; the first in order of files is kept. */
    cr_assert_float_eq(mr_track_value(t, 4), 4, 0);
    cr_assert_float_eq(mr_track_value(t, 5), 100, 0);
    cr_assert_float_eq(mr_track_value(t, 14), 109, 0);
    cr_assert_str_eq(mr_track_place(f.aligned, t, 4).file, "b-early.csv");
    cr_assert_str_eq(mr_track_place(f.aligned, t, 5).file, "a-late.csv");
    cr_assert_eq(mr_track_place(f.aligned, t, 5).line, 2);
    fix_free(&f);
}

Test(tracks, a_clean_column_is_borrowed_and_shared) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t file = fix_file(&f, "a.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    struct mr_channel one = *series(&f, file, "T1", MR_M_PROBE_TEMP, "08:00", minute, 10, 0, 1);
    one.name = "T2";
    MR_PUSH(f.arena, &f.data.channels, one);
    fix_align(&f);
    cr_assert_eq(f.aligned->tracks.n, 2);
    cr_assert(mr_same_column(&f.aligned->tracks.v[0].t_utc_ms, &f.aligned->tracks.v[1].t_utc_ms));
    cr_assert_eq(f.aligned->tracks.v[0].value.raw, one.value.raw);
    cr_assert_not(mr_is_column(&f.aligned->tracks.v[0].file));
    fix_free(&f);
}

Test(tracks, rows_out_of_order_and_repeated_are_put_right) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t file = fix_file(&f, "a.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    int64_t t[] = {at("08:03"), at("08:01"), at("08:01"), MR_T_NONE, at("08:02"), at("08:00")};
    double v[] = {3, 1, 99, 77, 2, 0};
    fix_channel(&f, file, "T1", MR_M_PROBE_TEMP, 6, t, v, NULL);
    fix_align(&f);
    const struct mr_track *k = &f.aligned->tracks.v[0];
    cr_assert_eq(k->n, 4);
    const uint32_t line[] = {7, 3, 6, 2};
    for (size_t i = 0; i < 4; i++) {
        cr_assert_float_eq(mr_track_value(k, i), (double)i, 0);
        cr_assert_eq(mr_track_line(k, i), line[i]);
    }
    fix_free(&f);
}

Test(tracks, interpolation_never_crosses_a_gap_or_leaves_the_data) {
    int64_t t[] = {0, 10 * minute, 20 * minute, 50 * minute, 60 * minute, 62 * minute};
    double v[] = {0, 10, 20, 50, NAN, 62};
    struct mr_track k = {.n = 6, .t_utc_ms.raw = t, .value.raw = v};
    static const struct {
        int64_t minutes;
        double gap, want;
        size_t index;
    } rows[] = {
        {-1, 15, NAN, MR_NONE}, {0, 15, 0, 0},    {5, 15, 5, 0},   {5, 9, NAN, 0},   {10, 1, 10, 1},
        {19, 15, 19, 1},        {35, 15, NAN, 2}, {35, 30, 35, 2}, {55, 15, 55, 3},  {60, 15, 60, 4},
        {61, 11, NAN, 4},       {61, 12, 61, 4},  {62, 15, 62, 5}, {63, 15, NAN, 5},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        size_t index = 999;
        double got = mr_track_at(&k, rows[i].minutes * minute, (int64_t)rows[i].gap * minute, &index);
        cr_expect(isnan(rows[i].want) ? isnan(got) : fabs(got - rows[i].want) < 1e-12, "row %zu: %g", i, got);
        cr_expect_eq(index, rows[i].index, "row %zu: index %zu", i, index);
    }
    cr_assert_eq(mr_track_first(&k, 10 * minute), 1);
    cr_assert_eq(mr_track_first(&k, 10 * minute + 1), 2);
    cr_assert_eq(mr_track_first(&k, 99 * minute), 6);
}

Test(stays, a_channel_moves_between_zones_and_the_gun) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    fix_instrument(&f, "logger")->serial = "K1";
    uint32_t file = fix_file(&f, "a.csv", MR_KIND_TEMPERATURE, MR_TIME_UTC, "K1");
    series(&f, file, "T1", MR_M_PROBE_TEMP, "05:00", minute, 600, 20, 0);
    fix_assign(&f, "K1", "t1", "A", "2026-05-11 08:00", "2026-05-11 10:00");
    fix_assign(&f, "logger", "T1", "B", "2026-05-11 10:00", "2026-05-11 12:00");
    fix_assign(&f, "logger", "", "gun", "2026-05-11 07:00", "2026-05-11 13:00");
    fix_align(&f);
    cr_assert_eq(f.status, MR_OK);
    const struct mr_track *k = &f.aligned->tracks.v[0];
    static const struct {
        char clock[8];
        size_t zone;
        bool gun;
        enum mr_route route;
    } rows[] = {/* UTC; Berlin stands two hours ahead */
                {"04:59", MR_NONE, false, MR_ROUTE_NONE},    {"05:00", MR_NONE, true, MR_ROUTE_ASSIGNED},
                {"05:59", MR_NONE, true, MR_ROUTE_ASSIGNED}, {"06:00", 0, false, MR_ROUTE_ASSIGNED},
                {"08:00", 0, false, MR_ROUTE_ASSIGNED},      {"08:01", 1, false, MR_ROUTE_ASSIGNED},
                {"10:01", MR_NONE, true, MR_ROUTE_ASSIGNED}, {"11:01", MR_NONE, false, MR_ROUTE_NONE}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        bool gun;
        enum mr_route route;
        cr_expect_eq(mr_track_zone(f.aligned, k, at(rows[i].clock), &gun, &route), rows[i].zone, "%s", rows[i].clock);
        cr_expect_eq(gun, rows[i].gun, "%s", rows[i].clock);
        cr_expect_eq(route, rows[i].route, "%s", rows[i].clock);
    }
    for (size_t i = 1; i < k->stays.n; i++)
        cr_expect_gt(k->stays.v[i].t0_utc_ms, k->stays.v[i - 1].t1_utc_ms);
    fix_free(&f);
}

Test(stays, own_zone_outranks_the_assignment_and_a_channel_called_like_a_zone_comes_last) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t zones = fix_file(&f, "zones.csv", MR_KIND_ZONES, MR_TIME_NONE, "");
    fix_zone(&f, zones, "Deck 1", "");
    fix_zone(&f, zones, "Deck 2", "");
    uint32_t file = fix_file(&f, "a.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    series(&f, file, "T1", MR_M_PROBE_TEMP, "08:00", minute, 60, 20, 0)->zone = "deck 2";
    series(&f, file, "deck 01", MR_M_PROBE_TEMP, "08:00", minute, 60, 20, 0);
    series(&f, file, "T3", MR_M_PROBE_TEMP, "08:00", minute, 60, 20, 0);
    fix_assign(&f, "K1", "T1", "Deck 1", NULL, NULL);
    fix_align(&f);
    const struct mr_alignment *a = f.aligned;
    enum mr_route route;
    for (size_t i = 0; i < a->tracks.n; i++) {
        size_t zone = mr_track_zone(a, &a->tracks.v[i], at("08:30"), NULL, &route);
        if (strcmp(a->tracks.v[i].channel, "T1") == 0)
            cr_assert(zone == 1 && route == MR_ROUTE_OWN);
        else if (strcmp(a->tracks.v[i].channel, "deck 01") == 0)
            cr_assert(zone == 0 && route == MR_ROUTE_OWN);
        else
            cr_assert(zone == MR_NONE && route == MR_ROUTE_NONE);
    }
    fix_free(&f);
}

/* By its own name at the gun or in the cup: such a probe shows the reaction of no zone. */
Test(stays, a_channel_called_after_the_gun_stands_on_no_steel) {
    static const struct {
        const char *name;
        bool gun;
    } names[] = {{"Mix check", true}, {"Gun [degC]", true}, {"T3", false}, {"Gunwale", false}};
    for (size_t i = 0; i < MR_COUNT(names); i++) {
        struct fixture f;
        fix_init(&f, "UTC");
        uint32_t file = fix_file(&f, "a.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
        series(&f, file, names[i].name, MR_M_PROBE_TEMP, "08:00", minute, 10, 0, 1);
        fix_align(&f);
        bool gun = false;
        enum mr_route route;
        cr_expect_eq(mr_track_zone(f.aligned, &f.aligned->tracks.v[0], at("08:05"), &gun, &route), MR_NONE);
        cr_expect_eq(gun, names[i].gun, "%s", names[i].name);
        fix_free(&f);
    }
}

Test(stays, a_unit_in_the_header_is_no_part_of_the_channels_name) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t one = fix_file(&f, "a.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    uint32_t two = fix_file(&f, "b.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    series(&f, one,
           "P1 [\xC2\xB0"
           "C]",
           MR_M_PROBE_TEMP, "08:00", minute, 10, 20, 0);
    series(&f, two, "P1 (degF)", MR_M_PROBE_TEMP, "09:00", minute, 10, 20, 0);
    series(&f, two, "P2 (north)", MR_M_PROBE_TEMP, "09:00", minute, 10, 20, 0);
    series(&f, two, "P2 (south)", MR_M_PROBE_TEMP, "09:00", minute, 10, 20, 0);
    fix_assign(&f, "K1", "P1", "A", NULL, NULL);
    fix_align(&f);
    cr_assert_eq(f.aligned->tracks.n, 3);
    cr_assert_eq(f.aligned->tracks.v[0].n, 20);
    cr_assert_eq(mr_track_zone(f.aligned, &f.aligned->tracks.v[0], at("09:05"), NULL, NULL), 0);
    cr_assert_not(fix_has(&f, "assignment-unused"));
    fix_free(&f);
}

Test(stays, contradictions_in_the_job_file_are_errors_and_idle_lines_are_told) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t file = fix_file(&f, "a.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    series(&f, file, "T1", MR_M_PROBE_TEMP, "08:00", minute, 60, 20, 0);
    fix_assign(&f, "K1", "T1", "A", "2026-05-11 08:00", "2026-05-11 10:00");
    fix_assign(&f, "K1", "T1", "B", "2026-05-11 09:59", "2026-05-11 12:00");
    fix_assign(&f, "K1", "T1", "C", "2026-05-11 14:00", "2026-05-11 13:00");
    fix_assign(&f, "K9", "T1", "C", NULL, NULL);
    fix_align(&f);
    cr_assert_eq(f.status, MR_E_JOB);
    cr_assert(fix_has(&f, "assignment-overlap") && fix_has(&f, "assignment-span") &&
              fix_has(&f, "assignment-unused"));
    fix_free(&f);
}

Test(stays, names_that_no_file_has_are_one_message_an_instrument_with_those_that_exist) {
    struct fixture f;
    fix_init(&f, "UTC");
    fix_instrument(&f, "Steel 1");
    uint32_t file = fix_file(&f, "k1.csv", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "Steel 1");
    series(&f, file, "Probe 1", MR_M_PROBE_TEMP, "08:00", minute, 10, 20, 0);
    series(&f, file, "Probe 2", MR_M_PROBE_TEMP, "08:00", minute, 10, 20, 0);
    fix_assign(&f, "Steel 1", "Probe 2", "A", NULL, NULL);
    for (int i = 0; i < 120; i++)
        fix_assign(&f, "Steel 1", i % 2 ? "Prbe 1" : mr_printf(f.arena, "T%d", i), "A", NULL, NULL);
    fix_assign(&f, "Stel 1", "T1", "A", NULL, NULL);
    fix_assign(&f, "Stel 1", "T2", "A", NULL, NULL);
    fix_align(&f);
    const struct mr_diag *told[3] = {NULL};
    size_t n = 0;
    for (size_t i = 0; i < f.diags.list.n; i++)
        if (strcmp(f.diags.list.v[i].id, "assignment-unused") == 0 && n < 3)
            told[n++] = &f.diags.list.v[i];
    cr_assert_eq(n, 2);
    cr_expect_str_eq(told[0]->text, "T0, Prbe 1, T2, T4, T6 and 56 more");
    cr_expect_str_eq(told[0]->what, "the files of Steel 1 hold no such channel (120 assignments)");
    cr_expect(strstr(told[0]->mend, "The channels in the files are: Probe 1, Probe 2."), "%s", told[0]->mend);
    cr_expect_str_eq(told[1]->what, "no file comes from this instrument (2 assignments)");
    cr_expect(
        strstr(told[1]->mend, "The instruments in the files are: Steel 1. The nearest to \"Stel 1\" is \"Steel 1\"."),
        "%s", told[1]->mend);
    fix_free(&f);
}

/* Two hygrometers for all, one for zone A alone, one probe on zone A. */
static void climate(struct fixture *f) {
    fix_init(f, "UTC");
    fix_instrument(f, "H0");
    fix_instrument(f, "H1");
    fix_instrument(f, "H9")->zones = "A, C";
    const char *names[] = {"H1", "H0", "H9"};
    for (size_t i = 0; i < 3; i++) {
        uint32_t file = fix_file(f, names[i], MR_KIND_CLIMATE, MR_TIME_LOCAL, names[i]);
        double base = names[i][1] - '0';
        series(f, file, "air", MR_M_AIR, "08:00", 10 * minute, i == 2 ? 7 : 13, 10 * base, 1);
        series(f, file, "rh", MR_M_RH, "08:00", 10 * minute, i == 2 ? 7 : 13, 50 + base, 0);
        series(f, file, "steel", MR_M_STEEL, "08:00", 10 * minute, 13, 30 + base, 0);
    }
    uint32_t file = fix_file(f, "K1", MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    series(f, file, "T1", MR_M_PROBE_TEMP, "08:00", minute, 61, 20, 0.1);
    fix_assign(f, "K1", "T1", "A", NULL, NULL);
    uint32_t dft = fix_file(f, "dft", MR_KIND_THICKNESS, MR_TIME_LOCAL, "");
    fix_reading(f, dft, "B", MR_T_NONE, 1);
    fix_align(f);
}

Test(climate, the_zones_own_hygrometer_then_the_first_by_name_and_never_across_a_gap) {
    struct fixture f;
    climate(&f);
    const struct mr_alignment *a = f.aligned;
    size_t zone_a = mr_zone_find(a, "A", NULL), zone_b = mr_zone_find(a, "B", NULL),
           zone_c = mr_zone_find(a, "C", NULL);
    struct mr_climate c = mr_climate_at(a, zone_a, at("08:15"), 15 * minute);
    cr_assert_float_eq(c.air_c, 91.5, 1e-9);
    cr_assert_float_eq(c.rh_pct, 59, 1e-9);
    cr_assert_float_eq(c.steel_c, 21.5, 1e-9); /* the probe on the zone */
    cr_assert_str_eq(c.place.file, "H9");
    cr_assert_eq(c.place.line, 3);
    c = mr_climate_at(a, zone_b, at("08:15"), 15 * minute);
    cr_assert_float_eq(c.air_c, 1.5, 1e-9);
    cr_assert_float_eq(c.steel_c, 30, 1e-9); /* H0's own column */
    cr_assert_str_eq(c.air->instrument, "H0");
    c = mr_climate_at(a, zone_c, at("08:15"), 15 * minute);
    cr_assert_float_eq(c.air_c, 91.5, 1e-9);
    /* H9's air ends at 09:00; then those for all serve zone A too. */
    c = mr_climate_at(a, zone_a, at("09:30"), 15 * minute);
    cr_assert_str_eq(c.air->instrument, "H0");
    cr_assert_eq(c.rh->clock, c.air->clock);
    c = mr_climate_at(a, zone_a, at("08:15"), 5 * minute);
    cr_assert(isnan(c.air_c) && isnan(c.rh_pct) && c.air == NULL && !isnan(c.steel_c));
    c = mr_climate_at(a, zone_b, at("11:00"), 15 * minute);
    cr_assert(isnan(c.air_c) && isnan(c.steel_c));
    cr_assert(isnan(mr_climate_at(a, zone_b, MR_T_NONE, 15 * minute).air_c));
    fix_free(&f);
}

Test(tracks, local_text_is_in_the_jobs_zone) {
    struct fixture f;
    fix_init(&f, "America/St_Johns");
    fix_align(&f);
    cr_assert_eq(f.status, MR_E_NODATA);
    cr_assert_str_eq(mr_local_text(f.arena, f.aligned, at("12:00")), "2026-05-11 09:30:00 -02:30");
    cr_assert_str_eq(mr_local_text(f.arena, f.aligned, fix_time("1969-12-31 23:00:01")),
                     "1969-12-31 19:30:01 -03:30");
    cr_assert_str_eq(mr_local_text(f.arena, f.aligned, MR_T_NONE), "");
    fix_free(&f);
}
