/* test_levels.c - what the time of levels and their order prove. Times and tolerances: common practice, no source. */
#include "hand.h"

#include "assess/material/material.h"

static const char job_on[] = "[material]\nrequired = yes\n";

/* Of a row's time and the shift of the 11th, 08:00:00 to 08:31:40 UTC. */
static void use_ten(struct hand *f, double t_s, bool day_only) {
    hand_material(f, t_s, 'A', "A-1", 50, 40, MR_UNIT_L);
    hand_material(f, t_s, 'B', "B-1", 50, 40, MR_UNIT_L);
    for (size_t i = f->data.materials.n - 2; i < f->data.materials.n; i++)
        f->data.materials.v[i].day_only = day_only;
}

/* Levels that were read before anything was sprayed are of another use of the drums; a date counts as its day. */
Test(levels, levels_show_what_was_sprayed_before_they_were_read) {
    static const struct {
        double t_s;
        bool day_only;
        enum mr_outcome want_1, want_2; /* of the zone sprayed until 600 s, and until 1900 s */
    } rows[] = {
        {3000, false, MR_CONFORMS, MR_CONFORMS},
        {1900, false, MR_CONFORMS, MR_CONFORMS},
        {1860, false, MR_CONFORMS, MR_CONFORMS},            /* times are written to the minute */
        {1200, false, MR_CONFORMS, MR_NOT_SHOWN},           /* while the second zone was sprayed */
        {0, false, MR_NOT_SHOWN, MR_NOT_SHOWN},             /* at the first pull */
        {-1800, false, MR_NOT_SHOWN, MR_NOT_SHOWN},         /* before it, on the day */
        {-81000, false, MR_NOT_SHOWN, MR_NOT_SHOWN},        /* the day before */
        {80000, false, MR_CONFORMS, MR_CONFORMS},           /* the next morning, before any other shift */
        {-28800, true, MR_CONFORMS, MR_CONFORMS},           /* the day itself */
        {-28800 - 86400, true, MR_NOT_SHOWN, MR_NOT_SHOWN}, /* the day before, by its date */
        {-28800 + 86400, true, MR_NOT_SHOWN, MR_NOT_SHOWN}, /* the day after, by its date */
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = hand_two_zones(job_on);
        use_ten(f, rows[i].t_s, rows[i].day_only);
        mr_assess_material(&f->a);
        expect_outcome(hand_check(f, "material.ratio", 0, 0), rows[i].want_1);
        expect_outcome(hand_check(f, "material.ratio", 1, 0), rows[i].want_2);
        cr_expect_eq(hand_count(f, "ratio-not-shown"), rows[i].want_2 == MR_NOT_SHOWN, "row %zu", i);
        hand_free(f);
    }
}

/* What such levels show beyond the tolerance is not forgiven. */
Test(levels, levels_of_a_doubtful_time_off_ratio_do_not_conform) {
    struct hand *f = hand_two_zones(job_on);
    hand_material(f, -1800, 'A', "A-1", 50, 38, MR_UNIT_L);
    hand_material(f, -1800, 'B', "B-1", 50, 40, MR_UNIT_L);
    mr_assess_material(&f->a);
    expect_outcome(hand_check(f, "material.ratio", 0, 0), MR_DOES_NOT_CONFORM);
    hand_free(f);
}

/* In the morning of a second shift: of the first shift or of the second? Neither is shown. */
Test(levels, levels_read_in_the_morning_of_a_shift_show_neither_it_nor_the_former) {
    for (int after = 0; after < 2; after++) {
        struct hand *f = hand_two_zones(job_on);
        hand_shift(f, "2026-05-12", 86400, 88000);
        hand_window(f, 1, 1, 86400, 87000);
        use_ten(f, after ? 3000 : 84000, false);
        if (after)
            for (int part = 0; part < 2; part++)
                hand_material(f, 90000, part ? 'B' : 'A', part ? "B-1" : "A-1", 40, 30, MR_UNIT_L);
        mr_assess_material(&f->a);
        for (size_t z = 0; z < 2; z++)
            expect_outcome(hand_check(f, "material.ratio", z, 0), after ? MR_CONFORMS : MR_NOT_SHOWN);
        hand_free(f);
    }
}

/* Two shifts of one drum for each part; 10 L of each are used in each. */
static struct hand *two_shifts(double a_before, double b_before, const char *lot_b, const char *note) {
    struct hand *f = hand_two_zones(job_on);
    hand_shift(f, "2026-05-12", 86400, 90000);
    hand_window(f, 1, 1, 86400, 87000);
    hand_material(f, 3000, 'A', "A-1", 200, 190, MR_UNIT_L);
    hand_material(f, 3000, 'B', "B-1", 200, 190, MR_UNIT_L);
    hand_material(f, 91000, 'A', "A-1", a_before, a_before - 10, MR_UNIT_L);
    hand_material(f, 91000, 'B', lot_b, b_before, b_before - 10, MR_UNIT_L);
    f->data.materials.v[3].note = note;
    return f;
}

/* A drum goes on where it stood, or what it lost may have been sprayed without the other part. */
Test(levels, successive_levels_of_a_drum_join) {
    static const struct {
        double a_before, b_before;
        const char *lot_b, *note;
        enum mr_outcome want;
    } rows[] = {
        {190, 190, "B-1", "", MR_CONFORMS},
        {190, 189.7, "B-1", "", MR_CONFORMS},        /* 3 % of what was used: within the tolerance */
        {190, 178, "B-1", "", MR_NOT_SHOWN},         /* 12 L are gone */
        {190, 196, "B-1", "", MR_NOT_SHOWN},         /* 6 L are there again */
        {178, 178, "B-1", "", MR_CONFORMS},          /* both lost the same: the ratio holds, however it went */
        {190, 196, "B-1", "Topped up", MR_CONFORMS}, /* said */
        {190, 196, "B-1", "not refilled", MR_NOT_SHOWN},
        {190, 178, "B-1", "12 l spilled", MR_CONFORMS}, /* said */
        {190, 150, "B-2", "", MR_CONFORMS},             /* a drum of another lot */
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = two_shifts(rows[i].a_before, rows[i].b_before, rows[i].lot_b, rows[i].note);
        mr_assess_material(&f->a);
        for (size_t z = 0; z < 2; z++)
            expect_outcome(hand_check(f, "material.ratio", z, 0), rows[i].want);
        cr_expect_eq(hand_count(f, "levels-do-not-join"), rows[i].want == MR_NOT_SHOWN, "row %zu", i);
        hand_free(f);
    }
}

/* A name may be a place beside the pump: a full drum stands where an empty one stood. Other drums, and rows without a
 * drum's name of which several stand at one moment, join nothing. */
Test(levels, another_drum_begins_where_it_likes) {
    static const struct {
        const char *drum;
        double first_after, next_before;
        enum mr_outcome want;
    } rows[] = {{"drum", 20, 200, MR_CONFORMS},
                {"drum", 20, 150, MR_NOT_SHOWN}, /* neither full nor where it stood */
                {"drum 2", 20, 150, MR_CONFORMS},
                {"", 20, 150, MR_CONFORMS},
                {"", 150, 120, MR_NOT_SHOWN}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = two_shifts(190, rows[i].next_before, "B-1", "");
        struct mr_material *m = f->data.materials.v;
        m[1].after = rows[i].first_after;
        m[1].before = 200;
        m[0].after = rows[i].first_after;
        m[2].before = rows[i].first_after;
        m[2].after = m[2].before - 10;
        m[3].drum = rows[i].drum;
        m[1].drum = *rows[i].drum ? "drum" : "";
        mr_assess_material(&f->a);
        expect_outcome(hand_check(f, "material.ratio", 0, 0), rows[i].want);
        hand_free(f);
    }
}

/* A row whose level rises is left out as a refill only where it is one. */
Test(levels, a_rise_that_nothing_explains_leaves_its_shift_open) {
    struct hand *f = hand_two_zones(job_on);
    hand_material(f, 3000, 'A', "A-1", 50, 40, MR_UNIT_L);
    hand_material(f, 3000, 'B', "B-1", 50, 40, MR_UNIT_L);
    hand_material(f, 3000, 'A', "A-2", 40, 50, MR_UNIT_L);
    f->data.materials.v[2].drum = "another"; /* its levels exchanged? */
    mr_assess_material(&f->a);
    expect_outcome(hand_check(f, "material.ratio", 0, 0), MR_NOT_SHOWN);
    hand_free(f);
}
