/*
 * Wet film and its forecast. Dry = wet x solids by volume is a volume balance and needs no source: 275 um wet at
 * 50 % solids with no thinner gives 137.5 um; 200 um at 62.5 % gives 125 um (DFT 125 um, as in the worked numbers of
 * coverage: WFT = DFT / VS). That a notched gauge gives no acceptance of dry film: practice of ASTM D4414, from
 * memory.
 */
#include "unit/assess_thickness/site.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#define JOB "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 300 um\n"

static void wet_site(struct site *s, const char *job) {
    site_new(s, job);
    size_t zone = site_zone(s, "Deck 1", 9, 1);
    static const double um[] = {250, 275, 300};
    for (size_t i = 0; i < MR_COUNT(um); i++)
        site_wet_film(s, zone, 1, um[i]);
    site_judge(s);
}

/* Cell of the only row of the table Wet film. */
static const struct mr_value *cell(const struct site *s, const char *key) {
    const struct mr_table *t = site_table(s, "wet-film");
    cr_assert(t && t->n_rows == 1);
    for (size_t i = 0; i < t->n_fields; i++)
        if (strcmp(t->fields[i].key, key) == 0)
            return &t->values.v[i];
    cr_assert_fail("no column %s", key);
    return NULL;
}

Test(wet_film, gives_a_forecast_by_solids_or_by_the_suppliers_ratio_and_no_verdict) {
    static const struct {
        const char *more;
        double mean; /* NaN: no forecast */
    } rows[] = {
        {"[material]\nsolids by volume = 50 %\n", 137.5},
        {"wet to dry ratio = 2\n", 137.5},
        {"wet to dry ratio = 2\n[material]\nsolids by volume = 50 %\n", 137.5},
        {"wet to dry ratio = 2\n[material]\nsolids by volume = 80 %\n", NAN}, /* they contradict each other */
        {"", NAN},                                                            /* the default is no statement */
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site s;
        wet_site(&s, mr_printf(mr_arena_new(NULL, NULL), "%s%s", JOB, rows[i].more));
        const bool made = !isnan(rows[i].mean);
        cr_expect_float_eq(cell(&s, "wet_mean_um")->number, 275, 1e-9);
        cr_expect_eq(cell(&s, "forecast_mean_um")->type == MR_V_BLANK, !made, "row %zu", i);
        if (made)
            cr_expect_float_eq(cell(&s, "forecast_mean_um")->number, rows[i].mean, 1e-9, "row %zu", i);
        cr_expect_eq(site_find_finding(&s, "wet-film-forecast") != NULL, made, "row %zu", i);
        cr_expect_eq(site_find_finding(&s, "wet-film-no-forecast") != NULL, !made, "row %zu", i);
        cr_expect_eq(site_table(&s, "wet-film-readings")->n_rows, 3);
        /* a zone with wet film alone has no film */
        cr_assert(site_find_check(&s, "thickness.readings", 0));
        cr_expect_eq(site_find_check(&s, "thickness.readings", 0)->outcome, MR_NOT_SHOWN);
        mr_arena_free(s.arena);
    }
}

static double number_in(const struct mr_table *t, size_t row, const char *key) {
    for (size_t i = 0; i < t->n_fields; i++)
        if (strcmp(t->fields[i].key, key) == 0)
            return t->values.v[row * t->n_fields + i].number;
    cr_assert_fail("no column %s", key);
    return NAN;
}

/* A row for each coat of each zone; what was set aside, for its time, is in none. */
Test(wet_film, is_told_by_zone_and_coat_without_what_was_set_aside) {
    static const struct {
        size_t zone;
        int coat;
        double um;
    } read[] = {{0, 1, 200}, {0, 2, 300}, {0, 2, 320}, {1, 2, 400}};
    static const double mean[] = {200, 310, 400};
    struct site s;
    site_new(&s, JOB "[material]\nsolids by volume = 50 %\n");
    site_zone(&s, "Deck 1", 9, 2);
    site_zone(&s, "Deck 2", 9, 2);
    for (size_t i = 0; i < MR_COUNT(read); i++)
        site_wet_film(&s, read[i].zone, read[i].coat, read[i].um);
    site_wet_film(&s, 1, 2, 900);
    s.al.wet_film.v[s.al.wet_film.n - 1].aside = true;
    site_judge(&s);
    const struct mr_table *t = site_table(&s, "wet-film");
    cr_assert(t && t->n_rows == MR_COUNT(mean));
    for (size_t i = 0; i < MR_COUNT(mean); i++) {
        cr_expect_float_eq(number_in(t, i, "wet_mean_um"), mean[i], 1e-9, "row %zu", i);
        cr_expect_float_eq(number_in(t, i, "forecast_mean_um"), mean[i] / 2, 1e-9, "row %zu", i);
    }
    cr_expect_eq(site_table(&s, "wet-film-readings")->n_rows, MR_COUNT(read));
    mr_arena_free(s.arena);
}

Test(wet_film, law_wet_readings_change_no_outcome_of_thickness) {
    uint64_t seed = 20261128;
    size_t violations = 0;
    for (int i = 0; i < 500; i++) {
        enum mr_outcome with[64];
        size_t n[2] = {0};
        double dry = 150 + (double)(seed % 200);
        for (int pass = 0; pass < 2; pass++) {
            struct site s;
            site_new(&s, JOB);
            size_t zone = site_zone(&s, "Deck 1", 9, 1);
            for (int k = 0; k < 40 * pass; k++)
                site_wet_film(&s, zone, 1, 100 + (double)((seed >> (k % 20)) % 400));
            s.t = 1778500000000;
            site_spots(&s, zone, 3 + (size_t)(seed >> 40) % 4, dry, MR_UNIT_UM);
            site_judge(&s);
            n[pass] = s.out.checks.n;
            for (size_t c = 0; c < s.out.checks.n && c < 64; c++) {
                violations += pass && with[c] != s.out.checks.v[c].outcome;
                with[c] = s.out.checks.v[c].outcome;
            }
            mr_arena_free(s.arena);
        }
        violations += n[0] != n[1];
        seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    }
    printf("500 jobs with and without wet film: %zu violations\n", violations);
    cr_expect_eq(violations, 0);
}
