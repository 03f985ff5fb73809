/*
 * test_stated_purpose.c - a file that says above its table, or by its name, that its readings are of something else
 * is asked for: a test plate, a demonstration, a forecast. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define FILM "zone,spot,thickness [um]\nD,1,210\nD,2,215\nD,3,220\n"
#define AIR "time,air [degC],RH [%]\n2026-05-11 08:00,20.1,50\n2026-05-11 08:10,20.2,51\n2026-05-11 08:20,20.3,52\n"

/* Whether anything was read. rule: the job states the kind of the file. */
static bool is_read(const char *path, const char *above, const char *table, bool rule) {
    struct norm_rig rig;
    char text[800];
    snprintf(text, sizeof text, "%s%s", above, table);
    norm_begin(&rig);
    if (rule)
        norm_rule(&rig, path)->kind = strcmp(table, AIR) == 0 ? "climate" : "thickness";
    norm_add(&rig, path, text, 0);
    norm_run(&rig);
    const bool read = rig.data->readings.n > 0 || rig.data->channels.n > 0;
    cr_expect(norm_identity(&rig), "%s %s", path, above);
    cr_expect_eq(norm_count(&rig, "other-purpose"), !read, "%s %s", path, above);
    norm_end(&rig);
    return read;
}

static const struct {
    const char *path, *above, *table;
} others[] = {{"a.csv", "Sample: test plate 250 um\n", FILM},
              {"a.csv", "Substrate: calibration foil\n", FILM},
              {"a.csv", "Memo: practice panel, not the deck\n", FILM},
              {"a.csv", "Mode,Simulation\n", FILM},
              {"a.csv", "Wet film thickness\nSerial: G1\n", FILM},
              {"a.csv", "# readings on shims\n", FILM},
              {"a.csv", "Surface = primer\n", FILM},
              {"a.csv",
               "Bemerkung: Pr\xc3\xbc"
               "fplatte\n",
               FILM},
              {"test panel readings.csv", "Serial: G1\n", FILM},
              {"training/deck.csv", "", FILM},
              {"a.csv", "Source: weather forecast\n", AIR},
              {"a.csv", "Mode: demo\n", AIR},
              {"a.csv", "Simulated data\n", AIR},
              {"example-log.csv", "", AIR},
              {"a.csv", "Status: sensor fault\n", AIR},
              {"a.csv", "Low battery\n", AIR},
              {"a.csv", "Steel probe: not connected\n", AIR},
              {"a.csv", "Self test: failed\n", AIR},
              {"a.csv", "Errors: 3\n", AIR},
              {"a.csv", "Batterie leer\n", AIR},
              {"a.csv", "Clock offset: -1 h\n", AIR},
              {"a.csv", "Time offset: 01:00\n", AIR},
              {"a.csv", "Note: clock 1 h slow\n", AIR},
              {"a.csv", "Uhr geht 1 h nach\n", AIR},
              {"a.csv", "Calibration status: expired\n", FILM},
              {"a.csv", "Gauge dropped\n", FILM},
              {"a.csv", "Error: E3\n", FILM},
              {"a.csv", "Deleted readings: 6\n", FILM},
              {"a.csv", "Steel probe offset: -3.0 K\n", AIR},
              {"a.csv", "RH correction: +20 %\n", AIR},
              {"a.csv", "Correction: RH reads 20 % low\n", AIR},
              {"a.csv", "Korrektur: 2,5 K\n", AIR},
              {"a.csv", "Averaging: 60 min\n", AIR},
              {"a.csv", "Sample: averaged over 1 h\n", AIR},
              {"a.csv", "Offset: +60 um\n", FILM},
              {"a.csv", "Surface: concrete\n", FILM},
              {"a.csv", "Statistics: max of 5\n", FILM},
              {"a.csv", "Filter: > 200 um\n", FILM},
              {"a.csv", "Export: accepted readings only\n", FILM},
              {"a.csv", "Source: nearest airport\n", AIR},
              {"a.csv", "Probe: on dummy plate\n", AIR},
              {"a.csv", "Data: interpolated\n", AIR},
              {"a.csv", "Sensor 2: faulty\n", AIR}};

Test(stated_purpose, what_is_of_something_else_is_asked_for_and_the_job_has_the_last_word) {
    for (size_t i = 0; i < MR_COUNT(others); i++) {
        const char *path = others[i].path, *above = others[i].above;
        cr_expect_not(is_read(path, above, others[i].table, false), "%s %s", path, above);
        cr_expect(is_read(path, above, others[i].table, true), "%s %s, stated", path, above);
    }
}

/* What a gauge or a logger usually says of itself and of the work. */
Test(stated_purpose, what_an_instrument_says_of_itself_is_no_other_purpose) {
    static const char *const film[] = {"Gauge: coating thickness\nSerial number: G1\nProbe: F2\n",
                                       "Calibration: two points on foils 125 and 250 um\n",
                                       "Zero check: passed on a foil\n",
                                       "Calibration foil: 250\n",
                                       "Last verified on shims: 2026-05-10\n",
                                       "Correction: foil 12 um\n",
                                       "Batch: Deck north\nOperator: inspector\n",
                                       "Substrate: steel\nUnits: um\n",
                                       "Downloaded: 05/13/2026 03:41 PM\n",
                                       "Film thickness readings\n",
                                       "Status: ok\nDeleted readings: 0\n",
                                       "Calibration: passed\nCalibrated: yes\n",
                                       "Error: 2 %\n",
                                       "Offset: 0 um\n",
                                       "Surface: steel\nFilter: off\n",
                                       "Filter: none\nStatistics: mean, max, min\n",
                                       "Calibration offset: 3 um\n"};
    static const char *const air[] = {"Hygrometer HY-1\nInterval: 120 s\n",
                                      "Logger: HY-2\nRecords: 482\n",
                                      "Sample rate: 1 Hz\n",
                                      "Calibration due: 2027-01-01\n",
                                      "Status: OK\nBattery: 87 %\n",
                                      "Errors: 0\nWarnings: none\n",
                                      "Self test: passed\n",
                                      "Clock offset: 0 s\n",
                                      "Steel probe offset: 0.0 K\n",
                                      "RH correction: none\n",
                                      "Averaging: 60 s\n",
                                      "Standard deviation: 0.3 K\n",
                                      "Clock: 2026-05-11 07:00:00\n",
                                      "Logger clock: UTC\n",
                                      "Source: logger 7\nProbe: K\n",
                                      "Sensor 2: ok\n",
                                      "Error: 0.5 degC\n"};
    for (size_t i = 0; i < MR_COUNT(film); i++)
        cr_expect(is_read("TG-1 memory.csv", film[i], FILM, false), "%s", film[i]);
    for (size_t i = 0; i < MR_COUNT(air); i++)
        cr_expect(is_read("climate/HY-1 bridge.csv", air[i], AIR, false), "%s", air[i]);
}

/* What somebody put away or never finished is no record of the work until the job says so. */
Test(stated_purpose, a_file_that_was_put_away_is_asked_for) {
    static const struct {
        const char *path;
        bool asked;
    } cases[] = {{"old/film.csv", true},        {"film superseded.csv", true}, {"archive/2026/film.csv", true},
                 {"film do not use.csv", true}, {"film draft.csv", true},      {"film (planned).csv", true},
                 {"film backup.csv", false},    {"film copy.csv", false},      {"film new.csv", false},
                 {"threshold film.csv", false}, {"film voids map.csv", false}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, cases[i].path,
                 "Date,Time,Zone,Area,Spot,Thickness (um),Gauge serial\n2026-05-12,09:00:00,Deck,1,1,240,G1\n"
                 "2026-05-12,09:01:00,Deck,1,1,241,G1\n",
                 0);
        norm_run(&rig);
        cr_expect(norm_identity(&rig), "%s", cases[i].path);
        cr_expect_eq(rig.data->readings.n, cases[i].asked ? 0U : 2U, "%s", cases[i].path);
        norm_end(&rig);
    }
}

/* A title between two tables of one file is heard like one above the first. */
Test(stated_purpose, a_title_among_the_rows_is_heard) {
    static const char *const lines[] = {"\nTest plate\nzone,spot,thickness [um]\n",
                                        "\nDeleted readings\nzone,spot,thickness [um]\n",
                                        "\nVerworfene Messungen\n",
                                        "Type,shim check\n",
                                        "Batch,Calibration foil\n",
                                        "# deleted:\n",
                                        "Another job: North pier\n",
                                        "Surface: bare steel\n",
                                        "\nTraining\nzone,spot,thickness [um]\n",
                                        "\nLecturas anuladas\n",
                                        "\nMesures supprim\xc3\xa9"
                                        "es\n",
                                        "All readings below are on test plates\n"};
    static const char *const harmless[] = {"\n",
                                           "\nArea 3\nzone,spot,thickness [um]\n",
                                           "Batch,2\n",
                                           "# second page\n",
                                           "\nSurvey of the deck\nzone,spot,thickness [um]\n",
                                           "Calibration: on foils 125 and 250 um\n",
                                           "# no deleted readings\n",
                                           "# without outliers\n"};
    for (size_t i = 0; i < MR_COUNT(lines); i++)
        for (int rule = 0; rule < 2; rule++) {
            char text[400];
            snprintf(text, sizeof text, FILM "%sD,4,215\nD,5,216\nD,6,217\n", lines[i]);
            cr_expect_eq(is_read("a.csv", "", text, rule), rule, "%s", lines[i]);
        }
    for (size_t i = 0; i < MR_COUNT(harmless); i++) {
        char text[400];
        snprintf(text, sizeof text, FILM "%sD,4,215\nD,5,216\nD,6,217\n", harmless[i]);
        cr_expect(is_read("a.csv", "", text, false), "%s", harmless[i]);
    }
    cr_expect(is_read("a.csv", "", FILM "\nShim checks are in another file\n", false), "below the last row");
}

/* What the lines of other files say of which rows they hold. */
Test(stated_purpose, rows_that_were_chosen_planned_or_never_sprayed_are_asked_for) {
    static const char pressures[] = "Time,Line A (kPa),Line B (kPa),Main (kPa)\n2026-05-11 08:00:00,600,601,620\n"
                                    "2026-05-11 08:00:05,602,601,621\n2026-05-11 08:00:10,603,604,622\n";
    static const char log[] = "Date,Action,Zone,Coat,Start,Stop,Role\n2026-05-11,spray,Deck,1,08:00,08:10,sprayer\n"
                              "2026-05-11,spray,Deck,2,09:00,09:10,sprayer\n";
    static const char checks[] = "Date,Time,Gauge serial,Certified value (um),Reading (um),Before/after\n"
                                 "2026-05-12,07:50,G1,200,201,before\n2026-05-12,17:50,G1,200,201,after\n";
    static const struct {
        const char *above, *table;
        bool asked;
    } cases[] = {{"No material", pressures, true},
                 {"Dry run", pressures, true},
                 {"Peak hold", pressures, true},
                 {"Averaged over 10 min", pressures, true},
                 {"Averaged over 1 s", pressures, false},
                 {"Bypass: no", pressures, false},
                 {"Planned", log, true},
                 {"Primer only", log, true},
                 {"Not final", log, true},
                 {"Draft", log, true},
                 {"Crew 2", log, false},
                 {"Weather: dry", log, false},
                 {"Result: fail", checks, true},
                 {"Values before adjustment", checks, true},
                 {"Standards expired", checks, true},
                 {"Result: pass", checks, false},
                 {"Standards: certified shims", checks, false}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        char text[600];
        snprintf(text, sizeof text, "%s\n%s", cases[i].above, cases[i].table);
        norm_begin(&rig);
        norm_add(&rig, "a.csv", text, 0);
        norm_run(&rig);
        cr_expect(norm_identity(&rig), "%s", cases[i].above);
        cr_expect_eq(norm_count(&rig, "other-purpose"), cases[i].asked ? 1U : 0U, "%s", cases[i].above);
        norm_end(&rig);
    }
}
