/*
 * test_climate_date.c - the date of a climate log, by the days of coats that it leaves without a record. That such a
 * log is doubted is a project decision.
 */
#include "support/align_fixture.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

enum { SAMPLES = 60 };

/* A coat on each of two days, and a hygrometer that logged from 08:00 to 10:00 on each of the given days. */
static void make(struct fixture *f, const char *const *days, size_t n_days, bool stated) {
    fix_init(f, "UTC");
    f->job.first_day_local_ms = fix_time("2026-05-01 00:00");
    f->job.last_day_local_ms = fix_time("2026-05-31 00:00");
    struct mr_instrument *hy = fix_instrument(f, "HY");
    hy->offset_given = stated;
    uint32_t log = fix_file(f, "spray log.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    uint32_t zones = fix_file(f, "zones.csv", MR_KIND_ZONES, MR_TIME_NONE, "");
    fix_zone(f, zones, "Deck 1", "");
    fix_spray(f, log, MR_ACTION_SPRAY, "Deck 1", "1", fix_time("2026-05-06 09:00"), fix_time("2026-05-06 09:10"));
    fix_spray(f, log, MR_ACTION_SPRAY, "Deck 1", "2", fix_time("2026-05-07 09:00"), fix_time("2026-05-07 09:10"));
    uint32_t file = fix_file(f, "HY.csv", MR_KIND_CLIMATE, MR_TIME_LOCAL, "HY");
    int64_t *t = MR_ARRAY(f->arena, int64_t, n_days * SAMPLES);
    double *air = MR_ARRAY(f->arena, double, n_days *SAMPLES);
    for (size_t d = 0; d < n_days; d++)
        for (size_t i = 0; i < SAMPLES; i++) {
            t[d * SAMPLES + i] = fix_time(days[d]) + (int64_t)i * 120000;
            air[d * SAMPLES + i] = 20.0 + 0.01 * (double)i;
        }
    fix_channel(f, file, "air", MR_M_AIR, n_days * SAMPLES, t, air, NULL);
    fix_align(f);
}

Test(climate_date, a_log_that_is_a_day_or_a_year_off_is_named_with_its_line) {
    static const struct {
        const char *days[2];
        enum mr_doubt_kind kind;
        double offset_s;
        const char *paste;
    } rows[] = {
        {{"2026-05-07 08:00", "2026-05-08 08:00"}, MR_DOUBT_CLOCK, 86400, "[instrument \"HY\"]\nclock offset = 24 h"},
        {{"2026-05-05 08:00", "2026-05-06 08:00"}, MR_DOUBT_CLOCK, -86400, "clock offset = -24 h"},
        {{"2025-05-06 08:00", "2025-05-07 08:00"}, MR_DOUBT_CLOCK, -365 * 86400.0, "clock offset = -8760 h"},
        {{"2026-06-05 08:00", "2026-07-05 08:00"}, MR_DOUBT_DATES, 0, ""}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct fixture f;
        make(&f, rows[i].days, 2, false);
        cr_assert_eq(f.aligned->doubts.n, 1U, "row %zu: %zu doubts", i, f.aligned->doubts.n);
        const struct mr_clock_doubt *d = &f.aligned->doubts.v[0];
        cr_expect_eq(d->kind, rows[i].kind, "row %zu", i);
        cr_expect_float_eq(d->offset_s, rows[i].offset_s, 1.0, "row %zu: %g", i, d->offset_s);
        cr_expect_eq(d->fits, 2U, "row %zu", i);
        cr_expect_not_null(strstr(d->paste, rows[i].paste), "row %zu: %s", i, d->paste);
        cr_assert_eq(d->places.n, 1U);
        cr_expect_str_eq(d->places.v[0].file, "HY.csv");
        fix_free(&f);
    }
}

Test(climate_date, a_log_of_the_coats_own_days_or_of_the_whole_week_is_not_doubted) {
    static const struct {
        const char *days[5];
        size_t n;
        bool stated;
    } rows[] = {{{"2026-05-06 08:00", "2026-05-07 08:00"}, 2, false},
                {{"2026-05-07 08:00"}, 1, false}, /* not there on the first day */
                {{"2026-05-07 08:00", "2026-05-08 08:00"}, 2, true},
                {{"2026-05-05 08:00", "2026-05-06 08:00", "2026-05-07 08:00", "2026-05-08 08:00", "2026-05-09 08:00"},
                 5,
                 false},
                {{"2026-05-07 08:00", "2026-05-08 08:00", "2026-05-09 08:00"}, 3, false}}; /* no reading holds both */
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct fixture f;
        make(&f, rows[i].days, rows[i].n, rows[i].stated);
        cr_expect_eq(f.aligned->doubts.n, 0U, "row %zu: %zu doubts", i, f.aligned->doubts.n);
        fix_free(&f);
    }
}
