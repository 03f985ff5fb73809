/*
 * test_unlogged.c - a coat whose row is missing in the spray log shows as pressure and heat that no row explains; a
 * whole log leaves nothing unexplained. Common practice, no source.
 */
#include "support/sim_align.h"

#include <criterion/criterion.h>
#include <stdio.h>

enum { JOBS = 30, ZONES = 8 };

/* Takes out the rows of the second day, on which each zone got its second coat. */
static void forget_second_day(struct mr_data *d) {
    size_t kept = 0;
    for (size_t i = 0; i < d->sprays.n; i++)
        if (d->sprays.v[i].start_ms < fix_time("2026-05-12 00:00"))
            d->sprays.v[kept++] = d->sprays.v[i];
    d->sprays.n = kept;
}

Test(unlogged, missing_rows_are_seen_and_a_whole_log_leaves_nothing) {
    size_t coats = 0, seen = 0, false_alarms = 0, twice = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++)
        for (int missing = 0; missing < 2; missing++) {
            struct alignsim_plan plan = alignsim_plan(seed + 7000);
            struct fixture f;
            alignsim_make(&f, &plan);
            const size_t rows = f.data.sprays.n;
            if (missing)
                forget_second_day(&f.data);
            coats += rows - f.data.sprays.n;
            fix_align(&f);
            const struct mr_alignment *a = f.aligned;
            false_alarms += !missing && a->unlogged.n > 0;
            bool on[ZONES] = {false};
            for (size_t i = 0; missing && i < a->unlogged.n; i++) {
                cr_assert_lt(a->unlogged.v[i].zone, ZONES);
                twice += on[a->unlogged.v[i].zone];
                seen += !on[a->unlogged.v[i].zone];
                on[a->unlogged.v[i].zone] = true;
            }
            fix_free(&f);
        }
    printf("unlogged coats: %zu of %zu seen, %zu twice; %zu of %d whole logs doubted\n", seen, coats, twice,
           false_alarms, JOBS);
    cr_expect_eq(coats, JOBS * ZONES);
    cr_expect_geq(20 * seen, 19 * coats);
    cr_expect_leq(20 * twice, coats);
    cr_expect_eq(false_alarms, 0);
}
