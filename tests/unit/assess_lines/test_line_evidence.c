/*
 * test_line_evidence.c - what a record of the lines leaves open: holes, slow loggers, ends of a coat without
 * pressure, a main that is out again and again, a gauge that stands still. The rules are the project's own.
 */
#include "hand.h"

#include <stdio.h>

#define PSI 6.894757293168361

static const double end = NAN;
static const double line_84[] = {84, NAN, NAN, NAN}, line_85[] = {85, NAN, NAN, NAN}, main_86[] = {86, NAN, NAN, NAN};

Test(line_evidence, a_hole_that_may_hold_an_event_is_not_shown) {
    static const struct {
        double from_s, to_s, step_s;
        int channel; /* 0 A, 1 B, 2 main, 3 all */
        bool shown;
    } rows[] = {{100, 120, 1, 2, false}, {100, 120, 1, 0, false}, {100, 120, 1, 1, false}, {100, 120, 1, 3, false},
                {100, 103, 1, 2, false}, {100, 102, 1, 2, true},  {100, 102, 1, 3, true},  {-20, 2, 1, 0, true},
                {-20, 4, 1, 0, false},   {596, 640, 1, 0, false}, {598, 640, 1, 0, true},  {99, 101, 2, 2, true},
                {99, 103, 2, 2, false},  {99, 103, 5, 2, false},  {99, 103, 10, 1, false}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double with_hole[3][7] = {{84, rows[i].from_s, rows[i].to_s, NAN, end, end, end},
                                        {85, rows[i].from_s, rows[i].to_s, NAN, end, end, end},
                                        {86, rows[i].from_s, rows[i].to_s, NAN, end, end, end}};
        const double *v[3] = {line_84, line_85, main_86};
        for (int k = 0; k < 3; k++)
            v[k] = rows[i].channel == k || rows[i].channel == 3 ? with_hole[k] : v[k];
        struct hand *f = hand_play("", (struct scene){.a = v[0], .b = v[1], .main = v[2], .step_s = rows[i].step_s});
        const struct mr_check *c = hand_check(f, "lines.holes", 0, 1);
        cr_expect_eq(c == NULL, rows[i].shown, "row %zu", i);
        cr_expect_eq(hand_count(f, "line-hole"), !rows[i].shown, "row %zu", i);
        if (c)
            expect_outcome(c, MR_NOT_SHOWN);
        hand_free(f);
    }
}

Test(line_evidence, samples_missing_beside_a_short_event_leave_it_open) {
    static const struct {
        double low_from_s, low_to_s, hole_from_s, hole_to_s;
        enum mr_outcome want;
    } rows[] = {{302, 304, 300, 302, MR_NOT_SHOWN},
                {300, 302, 302, 303, MR_NOT_SHOWN},
                {302, 303, 300, 302, MR_NOT_SHOWN},
                {303, 304, 300, 302, MR_CONFORMS},
                {300, 301, 304, 306, MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double low[] = {
            86, rows[i].low_from_s, rows[i].low_to_s, 70, rows[i].hole_from_s, rows[i].hole_to_s, NAN, end, end, end};
        struct hand *f = hand_play("", (struct scene){.a = line_84, .b = line_85, .main = low});
        expect_outcome(hand_check(f, "lines.main", 0, 1), rows[i].want);
        hand_free(f);
    }
}

/* Takes the samples of a track out, as if the logger had written no rows then. */
static void cut(struct hand *f, size_t track, double from_s, double to_s) {
    struct mr_track *t = &f->al.tracks.v[track];
    int64_t *moment = MR_ARRAY(f->arena, int64_t, t->n), *line = MR_ARRAY(f->arena, int64_t, t->n);
    double *value = MR_ARRAY(f->arena, double, t->n);
    size_t n = 0;
    for (size_t i = 0; i < t->n; i++) {
        if (mr_track_ms(t, i) >= hand_ms(from_s) && mr_track_ms(t, i) < hand_ms(to_s))
            continue;
        moment[n] = mr_track_ms(t, i);
        line[n] = mr_track_line(t, i);
        value[n++] = mr_track_value(t, i);
    }
    t->n = n;
    t->t_utc_ms.raw = moment;
    t->line.raw = line;
    t->value.raw = value;
}

Test(line_evidence, rows_that_are_missing_are_what_blank_cells_are) {
    static const struct {
        double low_from_s, low_to_s, cut_from_s, cut_to_s;
        bool open;
    } rows[] = {{0, 0, 300, 303, true},      {0, 0, 300, 302, false},    {302, 304, 300, 302, true},
                {303, 304, 300, 302, false}, {300, 302, 302, 303, true}, {302, 303, 300, 302, true},
                {0, 0, -30, 14, true},       {300, 302, 302, 330, true}};
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        for (int who = 0; who < 3; who++) {
            const double low[3][7] = {{84, rows[i].low_from_s, rows[i].low_to_s, 20, end, end, end},
                                      {85, rows[i].low_from_s, rows[i].low_to_s, 20, end, end, end},
                                      {86, rows[i].low_from_s, rows[i].low_to_s, 20, end, end, end}};
            struct hand *f = hand_new("");
            hand_zone(f, "Deck 1", 30, 1);
            hand_shift(f, "2026-05-11", 0, 600);
            hand_window(f, 0, 1, 0, 600);
            static const enum mr_meaning meaning[] = {MR_M_LINE_A, MR_M_LINE_B, MR_M_MAIN};
            const double *sound[] = {line_84, line_85, main_86};
            for (int k = 0; k < 3; k++) {
                const size_t t =
                    hand_track(f, "P1", meaning[k], -60, 1, 721, hand_psi_steps, k == who ? low[k] : sound[k]);
                if (k == who)
                    cut(f, t, rows[i].cut_from_s, rows[i].cut_to_s);
            }
            mr_assess_lines(&f->a);
            enum mr_outcome worst = MR_NOT_REQUIRED;
            for (size_t k = 0; k < f->out.checks.n; k++)
                worst = mr_outcome_worst(worst, f->out.checks.v[k].outcome);
            cr_expect_eq(worst, rows[i].open ? MR_NOT_SHOWN : MR_CONFORMS, "row %zu, track %d: %s", i, who,
                         mr_outcome_text(worst));
            hand_free(f);
        }
}

Test(line_evidence, a_hole_while_the_lines_rest_leaves_nothing_open) {
    const double rest[] = {84, 200, 300, 0.3, 220, 280, NAN, end, end, end},
                 main_too[] = {86, 220, 280, NAN, end, end, end};
    struct hand *f = hand_play("", (struct scene){.a = rest, .b = rest, .main = main_86});
    cr_expect_null(hand_check(f, "lines.holes", 0, 1));
    hand_free(f);
    f = hand_play("", (struct scene){.a = rest, .b = rest, .main = main_too});
    cr_expect_not_null(hand_check(f, "lines.holes", 0, 1), "the lines are not seen at rest throughout");
    hand_free(f);
}

/* Told from the event time on, not shown above the settling time. */
Test(line_evidence, a_slow_logger_is_told_and_a_very_slow_one_shows_nothing) {
    static const struct {
        double step_s;
        const char *job;
        enum mr_outcome want;
        size_t told;
    } rows[] = {{1, "", MR_NOT_REQUIRED, 0},
                {3, "", MR_NOT_REQUIRED, 0},
                {4, "", MR_CONFORMS, 1},
                {10, "", MR_CONFORMS, 1},
                {12, "", MR_NOT_SHOWN, 1},
                {29, "", MR_NOT_SHOWN, 1},
                {12, "[lines]\nevent time = 12 s\n", MR_NOT_REQUIRED, 0}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = hand_play(
            rows[i].job, (struct scene){.a = line_84, .b = line_85, .main = main_86, .step_s = rows[i].step_s});
        const struct mr_check *c = hand_check(f, "lines.pace", 0, 1);
        if (rows[i].want == MR_NOT_REQUIRED)
            cr_expect_null(c, "row %zu", i);
        else
            expect_outcome(c, rows[i].want);
        cr_expect_eq(hand_count(f, "slow-line-log"), rows[i].told, "row %zu", i);
        hand_free(f);
    }
}

/* A hand-kept time may be off by a minute, and so may the logger's clock: 120 s in all by default. */
Test(line_evidence, a_coat_begins_and_ends_under_pressure) {
    static const struct {
        double up_s, down_s;
        const char *job;
        bool start, stop;
    } rows[] = {{-60, 660, "", true, true},
                {118, 482, "", true, true},
                {122, 600, "", false, true},
                {210, 660, "", false, true},
                {-60, 478, "", true, false},
                {-60, 310, "", true, false},
                {118, 600, "[alignment]\nclock tolerance = 10 s\n", false, true}};
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        for (int missing = 0; missing < 2; missing++) {
            const double off = missing ? NAN : 0.3,
                         a[] = {84, -60, rows[i].up_s, off, rows[i].down_s, 700, off, end, end, end};
            struct hand *f = hand_play(rows[i].job, (struct scene){.a = a, .b = a, .main = main_86});
            cr_expect_eq(hand_check(f, "lines.start", 0, 1) == NULL, rows[i].start, "row %zu", i);
            cr_expect_eq(hand_check(f, "lines.stop", 0, 1) == NULL, rows[i].stop, "row %zu", i);
            cr_expect_eq(hand_count(f, "no-pressure-at-end"), !rows[i].start + !rows[i].stop);
            hand_free(f);
        }
}

/* psi; out for ctx[1] of every ctx[0] seconds between ctx[2] and ctx[3], by ctx[4] and ctx[5] in turn. */
static double bursts(double t_s, const double *ctx) {
    const double in = t_s - ctx[2], turn = floor(in / ctx[0]);
    const bool out = t_s >= ctx[2] && t_s < ctx[3] && in - turn * ctx[0] < ctx[1];
    return (out ? (fmod(turn, 2) > 0 ? ctx[5] : ctx[4]) : 86.0) * PSI;
}

Test(line_evidence, a_main_that_is_out_again_and_again_does_not_conform) {
    static const struct {
        double every_s, for_s, from_s, to_s, one_psi, other_psi;
        enum mr_outcome want;
    } rows[] = {{5, 2, 0, 600, 60, 120, MR_DOES_NOT_CONFORM},  {5, 2, 0, 600, 60, 60, MR_DOES_NOT_CONFORM},
                {5, 2, 0, 600, 120, 120, MR_DOES_NOT_CONFORM}, {5, 2, 200, 230, 60, 60, MR_NOT_SHOWN},
                {8, 1, 200, 280, 60, 60, MR_NOT_SHOWN},        {20, 1, 0, 600, 60, 60, MR_NOT_REQUIRED},
                {60, 2, 0, 600, 60, 120, MR_NOT_REQUIRED},     {5, 2, 200, 210, 60, 60, MR_NOT_REQUIRED}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double ctx[] = {rows[i].every_s, rows[i].for_s,   rows[i].from_s,
                              rows[i].to_s,    rows[i].one_psi, rows[i].other_psi};
        struct hand *f = hand_play("", (struct scene){.a = line_84, .b = line_85, .main = ctx, .of_main = bursts});
        const struct mr_check *c = hand_check(f, "lines.main-brief", 0, 1);
        if (rows[i].want == MR_NOT_REQUIRED)
            cr_expect_null(c, "row %zu", i);
        else
            expect_outcome(c, rows[i].want);
        cr_expect_eq(hand_count(f, "main-brief"), rows[i].want != MR_NOT_REQUIRED, "row %zu", i);
        expect_outcome(hand_check(f, "lines.main", 0, 1), MR_CONFORMS);
        hand_free(f);
    }
}

/* kPa; ctx: middle, swing, digit; from, to: one value meanwhile (NaN: never). */
static double stroking(double t_s, const double *ctx) {
    const bool still = t_s >= ctx[3] && t_s < ctx[4];
    const double swing = still ? 0.0 : ctx[1] * sin(2.4 * t_s + ctx[0]) + 0.3 * ctx[1] * sin(0.77 * t_s);
    return ctx[2] * round((ctx[0] + swing) / ctx[2]);
}

Test(line_evidence, a_line_that_stands_still_while_the_other_moves_shows_nothing) {
    static const struct {
        double digit, from_a, to_a, from_b, to_b;
        size_t told;
    } rows[] = {{1, NAN, NAN, NAN, NAN, 0}, {1, -60, 660, NAN, NAN, 1}, {1, NAN, NAN, -60, 660, 1},
                {1, 200, 300, NAN, NAN, 1}, {1, 200, 250, NAN, NAN, 0}, {1, 200, 300, 200, 300, 0},
                {1, 0, 600, 0, 600, 1},     {10, 0, 600, 0, 600, 0},    {10, -60, 660, NAN, NAN, 0}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double a[] = {600, 6, rows[i].digit, rows[i].from_a, rows[i].to_a},
                     b[] = {604, 6, rows[i].digit, rows[i].from_b, rows[i].to_b};
        struct hand *f =
            hand_play("", (struct scene){.a = a, .b = b, .main = main_86, .of_a = stroking, .of_b = stroking});
        const struct mr_check *c = hand_check(f, "lines.still", 0, 1);
        cr_expect_eq(hand_count(f, "still-line"), rows[i].told, "row %zu", i);
        cr_expect_eq(c != NULL, rows[i].told, "row %zu", i);
        if (c)
            expect_outcome(c, MR_NOT_SHOWN);
        hand_free(f);
    }
}

/* kPa over the time of a test from -600 s: a fall from ctx[1] psi at ctx[0], by ctx[2] a second, and a valve at
 * ctx[3]. */
static double sinking(double t_s, const double *ctx) {
    const double sunk = t_s < ctx[0] ? ctx[1] : fmax(0.3, ctx[1] - ctx[2] * (t_s - ctx[0])),
                 psi = t_s < -600 || t_s >= ctx[3] ? 0.3 : sunk;
    return (t_s >= -30 ? 86 : psi) * PSI;
}

Test(line_evidence, a_water_test_holds_its_pressure) {
    static const struct {
        double from_s, psi, fall_psi_s, valve_s;
        int leaks; /* 0 A, 1 B, 2 both */
        enum mr_outcome want;
    } rows[] = {{-300, 30, 3, -100, 2, MR_CONFORMS},
                {-600, 30, 0.07, -100, 2, MR_DOES_NOT_CONFORM},
                {-600, 30, 0.07, -100, 0, MR_DOES_NOT_CONFORM},
                {-600, 30, 0.07, -100, 1, MR_DOES_NOT_CONFORM},
                {-600, 40, 0.05, -100, 2, MR_DOES_NOT_CONFORM},
                {-600, 40, 0.05, -310, 2, MR_DOES_NOT_CONFORM}, /* sinks to 25.5 psi, never below the least */
                {-600, 30, 0.01, -310, 2, MR_CONFORMS},
                {-580, 30, 3, -100, 2, MR_NOT_SHOWN},
                {-540, 30, 3, -100, 2, MR_CONFORMS},
                {-300, 23, 3, -100, 2, MR_DOES_NOT_CONFORM}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double fall[] = {rows[i].from_s, rows[i].psi, rows[i].fall_psi_s, rows[i].valve_s},
                     valve[] = {-300, rows[i].psi, 3, -100};
        struct hand *f = hand_new("");
        hand_zone(f, "Deck 1", 30, 1);
        hand_shift(f, "2026-05-11", 0, 600);
        hand_window(f, 0, 1, 0, 600);
        hand_track(f, "P1", MR_M_LINE_A, -700, 1, 1400, sinking, rows[i].leaks == 1 ? valve : fall);
        hand_track(f, "P1", MR_M_LINE_B, -700, 1, 1400, sinking, rows[i].leaks == 0 ? valve : fall);
        hand_action(f, MR_ACTION_WATER_TEST, -600, -300);
        mr_assess_lines(&f->a);
        expect_outcome(hand_check(f, "lines.water-test", MR_NONE, 0), rows[i].want);
        cr_expect_eq(hand_count(f, "water-test"), rows[i].want != MR_CONFORMS, "row %zu", i);
        hand_free(f);
    }
}

Test(line_evidence, a_water_test_of_the_shift_record_leaves_its_trace_in_the_log) {
    static const struct {
        const char *item;
        double log_from_s, test_from_s, test_to_s, first_psi;
        bool row;
        enum mr_outcome want;
    } rows[] = {{"water leak test", -900, -600, -300, 0.3, false, MR_CONFORMS},
                {"water leak test", -900, 1, 0, 0.3, false, MR_NOT_SHOWN},
                {"water leak test", -900, -600, -565, 0.3, false, MR_NOT_SHOWN},
                {"leak test", -900, 1, 0, 0.3, false, MR_NOT_SHOWN},
                {"hoses inspected", -900, 1, 0, 0.3, false, MR_CONFORMS},
                {"water leak test", -900, 1, 0, 0.3, true, MR_CONFORMS},
                {"water leak test", -200, 1, 0, 0.3, false, MR_CONFORMS},
                {"water leak test", -900, 1, 0, 40, false, MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        char job[80];
        snprintf(job, sizeof job, "[shift record]\nitems = %s\n", rows[i].item);
        struct hand *f = hand_new(job);
        hand_zone(f, "Deck 1", 30, 1);
        hand_shift(f, "2026-05-11", 0, 600);
        hand_window(f, 0, 1, 0, 600);
        const double lines[] = {
            0.3, -900, -880, rows[i].first_psi, rows[i].test_from_s, rows[i].test_to_s, 30, -20, 700, 86,
            end, end,  end};
        const size_t n = (size_t)(600 - rows[i].log_from_s);
        hand_track(f, "P1", MR_M_LINE_A, rows[i].log_from_s, 1, n, hand_psi_steps, lines);
        hand_track(f, "P1", MR_M_LINE_B, rows[i].log_from_s, 1, n, hand_psi_steps, lines);
        if (rows[i].row)
            hand_action(f, MR_ACTION_WATER_TEST, -1500, -1200);
        hand_item(f, 0, rows[i].item, 1, "pump operator");
        mr_assess_shift(&f->a);
        expect_outcome(hand_check(f, "shift.items", 0, 0), rows[i].want);
        cr_expect_eq(hand_count(f, "shift-item-missing"), rows[i].want != MR_CONFORMS, "row %zu", i);
        hand_free(f);
    }
}
