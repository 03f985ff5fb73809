/* test_assemble.c - checks become zone and job outcomes; order; required groups without data; the summary. */
#include "hand.h"

#include "numeric/stable_sort.h"

#define QUIET "[climate]\nrequired = no\n[reaction]\nrequired = no\n[lines]\nrequired = no\n"

static void add(struct hand *f, const char *group, size_t zone, int coat, enum mr_outcome outcome) {
    struct mr_check c = mr_blank_check("x", group, group, zone, coat);
    c.outcome = outcome;
    mr_add_check(&f->a, &c);
}

static struct hand *sprayed(const char *job, size_t zones) {
    struct hand *f = hand_new(job);
    hand_shift(f, "s", 0, 600);
    for (size_t z = 0; z < zones; z++)
        hand_window(f, hand_zone(f, z == 0 ? "Z1" : z == 1 ? "Z2" : "Z3", 10, 1), 1, 0, 600);
    return f;
}

Test(assemble, the_worst_check_is_the_zones_outcome) {
    static const enum mr_outcome order[] = {MR_NOT_REQUIRED, MR_CONFORMS, MR_NOT_SHOWN, MR_DOES_NOT_CONFORM};
    for (size_t i = 0; i < 4; i++) {
        for (size_t j = 0; j < 4; j++) {
            struct hand *f = sprayed(QUIET, 1);
            add(f, "climate", 0, 1, order[i]);
            add(f, "lines", 0, 1, order[j]);
            mr_assess_finish(&f->a);
            enum mr_outcome want = i > j ? order[i] : order[j];
            cr_expect_eq(f->out.zones[0].outcome, want, "%s and %s", mr_outcome_text(order[i]),
                         mr_outcome_text(order[j]));
            cr_expect_eq(f->out.outcome, want);
            cr_expect_eq(f->out.zones[0].by_group[2], order[i], "climate");
            cr_expect_eq(f->out.zones[0].by_group[4], order[j], "lines");
            hand_free(f);
        }
    }
}

Test(assemble, job_wide_checks_count_for_the_job_and_for_no_zone) {
    struct hand *f = sprayed(QUIET, 1);
    add(f, "climate", 0, 1, MR_CONFORMS);
    add(f, "material", MR_NONE, 0, MR_NOT_SHOWN);
    mr_assess_finish(&f->a);
    cr_expect_eq(f->out.zones[0].outcome, MR_CONFORMS);
    cr_expect_eq(f->out.outcome, MR_NOT_SHOWN);
    const struct mr_table *t = f->out.tables.v[0];
    cr_expect_str_eq(t->id, "zones");
    cr_expect_eq(t->n_rows, 2);
    cr_expect_str_eq(hand_cell(t, 1, "zone")->text, "(whole job)");
    cr_expect_eq(hand_cell(t, 1, "outcome")->count, MR_NOT_SHOWN);
    hand_free(f);
}

Test(assemble, checks_stand_by_zone_group_and_coat_and_findings_gravest_first) {
    struct hand *f = sprayed(QUIET, 2);
    add(f, "lines", MR_NONE, 0, MR_CONFORMS);
    add(f, "lines", 1, 2, MR_CONFORMS);
    add(f, "lines", 1, 1, MR_CONFORMS);
    add(f, "gauge", 1, 1, MR_CONFORMS);
    add(f, "thickness", 0, 0, MR_CONFORMS);
    static const struct {
        enum mr_severity severity;
        double t_s;
    } findings[] = {{MR_NOTE, 1}, {MR_ERROR, 500}, {MR_WARNING, NAN}, {MR_WARNING, 7}, {MR_ERROR, 3}};
    for (size_t i = 0; i < MR_COUNT(findings); i++) {
        struct mr_finding x = mr_blank_finding("f", findings[i].severity, 0, 0);
        x.t0_utc_ms = isnan(findings[i].t_s) ? MR_T_NONE : hand_ms(findings[i].t_s);
        x.measured = (double)i;
        mr_add_finding(&f->a, &x);
    }
    mr_assess_finish(&f->a);
    static const struct {
        size_t zone;
        const char *group;
        int coat;
    } want[] = {{0, "thickness", 0}, {1, "gauge", 1}, {1, "lines", 1}, {1, "lines", 2}, {MR_NONE, "lines", 0}};
    for (size_t i = 0; i < MR_COUNT(want); i++)
        cr_expect(f->out.checks.v[i].zone == want[i].zone && f->out.checks.v[i].coat == want[i].coat &&
                      strcmp(f->out.checks.v[i].group, want[i].group) == 0,
                  "check %zu", i);
    static const double order[] = {4, 1, 3, 2, 0};
    for (size_t i = 0; i < MR_COUNT(order); i++)
        cr_expect_float_eq(f->out.findings.v[i].measured, order[i], 0, "finding %zu: %g", i,
                           f->out.findings.v[i].measured);
    hand_free(f);
}

Test(assemble, a_zone_of_the_register_that_was_never_sprayed_is_not_shown) {
    struct hand *f = sprayed("", 1);
    hand_zone(f, "Forgotten", 10, 1);
    mr_assess_climate(&f->a);
    mr_assess_lines(&f->a);
    mr_assess_finish(&f->a);
    cr_expect_eq(f->out.zones[1].outcome, MR_NOT_SHOWN);
    const struct mr_finding *found = hand_finding(f, "never-sprayed", 0);
    cr_assert_not_null(found);
    cr_expect_eq(found->zone, 1);
    cr_expect_str_eq(found->evidence.v[0].place.file, "zones.csv");
    cr_expect_eq(hand_count(f, "never-sprayed"), 1);
    hand_free(f);
}

Test(assemble, a_coat_that_the_register_asks_for_and_no_window_shows_is_found) {
    struct hand *f = sprayed(QUIET, 1);
    f->al.zones.v[0].coats = 3;
    hand_window(f, 0, 3, 700, 800);
    mr_assess_finish(&f->a);
    cr_expect_eq(hand_count(f, "coat-missing"), 1);
    cr_expect_eq(hand_finding(f, "coat-missing", 0)->coat, 2);
    hand_free(f);
}

Test(assemble, a_required_group_that_no_part_spoke_about_is_not_shown) {
    static const struct {
        const char *job, *group;
    } rows[] = {
        {"[reaction]\nrequired = no\n[lines]\nrequired = no\n", "climate.data"},
        {"[climate]\nrequired = no\n[lines]\nrequired = no\n", "reaction.data"},
        {"[climate]\nrequired = no\n[reaction]\nrequired = no\n", "lines.data"},
        {QUIET "[material]\nrequired = yes\n", "material.data"},
        {QUIET "[thickness]\nminimum = 8 mil\n", "thickness.data"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = sprayed(rows[i].job, 1);
        mr_assess_finish(&f->a);
        expect_outcome(hand_check(f, rows[i].group, 0, 0), MR_NOT_SHOWN);
        cr_expect_eq(f->out.checks.n, 1);
        cr_expect_eq(hand_count(f, "no-data"), 1);
        hand_free(f);
    }
}

Test(assemble, nothing_is_judged_where_there_is_a_register_and_nothing_else) {
    struct hand *f = hand_new("");
    hand_zone(f, "Z1", 10, 1);
    mr_assess_finish(&f->a);
    cr_expect_not(f->out.judged);
    cr_expect_eq(f->out.outcome, MR_NOT_SHOWN);
    hand_free(f);
    f = sprayed("", 1);
    mr_assess_finish(&f->a);
    cr_expect(f->out.judged);
    hand_free(f);
}

Test(assemble, the_titles_that_decided_are_named_once_each) {
    struct hand *f = sprayed(QUIET, 1);
    for (int coat = 1; coat <= 3; coat++)
        add(f, "climate", 0, coat, MR_DOES_NOT_CONFORM);
    add(f, "lines", 0, 1, MR_DOES_NOT_CONFORM);
    add(f, "reaction", 0, 1, MR_NOT_SHOWN);
    mr_assess_finish(&f->a);
    cr_expect_str_eq(f->out.zones[0].worst, "climate; lines");
    hand_free(f);
}

Test(assemble, the_dump_is_the_same_every_time_and_names_what_it_holds) {
    char *dump[2];
    struct hand *f[2];
    for (int i = 0; i < 2; i++) {
        f[i] = sprayed("", 2);
        const double wet[] = {95};
        hand_track(f[i], "H1", MR_M_RH, 0, 60, 11, hand_flat, wet);
        mr_assess_climate(&f[i]->a);
        mr_assess_lines(&f[i]->a);
        mr_assess_shift_timeline(&f[i]->a);
        mr_assess_finish(&f[i]->a);
        dump[i] = mr_assess_dump(f[i]->arena, &f[i]->out);
    }
    cr_expect_str_eq(dump[0], dump[1]);
    cr_expect_not_null(strstr(dump[0], "zone Z1: does not conform"));
    cr_expect_not_null(strstr(dump[0], "at climate.csv:2-12 relative humidity"));
    cr_expect_not_null(strstr(dump[0], "2026-05-11T08:00:00.000Z"));
    hand_free(f[0]);
    hand_free(f[1]);
}

/* --- order.c --------------------------------------------------------------------------------------------- */

struct pair {
    int key, place;
};

static int by_key(const void *a, const void *b) {
    return MR_ORDER(((const struct pair *)a)->key, ((const struct pair *)b)->key);
}

Test(order, equal_items_keep_their_order_at_any_length) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (size_t n = 0; n < 200; n++) {
        struct pair items[200];
        for (size_t i = 0; i < n; i++)
            items[i] = (struct pair){(int)((i * 7919 + n) % 11), (int)i};
        mr_sort_stable(arena, items, n, sizeof items[0], by_key);
        for (size_t i = 1; i < n; i++)
            cr_assert(items[i - 1].key < items[i].key ||
                          (items[i - 1].key == items[i].key && items[i - 1].place < items[i].place),
                      "n = %zu", n);
    }
    mr_arena_free(arena);
}
