/* test_shift.c - items of the shift record; the shift timeline. */
#include "hand.h"

#include <stdio.h>

static const char job_items[] = "[shift record]\nitems = hoses inspected, Water-leak test\n";

static struct hand *two_shifts(const char *job) {
    struct hand *f = hand_new(job);
    hand_zone(f, "Deck 1", 10, 1);
    hand_zone(f, "Deck 2", 10, 1);
    hand_shift(f, "2026-05-11", 0, 600);
    hand_window(f, 0, 1, 0, 600);
    hand_shift(f, "2026-05-12", 86400, 87000);
    hand_window(f, 1, 1, 86400, 87000);
    return f;
}

Test(shift, an_item_conforms_when_it_is_done_and_signed) {
    static const struct {
        const char *item, *role;
        int done;
        enum mr_outcome want;
        const char *finding;
    } rows[] = {
        {"water leak test", "pump operator", 1, MR_CONFORMS, NULL},
        {"WATER LEAK TEST 30 psi", "pump operator", 1, MR_CONFORMS, NULL},
        {"water leak test", "", 1, MR_NOT_SHOWN, "shift-item-missing"},
        {"water leak test", "pump operator", -1, MR_NOT_SHOWN, "shift-item-missing"},
        {"water leak test", "pump operator", 0, MR_DOES_NOT_CONFORM, "shift-item-no"},
        {"gun stripped", "sprayer", 1, MR_NOT_SHOWN, "shift-item-missing"},
        {"leak test", "pump operator", 1, MR_CONFORMS, NULL},
        {"water", "pump operator", 1, MR_NOT_SHOWN, "shift-item-missing"},
        {"water", "pump operator", 0, MR_DOES_NOT_CONFORM, "shift-item-no"},
        {"e", "pump operator", 1, MR_NOT_SHOWN, "shift-item-missing"},
        {"no water leak test", "pump operator", 1, MR_NOT_SHOWN, "shift-item-missing"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = two_shifts(job_items);
        for (int s = 0; s < 2; s++)
            hand_item(f, s, "Hoses inspected", 1, "pump operator");
        hand_item(f, 1, "water leak test", 1, "pump operator");
        hand_item(f, 0, rows[i].item, rows[i].done, rows[i].role);
        mr_assess_shift(&f->a);
        expect_outcome(hand_check(f, "shift.items", 0, 0), rows[i].want);
        expect_outcome(hand_check(f, "shift.items", 1, 0), MR_CONFORMS);
        cr_expect_eq(f->out.findings.n, rows[i].finding == NULL ? 0 : 1, "row %zu", i);
        if (rows[i].finding != NULL)
            cr_expect_eq(hand_count(f, rows[i].finding), 1, "row %zu", i);
        hand_free(f);
    }
}

Test(shift, a_no_is_not_covered_by_a_yes) {
    struct hand *f = two_shifts("[shift record]\nitems = hoses inspected\n");
    hand_item(f, 0, "hoses inspected", 1, "pump operator");
    hand_item(f, 0, "hoses inspected", 0, "pump operator");
    hand_item(f, 1, "hoses inspected", 1, "pump operator");
    mr_assess_shift(&f->a);
    expect_outcome(hand_check(f, "shift.items", 0, 0), MR_DOES_NOT_CONFORM);
    hand_free(f);
}

/* What the work presupposes stands before the first trigger pull, where the record gives a time. */
Test(shift, what_is_due_before_spraying_is_not_shown_by_a_later_row) {
    static const struct {
        const char *job, *item;
        double at_s; /* from the first trigger pull, 08:00 UTC; -28800 is midnight, a bare date */
        enum mr_outcome want;
    } rows[] = {
        {"items = steel accepted", "steel accepted", -1800, MR_CONFORMS},
        {"items = steel accepted", "steel accepted", 0, MR_CONFORMS},
        {"items = steel accepted", "steel accepted", 59, MR_CONFORMS}, /* within the minute */
        {"items = steel accepted", "steel accepted", 60, MR_NOT_SHOWN},
        {"items = steel accepted", "steel accepted", 37800, MR_NOT_SHOWN},
        {"items = steel accepted", "steel accepted", -28800, MR_CONFORMS},
        {"items = hoses inspected", "hoses inspected", 37800, MR_NOT_SHOWN},
        {"items = water leak test", "water leak test", 37800, MR_NOT_SHOWN},
        {"items = surface profile measured", "surface profile measured", 37800, MR_NOT_SHOWN},
        {"items = gun stripped", "gun stripped", 37800, MR_CONFORMS},
        {"items = hoses cleaned after work", "hoses cleaned after work", 37800, MR_CONFORMS},
        {"items = part sides marked\nbefore spraying = part sides marked", "part sides marked", 37800, MR_NOT_SHOWN},
        {"items = steel accepted\nbefore spraying =", "steel accepted", 37800, MR_NOT_SHOWN},
        {"items = gun stripped\nbefore spraying = steel acepted", "gun stripped", 37800, MR_NOT_SHOWN},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        char job[200];
        snprintf(job, sizeof job, "[shift record]\n%s\n", rows[i].job);
        struct hand *f = two_shifts(job);
        hand_item(f, 0, rows[i].item, 1, "inspector");
        f->data.shift_items.v[0].day_ms = hand_ms(rows[i].at_s);
        mr_assess_shift(&f->a);
        expect_outcome(hand_check(f, "shift.items", 0, 0), rows[i].want);
        const struct mr_finding *told = hand_finding(f, "shift-item-missing", 0);
        cr_expect(rows[i].want == MR_CONFORMS || (told && strstr(told->what, "Shift 2026-05-11")), "row %zu", i);
        hand_free(f);
    }
}

/* Inspected again later, it was inspected before; and a no at any time is a no. */
Test(shift, a_later_row_takes_nothing_from_an_earlier_one) {
    for (int done = 0; done < 2; done++) {
        struct hand *f = two_shifts("[shift record]\nitems = hoses inspected\n");
        hand_item(f, 0, "hoses inspected", 1, "pump operator");
        hand_item(f, 0, "hoses inspected", done, "pump operator");
        f->data.shift_items.v[0].day_ms = hand_ms(-600);
        f->data.shift_items.v[1].day_ms = hand_ms(9000);
        mr_assess_shift(&f->a);
        expect_outcome(hand_check(f, "shift.items", 0, 0), done ? MR_CONFORMS : MR_DOES_NOT_CONFORM);
        hand_free(f);
    }
}

Test(shift, a_day_without_a_record_is_not_shown_and_its_items_are_named) {
    struct hand *f = two_shifts(job_items);
    hand_item(f, 0, "hoses inspected", 1, "pump operator");
    hand_item(f, 0, "water leak test", 1, "pump operator");
    mr_assess_shift(&f->a);
    const struct mr_check *c = hand_check(f, "shift.items", 1, 0);
    expect_outcome(c, MR_NOT_SHOWN);
    cr_expect_str_eq(c->detail, "hoses inspected: not in the record; Water-leak test: not in the record.");
    cr_expect_eq(hand_count(f, "shift-item-missing"), 2);
    hand_free(f);
}

Test(shift, what_nobody_asked_for_is_shown_and_not_judged) {
    struct hand *f = two_shifts("");
    hand_item(f, 0, "gun stripped", 0, "sprayer");
    hand_item(f, -1, "hoses inspected", 1, "pump operator");
    mr_assess_shift(&f->a);
    cr_expect_eq(f->out.checks.n, 0);
    cr_expect_eq(f->out.findings.n, 0);
    const struct mr_table *t = hand_table(f, "shift-record");
    cr_expect_eq(t->n_rows, 2);
    cr_expect_str_eq(hand_cell(t, 1, "why")->text, "no shift on that day");
    hand_free(f);
}

Test(shift, a_zone_answers_only_for_what_its_own_specification_asks) {
    struct hand *f = two_shifts("[shift record]\nitems = hoses inspected\n\n[shift record \"tank\"]\nitems = hoses "
                                "inspected, gun stripped\n");
    f->al.zones.v[1].settings = mr_job_spec(f->job, "tank");
    f->al.windows.v[1].shift = 0; /* both in one shift */
    hand_item(f, 0, "hoses inspected", 1, "pump operator");
    mr_assess_shift(&f->a);
    expect_outcome(hand_check(f, "shift.items", 0, 0), MR_CONFORMS);
    expect_outcome(hand_check(f, "shift.items", 1, 0), MR_NOT_SHOWN);
    cr_expect_eq(hand_count(f, "shift-item-missing"), 1);
    hand_free(f);
}

Test(shift, a_zone_that_was_never_sprayed_has_no_shift_to_show) {
    struct hand *f = two_shifts(job_items);
    hand_zone(f, "Deck 3", 10, 1);
    mr_assess_shift(&f->a);
    expect_outcome(hand_check(f, "shift.items", 2, 0), MR_NOT_SHOWN);
    hand_free(f);
}

Test(timeline, each_shift_tells_its_windows_actions_and_events_in_order_of_time) {
    struct hand *f = two_shifts("");
    hand_action(f, MR_ACTION_WATER_TEST, -900, -600);
    hand_action(f, MR_ACTION_CLEAN_OUT, 87100, 88000);
    struct mr_heat_event heat = {
        .zone = 0, .coat = 1, .window = 0, .t_onset = hand_ms(120), .t_peak = hand_ms(300), .rise_k = 5};
    MR_PUSH(f->arena, &f->out.heats, heat);
    struct mr_verification v = {.file = FILE_CLIMATE,
                                .line = 3,
                                .serial = "G1",
                                .certified_written = 10,
                                .certified_unit = MR_UNIT_MIL,
                                .reading_written = 10.1,
                                .unit = MR_UNIT_MIL,
                                .when = "before"};
    struct mr_checked at = {&v, hand_ms(-60)};
    MR_PUSH(f->arena, &f->al.checks, at);
    mr_assess_shift_timeline(&f->a);
    static const struct {
        enum mr_shift_event_kind kind;
        size_t shift;
    } want[] = {{MR_EVENT_ACTION, 0}, {MR_EVENT_CHECK, 0},  {MR_EVENT_WINDOW, 0},
                {MR_EVENT_HEAT, 0},   {MR_EVENT_WINDOW, 1}, {MR_EVENT_ACTION, 1}};
    cr_assert_eq(f->out.timeline.n, MR_COUNT(want));
    for (size_t i = 0; i < MR_COUNT(want); i++)
        cr_expect(f->out.timeline.v[i].kind == want[i].kind && f->out.timeline.v[i].shift == want[i].shift,
                  "row %zu: %s", i, f->out.timeline.v[i].what);
    cr_expect_str_eq(f->out.timeline.v[3].what, "coat 1, rise of 5.0 K");
    cr_expect_eq(hand_table(f, "shift-timeline")->n_rows, 6);
    hand_free(f);
}

Test(timeline, what_happens_long_after_a_shift_belongs_to_none) {
    struct hand *f = two_shifts("");
    hand_action(f, MR_ACTION_OTHER, 600 + 5 * 3600, 600 + 5 * 3600 + 60);
    hand_action(f, MR_ACTION_OTHER, 600 + 7 * 3600, 600 + 7 * 3600 + 60);
    mr_assess_shift_timeline(&f->a);
    cr_expect_eq(f->out.timeline.v[1].shift, 0);
    cr_expect_eq(f->out.timeline.v[3].shift, MR_NONE);
    const struct mr_table *t = hand_table(f, "shift-timeline");
    cr_expect_eq(hand_cell(t, 3, "shift")->type, MR_V_BLANK);
    hand_free(f);
}
