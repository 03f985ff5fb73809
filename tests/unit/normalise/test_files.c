/*
 * test_files.c - what needs more than one row to be known: order of day and month, units nobody states, the job's
 * word, rows that stand in several files, doubts about curves.
 */
#include "support/norm_rig.h"

#include "base/text.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static int64_t day_ms(int y, int m, int d) {
    return mr_days_from_civil(y, m, d) * INT64_C(86400000);
}

#define LOG_HEAD "time,Ch1 °C\n"

/* --- dates --------------------------------------------------------------------------------------------------------
 */

struct date_case {
    const char *name, *path, *text;
    const char *rule;      /* dates = */
    int first[3], last[3]; /* the job's days; 0 = not stated */
    const char *order, *why_holds;
};

static const struct date_case date_cases[] = {
    {"the year first", "a.csv", LOG_HEAD "2026-03-04 08:00,20\n", "", {0}, {0}, "year-first", "year stands first"},
    {"a part above 12 late in the file",
     "a.csv",
     LOG_HEAD "03/04/2026 08:00,20\n03/04/2026 09:00,20\n13/04/2026 09:00,20\n",
     "",
     {0},
     {0},
     "day-first",
     "line 4"},
    {"the job file's word",
     "a.csv",
     LOG_HEAD "03/04/2026 08:00,20\n",
     "month-first",
     {0},
     {0},
     "month-first",
     "job file line 12"},
    {"a format in the header",
     "a.csv",
     "Date (DD/MM/YYYY),time,Ch1 °C\n03/04/2026,08:00,20\n",
     "",
     {0},
     {0},
     "day-first",
     "header"},
    {"the job's days",
     "a.csv",
     LOG_HEAD "03/04/2026 08:00,20\n",
     "",
     {2026, 4, 1},
     {2026, 4, 5},
     "day-first",
     "job's dates"},
    {"the job's days fit both",
     "a.csv",
     LOG_HEAD "03/04/2026 08:00,20\n",
     "",
     {2026, 3, 1},
     {2026, 4, 30},
     "",
     "no date has a part above 12"},
    {"the file's name",
     "log 2026-04-03.csv",
     LOG_HEAD "03/04/2026 08:00,20\n",
     "",
     {0},
     {0},
     "day-first",
     "file's name"},
    {"the preamble",
     "a.csv",
     "Exported: 2026-04-03 10:00\n\n" LOG_HEAD "03/04/2026 08:00,20\n03/04/2026 08:01,20\n",
     "",
     {0},
     {0},
     "day-first",
     "preamble"},
    {"a log past midnight",
     "a.csv",
     LOG_HEAD "05/06/2026 23:59,20\n06/06/2026 00:00,20\n",
     "",
     {0},
     {0},
     "day-first",
     "past midnight"},
    {"dates that only so go forward",
     "a.csv",
     LOG_HEAD "12/05/2026 08:00,20\n01/06/2026 08:00,20\n",
     "",
     {0},
     {0},
     "day-first",
     "forward"},
    {"equal figures",
     "a.csv",
     LOG_HEAD "05/05/2026 08:00,20\n06/06/2026 08:00,20\n",
     "",
     {0},
     {0},
     "day-first",
     "same figure"},
    {"two digits of the year, day above 12",
     "a.csv",
     LOG_HEAD "13.04.26 08:00,20\n14.04.26 08:00,20\n",
     "",
     {2026, 4, 1},
     {2026, 4, 30},
     "day-first",
     "job's dates"},
    {"two digits of the year in front",
     "a.csv",
     LOG_HEAD "26-04-13 08:00,20\n26-04-14 08:00,20\n",
     "",
     {2026, 4, 1},
     {2026, 4, 30},
     "year-first",
     "job's dates"},
    {"two digits of the year in front, above 31",
     "a.csv",
     LOG_HEAD "99-04-13 08:00,20\n99-04-14 08:00,20\n",
     "",
     {0},
     {0},
     "year-first",
     "cannot end in the year"},
    {"no evidence",
     "a.csv",
     LOG_HEAD "03/04/2026 08:00,20\n03/04/2026 09:00,20\n",
     "",
     {0},
     {0},
     "",
     "no date has a part above 12"},
    {"contradiction",
     "a.csv",
     LOG_HEAD "13/04/2026 08:00,20\n04/13/2026 09:00,20\n",
     "",
     {0},
     {0},
     "",
     "cannot be read"},
};

Test(dates, the_order_is_settled_by_evidence_or_not_at_all) {
    for (size_t i = 0; i < MR_COUNT(date_cases); i++) {
        const struct date_case *c = &date_cases[i];
        struct norm_rig rig;
        norm_begin(&rig);
        if (*c->rule)
            norm_rule(&rig, "*")->dates = c->rule;
        if (c->first[0]) {
            rig.job->first_day_local_ms = day_ms(c->first[0], c->first[1], c->first[2]);
            rig.job->last_day_local_ms = day_ms(c->last[0], c->last[1], c->last[2]);
        }
        norm_add(&rig, c->path, c->text, 0);
        norm_run(&rig);
        const struct mr_file *f = &rig.data->files.v[0];
        cr_expect_str_eq(f->date_order, c->order, "%s: %s, %s", c->name, f->date_order, f->date_why);
        cr_expect(strstr(f->date_why, c->why_holds), "%s: %s", c->name, f->date_why);
        bool aside = f->account.by_reason[MR_ASIDE_DATE_ORDER] > 0;
        cr_expect(aside == !*c->order && (!aside || f->account.rows_used == 0), "%s: %s", c->name,
                  norm_line(&rig, 0));
        cr_expect(rig.status == MR_OK && norm_identity(&rig), "%s", c->name);
        norm_end(&rig);
    }
}

Test(dates, a_stated_order_sets_impossible_rows_aside) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_rule(&rig, "*")->dates = "month-first";
    norm_add(&rig, "a.csv", LOG_HEAD "03/04/2026 08:00,20\n13/04/2026 08:00,21\n03/05/2026 08:00,22\n", 0);
    norm_run(&rig);
    cr_assert_str_eq(norm_line(&rig, 0),
                     "temperature; 1 header, 2 used, bad-time 1; month-first; 2: 2026-03-04 08:00:00, Ch1 20 °C; "
                     "4: 2026-03-05 08:00:00, Ch1 22 °C",
                     "%s", norm_line(&rig, 0));
    cr_assert_eq(rig.data->files.v[0].account.runs.v[0].line, 3);
    norm_end(&rig);
}

/* --- units --------------------------------------------------------------------------------------------------------
 */

Test(units, magnitude_against_the_jobs_other_files) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(
        &rig, "a.csv",
        "time,line A (psi),line B (psi)\n2026-05-13 08:00,85,84\n2026-05-13 08:01,86,85\n2026-05-13 08:02,84,83\n",
        0);
    norm_add(&rig, "b.csv",
             "time,line A,line B\n2026-05-14 08:00,5.8,5.7\n2026-05-14 08:01,5.9,5.8\n2026-05-14 08:02,5.8,5.8\n", 0);
    norm_run(&rig);
    const struct mr_channel *a = norm_channel(&rig, 1, MR_M_LINE_A, 0);
    cr_assert(a, "%s", norm_line(&rig, 1));
    cr_assert_float_eq(a->value[0], 580, 1e-9, "5.8 bar");
    cr_assert(strncmp(rig.data->files.v[1].columns[1].unit_why, "inferred", 8) == 0);
    cr_assert_eq(norm_count(&rig, "unit-inferred"), 2);
    norm_end(&rig);
}

Test(units, what_the_physical_range_tells) {
    static const struct {
        const char *name, *text;
        enum mr_meaning meaning;
        double first; /* canonical; NaN = set aside */
    } rows[] = {
        {"air above 50 can only be Fahrenheit",
         "time,air temp,RH %\n2026-05-13 08:00,68,50\n2026-05-13 08:01,68.9,50\n2026-05-13 08:02,70,50\n", MR_M_AIR,
         20},
        {"air about 293 can only be kelvin",
         "time,air temp,RH %\n2026-05-13 08:00,293.15,50\n2026-05-13 08:01,293,50\n2026-05-13 08:02,293,50\n",
         MR_M_AIR, 20},
        {"air about 20 may be both",
         "time,air temp,RH %\n2026-05-13 08:00,20,50\n2026-05-13 08:01,21,50\n2026-05-13 08:02,20,50\n", MR_M_AIR,
         (double)NAN},
        {"humidity above 1 is no fraction",
         "time,air temp °C,RH\n2026-05-13 08:00,20,50\n2026-05-13 08:01,21,50\n2026-05-13 08:02,20,50\n", MR_M_RH,
         50},
        {"humidity of zeros and ones says nothing",
         "time,air temp °C,RH\n2026-05-13 08:00,20,1\n2026-05-13 08:01,21,0\n2026-05-13 08:02,20,1\n", MR_M_RH,
         (double)NAN},
        {"pressure is never told by its range",
         "time,line A,line B\n2026-05-13 08:00,85,84\n2026-05-13 08:01,86,85\n2026-05-13 08:02,84,83\n", MR_M_LINE_A,
         (double)NAN},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv", rows[i].text, 0);
        norm_run(&rig);
        const struct mr_channel *c = norm_channel(&rig, 0, rows[i].meaning, 0);
        if (isnan(rows[i].first))
            cr_expect(!c && norm_count(&rig, "no-unit") > 0, "%s", rows[i].name);
        else
            cr_expect(c && fabs(c->value[0] - rows[i].first) < 1e-9, "%s: %s", rows[i].name, norm_line(&rig, 0));
        cr_expect(norm_identity(&rig), "%s", rows[i].name);
        norm_end(&rig);
    }
}

Test(units, film_readings_by_range_and_by_company) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "dft a.csv", "zone,spot,dft\nD,1,8.2\nD,2,8.4\nD,3,7.9\n", 0);
    norm_add(&rig, "dft b.csv", "zone,spot,dft\nD,1,212\nD,2,220\nD,3,208\n", 0);
    norm_run(&rig);
    cr_assert_float_eq(rig.data->readings.v[0].film_um, 8.2 * 25.4, 1e-9, "8 um are no film, 8 mm neither");
    cr_assert_float_eq(rig.data->readings.v[3].film_um, 212, 1e-9, "212 mil are no film");
    norm_end(&rig);
    norm_begin(&rig);
    norm_add(&rig, "dft c.csv", "zone,spot,dft\nD,1,60\nD,2,61\nD,3,62\n", 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 0, "60 may be um or mil");
    cr_assert_eq(rig.data->files.v[0].account.by_reason[MR_ASIDE_NO_UNIT], 3);
    norm_end(&rig);
    norm_begin(&rig);
    norm_add(&rig, "dft c.csv", "zone,spot,dft\nD,1,60\nD,2,61\nD,3,62\n", 0);
    norm_add(&rig, "dft d.csv", "zone,spot,dft um\nE,1,70\nE,2,71\nE,3,69\n", 0);
    norm_run(&rig);
    cr_assert_float_eq(rig.data->readings.v[0].film_um, 60, 1e-9, "the job's other file settles it");
    norm_end(&rig);
}

/* --- the job's word -----------------------------------------------------------------------------------------------
 */

Test(rules, the_job_file_settles_kind_columns_units_and_missing_values) {
    struct norm_rig rig;
    norm_begin(&rig);
    struct mr_file_rule *rule = norm_rule(&rig, "*.csv");
    rule->kind = "temperature";
    rule->missing = "0, -1";
    norm_rule_column(&rig, rule, "Alpha", "temperature", "degF");
    norm_rule_column(&rig, rule, "column 3", "steel", "K");
    norm_add(&rig, "x.csv",
             "when,Alpha,Beta\n2026-05-13 08:00,68,300\n2026-05-13 08:01,0,293.15\n2026-05-13 08:02,0,-1\n", 0);
    norm_run(&rig);
    cr_assert_str_eq(
        norm_line(&rig, 0),
        "temperature; 1 header, 2 used, no-value 1; year-first; 2: 2026-05-13 08:00:00, Alpha 20 °C, Beta "
        "26.85 °C; 3: 2026-05-13 08:01:00, Beta 20 °C",
        "%s", norm_line(&rig, 0));
    cr_assert_str_eq(rig.data->files.v[0].kind_why, "job file line 12");
    norm_end(&rig);
}

Test(rules, a_column_map_of_the_job_takes_no_code) {
    static const char map[] = "[kind]\nname = climate\n[columns]\nair = Blau\nhumidity = Gruen\n";
    struct norm_rig rig;
    norm_begin(&rig);
    struct mr_text_file text = {"columns/mine.map", map, sizeof map - 1};
    MR_PUSH(rig.arena, &rig.job->texts, text);
    norm_add(&rig, "x.csv", "time,Blau [°C],Gruen [%]\n2026-05-13 08:00,20,50\n", 0);
    norm_run(&rig);
    cr_assert_str_eq(norm_line(&rig, 0),
                     "climate; 1 header, 1 used; year-first; 2: 2026-05-13 08:00:00, Blau 20 °C, Gruen 50 %", "%s",
                     norm_line(&rig, 0));
    norm_end(&rig);
}

Test(rules, the_built_in_column_maps_are_without_mistakes) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_run(&rig);
    cr_assert_eq(rig.diags.list.n, 0, "%s", norm_first(&rig, "column-map"));
    norm_end(&rig);
}

Test(rules, instruments_by_rule_pattern_column_and_preamble) {
    struct norm_rig rig;
    norm_begin(&rig);
    struct mr_instrument one = {.name = "roof", .serial = "H-1", .files = "", .time_zone = ""},
                         two = {.name = "deck", .serial = "", .files = "deck/**", .time_zone = ""};
    MR_PUSH(rig.arena, &rig.job->instruments, one);
    MR_PUSH(rig.arena, &rig.job->instruments, two);
    norm_rule(&rig, "c.csv")->instrument = "roof";
    norm_add(&rig, "a.csv", "Serial: H-1\n\ntime,air °C,RH %\n2026-05-13 08:00,20,50\n2026-05-13 08:01,20,50\n", 0);
    norm_add(&rig, "b.csv", "time,air °C,RH %,logger\n2026-05-13 08:00,20,50,H-1\n", 0);
    norm_add(&rig, "c.csv", "time,air °C,RH %\n2026-06-13 08:00,20,50\n", 0);
    norm_add(&rig, "d.csv", "time,air °C,RH %,logger\n2026-07-13 08:00,20,50,H-9\n", 0);
    norm_add(&rig, "deck/e.csv", "time,air °C,RH %\n2026-08-13 08:00,20,50\n", 0);
    norm_run(&rig);
    static const char *const names[] = {"roof", "roof", "roof", "H-9", "deck"};
    for (size_t i = 0; i < MR_COUNT(names); i++) {
        cr_expect_str_eq(rig.data->files.v[i].instrument_name, names[i], "file %zu: %s", i,
                         rig.data->files.v[i].instrument_name);
        cr_expect((rig.data->files.v[i].instrument != NULL) == (i != 3), "file %zu", i);
    }
    norm_end(&rig);
}

/* --- each reading counts once -------------------------------------------------------------------------------------
 */

#define R_HEAD "time,zone,spot,thickness um,serial\n"
#define R1 "2026-05-13 08:00,D,1,130,G7\n"
#define R2 "2026-05-13 08:01,D,1,131,G7\n"
#define R3 "2026-05-13 08:02,D,1,132,G7\n"
#define R4 "2026-05-13 08:03,D,2,133,G7\n"
#define R5 "2026-05-13 08:04,D,2,134,G7\n"

Test(overlap, a_copy_byte_for_byte_counts_once) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", R_HEAD R1 R2, 0);
    norm_add(&rig, "copy of a.csv", R_HEAD R1 R2, 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 2);
    cr_assert_str_eq(rig.data->files.v[1].copy_of, "a.csv");
    cr_assert_eq(rig.data->files.v[1].account.by_reason[MR_ASIDE_COPY], 2);
    cr_assert(norm_count(&rig, "copy") == 1 && norm_identity(&rig));
    norm_end(&rig);
}

Test(overlap, cumulative_downloads_repeat_earlier_readings) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "monday.csv", R_HEAD R1 R2 R3, 0);
    norm_add(&rig, "tuesday.csv", R_HEAD R1 R2 R3 R4 R5, 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 5);
    cr_assert_str_eq(
        norm_line(&rig, 1),
        "thickness; 1 header, 2 used, repeated 3; year-first; 5: 2026-05-13 08:03:00, zone D, spot 2, film 133 "
        "µm, serial G7; 6: 2026-05-13 08:04:00, zone D, spot 2, film 134 µm, serial G7",
        "%s", norm_line(&rig, 1));
    norm_end(&rig);
}

Test(overlap, two_equal_readings_in_one_file_are_two_readings) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", R_HEAD R1 R1 R2, 0);
    norm_add(&rig, "b.csv", R_HEAD R1 R1 R2 R3, 0);
    norm_add(&rig, "c.csv", R_HEAD R1 R1 R1 R2 R3, 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 5, "R1 three times as in c, R2, R3: %zu", rig.data->readings.n);
    cr_assert_eq(rig.data->files.v[1].account.by_reason[MR_ASIDE_REPEATED], 3);
    cr_assert_eq(rig.data->files.v[2].account.by_reason[MR_ASIDE_REPEATED], 4);
    norm_end(&rig);
}

Test(overlap, a_block_that_one_file_holds_twice) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", R_HEAD R1 R2 R3 R_HEAD R1 R2 R3 R4, 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 4);
    cr_assert_eq(rig.data->files.v[0].account.by_reason[MR_ASIDE_REPEATED], 3);
    cr_assert_eq(rig.data->files.v[0].account.by_reason[MR_ASIDE_REPEATED_HEADER], 1);
    norm_end(&rig);
}

Test(overlap, gauges_that_happen_to_agree_are_two_gauges) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", R_HEAD R1 R2 R3, 0);
    norm_add(&rig, "b.csv",
             "time,zone,spot,thickness um,serial\n2026-05-13 08:00,D,1,130,G8\n2026-05-13 08:01,D,1,131,G8\n", 0);
    norm_add(
        &rig, "c.csv",
        "time,zone,spot,thickness um\n2026-05-13 08:00,D,1,130\n2026-05-13 08:01,D,1,139\n2026-05-13 08:02,D,1,140\n",
        0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 8);
    norm_end(&rig);
}

#define L_HEAD "time,air °C,RH %\n"
#define L1 "2026-05-13 08:00,20.1,50\n"
#define L2 "2026-05-13 08:05,20.2,51\n"
#define L3 "2026-05-13 08:10,20.3,52\n"
#define L4 "2026-05-13 08:15,20.45,53\n"

Test(overlap, a_growing_file_and_its_longer_copy) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "log (1).csv", L_HEAD L1 L2 L3 "2026-05-13 08:15,20.45,5", 0);
    norm_add(&rig, "log (2).csv", L_HEAD L1 L2 L3 L4 "2026-05-13 08:20,20.5,54\n", 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->files.v[0].account.by_reason[MR_ASIDE_HALF_LINE], 1, "%s", norm_line(&rig, 0));
    cr_assert_str_eq(
        norm_line(&rig, 1),
        "climate; 1 header, 2 used, repeated 3; year-first; 5: 2026-05-13 08:15:00, air 20.45 °C, RH 53 %; "
        "6: 2026-05-13 08:20:00, air 20.5 °C, RH 54 %",
        "%s", norm_line(&rig, 1));
    norm_end(&rig);
}

Test(overlap, readings_without_times_are_compared_as_runs) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", "zone,spot,thickness um\nD,1,130\nD,2,131\nD,3,129\nD,4,135\nD,5,128\n", 0);
    norm_add(&rig, "b.csv", "zone,spot,thickness um\nD,1,130\nD,2,131\nD,3,129\nD,4,135\nD,5,128\nE,1,140\n", 0);
    norm_add(&rig, "c.csv", "zone,spot,thickness um\nD,1,130\nD,2,131\nD,3,128\nD,4,135\nD,5,128\n", 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->files.v[1].account.by_reason[MR_ASIDE_REPEATED], 5, "%s", norm_line(&rig, 1));
    cr_assert_eq(rig.data->files.v[2].account.rows_used, 5, "another survey of the same spots");
    cr_assert_eq(rig.data->readings.n, 11);
    norm_end(&rig);
}

/* --- doubts -------------------------------------------------------------------------------------------------------
 */

Test(plausible, curves_that_a_person_would_doubt_are_flagged) {
    struct norm_rig rig;
    norm_begin(&rig);
    char *text = mr_alloc(rig.arena, 40000, 1);
    size_t n = (size_t)snprintf(text, 40000, "time,air °C,RH %%\n");
    for (int i = 0; i < 600; i++) {
        int minute = i + (i >= 300 ? 120 : 0); /* a gap of two hours */
        double air = i == 100 ? 45.0 : 20.0 + 0.01 * (i % 7),
               rh = i < 250 ? 50.0 + 0.1 * (i % 5) : 55.0; /* a spike; a stuck sensor */
        n += (size_t)snprintf(text + n, 40000 - n, "2026-05-13 %02d:%02d,%.2f,%.1f\n", minute / 60, minute % 60, air,
                              rh);
    }
    n += (size_t)snprintf(text + n, 40000 - n, "2026-05-13 03:00,20.0,50.0\n2026-05-13 03:01,200.0,50.0\n");
    norm_add(&rig, "a.csv", text, n);
    norm_run(&rig);
    cr_expect_eq(norm_count(&rig, "jump"), 2, "up and down: %zu", norm_count(&rig, "jump"));
    cr_expect_eq(norm_count(&rig, "gap"), 1);
    cr_expect_eq(norm_count(&rig, "stuck-sensor"), 1, "%zu", norm_count(&rig, "stuck-sensor"));
    cr_expect_eq(norm_count(&rig, "time-backwards"), 1);
    cr_expect_eq(norm_count(&rig, "out-of-range"), 1);
    cr_expect(strstr(norm_first(&rig, "jump"), "a.csv:101-102"), "%s", norm_first(&rig, "jump"));
    cr_expect(strstr(norm_first(&rig, "stuck-sensor"), "a.csv:252-601"), "%s", norm_first(&rig, "stuck-sensor"));
    cr_expect(strstr(norm_first(&rig, "out-of-range"), "a.csv:603:2"), "%s", norm_first(&rig, "out-of-range"));
    norm_end(&rig);
}

Test(files, any_kind_of_file_that_is_no_table_is_counted_too) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.bin", "\0\1\2\3\0\0\377\376\0\0", 10);
    norm_add(&rig, "b.txt", "Dear all,\n\nplease find the logs attached.\n", 0);
    norm_run(&rig);
    cr_assert(rig.status == MR_OK && norm_identity(&rig));
    cr_assert_eq(rig.data->files.v[0].kind, MR_KIND_NOT_A_TABLE);
    cr_assert_eq(rig.data->files.v[1].account.rows_used, 0);
    norm_end(&rig);
}

Test(files, the_explanation_is_json_with_the_same_content) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", "time,air °C,RH %\n2026-05-13T08:00:00Z,20.5,50\n", 0);
    norm_run(&rig);
    const char *json = mr_explain_json(rig.arena, rig.data);
    static const char *const parts[] = {"\"kind\": \"climate\"", "\"first\": \"2026-05-13T08:00:00Z\"",
                                        "\"rows_used\": 1", "\"delimiter\": \"comma\"", "\"unit\": \"°C\""};
    for (size_t i = 0; i < MR_COUNT(parts); i++)
        cr_expect(strstr(json, parts[i]), "%s in %s", parts[i], json);
    norm_end(&rig);
}

/* --- serials ------------------------------------------------------------------------------------------------------
 */

Test(serials, the_first_cell_of_a_line_with_more_of_them_is_the_serial_and_a_formula_is_its_text) {
    static const char *const tops[] = {"Serial,TG-1,,Std,2.0,um\n", "Serial,TG-1\n", "Serial: TG-1\n",
                                       "Serial,=\"TG-1\"\n"};
    for (size_t i = 0; i < MR_COUNT(tops); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv",
                 mr_printf(rig.arena, "%sNo,Zone,Thickness,Unit\n1,Deck 1,212,um\n2,Deck 1,214,um\n", tops[i]), 0);
        norm_run(&rig);
        cr_expect_str_eq(rig.data->files.v[0].instrument_name, "TG-1", "%s: %s", tops[i],
                         rig.data->files.v[0].instrument_name);
        norm_end(&rig);
    }
}

Test(verifications, each_reading_of_a_row_counts_and_half_a_row_is_a_row) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "check.csv",
             "Date,Time,Gauge,Shim 1 nominal (um),Shim 1 reading (um),Shim 2 nominal (um),Shim 2 reading (um)\n"
             "2026-05-13,07:00,TG-1,127,126,254,255\n2026-05-13,17:00,TG-1,127,128,254,OL\n2026-05-13,18:00,TG-1,127,"
             "128,,255\n",
             0);
    norm_run(&rig);
    cr_assert(norm_identity(&rig) && rig.data->verifications.n == 4 && rig.data->files.v[0].account.rows_used == 3);
    const struct mr_verification *v = rig.data->verifications.v;
    cr_expect(v[1].certified_um == 254 && v[1].reading_um == 255 && v[2].certified_um == 127 && v[3].line == 4);
    norm_end(&rig);
}

Test(readings, what_the_gauge_wrote_beside_a_value_stays_in_its_note) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", "Zone,DFT um,Note\nDeck 1,211,\nDeck 1,212 H,wet edge\nDeck 1,213*,\nDeck 1,>1500,\n", 0);
    norm_run(&rig);
    cr_assert(norm_identity(&rig) && rig.data->readings.n == 3);
    cr_expect_str_eq(rig.data->readings.v[1].note, "wet edge; shown as 212 H");
    cr_expect_str_eq(rig.data->readings.v[2].note, "shown as 213*");
    cr_expect(strstr(norm_first(&rig, "no-value"), "above the gauge's range"), "%s", norm_first(&rig, "no-value"));
    norm_end(&rig);
}

Test(messages, a_figure_that_is_left_out_does_not_say_that_its_row_is) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "spray.csv",
             "Date,Zone,Start,Duration (min),Gun distance (mm)\n2026-05-13,Deck 1,09:10,22,abc\n2026-05-13,Deck "
             "1,10:10,about,400\n",
             0);
    norm_run(&rig);
    cr_assert(norm_identity(&rig) && rig.data->sprays.n == 2);
    cr_expect(norm_count(&rig, "bad-number") == 2 && strstr(norm_first(&rig, "bad-number"), "Value left out."), "%s",
              norm_first(&rig, "bad-number"));
    norm_end(&rig);
    norm_begin(&rig);
    norm_add(&rig, "drums.csv",
             "Date,Part,Drum,Before,After,Unit\n2026-05-13,A,1,200.5,150,kg\n2026-05-13,B,1,200,151,pcs\n", 0);
    norm_run(&rig);
    cr_assert(norm_identity(&rig) && rig.data->materials.n == 1);
    cr_expect(strstr(norm_first(&rig, "no-unit"), "Write L, gal, kg or lb. Row set aside."), "%s",
              norm_first(&rig, "no-unit"));
    norm_end(&rig);
}
