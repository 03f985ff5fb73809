/*
 * The sample job through the real command: every planted flaw is found, and clean zones raise nothing.
 *
 * sample-data/flaws.csv is the one list. Each row says what must stand in report.json:
 *   look in   zone      the zone's outcome is `expected`
 *             check     a check `id` of the zone has the outcome `expected`
 *             finding   a finding `id` of the zone (or of no zone, where none is named) has the gravity `expected`
 *             input     the file `where` has the value `expected` under `id`
 *             aside     the file `where` has `expected` rows set aside for the reason `id`
 *             clock     the estimated offset of instrument `id` is `expected` seconds, within thirty
 *   where     a file; for checks and findings it must stand in the evidence
 * Rows of the flaw "none" name the clean zones.
 */
#include "sample/folders.h"

#include <criterion/criterion.h>
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FLAW, ZONE, LOOK_IN, ID, EXPECTED, WHERE, WHAT, FIELDS };

static char folder[64];
static json_t *report;
static char *list;

static void begin(void) {
    folder_make(folder, sizeof folder);
    folder_copy_sample(folder);
    cr_assert_eq(folder_report(folder), 1, "the sample does not conform, so the exit status is 1");
    char path[256];
    json_error_t error;
    snprintf(path, sizeof path, "%s/job/reports/latest/report.json", folder);
    report = json_load_file(path, 0, &error);
    cr_assert(report != NULL, "%s: %s", path, error.text);
    size_t n;
    list = folder_slurp("sample-data/flaws.csv", &n);
    cr_assert(list != NULL);
}

static void end(void) {
    json_decref(report);
    free(list);
    folder_remove(folder);
}

TestSuite(sample_report, .init = begin, .fini = end, .timeout = 60);

/* Splits the next line of the list in place; its last field may hold commas. NULL at the end. */
static char **next_row(char **at) {
    static char *field[FIELDS];
    char *line = strsep(at, "\n");
    if (!line || !*line)
        return NULL;
    for (int i = 0; i < FIELDS; i++) {
        field[i] = i + 1 < FIELDS ? strsep(&line, ",") : line;
        cr_assert(field[i] != NULL, "a row of flaws.csv has too few fields");
    }
    return field;
}

static const char *text_of(const json_t *object, const char *key) {
    const char *text = json_string_value(json_object_get(object, key));
    return text ? text : "";
}

static bool evidence_names(const json_t *item, const char *where) {
    size_t i;
    json_t *evidence;
    json_array_foreach(json_object_get(item, "evidence"), i,
                       evidence) if (strcmp(text_of(evidence, "file"), where) == 0) return true;
    return *where == '\0';
}

/* The item of an array whose key has this text; NULL. */
static json_t *item_with(const json_t *array, const char *key, const char *text) {
    size_t i;
    json_t *item;
    json_array_foreach(array, i, item) if (strcmp(text_of(item, key), text) == 0) return item;
    return NULL;
}

/* Whether some item of an array is the row's finding or check: id, zone, outcome and evidence. */
static bool stands(const json_t *array, char **row, const char *outcome_key) {
    size_t i;
    json_t *item;
    json_array_foreach(array, i, item) if (strcmp(text_of(item, "id"), row[ID]) == 0 &&
                                           strcmp(text_of(item, "zone"), row[ZONE]) == 0 &&
                                           strcmp(text_of(item, outcome_key), row[EXPECTED]) == 0 &&
                                           evidence_names(item, row[WHERE])) return true;
    return false;
}

static bool input_is(char **row) {
    const json_t *value = json_object_get(item_with(json_object_get(report, "inputs"), "path", row[WHERE]), row[ID]);
    if (json_is_integer(value))
        return json_integer_value(value) == atoll(row[EXPECTED]);
    return json_is_string(value) && strcmp(json_string_value(value), row[EXPECTED]) == 0;
}

static bool aside_is(char **row) {
    const json_t *input = item_with(json_object_get(report, "inputs"), "path", row[WHERE]);
    const json_t *reason = item_with(json_object_get(input, "reasons"), "reason", row[ID]);
    return json_integer_value(json_object_get(reason, "rows")) == atoll(row[EXPECTED]);
}

static bool clock_is(char **row) {
    const json_t *clock = item_with(json_object_get(report, "clocks"), "instrument", row[ID]);
    return json_is_true(json_object_get(clock, "estimated")) &&
           fabs(json_number_value(json_object_get(clock, "estimated_offset_s")) - atof(row[EXPECTED])) <= 30.0;
}

static bool holds(char **row) {
    const json_t *zone = item_with(json_object_get(report, "zones"), "name", row[ZONE]);
    if (strcmp(row[LOOK_IN], "zone") == 0)
        return strcmp(text_of(zone, "outcome"), row[EXPECTED]) == 0;
    if (strcmp(row[LOOK_IN], "check") == 0)
        return stands(json_object_get(zone, "checks"), row, "outcome");
    if (strcmp(row[LOOK_IN], "finding") == 0)
        return stands(json_object_get(report, "findings"), row, "gravity");
    if (strcmp(row[LOOK_IN], "input") == 0)
        return input_is(row);
    if (strcmp(row[LOOK_IN], "aside") == 0)
        return aside_is(row);
    return strcmp(row[LOOK_IN], "clock") == 0 && clock_is(row);
}

Test(sample_report, every_planted_flaw_is_found) {
    char *at = list;
    int rows = 0;
    next_row(&at);
    for (char **row; (row = next_row(&at)); rows++)
        cr_expect(holds(row), "%s: %s '%s' of '%s' is not '%s' (%s)", row[FLAW], row[LOOK_IN], row[ID], row[ZONE],
                  row[EXPECTED], row[WHERE]);
    cr_assert_geq(rows, 40);
}

/* A list that asks for what is not there must fail: otherwise the test above could not. */
Test(sample_report, a_flaw_that_is_not_there_is_missed) {
    static char rows[] = "x,Tank roof,finding,thin-zone,does not conform,,\n"
                         "x,Girder 2 outer web,check,thickness.area-minimum,conforms,,\n"
                         "x,Girder 2 outer web,finding,thin-zone,does not conform,zones.csv,\n"
                         "x,,input,encoding,UTF-8,climate/HY-2210 bridge.csv,\n"
                         "x,,aside,repeated,485,thickness/TG-0417 memory noon.csv,\n"
                         "x,,clock,K8-117,240,,\n"
                         "x,Tank legs,zone,,conforms,,\n";
    char *at = rows;
    for (char **row; (row = next_row(&at));)
        cr_expect(!holds(row), "%s of '%s' is said to hold", row[ID], row[ZONE]);
}

/* Clean zones: every check conforms or is not required, and no finding but a note names the zone. */
Test(sample_report, clean_zones_raise_nothing) {
    char *at = list;
    int clean = 0;
    for (char **row; (row = next_row(&at));) {
        if (strcmp(row[FLAW], "none") != 0)
            continue;
        size_t i;
        json_t *item;
        const json_t *zone = item_with(json_object_get(report, "zones"), "name", row[ZONE]);
        cr_assert(zone != NULL, "%s", row[ZONE]);
        cr_expect_geq(json_array_size(json_object_get(zone, "checks")), 20, "%s: too few checks to be called clean",
                      row[ZONE]);
        json_array_foreach(json_object_get(zone, "checks"), i, item)
            cr_expect(strcmp(text_of(item, "outcome"), "conforms") == 0 ||
                          strcmp(text_of(item, "outcome"), "not required") == 0,
                      "%s: %s %s", row[ZONE], text_of(item, "id"), text_of(item, "outcome"));
        json_array_foreach(json_object_get(report, "findings"), i, item)
            cr_expect(strcmp(text_of(item, "zone"), row[ZONE]) != 0 || strcmp(text_of(item, "gravity"), "note") == 0,
                      "%s: %s", row[ZONE], text_of(item, "what"));
        clean++;
    }
    cr_assert_geq(clean, 5);
}

/* Zones with a planted flaw and clean ones are all there are: nothing is left without an expectation. */
Test(sample_report, the_list_names_every_zone) {
    size_t i;
    json_t *zone;
    json_array_foreach(json_object_get(report, "zones"), i, zone)
        cr_expect(strstr(list, text_of(zone, "name")) != NULL, "%s", text_of(zone, "name"));
    cr_assert_eq(i, 17);
}

Test(sample_report, every_row_of_every_file_is_accounted_for) {
    size_t i, k;
    json_t *input, *reason;
    json_array_foreach(json_object_get(report, "inputs"), i, input) {
        json_int_t aside = json_integer_value(json_object_get(input, "rows_set_aside")), by_reason = 0;
        json_array_foreach(json_object_get(input, "reasons"), k, reason) by_reason +=
            json_integer_value(json_object_get(reason, "rows"));
        cr_expect_eq(by_reason, aside, "%s", text_of(input, "path"));
        cr_expect_eq(json_integer_value(json_object_get(input, "rows_read")),
                     json_integer_value(json_object_get(input, "rows_header")) +
                         json_integer_value(json_object_get(input, "rows_used")) + aside,
                     "%s", text_of(input, "path"));
    }
    cr_assert_eq(i, 20, "the job has twenty inputs");
}

static char *report_bytes(size_t *n) {
    char path[256];
    snprintf(path, sizeof path, "%s/job/reports/latest/report.json", folder);
    return folder_slurp(path, n);
}

Test(sample_report, a_second_run_gives_the_same_bytes) {
    size_t n, again_n;
    char *once = report_bytes(&n);
    cr_assert_eq(folder_report(folder), 1);
    char *again = report_bytes(&again_n);
    cr_assert(once && again);
    cr_expect_eq(n, again_n);
    cr_expect(n == again_n && memcmp(once, again, n) == 0, "report.json differs");
    free(once);
    free(again);
}

/* ---- the lines that a report gives ---- */

static void add_text(char **text, const char *more, size_t n) {
    const size_t had = *text ? strlen(*text) : 0;
    *text = realloc(*text, had + n + 1);
    cr_assert(*text != NULL);
    memcpy(*text + had, more, n);
    (*text)[had + n] = '\0';
}

/* Whether one of the lines to paste states the key that a line of the job file begins with. */
static bool is_replaced(const char *paste, const char *line) {
    const char *equals = strstr(line, " = ");
    if (!equals || strncmp(line, "Ch", 2) != 0)
        return false;
    char key[32];
    snprintf(key, sizeof key, "\n%.*s = ", (int)(equals - line), line);
    return strstr(paste, key) != NULL;
}

/* Adds what the findings give to be pasted to the copy of the job file, and takes out what it replaces. */
static void take_over(const json_t *findings) {
    char path[256], *paste = NULL, *made = NULL;
    size_t i, n;
    json_t *f;
    json_array_foreach(findings, i, f) {
        const bool doubt =
            strcmp(text_of(f, "id"), "wrong-clock") == 0 || strcmp(text_of(f, "id"), "exchanged-probes") == 0;
        const char *lines = doubt ? strchr(text_of(f, "next_step"), '\n') : NULL;
        if (lines)
            add_text(&paste, lines, strlen(lines));
    }
    cr_assert(paste != NULL, "nothing is given to be pasted");
    snprintf(path, sizeof path, "%s/job/job.milrise", folder);
    char *job = folder_slurp(path, &n), *at = job;
    for (char *line; (line = strsep(&at, "\n"));) {
        if (is_replaced(paste, line))
            continue;
        add_text(&made, line, strlen(line));
        add_text(&made, "\n", 1);
    }
    add_text(&made, paste, strlen(paste));
    add_text(&made, "\n", 1);
    FILE *out = fopen(path, "w");
    cr_assert(out && fputs(made, out) >= 0 && fclose(out) == 0);
    free(job);
    free(made);
    free(paste);
}

Test(sample_report, the_lines_it_gives_settle_the_clock_and_the_exchange) {
    static const char *const settled[] = {"Girder 2 inner web", "Abutment plates", "Stair stringers"};
    char path[256];
    size_t n;
    snprintf(path, sizeof path, "%s/job/answer.txt", folder);
    char *answer = folder_slurp(path, &n);
    cr_expect(strstr(answer, "\n        [instrument \"N3-208\"]\n        clock offset = 24 h\n") != NULL,
              "the lines stand by themselves, to be copied");
    free(answer);
    take_over(json_object_get(report, "findings"));
    cr_assert_eq(folder_report(folder), 1);
    snprintf(path, sizeof path, "%s/job/reports/latest/report.json", folder);
    json_decref(report);
    report = json_load_file(path, 0, NULL);
    for (size_t i = 0; i < sizeof settled / sizeof settled[0]; i++)
        cr_expect_str_eq(text_of(item_with(json_object_get(report, "zones"), "name", settled[i]), "outcome"),
                         "conforms", "%s", settled[i]);
    const json_t *thin = item_with(json_object_get(report, "zones"), "name", "Girder 2 outer web");
    cr_expect_str_eq(text_of(item_with(json_object_get(thin, "checks"), "id", "reaction.rise"), "outcome"),
                     "does not conform", "its film is thin, and so is its heat");
    cr_expect(item_with(json_object_get(report, "findings"), "id", "wrong-clock") == NULL);
    cr_expect(item_with(json_object_get(report, "findings"), "id", "exchanged-probes") == NULL);
}

/* What hangs on them is nowhere condemned and nowhere shown, nor does it bend the comparison of the others. */
Test(sample_report, nothing_stands_on_a_wrong_clock_or_place) {
    static const char *const held[] = {"Girder 2 outer web", "Girder 2 inner web", "Abutment plates",
                                       "Stair stringers"};
    size_t n = 0, k;
    json_t *check;
    for (size_t i = 0; i < sizeof held / sizeof held[0]; i++) {
        const json_t *zone = item_with(json_object_get(report, "zones"), "name", held[i]);
        json_array_foreach(json_object_get(zone, "checks"), k, check) {
            if (strncmp(text_of(check, "id"), "reaction.", 9) != 0)
                continue;
            cr_expect_str_eq(text_of(check, "outcome"), "not shown", "%s: %s", held[i], text_of(check, "id"));
            n++;
            if (strcmp(text_of(check, "id"), "reaction.rise-against-film") == 0)
                cr_expect(json_is_null(json_object_get(check, "measured")), "%s takes part", held[i]);
        }
    }
    cr_expect_eq(n, 20U);
}
