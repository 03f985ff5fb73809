/* test_provenance.c - clocks, routes, settings in force, the account of files, findings from diagnostics. */
#include "hand.h"

static void reading(struct hand *f, uint32_t line, size_t zone, enum mr_route route) {
    struct mr_reading *r = MR_NEW(f->arena, struct mr_reading);
    *r = (struct mr_reading){.file = FILE_CLIMATE,
                             .line = line,
                             .t_ms = hand_ms(10),
                             .zone = "deck 1",
                             .coat = "",
                             .area = "",
                             .spot = "",
                             .serial = "G1",
                             .probe = "",
                             .note = "",
                             .film_um = 254,
                             .written = 10,
                             .unit = MR_UNIT_MIL};
    struct mr_placed p = {
        .reading = r, .t_utc_ms = hand_ms(10), .zone = zone, .route = route, .route_note = "", .window = MR_NONE};
    MR_PUSH(f->arena, &f->al.readings, p);
    f->al.by_route[route]++;
}

Test(provenance, a_clock_error_above_the_threshold_is_found_with_its_spread) {
    struct hand *f = hand_new("");
    struct mr_clock clock = {.instrument = "T1",
                             .time_zone = "UTC",
                             .estimated = true,
                             .est_offset_s = 241,
                             .est_spread_s = 12,
                             .est_events = 9,
                             .est_against = "the spray log",
                             .est_finding = true};
    MR_PUSH(f->arena, &f->al.clocks, clock);
    clock.instrument = "T2";
    clock.est_finding = false;
    MR_PUSH(f->arena, &f->al.clocks, clock);
    mr_assess_provenance(&f->a);
    cr_expect_eq(hand_count(f, "clock-error"), 1);
    const struct mr_finding *found = hand_finding(f, "clock-error", 0);
    cr_expect_float_eq(found->measured, 241, 0);
    cr_expect_not_null(strstr(found->what, "4.0 min fast"), "%s", found->what);
    cr_expect_not_null(strstr(found->what, "not corrected"), "%s", found->what);
    cr_expect_eq(hand_table(f, "clocks")->n_rows, 2);
    hand_free(f);
}

Test(provenance, readings_without_a_zone_are_counted_with_their_lines) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck 1", 10, 1);
    reading(f, 5, 0, MR_ROUTE_OWN);
    for (uint32_t line = 6; line <= 9; line++)
        reading(f, line, MR_NONE, MR_ROUTE_NONE);
    reading(f, 12, MR_NONE, MR_ROUTE_NONE);
    mr_assess_provenance(&f->a);
    const struct mr_finding *found = hand_finding(f, "unassigned-readings", 0);
    cr_assert_not_null(found);
    cr_expect_float_eq(found->measured, 5, 0);
    cr_assert_eq(found->evidence.n, 2);
    cr_expect_eq(found->evidence.v[0].place.line, 6);
    cr_expect_eq(found->evidence.v[0].place.line_end, 9);
    cr_expect_eq(found->evidence.v[1].place.line, 12);
    const struct mr_table *t = hand_table(f, "alignment");
    cr_expect_eq(t->n_rows, 6);
    cr_expect_not_null(strstr(t->note, "own zone column 1,"), "%s", t->note);
    cr_expect_not_null(strstr(t->note, "unassigned 5"), "%s", t->note);
    cr_expect_str_eq(hand_cell(t, 0, "zone")->text, "Deck 1");
    cr_expect_str_eq(hand_cell(t, 0, "shown")->text, "2026-05-11 08:00:10");
    cr_expect_eq(hand_cell(t, 1, "zone")->type, MR_V_BLANK);
    hand_free(f);
}

Test(provenance, a_long_list_of_readings_is_cut_and_says_so) {
    struct hand *f = hand_new("[report]\nalignment rows = 10\n");
    hand_zone(f, "Deck 1", 10, 1);
    for (uint32_t i = 0; i < 25; i++)
        reading(f, i + 2, 0, MR_ROUTE_OWN);
    mr_assess_provenance(&f->a);
    cr_expect_eq(hand_table(f, "alignment")->n_rows, 10);
    cr_expect_not_null(strstr(hand_table(f, "alignment")->note, "first 10 of 25"));
    hand_free(f);
}

Test(provenance, every_setting_in_force_stands_with_its_value_and_origin) {
    struct hand *f = hand_new("[lines]\npause maximum = 7 min\n\n[lines \"Tank lining\"]\npause maximum = 4 min\n");
    mr_assess_provenance(&f->a);
    const struct mr_table *t = hand_table(f, "settings");
    size_t found = 0;
    for (size_t r = 0; r < t->n_rows; r++) {
        if (strcmp(hand_cell(t, r, "key")->text, "pause maximum") != 0)
            continue;
        const char *spec = hand_cell(t, r, "specification")->text;
        cr_expect_str_eq(hand_cell(t, r, "value")->text, spec[0] == '\0' ? "7 min" : "4 min");
        cr_expect_str_eq(hand_cell(t, r, "from")->text, "job's own");
        cr_expect_eq(hand_cell(t, r, "line")->count, spec[0] == '\0' ? 2 : 5);
        cr_expect_str_eq(hand_cell(t, r, "default")->text, "5 min");
        found++;
    }
    cr_expect_eq(found, 2);
    cr_expect_eq(t->n_rows, MR_SETTING_COUNT + 1, "of a specification only what it changes");
    hand_free(f);
}

Test(provenance, each_channel_stands_with_its_zones_over_time) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck 1", 10, 1);
    const double level[] = {20};
    size_t k = hand_track(f, "T1", MR_M_PROBE_TEMP, 0, 10, 30, hand_flat, level);
    struct mr_stay here = {0, false, hand_ms(0), hand_ms(100), MR_ROUTE_ASSIGNED},
                   gun = {MR_NONE, true, hand_ms(110), INT64_MAX, MR_ROUTE_ASSIGNED};
    MR_PUSH(f->arena, &f->al.tracks.v[k].stays, here);
    MR_PUSH(f->arena, &f->al.tracks.v[k].stays, gun);
    hand_track(f, "H1", MR_M_RH, 0, 10, 30, hand_flat, level);
    mr_assess_provenance(&f->a);
    const struct mr_table *t = hand_table(f, "channels");
    cr_assert_eq(t->n_rows, 3);
    cr_expect_str_eq(hand_cell(t, 0, "zone")->text, "Deck 1");
    cr_expect_str_eq(hand_cell(t, 1, "zone")->text, "(gun)");
    cr_expect_eq(hand_cell(t, 1, "to")->type, MR_V_BLANK);
    cr_expect_eq(hand_cell(t, 2, "zone")->type, MR_V_BLANK);
    cr_expect_str_eq(hand_cell(t, 0, "last_place")->text, "climate.csv:31");
    hand_free(f);
}

Test(coats, directions_are_compared_with_the_coat_below_and_not_judged) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck 1", 10, 3);
    hand_shift(f, "s", 0, 9000);
    static const char *const way[] = {"left to right", "Bottom to top", "bottom to top"}, *const want[] = {
                                                                                              "", "other", "same"};
    for (int coat = 1; coat <= 3; coat++) {
        size_t w = hand_window(f, 0, coat, coat * 1000, coat * 1000 + 600);
        struct mr_spray *row = MR_NEW(f->arena, struct mr_spray);
        *row = *f->al.windows.v[w].log;
        row->direction = way[coat - 1];
        row->distance_mm = 900;
        f->al.windows.v[w].log = row;
    }
    mr_assess_coats(&f->a);
    const struct mr_table *t = hand_table(f, "windows");
    for (size_t i = 0; i < 3; i++)
        cr_expect_str_eq(hand_cell(t, i, "direction_below")->text, want[i]);
    cr_expect_float_eq(hand_cell(t, 0, "length_min")->number, 10, 1e-12);
    cr_expect_eq(f->out.checks.n, 0);
    cr_expect_eq(f->out.findings.n, 0);
    hand_free(f);
}

/* --- files --------------------------------------------------------------------------------------------- */

Test(provenance, what_became_of_a_file_is_one_finding_of_the_right_weight) {
    static const struct {
        enum mr_kind kind;
        const char *copy_of;
        enum mr_aside why;
        uint64_t aside, used;
        const char *id;
        enum mr_severity severity;
    } rows[] = {
        {MR_KIND_CLIMATE, NULL, MR_ASIDE_BLANK, 3, 7, NULL, MR_NOTE},
        {MR_KIND_CLIMATE, NULL, MR_ASIDE_REPEATED, 3, 7, NULL, MR_NOTE},
        {MR_KIND_CLIMATE, NULL, MR_ASIDE_BAD_NUMBER, 3, 7, "rows-set-aside", MR_NOTE},
        {MR_KIND_CLIMATE, NULL, MR_ASIDE_NO_UNIT, 10, 0, "file-set-aside", MR_WARNING},
        {MR_KIND_CLIMATE, NULL, MR_ASIDE_DATE_ORDER, 10, 0, "date-order", MR_WARNING},
        {MR_KIND_UNKNOWN, NULL, MR_ASIDE_UNKNOWN_KIND, 10, 0, "unknown-file", MR_WARNING},
        {MR_KIND_CLIMATE, "other.csv", MR_ASIDE_COPY, 10, 0, "copied-file", MR_NOTE},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = hand_new("");
        struct mr_file *file = &f->data.files.v[FILE_CLIMATE];
        file->kind = rows[i].kind;
        file->copy_of = rows[i].copy_of;
        file->account.rows_read = 12;
        file->account.rows_header = 2;
        file->account.rows_used = rows[i].used;
        file->account.rows_set_aside = rows[i].aside;
        file->account.by_reason[rows[i].why] = rows[i].aside;
        struct mr_aside_run run = {rows[i].why, 5, (uint32_t)(4 + rows[i].aside), rows[i].aside};
        MR_PUSH(f->arena, &file->account.runs, run);
        mr_assess_provenance(&f->a);
        cr_expect_eq(f->out.findings.n, rows[i].id == NULL ? 0 : 1, "row %zu", i);
        if (rows[i].id != NULL) {
            cr_expect_str_eq(f->out.findings.v[0].id, rows[i].id);
            cr_expect_eq(f->out.findings.v[0].severity, rows[i].severity, "%s", rows[i].id);
            cr_expect_str_eq(f->out.findings.v[0].evidence.v[0].place.file, "climate.csv");
        }
        const struct mr_table *t = hand_table(f, "set-aside");
        cr_expect_eq(t->n_rows, 1);
        cr_expect_eq(hand_cell(t, 0, "line")->count, 5);
        t = hand_table(f, "inputs");
        cr_expect_eq(hand_cell(t, 0, "rows_read")->count, hand_cell(t, 0, "rows_header")->count +
                                                              hand_cell(t, 0, "rows_used")->count +
                                                              hand_cell(t, 0, "rows_set_aside")->count);
        hand_free(f);
    }
}

Test(provenance, oddities_that_earlier_stages_noticed_are_one_finding_per_file_and_kind) {
    struct hand *f = hand_new("");
    struct mr_place at = {"spray.csv", 4, 0, 2};
    mr_diag_add(&f->diags, MR_WARNING, "zone-near-miss", at, "Dek 1", "Add it as an alias.", "no zone has this name");
    at.line = 9;
    mr_diag_add(&f->diags, MR_WARNING, "zone-near-miss", at, "Deck l", NULL, "no zone has this name");
    mr_diag_add(&f->diags, MR_NOTE, "anything", at, NULL, NULL, "a note is no finding");
    mr_diag_add(&f->diags, MR_WARNING, "bad-number", at, "1l", NULL, "rows are counted in the account");
    mr_diag_add(&f->diags, MR_WARNING, "gap", at, NULL, NULL, "coverage judges gaps");
    mr_assess_provenance(&f->a);
    cr_assert_eq(f->out.findings.n, 1);
    const struct mr_finding *found = &f->out.findings.v[0];
    cr_expect_str_eq(found->what, "\"Dek 1\", \"Deck l\": no zone has this name (2 times).");
    cr_expect_eq(found->evidence.v[0].place.line, 4);
    hand_free(f);
}

/* A coat sprayed after the survey, logged under "Dek": the zone was green beside it. Common practice, no source. */
Test(provenance, rows_under_a_similar_name_leave_the_zone_not_shown) {
    struct hand *f = hand_new("");
    hand_zone(f, "Deck", 30, 1);
    hand_zone(f, "Hull", 30, 1);
    f->al.zones.v[0].registered = f->al.zones.v[1].registered = true;
    hand_zone(f, "Dek", NAN, 1);
    f->al.zones.v[2].near = "Deck";
    mr_assess_near_names(&f->a);
    expect_outcome(hand_check(f, "history.names", 0, 0), MR_NOT_SHOWN);
    cr_expect_null(hand_check(f, "history.names", 1, 0));
    cr_expect_null(hand_check(f, "history.names", 2, 0));
    hand_free(f);
}
