/*
 * test_after_survey.c - coats and repairs during and after the survey that counts. Film is measured when its coat is
 * on: common practice, no source.
 */
#include "assess/thickness/thickness.h"
#include "unit/assess_thickness/site.h"

#include <criterion/criterion.h>
#include <string.h>

#define LIMITS "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 300 um\n"
#define HOUR_MS 3600000LL

static enum mr_outcome worst(const struct site *s) {
    enum mr_outcome w = MR_NOT_REQUIRED;
    for (size_t i = 0; i < s->out.checks.n; i++)
        if (strcmp(s->out.checks.v[i].group, "gauge") != 0)
            w = mr_outcome_worst(w, s->out.checks.v[i].outcome);
    return w;
}

static void repair(struct site *s, size_t zone) {
    struct mr_spray *log = MR_NEW(s->arena, struct mr_spray);
    log->action = MR_ACTION_REPAIR;
    struct mr_action_at a = {
        .log = log, .t0_utc_ms = s->t, .t1_utc_ms = s->t, .zone = zone, .place = {.file = "spray.csv", .line = 9}};
    MR_PUSH(s->arena, &s->al.actions, a);
    s->t += 1000;
}

static void coat(struct site *s, size_t zone, int number) {
    struct mr_window w = {.zone = zone,
                          .coat = number,
                          .t0_utc_ms = s->t,
                          .t1_utc_ms = s->t + 60000,
                          .place = {.file = "spray.csv", .line = 5}};
    MR_PUSH(s->arena, &s->al.windows, w);
    s->t += 120000;
}

Test(after_survey, a_coat_after_the_survey_makes_it_not_shown) {
    struct site s;
    site_new(&s, LIMITS);
    size_t zone = site_zone(&s, "Deck 1", 9, 1);
    coat(&s, zone, 1);
    site_spots(&s, zone, 5, 250, MR_UNIT_UM);
    coat(&s, zone, 2);
    site_judge(&s);
    const struct mr_check *last = site_find_check(&s, "thickness.last-coat", 0);
    cr_expect(last && last->outcome == MR_NOT_SHOWN);
    cr_expect_not_null(site_find_finding(&s, "coat-after-survey"));
    mr_arena_free(s.arena);
}

/* Film that is measured while its coat is still being sprayed is not the film that stays. */
Test(after_survey, a_survey_within_a_spray_window_is_not_shown_and_one_at_its_end_is) {
    for (int within = 0; within < 2; within++) {
        struct site s;
        site_new(&s, LIMITS);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        coat(&s, zone, 1);
        s.t -= within ? 90000 : 60000; /* half a minute after the window began; as it ends */
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(worst(&s), within ? MR_NOT_SHOWN : MR_CONFORMS);
        cr_expect_eq(site_find_finding(&s, "coat-after-survey") != NULL, within);
        mr_arena_free(s.arena);
    }
}

Test(after_survey, a_repair_soon_after_the_survey_leaves_it_open) {
    for (int after = 0; after < 2; after++) {
        struct site s;
        site_new(&s, LIMITS);
        size_t zone = site_zone(&s, "Deck 1", 9, 1);
        if (!after)
            repair(&s, zone);
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        s.t += HOUR_MS;
        if (after)
            repair(&s, zone);
        site_judge(&s);
        cr_expect_eq(site_find_finding(&s, "repair-after-survey") != NULL, after);
        cr_expect_eq(worst(&s), after ? MR_NOT_SHOWN : MR_CONFORMS);
        mr_arena_free(s.arena);
    }
}

/* A thin survey, and a good one an hour later: the repair between them must be seen to lie there. */
Test(after_survey, a_repair_that_may_lie_beside_the_surveys_closes_nothing_for_sure) {
    static const struct {
        int t0_min, t1_min; /* from the end of the thin survey */
        enum mr_outcome outcome;
    } cases[] = {{10, 20, MR_CONFORMS},          {10, 10, MR_CONFORMS},
                 {10, 90, MR_NOT_SHOWN},    /* goes on while the new survey is taken */
                 {-20, 20, MR_NOT_SHOWN},   /* began before the thin one had ended */
                 {-600, 840, MR_NOT_SHOWN}, /* a day without a time */
                 {-60, -30, MR_DOES_NOT_CONFORM}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct site s;
        site_new(&s, LIMITS);
        const size_t zone = site_zone(&s, "Deck 1", 9, 1);
        s.t += HOUR_MS;
        site_spots(&s, zone, 5, 150, MR_UNIT_UM);
        const int64_t end = s.t;
        repair(&s, zone);
        struct mr_action_at *r = &s.al.actions.v[s.al.actions.n - 1];
        r->t0_utc_ms = end + INT64_C(60000) * cases[i].t0_min;
        r->t1_utc_ms = end + INT64_C(60000) * cases[i].t1_min;
        s.t = end + HOUR_MS;
        site_spots(&s, zone, 5, 250, MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(worst(&s), cases[i].outcome, "%zu: %s", i, mr_outcome_text(worst(&s)));
        mr_arena_free(s.arena);
    }
}

/* Common practice, no source: three readings make a spot. */
Test(after_survey, a_spot_with_a_set_that_misses_the_limit_is_not_averaged_away) {
    for (int twice = 0; twice < 2; twice++) {
        struct site s;
        site_new(&s, LIMITS);
        const size_t zone = site_zone(&s, "Deck 1", 9, 1);
        for (int spot = 1; spot <= 5; spot++)
            for (int k = 0; k < (twice && spot == 2 ? 8 : 3); k++)
                site_reading(&s, zone, "1", mr_printf(s.arena, "%d", spot), twice && spot == 2 && k < 3 ? 150 : 250,
                             MR_UNIT_UM);
        site_judge(&s);
        cr_expect_eq(worst(&s), twice ? MR_NOT_SHOWN : MR_CONFORMS);
        cr_expect_eq(site_find_finding(&s, "spot-measured-twice") != NULL, twice);
        mr_arena_free(s.arena);
    }
}

/* A visit of a spot: so many readings of one value, so many seconds after the visit before. */
struct visit {
    int n;
    double um;
    int later_s;
};

/* Area 1 with five spots, the second of them visited so. Common practice, no source: three readings make a spot, and
 * a spot measured a second time without a repair keeps its first measurement. */
Test(after_survey, a_spot_measured_again_keeps_what_it_showed_first) {
    static const struct {
        struct visit first, second;
        bool twice;
    } cases[] = {
        {{2, 120, 0}, {3, 250, 600}, true},  /* two thin ones, and three to make up for them */
        {{2, 120, 0}, {3, 250, 5}, true},    /* at once */
        {{3, 250, 0}, {2, 120, 600}, true},  /* what is full begins a new survey, which is in doubt itself */
        {{2, 120, 0}, {2, 250, 600}, true},  /* neither is whole */
        {{1, 120, 0}, {3, 250, 600}, true},  /* one by itself, and then a whole measurement */
        {{2, 390, 0}, {3, 250, 600}, true},  /* too much of it is hidden as well */
        {{2, 250, 0}, {3, 255, 600}, false}, /* measured again, and nothing hidden */
        {{1, 120, 0}, {3, 250, 5}, false},   /* one of four in a row that does not repeat */
        {{4, 250, 0}, {0, 0, 0}, false},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct site s;
        site_new(&s, LIMITS);
        const size_t zone = site_zone(&s, "Deck 1", 9, 1);
        for (int spot = 1; spot <= 5; spot++)
            for (int v = 0; v < 2; v++) {
                const struct visit whole = {v ? 0 : 3, 250, 0}, *here = v ? &cases[i].second : &cases[i].first;
                const struct visit *now = spot == 2 ? here : &whole;
                s.t += 1000 * (now->later_s > 5 ? now->later_s : 0);
                for (int k = 0; k < now->n; k++)
                    site_reading(&s, zone, "1", mr_printf(s.arena, "%d", spot), now->um + k, MR_UNIT_UM);
            }
        site_judge(&s);
        cr_expect_eq(site_find_finding(&s, "spot-measured-twice") != NULL, cases[i].twice && i != 2, "case %zu", i);
        cr_expect_eq(worst(&s) > MR_CONFORMS, cases[i].twice, "case %zu: %s", i, mr_outcome_text(worst(&s)));
        mr_arena_free(s.arena);
    }
}

/* Each spot of the area holds its limit both times; the mean of the first times does not (165 of 200 um asked). A
 * round over all spots for each reading is no second measurement. */
Test(after_survey, an_area_measured_again_keeps_its_first_mean) {
    for (int rounds = 0; rounds < 2; rounds++) {
        struct site s;
        site_new(&s, LIMITS);
        const size_t zone = site_zone(&s, "Deck 1", 9, 1);
        for (int round = 0; round < (rounds ? 4 : 2); round++) {
            s.t += 400000;
            for (int spot = 1; spot <= 5; spot++)
                for (int k = 0; k < (rounds ? 1 : 2 + round); k++)
                    site_reading(&s, zone, "1", mr_printf(s.arena, "%d", spot),
                                 round    ? 250
                                 : rounds ? 150
                                          : 175,
                                 MR_UNIT_UM);
        }
        site_judge(&s);
        cr_expect_eq(worst(&s), rounds ? MR_CONFORMS : MR_NOT_SHOWN, "%d: %s", rounds, mr_outcome_text(worst(&s)));
        mr_arena_free(s.arena);
    }
}

/* What was measured and taken off afterwards is no longer there; what was taken off before it was measured was made
 * good. A row without a clock that stands above the zone's last coat was done before it. */
Test(after_survey, film_taken_off_after_the_survey_is_not_shown) {
    static const struct {
        int at_min; /* from the beginning of the survey; area 2 is measured 10 min after it */
        const char *areas;
        bool shown, above_the_coat, no_time;
    } cases[] = {{60, "", false, false, false}, {-60, "", true, false, false}, {5, "", false, false, false},
                 {5, "2", true, false, false},  {5, "1", false, false, false}, {60, "7", true, false, false},
                 {60, "", true, true, true},    {60, "", false, false, true}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct site s;
        site_new(&s, LIMITS);
        const size_t zone = site_zone(&s, "Deck 1", 19, 1);
        s.t += HOUR_MS;
        struct mr_spray coated = {.line = 10, .action = MR_ACTION_SPRAY, .zone = "Deck 1"};
        MR_PUSH(s.arena, &s.data.sprays, coated);
        const int64_t start = s.t;
        for (int k = 0; k < 30; k++) {
            s.t = start + k * 5000 + (k < 15 ? 0 : 600000);
            site_reading(&s, zone, k < 15 ? "1" : "2", mr_printf(s.arena, "%d", k / 3 % 5 + 1), 250, MR_UNIT_UM);
        }
        s.t = start + cases[i].at_min * INT64_C(60000);
        repair(&s, zone);
        struct mr_action_at *at = &s.al.actions.v[0];
        struct mr_spray *row = MR_NEW(s.arena, struct mr_spray);
        *row = (struct mr_spray){.line = cases[i].above_the_coat ? 9 : 11,
                                 .action = MR_ACTION_OTHER,
                                 .action_text = "ground off",
                                 .zone = "Deck 1",
                                 .note = "",
                                 .areas = cases[i].areas,
                                 .start_ms = s.t,
                                 .removes = true};
        at->log = row;
        if (cases[i].no_time)
            at->t0_utc_ms = at->t1_utc_ms = MR_T_NONE;
        site_judge(&s);
        cr_expect_eq(site_find_finding(&s, "film-taken-off") == NULL, cases[i].shown, "case %zu", i);
        cr_expect_eq(worst(&s), cases[i].shown ? MR_CONFORMS : MR_NOT_SHOWN, "case %zu", i);
        mr_arena_free(s.arena);
    }
}

/* A place named after a repair of which no log speaks: what was sprayed there nobody wrote down. */
Test(after_survey, a_place_named_after_a_repair_needs_one_in_the_log) {
    static const struct {
        const char *area, *spot;
        bool logged, shown;
    } cases[] = {{"2", "", false, true},           {"repair 2", "", false, false}, {"Repair-2", "", true, true},
                 {"2 recoated", "", false, false}, {"rep 2", "", false, true},     {"2", "patch", false, false},
                 {"Reparatur 2", "", false, false}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct site s;
        site_new(&s, LIMITS);
        const size_t zone = site_zone(&s, "Deck 1", 19, 1);
        if (cases[i].logged)
            repair(&s, zone);
        s.t += HOUR_MS;
        for (int k = 0; k < 30; k++) {
            s.t += 5000;
            site_reading(&s, zone, k < 15 ? "1" : cases[i].area,
                         mr_printf(s.arena, "%s%d", k < 15 ? "" : cases[i].spot, k / 3 % 5 + 1), 250, MR_UNIT_UM);
        }
        site_judge(&s);
        cr_expect_eq(site_find_finding(&s, "repair-unlogged") == NULL, cases[i].shown, "%s", cases[i].area);
        cr_expect_eq(worst(&s), cases[i].shown ? MR_CONFORMS : MR_NOT_SHOWN, "%s", cases[i].area);
        mr_arena_free(s.arena);
    }
}

/* What a person writes of the areas that a repair was of. */
Test(after_survey, areas_are_read_from_the_words_of_a_row) {
    static const struct {
        const char *text, *ids; /* folded, in order */
    } cases[] = {{"repair", ""},
                 {"repair area 2", "2"},
                 {"Areas 1, 3 and 5 repaired", "1 3 5"},
                 {"areas 2-4", "2 3 4"},
                 {"area 2 to 4", "2 3 4"},
                 {"areas A1 & A-3", "a1 a3"},
                 {"Bereich 2 und 7 nachgearbeitet", "2 7"},
                 {"area no. 6", "6"},
                 {"area 2: 3 coats", "2"},
                 {"area 2 5 spots", "2"},
                 {"area B", "b"},
                 {"area of the north web", ""},
                 {"thin areas", ""},
                 {"area 1, low; area 4 too", "1 4"},
                 {"repaired k2 and k3", "k2 k3"}, /* like the areas of this zone */
                 {"repair of K-7 by sprayer S1", "k7"},
                 {"repair A8 and A-9", "8 9"},
                 {"repair area 21", "a21"},
                 {"repair with gun B12", ""}};
    const char *ids[] = {"k1", "k2", "8", "9", "a21"};
    const mr_area_ids known = {.v = ids, .n = MR_COUNT(ids)};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        struct mr_repair named = {0};
        const char *got = "";
        cr_expect_eq(mr_named_areas(arena, cases[i].text, &known, &named), *cases[i].ids != '\0', "%s",
                     cases[i].text);
        for (size_t k = 0; k < named.area_ids.n; k++)
            got = mr_printf(arena, "%s%s%s", got, k ? " " : "", named.area_ids.v[k]);
        cr_expect_str_eq(got, cases[i].ids, "%s: %s", cases[i].text, got);
        mr_arena_free(arena);
    }
}
