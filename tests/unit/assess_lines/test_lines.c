/* test_lines.c - main pressure, balance, ripple, dropouts, surges over a window; wording, evidence, tables. */
#include "hand.h"

#include "assess/lines/line_scan.h"

static const double end = NAN;
static const char job_us[] = "[report]\nunits = US\n";

static const double line_84[] = {84, NAN, NAN, NAN}, line_85[] = {85, NAN, NAN, NAN}, main_86[] = {86, NAN, NAN, NAN};

static const char *const all_checks[] = {"lines.main", "lines.imbalance", "lines.ripple", "lines.dropout",
                                         "lines.surge"};

Test(lines, steady_lines_conform_and_raise_nothing) {
    struct hand *f = hand_play(job_us, (struct scene){.a = line_84, .b = line_85, .main = main_86});
    for (size_t i = 0; i < MR_COUNT(all_checks); i++)
        expect_outcome(hand_check(f, all_checks[i], 0, 1), MR_CONFORMS);
    cr_expect_eq(f->out.findings.n, 0);
    const struct mr_check *c = hand_check(f, "lines.main", 0, 1);
    cr_expect_eq(c->unit, MR_UNIT_PSI);
    cr_expect_float_eq(c->measured, 86, 1e-9);
    cr_expect_float_eq(c->limit_low, 80, 0);
    cr_expect_float_eq(c->limit_high, 90, 1e-9);
    hand_free(f);
}

Test(lines, lines_that_come_up_late_and_go_down_early_are_no_dropout) {
    /* The window was typed to the minute: the lines are up from 40 to 560 s, each with a ramp, B two seconds behind
     * A.
     */
    const double a[] = {0.3, 40, 41, 30, 41, 42, 60, 42, 560, 84, 560, 562, 40, end, end, end};
    const double b[] = {0.3, 42, 43, 30, 43, 44, 60, 44, 558, 84, 558, 560, 40, end, end, end};
    struct hand *f = hand_play(job_us, (struct scene){.a = a, .b = b, .main = main_86});
    for (size_t i = 0; i < MR_COUNT(all_checks); i++)
        expect_outcome(hand_check(f, all_checks[i], 0, 1), MR_CONFORMS);
    hand_free(f);
}

Test(lines, a_dropout_is_found_with_its_time_its_place_and_its_lines) {
    const double a[] = {84, 300, 305, 20, end, end, end};
    struct hand *f = hand_play(job_us, (struct scene){.a = a, .b = line_84, .main = main_86});
    const struct mr_check *c = hand_check(f, "lines.dropout", 0, 1);
    expect_outcome(c, MR_DOES_NOT_CONFORM);
    cr_expect_float_eq(c->measured, 1, 0);
    expect_outcome(hand_check(f, "lines.imbalance", 0, 1), MR_CONFORMS);
    expect_outcome(hand_check(f, "lines.ripple", 0, 1), MR_CONFORMS);
    cr_assert_eq(f->out.findings.n, 1, "balance and ripple do not repeat what the dropout says");
    const struct mr_finding *d = hand_finding(f, "dropout", 0);
    cr_expect_eq(d->t0_utc_ms, hand_ms(300));
    cr_expect_eq(d->t1_utc_ms, hand_ms(305));
    cr_expect_float_eq(d->measured, 20, 1e-9);
    cr_expect_float_eq(d->limit, 42, 1e-9, "half the median");
    cr_expect_not_null(d->caution);
    cr_expect_eq(d->evidence.v[0].place.line, 362);
    cr_expect_eq(d->evidence.v[0].place.line_end, 367);
    cr_expect_not_null(strstr(d->what, "line A"));
    cr_expect_not_null(strstr(d->what, "50 % into the window"), "%s", d->what);
    const struct mr_table *t = hand_table(f, "line-events");
    cr_expect_eq(t->n_rows, 1);
    cr_expect_float_eq(hand_cell(t, 0, "duration_s")->number, 5, 1e-9);
    cr_expect_str_eq(hand_cell(t, 0, "evidence")->text, "lines.csv:362-367");
    hand_free(f);
}

Test(lines, events_need_to_hold_for_the_event_time) {
    static const struct {
        double until_s;
        size_t events;
    } rows[] = {{302, 0}, {303, 1}, {304, 1}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double low[] = {84, 300, rows[i].until_s, 30, end, end, end},
                     high[] = {84, 300, rows[i].until_s, 115, end, end, end},
                     apart[] = {84, 300, rows[i].until_s, 75, end, end, end};
        const double *curves[] = {low, high, apart};
        const char *ids[] = {"dropout", "surge", "imbalance"};
        for (size_t k = 0; k < 3; k++) {
            struct hand *f = hand_play(job_us, (struct scene){.a = curves[k], .b = line_84, .main = main_86});
            cr_expect_eq(f->out.findings.n, rows[i].events, "%s until %g: %zu", ids[k], rows[i].until_s,
                         f->out.findings.n);
            cr_expect_eq(hand_count(f, ids[k]), rows[i].events, "%s until %g", ids[k], rows[i].until_s);
            hand_free(f);
        }
    }
}

Test(lines, imbalance_is_the_difference_over_the_mean_that_is_held) {
    const double a[] = {84, 200, 260, 92, 230, 231, 120, end, end, end}, b[] = {84, end, end, end};
    struct hand *f = hand_play(job_us, (struct scene){.a = a, .b = b, .main = main_86});
    const struct mr_check *c = hand_check(f, "lines.imbalance", 0, 1);
    cr_expect_float_eq(c->measured, 100 * 8.0 / 88, 1e-9, "the one second of 120 psi is not held");
    expect_outcome(c, MR_CONFORMS);
    hand_free(f);
}

Test(lines, ripple_is_the_standard_deviation_over_the_mean) {
    double a[3 * 720 + 2] = {84};
    size_t n = 1;
    for (int t = -60; t < 660; t += 2, n += 3) { /* 76 and 84 in turn: mean 80, SD 4 */
        a[n] = t;
        a[n + 1] = t + 1;
        a[n + 2] = 76;
    }
    a[n] = NAN;
    struct hand *f = hand_play(job_us, (struct scene){.a = a, .b = a, .main = main_86});
    const struct mr_check *c = hand_check(f, "lines.ripple", 0, 1);
    cr_expect_float_eq(c->measured, 5.0, 0.01, "%g", c->measured);
    hand_free(f);
    f = hand_play("[lines]\nripple maximum = 4.9 %\n", (struct scene){.a = a, .b = a, .main = main_86});
    expect_outcome(hand_check(f, "lines.ripple", 0, 1), MR_DOES_NOT_CONFORM);
    cr_expect_eq(hand_count(f, "ripple"), 1);
    hand_free(f);
}

Test(lines, main_pressure_out_of_its_band_is_found_in_the_limits_own_unit) {
    static const struct {
        double psi;
        enum mr_outcome want;
    } rows[] = {{79.9, MR_DOES_NOT_CONFORM}, {80, MR_CONFORMS}, {90, MR_CONFORMS}, {90.1, MR_DOES_NOT_CONFORM}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double main_line[] = {85, 100, 110, rows[i].psi, end, end, end};
        struct hand *f = hand_play("", (struct scene){.a = line_84, .b = line_85, .main = main_line});
        const struct mr_check *c = hand_check(f, "lines.main", 0, 1);
        expect_outcome(c, rows[i].want);
        cr_expect_eq(c->unit, MR_UNIT_PSI, "the limit's unit, also where figures are shown in SI");
        if (rows[i].want == MR_DOES_NOT_CONFORM) {
            cr_expect_float_eq(c->measured, rows[i].psi, 1e-9);
            cr_expect_eq(hand_finding(f, "main-pressure", 0)->unit, f->job->display.pressure);
        }
        hand_free(f);
    }
}

Test(lines, both_lines_down_is_a_dropout_when_short_and_a_pause_when_long) {
    const double short_down[] = {84, 300, 320, 1, end, end, end}, long_down[] = {84, 200, 265, 1, end, end, end};
    struct hand *f = hand_play(job_us, (struct scene){.a = short_down, .b = short_down, .main = main_86});
    expect_outcome(hand_check(f, "lines.dropout", 0, 1), MR_DOES_NOT_CONFORM);
    cr_expect_eq(hand_count(f, "both-lines-down"), 1);
    hand_free(f);
    f = hand_play(job_us, (struct scene){.a = long_down, .b = long_down, .main = main_86});
    for (size_t i = 0; i < MR_COUNT(all_checks); i++)
        expect_outcome(hand_check(f, all_checks[i], 0, 1), MR_CONFORMS);
    const struct mr_table *t = hand_table(f, "pauses");
    cr_assert_not_null(t);
    cr_expect_str_eq(hand_cell(t, 0, "note")->text, "inside a window, both lines down");
    hand_free(f);
}

Test(lines, a_line_that_never_comes_up_is_a_dropout_of_the_whole_window) {
    const double dead[] = {0.4, end, end, end};
    struct hand *f = hand_play(job_us, (struct scene){.a = line_84, .b = dead, .main = main_86});
    expect_outcome(hand_check(f, "lines.dropout", 0, 1), MR_DOES_NOT_CONFORM);
    cr_expect_not_null(strstr(hand_finding(f, "dropout", 0)->what, "line B"));
    hand_free(f);
}

Test(lines, at_slow_sampling_two_samples_condemn_and_one_neither_condemns_nor_clears) {
    static const struct {
        double until_s, line_psi, main_psi; /* from 295 s; one sample every 10 s */
        const char *id;
        enum mr_outcome want;
    } rows[] = {{305, 20, 86, "lines.dropout", MR_NOT_SHOWN},   {315, 20, 86, "lines.dropout", MR_DOES_NOT_CONFORM},
                {305, 150, 86, "lines.surge", MR_NOT_SHOWN},    {315, 150, 86, "lines.surge", MR_DOES_NOT_CONFORM},
                {305, 70, 86, "lines.imbalance", MR_NOT_SHOWN}, {315, 70, 86, "lines.imbalance", MR_DOES_NOT_CONFORM},
                {305, 84, 60, "lines.main", MR_NOT_SHOWN},      {315, 84, 60, "lines.main", MR_DOES_NOT_CONFORM}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double a[] = {84, 295, rows[i].until_s, rows[i].line_psi, end, end, end},
                     main_line[] = {86, 295, rows[i].until_s, rows[i].main_psi, end, end, end};
        struct hand *f = hand_play(job_us, (struct scene){.a = a, .b = line_85, .main = main_line, .step_s = 10});
        expect_outcome(hand_check(f, rows[i].id, 0, 1), rows[i].want);
        cr_expect_eq(hand_count(f, "lone-sample"), rows[i].want == MR_NOT_SHOWN, "row %zu", i);
        cr_expect_eq(hand_count(f, "line-coverage"), 0);
        bool ripple = hand_check(f, "lines.ripple", 0, 1)->outcome == MR_DOES_NOT_CONFORM;
        cr_expect_not(ripple && rows[i].want == MR_NOT_SHOWN, "row %zu: condemned by its ripple", i);
        hand_free(f);
    }
}

Test(lines, an_imbalance_names_the_low_line) {
    const double low[] = {84, 200, 260, 70, end, end, end};
    for (int b_low = 0; b_low < 2; b_low++) {
        struct hand *f = b_low ? hand_play(job_us, (struct scene){.a = line_85, .b = low, .main = main_86})
                               : hand_play(job_us, (struct scene){.a = low, .b = line_85, .main = main_86});
        const struct mr_finding *found = hand_finding(f, "imbalance", 0);
        cr_assert_not_null(found);
        cr_expect_not_null(strstr(found->what, b_low ? "line B low" : "line A low"), "%s", found->what);
        cr_expect_str_eq(hand_cell(hand_table(f, "line-events"), 0, "line")->text, b_low ? "line B" : "line A");
        hand_free(f);
    }
}

Test(lines, what_the_data_do_not_cover_is_not_shown) {
    const double half[] = {84, 300, 9999, NAN, end, end, end};
    struct hand *f = hand_play(job_us, (struct scene){.a = half, .b = line_84, .main = main_86});
    expect_outcome(hand_check(f, "lines.imbalance", 0, 1), MR_NOT_SHOWN);
    expect_outcome(hand_check(f, "lines.main", 0, 1), MR_CONFORMS);
    cr_expect_eq(hand_count(f, "line-coverage"), 1);
    cr_expect_float_eq(hand_finding(f, "line-coverage", 0)->measured, 50, 0.5);
    hand_free(f);
}

Test(lines, main_pressure_that_is_not_logged_is_not_shown_unless_the_job_asks_for_none) {
    struct hand *f = hand_play(job_us, (struct scene){.a = line_84, .b = line_85, .main = NULL});
    expect_outcome(hand_check(f, "lines.main", 0, 1), MR_NOT_SHOWN);
    cr_expect_eq(hand_count(f, "line-coverage"), 1);
    hand_free(f);
    f = hand_play("[lines]\nmain minimum = none\nmain maximum = none\n",
                  (struct scene){.a = line_84, .b = line_85, .main = NULL});
    cr_expect_null(hand_check(f, "lines.main", 0, 1));
    cr_expect_eq(f->out.findings.n, 0);
    hand_free(f);
}

Test(lines, a_window_in_which_the_lines_were_not_under_pressure_is_not_shown) {
    const double off[] = {0.3, end, end, end};
    struct hand *f = hand_play(job_us, (struct scene){.a = off, .b = off, .main = main_86});
    expect_outcome(hand_check(f, "lines.dropout", 0, 1), MR_NOT_SHOWN);
    cr_expect_eq(hand_count(f, "no-pressure"), 1);
    hand_free(f);
}

/* Half of the logged time is a project decision; a short rest within a row of the log is ordinary. */
Test(lines, most_of_a_coat_without_pressure_is_not_shown) {
    static const struct {
        double from_s, to_s;
        bool shown;
    } rows[] = {{60, 9999, false}, {180, 9999, false}, {0, 400, false},
                {200, 400, true},  {540, 9999, true},  {310, 9999, true}};
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        for (int main_too = 0; main_too < 2; main_too++) {
            const double a[] = {84, rows[i].from_s, rows[i].to_s, 0, end, end, end},
                         m[] = {86, rows[i].from_s, rows[i].to_s, 0, end, end, end};
            struct hand *f = hand_play(job_us, (struct scene){.a = a, .b = a, .main = main_too ? m : main_86});
            const struct mr_check *c = hand_check(f, "lines.pressed", 0, 1);
            cr_expect_eq(c == NULL, rows[i].shown, "row %zu", i);
            if (c)
                expect_outcome(c, MR_NOT_SHOWN);
            cr_expect_eq(hand_count(f, "no-pressure"), rows[i].shown ? 0 : 1, "row %zu", i);
            hand_free(f);
        }
}

Test(lines, without_any_line_log_one_finding_speaks_for_the_job) {
    struct hand *f = hand_play(job_us, (struct scene){.a = NULL, .b = NULL, .main = NULL});
    for (size_t i = 0; i < MR_COUNT(all_checks); i++)
        expect_outcome(hand_check(f, all_checks[i], 0, 1), MR_NOT_SHOWN);
    cr_expect_eq(f->out.findings.n, 1);
    cr_expect_eq(hand_count(f, "no-line-log"), 1);
    hand_free(f);
}

Test(lines, not_required_is_said_and_nothing_is_judged) {
    const double a[] = {84, 300, 305, 20, end, end, end};
    struct hand *f = hand_play("[lines]\nrequired = no\n", (struct scene){.a = a, .b = line_84, .main = main_86});
    cr_expect_eq(f->out.checks.n, 1);
    expect_outcome(hand_check(f, "lines", 0, 0), MR_NOT_REQUIRED);
    cr_expect_eq(f->out.findings.n, 0);
    hand_free(f);
}

Test(lines, of_two_loggers_the_one_tied_to_another_zone_is_not_used) {
    struct hand *f = hand_new(job_us);
    hand_zone(f, "Deck 1", 30, 1);
    hand_zone(f, "Deck 2", 30, 1);
    hand_shift(f, "s", 0, 600);
    hand_window(f, 0, 1, 0, 600);
    const double bad[] = {84, 100, 200, 10, end, end, end};
    size_t k[3] = {hand_track(f, "P0", MR_M_LINE_A, -60, 1, 721, hand_psi_steps, bad),
                   hand_track(f, "P0", MR_M_LINE_B, -60, 1, 721, hand_psi_steps, line_84),
                   hand_track(f, "P0", MR_M_MAIN, -60, 1, 721, hand_psi_steps, main_86)};
    for (size_t i = 0; i < 3; i++) {
        struct mr_stay stay = {1, false, INT64_MIN, INT64_MAX, MR_ROUTE_ASSIGNED};
        MR_PUSH(f->arena, &f->al.tracks.v[k[i]].stays, stay);
    }
    hand_track(f, "P1", MR_M_LINE_A, -60, 1, 721, hand_psi_steps, line_84);
    hand_track(f, "P1", MR_M_LINE_B, -60, 1, 721, hand_psi_steps, line_84);
    hand_track(f, "P1", MR_M_MAIN, -60, 1, 721, hand_psi_steps, main_86);
    mr_assess_lines(&f->a);
    expect_outcome(hand_check(f, "lines.dropout", 0, 1), MR_CONFORMS);
    cr_expect_str_eq(hand_cell(hand_table(f, "line-pressures"), 0, "logger")->text, "P1");
    hand_free(f);
}
