/*
 * test_sayings.c - words that no rule judges are kept for a person: each line beside a table, each text of a column
 * that nobody reads, with its first line and its count. What only names the instrument, the export or who took part
 * is left out. The project's own rule.
 */
#include "normalise/phrase/damp_words.h"
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define HEAD "Date,Time,Zone,Area,Spot,Thickness [um],Gauge serial"
#define ROW(clock) "2026-05-12," clock ",Deck,1,1,240,G1"

/* "name: text (line, cells)" of each, separated by "; ". */
static const char *said_by(const char *text, char *out, size_t size) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "film.csv", text, 0);
    norm_run(&rig);
    cr_expect(norm_identity(&rig), "%s", text);
    *out = '\0';
    const struct mr_file *file = &rig.data->files.v[0];
    for (size_t i = 0; i < file->sayings.n; i++) {
        const struct mr_saying *s = &file->sayings.v[i];
        const size_t n = strlen(out);
        snprintf(out + n, size - n, "%s%s: %s (%u, %llu)", i ? "; " : "", s->name, s->text ? s->text : "further",
                 (unsigned)s->line, (unsigned long long)s->cells);
    }
    norm_end(&rig);
    return out;
}

Test(sayings, lines_above_the_table_are_kept_but_for_those_of_the_export) {
    static const struct {
        const char *above, *said; /* "": nothing */
    } cases[] = {{"", ""},
                 {"Part: stiffener\n", ": Part: stiffener (1, 1)"},
                 {"Seen by nobody\n", ": Seen by nobody (1, 1)"},
                 {"Serial number: G1\nFirmware: 2.1\nExported: 2026-05-13\n", ""},
                 {"Operator: the inspector\nReadings: 2\n", ""},
                 {"Thickness readings of gauge TG-0417\n", ""},
                 {"Calibration: none\n", ": Calibration: none (1, 1)"},
                 {"Calibration: 2026-05-01\nErrors: none\n", ""},
                 {"Zone: Hull\n", ": Zone: Hull (1, 1)"}, /* the rows name another */
                 {"Gauge: G7\n", ": Gauge: G7 (1, 1)"},   /* likewise */
                 {"Gauge: G1\n", ""},
                 {"Emissivity: 0.10\n", ": Emissivity: 0.10 (1, 1)"},
                 {"Foil: 125 um\n", ": Foil: 125 um (1, 1)"},
                 {"Dew on steel\n", ": Dew on steel (1, 1)"}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        char text[400], out[400];
        snprintf(text, sizeof text, "%s%s\n%s\n%s\n", cases[i].above, HEAD, ROW("09:00:00"), ROW("09:00:05"));
        cr_expect_str_eq(said_by(text, out, sizeof out), cases[i].said, "%s: %s", cases[i].above, out);
    }
}

Test(sayings, lines_among_and_below_the_rows_are_kept) {
    static const struct {
        const char *below, *said;
    } cases[] = {{"Note: area 2 blistered\n", ": Note: area 2 blistered (4, 1)"},
                 {"\nComments,see photo 12\n", ": Comments: see photo 12 (5, 1)"},
                 {"# probe fell off\n", ": probe fell off (4, 1)"},
                 {"# probe fell off\n" ROW("09:00:10") "\n", ": # probe fell off (4, 1)"},
                 {"END OF FILE\n", ""},
                 {"Readings: 2\n", ""}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        char text[400], out[400];
        snprintf(text, sizeof text, "%s\n%s\n%s\n%s", HEAD, ROW("09:00:00"), ROW("09:00:05"), cases[i].below);
        cr_expect_str_eq(said_by(text, out, sizeof out), cases[i].said, "%s: %s", cases[i].below, out);
    }
}

Test(sayings, each_text_of_an_unread_column_is_kept_once_with_its_count) {
    static const struct {
        const char *heading, *cell[3], *said;
    } cases[] = {{"Note", {"see photo 12", "", "see photo 12"}, "Note: see photo 12 (2, 2)"},
                 {"Remarks", {"", "gun side", "far side"}, "Remarks: gun side (3, 1); Remarks: far side (4, 1)"},
                 {"Foo", {"bar", "bar", "bar"}, "Foo: bar (2, 3)"},
                 {"Foo", {"12.5", "7", "-3"}, "Foo: figures under a heading that is not known (1, 3)"},
                 {"X (m)", {"1.5", "2.5", "3.5"}, ""},
                 {"Battery", {"80", "79", "79"}, ""},
                 {"Foo", {"ok", "yes", "n/a"}, "Foo: yes (3, 1)"}, /* a tick is a statement */
                 {"Accepted", {"yes", "yes", "yes"}, ""},
                 {"Seen by QC", {"no", "no", "no"}, "Seen by QC: no (2, 3)"},
                 {"Foo", {"1", "0", "1"}, "Foo: figures under a heading that is not known (1, 3)"},
                 {"Spec min (um)", {"260", "260", "260"}, "Spec min (um): figures that no rule reads (1, 3)"},
                 {"Checked by", {"inspector", "inspector", "inspector"}, ""}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        char text[600], out[400];
        snprintf(text, sizeof text,
                 HEAD ",%s\n" ROW("09:00:00") ",%s\n" ROW("09:00:05") ",%s\n" ROW("09:00:10") ",%s\n",
                 cases[i].heading, cases[i].cell[0], cases[i].cell[1], cases[i].cell[2]);
        said_by(text, out, sizeof out);
        cr_expect_str_eq(out, cases[i].said, "%s: %s", cases[i].heading, out);
    }
}

Test(sayings, of_many_texts_the_first_are_kept_and_the_others_counted) {
    char text[4000] = HEAD ",Note\n", out[2000];
    for (int i = 0; i < 20; i++) {
        const size_t n = strlen(text);
        snprintf(text + n, sizeof text - n, "2026-05-12,09:00:%02d,Deck,1,1,240,G1,place %c\n", i, 'a' + i);
    }
    said_by(text, out, sizeof out);
    cr_expect(strstr(out, "Note: place a (2, 1)") && strstr(out, "Note: place h (9, 1)"), "%s", out);
    cr_expect(strstr(out, "Note: further (0, 12)") && !strstr(out, "place i"), "%s", out);
}

Test(sayings, a_column_that_the_job_ignores_is_not_kept) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_rule_column(&rig, norm_rule(&rig, "film.csv"), "Note", "ignore", "");
    norm_add(&rig, "film.csv", HEAD ",Note\n" ROW("09:00:00") ",see photo\n", 0);
    norm_run(&rig);
    cr_expect_eq(rig.data->files.v[0].sayings.n, 0);
    norm_end(&rig);
}

/* A register is short: what it says in figures under headings that nobody reads is shown as well. */
Test(sayings, unread_figures_of_the_register_are_kept) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "zones.csv", "Zone,Area (m2),Coats,Bay\nDeck,25,1,7\n", 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->files.v[0].sayings.n, 1U);
    cr_expect_str_eq(rig.data->files.v[0].sayings.v[0].text, "7");
    norm_end(&rig);
}

/* A row of ten pieces, or of two sides: nobody knows whether its area is that of one of them. */
Test(sayings, a_register_that_counts_pieces_is_asked_for) {
    static const struct {
        const char *heading, *cell;
        bool asks;
    } cases[] = {{"Pieces", "10", true},  {"Pieces", "1", false}, {"Sides", "2", true},
                 {"Quantity", "4", true}, {"Anzahl", "3", true},  {"Number of members", "6", true},
                 {"Bay", "7", false},     {"Qty", "", false}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        char text[200];
        snprintf(text, sizeof text, "Zone,Area (m2),Coats,%s\nDeck,25,1,%s\n", cases[i].heading, cases[i].cell);
        norm_begin(&rig);
        norm_add(&rig, "zones.csv", text, 0);
        norm_run(&rig);
        cr_assert_eq(rig.data->zones.n, 1U, "%s", text);
        cr_expect_eq(rig.data->zones.v[0].asks != NULL, cases[i].asks, "%s", text);
        norm_end(&rig);
    }
}

/* Folded words beside a coat. */
Test(sayings, water_on_the_work_is_told_from_a_dew_point_and_from_what_keeps_it_off) {
    static const char *const damp[] = {
        "rain started", "light rain", "steel sweating", "dew on steel", "morning dew",  "fog",     "condensation",
        "damp",         "wet",        "regen",          "brouillard",   "surface damp", "pioggia", "snowing"};
    static const char *const dry[] = {"",
                                      "dry",
                                      "no rain",
                                      "rain stopped at 6",
                                      "tent against rain",
                                      "dew 12 3",
                                      "dew point 12",
                                      "point de rosee 12",
                                      "punto de rocio 9",
                                      "fog coat first",
                                      "mist coat",
                                      "wet film 5 mil",
                                      "sprayed before rain",
                                      "manguera rosa",
                                      "dewatered"};
    for (size_t i = 0; i < MR_COUNT(damp); i++)
        cr_expect(mr_says_damp(damp[i]), "%s", damp[i]);
    for (size_t i = 0; i < MR_COUNT(dry); i++)
        cr_expect_not(mr_says_damp(dry[i]), "%s", dry[i]);
}
