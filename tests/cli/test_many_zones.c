/*
 * test_many_zones.c - a job of more zones than a workbook has room for: nothing grows with the square of their
 * number, and what the workbook leaves out stands beside it, whole, with the worst zones first where a list is cut.
 */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

enum { ZONES = 10001, PATH = 512 };

TestSuite(many_zones, .init = cli_begin, .fini = cli_end, .timeout = 300);

/* A register, and a film far too thin on the last zone. Invented. */
static void put_job(size_t zones) {
    char *text = malloc(zones * 40 + 100), *at = text;
    at += sprintf(at, "zone,area [m2],steel thickness [mm],coats\n");
    for (size_t i = 1; i <= zones; i++)
        at += sprintf(at, "Zone %zu,10,8,1\n", i);
    cli_put("job.milrise",
            "[job]\nname = Many\ntime zone = UTC\n[thickness]\nminimum = 200 um\nrules = plain-limits\n");
    cli_put("zones.csv", text);
    at = text + sprintf(text, "time,zone,area,spot,thickness [um]\n");
    for (int i = 0; i < 15; i++)
        at += sprintf(at, "2026-05-11 10:%02d:00,Zone %zu,1,%d,90\n", i, zones, i / 3 + 1);
    cli_put("gauge.csv", text);
    free(text);
}

static char *slurp(const char *name) {
    char path[PATH];
    snprintf(path, sizeof path, "%s/%s", cli_dir, name);
    FILE *f = fopen(path, "rb");
    cr_assert(f, "%s", name);
    fseek(f, 0, SEEK_END);
    const size_t n = (size_t)ftell(f);
    rewind(f);
    char *text = calloc(n + 1, 1);
    cr_assert_eq(fread(text, 1, n, f), n);
    fclose(f);
    return text;
}

/* By memchr: under the sanitizers strstr measures the whole rest of the text at each call. */
static size_t count(const char *text, const char *part) {
    const char *end = text + strlen(text);
    const size_t length = strlen(part);
    size_t n = 0;
    while ((text = memchr(text, *part, (size_t)(end - text))) && (size_t)(end - text) >= length) {
        const bool here = memcmp(text, part, length) == 0;
        n += here;
        text += here ? length : 1;
    }
    return n;
}

Test(many_zones, what_the_workbook_leaves_out_stands_beside_it) {
    put_job(ZONES);
    cr_assert_eq(cli_run("report -q --no-charts ."), 1, "%s", cli_err);
    char *json = slurp("reports/latest/report.json"), *csv = slurp("reports/latest/tables/checks.csv"),
         *answer = slurp("answer.txt");
    cr_expect_eq(count(csv, "\r\n"), 1 + count(json, "\"limit_low\": "), "a row for each check");
    cr_expect_eq(count(json, ", \"limit_low\": "), count(json, "\"limit_low\": "), "each check is one line");
    cr_expect_eq(strncmp(csv, "\xef\xbb\xbfZone,Group,Check,", 16), 0);
    cr_expect_not_null(strstr(csv, "\r\nZone 10001,thickness,"));
    const char *listed = strstr(answer, "\nAll zones -"),
               *worst = listed ? strstr(listed, "Zone 10001  does not conform") : NULL;
    cr_assert(listed && worst);
    cr_expect_lt(worst, strstr(listed, "Zone 1  "), "the zone that does not conform comes first");
    cr_expect_not_null(strstr(answer, "These 10000 have the worst outcomes of 10001 zones"));
    cr_expect_eq(count(listed, "not shown  "), 10000 - 1);
    cr_expect_not_null(strstr(answer, "Of the others: 9981 not shown;"), "the first page counts what it leaves out");
    cr_expect_not_null(strstr(answer, "and 9996 more like these"), "places that are the same advice are counted");
    free(json);
    free(csv);
    free(answer);
}

/* A unit of the XML below a sheet, of which unzip gives the text; -1 where it is missing. */
static long in_sheets(const char *part) {
    char command[PATH];
    snprintf(command, sizeof command, "cd %s && unzip -p reports/latest/*.xlsx 'xl/worksheets/*.xml' > sheets.xml",
             cli_dir);
    if (system(command) != 0)
        return -1;
    char *text = slurp("sheets.xml");
    const long n = (long)count(text, part);
    free(text);
    return n;
}

Test(many_zones, the_workbook_has_no_formulas_then_and_says_where_its_rows_are) {
    put_job(ZONES);
    cr_assert_eq(cli_run("report -q --no-charts ."), 1, "%s", cli_err);
    const long formulas = in_sheets("<f>");
    if (formulas < 0) {
        fprintf(stderr, "SKIPPED ALOUD: unzip is not installed; the sheets were not read\n");
        return;
    }
    cr_expect_eq(formulas, 0);
    cr_expect_eq(in_sheets("rows, which stand beside this workbook in tables/checks.csv"), 1);
    cr_expect_eq(in_sheets("Of 10001 zones the 10000 with the worst outcomes"), 1);
    put_job(ZONES - 1);
    cr_assert_eq(cli_run("report -q --no-charts ."), 1, "%s", cli_err);
    cr_expect_gt(in_sheets("<f>"), 100000, "one zone fewer and all is live");
    cr_expect_eq(in_sheets("stand beside this workbook"), 0);
}

/* Seconds of the processor that the children so far took. */
static double spent(void) {
    struct rusage r;
    getrusage(RUSAGE_CHILDREN, &r);
    return (double)(r.ru_utime.tv_sec + r.ru_stime.tv_sec) + 1e-6 * (double)(r.ru_utime.tv_usec + r.ru_stime.tv_usec);
}

/* The same with a coat and three readings on each zone, one zone after another. */
static void put_sprayed(size_t zones) {
    put_job(zones);
    char *log = malloc(zones * 80 + 100), *film = malloc(zones * 120 + 100);
    char *row = log + sprintf(log, "Date,Action,Zone,Coat,Start,Stop,Role\n"),
         *reading = film + sprintf(film, "time,zone,area,spot,thickness [um]\n");
    for (size_t i = 0; i < zones; i++) {
        const int day = 1 + (int)(i / 720 % 28), month = 1 + (int)(i / 720 / 28), minute = (int)(i % 720) * 2;
        row += sprintf(row, "2026-%02d-%02d,spray,Zone %zu,1,%02d:%02d,%02d:%02d,sprayer\n", month, day, i + 1,
                       minute / 60, minute % 60, minute / 60, minute % 60 + 1);
        for (int k = 0; k < 3; k++)
            reading += sprintf(reading, "2026-%02d-%02d %02d:%02d:%02d,Zone %zu,1,1,%d\n", month, day, minute / 60,
                               minute % 60 + 1, 20 * k, i + 1, 250 + k);
    }
    cli_put("spray log.csv", log);
    cli_put("film.csv", film);
    free(log);
    free(film);
}

Test(many_zones, four_times_the_zones_take_about_four_times_as_long) {
    put_sprayed(ZONES);
    double before = spent();
    cr_assert_eq(cli_run("report -q --no-charts ."), 1, "%s", cli_err);
    const double once = spent() - before;
    put_sprayed(4 * ZONES);
    before = spent();
    cr_assert_eq(cli_run("report -q --no-charts ."), 1, "%s", cli_err);
    cr_expect_lt(spent() - before, 8 * once, "a square would give 16 times %.2f s", once);
}
