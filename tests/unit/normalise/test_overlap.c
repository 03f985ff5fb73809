/*
 * test_overlap.c - rows that stand in several files, doubts about curves, serials, verifications and notes.
 */
#include "support/norm_rig.h"

#include "base/text.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

/* --- each reading counts once -------------------------------------------------------------------------------------
 */

#define R_HEAD "time,zone,spot,thickness um,serial\n"
#define R1 "2026-05-13 08:00,D,1,130,G7\n"
#define R2 "2026-05-13 08:01,D,1,131,G7\n"
#define R3 "2026-05-13 08:02,D,1,132,G7\n"
#define R4 "2026-05-13 08:03,D,2,133,G7\n"
#define R5 "2026-05-13 08:04,D,2,134,G7\n"

Test(overlap, a_copy_byte_for_byte_counts_once) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", R_HEAD R1 R2, 0);
    norm_add(&rig, "copy of a.csv", R_HEAD R1 R2, 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 2);
    cr_assert_str_eq(rig.data->files.v[1].copy_of, "a.csv");
    cr_assert_eq(rig.data->files.v[1].account.by_reason[MR_ASIDE_COPY], 2);
    cr_assert(norm_count(&rig, "copy") == 1 && norm_identity(&rig));
    norm_end(&rig);
}

Test(overlap, cumulative_downloads_repeat_earlier_readings) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "monday.csv", R_HEAD R1 R2 R3, 0);
    norm_add(&rig, "tuesday.csv", R_HEAD R1 R2 R3 R4 R5, 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 5);
    cr_assert_str_eq(
        norm_line(&rig, 1),
        "thickness; 1 header, 2 used, repeated 3; year-first; 5: 2026-05-13 08:03:00, zone D, spot 2, film 133 "
        "µm, serial G7; 6: 2026-05-13 08:04:00, zone D, spot 2, film 134 µm, serial G7",
        "%s", norm_line(&rig, 1));
    norm_end(&rig);
}

Test(overlap, two_equal_readings_in_one_file_are_two_readings) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", R_HEAD R1 R1 R2, 0);
    norm_add(&rig, "b.csv", R_HEAD R1 R1 R2 R3, 0);
    norm_add(&rig, "c.csv", R_HEAD R1 R1 R1 R2 R3, 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 5, "R1 three times as in c, R2, R3: %zu", rig.data->readings.n);
    cr_assert_eq(rig.data->files.v[1].account.by_reason[MR_ASIDE_REPEATED], 3);
    cr_assert_eq(rig.data->files.v[2].account.by_reason[MR_ASIDE_REPEATED], 4);
    norm_end(&rig);
}

Test(overlap, a_block_that_one_file_holds_twice) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", R_HEAD R1 R2 R3 R_HEAD R1 R2 R3 R4, 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 4);
    cr_assert_eq(rig.data->files.v[0].account.by_reason[MR_ASIDE_REPEATED], 3);
    cr_assert_eq(rig.data->files.v[0].account.by_reason[MR_ASIDE_REPEATED_HEADER], 1);
    norm_end(&rig);
}

Test(overlap, gauges_that_happen_to_agree_are_two_gauges) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", R_HEAD R1 R2 R3, 0);
    norm_add(&rig, "b.csv",
             "time,zone,spot,thickness um,serial\n2026-05-13 08:00,D,1,130,G8\n2026-05-13 08:01,D,1,131,G8\n", 0);
    norm_add(
        &rig, "c.csv",
        "time,zone,spot,thickness um\n2026-05-13 08:00,D,1,130\n2026-05-13 08:01,D,1,139\n2026-05-13 08:02,D,1,140\n",
        0);
    norm_run(&rig);
    cr_assert_eq(rig.data->readings.n, 8);
    norm_end(&rig);
}

#define L_HEAD "time,air °C,RH %\n"
#define L1 "2026-05-13 08:00,20.1,50\n"
#define L2 "2026-05-13 08:05,20.2,51\n"
#define L3 "2026-05-13 08:10,20.3,52\n"
#define L4 "2026-05-13 08:15,20.45,53\n"

Test(overlap, a_growing_file_and_its_longer_copy) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "log (1).csv", L_HEAD L1 L2 L3 "2026-05-13 08:15,20.45,5", 0);
    norm_add(&rig, "log (2).csv", L_HEAD L1 L2 L3 L4 "2026-05-13 08:20,20.5,54\n", 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->files.v[0].account.by_reason[MR_ASIDE_HALF_LINE], 1, "%s", norm_line(&rig, 0));
    cr_assert_str_eq(
        norm_line(&rig, 1),
        "climate; 1 header, 2 used, repeated 3; year-first; 5: 2026-05-13 08:15:00, air 20.45 °C, RH 53 %; "
        "6: 2026-05-13 08:20:00, air 20.5 °C, RH 54 %",
        "%s", norm_line(&rig, 1));
    norm_end(&rig);
}

Test(overlap, readings_without_times_are_compared_as_runs) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", "zone,spot,thickness um\nD,1,130\nD,2,131\nD,3,129\nD,4,135\nD,5,128\n", 0);
    norm_add(&rig, "b.csv", "zone,spot,thickness um\nD,1,130\nD,2,131\nD,3,129\nD,4,135\nD,5,128\nE,1,140\n", 0);
    norm_add(&rig, "c.csv", "zone,spot,thickness um\nD,1,130\nD,2,131\nD,3,128\nD,4,135\nD,5,128\n", 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->files.v[1].account.by_reason[MR_ASIDE_REPEATED], 5, "%s", norm_line(&rig, 1));
    cr_assert_eq(rig.data->files.v[2].account.rows_used, 5, "another survey of the same spots");
    cr_assert_eq(rig.data->readings.n, 11);
    norm_end(&rig);
}

/* --- doubts -------------------------------------------------------------------------------------------------------
 */

Test(plausible, curves_that_a_person_would_doubt_are_flagged) {
    struct norm_rig rig;
    norm_begin(&rig);
    char *text = mr_alloc(rig.arena, 40000, 1);
    size_t n = (size_t)snprintf(text, 40000, "time,air °C,RH %%\n");
    for (int i = 0; i < 600; i++) {
        int minute = i + (i >= 300 ? 120 : 0); /* a gap of two hours */
        double air = i == 100 ? 45.0 : 20.0 + 0.01 * (i % 7),
               rh = i < 250 ? 50.0 + 0.1 * (i % 5) : 55.0; /* a spike; a stuck sensor */
        n += (size_t)snprintf(text + n, 40000 - n, "2026-05-13 %02d:%02d,%.2f,%.1f\n", minute / 60, minute % 60, air,
                              rh);
    }
    n += (size_t)snprintf(text + n, 40000 - n, "2026-05-13 03:00,20.0,50.0\n2026-05-13 03:01,200.0,50.0\n");
    norm_add(&rig, "a.csv", text, n);
    norm_run(&rig);
    cr_expect_eq(norm_count(&rig, "jump"), 2, "up and down: %zu", norm_count(&rig, "jump"));
    cr_expect_eq(norm_count(&rig, "gap"), 1);
    cr_expect_eq(norm_count(&rig, "stuck-sensor"), 2, "before and after the gap: %zu",
                 norm_count(&rig, "stuck-sensor"));
    cr_expect_eq(norm_count(&rig, "time-backwards"), 1);
    cr_expect_eq(norm_count(&rig, "out-of-range"), 1);
    cr_expect(strstr(norm_first(&rig, "jump"), "a.csv:101-102"), "%s", norm_first(&rig, "jump"));
    cr_expect(strstr(norm_first(&rig, "stuck-sensor"), "a.csv:252-301"), "%s", norm_first(&rig, "stuck-sensor"));
    cr_expect(strstr(norm_first(&rig, "out-of-range"), "a.csv:603:2"), "%s", norm_first(&rig, "out-of-range"));
    norm_end(&rig);
}

Test(files, any_kind_of_file_that_is_no_table_is_counted_too) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.bin", "\0\1\2\3\0\0\377\376\0\0", 10);
    norm_add(&rig, "b.txt", "Dear all,\n\nplease find the logs attached.\n", 0);
    norm_run(&rig);
    cr_assert(rig.status == MR_OK && norm_identity(&rig));
    cr_assert_eq(rig.data->files.v[0].kind, MR_KIND_NOT_A_TABLE);
    cr_assert_eq(rig.data->files.v[1].account.rows_used, 0);
    norm_end(&rig);
}

Test(files, the_explanation_is_json_with_the_same_content) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", "time,air °C,RH %\n2026-05-13T08:00:00Z,20.5,50\n", 0);
    norm_run(&rig);
    const char *json = mr_explain_json(rig.arena, rig.data);
    static const char *const parts[] = {"\"kind\": \"climate\"", "\"first\": \"2026-05-13T08:00:00Z\"",
                                        "\"rows_used\": 1", "\"delimiter\": \"comma\"", "\"unit\": \"°C\""};
    for (size_t i = 0; i < MR_COUNT(parts); i++)
        cr_expect(strstr(json, parts[i]), "%s in %s", parts[i], json);
    norm_end(&rig);
}

/* --- serials ------------------------------------------------------------------------------------------------------
 */

Test(serials, the_first_cell_of_a_line_with_more_of_them_is_the_serial_and_a_formula_is_its_text) {
    static const char *const tops[] = {"Serial,TG-1,,Std,2.0,um\n", "Serial,TG-1\n", "Serial: TG-1\n",
                                       "Serial,=\"TG-1\"\n"};
    for (size_t i = 0; i < MR_COUNT(tops); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv",
                 mr_printf(rig.arena, "%sNo,Zone,Thickness,Unit\n1,Deck 1,212,um\n2,Deck 1,214,um\n", tops[i]), 0);
        norm_run(&rig);
        cr_expect_str_eq(rig.data->files.v[0].instrument_name, "TG-1", "%s: %s", tops[i],
                         rig.data->files.v[0].instrument_name);
        norm_end(&rig);
    }
}

Test(verifications, each_reading_of_a_row_counts_and_half_a_row_is_a_row) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "check.csv",
             "Date,Time,Gauge,Shim 1 nominal (um),Shim 1 reading (um),Shim 2 nominal (um),Shim 2 reading (um)\n"
             "2026-05-13,07:00,TG-1,127,126,254,255\n2026-05-13,17:00,TG-1,127,128,254,OL\n2026-05-13,18:00,TG-1,127,"
             "128,,255\n",
             0);
    norm_run(&rig);
    cr_assert(norm_identity(&rig) && rig.data->verifications.n == 4 && rig.data->files.v[0].account.rows_used == 3);
    const struct mr_verification *v = rig.data->verifications.v;
    cr_expect(v[1].certified_um == 254 && v[1].reading_um == 255 && v[2].certified_um == 127 && v[3].line == 4);
    norm_end(&rig);
}

Test(readings, what_the_gauge_wrote_beside_a_value_stays_in_its_note) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", "Zone,DFT um,Note\nDeck 1,211,\nDeck 1,212 H,wet edge\nDeck 1,213*,\nDeck 1,>1500,\n", 0);
    norm_run(&rig);
    cr_assert(norm_identity(&rig) && rig.data->readings.n == 3);
    cr_expect_str_eq(rig.data->readings.v[1].note, "wet edge; shown as 212 H");
    cr_expect_str_eq(rig.data->readings.v[2].note, "shown as 213*");
    cr_expect(strstr(norm_first(&rig, "bound"), "above the gauge's range"), "%s", norm_first(&rig, "bound"));
    norm_end(&rig);
}

Test(messages, a_figure_that_is_left_out_does_not_say_that_its_row_is) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "spray.csv",
             "Date,Zone,Start,Duration (min),Gun distance (mm)\n2026-05-13,Deck 1,09:10,22,abc\n2026-05-13,Deck "
             "1,10:10,about,400\n",
             0);
    norm_run(&rig);
    cr_assert(norm_identity(&rig) && rig.data->sprays.n == 2);
    cr_expect(norm_count(&rig, "bad-number") == 2 && strstr(norm_first(&rig, "bad-number"), "Value left out."), "%s",
              norm_first(&rig, "bad-number"));
    norm_end(&rig);
    norm_begin(&rig);
    norm_add(&rig, "drums.csv",
             "Date,Part,Drum,Before,After,Unit\n2026-05-13,A,1,200.5,150,kg\n2026-05-13,B,1,200,151,pcs\n", 0);
    norm_run(&rig);
    cr_assert(norm_identity(&rig) && rig.data->materials.n == 1);
    cr_expect(strstr(norm_first(&rig, "no-unit"), "Write L, gal, kg or lb. Row set aside."), "%s",
              norm_first(&rig, "no-unit"));
    norm_end(&rig);
}
