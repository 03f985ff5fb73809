/* test_material.c - ratio, loss, consumption, lots and shelf dates. */
#include "hand.h"

#include "assess/material/material.h"

static const char job_on[] = "[material]\nrequired = yes\n";

Test(material, the_ratio_is_judged_by_volume_against_its_tolerance) {
    static const struct {
        double used_a;
        enum mr_outcome want;
    } rows[] = {{10.0, MR_CONFORMS},
                {10.5, MR_CONFORMS},
                {10.51, MR_DOES_NOT_CONFORM},
                {9.5, MR_CONFORMS},
                {9.4, MR_DOES_NOT_CONFORM}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = hand_two_zones(job_on);
        hand_material(f, 3000, 'A', "A-1", 50, 50 - rows[i].used_a, MR_UNIT_L);
        hand_material(f, 3000, 'B', "B-1", 50, 40, MR_UNIT_L);
        mr_assess_material(&f->a);
        for (size_t z = 0; z < 2; z++)
            expect_outcome(hand_check(f, "material.ratio", z, 0), rows[i].want);
        cr_expect_float_eq(hand_check(f, "material.ratio", 0, 0)->measured, rows[i].used_a / 10, 1e-9);
        cr_expect_eq(hand_count(f, "off-ratio"), rows[i].want == MR_DOES_NOT_CONFORM, "once per shift");
        cr_expect_eq(hand_check(f, "material.ratio", 0, 0)->evidence.v[0].place.line, 2);
        hand_free(f);
    }
}

/* A log of other days, in ratio or not, says nothing of what was sprayed. */
Test(material, a_log_of_other_days_shows_nothing) {
    for (int later = 0; later < 2; later++) {
        struct hand *f = hand_two_zones(job_on);
        const int t_s = later ? 9 * 86400 : 3000;
        hand_material(f, t_s, 'A', "A-1", 50, 40, MR_UNIT_L);
        hand_material(f, t_s, 'B', "B-1", 50, 40, MR_UNIT_L);
        mr_assess_material(&f->a);
        expect_outcome(hand_check(f, "material.ratio", 0, 0), later ? MR_NOT_SHOWN : MR_CONFORMS);
        cr_expect_eq(hand_count(f, "material-of-other-days"), (size_t)later);
        hand_free(f);
    }
}

Test(material, errors_of_two_shifts_do_not_cancel) {
    struct hand *f = hand_two_zones(job_on);
    hand_shift(f, "2026-05-12", 86400, 90000);
    hand_window(f, 1, 1, 86400, 87000);
    hand_material(f, 3000, 'A', "A-1", 50, 38, MR_UNIT_L);
    hand_material(f, 3000, 'B', "B-1", 50, 40, MR_UNIT_L);
    hand_material(f, 90000, 'A', "A-1", 50, 42, MR_UNIT_L);
    hand_material(f, 90000, 'B', "B-1", 50, 40, MR_UNIT_L);
    mr_assess_material(&f->a);
    cr_expect_eq(hand_count(f, "off-ratio"), 2);
    cr_expect_float_eq(hand_check(f, "material.ratio", 0, 0)->measured, 1.2, 1e-9,
                       "zone 1 was sprayed in the first shift only");
    hand_free(f);
}

Test(material, of_two_shifts_off_ratio_the_farther_one_decides) {
    for (int swapped = 0; swapped < 2; swapped++) {
        struct hand *f = hand_two_zones(job_on);
        hand_shift(f, "2026-05-12", 86400, 90000);
        hand_window(f, 1, 1, 86400, 87000);
        hand_material(f, swapped ? 90000 : 3000, 'A', "A-1", 50, 38, MR_UNIT_L); /* 1.2 to 1 */
        hand_material(f, swapped ? 90000 : 3000, 'B', "B-1", 50, 40, MR_UNIT_L);
        hand_material(f, swapped ? 3000 : 90000, 'A', "A-1", 50, 43, MR_UNIT_L); /* 0.7 to 1 */
        hand_material(f, swapped ? 3000 : 90000, 'B', "B-1", 50, 40, MR_UNIT_L);
        mr_assess_material(&f->a);
        cr_expect_float_eq(hand_check(f, "material.ratio", 1, 0)->measured, 0.7, 1e-9);
        hand_free(f);
    }
}

Test(material, a_log_that_weighs_needs_densities) {
    struct hand *f = hand_two_zones(job_on);
    hand_material(f, 3000, 'A', "A-1", 50, 32, MR_UNIT_KG);
    hand_material(f, 3000, 'B', "B-1", 50, 40, MR_UNIT_KG);
    mr_assess_material(&f->a);
    expect_outcome(hand_check(f, "material.ratio", 0, 0), MR_NOT_SHOWN);
    cr_expect_eq(hand_count(f, "ratio-not-shown"), 1);
    hand_free(f);
    f = hand_two_zones("[material]\nrequired = yes\ndensity A = 1.8\ndensity B = 1\n");
    hand_material(f, 3000, 'A', "A-1", 50, 32, MR_UNIT_KG);
    hand_material(f, 3000, 'B', "B-1", 50, 40, MR_UNIT_KG);
    mr_assess_material(&f->a);
    expect_outcome(hand_check(f, "material.ratio", 0, 0), MR_CONFORMS);
    cr_expect_float_eq(hand_check(f, "material.ratio", 0, 0)->measured, 1.0, 1e-9);
    hand_free(f);
}

Test(material, without_a_log_nothing_is_shown_and_one_finding_says_so) {
    struct hand *f = hand_two_zones(job_on);
    mr_assess_material(&f->a);
    expect_outcome(hand_check(f, "material.ratio", 0, 0), MR_NOT_SHOWN);
    cr_expect_eq(hand_count(f, "no-material-log"), 1);
    hand_free(f);
    f = hand_two_zones("");
    mr_assess_material(&f->a);
    cr_expect_eq(f->out.checks.n, 0);
    cr_expect_eq(f->out.findings.n, 0);
    hand_free(f);
}

Test(material, what_is_not_on_the_steel_is_held_against_its_limit) {
    /* 10 m2 of 200 um and 20 m2 of 250 um are 2 and 5 L of film; 10 L were mixed: 30 % is not on the steel. */
    static const struct {
        const char *job;
        enum mr_outcome want;
    } rows[] = {{"[material]\nrequired = yes\nloss maximum = 30 %\n", MR_CONFORMS},
                {"[material]\nrequired = yes\nloss maximum = 29 %\n", MR_DOES_NOT_CONFORM}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = hand_two_zones(rows[i].job);
        hand_film(f, 0, 200);
        hand_film(f, 1, 250);
        hand_material(f, 3000, 'A', "A-1", 50, 45, MR_UNIT_L);
        hand_material(f, 3000, 'B', "B-1", 50, 45, MR_UNIT_L);
        mr_assess_material(&f->a);
        const struct mr_check *c = hand_check(f, "material.loss", MR_NONE, 0);
        expect_outcome(c, rows[i].want);
        cr_expect_float_eq(c->measured, 30, 1e-9);
        const struct mr_table *t = hand_table(f, "material-zones");
        /* Zone 1 had 600 of 1800 s: a third of 10 L, of which 2 L are on the steel. */
        cr_expect_float_eq(hand_cell(t, 0, "consumed")->number, 10.0 / 3, 1e-9);
        cr_expect_float_eq(hand_cell(t, 0, "on_steel")->number, 60, 1e-9);
        cr_expect_float_eq(hand_cell(t, 1, "mean_film")->number, 250, 1e-9);
        hand_free(f);
    }
}

Test(material, more_film_than_material_is_a_contradiction_and_not_a_good_yield) {
    struct hand *f = hand_two_zones("[material]\nrequired = yes\nloss maximum = 30 %\n");
    hand_film(f, 0, 400);
    hand_film(f, 1, 400);
    hand_material(f, 3000, 'A', "A-1", 50, 45, MR_UNIT_L);
    hand_material(f, 3000, 'B', "B-1", 50, 45, MR_UNIT_L);
    mr_assess_material(&f->a);
    expect_outcome(hand_check(f, "material.loss", MR_NONE, 0), MR_NOT_SHOWN);
    cr_expect_eq(hand_count(f, "film-exceeds-material"), 1);
    hand_free(f);
}

Test(material, a_zone_without_thickness_leaves_the_loss_unshown) {
    struct hand *f = hand_two_zones("[material]\nrequired = yes\nloss maximum = 30 %\n");
    hand_film(f, 0, 200);
    hand_material(f, 3000, 'A', "A-1", 50, 45, MR_UNIT_L);
    hand_material(f, 3000, 'B', "B-1", 50, 45, MR_UNIT_L);
    mr_assess_material(&f->a);
    expect_outcome(hand_check(f, "material.loss", MR_NONE, 0), MR_NOT_SHOWN);
    cr_expect_not_null(strstr(hand_check(f, "material.loss", MR_NONE, 0)->detail, "Deck 2"));
    hand_free(f);
}

Test(material, a_level_that_rises_is_left_out_and_found) {
    struct hand *f = hand_two_zones(job_on);
    hand_material(f, 3000, 'A', "A-1", 40, 50, MR_UNIT_L);
    hand_material(f, 3100, 'A', "A-1", 50, 40, MR_UNIT_L);
    hand_material(f, 3000, 'B', "B-1", 50, 40, MR_UNIT_L);
    mr_assess_material(&f->a);
    cr_expect_eq(hand_count(f, "level-rises"), 1);
    expect_outcome(hand_check(f, "material.ratio", 0, 0), MR_CONFORMS);
    hand_free(f);
}

Test(lots, a_lot_past_its_shelf_date_is_traced_to_its_coats) {
    const int64_t day = 86400000, today = HAND_T0 / day * day;
    static const struct {
        int64_t days;
        enum mr_outcome want;
    } rows[] = {{-3, MR_DOES_NOT_CONFORM}, {-1, MR_DOES_NOT_CONFORM}, {0, MR_CONFORMS}, {10, MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = hand_two_zones(job_on);
        hand_lots(f, 1, "A-2", "B-1", today + rows[i].days * day);
        mr_assess_lots(&f->a);
        expect_outcome(hand_check(f, "material.lots", 0, 1), MR_CONFORMS);
        expect_outcome(hand_check(f, "material.lots", 1, 1), rows[i].want);
        cr_expect_eq(hand_count(f, "past-shelf-date"), rows[i].want == MR_DOES_NOT_CONFORM);
        const struct mr_table *t = hand_table(f, "lots");
        cr_expect_eq(t->n_rows, 3);
        cr_expect_str_eq(hand_cell(t, 1, "where")->text, "Deck 1 (1), Deck 2 (1)", "part B, lot B-1: %s",
                         hand_cell(t, 1, "where")->text);
        hand_free(f);
    }
}

Test(lots, a_lot_that_no_log_names_is_not_shown) {
    struct hand *f = hand_two_zones(job_on);
    hand_lots(f, 1, "A-1", "", MR_T_NONE);
    mr_assess_lots(&f->a);
    expect_outcome(hand_check(f, "material.lots", 1, 1), MR_NOT_SHOWN);
    cr_expect_eq(hand_count(f, "lot-not-known"), 1);
    hand_free(f);
}

/* Nobody sprays what has not arrived; a lot comes in more than one delivery. */
Test(lots, a_lot_that_arrived_after_the_coat_is_not_shown) {
    const int64_t day = 86400000, today = HAND_T0 / day * day;
    static const struct {
        int first, second; /* days after the coat's of its two deliveries */
        enum mr_outcome want;
    } rows[] = {{-30, -30, MR_CONFORMS}, {0, 0, MR_CONFORMS}, {1, 1, MR_NOT_SHOWN}, {-30, 1, MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = hand_two_zones(job_on);
        for (int k = 0; k < 2; k++) {
            hand_material(f, 100, 'A', "A-1", 50, 40, MR_UNIT_L);
            f->data.materials.v[k].from_ms = today + (k ? rows[i].second : rows[i].first) * day;
        }
        mr_assess_lots(&f->a);
        expect_outcome(hand_check(f, "material.lots", 0, 1), rows[i].want);
        cr_expect_eq(hand_count(f, "lot-in-doubt") > 0, rows[i].want == MR_NOT_SHOWN, "row %zu", i);
        hand_free(f);
    }
}

/* Lots that the material log contradicts, or whose shelf date nobody can read, prove nothing. */
Test(lots, a_lot_in_doubt_is_not_shown) {
    static const struct {
        const char *drum; /* lot A of the material log */
        bool unread;
        enum mr_outcome want;
    } rows[] = {{"A-1", false, MR_CONFORMS},
                {"a 1", false, MR_CONFORMS},
                {"A-7", false, MR_NOT_SHOWN},
                {"A-1", true, MR_NOT_SHOWN},
                {"", false, MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = hand_two_zones(job_on);
        hand_material(f, 100, 'A', rows[i].drum, 50, 40, MR_UNIT_L);
        f->data.materials.v[f->data.materials.n - 1].shelf_unread = rows[i].unread;
        mr_assess_lots(&f->a);
        expect_outcome(hand_check(f, "material.lots", 0, 1), rows[i].want);
        cr_expect_eq(hand_count(f, "lot-in-doubt") > 0, rows[i].want == MR_NOT_SHOWN, "row %zu", i);
        hand_free(f);
    }
}

Test(lots, the_material_log_names_the_lot_where_it_knows_just_one) {
    struct hand *f = hand_two_zones(job_on);
    hand_lots(f, 1, "A-1", "", MR_T_NONE);
    hand_material(f, 3000, 'B', "B-7", 50, 40, MR_UNIT_L);
    mr_assess_lots(&f->a);
    expect_outcome(hand_check(f, "material.lots", 1, 1), MR_CONFORMS);
    hand_material(f, 3100, 'B', "B-8", 50, 40, MR_UNIT_L);
    f->out.checks.n = 0;
    mr_assess_lots(&f->a);
    expect_outcome(hand_check(f, "material.lots", 1, 1), MR_NOT_SHOWN);
    hand_free(f);
}
