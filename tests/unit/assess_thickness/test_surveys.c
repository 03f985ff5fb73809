/*
 * Which readings belong to a spot, which survey counts, and what closes a failing one. The rules are the trade's:
 * measuring again does not make a failure pass (common practice, no source).
 */
#include "unit/assess_thickness/site.h"

#include "read/job/job_reader.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define LIMITS "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 300 um\n"
#define HOUR_MS 3600000LL

static enum mr_outcome outcome(const struct site *s, const char *id) {
    const struct mr_check *c = site_find_check(s, id, 0);
    cr_assert_not_null(c, "no check %s", id);
    return c->outcome;
}

static enum mr_outcome worst(const struct site *s) {
    enum mr_outcome w = MR_NOT_REQUIRED;
    for (size_t i = 0; i < s->out.checks.n; i++)
        if (strcmp(s->out.checks.v[i].group, "gauge") != 0)
            w = mr_outcome_worst(w, s->out.checks.v[i].outcome);
    return w;
}

/* Five spots of three readings in a named area. */
static void area(struct site *s, size_t zone, const char *name, double um) {
    static const char *const spots[] = {"1", "2", "3", "4", "5"};
    for (size_t i = 0; i < MR_COUNT(spots); i++)
        for (int k = 0; k < 3; k++)
            site_reading(s, zone, name, spots[i], um, MR_UNIT_UM);
}

static void repair(struct site *s, size_t zone) {
    struct mr_spray *log = MR_NEW(s->arena, struct mr_spray);
    log->action = MR_ACTION_REPAIR;
    struct mr_action_at a = {
        .log = log, .t0_utc_ms = s->t, .t1_utc_ms = s->t, .zone = zone, .place = {.file = "spray.csv", .line = 9}};
    MR_PUSH(s->arena, &s->al.actions, a);
    s->t += 1000;
}

Test(surveys, measuring_again_without_a_repair_leaves_the_failing_result) {
    for (int repaired = 0; repaired < 2; repaired++) {
        struct site s;
        site_new(&s, LIMITS);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        area(&s, zone, "A", 150);
        s.t += HOUR_MS;
        if (repaired)
            repair(&s, zone);
        area(&s, zone, "A", 250);
        site_judge(&s);
        cr_expect_eq(worst(&s), repaired ? MR_CONFORMS : MR_DOES_NOT_CONFORM);
        cr_expect_eq(outcome(&s, "history.closed"), repaired ? MR_CONFORMS : MR_DOES_NOT_CONFORM);
        cr_expect_eq(site_find_finding(&s, "measured-again-without-repair") != NULL, !repaired);
        mr_arena_free(s.arena);
    }
}

/* Failing, repaired, failing on three spots only, then whole without another repair. */
Test(surveys, one_repair_does_not_close_a_second_failure_that_was_not_measured_whole) {
    for (int repairs = 1; repairs <= 2; repairs++) {
        struct site s;
        site_new(&s, LIMITS);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        area(&s, zone, "A", 150);
        s.t += HOUR_MS;
        repair(&s, zone);
        size_t first = s.al.readings.n;
        for (int i = 0; i < 9; i++)
            site_reading(&s, zone, "A", i < 3 ? "1" : i < 6 ? "2" : "3", 150, MR_UNIT_UM);
        s.t += HOUR_MS;
        if (repairs == 2)
            repair(&s, zone);
        area(&s, zone, "A", 250);
        for (size_t i = first; i < s.al.readings.n; i++)
            s.al.readings.v[i].stage = MR_STAGE_AFTER_REPAIR;
        site_judge(&s);
        cr_expect_eq(worst(&s), repairs == 2 ? MR_CONFORMS : MR_DOES_NOT_CONFORM, "%d repairs", repairs);
        mr_arena_free(s.arena);
    }
}

/* What spots and areas that lack readings show is not undone by measuring in full afterwards. */
Test(surveys, thin_spots_that_lack_readings_stand_until_a_repair) {
    static const struct {
        double um;
        int spots, readings; /* of the first survey */
        enum mr_outcome want;
    } rows[] = {{130, 5, 2, MR_NOT_SHOWN}, {130, 1, 1, MR_NOT_SHOWN}, {250, 5, 2, MR_CONFORMS},
                {175, 4, 3, MR_NOT_SHOWN}, /* 80 % of 200 hold for each spot, 200 not for the area */
                {175, 2, 3, MR_CONFORMS},  /* two of five spots are no area yet */
                {250, 4, 3, MR_CONFORMS}};
    static const char *const spot[] = {"1", "2", "3", "4", "5"};
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        for (int repaired = 0; repaired < 2; repaired++) {
            struct site s;
            site_new(&s, LIMITS "rules = restriction-level-3\n");
            size_t zone = site_zone(&s, "Deck 1", 9, 1);
            for (int k = 0; k < rows[i].spots * rows[i].readings; k++)
                site_reading(&s, zone, "A", spot[k / rows[i].readings], rows[i].um, MR_UNIT_UM);
            s.t += HOUR_MS;
            if (repaired)
                repair(&s, zone);
            area(&s, zone, "A", 250);
            site_judge(&s);
            cr_expect_eq(worst(&s), repaired ? MR_CONFORMS : rows[i].want, "row %zu, repaired %d", i, repaired);
            mr_arena_free(s.arena);
        }
}

/* An area of the survey itself that lacks a spot, beside as many whole ones as are asked for. */
Test(surveys, a_thin_area_that_lacks_a_spot_is_not_shown) {
    for (int thin = 0; thin < 2; thin++) {
        struct site s;
        site_new(&s, LIMITS "rules = restriction-level-3\n");
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        area(&s, zone, "A", 250);
        for (int k = 0; k < 12; k++)
            site_reading(&s, zone, "B", k < 3 ? "1" : k < 6 ? "2" : k < 9 ? "3" : "4", thin ? 175 : 250, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(worst(&s), thin ? MR_NOT_SHOWN : MR_CONFORMS);
        mr_arena_free(s.arena);
    }
}

Test(surveys, surveys_of_one_area_are_never_averaged) {
    struct site s;
    site_new(&s, LIMITS "rules = 80-20\n");
    size_t zone = site_zone(&s, "Deck 1", 2, 1);
    for (int i = 0; i < 10; i++)
        site_reading(&s, zone, "A", "", i < 3 ? 190 : 210, MR_UNIT_UM); /* 3 of 10 miss: fails */
    s.t += HOUR_MS;
    for (int i = 0; i < 40; i++)
        site_reading(&s, zone, "A", "", 250, MR_UNIT_UM); /* all 50 together would hold: 6 % */
    site_judge(&s);
    cr_expect_eq(worst(&s), MR_DOES_NOT_CONFORM);
    mr_arena_free(s.arena);
}

Test(surveys, an_incomplete_spot_outside_the_limits_is_not_shown) {
    for (int thin = 0; thin < 2; thin++) {
        struct site s;
        site_new(&s, LIMITS);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        area(&s, zone, "A", 250);
        site_reading(&s, zone, "A", "6", thin ? 150 : 250, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(worst(&s), thin ? MR_NOT_SHOWN : MR_CONFORMS, "80 %% of 200 are 160");
        const struct mr_finding *f = site_find_finding(&s, "incomplete-spot-out-of-limits");
        cr_expect_eq(f != NULL, thin);
        if (f)
            cr_expect_not_null(strstr(f->what, "2 more readings"), "%s", f->what);
        mr_arena_free(s.arena);
    }
}

Test(surveys, a_local_repair_replaces_its_area_and_no_other) {
    for (int both = 0; both < 2; both++) {
        struct site s;
        site_new(&s, LIMITS);
        size_t zone = site_zone(&s, "Deck 1", 19, 1);
        area(&s, zone, "A", 150);
        area(&s, zone, "B", both ? 150 : 250);
        s.t += HOUR_MS;
        repair(&s, zone);
        area(&s, zone, "A", 250);
        site_judge(&s);
        cr_expect_eq(worst(&s), both ? MR_DOES_NOT_CONFORM : MR_CONFORMS, "B was %s", both ? "thin" : "good");
        cr_expect_eq(site_table(&s, "surveys")->n_rows, 2, "both stay in the history");
        mr_arena_free(s.arena);
    }
}

static enum mr_outcome with_disposition(const char *keys) {
    struct site s;
    char job[600];
    snprintf(job, sizeof job, LIMITS "[disposition \"deck-1\"]\n%s", keys);
    site_new(&s, job);
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    area(&s, zone, "A", 150);
    s.t += HOUR_MS;
    area(&s, zone, "A", 250);
    site_judge(&s);
    enum mr_outcome w = worst(&s);
    mr_arena_free(s.arena);
    return w;
}

#define SIGNED "by = coating inspector\nwhy = gauge set on a wrong base\n"

Test(surveys, a_written_disposition_closes_what_it_names) {
    cr_expect_eq(with_disposition(SIGNED "decision = inspect again\nwhen = 2026-05-11\n"), MR_CONFORMS);
    cr_expect_eq(with_disposition(SIGNED "decision = repair\nareas = a\nwhen = 2026-05-11\n"), MR_CONFORMS);
    cr_expect_eq(with_disposition(SIGNED "decision = repair\nareas = B\nwhen = 2026-05-11\n"), MR_DOES_NOT_CONFORM);
    cr_expect_eq(with_disposition(SIGNED "decision = repair\nwhen = 2026-05-13\n"), MR_DOES_NOT_CONFORM,
                 "written after the second survey");
    cr_expect_eq(with_disposition(SIGNED "decision = accept as is\nwhen = 2026-05-11\n"), MR_DOES_NOT_CONFORM,
                 "accepting a film does not make it thicker");
}

Test(surveys, a_disposition_without_who_when_or_why_is_refused) {
    static const char *const keys[] = {"decision = repair\nwhen = 2026-05-11\nby = inspector\n",
                                       "decision = repair\nwhen = 2026-05-11\nwhy = thin\n",
                                       "decision = repair\nby = inspector\nwhy = thin\n",
                                       "when = 2026-05-11\nby = inspector\nwhy = thin\n",
                                       "decision = forget\nwhen = 2026-05-11\nby = inspector\nwhy = thin\n"};
    for (size_t i = 0; i < MR_COUNT(keys); i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        struct mr_diags diags;
        struct mr_job *job = NULL;
        mr_diags_init(&diags, arena);
        const char *text = mr_printf(arena, "[job]\nname = x\n[disposition \"Deck 1\"]\n%s", keys[i]);
        cr_expect_eq(mr_job_parse(arena, ".", "job.milrise", text, strlen(text), &diags, &job), MR_E_JOB, "%zu", i);
        mr_arena_free(arena);
    }
}

/* Area 1 has four spots, area 2 five, and nobody wrote the area: spot 1 of the second is not spot 1 of the first. */
Test(surveys, spots_are_never_joined_across_areas) {
    static const char *const spots[] = {"1", "2", "3", "4", "5"};
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 19, 1);
    for (size_t i = 0; i < 9; i++) {
        for (int k = 0; k < (i == 0 ? 2 : 3); k++)
            site_reading(&s, zone, "", spots[i < 4 ? i : i - 4], i < 4 ? 290 : 250, MR_UNIT_UM);
        s.t += 150000;
    }
    site_judge(&s);
    const struct mr_table *t = site_table(&s, "spots");
    cr_assert_eq(t->n_rows, 9);
    cr_expect_eq(t->values.v[4].count, 2, "the first spot keeps its two readings");
    cr_expect_eq(t->values.v[3 * t->n_fields + 9].count, 4, "the first area has four spots");
    cr_expect_eq(outcome(&s, "thickness.enough"), MR_NOT_SHOWN, "one whole area of two");
    mr_arena_free(s.arena);
}

/* The second reading of the first spot was over range: the row is set aside, and its place stays. */
Test(surveys, readings_that_the_gauge_did_not_show_keep_their_place) {
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    for (int i = 0; i < 15; i++) {
        if (i == 1) {
            struct mr_aside_run run = {MR_ASIDE_NO_VALUE, s.line + 1, s.line + 1, 1};
            MR_PUSH(s.arena, &s.data.files.v[0].account.runs, run);
            s.line++;
            s.t += 5000;
            continue;
        }
        site_reading(&s, zone, "", "", i % 3 ? 250 : 200 + i, MR_UNIT_UM);
    }
    site_judge(&s);
    const struct mr_table *t = site_table(&s, "spots");
    cr_assert_eq(t->n_rows, 5);
    cr_expect_eq(t->values.v[4].count, 2, "the first spot lacks one");
    cr_expect_eq(t->values.v[t->n_fields + 4].count, 3);
    cr_expect_float_eq(t->values.v[t->n_fields + 5].number, (203 + 250 + 250) / 3.0, 1e-9, "the others did not move");
    mr_arena_free(s.arena);
}

Test(surveys, one_area_however_it_is_spelt) {
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    static const char *const names[] = {"A1", "a 1", "A-1", "A1", "A-01"};
    static const char *const spots[] = {"1", "2", "3", "4", "5"};
    for (size_t i = 0; i < 5; i++)
        for (int k = 0; k < 3; k++)
            site_reading(&s, zone, names[i], spots[i], 250, MR_UNIT_UM);
    site_judge(&s);
    cr_expect_eq(worst(&s), MR_CONFORMS);
    const struct mr_finding *f = site_find_finding(&s, "names-folded");
    cr_assert_not_null(f);
    cr_expect_not_null(strstr(f->what, "'a 1'"), "%s", f->what);
    mr_arena_free(s.arena);
}

Test(surveys, figures_that_a_sign_parts_are_two_areas) {
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 19, 1);
    area(&s, zone, "1-1", 250);
    area(&s, zone, "11", 250);
    site_judge(&s);
    cr_expect_eq(s.out.films.v[0].n_areas, 2);
    cr_expect_null(site_find_finding(&s, "names-folded"));
    mr_arena_free(s.arena);
}

Test(surveys, a_note_that_contradicts_the_times_is_a_finding) {
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    area(&s, zone, "A", 250);
    s.data.readings.v[3].note = "after repair";
    site_judge(&s);
    cr_expect_not_null(site_find_finding(&s, "label-against-time"));
    mr_arena_free(s.arena);
}

/* SSPC-PA 2 section 3.2 (2012): three or more readings. Five are the job's right, two are refused. */
Test(surveys, the_jobs_readings_per_spot_hold_or_are_refused) {
    struct site s;
    site_new(&s, LIMITS "readings per spot = 5\n");
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    site_spots(&s, zone, 5, 250, MR_UNIT_UM);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.enough"), MR_NOT_SHOWN, "three spots of five are not five");
    mr_arena_free(s.arena);
    site_new(&s, LIMITS "readings per spot = 2\n");
    zone = site_zone(&s, "Deck 1", 9, 1);
    site_spots(&s, zone, 5, 250, MR_UNIT_UM);
    site_judge(&s);
    cr_expect_eq(outcome(&s, "thickness.enough"), MR_CONFORMS, "judged by three");
    const struct mr_finding *f = site_find_finding(&s, "number-refused");
    cr_assert_not_null(f);
    cr_expect_not_null(strstr(f->source, "3.2"), "%s", f->source);
    mr_arena_free(s.arena);
}

/* Numbers of the register are made of day, zone and kind: more data on a later day do not change them. */
Test(surveys, the_register_keeps_its_numbers_and_says_what_closed_an_entry) {
    for (int later = 0; later < 2; later++) {
        struct site s;
        site_new(&s,
                 LIMITS "[disposition \"Deck 2\"]\ndecision = accept as is\nby = engineer\nwhen = 2026-05-12\nwhy = "
                        "no load on it\n");
        size_t one = site_zone(&s, "Deck 1", 9, 1), two = site_zone(&s, "Deck 2", 9, 1);
        area(&s, one, "A", 150);
        area(&s, two, "A", 160);
        s.t += 24 * HOUR_MS;
        if (later) {
            repair(&s, one);
            area(&s, one, "A", 250);
        }
        site_judge(&s);
        mr_assess_nonconformances(&s.a);
        cr_assert_eq(s.out.nonconformances.n, 2);
        const struct mr_nonconformance *n = s.out.nonconformances.v;
        cr_expect_eq(n[0].closed_utc_ms != MR_T_NONE, later);
        cr_expect_eq(*n[0].closed_by != '\0', later);
        cr_expect_str_eq(n[0].number, "2026-05-11 Deck 1: thickness");
        cr_expect_not_null(strstr(n[0].what, "150.0 µm (limit at least 160.0 µm)"), "%s", n[0].what);
        cr_expect(n[1].closed_utc_ms != MR_T_NONE && n[1].accepted, "accepted as it is: closed, in words");
        cr_expect_not_null(strstr(n[1].closed_by, "job.milrise:"), "%s", n[1].closed_by);
        cr_expect_not_null(strstr(n[1].disposition, "by the engineer: no load on it"), "%s", n[1].disposition);
        mr_arena_free(s.arena);
    }
}

/* Accepting a film as it is closes its non-conformance and changes no outcome; a decision that came before the
 * failing survey, or that leaves out a failing area, accepts nothing. Common practice, no source. */
Test(surveys, accepted_as_is_is_never_conforms) {
    static const struct {
        const char *when, *areas;
        bool accepted;
    } rows[] = {
        {"2026-05-12", "", true},          {"2026-05-11", "", true},           {"2026-05-10", "", false},
        {"2026-05-12", "areas = A", true}, {"2026-05-12", "areas = B", false}, {"2026-05-12", "areas = a, B", true},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site s;
        char job[512];
        snprintf(job, sizeof job,
                 "%s[disposition \"Deck 1\"]\ndecision = accept as is\nby = engineer\nwhen = %s\nwhy = no load\n%s\n",
                 LIMITS, rows[i].when, rows[i].areas);
        site_new(&s, job);
        size_t zone = site_zone(&s, "Deck 1", 19, 1);
        area(&s, zone, "A", 150);
        area(&s, zone, "B", 250);
        site_judge(&s);
        mr_assess_nonconformances(&s.a);
        cr_expect_eq(worst(&s), MR_DOES_NOT_CONFORM);
        cr_assert_eq(s.out.nonconformances.n, 1);
        cr_expect_eq(s.out.nonconformances.v[0].accepted != NULL, rows[i].accepted, "row %zu", i);
        cr_expect_eq(site_find_finding(&s, "accepted-as-is") != NULL, rows[i].accepted, "row %zu", i);
        mr_assess_finish(&s.a);
        cr_expect_eq(s.out.zones[zone].outcome, MR_DOES_NOT_CONFORM);
        cr_expect_eq(strstr(s.out.zones[zone].worst, "film accepted as is, see the register") != NULL,
                     rows[i].accepted, "%s", s.out.zones[zone].worst);
        mr_arena_free(s.arena);
    }
}
