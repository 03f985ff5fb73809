/*
 * test_headings.c - names and units of header cells, and the preamble's pairs.
 */
#include "milrise/read.h"
#include "read/shape/cellkind.h"
#include "read/shape/heading.h"

#include <criterion/criterion.h>
#include <string.h>

static struct mr_cell cell_of(const char *text) {
    return (struct mr_cell){.p = text, .n = (uint32_t)strlen(text)};
}

Test(headings, names_and_units_are_told_apart_by_how_they_are_written) {
    static const struct {
        const char *text, *units_row, *name, *unit;
    } cases[] = {
        {"Thickness [µm]", "", "Thickness", "µm"},
        {"thickness, µm", "", "thickness", "µm"},
        {"Temperature (°C)", "", "Temperature", "°C"},
        {"Temperature / °C", "", "Temperature", "°C"},
        {"T/°C", "", "T", "°C"},
        {"Film\n(um)", "", "Film", "um"},
        {"Global (Accumulated) [kWhr/m^2]", "", "Global (Accumulated)", "kWhr/m^2"},
        {"Date (MM/DD/YYYY)", "", "Date", "MM/DD/YYYY"},
        {"Time (HH:MM)", "", "Time", "HH:MM"},
        {"GHI uncert (%)", "", "GHI uncert", "%"},
        {"Air temp [deg C]", "", "Air temp", "deg C"},
        {"Reading (avg)", "", "Reading (avg)", ""},
        {"Temp (probe 1)", "", "Temp (probe 1)", ""},
        {"Before/after", "", "Before/after", ""},
        {"Date/Time", "", "Date/Time", ""},
        {"Remarks, if any", "", "Remarks, if any", ""},
        {"Ch1", "degF", "Ch1", "degF"},
        {"Ch1", "[°C]", "Ch1", "°C"},
        {"Ch1 [°F]", "K", "Ch1", "°F"},
        {"[mil]", "", "[mil]", ""},
        {"", "", "", ""},
        {")", "", ")", ""},
        {"a)", "", "a)", ""},
        {"((um))", "", "((um))", ""},
    };
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct mr_cell text = cell_of(cases[i].text), units = cell_of(cases[i].units_row);
        struct mr_head head = mr_heading(arena, &text, units.n ? &units : NULL);
        cr_expect_str_eq(head.text, cases[i].text);
        cr_expect_str_eq(head.name, cases[i].name, "%s: name %s", cases[i].text, head.name);
        cr_expect_str_eq(head.unit, cases[i].unit, "%s: unit %s", cases[i].text, head.unit);
    }
    mr_arena_free(arena);
}

Test(headings, cells_are_sorted_by_their_look) {
    static const struct {
        const char *text;
        enum mr_cell_kind kind;
    } cases[] = {
        {"5.2", MR_CELL_NUMBER},
        {"-5,2", MR_CELL_NUMBER},
        {"+1.5e-3", MR_CELL_NUMBER},
        {"\u22125.2", MR_CELL_NUMBER},
        {"1 234,5", MR_CELL_NUMBER},
        {"5.2 mil", MR_CELL_NUMBER},
        {"85%", MR_CELL_NUMBER},
        {".5", MR_CELL_NUMBER},
        {"2026-05-11", MR_CELL_TIME},
        {"11.05.2026", MR_CELL_TIME},
        {"5/11/26", MR_CELL_TIME},
        {"10:00", MR_CELL_TIME},
        {"2:05 PM", MR_CELL_TIME},
        {"11 May 2026", MR_CELL_TIME},
        {"May 11, 2026 10:00", MR_CELL_TIME},
        {"2026-05-11T10:00:00.25Z", MR_CELL_TIME},
        {"2026-05-11 10:00:00 +02:00", MR_CELL_TIME},
        {"", MR_CELL_MISSING},
        {"---", MR_CELL_MISSING},
        {"OL", MR_CELL_MISSING},
        {"n/a", MR_CELL_MISSING},
        {"Err", MR_CELL_MISSING},
        {"Deck 1", MR_CELL_WORD},
        {"Z0001", MR_CELL_WORD},
        {"Temperature", MR_CELL_WORD},
        {"2. MONTH", MR_CELL_WORD},
        {"May", MR_CELL_WORD},
        {"1-2", MR_CELL_WORD},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct mr_cell cell = cell_of(cases[i].text);
        cr_expect_eq(mr_cell_kind(&cell, false), cases[i].kind, "\"%s\" is of kind %d", cases[i].text,
                     (int)mr_cell_kind(&cell, false));
    }
}

Test(headings, a_decimal_mark_is_certain_only_where_it_cannot_part_thousands) {
    static const struct {
        const char *text;
        char mark;
        int decimals;
    } cases[] = {
        {"5.2", '.', 1},      {"5,25", ',', 2},    {"1.234", 0, 3},      {"1,234", 0, 3}, {"0.125", '.', 3},
        {"1234.567", '.', 3}, {"1.234,5", ',', 1}, {"1,234.56", '.', 2}, {"12", 0, 0},    {".125", '.', 3},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct mr_cell cell = cell_of(cases[i].text);
        char mark;
        int decimals;
        cr_assert(mr_number_marks(&cell, &mark, &decimals), "%s", cases[i].text);
        cr_expect_eq(mark, cases[i].mark, "%s: mark '%c'", cases[i].text, mark);
        cr_expect_eq(decimals, cases[i].decimals, "%s: %d decimals", cases[i].text, decimals);
    }
}

Test(headings, preamble_lines_become_names_and_values) {
    static const char text[] = "Pressure logger\n"
                               "Serial number: PL-31, rev 2\n"
                               "# Sample rate = 1 Hz\n"
                               "Started,2026-05-11 10:00\n"
                               "Start 10:00\n"
                               "See http://example.org/x\n"
                               "\"Note: kept, dry\"\n"
                               "Position:,north\n"
                               "Offset: 10,5\n"
                               "time,T,U\n10:00,1.5,2.5\n10:01,1.6,2.6\n10:02,1.6,2.7\n";
    static const struct {
        const char *name, *value;
        uint32_t line;
    } want[] = {{"Serial number", "PL-31, rev 2", 2},
                {"Sample rate", "1 Hz", 3},
                {"Started", "2026-05-11 10:00", 4},
                {"Note", "kept, dry", 7},
                {"Position", "north", 8},
                {"Offset", "10,5", 9}};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_source source;
    cr_assert_eq(mr_read_memory(arena, mr_job_default(arena), "t.csv", text, strlen(text), NULL, &source), MR_OK);
    cr_expect_eq(source.header_line, 10);
    cr_assert_eq(source.preamble.n, MR_COUNT(want), "%zu pairs", source.preamble.n);
    for (size_t i = 0; i < MR_COUNT(want); i++) {
        cr_expect_str_eq(source.preamble.v[i].name, want[i].name);
        cr_expect_str_eq(source.preamble.v[i].value, want[i].value);
        cr_expect_eq(source.preamble.v[i].place.line, want[i].line);
    }
    mr_arena_free(arena);
}
