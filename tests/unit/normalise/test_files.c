/*
 * test_files.c - what needs more than one row to be known: order of day and month, units nobody states, the job's
 * word.
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
     "cannot be month-first"},
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

Test(dates, year_first_dates_are_read_with_day_and_month_exchanged_only_where_the_job_says_so) {
    static const struct {
        const char *stated, *line;
    } rows[] = {{"", "temperature; 1 header, 2 used; year-first; 2: 2026-07-03 08:00:00, Ch1 20 °C; "
                     "3: 2026-08-03 08:00:00, Ch1 21 °C"},
                {"year-day-month",
                 "temperature; 1 header, 2 used; year-day-month; 2: 2026-03-07 08:00:00, Ch1 20 °C; "
                 "3: 2026-03-08 08:00:00, Ch1 21 °C"}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_rule(&rig, "*")->dates = rows[i].stated;
        norm_add(&rig, "a.csv", LOG_HEAD "2026-07-03 08:00,20\n2026-08-03 08:00,21\n", 0);
        norm_run(&rig);
        cr_expect_str_eq(norm_line(&rig, 0), rows[i].line, "%s", norm_line(&rig, 0));
        norm_end(&rig);
    }
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
    cr_assert_float_eq(mr_real(&a->value, 0), 580, 1e-9, "5.8 bar");
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
            cr_expect(c && fabs(mr_real(&c->value, 0) - rows[i].first) < 1e-9, "%s: %s", rows[i].name,
                      norm_line(&rig, 0));
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
