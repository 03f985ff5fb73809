/*
 * test_unread.c - columns that are not read are said where they hold what the kind measures, and left in peace
 * elsewhere.
 */
#include "support/norm_rig.h"

#include "base/text.h"

#include <criterion/criterion.h>
#include <string.h>

static const struct {
    const char *heads, *rows;
    size_t said;
    const char *text; /* of the first message */
} cases[] = {
    {"Time,Line A (psi),Line B (psi),Hose 3 (psi)", "2026-05-13 08:00,800,810,795\n2026-05-13 08:01,801,811,796\n", 1,
     "column Hose 3 (psi) = main"},
    {"Time,Air (°C),RH (%),Gadget (°C)", "2026-05-13 08:00,20.1,55,19.5\n2026-05-13 08:01,20.2,56,19.6\n", 1,
     "column Gadget (°C) = steel"},
    {"Zone,DFT (um),Sleeve (um)", "Deck 1,212,3\nDeck 1,214,4\n", 1, "column Sleeve (um) = thickness"},
    {"Zone,Location,DFT (um)", "Deck 1,north,212\nDeck 1,south,214\n", 1, "is taken as the zone"},
    {"Zone,BMR (um),DFT (um)", "Deck 1,28,212\nDeck 1,29,214\n", 1, "film and base metal in separate files"},
    {"No,Date,DFT (um),No,Date,DFT (um)",
     "1,2026-05-13 09:00,212,1,2026-05-13 10:00,222\n2,2026-05-13 09:01,214,2,2026-05-13 10:01,224\n", 1,
     "side-by-side tables in separate files"},
    /* nothing is lost here */
    {"Zone,DFT (um),WFT (um)", "Deck 1,212,400\nDeck 1,214,400\n", 0, ""},
    {"Zone,DFT (um),Mean (um),Min (um),Limit (um)", "Deck 1,212,213,200,150\nDeck 1,214,213,200,150\n", 0, ""},
    {"Zone,DFT (um),DFT (mils)", "Deck 1,212,8.35\nDeck 1,214,8.43\n", 0, ""},
    {"Time,Air (°C),RH (%),Margin (°C)", "2026-05-13 08:00,20.1,55,5.5\n2026-05-13 08:01,20.2,56,5.6\n", 0, ""},
    {"Time,Line A (psi),Line B (psi),Battery (V)", "2026-05-13 08:00,800,810,3.6\n2026-05-13 08:01,801,811,3.6\n", 0,
     ""},
    {"Zone,DFT (um),Batch C", "Deck 1,212,3\nDeck 1,214,4\n", 0, ""},
    {"Time,Line A (psi),Line B (psi),Hose 3 (psi)", "2026-05-13 08:00,800,810,\n2026-05-13 08:01,801,811,\n", 0, ""},
};

Test(unread, a_column_of_the_kinds_matter_is_said_with_the_line_that_reads_it) {
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv", mr_printf(rig.arena, "%s\n%s", cases[i].heads, cases[i].rows), 0);
        norm_run(&rig);
        cr_expect(rig.data->files.v[0].kind != MR_KIND_UNKNOWN, "%s", cases[i].heads);
        cr_expect(norm_count(&rig, "column-unread") == cases[i].said, "%s: %d", cases[i].heads,
                  (int)norm_count(&rig, "column-unread"));
        cr_expect(strstr(norm_first(&rig, "column-unread"), cases[i].text), "%s: %s", cases[i].heads,
                  norm_first(&rig, "column-unread"));
        norm_end(&rig);
    }
}

Test(unread, the_jobs_own_word_ends_it_and_many_are_summed_up) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_rule_column(&rig, norm_rule(&rig, "a.csv"), "Sleeve (um)", "ignore", "");
    norm_add(&rig, "a.csv", "Zone,DFT (um),Sleeve (um)\nDeck 1,212,3\nDeck 1,214,4\n", 0);
    norm_add(&rig, "b.csv", "Zone,DFT (um),S (um),T (um),U (um),V (um),W (um),X (um)\nDeck 1,212,3,3,3,3,3,3\n", 0);
    norm_run(&rig);
    cr_expect(norm_count(&rig, "column-unread") == 5, "%d", (int)norm_count(&rig, "column-unread"));
    norm_end(&rig);
}

Test(unread, absolute_pressure_is_refused_however_its_heading_says_it) {
    static const char *const heads[] = {"Line A (psia)", "Line A abs (psi)", "Line A (bar abs)", "Line A [kPa abs]",
                                        "Line A absolute (bar)"};
    for (size_t i = 0; i < MR_COUNT(heads); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv",
                 mr_printf(rig.arena,
                           "Time,%s,Line B (psi)\n2026-05-13 08:00,94.8,80.1\n2026-05-13 08:01,94.9,80.2\n",
                           heads[i]),
                 0);
        norm_run(&rig);
        cr_expect(!norm_channel(&rig, 0, MR_M_LINE_A, 0) && norm_channel(&rig, 0, MR_M_LINE_B, 0), "%s", heads[i]);
        cr_expect(strstr(norm_first(&rig, "no-unit"), "absolute"), "%s: %s", heads[i], norm_first(&rig, "no-unit"));
        norm_end(&rig);
    }
}

/* What a crew wrote of the climate beside a coat; the limits are those of a job that states none. */
Test(unread, a_coat_whose_own_climate_misses_a_limit_is_in_doubt) {
    static const struct {
        const char *headings, *cells;
        bool doubted;
    } logs[] = {{"RH [%]", "96", true},
                {"RH [%]", "60", false},
                {"Steel temp [degC],Dew point [degC]", "12,11", true},
                {"Steel temp [degC],Dew point [degC]", "21,11", false},
                {"Steel temp F,Dew point F", "70,68", true},
                {"Steel temp F,Dew point F", "70,55", false},
                {"Air temp [degC],Humidity,Steel temp [degC]", "20,84,18", true},
                {"Air temp [degC],Humidity,Steel temp [degC]", "20,50,18", false},
                {"Taupunktabstand", "1.5", true},
                {"Spread [K]", "8", false},
                {"Steel temp limit [degC],Dew point [degC]", "3,11", false}};
    for (size_t i = 0; i < MR_COUNT(logs); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "spray log.csv",
                 mr_printf(rig.arena,
                           "Date,Action,Zone,Coat,Start,Stop,%s\n2026-05-11,spray,Deck,1,08:00,08:10,%s\n"
                           "2026-05-11,clean-out,,,08:15,08:30,%s\n",
                           logs[i].headings, logs[i].cells, logs[i].cells),
                 0);
        norm_run(&rig);
        cr_expect(norm_identity(&rig));
        cr_expect_eq(rig.data->sprays.n, 2, "%s", logs[i].headings);
        cr_expect_eq(rig.data->unread.n, logs[i].doubted ? 1 : 0, "%s: %s", logs[i].headings, logs[i].cells);
        norm_end(&rig);
    }
}
