/* report.json's writer, and the report as a whole against its schema. */
#include "base/json.h"
#include "base/text.h"
#include "render_run.h"

#include <criterion/criterion.h>
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

Test(json, numbers_are_short_and_come_back_exactly) {
    static const struct {
        double value;
        const char *text;
    } rows[] = {{0.1, "0.1"},
                {1, "1"},
                {-2.5, "-2.5"},
                {0.1 + 0.2, "0.30000000000000004"},
                {1e22, "1e+22"},
                {5e-324, NULL},
                {1.7976931348623157e308, NULL},
                {1.0 / 3, NULL}};
    char text[32];
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        mr_number_shortest(rows[i].value, text);
        cr_assert_eq(strtod(text, NULL), rows[i].value, "%s", text);
        if (rows[i].text)
            cr_assert_str_eq(text, rows[i].text);
    }
}

/* As the C library writes the first of 15, 16 or 17 digits that reads back. */
static void number_as_printed(double value) {
    char text[32], printed[32];
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(printed, sizeof printed, "%.*g", digits, value);
        const double back = strtod(printed, NULL);
        if (memcmp(&back, &value, sizeof back) == 0)
            break;
    }
    mr_number_shortest(value, text);
    cr_expect_str_eq(text, printed);
}

Test(json, numbers_are_written_as_the_library_prints_them) {
    static const double few[] = {0.0, -0.0, 1e10, 1e10 - 1, 99999999999.5, 1e-3, 0.0009, 0.00009, 1e15, 1e300};
    uint64_t state = 1;
    for (size_t i = 0; i < MR_COUNT(few); i++)
        number_as_printed(few[i]);
    for (int i = 0; i < 40000; i++) {
        state = state * 6364136223846793005U + 1442695040888963407U;
        const double scale[] = {1, 10, 100, 1e3, 1e4, 1e5, 1e6}, count = (double)(state >> (24 + i % 40)),
                     value = (i % 2 ? -1 : 1) * count / scale[i % 7];
        number_as_printed(value);
        number_as_printed(nextafter(value, 1e9)); /* beside a decimal of few digits, and not it */
    }
}

/* Another reader, jansson, must find what was put in. */
Test(json, any_text_is_read_back_by_another_reader) {
    struct run run = run_begin("job");
    static const char *const texts[][2] = {{"plain", "plain"},
                                           {"quote \" back \\ slash /", "quote \" back \\ slash /"},
                                           {"\x01\x1f\n\t\r\x7f", "\x01\x1f\n\t\r\x7f"},
                                           {"Größe 漢 😀", "Größe 漢 😀"},
                                           {"bad \xff\xc3 end", "bad \xef\xbf\xbd\xef\xbf\xbd end"},
                                           {"\xed\xa0\x80", "\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd"}};
    const char *path = mr_printf(run.arena, "%s/x.json", run.dir);
    struct mr_json *j = mr_json_open(run.arena, fopen(path, "wxe"));
    cr_assert(j);
    mr_json_object(j, NULL, false);
    mr_json_array(j, "texts", false);
    for (size_t i = 0; i < MR_COUNT(texts); i++)
        mr_json_text(j, NULL, texts[i][0]);
    mr_json_end(j);
    mr_json_array(j, "empty", false);
    mr_json_end(j);
    mr_json_number(j, "nan", NAN);
    mr_json_number(j, "inf", INFINITY);
    mr_json_count(j, "least", INT64_MIN);
    mr_json_time(j, "never", MR_T_NONE);
    mr_json_time(j, "then", 1778493600123);
    mr_json_time(j, "before", -1000);
    mr_json_text(j, "null", NULL);
    mr_json_end(j);
    cr_assert_eq(mr_json_close(j), 0);
    json_t *root = json_load_file(path, JSON_REJECT_DUPLICATES, NULL);
    cr_assert(root);
    for (size_t i = 0; i < MR_COUNT(texts); i++)
        cr_assert_str_eq(json_string_value(json_array_get(json_object_get(root, "texts"), i)), texts[i][1]);
    cr_assert(json_is_null(json_object_get(root, "nan")) && json_is_null(json_object_get(root, "inf")) &&
              json_is_null(json_object_get(root, "never")));
    cr_assert_eq(json_integer_value(json_object_get(root, "least")), INT64_MIN);
    cr_assert_str_eq(json_string_value(json_object_get(root, "then")), "2026-05-11T10:00:00.123Z");
    cr_assert_str_eq(json_string_value(json_object_get(root, "before")), "1969-12-31T23:59:59Z");
    json_decref(root);
    run_end(&run);
}

Test(json, report_follows_its_schema_and_adds_up) {
    static const char *const what[] = {"fixture", "hostile"};
    for (int k = 0; k < 2; k++) {
        struct run run = run_begin("job");
        cr_assert_eq(
            run_render(&run, k ? fixture_hostile(run.arena, run.dir) : fixture_assessment(run.arena, run.dir, true),
                       2, true),
            MR_OK);
        char *text = NULL;
        int status = python_script(
            run.arena, mr_printf(run.arena, "check-report templates/report.schema.json %s", run.published.dir),
            &text);
        if (status == 77)
            printf("SKIPPED ALOUD: %s", text);
        else
            cr_assert_eq(status, 0, "%s: %s", what[k], text);
        run_end(&run);
    }
}

Test(json, values_arrive_unrounded_with_unit_limit_rule_and_evidence) {
    struct run run = run_begin("job");
    struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
    cr_assert_eq(run_render(&run, a, 1, false), MR_OK);
    json_t *root = json_load_file(run.published.json, JSON_REJECT_DUPLICATES, NULL);
    cr_assert(root);
    const json_t *zone = json_array_get(json_object_get(root, "zones"), 1),
                 *check = json_array_get(json_object_get(zone, "checks"), 0);
    cr_assert_str_eq(json_string_value(json_object_get(zone, "outcome")), "does not conform");
    cr_assert_eq(json_real_value(json_object_get(check, "measured")), a->films.v[1].mean_um);
    cr_assert_eq(json_real_value(json_object_get(check, "limit_low")), mr_from_canonical(MR_UNIT_UM, 203.2));
    cr_assert_str_eq(json_string_value(json_object_get(check, "unit")), "µm");
    cr_assert_str_eq(json_string_value(json_object_get(check, "source")), "SSPC-PA 2 (2012), table 1");
    const json_t *evidence = json_array_get(json_object_get(check, "evidence"), 0);
    cr_assert_str_eq(json_string_value(json_object_get(evidence, "file")), "survey/thickness.csv");
    cr_assert_eq(json_integer_value(json_object_get(evidence, "line")), 49);
    cr_assert_eq(json_integer_value(json_object_get(evidence, "line_end")), 93);
    json_decref(root);
    run_end(&run);
}

/* A check of the whole job stands beside the zones and in none of them. */
Test(json, each_check_stands_once_and_under_its_own_zone) {
    struct run run = run_begin("job");
    struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
    struct mr_check whole = a->checks.v[0];
    whole.id = "reaction.mix-check";
    whole.zone = MR_NONE;
    whole.outcome = MR_NOT_REQUIRED;
    MR_PUSH(run.arena, &a->checks, whole);
    cr_assert_eq(run_render(&run, a, 1, false), MR_OK);
    json_t *root = json_load_file(run.published.json, JSON_REJECT_DUPLICATES, NULL);
    cr_assert(root);
    size_t met = 0, i, k;
    const json_t *zone, *check;
    json_array_foreach(json_object_get(root, "zones"), i, zone) {
        const char *name = json_string_value(json_object_get(zone, "name"));
        json_array_foreach(json_object_get(zone, "checks"), k, check) {
            const char *own = json_string_value(json_object_get(check, "zone"));
            cr_expect(own && strcmp(own, name) == 0, "zone %s holds a check of %s", name, own ? own : "the job");
            met++;
        }
    }
    const json_t *checks = json_object_get(root, "checks");
    cr_expect_gt(json_array_size(checks), 0U);
    json_array_foreach(checks, k, check) cr_expect(json_is_null(json_object_get(check, "zone")));
    cr_expect_eq(met + json_array_size(checks), a->checks.n);
    json_decref(root);
    run_end(&run);
}

Test(json, rows_of_a_long_table_stand_in_a_file_of_lines) {
    struct run run = run_begin("job");
    struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
    fixture_table(run.arena, a, 50001);
    cr_assert_eq(run_render(&run, a, 1, false), MR_OK);
    json_t *root = json_load_file(run.published.json, JSON_REJECT_DUPLICATES, NULL);
    const json_t *t = json_array_get(json_object_get(root, "tables"), 2);
    cr_assert_eq(json_integer_value(json_object_get(t, "row_count")), 50001);
    cr_assert(json_is_false(json_object_get(t, "rows_given")));
    cr_assert_null(json_object_get(t, "rows"));
    const char *name = json_string_value(json_object_get(t, "rows_file"));
    cr_assert_str_eq(name, mr_printf(run.arena, "tables/%s.jsonl", json_string_value(json_object_get(t, "id"))));
    FILE *lines = fopen(mr_printf(run.arena, "%s/%s", run.published.dir, name), "r");
    cr_assert(lines);
    char line[4096];
    size_t n = 0;
    for (; fgets(line, sizeof line, lines); n++) {
        json_t *row = json_loads(line, JSON_REJECT_DUPLICATES, NULL);
        cr_assert(row, "line %zu: %s", n + 1, line);
        if (n == 0)
            cr_expect_eq(json_object_size(row), json_array_size(json_object_get(t, "fields")));
        json_decref(row);
    }
    fclose(lines);
    cr_expect_eq(n, 50001U);
    char *text = NULL;
    const int status = python_script(
        run.arena, mr_printf(run.arena, "check-report templates/report.schema.json %s", run.published.dir), &text);
    if (status == 77)
        printf("SKIPPED ALOUD: %s", text);
    else
        cr_assert_eq(status, 0, "%s", text);
    json_decref(root);
    run_end(&run);
}
