/*
 * test_row_dates.c - when the date of one row of the spray log is doubted. How often a wrong one is named stands in
 * tests/property. Common practice, no source.
 */
#include "support/sim_align.h"

#include <criterion/criterion.h>
#include <string.h>

static size_t row_doubts(const struct fixture *f) {
    size_t n = 0;
    for (size_t i = 0; i < f->aligned->doubts.n; i++)
        n += f->aligned->doubts.v[i].kind == MR_DOUBT_ROW;
    return n;
}

/* A coat whose pressure nobody logged, at the hour of another coat a day before: the pressure of that hour is the
 * other coat's and says nothing of this one. */
Test(row_dates, pressure_that_another_coat_accounts_for_moves_no_row) {
    for (uint64_t seed = 1; seed <= 5; seed++) {
        struct alignsim_plan plan = alignsim_plan(seed);
        struct fixture f;
        alignsim_make(&f, &plan);
        const struct mr_spray *other = NULL;
        for (size_t i = 0; i < f.data.sprays.n; i++)
            if (strcmp(f.data.sprays.v[i].zone, "Z3") == 0)
                other = &f.data.sprays.v[i];
        cr_assert_not_null(other);
        fix_spray(&f, other->file, MR_ACTION_SPRAY, "Z6", "3", other->start_ms + 86400000, other->stop_ms + 86400000);
        fix_align(&f);
        cr_expect_eq(row_doubts(&f), 0U, "seed %d", (int)seed);
        fix_free(&f);
    }
}
