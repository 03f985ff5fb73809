/*
 * test_second_times.c - a row that gives a time twice: a second day, a second stop, a stop and how long it took.
 * Where they differ nobody knows which is right. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>

static const struct {
    const char *heads, *row;
    bool stops; /* the coat keeps its stop */
} coats[] = {{"start,stop,duration (min)", "08:00,08:10,10", true},
             {"start,stop,duration (min)", "08:00,08:10,11", true}, /* rounded */
             {"start,stop,duration (min)", "08:00,08:10,40", false},
             {"start,stop,duration (min)", "23:50,00:10,20", true},
             {"start,stop,trigger off", "08:00,08:10,08:10", true},
             {"start,stop,trigger off", "08:00,08:10,08:40", false},
             {"start,stop,trigger off", "08:00,08:10,", true},
             {"start,duration (min),remark", "08:00,10,", true}};

Test(second_times, of_a_coat_that_differ_leave_it_without_a_stop) {
    for (size_t i = 0; i < MR_COUNT(coats); i++) {
        struct norm_rig rig;
        char text[300];
        snprintf(text, sizeof text, "date,zone,coat,%s\n2026-05-11,D,1,%s\n", coats[i].heads, coats[i].row);
        norm_begin(&rig);
        norm_add(&rig, "spray log.csv", text, 0);
        norm_run(&rig);
        cr_assert_eq(rig.data->sprays.n, 1, "%s", coats[i].row);
        cr_expect_eq(rig.data->sprays.v[0].stop_ms != MR_T_NONE, coats[i].stops, "%s", coats[i].row);
        cr_expect_neq(rig.data->sprays.v[0].start_ms, MR_T_NONE, "%s", coats[i].row);
        norm_end(&rig);
    }
}

/* A second day by another calendar of the same day, or by a time zone, is none. */
Test(second_times, a_second_day_that_differs_is_asked_for) {
    static const struct {
        const char *heading, *day;
        bool asked;
    } days[] = {{"Datum", "2026-05-12", false}, {"Datum", "2026-05-10", true},  {"Datum", "12.05.2026", false},
                {"Datum", "10.05.2026", true},  {"Fecha", "2026-05-13", false}, {"Datum", "", false}};
    for (size_t i = 0; i < MR_COUNT(days); i++)
        for (int by_job = 0; by_job < 2; by_job++) {
            struct norm_rig rig;
            char text[400];
            snprintf(text, sizeof text,
                     "Date,Time,Zone,Thickness [um],%s\n2026-05-12,09:00:00,D,240,%s\n2026-05-12,09:00:05,D,241,%s\n",
                     days[i].heading, days[i].day, days[i].day);
            norm_begin(&rig);
            if (by_job)
                norm_rule_column(&rig, norm_rule(&rig, "a.csv"), days[i].heading, "ignore", "");
            norm_add(&rig, "a.csv", text, 0);
            norm_run(&rig);
            cr_expect(norm_identity(&rig), "%s", days[i].day);
            cr_expect_eq(norm_count(&rig, "unknown-type") > 0, days[i].asked && !by_job, "%s %s", days[i].heading,
                         days[i].day);
            norm_end(&rig);
        }
}

Test(second_times, nobody_signs_a_shift_record) {
    static const struct {
        const char *role;
        bool signs;
    } roles[] = {{"pump operator", true}, {"-", false}, {"nobody", false}, {"absent", false}, {"n/a", false}};
    for (size_t i = 0; i < MR_COUNT(roles); i++) {
        struct norm_rig rig;
        char text[200];
        snprintf(text, sizeof text, "date,item,done,by role\n2026-05-11,steel accepted,yes,%s\n", roles[i].role);
        norm_begin(&rig);
        norm_add(&rig, "shift record.csv", text, 0);
        norm_run(&rig);
        cr_assert_eq(rig.data->shift_items.n, 1, "%s", roles[i].role);
        cr_expect_eq(*rig.data->shift_items.v[0].role != '\0', roles[i].signs, "%s", roles[i].role);
        norm_end(&rig);
    }
}

Test(second_times, a_test_that_failed_is_known_as_one) {
    static const struct {
        const char *action;
        bool failed;
    } tests[] = {{"water test", false}, {"water test failed", true},  {"leak test - leak at B", true},
                 {"mix check", false},  {"mix check: no heat", true}, {"water test ok, no leaks", false}};
    for (size_t i = 0; i < MR_COUNT(tests); i++) {
        struct norm_rig rig;
        char text[200];
        snprintf(text, sizeof text, "date,action,zone,coat,start,stop\n2026-05-11,\"%s\",,,07:50,07:55\n",
                 tests[i].action);
        norm_begin(&rig);
        norm_add(&rig, "spray log.csv", text, 0);
        norm_run(&rig);
        cr_assert_eq(rig.data->sprays.n, 1, "%s", tests[i].action);
        cr_expect_eq(rig.data->sprays.v[0].failed, tests[i].failed, "%s", tests[i].action);
        norm_end(&rig);
    }
}

/* What the log says was done and no list knows is for a person. */
Test(second_times, an_action_that_nobody_knows_is_told) {
    static const struct {
        const char *action;
        bool told;
    } actions[] = {{"spray", false},     {"inspection", false},         {"weld bracket", true},
                   {"clean-out", false}, {"water test failed", false},  {"water test", false},
                   {"mix check", false}, {"mix check: no heat", false}, {"no water test", true}};
    for (size_t i = 0; i < MR_COUNT(actions); i++) {
        struct norm_rig rig;
        char text[300];
        snprintf(text, sizeof text,
                 "date,action,zone,coat,start,stop\n2026-05-11,spray,D,1,08:00,08:10\n2026-05-11,%s,D,,09:00,09:10\n",
                 actions[i].action);
        norm_begin(&rig);
        norm_add(&rig, "spray log.csv", text, 0);
        norm_run(&rig);
        cr_expect_eq(rig.data->files.v[0].sayings.n, actions[i].told, "%s", actions[i].action);
        norm_end(&rig);
    }
}
