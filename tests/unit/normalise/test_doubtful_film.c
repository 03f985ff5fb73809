/*
 * test_doubtful_film.c - a heading that says film and something nobody knows: asked for, never read. The words are
 * made up, so that no list can hold them. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static uint64_t seed = 20261128;

static unsigned pick(unsigned n) {
    seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (unsigned)(seed >> 33) % n;
}

static size_t readings_under(const char *heading, bool *asked) {
    struct norm_rig rig;
    char text[400];
    snprintf(text, sizeof text, "zone,spot,%s\nD,1,210\nD,2,215\nD,3,220\n", heading);
    norm_begin(&rig);
    norm_add(&rig, "a.csv", text, 0);
    norm_run(&rig);
    const size_t n = rig.data->readings.n;
    *asked = norm_count(&rig, "doubtful-film") > 0;
    cr_expect(norm_identity(&rig), "%s", heading);
    norm_end(&rig);
    return n;
}

static void write_heading(char *to, size_t room, const char *known, const char *word) {
    switch (pick(5)) {
    case 0:
        snprintf(to, room, "%s %s um", known, word);
        break;
    case 1:
        snprintf(to, room, "%s %s um", word, known);
        break;
    case 2:
        snprintf(to, room, "%s (%s) um", known, word);
        break;
    case 3:
        snprintf(to, room, "%s_%s [um]", known, word);
        break;
    default:
        snprintf(to, room, "%s-%s (um)", word, known);
        break;
    }
}

Test(doubtful_film, made_up_words_beside_a_known_one_are_asked_for) {
    static const char *const known[] = {"Thickness",    "DFT",     "Coating thickness",
                                        "Schichtdicke", "Espesor", "Spessore"};
    size_t violations = 0, asked_for = 0;
    for (int i = 0; i < 500; i++) {
        static const char letters[] = "bcdfghjklmnpqrstvwxzaeou";
        char word[8] = "", heading[80];
        const size_t n = 4 + pick(3);
        for (size_t k = 0; k < n; k++)
            word[k] = letters[pick(sizeof letters - 1)];
        word[0] = 'z'; /* no word of a map begins so but "zone", "zeit" and their like */
        word[1] = 'q';
        write_heading(heading, sizeof heading, known[pick(MR_COUNT(known))], word);
        bool asked;
        const size_t read = readings_under(heading, &asked);
        asked_for += asked;
        if (read && violations++ < 5)
            cr_expect_fail("%s: %zu readings", heading, read);
    }
    printf("made-up words: 500 headings, %zu violations\n", violations);
    cr_expect_eq(violations, 0);
    cr_expect_gt(asked_for, 250, "few are asked for as film: %zu", asked_for);
}

static bool line_under(const char *heading, enum mr_meaning meaning, bool *asked) {
    struct norm_rig rig;
    char text[400];
    snprintf(text, sizeof text,
             "Time,%s,%s\n2026-05-13 08:00,600,601\n2026-05-13 08:01,602,600\n2026-05-13 08:02,601,602\n", heading,
             meaning == MR_M_LINE_A ? "Line B (kPa)" : "Line A (kPa)");
    norm_begin(&rig);
    norm_add(&rig, "a.csv", text, 0);
    norm_run(&rig);
    const bool read = norm_channel(&rig, 0, meaning, 0) != NULL;
    *asked = norm_count(&rig, "doubtful-line") > 0;
    cr_expect(norm_identity(&rig), "%s", heading);
    norm_end(&rig);
    return read;
}

/* "Line A drum" was read and proved the line: a pressure beside the pump says nothing of what sprayed. */
Test(doubtful_film, a_line_with_a_word_that_nobody_knows_is_asked_for) {
    static const struct {
        const char *known;
        enum mr_meaning meaning;
    } known[] = {{"Line A", MR_M_LINE_A}, {"Pressure B", MR_M_LINE_B}, {"Main air", MR_M_MAIN}};
    static const char *const words[] = {"drum",  "spare", "store", "bypass", "idle",
                                        "zqorb", "zqik",  "tank",  "return"};
    size_t asked_for = 0;
    bool asked;
    for (size_t i = 0; i < MR_COUNT(known); i++)
        for (size_t k = 0; k < MR_COUNT(words); k++) {
            char heading[80];
            snprintf(heading, sizeof heading, pick(2) ? "%s %s (kPa)" : "%s (%s) [kPa]", known[i].known, words[k]);
            cr_expect_not(line_under(heading, known[i].meaning, &asked), "%s", heading);
            asked_for += asked;
        }
    cr_expect_gt(asked_for, 15, "%zu", asked_for);
    static const char *const harmless[] = {
        "Line A (kPa)", "Hose A pressure (kPa)",  "Line A gun (kPa)",       "Part A outlet 1 (kPa)",
        "Line A [kPa]", "Fluid pressure A (kPa)", "Line A transducer (kPa)"};
    for (size_t i = 0; i < MR_COUNT(harmless); i++)
        cr_expect(line_under(harmless[i], MR_M_LINE_A, &asked), "%s", harmless[i]);
}

Test(doubtful_film, what_is_known_to_be_harmless_is_read) {
    static const char *const headings[] = {
        "Thickness (dry) um", "Total DFT um",         "Final coating thickness [um]", "Measured thickness um",
        "DFT reading 1 um",   "Thickness Fe um",      "Schichtdicke gemessen [um]",   "Thickness of the coating um",
        "Spot thickness um",  "DFT (non ferrous) um", "Espesor medido (um)"};
    for (size_t i = 0; i < MR_COUNT(headings); i++) {
        bool asked;
        cr_expect_eq(readings_under(headings[i], &asked), 3, "%s", headings[i]);
        cr_expect_not(asked, "%s", headings[i]);
    }
}

Test(doubtful_film, a_letter_needs_its_series_and_a_bare_heading_is_none) {
    bool asked;
    cr_expect_eq(readings_under("Thickness A um", &asked), 0);
    cr_expect(asked);
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", "zone,spot,Reading A um,Reading B um,Reading C um\nD,1,210,212,214\n", 0);
    norm_add(&rig, "b.csv", "zone,spot,DFT um,DFT 2 um\nD,1,210,150\n", 0);
    norm_run(&rig);
    cr_expect_eq(rig.data->readings.n, 3);
    cr_expect_eq(norm_count(&rig, "rival-columns"), 1);
    norm_end(&rig);
}

static size_t readings_with(const char *heading, const char *cell) {
    struct norm_rig rig;
    char text[200];
    snprintf(text, sizeof text, "zone,spot,DFT um,%s\nD,1,210,%s\nD,2,215,\n", heading, cell);
    norm_begin(&rig);
    norm_add(&rig, "a.csv", text, 0);
    norm_run(&rig);
    const size_t n = rig.data->readings.n;
    cr_expect(norm_identity(&rig), "%s: %s", heading, cell);
    norm_end(&rig);
    return n;
}

/* A primer under the heading of coats, and a shim in the remarks, were judged as the film. */
Test(doubtful_film, a_coat_or_a_note_may_say_that_it_is_no_film) {
    static const struct {
        const char *heading, *cell;
        size_t readings;
    } cases[] = {{"Coat", "primer", 1},
                 {"Coat", "intermediate", 1},
                 {"Coat", "zinc rich", 1},
                 {"Coat", "1", 2},
                 {"Coat", "coat 2", 2},
                 {"Coat", "topcoat", 2},
                 {"Coat", "Top coat", 2},
                 {"Remark", "shim", 1},
                 {"Remark", "on shim", 1},
                 {"Remark", "primer only", 1},
                 {"Remark", "bare steel", 1},
                 {"Remark", "zero check", 1},
                 {"Remark", "near the weld", 2},
                 {"Remark", "check edge", 2},
                 {"Remark", "beside reference plate", 2}};
    for (size_t i = 0; i < MR_COUNT(cases); i++)
        cr_expect_eq(readings_with(cases[i].heading, cases[i].cell), cases[i].readings, "%s: %s", cases[i].heading,
                     cases[i].cell);
}
