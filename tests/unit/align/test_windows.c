/*
 * Windows, actions, shifts. Expectations follow from the rules stated in src/align/windows.c and shifts.c.
 */
#include "support/align_fixture.h"

#include <criterion/criterion.h>
#include <string.h>

static void spray(struct fixture *f, uint32_t file, const char *zone, const char *coat, const char *from,
                  const char *to) {
    fix_spray(f, file, MR_ACTION_SPRAY, zone, coat, fix_time(from), to ? fix_time(to) : MR_T_NONE);
}

Test(windows, rows_of_one_coat_merge_from_first_to_last_pull) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    spray(&f, log, "Deck 1", "1", "2026-05-11 08:00", "2026-05-11 08:10");
    spray(&f, log, "deck-01", "coat 1", "2026-05-11 08:40", "2026-05-11 08:55");
    spray(&f, log, "Deck 1", "2nd", "2026-05-11 11:00", "2026-05-11 11:20");
    fix_align(&f);
    cr_assert_eq(f.status, MR_OK);
    cr_assert_eq(f.aligned->zones.n, 1);
    cr_assert_eq(f.aligned->windows.n, 2);
    const struct mr_window *w = f.aligned->windows.v;
    cr_assert_eq(w[0].n_rows, 2);
    /* Berlin stands at UTC+2 in May (IANA zone data). */
    cr_assert_eq(w[0].t0_utc_ms, fix_time("2026-05-11 06:00"));
    cr_assert_eq(w[0].t1_utc_ms, fix_time("2026-05-11 06:55"));
    cr_assert_eq(w[1].coat, 2);
    cr_assert(!w[0].found && !w[0].overlaps && w[0].place.line == 2);
    cr_assert_eq(f.aligned->shifts.n, 1);
    cr_assert_str_eq(f.aligned->shifts.v[0].name, "2026-05-11");
    fix_free(&f);
}

Test(windows, one_coat_on_two_days_is_two_windows) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    spray(&f, log, "A", "1", "2026-05-11 08:00", "2026-05-11 08:10");
    spray(&f, log, "A", "1", "2026-05-12 08:00", "2026-05-12 08:10");
    fix_align(&f);
    cr_assert_eq(f.aligned->windows.n, 2);
    cr_assert_eq(f.aligned->windows.v[1].coat, 1);
    cr_assert_eq(f.aligned->shifts.n, 2);
    fix_free(&f);
}

Test(windows, blank_coats_are_counted_in_order_and_told) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    spray(&f, log, "A", "", "2026-05-11 08:00", "2026-05-11 08:10");
    spray(&f, log, "A", "", "2026-05-11 08:15", "2026-05-11 08:20"); /* within the window gap of ten minutes */
    spray(&f, log, "A", "", "2026-05-11 10:00", "2026-05-11 10:10");
    fix_align(&f);
    cr_assert_eq(f.aligned->windows.n, 2);
    cr_assert_eq(f.aligned->windows.v[0].n_rows, 2);
    cr_assert_eq(f.aligned->windows.v[1].coat, 2);
    cr_assert(fix_has(&f, "coat-inferred"));
    fix_free(&f);
}

Test(windows, past_midnight_stays_one_shift_and_year_change_and_leap_day_hold) {
    struct fixture f;
    fix_init(&f, "America/Chicago");
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    spray(&f, log, "A", "1", "2027-12-31 23:30", "2028-01-01 00:45");
    spray(&f, log, "B", "1", "2028-02-29 23:50", "2028-03-01 00:10");
    fix_align(&f);
    const struct mr_alignment *a = f.aligned;
    cr_assert_eq(a->windows.v[0].t1_utc_ms - a->windows.v[0].t0_utc_ms, 75 * 60000);
    cr_assert_eq(a->windows.v[1].t1_utc_ms - a->windows.v[1].t0_utc_ms, 20 * 60000);
    cr_assert_str_eq(a->shifts.v[0].name, "2027-12-31");
    cr_assert_str_eq(a->shifts.v[1].name, "2028-02-29");
    fix_free(&f);
}

Test(windows, overlaps_are_flagged_on_both_sides_and_touching_is_none) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    spray(&f, log, "A", "1", "2026-05-11 08:00", "2026-05-11 09:00");
    spray(&f, log, "B", "1", "2026-05-11 08:10", "2026-05-11 08:20");
    spray(&f, log, "C", "1", "2026-05-11 08:30", "2026-05-11 08:40");
    spray(&f, log, "D", "1", "2026-05-11 09:00", "2026-05-11 09:10");
    fix_align(&f);
    const bool want[] = {true, true, true, false};
    for (size_t i = 0; i < 4; i++)
        cr_assert_eq(f.aligned->windows.v[i].overlaps, want[i], "window %zu", i);
    fix_free(&f);
}

Test(windows, second_shift_of_a_day_is_named_b_and_actions_join_the_nearest) {
    struct fixture f;
    fix_init(&f, "UTC");
    fix_set(&f, MR_SHIFT_BREAK, 3 * 3600);
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    spray(&f, log, "A", "1", "2026-05-11 06:00", "2026-05-11 07:00");
    spray(&f, log, "B", "1", "2026-05-11 15:00", "2026-05-11 16:00");
    fix_spray(&f, log, MR_ACTION_RELIEVE, "", "", fix_time("2026-05-11 07:10"), fix_time("2026-05-11 07:12"));
    fix_spray(&f, log, MR_ACTION_WATER_TEST, "", "", fix_time("2026-05-11 14:30"), MR_T_NONE);
    fix_spray(&f, log, MR_ACTION_OTHER, "", "", fix_time("2026-05-11 11:00"),
              MR_T_NONE); /* farther than the break from both */
    fix_align(&f);
    const struct mr_alignment *a = f.aligned;
    cr_assert_eq(a->shifts.n, 2);
    cr_assert_str_eq(a->shifts.v[1].name, "2026-05-11 b");
    cr_assert_eq(a->actions.v[0].shift, 0);
    cr_assert_eq(a->actions.v[1].shift, MR_NONE);
    cr_assert_eq(a->actions.v[2].shift, 1);
    fix_free(&f);
}

Test(windows, shift_items_follow_their_date_or_their_time_after_midnight) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    uint32_t record = fix_file(&f, "record.csv", MR_KIND_SHIFT_RECORD, MR_TIME_LOCAL, "");
    spray(&f, log, "A", "1", "2026-05-11 22:00", "2026-05-12 02:00");
    spray(&f, log, "A", "2", "2026-05-12 22:00", "2026-05-12 23:00");
    const char *days[] = {"2026-05-11", "2026-05-12", "2026-05-12 01:30", "2026-05-14"};
    for (size_t i = 0; i < 4; i++) {
        struct mr_shift_item item = {
            .file = record, .line = (uint32_t)i + 2, .day_ms = fix_time(days[i]), .item = "", .role = "", .note = ""};
        MR_PUSH(f.arena, &f.data.shift_items, item);
    }
    fix_align(&f);
    const int64_t want[] = {0, 1, 0, -1};
    for (size_t i = 0; i < 4; i++)
        cr_assert_eq(f.aligned->shift_item_shift.v[i], want[i], "item %zu", i);
    fix_free(&f);
}

Test(windows, rows_that_cannot_open_a_window_stay_visible) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    spray(&f, log, "", "1", "2026-05-11 06:00", "2026-05-11 07:00");
    spray(&f, log, "A", "1", "2026-05-11 09:00", "2026-05-11 08:00");
    spray(&f, log, "B", "1", "2026-05-11 09:30", NULL);
    fix_align(&f);
    cr_assert_eq(f.aligned->actions.n, 1);
    cr_assert(fix_has(&f, "spray-without-zone") && fix_has(&f, "stop-before-start"));
    cr_assert_eq(f.aligned->windows.n, 2);
    cr_assert_eq(f.aligned->windows.v[0].t0_utc_ms, f.aligned->windows.v[0].t1_utc_ms);
    fix_free(&f);
}

Test(windows, a_row_of_one_moment_is_no_row_that_stops_before_it_starts) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    fix_spray(&f, log, MR_ACTION_SPRAY, "A", "1", fix_time("2026-05-11 08:00"), fix_time("2026-05-11 08:00"));
    fix_align(&f);
    cr_expect_not(fix_has(&f, "stop-before-start"));
    fix_spray(&f, log, MR_ACTION_SPRAY, "B", "1", fix_time("2026-05-11 09:00"), fix_time("2026-05-11 08:59"));
    fix_align(&f);
    cr_expect(fix_has(&f, "stop-before-start"));
    fix_free(&f);
}

Test(windows, a_pause_as_long_as_the_limit_is_within_the_shift) {
    for (int over = 0; over < 2; over++) { /* a new shift after 6 h */
        struct fixture f;
        fix_init(&f, "UTC");
        uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
        fix_spray(&f, log, MR_ACTION_SPRAY, "A", "1", fix_time("2026-05-11 06:00"), fix_time("2026-05-11 07:00"));
        int64_t start = fix_time("2026-05-11 13:00") + over * 60000;
        fix_spray(&f, log, MR_ACTION_SPRAY, "B", "1", start, start + 60000);
        fix_align(&f);
        cr_expect_eq(f.aligned->shifts.n, (size_t)(1 + over));
        fix_free(&f);
    }
}
