/*
 * test_field_files.c - files that nobody here wrote, described as their publishers describe them.
 *
 * NIST Dataplot reference files: plain text, 25 lines above the data (60 for NUMACC* and PIDIGITS, 50 for MPC62),
 * numbers of observations as certified in the NIST Statistical Reference Datasets or as the file's own text states
 * them. NREL: TMY3 has a metadata line, a line of 71 names, then hours; MIDC has one line of names, then the 1440
 * minutes of a day. The dew-point table has 80 rows of 4 columns. They are not part of this repository:
 * MILRISE_FIELD_DATA names their folder.
 */
#include "milrise/read.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const struct {
    const char *path;
    const char *line_ends;
    char delimiter, decimal; /* decimal 0: not settled */
    uint32_t header, body;
    size_t columns;
    uint64_t body_rows;
    const char *name; /* of the first column */
} files[] = {
    {"climate/dewpoint_table_C.csv", "LF", ',', '.', 1, 2, 4, 80, "t_air_C"},
    {"climate/midc_20181014.txt", "LF", ',', '.', 1, 2, 7, 1440, "DATE"},
    {"climate/tmy3_723170_first50.csv", "LF", ',', '.', 2, 3, 71, 48, "Date"},
    {"nist/certified_univariate.csv", "LF", ',', '.', 1, 2, 8, 9, "dataset"},
    {"nist/LEW.DAT", "LF", 0, 0, 24, 26, 1, 200, "Deflection"},
    {"nist/LOTTERY3.DAT", "LF", ' ', 0, 24, 26, 5, 218, "NUMBER"},
    {"nist/MAVRO.DAT", "LF", 0, '.', 24, 26, 1, 50, "Transmittance"},
    {"nist/MICHELSO.DAT", "LF", ' ', '.', 24, 26, 5, 100, "SPEED OF LIGHT"},
    {"nist/NUMACC1.DAT", "CRLF", 0, 0, 59, 61, 1, 3, "Data: Y"},
    {"nist/NUMACC2.DAT", "CRLF", 0, '.', 59, 61, 1, 1001, "Data: Y"},
    {"nist/NUMACC3.DAT", "CRLF", 0, '.', 59, 61, 1, 1001, "Data: Y"},
    {"nist/NUMACC4.DAT", "CRLF", 0, '.', 59, 61, 1, 1001, "Data: Y"},
    {"nist/PIDIGITS.DAT", "CRLF", 0, 0, 59, 61, 1, 5000, "Data: Y"},
    {"nist/NORRIS11.DAT", "LF", ' ', '.', 24, 26, 3, 36, "Customer"},
    {"nist/PONTIUS.DAT", "LF", 0, 0, 24, 26, 1, 40, "Deflection Load"},
    {"nist/100OHM.DAT", "LF", ' ', '.', 24, 26, 13, 25, "cr"},
    {"nist/COMPARE-7_1_6.DAT", "CRLF", 0, 0, 24, 26, 1, 90, "Y"},
    {"nist/EHRLICH.DAT", "LF", ' ', '.', 24, 26, 3, 69, "\"Eff. Area\""},
    {"nist/FURNACE.DAT", "LF", ' ', 0, 24, 26, 4, 168, "RUN"},
    {"nist/LEIGH4.DAT", "LF", 0, 0, 24, 26, 1, 24, "Y X"},
    {"nist/MONITOR-6_6_1_1.DAT", "CRLF", ' ', '.', 24, 26, 6, 450, "Cassette"},
    {"nist/MPC62.DAT", "CRLF", ' ', '.', 49, 51, 13, 25, "CRYSTID"},
    {"nist/SILICON.DAT", "LF", 0, 0, 24, 26, 1, 100, "THICKNESS DAY"},
    {"nist/ZARR13.DAT", "LF", 0, '.', 24, 26, 1, 195, "Calibration Factor"},
    {"nist/TIETMOO1.DAT", "LF", 0, '.', 0, 26, 1, 15, ""}, /* only a rule above the data */
    {"nist/GRUBBS8.csv", "LF", 0, '.', 1, 2, 1, 8, "y"},
};

static bool count_body(void *ctx, const struct mr_row *row) {
    *(uint64_t *)ctx += row->part == MR_ROW_BODY;
    return true;
}

static const char *data_folder(void) {
    const char *stated = getenv("MILRISE_FIELD_DATA");
    return stated ? stated : "";
}

Test(field_files, are_described_as_their_publishers_describe_them) {
    if (access(data_folder(), R_OK) != 0) {
        printf("SKIPPED ALOUD: files from the field are not there (MILRISE_FIELD_DATA); their description was not "
               "checked\n");
        return;
    }
    for (size_t i = 0; i < MR_COUNT(files); i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        char *path = mr_printf(arena, "%s/%s", data_folder(), files[i].path);
        struct mr_source s;
        uint64_t body = 0;
        cr_assert_eq(mr_read_source(arena, mr_job_default(arena), path, files[i].path, NULL, &s), MR_OK, "%s", path);
        cr_assert_eq(mr_read_rows(&s, count_body, &body), MR_OK, "%s", path);
        cr_expect_eq(s.encoding, MR_ENC_UTF8, "%s", path);
        cr_expect_str_eq(s.line_ends, files[i].line_ends, "%s: %s", path, s.line_ends);
        cr_expect_eq(s.delimiter, files[i].delimiter, "%s: '%c'", path, s.delimiter);
        cr_expect_eq(s.decimal, files[i].decimal, "%s: '%c'", path, s.decimal);
        cr_expect_eq(s.header_line, files[i].header, "%s: header line %u", path, s.header_line);
        cr_expect_eq(s.first_body_line, files[i].body, "%s: body from line %u", path, s.first_body_line);
        cr_assert_eq(s.n_columns, files[i].columns, "%s: %zu columns", path, s.n_columns);
        cr_expect_str_eq(s.columns[0].name, files[i].name, "%s: %s", path, s.columns[0].name);
        cr_expect_eq(body, files[i].body_rows, "%s: %llu rows", path, (unsigned long long)body);
        mr_arena_free(arena);
    }
}
