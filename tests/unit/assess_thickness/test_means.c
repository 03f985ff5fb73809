/*
 * Rows that give the mean of several gauge readings. That a spot is the mean of three or more readings: SSPC-PA 2
 * (2012) 3.2. That a mean shows no single reading is arithmetic.
 */
#include "unit/assess_thickness/site.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

#define JOB                                                                                                          \
    "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 300 um\ncorrection = none\nrules = "

/* Five spots of one row each: a mean of n readings (0: not given). */
static void five_means(struct site *s, const char *rule, double um, unsigned n, double sd) {
    static const char *const spot[] = {"1", "2", "3", "4", "5"};
    char job[256];
    snprintf(job, sizeof job, "%s%s\n", JOB, rule);
    site_new(s, job);
    size_t zone = site_zone(s, "Deck 1", 9, 1);
    for (size_t i = 0; i < 5; i++) {
        size_t at = site_reading(s, zone, "A1", spot[i], um + (double)i, MR_UNIT_UM);
        s->data.readings.v[at].n_readings = n;
        s->data.readings.v[at].sd_um = sd;
    }
    site_judge(s);
}

static enum mr_outcome of(const struct site *s, const char *id) {
    const struct mr_check *c = site_find_check(s, id, 0);
    cr_assert(c, "no check %s", id);
    return c->outcome;
}

Test(means, a_mean_of_enough_readings_is_a_whole_spot) {
    static const struct {
        unsigned n;
        double um;
        enum mr_outcome spot, area, enough;
    } rows[] = {
        {3, 250, MR_CONFORMS, MR_CONFORMS, MR_CONFORMS},
        {5, 250, MR_CONFORMS, MR_CONFORMS, MR_CONFORMS},
        {2, 250, MR_NOT_SHOWN, MR_NOT_SHOWN, MR_NOT_SHOWN},
        {1, 250, MR_NOT_SHOWN, MR_NOT_SHOWN, MR_NOT_SHOWN},
        {0, 250, MR_NOT_SHOWN, MR_NOT_SHOWN, MR_NOT_SHOWN},
        {3, 150, MR_DOES_NOT_CONFORM, MR_DOES_NOT_CONFORM, MR_CONFORMS},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site s;
        five_means(&s, "restriction-level-3", rows[i].um, rows[i].n, NAN);
        cr_expect_eq(of(&s, "thickness.spot-minimum"), rows[i].spot, "spot, N %u", rows[i].n);
        cr_expect_eq(of(&s, "thickness.area-minimum"), rows[i].area, "area, N %u", rows[i].n);
        cr_expect_eq(of(&s, "thickness.enough"), rows[i].enough, "number, N %u", rows[i].n);
    }
}

Test(means, a_limit_on_single_readings_is_not_shown_by_means_and_missed_by_a_mean_beyond_it) {
    struct site s;
    five_means(&s, "plain-limits", 250, 3, 4);
    cr_expect_eq(of(&s, "thickness.reading-minimum"), MR_NOT_SHOWN);
    five_means(&s, "plain-limits", 197, 3, 4);
    cr_expect_eq(of(&s, "thickness.reading-minimum"), MR_DOES_NOT_CONFORM);
    five_means(&s, "plain-limits", 250, 1, NAN);
    cr_expect_eq(of(&s, "thickness.reading-minimum"), MR_CONFORMS, "a mean of one reading is that reading");
    five_means(&s, "90-10", 250, 3, 4);
    cr_expect_eq(of(&s, "thickness.share-below-minimum"), MR_NOT_SHOWN);
}

/* Five means 250 to 254 of three readings each with SD 4: sum of squares 5 * 2 * 16 + 3 * (4 + 1 + 0 + 1 + 4) = 190
 * over 14 (the identity of sums of squares, any text on the analysis of variance). */
Test(means, the_spread_of_readings_is_known_only_where_the_rows_give_it) {
    struct site s;
    five_means(&s, "restriction-level-3", 250, 3, 4);
    cr_expect_eq(s.out.films.v[0].n_readings, 15);
    cr_expect_float_eq(s.out.films.v[0].mean_um, 252, 1e-9);
    cr_expect_float_eq(s.out.films.v[0].sd_um, sqrt(190.0 / 14), 1e-9);
    cr_expect(isnan(s.out.films.v[0].min_um) && isnan(s.out.films.v[0].q1_um));
    five_means(&s, "restriction-level-3", 250, 3, NAN);
    cr_expect(isnan(s.out.films.v[0].sd_um));
}

Test(means, two_means_of_a_spot_weigh_by_their_numbers_and_a_full_one_is_measured_again) {
    struct site s;
    site_new(&s, JOB "restriction-level-3\n");
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    size_t one = site_reading(&s, zone, "A1", "1", 210, MR_UNIT_UM);
    size_t two = site_reading(&s, zone, "A1", "1", 270, MR_UNIT_UM);
    s.data.readings.v[one].n_readings = 1;
    s.data.readings.v[two].n_readings = 2;
    site_judge(&s);
    cr_expect_float_eq(s.out.films.v[0].spot_um[0], 250, 1e-9, "(210 + 2 * 270) / 3");

    site_new(&s, JOB "restriction-level-3\n");
    zone = site_zone(&s, "Deck 1", 9, 1);
    for (size_t round = 0; round < 2; round++)
        for (size_t i = 0; i < 5; i++) {
            static const char *const spot[] = {"1", "2", "3", "4", "5"};
            size_t at = site_reading(&s, zone, "A1", spot[i], round ? 270 : 150, MR_UNIT_UM);
            s.data.readings.v[at].n_readings = 3;
        }
    site_judge(&s);
    cr_expect_eq(of(&s, "history.closed"), MR_DOES_NOT_CONFORM, "measured again without a repair");
}

/* SSPC-PA 2 (2012) 3.2: a reading that is unusually low and does not repeat is none, so it completes no spot; level 3
 * leaves single readings free, so it fails none either. */
Test(means, a_reading_far_off_that_does_not_repeat_completes_no_spot) {
    static const struct {
        double last, spare; /* of spot 5; 0 = not taken */
        enum mr_outcome outcome;
    } rows[] = {
        {20, 0, MR_NOT_SHOWN},         /* 250, 250, 20: the mean holds, the reading is no third one */
        {20, 251, MR_CONFORMS},        /* a further reading makes three without it */
        {20, 20, MR_DOES_NOT_CONFORM}, /* it repeats: 250, 250, 20, 20 */
        {240, 0, MR_CONFORMS},         {0, 0, MR_NOT_SHOWN},
    };
    static const char *const spot[] = {"1", "2", "3", "4", "5"};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site s;
        site_new(&s, JOB "restriction-level-3\n");
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        for (int k = 0; k < 14; k++)
            site_reading(&s, zone, "A1", spot[k / 3], 250 + k % 3, MR_UNIT_UM);
        if (rows[i].last > 0)
            site_reading(&s, zone, "A1", "5", rows[i].last, MR_UNIT_UM);
        if (rows[i].spare > 0)
            site_reading(&s, zone, "A1", "5", rows[i].spare, MR_UNIT_UM);
        site_judge(&s);
        enum mr_outcome w = mr_outcome_worst(of(&s, "thickness.spot-minimum"), of(&s, "thickness.area-minimum"));
        cr_expect_eq(site_find_finding(&s, "reading-not-repeated") != NULL,
                     rows[i].last < 30 && rows[i].last > 0 && fabs(rows[i].spare - rows[i].last) > 1);
        cr_expect_eq(w, rows[i].outcome, "%g and %g: %s", rows[i].last, rows[i].spare, mr_outcome_text(w));
    }
}
