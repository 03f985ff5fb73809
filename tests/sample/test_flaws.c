/*
 * The sample job through the real command: every planted flaw is found, and clean zones raise nothing.
 *
 * sample-data/flaws.csv is the one list. Each row says what must stand in report.json:
 *   look in   zone      the zone's outcome is `expected`
 *             check     a check `id` of the zone has the outcome `expected`
 *             finding   a finding `id` of the zone (or of no zone, where none is named) has the severity `expected`
 *             input     the file `where` has the value `expected` under `id`
 *             aside     the file `where` has at least `expected` rows set aside for the reason `id`
 *   where     a file; for checks and findings it must stand in the evidence
 * Rows of the flaw "none" name the clean zones.
 */
#include "sample/folders.h"

#include <criterion/criterion.h>
#include <jansson.h>
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
    snprintf(path, sizeof path, "%s/job/reports/report.json", folder);
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
    json_array_foreach(json_object_get(item, "evidence"), i, evidence)
        if (strcmp(text_of(evidence, "file"), where) == 0)
            return true;
    return *where == '\0';
}
