/* test_clock_hold.c - nothing is judged by a clock, a place or a date that looks wrong. */
#include "hand.h"

#include "assess/finding/clock_hold.h"

static struct mr_clock_doubt doubt_over(struct hand *f, enum mr_doubt_kind kind, const char *file, uint32_t line) {
    struct mr_clock_doubt d = {.kind = kind,
                               .clock = MR_NONE,
                               .who = "the clock of K8",
                               .looks = "24 h slow",
                               .offset_s = -86400,
                               .fits = 11,
                               .fits_given = 1,
                               .seen = 12,
                               .paste = "[instrument \"K8\"]\nclock offset = -24 h"};
    struct mr_place place = {file, line, 0, 0};
    MR_PUSH(f->arena, &d.places, place);
    return d;
}

/* A check of zone 0 on lines 10 to 20 of lines.csv, handed in; its outcome then. */
static enum mr_outcome handed_in(struct hand *f, enum mr_outcome outcome, size_t zone, const char *file) {
    struct mr_check c = mr_blank_check("x.y", "x", "lines", zone, 1);
    c.outcome = outcome;
    c.detail = "Seen.";
    mr_add_evidence(&f->a, &c.evidence, (struct mr_place){file, 10, 20, 0}, NULL);
    mr_add_check(&f->a, &c);
    cr_expect_eq(f->out.checks.v[f->out.checks.n - 1].outcome, c.outcome);
    return c.outcome;
}

Test(clock_hold, neither_conforms_nor_does_not_conform_stands_on_a_doubted_file) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck 1", 30, 1);
    struct mr_clock_doubt d = doubt_over(f, MR_DOUBT_CLOCK, "lines.csv", 0);
    MR_PUSH(f->arena, &f->al.doubts, d);
    cr_expect_eq(handed_in(f, MR_CONFORMS, 0, "lines.csv"), MR_NOT_SHOWN);
    cr_expect_eq(handed_in(f, MR_DOES_NOT_CONFORM, 0, "lines.csv"), MR_NOT_SHOWN);
    cr_expect_str_eq(f->out.checks.v[1].detail,
                     "The clock of K8 looks 24 h slow: resolve that first. As recorded it does not conform. Seen.");
    cr_expect_eq(handed_in(f, MR_NOT_REQUIRED, 0, "lines.csv"), MR_NOT_REQUIRED);
    cr_expect_eq(handed_in(f, MR_DOES_NOT_CONFORM, 0, "climate.csv"), MR_DOES_NOT_CONFORM);
    f->al.doubts.v[0].applied = true;
    cr_expect_eq(handed_in(f, MR_DOES_NOT_CONFORM, 0, "lines.csv"), MR_DOES_NOT_CONFORM);
    hand_free(f);
}

Test(clock_hold, a_doubt_over_rows_or_zones_reaches_no_farther) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck 1", 30, 1);
    hand_zone(f, "Deck 2", 30, 1);
    static const struct {
        uint32_t line;
        enum mr_outcome want;
    } rows[] = {{9, MR_CONFORMS}, {10, MR_NOT_SHOWN}, {20, MR_NOT_SHOWN}, {21, MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        f->al.doubts.n = 0;
        struct mr_clock_doubt d = doubt_over(f, MR_DOUBT_ROW, "spray.csv", rows[i].line);
        MR_PUSH(f->arena, &f->al.doubts, d);
        cr_expect_eq(handed_in(f, MR_CONFORMS, 0, "spray.csv"), rows[i].want, "line %u", rows[i].line);
    }
    f->al.doubts.n = 0;
    const bool zones[] = {false, true};
    struct mr_clock_doubt d = doubt_over(f, MR_DOUBT_CHANNELS, "lines.csv", 0);
    d.zones = zones;
    MR_PUSH(f->arena, &f->al.doubts, d);
    cr_expect_eq(handed_in(f, MR_CONFORMS, 0, "lines.csv"), MR_CONFORMS);
    cr_expect_eq(handed_in(f, MR_CONFORMS, 1, "lines.csv"), MR_NOT_SHOWN);
    cr_expect_eq(handed_in(f, MR_CONFORMS, MR_NONE, "lines.csv"), MR_CONFORMS);
    hand_free(f);
}

Test(clock_hold, an_error_becomes_a_warning_that_names_the_doubt_and_the_doubt_has_its_finding) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck 1", 30, 1);
    struct mr_clock_doubt d = doubt_over(f, MR_DOUBT_CLOCK, "lines.csv", 0);
    MR_PUSH(f->arena, &f->al.doubts, d);
    struct mr_finding e = mr_blank_finding("dropout", MR_ERROR, 0, 1);
    e.what = "Line A dropped out.";
    mr_add_evidence(&f->a, &e.evidence, (struct mr_place){"lines.csv", 12, 0, 0}, NULL);
    mr_add_finding(&f->a, &e);
    cr_expect_eq(f->out.findings.v[0].severity, MR_WARNING);
    cr_expect_str_eq(f->out.findings.v[0].what,
                     "Line A dropped out. The clock of K8 looks 24 h slow: resolve that first.");
    mr_assess_provenance(&f->a);
    const struct mr_finding *found = hand_finding(f, "wrong-clock", 0);
    cr_assert_not_null(found);
    cr_expect_eq(found->severity, MR_WARNING);
    cr_expect_not_null(strstr(found->what, "11 of the 12 coats"), "%s", found->what);
    cr_expect_not_null(strstr(found->next_step, "clock offset = -24 h"), "%s", found->next_step);
    hand_free(f);
}

/* What is not shown anyway is told why, and what settles it; a remark on a file as a whole keeps its own advice. */
Test(clock_hold, what_is_not_shown_anyway_gets_the_reason_and_what_settles_it) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck 1", 30, 1);
    struct mr_clock_doubt d = doubt_over(f, MR_DOUBT_CLOCK, "lines.csv", 0);
    MR_PUSH(f->arena, &f->al.doubts, d);
    cr_expect_eq(handed_in(f, MR_NOT_SHOWN, 0, "lines.csv"), MR_NOT_SHOWN);
    cr_expect_str_eq(f->out.checks.v[0].detail, "The clock of K8 looks 24 h slow: resolve that first. Seen.");
    for (size_t zone = 0; zone < 2; zone++) {
        struct mr_finding w = mr_blank_finding("heat-not-shown", MR_WARNING, zone == 0 ? 0 : MR_NONE, 0);
        w.what = "No data.";
        w.next_step = "Find the data.";
        mr_add_evidence(&f->a, &w.evidence, (struct mr_place){"lines.csv", 12, 0, 0}, NULL);
        mr_add_finding(&f->a, &w);
    }
    cr_expect_str_eq(f->out.findings.v[0].next_step, mr_doubt_next_step(&f->a, &d));
    cr_expect_str_eq(f->out.findings.v[1].next_step, "Find the data.");
    struct mr_place in = {"lines.csv", 5, 0, 0}, beside = {"climate.csv", 5, 0, 0};
    cr_expect(mr_is_doubted(&f->a, 0, &in));
    cr_expect_not(mr_is_doubted(&f->a, 0, &beside));
    hand_free(f);
}

Test(clock_hold, a_row_a_day_late_makes_no_pause_of_a_day) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck 1", 30, 1);
    hand_zone(f, "Deck 2", 30, 1);
    hand_shift(f, "2026-05-11", 0, 1300);
    hand_window(f, 0, 1, 0, 600);
    size_t late = hand_window(f, 1, 1, 700 + 86400, 1300 + 86400);
    f->al.windows.v[late].date_error_ms = 86400000;
    struct mr_clock_doubt d = doubt_over(f, MR_DOUBT_ROW, "spray.csv", f->al.windows.v[late].place.line);
    MR_PUSH(f->arena, &f->al.doubts, d);
    mr_assess_lines(&f->a);
    cr_expect_null(hand_check(f, "lines.clean-out", 1, 1));
    cr_expect_null(hand_check(f, "lines.pause", 1, 1));
    cr_expect_float_eq(hand_cell(hand_table(f, "pauses"), 0, "duration_min")->number, 100.0 / 60, 1e-9);
    hand_free(f);
}
