/*
 * test_companions.c - what stands beside a value decides whether it counts: "Valid: no", "Status: sensor error".
 * Common practice, no source; 192 as the code of a good quality: OPC Data Access, from memory.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

enum { FILM, AIR, SPRAY, CHECK };
static const char *const tables[][3] = {
    {"zone,spot,thickness [um]", "D,1,210", "D,2,215"},
    {"time,air [degC],RH [%]", "2026-05-11 08:00,20.1,50", "2026-05-11 08:10,20.2,51"},
    {"date,zone,coat,start,stop", "2026-05-11,D,1,08:00,08:20", "2026-05-11,D,2,10:00,10:20"},
    {"date,time,gauge serial,certified value (um),reading (um)", "2026-05-11,07:00,G1,200,201",
     "2026-05-11,07:01,G1,300,301"}};

/* Whether the second of two rows is used, of which only it has something in the added column. Asked: the question is
 * there. */
static bool counts(size_t table, const char *heading, const char *cell, bool by_job, bool *asked) {
    struct norm_rig rig;
    char text[500];
    snprintf(text, sizeof text, "%s,%s\n%s,\n%s,%s\n", tables[table][0], heading, tables[table][1], tables[table][2],
             cell);
    norm_begin(&rig);
    rig.job->name = "Alder Ford footbridge";
    if (by_job)
        norm_rule_column(&rig, norm_rule(&rig, "a.csv"), heading, "ignore", "");
    norm_add(&rig, "a.csv", text, 0);
    norm_run(&rig);
    cr_expect(norm_identity(&rig), "%s: %s", heading, cell);
    const struct mr_account *account = &rig.data->files.v[0].account;
    size_t used = (size_t)account->rows_used;
    for (size_t i = 0; i < rig.data->sprays.n; i++) /* a coat in doubt stays, without its times */
        used -= rig.data->sprays.v[i].start_ms == MR_T_NONE;
    *asked = norm_count(&rig, "unknown-type") > 0;
    norm_end(&rig);
    return used == 2;
}

static const struct {
    size_t table;
    const char *heading, *cell;
    enum { COUNTS, ASIDE, ASKED } what;
} rows[] = {{FILM, "Excluded", "1", ASIDE},
            {FILM, "Excluded", "0", COUNTS},
            {FILM, "Excluded", "not excluded", COUNTS},
            {AIR, "Status", "not disconnected", ASKED},
            {FILM, "Error (um)", "-1", COUNTS},
            {FILM, "Error", "1", ASIDE},
            {FILM, "Error", "0.4", COUNTS},
            {FILM, "Mode", "single", COUNTS},
            {FILM, "Mode", "Max", ASKED},
            {FILM, "Quality", "bad", ASIDE},
            {FILM, "Quality", "192", COUNTS},
            {FILM, "Result", "FAIL", COUNTS}, /* against limits: a thin reading stays a reading */
            {FILM, "Flag", "low", COUNTS},
            {SPRAY, "Note", "not done", ASKED},
            {SPRAY, "Note", "postponed, rain", ASKED},
            {SPRAY, "Note", "off ratio for two passes", ASKED},
            {SPRAY, "Note", "sprayed over dust", ASKED},
            {SPRAY, "Bemerkung", "nicht gestrahlt", ASKED},
            {SPRAY, "Note", "dust wiped off before", COUNTS},
            {SPRAY, "Note", "rust bleed repaired", COUNTS},
            {FILM, "Includes primer", "yes", ASKED},
            {FILM, "Includes primer", "no", COUNTS},
            {FILM, "Holiday", "yes", ASKED},
            {FILM, "Holiday", "none", COUNTS},
            {FILM, "Defects", "2", ASKED},
            {FILM, "Defects", "0", COUNTS},
            {FILM, "Visual", "blisters along the weld", ASKED},
            {FILM, "Visual", "free of blisters", COUNTS},
            {FILM, "Remark", "no cracks", COUNTS},
            {FILM, "Remark", "keine Blasen", COUNTS},
            {FILM, "Remark", "Fehlstelle am Rand", ASKED},
            {FILM, "Note", "beside the crack in the old weld", COUNTS},
            {SPRAY, "Note", "aborted - no material", ASKED},
            {SPRAY, "Bemerkung", "nicht ausgeführt", ASKED},
            {SPRAY, "Note", "two passes", COUNTS},
            {SPRAY, "Done", "no", ASKED},
            {SPRAY, "Work completed", "0", ASKED},
            {SPRAY, "Done", "yes", COUNTS},
            {SPRAY, "Approved", "inspector", COUNTS},
            {FILM, "Note", "not done with the edge", COUNTS},
            {FILM, "Flag", "*", ASKED},
            {FILM, "Flag", "5", ASKED},
            {FILM, "Flag", "0", COUNTS},
            {FILM, "OK?", "no", ASIDE},
            {FILM, "OK?", "ok", COUNTS},
            {FILM, "Project", "Riverside mill", ASKED},
            {FILM, "Project", "Alder Ford", COUNTS},
            {FILM, "Project", "4711", COUNTS},
            {FILM, "Remark", "trial panel", ASKED},
            {FILM, "Remark", "beside reference plate", COUNTS},
            {FILM, "Typ",
             "Ausrei\xc3\x9f"
             "er",
             ASIDE},
            {FILM, "Typ", "zorb", ASKED},
            {FILM, "Typ", "Einzelmessung", COUNTS},
            {FILM, "Tipo", "anulado", ASIDE},
            {FILM, "Tipo", "bueno", COUNTS},
            {FILM, "Art", "verworfen", ASIDE},
            {FILM, "Soort", "goed", COUNTS},
            {FILM, "Purpose", "calibration", ASKED},
            {FILM, "Classification", "outlier", ASKED},
            {FILM, "Klassifizierung", "verworfen", ASKED},
            {FILM, "Memo", "calibration", ASKED},
            {FILM, "Memo", "near plate 3", COUNTS},
            {FILM, "Remark", "superseded", ASKED},
            {FILM, "Remark", "rejected and measured again below the weld", ASKED},
            {FILM, "Remark", "beside the spot that was rejected on Monday", COUNTS},
            {FILM, "Remark", "no outliers", COUNTS},
            {FILM, "Cal method", "zero", COUNTS},
            {FILM, "Category", "annul\xc3\xa9", ASKED},
            {FILM, "Group", "odrzucone", ASKED},
            {FILM, "Operator", "second sprayer", COUNTS},
            {FILM, "Substrate", "aluminium", ASKED},
            {FILM, "Untergrund", "Beton", ASKED},
            {FILM, "Substrate", "steel", COUNTS},
            {FILM, "Product", "Ceramic A", COUNTS}, /* of this job, which is said */
            {FILM, "Sample", "panel", ASKED},
            {FILM, "Sample", "3", COUNTS},
            {FILM, "Member", "deck panel", COUNTS},
            {FILM, "Coat", "0", ASKED}, /* before the first */
            {FILM, "Coat", "1", COUNTS},
            {AIR, "Status", "OK", COUNTS},
            {AIR, "Status", "open circuit", ASIDE},
            {AIR, "Status", "zorb", ASKED},
            {AIR, "Status", "0", COUNTS},
            {AIR, "Status", "7", ASKED},
            {AIR, "Alarm", "High", COUNTS},
            {AIR, "Status", "High", COUNTS},
            {AIR, "Alarm", "RH limit", COUNTS}, /* just the moments that fail */
            {AIR, "Alarm", "sensor fault", ASIDE},
            {AIR, "Probe type", "K", COUNTS},
            {AIR, "Source", "estimated", ASIDE},
            {AIR, "Condition", "cloudy", COUNTS},
            {AIR, "Error %", "2", COUNTS},
            {AIR, "Excluded (Y/N)", "Y", ASIDE},
            {AIR, "Excluded (Y/N)", "N", COUNTS},
            {AIR, "Alarm", "no signal", ASIDE},
            {AIR, "Error", "no sensor", ASIDE},
            {AIR, "Error", "no error", COUNTS},
            {AIR, "Status", "no probe", ASIDE},
            {AIR, "Valid", "0", ASIDE},
            {AIR, "Fehler", "ja", ASIDE},
            {AIR, "Interpolated", "yes", ASIDE},
            {AIR, "Station", "airport", ASKED},
            {AIR, "Comment", "logger in the truck", ASKED},
            {AIR, "Comment", "door opened", COUNTS},
            {AIR, "Battery", "low", COUNTS},
            {SPRAY, "Status", "done", COUNTS},
            {SPRAY, "Status", "cancelled", ASIDE},
            {SPRAY, "Status", "half", ASKED},
            {SPRAY, "Material", "primer", ASKED},
            {SPRAY, "Remark", "wet film checked", COUNTS},
            {CHECK, "Result", "Pass", COUNTS},
            {CHECK, "Result", "Fail", ASKED},
            {CHECK, "Note", "failed, then adjusted", ASKED},
            {CHECK, "Passed", "no", ASKED},
            {CHECK, "Passed", "x", COUNTS},
            {CHECK, "Pass/Fail", "F", ASKED},
            {CHECK, "Pass/Fail", "x", ASKED},
            {CHECK, "Pass/Fail", "P", COUNTS},
            {CHECK, "Fail", "no", COUNTS},
            {CHECK, "Fail", "yes", ASKED},
            {CHECK, "In tolerance", "no", ASKED},
            {CHECK, "In tolerance", "yes", COUNTS},
            {CHECK, "Accepted", "fail", ASKED},
            {CHECK, "Ergebnis", "nicht bestanden", ASKED},
            {CHECK, "Ergebnis", "bestanden", COUNTS},
            {CHECK, "Ergebnis", "zorb", ASKED},
            {CHECK, "Resultado", "conforme", COUNTS},
            {CHECK, "Resultado", "rechazado", ASKED},
            {CHECK, "Wynik", "niezgodny", ASKED},
            {CHECK, "Result", "0", ASKED},
            {CHECK, "Result", "1", COUNTS},
            {CHECK, "Result", "0.8", COUNTS}, /* a figure */
            {CHECK, "Result", "\xe2\x9c\x93", COUNTS},
            {CHECK, "Result", "\xe2\x9c\x97", ASKED},
            {CHECK, "Result", "-", COUNTS},
            {CHECK, "Comment", "out of tolerance", ASKED},
            {CHECK, "Comment", "hors tol\xc3\xa9rance", ASKED},
            {CHECK, "Comment", "red foil", COUNTS},
            {CHECK, "Check", "after use", COUNTS},
            {CHECK, "Check", "no", ASKED},
            {CHECK, "Checked by", "inspector", COUNTS},
            {CHECK, "Adjusted", "no", COUNTS},
            {FILM, "Offset", "0", COUNTS},
            {FILM, "Offset (um)", "60", ASKED},
            {FILM, "Zero offset", "-12.5", ASKED},
            {FILM, "Substrate correction", "30", ASKED},
            {FILM, "Offset x", "60", COUNTS}, /* where it was measured */
            {FILM, "Offset (mm)", "60", COUNTS},
            {AIR, "RH correction", "-3.0", ASKED},
            {AIR, "RH correction", "0.0", COUNTS},
            {AIR, "Korrektur [K]", "1,5", ASKED},
            {AIR, "Clock offset", "60", COUNTS}, /* of the clock: stated_state.h */
            {CHECK, "Offset", "2", COUNTS},
            {FILM, "Approved by QC", "no", ASKED},
            {FILM, "Disbonded", "yes", ASKED},
            {FILM, "Disbonded", "no", COUNTS},
            {FILM, "Cured", "0", ASKED},
            {FILM, "Not cured (Y/N)", "y", ASKED},
            {FILM, "Not cured (Y/N)", "n", COUNTS},
            {FILM, "Rust removed", "no", ASKED},
            {FILM, "Rust removed", "yes", COUNTS},
            {FILM, "Adhesion test", "yes", COUNTS}, /* made, with what outcome is not said */
            {SPRAY, "Primer", "yes", ASKED},
            {SPRAY, "Primer", "no", COUNTS},
            {SPRAY, "Interrupted", "yes", ASKED},
            {SPRAY, "Steel accepted", "no", ASKED},
            {SPRAY, "Leak test passed", "yes", COUNTS},
            {CHECK, "Shim worn", "yes", ASKED}};

Test(companions, words_beside_a_value_decide_whether_it_counts) {
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        bool asked;
        const bool used = counts(rows[i].table, rows[i].heading, rows[i].cell, false, &asked);
        cr_expect_eq(used, rows[i].what == COUNTS, "%s: %s", rows[i].heading, rows[i].cell);
        cr_expect_eq(asked, rows[i].what == ASKED, "%s: %s", rows[i].heading, rows[i].cell);
        cr_expect(counts(rows[i].table, rows[i].heading, rows[i].cell, true, &asked) && !asked,
                  "%s: the job file settles it", rows[i].heading);
    }
}

/* An area is still needed where its odd name is settled. */
Test(companions, an_area_named_after_a_check_is_asked_for_and_kept) {
    struct norm_rig rig;
    for (int settled = 0; settled < 2; settled++) {
        norm_begin(&rig);
        if (settled)
            norm_rule_column(&rig, norm_rule(&rig, "a.csv"), "batch", "area id", "");
        norm_add(&rig, "a.csv", "zone,batch,spot,thickness [um]\nD,2,1,210\nD,Calibration,1,215\nD,deleted,2,220\n",
                 0);
        norm_run(&rig);
        cr_expect_eq(rig.data->readings.n, settled ? 3 : 1);
        cr_expect_eq(norm_count(&rig, "unknown-type"), !settled);
        if (!settled)
            cr_expect(strstr(rig.data->files.v[0].mend, "column batch = area id"), "%s", rig.data->files.v[0].mend);
        norm_end(&rig);
    }
}

/* How many of the rows are used that have these cells under a heading, from above. */
static size_t used_of(const char *heading, const char *const *cell, size_t n) {
    struct norm_rig rig;
    norm_begin(&rig);
    const char *text = mr_printf(rig.arena, "zone,spot,thickness [um],%s\n", heading);
    for (size_t i = 0; i < n; i++)
        text = mr_printf(rig.arena, "%sD,%zu,%zu,%s\n", text, i + 1, 200 + i, cell[i]);
    norm_add(&rig, "a.csv", text, 0);
    norm_run(&rig);
    const size_t used = (size_t)rig.data->files.v[0].account.rows_used;
    norm_end(&rig);
    return used;
}

Test(companions, law_a_row_counts_whatever_the_rows_before_it_say) {
    static const char *const headings[] = {"Valid", "Excluded", "Status"};
    static const char *const cells[] = {"yes", "no", "y", "n", "t", "trial", "ok", "x", "1", "0", "good", "void"};
    enum { ROWS = 12, TABLES = 60 };
    uint64_t seed = 20261128;
    size_t violations = 0;
    for (size_t h = 0; h < MR_COUNT(headings); h++) {
        size_t alone[MR_COUNT(cells)];
        for (size_t k = 0; k < MR_COUNT(cells); k++)
            alone[k] = used_of(headings[h], &cells[k], 1);
        for (size_t i = 0; i < TABLES; i++) {
            const char *column[ROWS];
            size_t want = 0;
            for (size_t r = 0; r < ROWS; r++) {
                seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
                const size_t k = (size_t)(seed >> 33) % MR_COUNT(cells);
                column[r] = cells[k];
                want += alone[k];
            }
            violations += used_of(headings[h], column, ROWS) != want;
        }
    }
    printf("%zu tables with marked rows: %zu violations\n", MR_COUNT(headings) * TABLES, violations);
    cr_expect_eq(violations, 0U);
}

/* Readings that the file itself parts by product or job are no one survey. */
Test(companions, several_products_or_projects_in_one_file_are_asked_for) {
    static const struct {
        const char *heading, *a, *b;
        bool asked;
    } files[] = {{"Product", "Ceramic A", "Epoxy E2", true},
                 {"Product", "Ceramic A", "CERAMIC A", false},
                 {"Project no", "4711", "4712", true},
                 {"Job", "Alder Ford", "Alder Ford", false},
                 {"Substrate", "steel", "aluminium", true},
                 {"Reading id", "1", "2", false},
                 {"Operator", "first", "second", false},
                 {"Name", "first", "second", false},
                 {"Order", "1", "2", false}};
    for (size_t i = 0; i < MR_COUNT(files); i++) {
        struct norm_rig rig;
        char text[300];
        snprintf(text, sizeof text, "zone,spot,thickness [um],%s\nD,1,210,%s\nD,2,212,%s\nD,3,215,%s\n",
                 files[i].heading, files[i].a, files[i].b, files[i].b);
        norm_begin(&rig);
        rig.job->name = "Alder Ford footbridge";
        norm_add(&rig, "a.csv", text, 0);
        norm_run(&rig);
        cr_expect_eq(norm_count(&rig, "unknown-type") > 0, files[i].asked, "%s: %s", files[i].heading, files[i].b);
        cr_expect_eq(rig.data->readings.n, files[i].asked ? 0U : 3U, "%s: %s", files[i].heading, files[i].b);
        norm_end(&rig);
    }
}

Test(companions, a_time_that_was_planned_is_no_time) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "spray log.csv", "date,zone,coat,planned start,planned stop\n2026-05-11,D,1,08:00,08:20\n", 0);
    norm_run(&rig);
    for (size_t i = 0; i < rig.data->sprays.n; i++)
        cr_expect_eq(rig.data->sprays.v[i].start_ms, MR_T_NONE);
    norm_end(&rig);
}

/* What is taken for granted, or decided against the gauge, is said: the note or the warning of one small table. */
Test(companions, what_a_gauge_or_a_file_holds_against_the_readings_is_said) {
    static const struct {
        const char *heading, *cell, *id;
    } files[] = {{"Result", "FAIL", "gauge-limits"},
                 {"Status", "too low", "gauge-limits"},
                 {"Flag", "below limit", "gauge-limits"},
                 {"Result", "PASS", NULL},
                 {"Result", "ok", NULL},
                 {"Product", "Ceramic A", "owner-stated"},
                 {"Project no", "4711", "owner-stated"},
                 {"Operator", "first", NULL}};
    for (size_t i = 0; i < MR_COUNT(files); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv",
                 mr_printf(rig.arena, "zone,spot,thickness [um],%s\nD,1,210,%s\nD,2,215,%s\n", files[i].heading,
                           files[i].cell, files[i].cell),
                 0);
        norm_run(&rig);
        cr_expect_eq(rig.data->files.v[0].account.rows_used, 2U, "%s", files[i].heading);
        for (size_t k = 0; k < MR_COUNT(files); k++)
            if (files[k].id)
                cr_expect_eq(norm_count(&rig, files[k].id), files[i].id && strcmp(files[k].id, files[i].id) == 0,
                             "%s: %s", files[i].heading, files[i].cell);
        norm_end(&rig);
    }
}

/* What lies on the steel already would be deducted with it. */
Test(companions, base_metal_that_was_read_on_a_coat_is_none) {
    static const struct {
        const char *note;
        size_t n;
    } cases[] = {{"", 3},          {"bare", 3},        {"on blasted steel", 3}, {"not painted", 3},
                 {"on primer", 2}, {"Grundierung", 2}, {"over old coating", 2}, {"galvanised", 2}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_rule(&rig, "base metal.csv")->kind = "base metal";
        norm_add(&rig, "base metal.csv",
                 mr_printf(rig.arena,
                           "Date,Time,Zone,Base metal [um],Gauge serial,Note\n2026-05-11,06:00:00,Deck,40,G1,\n"
                           "2026-05-11,06:01:00,Deck,41,G1,%s\n2026-05-11,06:02:00,Deck,42,G1,\n",
                           cases[i].note),
                 0);
        norm_run(&rig);
        cr_expect(norm_identity(&rig));
        cr_expect_eq(rig.data->base_metal.n, cases[i].n, "%s: %zu", cases[i].note, rig.data->base_metal.n);
        norm_end(&rig);
    }
}
