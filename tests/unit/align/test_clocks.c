/*
 * Clocks: offset, drift, time zone of an instrument; gaps and folds by the file's own order; what is set aside and
 * counted. The transitions used are those of the IANA data: Europe/Berlin 2026-10-25 03:00 -> 02:00, 2026-03-29 02:00
 * -> 03:00.
 */
#include "support/align_fixture.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

static const int64_t minute = 60000;

/* A log of one channel with given local times. */
static void log_of(struct fixture *f, const char *path, size_t n, const int64_t *t) {
    uint32_t file = fix_file(f, path, MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    double *v = MR_ARRAY(f->arena, double, n);
    for (size_t i = 0; i < n; i++)
        v[i] = (double)i;
    fix_channel(f, file, "T1", MR_M_PROBE_TEMP, n, t, v, NULL);
}

static int64_t *every_minute(struct fixture *f, const char *from, size_t n) {
    int64_t *t = MR_ARRAY(f->arena, int64_t, n);
    for (size_t i = 0; i < n; i++)
        t[i] = fix_time(from) + (int64_t)i * minute;
    return t;
}

Test(clocks, offset_is_shown_minus_true) {
    struct fixture f;
    fix_init(&f, "UTC");
    struct mr_instrument *k1 = fix_instrument(&f, "K1");
    k1->offset_s = 240;
    k1->offset_given = true;
    log_of(&f, "a.csv", 3, every_minute(&f, "2026-05-11 08:04", 3));
    fix_align(&f);
    cr_assert_eq(mr_track_ms(&f.aligned->tracks.v[0], 0), fix_time("2026-05-11 08:00"));
    const struct mr_clock *c = fix_clock(&f, "K1");
    cr_assert(c->stated && fabs(c->offset_s - 240) < 1e-9);
    fix_free(&f);
}

Test(clocks, two_points_give_drift_also_beyond_them) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    struct mr_instrument *k1 = fix_instrument(&f, "K1");
    k1->time_zone = "America/Chicago";
    k1->n_points = 2;
    k1->point[0] = (struct mr_clock_point){fix_time("2026-05-11 07:00:10"), fix_time("2026-05-11 07:00:00")};
    k1->point[1] = (struct mr_clock_point){fix_time("2026-05-12 07:00:34"), fix_time("2026-05-12 07:00:00")};
    int64_t t[] = {fix_time("2026-05-11 07:00:10"), fix_time("2026-05-12 07:00:34"), fix_time("2026-05-13 07:00:58")};
    log_of(&f, "a.csv", 3, t);
    fix_align(&f);
    /* Chicago stands at UTC-5 in May. The clock gains 24 s a day: 10, 34, 58 s. */
    cr_assert_eq(mr_track_ms(&f.aligned->tracks.v[0], 0), fix_time("2026-05-11 12:00:00"));
    cr_assert_eq(mr_track_ms(&f.aligned->tracks.v[0], 1), fix_time("2026-05-12 12:00:00"));
    cr_assert_leq(llabs(mr_track_ms(&f.aligned->tracks.v[0], 2) - fix_time("2026-05-13 12:00:00")), 10);
    cr_assert_float_eq(fix_clock(&f, "K1")->drift_s_per_day, 24, 0.02);
    fix_free(&f);
}

Test(clocks, utc_times_ignore_zones_but_not_the_offset) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    struct mr_instrument *k1 = fix_instrument(&f, "K1");
    k1->offset_s = -30;
    k1->offset_given = true;
    uint32_t file = fix_file(&f, "a.csv", MR_KIND_THICKNESS, MR_TIME_UTC, "K1");
    fix_reading(&f, file, "A", fix_time("2026-10-25 00:30"), 100);
    fix_align(&f);
    cr_assert_eq(f.aligned->readings.v[0].t_utc_ms, fix_time("2026-10-25 00:30:30"));
    fix_free(&f);
}

Test(clocks, a_gauge_known_by_serial_has_its_own_clock_in_a_shared_file) {
    struct fixture f;
    fix_init(&f, "UTC");
    struct mr_instrument *g = fix_instrument(&f, "gauge 2");
    g->serial = "TG-2";
    g->offset_s = 60;
    g->offset_given = true;
    uint32_t file = fix_file(&f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "");
    fix_reading(&f, file, "A", fix_time("2026-05-11 08:00"), 100)->serial = "TG-1";
    fix_reading(&f, file, "A", fix_time("2026-05-11 08:00"), 100)->serial = "TG-2";
    fix_align(&f);
    cr_assert_eq(f.aligned->readings.v[0].t_utc_ms, fix_time("2026-05-11 08:00"));
    cr_assert_eq(f.aligned->readings.v[1].t_utc_ms, fix_time("2026-05-11 07:59"));
    fix_free(&f);
}

Test(clocks, a_log_through_the_fold_is_told_apart_by_its_step_back) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    enum { N = 240 };
    int64_t *t = MR_ARRAY(f.arena, int64_t, N);
    for (int i = 0; i < N; i++) /* 01:00 to 03:00 summer time, then 02:00 to 04:00 winter time */
        t[i] = fix_time("2026-10-25 01:00") + (i < 120 ? i : i - 60) * minute;
    log_of(&f, "a.csv", N, t);
    struct mr_place at = {"a.csv", 122, 0, 0}, elsewhere = {"a.csv", 60, 0, 0};
    mr_diag_add(&f.diags, MR_WARNING, "time-backwards", at, NULL, "Check the clock.", "time goes back");
    mr_diag_add(&f.diags, MR_WARNING, "time-backwards", elsewhere, NULL, "Check the clock.", "time goes back");
    fix_align(&f);
    cr_assert_eq(f.diags.list.v[0].severity, MR_NOTE, "the end of summer time is no clock that goes back");
    cr_assert_eq(f.diags.list.v[1].severity, MR_WARNING);
    const struct mr_track *track = &f.aligned->tracks.v[0];
    cr_assert_eq(track->n, N);
    for (int i = 0; i < N; i++)
        cr_assert_eq(mr_track_ms(track, i), fix_time("2026-10-24 23:00") + i * minute, "row %d", i);
    cr_assert_eq(fix_clock(&f, "K1")->fold_rows_resolved, 120);
    cr_assert_eq(f.aligned->accounts[0].rows_set_aside, 0);
    cr_assert(fix_has(&f, "clock-fold-resolved"));
    fix_free(&f);
}

Test(clocks, a_log_from_new_to_old_is_read_from_its_end) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    enum { N = 240 };
    int64_t *t = MR_ARRAY(f.arena, int64_t, N);
    for (int i = 0; i < N; i++)
        t[N - 1 - i] = fix_time("2026-10-25 01:00") + (i < 120 ? i : i - 60) * minute;
    log_of(&f, "a.csv", N, t);
    fix_align(&f);
    const struct mr_track *track = &f.aligned->tracks.v[0];
    cr_assert_eq(track->n, N);
    for (int i = 0; i < N; i++) {
        cr_assert_eq(mr_track_ms(track, i), fix_time("2026-10-24 23:00") + i * minute, "row %d", i);
        cr_assert_eq(mr_track_line(track, i), (uint32_t)(N - 1 - i) + 2);
    }
    fix_free(&f);
}

Test(clocks, a_log_that_stops_or_starts_within_the_fold_goes_by_its_neighbours) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    log_of(&f, "stops.csv", 80, every_minute(&f, "2026-10-25 01:20", 80));  /* to 02:39 */
    log_of(&f, "starts.csv", 60, every_minute(&f, "2026-10-25 02:30", 60)); /* to 03:29 */
    fix_align(&f);
    const struct mr_track *track = &f.aligned->tracks.v[0];
    cr_assert_eq(track->n, 140);
    cr_assert_eq(mr_track_ms(track, 79), fix_time("2026-10-25 00:39"));
    cr_assert_eq(mr_track_ms(track, 80), fix_time("2026-10-25 01:30"));
    fix_free(&f);
}

/* How many rows of one column were set aside in the hour that exists twice. */
static size_t aside_in_fold(struct fixture *f, size_t n, const int64_t *t) {
    log_of(f, "a.csv", n, t);
    fix_align(f);
    return f->aligned->accounts[0].by_reason[MR_ASIDE_CLOCK_FOLD];
}

static size_t aside_at_pace(int64_t pace_ms, size_t n, int64_t hole_ms) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    int64_t *t = MR_ARRAY(f.arena, int64_t, n);
    for (size_t i = 0; i < n; i++) { /* the last row stands at 02:30, the hole before the first doubtful one */
        t[n - 1 - i] = fix_time("2026-10-25 02:30") - (int64_t)i * pace_ms;
        if (t[n - 1 - i] < fix_time("2026-10-25 02:00"))
            t[n - 1 - i] -= hole_ms;
    }
    size_t aside = aside_in_fold(&f, n, t);
    fix_free(&f);
    return aside;
}

Test(clocks, the_rows_before_a_fold_tell_its_first_pass_only_at_a_brisk_and_unbroken_pace) {
    cr_expect_eq(aside_at_pace(10 * minute, 12, 0), 0); /* six steps to the hour are enough */
    cr_expect_eq(aside_at_pace(15 * minute, 12, 0), 3); /* four are not: 02:00, 02:15, 02:30 */
    cr_expect_eq(aside_at_pace(minute, 60, minute), 0); /* one row lacks */
    cr_expect_eq(aside_at_pace(minute, 60, 2 * minute), 0);
    cr_expect_eq(aside_at_pace(minute, 60, 3 * minute),
                 31); /* four steps without a row: it may have been switched off */
}

Test(clocks, a_fold_passed_once_or_three_times_is_not_guessed) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin"); /* both neighbours fit, and the hour stands only once */
    cr_expect_eq(aside_in_fold(&f, 180, every_minute(&f, "2026-10-25 01:00", 180)), 60);
    fix_free(&f);
    fix_init(&f, "Europe/Berlin");
    int64_t *t = MR_ARRAY(f.arena, int64_t, 240);
    for (int i = 0; i < 240; i++) /* back to 02:00 twice */
        t[i] = fix_time("2026-10-25 01:00") + (i < 120 ? i : i < 180 ? i - 60 : i - 120) * minute;
    cr_expect_eq(aside_in_fold(&f, 240, t), 180);
    fix_free(&f);
}

Test(clocks, a_fold_without_evidence_is_set_aside_and_counted_by_line) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    log_of(&f, "a.csv", 20, every_minute(&f, "2026-10-25 02:20", 20));
    uint32_t file = fix_file(&f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "");
    fix_reading(&f, file, "A", fix_time("2026-10-24 22:00"), 100);
    fix_reading(&f, file, "A", fix_time("2026-10-25 02:30"), 100);
    fix_reading(&f, file, "A", fix_time("2026-10-25 09:00"), 100);
    f.data.files.v[0].account.runs.n = 0;
    fix_align(&f);
    cr_assert_eq(f.aligned->tracks.n, 0);
    const struct mr_account *a = f.aligned->accounts;
    cr_assert_eq(a[0].by_reason[MR_ASIDE_CLOCK_FOLD], 20);
    cr_assert_eq(a[0].rows_used, 0);
    cr_assert_eq(a[0].runs.n, 1);
    cr_assert_eq(a[0].runs.v[0].line, 2);
    cr_assert_eq(a[0].runs.v[0].line_end, 21);
    cr_assert_eq(a[1].by_reason[MR_ASIDE_CLOCK_FOLD], 1);
    cr_assert_eq(a[1].runs.v[0].line, 3);
    for (size_t i = 0; i < 2; i++)
        cr_assert_eq(a[i].rows_read, a[i].rows_header + a[i].rows_used + a[i].rows_set_aside);
    cr_assert(f.aligned->readings.v[1].aside);
    cr_assert_eq(f.aligned->readings.v[1].zone, MR_NONE);
    cr_assert_eq(f.aligned->by_route[MR_ROUTE_OWN], 2);
    cr_assert_eq(f.aligned->by_route[MR_ROUTE_NONE], 0);
    cr_assert(fix_has(&f, "clock-fold"));
    cr_assert_eq(f.data.files.v[0].account.rows_set_aside, 0); /* the stage before is not touched */
    fix_free(&f);
}

Test(clocks, a_gap_row_is_set_aside_among_other_reasons_in_order_of_lines) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    log_of(&f, "a.csv", 180,
           every_minute(&f, "2026-03-29 01:00", 180)); /* a clock that does not know of summer time */
    struct mr_account *acc = &f.data.files.v[0].account;
    struct mr_aside_run blank = {MR_ASIDE_BLANK, 400, 400, 1}, early = {MR_ASIDE_BLANK, 1, 1, 1};
    MR_PUSH(f.arena, &acc->runs, early);
    MR_PUSH(f.arena, &acc->runs, blank);
    acc->rows_set_aside = acc->by_reason[MR_ASIDE_BLANK] = 2;
    acc->rows_read += 2;
    fix_align(&f);
    const struct mr_account *a = &f.aligned->accounts[0];
    cr_assert_eq(a->by_reason[MR_ASIDE_CLOCK_GAP], 60);
    cr_assert_eq(a->runs.n, 3);
    cr_assert_eq(a->runs.v[1].why, MR_ASIDE_CLOCK_GAP);
    cr_assert_eq(a->runs.v[1].line, 62);
    cr_assert_eq(a->runs.v[1].rows, 60);
    cr_assert_eq(a->rows_read, a->rows_header + a->rows_used + a->rows_set_aside);
    cr_assert_eq(f.aligned->tracks.v[0].n, 120);
    cr_assert_eq(fix_clock(&f, "K1")->gap_rows, 60);
    fix_free(&f);
}

Test(clocks, a_spray_row_in_the_fold_resolves_by_the_rows_around_it) {
    struct fixture f;
    fix_init(&f, "Europe/Berlin");
    uint32_t log = fix_file(&f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    fix_spray(&f, log, MR_ACTION_SPRAY, "A", "1", fix_time("2026-10-25 01:40"), fix_time("2026-10-25 02:20"));
    fix_spray(&f, log, MR_ACTION_SPRAY, "B", "1", fix_time("2026-10-25 02:40"), fix_time("2026-10-25 02:50"));
    fix_spray(&f, log, MR_ACTION_SPRAY, "C", "1", fix_time("2026-10-25 02:10"), fix_time("2026-10-25 02:30"));
    fix_align(&f);
    cr_assert_eq(f.aligned->windows.n, 3);
    cr_assert_eq(f.aligned->windows.v[0].t1_utc_ms, fix_time("2026-10-25 00:20"));
    cr_assert_eq(f.aligned->windows.v[2].t0_utc_ms, fix_time("2026-10-25 01:10"));
    fix_free(&f);
}

Test(clocks, nameless_logs_join_where_they_follow_and_stay_apart_where_they_overlap) {
    struct fixture f;
    fix_init(&f, "UTC");
    const char *from[] = {"2026-05-11 08:00", "2026-05-12 08:00", "2026-05-12 08:30"};
    const char *path[] = {"c/1.csv", "c/2.csv", "c/3.csv"};
    for (size_t i = 0; i < 3; i++) {
        uint32_t file = fix_file(&f, path[i], MR_KIND_CLIMATE, MR_TIME_LOCAL, "");
        double *v = MR_ARRAY(f.arena, double, 60);
        fix_channel(&f, file, "air", MR_M_AIR, 60, every_minute(&f, from[i], 60), v, NULL);
    }
    fix_align(&f);
    cr_assert_eq(f.aligned->clocks.n, 2);
    cr_assert_eq(f.aligned->tracks.n, 2);
    cr_assert_eq(f.aligned->tracks.v[0].n, 120);
    cr_assert_eq(f.aligned->tracks.v[1].n, 60);
    cr_assert_str_eq(f.aligned->clocks.v[0].instrument, "c/1.csv");
    cr_assert_str_eq(f.aligned->tracks.v[0].instrument, "");
    fix_free(&f);
}
