/* test_pauses.c - relief in pauses, clean-outs, water tests, pauses between the rows of one coat. */
#include "hand.h"

#include <string.h>

#define PSI 6.894757293168361

static const double end = NAN;

/* The three gauges never show the same: line B stands 1.5 psi and the main 0.7 psi above line A. */
static double line_a_kpa(double t_s, const double *ctx) {
    return hand_steps(t_s, ctx) * PSI;
}
static double line_b_kpa(double t_s, const double *ctx) {
    return (hand_steps(t_s, ctx) + 1.5) * PSI;
}
static double main_kpa(double t_s, const double *ctx) {
    return (hand_steps(t_s, ctx) + 0.7) * PSI;
}

/* Two windows, 600 s each, with a pause between them; the lines by steps in psi (NULL: not logged). */
static struct hand *two_windows(const char *job, double pause_s, const double *lines) {
    struct hand *f = hand_new(job);
    hand_zone(f, "Deck 1", 30, 1);
    hand_zone(f, "Deck 2", 30, 1);
    hand_shift(f, "2026-05-11", 0, 1200 + pause_s);
    hand_window(f, 0, 1, 0, 600);
    hand_window(f, 1, 1, 600 + pause_s, 1200 + pause_s);
    if (lines != NULL) {
        size_t n = (size_t)(1200 + pause_s) + 60;
        hand_track(f, "P1", MR_M_LINE_A, 0, 1, n, line_a_kpa, lines);
        hand_track(f, "P1", MR_M_LINE_B, 0, 1, n, line_b_kpa, lines);
        hand_track(f, "P1", MR_M_MAIN, 0, 1, n, main_kpa, lines);
    }
    return f;
}

Test(pauses, lines_left_charged_longer_than_the_limit_belong_to_the_zone_sprayed_next) {
    static const struct {
        double pause_s, relieved_from_s; /* from the pause's start; beyond the pause: never */
        enum mr_outcome want;
        double charged_min;
    } rows[] = {
        {540, 999, MR_DOES_NOT_CONFORM, 9.0}, /* charged throughout */
        {540, 120, MR_CONFORMS, 2.0},         /* relieved in time */
        {540, 300, MR_CONFORMS, 5.0},         /* at the very limit */
        {540, 420, MR_DOES_NOT_CONFORM, 7.0}, /* relieved too late */
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double lines[] = {86, 600 + rows[i].relieved_from_s, 600 + rows[i].pause_s, 0.3, end, end, end};
        struct hand *f = two_windows("", rows[i].pause_s, lines);
        mr_assess_lines(&f->a);
        const struct mr_check *c = hand_check(f, "lines.pause", 1, 1);
        expect_outcome(c, rows[i].want);
        cr_expect_null(hand_check(f, "lines.pause", 0, 1));
        cr_expect_float_eq(c->measured, rows[i].charged_min, 1e-9, "row %zu: %g", i, c->measured);
        cr_expect_eq(c->unit, MR_UNIT_MIN);
        cr_expect_eq(hand_count(f, "charged-pause"), rows[i].want == MR_DOES_NOT_CONFORM);
        if (rows[i].want == MR_DOES_NOT_CONFORM)
            cr_expect_not_null(hand_finding(f, "charged-pause", 0)->caution);
        hand_free(f);
    }
}

/* What was not logged was not seen: the lines stood charged as long as anybody looked. */
Test(pauses, lines_are_charged_as_long_as_they_were_logged) {
    const double lines[] = {86, end, end, 0.3, end, end, end};
    struct hand *f = two_windows("", 7200, NULL);
    hand_track(f, "P1", MR_M_LINE_A, 0, 1, 600 + 660, line_a_kpa, lines); /* 11 min into the pause */
    hand_track(f, "P1", MR_M_LINE_B, 0, 1, 600 + 660, line_b_kpa, lines);
    hand_track(f, "P1", MR_M_MAIN, 0, 1, 600 + 660, main_kpa, lines);
    mr_assess_lines(&f->a);
    const struct mr_check *c = hand_check(f, "lines.pause", 1, 1);
    expect_outcome(c, MR_DOES_NOT_CONFORM);
    cr_expect_float_eq(c->measured, 11.0, 0.02, "%g", c->measured);
    cr_expect_not_null(strstr(c->detail, "when the log of them ends"), "%s", c->detail);
    hand_free(f);
}

/* Each gauge for itself: 86 psi while spraying, and in a pause of 540 s at 0.3 psi from its own moment on. */
static struct hand *relieved_apart(double a_s, double b_s, double main_s) {
    const double a[] = {86, 600 + a_s, 1140, 0.3, end, end, end}, b[] = {86, 600 + b_s, 1140, 0.3, end, end, end},
                 main_line[] = {86, 600 + main_s, 1140, 0.3, end, end, end};
    struct hand *f = two_windows("", 540, NULL);
    hand_track(f, "P1", MR_M_LINE_A, 0, 1, 1800, line_a_kpa, a);
    hand_track(f, "P1", MR_M_LINE_B, 0, 1, 1800, line_b_kpa, b);
    hand_track(f, "P1", MR_M_MAIN, 0, 1, 1800, main_kpa, main_line);
    mr_assess_lines(&f->a);
    return f;
}

Test(pauses, one_line_relieved_is_no_relief) {
    static const struct {
        double a_s, b_s; /* from the pause's start; 999: never */
        enum mr_outcome want;
        double charged_min;
    } rows[] = {{60, 60, MR_CONFORMS, 1},
                {60, 999, MR_DOES_NOT_CONFORM, 9},
                {999, 60, MR_DOES_NOT_CONFORM, 9},
                {60, 420, MR_DOES_NOT_CONFORM, 7},
                {420, 60, MR_DOES_NOT_CONFORM, 7}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = relieved_apart(rows[i].a_s, rows[i].b_s, 60);
        const struct mr_check *c = hand_check(f, "lines.pause", 1, 1);
        expect_outcome(c, rows[i].want);
        cr_expect_float_eq(c->measured, rows[i].charged_min, 1e-9, "row %zu: %g", i, c->measured);
        hand_free(f);
    }
}

Test(pauses, relief_is_both_lines_and_the_main_at_the_same_time_and_for_long_enough) {
    static const struct {
        const char *what;
        double a[2], b[2], main_line[2]; /* down from .. to, seconds into the pause of 540 s */
        enum mr_outcome want;
    } rows[] = {{"together", {60, 540}, {60, 540}, {60, 540}, MR_CONFORMS},
                {"together for ten seconds, then charged again", {60, 72}, {60, 72}, {60, 72}, MR_CONFORMS},
                {"together for five seconds", {60, 66}, {60, 66}, {60, 66}, MR_DOES_NOT_CONFORM},
                {"one sample", {60, 61}, {60, 61}, {60, 61}, MR_DOES_NOT_CONFORM},
                {"one after the other", {60, 120}, {130, 200}, {60, 540}, MR_DOES_NOT_CONFORM},
                {"the main stays up", {60, 540}, {60, 540}, {999, 999}, MR_DOES_NOT_CONFORM},
                {"the main comes down too late", {60, 540}, {60, 540}, {400, 540}, MR_DOES_NOT_CONFORM},
                {"only the main comes down", {999, 999}, {999, 999}, {10, 540}, MR_DOES_NOT_CONFORM}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double *row[] = {rows[i].a, rows[i].b, rows[i].main_line};
        static const hand_curve curve[] = {line_a_kpa, line_b_kpa, main_kpa};
        static const enum mr_meaning meaning[] = {MR_M_LINE_A, MR_M_LINE_B, MR_M_MAIN};
        struct hand *f = two_windows("", 540, NULL);
        for (size_t k = 0; k < 3; k++) {
            const double steps[] = {86, 600 + row[k][0], 600 + row[k][1], 0.3, end, end, end};
            hand_track(f, "P1", meaning[k], 0, 1, 1800, curve[k], steps);
        }
        mr_assess_lines(&f->a);
        const struct mr_check *c = hand_check(f, "lines.pause", 1, 1);
        cr_expect_eq(c->outcome, rows[i].want, "%s: %s", rows[i].what, c->detail);
        hand_free(f);
    }
}

Test(pauses, without_the_main_pressure_relief_is_not_shown_unless_logged) {
    const double lines[] = {86, 660, 1140, 0.3, end, end, end};
    for (int is_logged = 0; is_logged < 2; is_logged++) {
        struct hand *f = two_windows("", 540, NULL);
        hand_track(f, "P1", MR_M_LINE_A, 0, 1, 1800, line_a_kpa, lines);
        hand_track(f, "P1", MR_M_LINE_B, 0, 1, 1800, line_b_kpa, lines);
        if (is_logged)
            hand_action(f, MR_ACTION_RELIEVE, 660, 720);
        mr_assess_lines(&f->a);
        const struct mr_check *c = hand_check(f, "lines.pause", 1, 1);
        expect_outcome(c, is_logged ? MR_CONFORMS : MR_NOT_SHOWN);
        cr_expect_not_null(strstr(c->detail, "main pressure is not logged"), "%s", c->detail);
        hand_free(f);
    }
}

Test(pauses, lines_that_are_down_inside_a_window_but_not_relieved_are_no_relief) {
    static const double psi[] = {0.3, 30}; /* both are under half of the working pressure */
    for (int k = 0; k < 2; k++) {
        const double lines[] = {86, 100, 300, psi[k], end, end, end};
        struct hand *f = two_windows("[lines]\npause maximum = 2 min\n", 60, lines);
        mr_assess_lines(&f->a);
        expect_outcome(hand_check(f, "lines.pause", 0, 1), k == 0 ? MR_CONFORMS : MR_DOES_NOT_CONFORM);
        hand_free(f);
    }
}

Test(pauses, the_logger_that_covers_most_of_the_pause_speaks_for_it) {
    /* P0 breaks off a minute into the pause, P1 sees all of it; the order of the tracks does not matter. */
    const double charged[] = {86, end, end, end}, relieved[] = {86, 700, 1140, 0.3, end, end, end};
    for (int swapped = 0; swapped < 2; swapped++) {
        struct hand *f = two_windows("", 540, NULL);
        for (int k = 0; k < 2; k++) {
            bool whole = k == swapped;
            const double *lines = whole ? relieved : charged;
            size_t n = whole ? 1800 : 660;
            hand_track(f, whole ? "P1" : "P0", MR_M_LINE_A, 0, 1, n, line_a_kpa, lines);
            hand_track(f, whole ? "P1" : "P0", MR_M_LINE_B, 0, 1, n, line_b_kpa, lines);
            hand_track(f, whole ? "P1" : "P0", MR_M_MAIN, 0, 1, n, main_kpa, lines);
        }
        mr_assess_lines(&f->a);
        expect_outcome(hand_check(f, "lines.pause", 1, 1), MR_CONFORMS);
        hand_free(f);
    }
}

Test(pauses, one_line_seen_charged_and_the_other_not_seen_shows_nothing) {
    const double lines[] = {86, end, end, end};
    for (int k = 0; k < 2; k++) { /* the one that breaks off a minute into the pause */
        struct hand *f = two_windows("", 540, NULL);
        hand_track(f, "P1", MR_M_LINE_A, 0, 1, k == 0 ? 660 : 1800, line_a_kpa, lines);
        hand_track(f, "P1", MR_M_LINE_B, 0, 1, k == 1 ? 660 : 1800, line_b_kpa, lines);
        mr_assess_lines(&f->a);
        expect_outcome(hand_check(f, "lines.pause", 1, 1), MR_NOT_SHOWN);
        hand_free(f);
    }
}

Test(pauses, a_pause_up_to_the_limit_is_listed_and_not_judged) {
    const double lines[] = {86, end, end, end};
    struct hand *f = two_windows("", 300, lines);
    mr_assess_lines(&f->a);
    cr_expect_null(hand_check(f, "lines.pause", 1, 1));
    cr_expect_eq(hand_table(f, "pauses")->n_rows, 1);
    hand_free(f);
}

Test(pauses, without_a_limit_no_pause_is_judged) {
    const double lines[] = {86, end, end, end};
    struct hand *f = two_windows("[lines]\npause maximum = none\nclean-out after = none\n", 9 * 3600, lines);
    mr_assess_lines(&f->a);
    cr_expect_null(hand_check(f, "lines.pause", 1, 1));
    cr_expect_null(hand_check(f, "lines.clean-out", 1, 1));
    cr_expect_eq(hand_table(f, "pauses")->n_rows, 1);
    hand_free(f);
}

Test(pauses, the_logs_word_counts_where_no_pressures_are) {
    static const struct {
        double logged_s; /* NaN: not logged */
        enum mr_outcome want;
    } rows[] = {{660, MR_CONFORMS}, {570, MR_CONFORMS}, {1000, MR_NOT_SHOWN}, {NAN, MR_NOT_SHOWN}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = two_windows("", 900, NULL);
        if (!isnan(rows[i].logged_s))
            hand_action(f, MR_ACTION_RELIEVE, rows[i].logged_s, rows[i].logged_s + 60);
        mr_assess_lines(&f->a);
        expect_outcome(hand_check(f, "lines.pause", 1, 1), rows[i].want);
        cr_expect_eq(hand_count(f, "pause-not-shown"), rows[i].want == MR_NOT_SHOWN);
        hand_free(f);
    }
}

Test(pauses, pressures_outweigh_the_logs_word) {
    const double lines[] = {86, end, end, end};
    struct hand *f = two_windows("", 900, lines);
    hand_action(f, MR_ACTION_RELIEVE, 660, 720);
    mr_assess_lines(&f->a);
    expect_outcome(hand_check(f, "lines.pause", 1, 1), MR_DOES_NOT_CONFORM);
    cr_expect_not_null(strstr(hand_finding(f, "charged-pause", 0)->what, "the log says they were relieved"), "%s",
                       hand_finding(f, "charged-pause", 0)->what);
    hand_free(f);
}

Test(pauses, a_pause_over_five_hours_needs_a_logged_clean_out) {
    const double lines[] = {86, 660, 600 + 6 * 3600, 0.3, end, end, end};
    struct hand *f = two_windows("", 6 * 3600, lines);
    mr_assess_lines(&f->a);
    expect_outcome(hand_check(f, "lines.clean-out", 1, 1), MR_NOT_SHOWN);
    cr_expect_eq(hand_count(f, "no-clean-out"), 1);
    hand_free(f);
    f = two_windows("", 6 * 3600, lines);
    hand_action(f, MR_ACTION_CLEAN_OUT, 1200, 3000);
    mr_assess_lines(&f->a);
    expect_outcome(hand_check(f, "lines.clean-out", 1, 1), MR_CONFORMS);
    cr_expect_eq(f->out.findings.n, 0);
    hand_free(f);
    f = two_windows("[lines]\nclean-out after = 7 h\n", 6 * 3600, lines);
    mr_assess_lines(&f->a);
    cr_expect_null(hand_check(f, "lines.clean-out", 1, 1));
    hand_free(f);
}

Test(pauses, after_the_last_window_the_pause_reaches_as_far_as_the_data) {
    const double lines[] = {86, end, end, end};
    struct hand *f = two_windows("", 60, lines);
    hand_track(f, "P2", MR_M_AIR, 3000, 60, 1, hand_flat, lines); /* something is logged half an hour later */
    mr_assess_lines(&f->a);
    /* The pressures end a minute after the last window: nothing shows what became of the charged lines. */
    expect_outcome(hand_check(f, "lines.pause", MR_NONE, 0), MR_NOT_SHOWN);
    hand_free(f);
}

Test(pauses, overlapping_windows_are_no_pause) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck 1", 30, 1);
    hand_zone(f, "Deck 2", 30, 1);
    hand_shift(f, "s", 0, 3000);
    hand_window(f, 0, 1, 0, 3000);
    hand_window(f, 1, 1, 100, 200);
    hand_window(f, 1, 1, 3030, 3060);
    mr_assess_lines(&f->a);
    cr_expect_null(hand_table(f, "pauses"));
    hand_free(f);
}

Test(pauses, rows_of_one_coat_have_pauses_between_them) {
    const double lines[] = {86, end, end, end};
    struct hand *f = two_windows("", 60, lines);
    /* The first window was sprayed in two stints, 0 to 100 s and 500 to 600 s. */
    f->al.windows.v[0].n_rows = 2;
    f->data.sprays.v[0].stop_ms = hand_ms(100);
    struct mr_spray second = f->data.sprays.v[0];
    second.line = 9;
    second.start_ms = hand_ms(500);
    second.stop_ms = hand_ms(600);
    MR_PUSH(f->arena, &f->data.sprays, second);
    mr_assess_lines(&f->a);
    const struct mr_check *c = hand_check(f, "lines.pause", 0, 1);
    expect_outcome(c, MR_DOES_NOT_CONFORM);
    cr_expect_float_eq(c->measured, 400.0 / 60, 1e-9);
    hand_free(f);
}

Test(pauses, a_change_of_lot_is_shown_and_asks_for_no_clean_out) {
    const double lines[] = {86, 610, 1000, 0.2, end, end, end};
    struct hand *f = two_windows("", 400, lines);
    hand_lots(f, 0, "A-1", "B-1", MR_T_NONE);
    hand_lots(f, 1, "A-2", "B-1", MR_T_NONE);
    mr_assess_lines(&f->a);
    cr_expect_str_eq(hand_cell(hand_table(f, "pauses"), 0, "lots")->text, "A: A-1, then A-2");
    cr_expect_null(hand_check(f, "lines.clean-out", 1, 1));
    hand_free(f);
}

Test(pauses, a_logged_water_test_is_held_against_the_pressures) {
    static const struct {
        double psi; /* NaN: no pressures */
        enum mr_outcome want;
    } rows[] = {{30, MR_CONFORMS}, {24.1, MR_CONFORMS}, {23.9, MR_DOES_NOT_CONFORM}, {NAN, MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double lines[] = {0.3, -1200, -900, rows[i].psi, 0, 700, 86, end, end, end};
        struct hand *f = two_windows("", 60, NULL);
        if (!isnan(rows[i].psi)) {
            hand_track(f, "P1", MR_M_LINE_A, -1500, 1, 2000, line_a_kpa, lines);
            hand_track(f, "P1", MR_M_LINE_B, -1500, 1, 2000, line_b_kpa, lines);
        }
        hand_action(f, MR_ACTION_WATER_TEST, -1200, -900);
        mr_assess_lines(&f->a);
        expect_outcome(hand_check(f, "lines.water-test", MR_NONE, 0), rows[i].want);
        cr_expect_eq(hand_count(f, "water-test"), rows[i].want == MR_DOES_NOT_CONFORM);
        hand_free(f);
    }
}

Test(pauses, the_story_ends_a_pause_over_night_when_the_lines_are_relieved) {
    const double lines[] = {86, 680, 600 + 10 * 3600, 0.3, end, end, end};
    struct hand *f = two_windows("", 10 * 3600, lines);
    f->al.shifts.v[0].t1_utc_ms = hand_ms(600);
    f->al.windows.v[1].shift = hand_shift(f, "2026-05-12", 600 + 10 * 3600, 1200 + 10 * 3600);
    mr_assess_lines(&f->a);
    cr_assert_eq(f->out.timeline.n, 1);
    cr_expect_eq(f->out.timeline.v[0].shift, 0);
    cr_expect_eq(f->out.timeline.v[0].t1_utc_ms, hand_ms(680));
    hand_free(f);
}
