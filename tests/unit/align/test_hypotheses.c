/*
 * test_hypotheses.c - what a clock with a wrong date shows. The dates of the change between summer and winter time
 * are those of the IANA data: in Chicago it is UTC-5 until 2026-11-01 and UTC-6 from then on.
 */
#include "align/hypotheses.h"
#include "base/text.h"
#include "support/align_fixture.h"

#include <criterion/criterion.h>

static int64_t utc(int month, int day, int hour) {
    return mr_days_from_civil(2026, month, day) * MR_DAY_MS + hour * INT64_C(3600000);
}

Test(hypotheses, a_wrong_date_keeps_the_hour_beyond_the_change_of_the_clocks) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_time_reading month = {.offset_ms = 30 * MR_DAY_MS}, swapped = {.swapped = true};
    cr_assert_eq(mr_tzone_load(arena, "America/Chicago", &month.zone), MR_OK);
    swapped.zone = month.zone;
    struct mr_alignment out = {.site = month.zone};
    struct mr_align_state st = {.arena = arena, .out = &out};
    struct mr_window first = {.t0_utc_ms = utc(10, 20, 14)};
    MR_PUSH(arena, &out.windows, first);
    /* 20 October, 9 h of summer time, shown as 19 November, 9 h of winter time. */
    cr_expect_eq(mr_shown_at(&st, &month, utc(10, 20, 14)), utc(11, 19, 15));
    cr_expect_eq(mr_elapsed_ms(&st, &month), 30 * MR_DAY_MS + 3600000, "721 h are to be taken off");
    cr_expect_eq(mr_shown_at(&st, &swapped, utc(5, 11, 13)), utc(11, 5, 14), "8 h local on both dates");
    cr_expect_eq(mr_shown_at(&st, &swapped, utc(5, 13, 13)), MR_T_NONE, "there is no month 13");
    /* Whole hours, and a clock at a fixed offset, pass as they are. */
    struct mr_time_reading hours = {.offset_ms = 3600000, .zone = month.zone}, fixed = {.offset_ms = 30 * MR_DAY_MS};
    cr_expect_eq(mr_shown_at(&st, &hours, utc(10, 20, 14)), utc(10, 20, 15));
    cr_expect_eq(mr_shown_at(&st, &fixed, utc(10, 20, 14)), utc(11, 19, 14));
    mr_arena_free(arena);
}
