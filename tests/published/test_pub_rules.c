/*
 * Acceptance rules against the numbers that were published with them. Each row names document and place.
 */
#include "support/film_judge.h"

#include <criterion/criterion.h>
#include <math.h>

static struct mr_arena *arena;

static void setup(void) {
    arena = mr_arena_new(NULL, NULL);
}

static void teardown(void) {
    mr_arena_free(arena);
}

TestSuite(published_rules, .init = setup, .fini = teardown);

Test(published_rules, numbers_to_measure) {
    static const struct {
        const char *rule;
        double area;
        bool us; /* area in ft2 */
        size_t areas, spots, readings;
        const char *source;
    } rows[] = {
        {"restriction-level-3", 500, false, 7, 35, 105,
         "JPCL, December 2009, table 2: 15 spots in the first 100 m2, 5 in each later: 35"},
        {"restriction-level-3", 12500, true, 15, 75, 225,
         "paintsquare.com/news 12356: 12 500 ft2, 15 areas, 75 spots, 225 readings"},
        {"restriction-level-1", 12500, true, 15, 75, 225, "the same; sampling is the same at every level"},
        {"restriction-level-3", 9, false, 1, 5, 15, "SSPC-PA 2 Basics: below 30 m2 every 10 m2"},
        {"restriction-level-3", 20, false, 2, 10, 30, "the same"},
        {"restriction-level-3", 25, false, 3, 15, 45, "the same, or part of it"},
        {"restriction-level-3", 30, false, 3, 15, 45, "SSPC-PA 2 Basics: 30 to 100 m2, 3 areas"},
        {"restriction-level-3", 100, false, 3, 15, 45, "the same"},
        {"restriction-level-3", 100.1, false, 4, 20, 60, "one more for each further 100 m2 or part of it"},
        {"restriction-level-3", 200, false, 4, 20, 60, "the same"},
        {"restriction-level-3", 299, true, 3, 15, 45, "below 300 ft2 every 100 ft2"},
        {"restriction-level-3", 1000, true, 3, 15, 45, "300 to 1000 ft2, 3 areas"},
        {"restriction-level-3", 1001, true, 4, 20, 60, "or part of it"},
        {"80-20", 500, false, 0, 0, 70, "JPCL, December 2009, table 2: 30 + 4 x 10 = 70"},
        {"80-20", 1, false, 0, 0, 5, "from memory"},
        {"80-20", 3, false, 0, 0, 10, "JPCL, December 2009, table 1"},
        {"80-20", 10, false, 0, 0, 15, "the same"},
        {"80-20", 30, false, 0, 0, 20, "the same"},
        {"80-20", 100, false, 0, 0, 30, "the same"},
        {"80-20", 101, false, 0, 0, 40, "the same, or part of it"},
        {"90-10", 500, false, 0, 0, 100, "JPCL, December 2009, table 2: 100 readings at 500 m2 flat"},
        {"plain-limits", 500, false, 0, 0, 0, "no number is laid down"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        double m2 = rows[i].us ? mr_to_canonical(MR_UNIT_FT2, rows[i].area) : rows[i].area;
        struct mr_need n = mr_rule_need(film_rule(arena, rows[i].rule), m2, rows[i].us, 3, 5);
        cr_expect(n.known && n.areas == rows[i].areas && n.spots == rows[i].spots && n.readings == rows[i].readings,
                  "%s at %g: %zu areas, %zu spots, %zu readings; wanted %zu, %zu, %zu (%s)", rows[i].rule,
                  rows[i].area, n.areas, n.spots, n.readings, rows[i].areas, rows[i].spots, rows[i].readings,
                  rows[i].source);
    }
    cr_expect_not(mr_rule_need(film_rule(arena, "80-20"), NAN, false, 3, 5).known, "no area, no number");
}

/* Published: "How much is enough", specification 8 to 12 mil: spots 6.4 to 14.4 mil, area mean 8 to 12, readings not
 * judged. */
static enum mr_outcome one_area(const char *rule, const double *spots, enum mr_unit unit, double min, double max) {
    double readings[15];
    struct mr_film film;
    for (size_t i = 0; i < 15; i++)
        readings[i] = spots[i / 3];
    film_of(arena, readings, 15, unit, 3, 5, &film);
    struct mr_film_limits limits = film_limits_of(min, max, unit);
    return film_outcome(arena, &film, film_rule(arena, rule), &limits);
}

Test(published_rules, restriction_levels_at_their_edges) {
    static const struct {
        const char *rule;
        double spots[5];
        enum mr_outcome want;
        const char *what;
    } rows[] = {
        {"restriction-level-3", {6.4, 8.4, 8.4, 8.4, 8.4}, MR_CONFORMS, "spot at 0.8 x 8, area at 8"},
        {"restriction-level-3", {6.399, 8.6, 8.6, 8.6, 8.6}, MR_DOES_NOT_CONFORM, "spot just under 6.4"},
        {"restriction-level-3", {14.4, 11.4, 11.4, 11.4, 11.4}, MR_CONFORMS, "spot at 1.2 x 12, area at 12"},
        {"restriction-level-3", {14.401, 9, 9, 9, 9}, MR_DOES_NOT_CONFORM, "spot just over 14.4"},
        {"restriction-level-3", {7.999, 8, 8, 8, 8}, MR_DOES_NOT_CONFORM, "area just under 8"},
        {"restriction-level-3", {12.001, 12, 12, 12, 12}, MR_DOES_NOT_CONFORM, "area just over 12"},
        {"restriction-level-1", {7.9, 9, 9, 9, 9}, MR_DOES_NOT_CONFORM, "no spot below the minimum"},
        {"restriction-level-1", {12.1, 9, 9, 9, 9}, MR_DOES_NOT_CONFORM, "no spot above the maximum"},
        {"restriction-level-2", {14.4, 9, 9, 9, 9}, MR_CONFORMS, "120 % of the maximum"},
        {"restriction-level-2", {7.9, 9, 9, 9, 9}, MR_DOES_NOT_CONFORM, "minimum as specified"},
        {"restriction-level-4", {18, 9, 9, 9, 9}, MR_CONFORMS, "150 % of the maximum"},
        {"restriction-level-4", {18.001, 9, 9, 9, 9}, MR_DOES_NOT_CONFORM, "just over 150 %"},
        {"restriction-level-5", {60, 60, 60, 60, 60}, MR_CONFORMS, "no upper limits"},
        {"restriction-level-5", {6.399, 60, 60, 60, 60}, MR_DOES_NOT_CONFORM, "80 % of the minimum holds"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        cr_expect_eq(one_area(rows[i].rule, rows[i].spots, MR_UNIT_MIL, 8, 12), rows[i].want, "%s: %s", rows[i].rule,
                     rows[i].what);
}

/* 0.8 x 250 = 200 exactly; sums of decimals that no binary fraction hits. */
Test(published_rules, edges_are_exact) {
    static const double at[5] = {200, 262.5, 262.5, 262.5, 262.5}, under[5] = {199.9975, 262.6, 262.6, 262.6, 262.6};
    cr_expect_eq(one_area("restriction-level-3", at, MR_UNIT_UM, 250, NAN), MR_CONFORMS);
    cr_expect_eq(one_area("restriction-level-3", under, MR_UNIT_UM, 250, NAN), MR_DOES_NOT_CONFORM, "79.999 %%");
    struct mr_film film;
    static const double tenths[15] = {0.1, 0.2, 0.6, 0.3, 0.3, 0.3, 0.7, 0.1,
                                      0.1, 0.4, 0.4, 0.1, 0.3, 0.2, 0.4}; /* every spot 0.3 */
    struct mr_film_limits limits = film_limits_of(0.3, 0.3, MR_UNIT_MIL);
    film_of(arena, tenths, 15, MR_UNIT_MIL, 3, 5, &film);
    cr_expect_eq(film_outcome(arena, &film, film_rule(arena, "restriction-level-1"), &limits), MR_CONFORMS);
    double um[3] = {203.2, 203.2, 203.2}; /* 8 mil in micrometres */
    limits = film_limits_of(8, 8, MR_UNIT_MIL);
    film_of(arena, um, 3, MR_UNIT_UM, 1, 1, &film);
    cr_expect_eq(film_outcome(arena, &film, film_rule(arena, "plain-limits"), &limits), MR_CONFORMS);
}

/* ISO 19840 as summarised by Vereniging Qualion, August 2012; IMO MSC.215(82) as explained at paintsquare.com, 24 May
 * 2010. */
Test(published_rules, shares_at_their_edges) {
    static const struct {
        const char *rule;
        double minimum;
        size_t n;
        double odd[3];
        size_t n_odd;
        bool lenient;
        enum mr_outcome want;
        const char *what;
    } rows[] = {
        {"80-20", 100, 10, {85, 85}, 2, false, MR_DOES_NOT_CONFORM, "20 % is not fewer than 20 %"},
        {"80-20", 100, 10, {85, 85}, 2, true, MR_CONFORMS, "at most 20 %, where the job is not strict"},
        {"80-20", 100, 10, {80.0}, 1, false, MR_CONFORMS, "80.0 % passes"},
        {"80-20", 100, 10, {79.999}, 1, false, MR_DOES_NOT_CONFORM, "79.999 % does not"},
        {"80-20", 100, 10, {79.9}, 1, false, MR_DOES_NOT_CONFORM, "79.9 % does not"},
        {"80-20", 100, 11, {85, 85}, 2, false, MR_CONFORMS, "2 of 11 are 18.2 %"},
        {"90-10", 320, 20, {288, 288}, 2, false, MR_CONFORMS, "exactly 90 % at or above"},
        {"90-10", 320, 20, {288, 288, 288}, 3, false, MR_DOES_NOT_CONFORM, "85 %"},
        {"90-10", 320, 20, {287.9}, 1, false, MR_DOES_NOT_CONFORM, "below 0.9 x 320"},
        {"plain-limits", 100, 10, {99.999}, 1, false, MR_DOES_NOT_CONFORM, "every reading"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        double x[20];
        struct mr_film film;
        for (size_t k = 0; k < rows[i].n; k++)
            x[k] = k < rows[i].n_odd ? rows[i].odd[k] : rows[i].minimum * 1.2;
        film_of(arena, x, rows[i].n, MR_UNIT_UM, 1, 1, &film);
        struct mr_film_limits limits = film_limits_of(rows[i].minimum, NAN, MR_UNIT_UM);
        limits.strict = !rows[i].lenient;
        cr_expect_eq(film_outcome(arena, &film, film_rule(arena, rows[i].rule), &limits), rows[i].want, "%s: %s",
                     rows[i].rule, rows[i].what);
    }
}

Test(published_rules, a_missing_maximum_is_not_required) {
    static const double spots[5] = {500, 500, 500, 500, 500};
    double readings[15];
    struct mr_film film;
    struct mr_rule_verdict v[8];
    for (size_t i = 0; i < 15; i++)
        readings[i] = spots[i / 3];
    film_of(arena, readings, 15, MR_UNIT_UM, 3, 5, &film);
    struct mr_film_limits limits = film_limits_of(200, NAN, MR_UNIT_UM);
    static const char *const names[] = {"restriction-level-1", "restriction-level-3", "80-20", "90-10",
                                        "plain-limits"};
    for (size_t r = 0; r < MR_COUNT(names); r++) {
        const struct mr_rule *rule = film_rule(arena, names[r]);
        mr_rule_judge(&film, rule, &limits, v);
        for (size_t i = 0; i < rule->limits.n; i++)
            cr_expect_eq(v[i].outcome, rule->limits.v[i].of_maximum ? MR_NOT_REQUIRED : MR_CONFORMS, "%s, %s",
                         names[r], rule->limits.v[i].id);
    }
}

/* An area's value is the mean of its spot means: 5 spots, one with six readings. Too few parts are not averaged. */
Test(published_rules, areas_average_spots_and_need_all_parts) {
    static const char *const ids[] = {"1", "2", "3", "4", "5"};
    struct mr_film_reading r[18];
    size_t n = 0;
    for (size_t s = 0; s < 5; s++)
        for (size_t k = 0; k < (s == 0 ? 6U : 3U); k++, n++)
            r[n] = (struct mr_film_reading){.at = n,
                                            .t_utc_ms = (int64_t)n,
                                            .area_id = "A",
                                            .spot_id = ids[s],
                                            .gauge = "",
                                            .line = (uint32_t)n,
                                            .quanta = (s == 0 ? 180 : 205) * MR_QUANTA_PER_UM};
    const struct mr_film_grouping how = {.per_spot = 3, .per_area = 5, .gap_ms = 1000};
    struct mr_film film;
    mr_film_group(arena, r, 18, &how, &film);
    size_t spots;
    cr_expect_eq(mr_ratio_um(mr_film_area_mean(&film, &film.areas.v[0], false, 3, &spots)), 200,
                 "readings alone would give 196.7");
    struct mr_film_limits limits = film_limits_of(200, NAN, MR_UNIT_UM);
    cr_expect_eq(film_outcome(arena, &film, film_rule(arena, "restriction-level-3"), &limits), MR_CONFORMS);
    mr_film_group(arena, r, 17, &how, &film); /* the last spot is one reading short: no spot, so no area */
    cr_expect_eq(film_outcome(arena, &film, film_rule(arena, "restriction-level-3"), &limits), MR_NOT_SHOWN);
}
