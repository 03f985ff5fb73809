/*
 * test_quirks.c - one small file for each quirk of field exports, tests/golden/quirks, and what must come of it.
 *
 * What is expected stands in tests/golden/quirks.txt. Each file is described once in chunks of every size up to 64
 * bytes and some beyond: what comes of it must never depend on how the bytes arrive.
 */
#include "support/norm_rig.h"

#include "read/source/source.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

enum { QUIRKS_MOST = 1000, EXPECTED_MOST = 4000 };

struct quirk {
    char file[80], quirk[200], expected[EXPECTED_MOST];
};

static struct quirk quirks[QUIRKS_MOST];
static size_t n_quirks;

/* "FILE: WHAT IS ODD", then indented lines; see the head of tests/golden/quirks.txt. */
static void read_quirks(void) {
    FILE *f = fopen("tests/golden/quirks.txt", "r");
    cr_assert(f, "tests/golden/quirks.txt cannot be opened");
    char line[1000];
    for (struct quirk *q = NULL; fgets(line, sizeof line, f);) {
        line[strcspn(line, "\n")] = '\0';
        if (*line == '#' || !*line)
            continue;
        if (*line != ' ') {
            cr_assert(n_quirks < QUIRKS_MOST);
            q = &quirks[n_quirks++];
            cr_assert(sscanf(line, "%79[^:]: %199[^\n]", q->file, q->quirk) == 2, "%s", line);
            continue;
        }
        const size_t used = strlen(q->expected);
        const int n =
            snprintf(q->expected + used, EXPECTED_MOST - used, "%s%s", used ? "; " : "", line + strspn(line, " "));
        cr_assert(n > 0 && (size_t)n < EXPECTED_MOST - used, "%s: the expected text is too long", q->file);
    }
    fclose(f);
    cr_assert(n_quirks > 0);
}

static char *slurp(struct mr_arena *arena, const char *name, size_t *n) {
    char *path = mr_printf(arena, "tests/golden/quirks/%s", name);
    FILE *f = fopen(path, "rb");
    cr_assert(f, "%s cannot be opened", path);
    char *data = mr_alloc(arena, 1 << 16, 1);
    *n = fread(data, 1, 1 << 16, f);
    fclose(f);
    return data;
}

static void understand(struct norm_rig *rig, const char *file) {
    size_t n;
    norm_begin(rig);
    const char *data = slurp(rig->arena, file, &n);
    norm_add(rig, file, data, n);
    norm_run(rig);
}

TestSuite(quirks, .init = read_quirks);

Test(quirks, each_file_is_understood_as_the_table_says) {
    for (size_t i = 0; i < n_quirks; i++) {
        struct norm_rig rig;
        understand(&rig, quirks[i].file);
        cr_expect_str_eq(norm_line(&rig, 0), quirks[i].expected, "%s (%s):\n%s", quirks[i].file, quirks[i].quirk,
                         norm_line(&rig, 0));
        cr_expect(rig.status == MR_OK && norm_identity(&rig), "%s", quirks[i].file);
        norm_end(&rig);
    }
}

Test(quirks, the_size_of_chunks_never_shows) {
    for (size_t i = 0; i < n_quirks; i++)
        for (size_t chunk = 1; chunk <= 4096; chunk += chunk < 64 ? 1 : 509) {
            struct norm_rig rig;
            size_t n;
            norm_begin(&rig);
            const char *data = slurp(rig.arena, quirks[i].file, &n);
            struct mr_source source;
            cr_assert(mr_read_memory_in(rig.arena, rig.job, quirks[i].file, data, n, chunk, &rig.diags, &source) ==
                      MR_OK);
            mr_read_split(rig.arena, rig.job, &source, &rig.sources);
            norm_run(&rig);
            cr_assert_str_eq(norm_line(&rig, 0), quirks[i].expected, "%s in chunks of %zu", quirks[i].file, chunk);
            norm_end(&rig);
        }
}

/* Tables of one file are read one by one, each by its own heading; lines keep their numbers. */
Test(quirks, other_tables_are_read_by_their_own_heading) {
    static const struct {
        const char *file;
        size_t table;
        const char *line;
    } rows[] = {{"other-order-temperature.csv", 1,
                 "temperature; 1 header, 2 used; year-first; 6: 2026-05-13 08:03:00, Ch2 30.4 °C, Ch1 20.4 °C; "
                 "7: 2026-05-13 08:04:00, Ch2 30.5 °C, Ch1 20.5 °C"},
                {"other-order-temperature.csv", 2,
                 "temperature; 1 header, 1 used; year-first; 9: 2026-05-13 08:05:00, Ch1 20.6 °C, Ch2 30.6 °C"},
                {"unit-changes-temperature.csv", 1,
                 "temperature; 1 header, 2 used; year-first; 5: 2026-05-13 09:00:02, Ch1 21.3888889 °C; "
                 "6: 2026-05-13 09:00:03, Ch1 21.4444444 °C"},
                {"column-added-climate.csv", 1,
                 "climate; 1 header, 4 used; year-first; 6: 2026-05-13 08:15:00, Air temp 20.4 °C, RH 54 %; "
                 "9: 2026-05-13 08:30:00, Air temp 20.7 °C, RH 57 %"}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        understand(&rig, rows[i].file);
        cr_assert(rig.data->files.n > rows[i].table, "%s", rows[i].file);
        cr_expect_str_eq(norm_line(&rig, rows[i].table), rows[i].line, "%s: %s", rows[i].file,
                         norm_line(&rig, rows[i].table));
        cr_expect(norm_identity(&rig));
        norm_end(&rig);
    }
}

/* Too few rows to tell by themselves; stated in the job file, blanks divide them. */
Test(quirks, blanks_as_delimiter_can_be_stated) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_rule(&rig, "few.txt")->delimiter = "blanks";
    norm_add(&rig, "few.txt", "Date Time AirT[degC] RH[%]\n2026-05-13 08:00 20.1 55\n", 0);
    norm_run(&rig);
    cr_expect_str_eq(norm_line(&rig, 0),
                     "climate; 1 header, 1 used; year-first; 2: 2026-05-13 08:00:00, AirT 20.1 °C, RH 55 %");
    cr_expect(strstr(mr_explain_text(rig.arena, rig.data), "delimiter   blanks;"));
    norm_end(&rig);
}

Test(quirks, what_is_open_is_said_with_the_lines_that_settle_it) {
    static const struct {
        const char *file, *id, *mend;
    } rows[] = {
        {"day-month-open-thickness.csv", "date-order", "[file \"day-month-open-thickness.csv\"]\ndates = ?"},
        {"unsure.csv", "unknown-kind", "[file \"unsure.csv\"]\nkind = thickness\ncolumn reading = thickness [?]"},
        {"no-unit-pressure.csv", "no-unit", "[file \"no-unit-pressure.csv\"]\ncolumn line A = line A [?]"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        understand(&rig, rows[i].file);
        const char *mend = rig.data->files.v[0].mend;
        cr_expect(strncmp(mend, rows[i].mend, strlen(rows[i].mend)) == 0, "%s: %s", rows[i].file, mend);
        cr_expect(norm_count(&rig, rows[i].id) >= 1, "%s", rows[i].file);
        cr_expect(strstr(mr_explain_text(rig.arena, rig.data), "to settle it, write into job.milrise"), "%s",
                  rows[i].file);
        norm_end(&rig);
    }
}

/* The lines a person pastes into the job file, as the job file's reader would take them. */
static void paste(struct norm_rig *rig, const char *lines) {
    struct mr_file_rule *rule = NULL;
    for (const char *line = lines; *line;) {
        size_t n = strcspn(line, "\n");
        char text[400] = "", key[200] = "", value[200] = "", unit[40] = "";
        memcpy(text, line, n < sizeof text ? n : 0);
        line += n + (line[n] == '\n');
        if (sscanf(text, "[file \"%199[^\"]\"]", key) == 1) {
            rule = norm_rule(rig, mr_strdup(rig->arena, key));
        } else if (*text != '#' && sscanf(text, "%199[^=]= %199[^[\n][%39[^]]]", key, value, unit) >= 2) {
            for (char *end = key + strlen(key); end > key && end[-1] == ' ';)
                *--end = '\0';
            for (char *end = value + strlen(value); end > value && end[-1] == ' ';)
                *--end = '\0';
            if (strcmp(unit, "?") == 0) /* what the clerk knows */
                snprintf(unit, sizeof unit, "%s", strcmp(value, "thickness") == 0 ? "um" : "degC");
            if (strcmp(key, "kind") == 0)
                rule->kind = mr_strdup(rig->arena, value);
            else
                norm_rule_column(rig, rule, mr_strdup(rig->arena, key + strlen("column ")),
                                 mr_strdup(rig->arena, value), mr_strdup(rig->arena, unit));
        }
    }
}

Test(quirks, the_proposed_lines_settle_the_file_when_pasted) {
    static const struct {
        const char *file, *settled;
    } rows[] = {
        {"headerless-moist.csv",
         "climate; 0 header, 10 used; year-first; 1: 2026-05-13 00:00:00, column 3 10.5 °C, column 4 6.9 °C, "
         "column 5 78 %; 10: 2026-05-13 23:00:00, column 3 11.7 °C, column 4 7.4 °C, column 5 75 %"},
        {"headerless-parts.csv",
         "climate; 0 header, 9 used; year-first; 1: 2026-05-13 00:00:00, column 6 10.5 °C, column 7 6.9 °C, "
         "column 8 78 %; 9: 2026-05-13 08:00:00, column 6 11.7 °C, column 7 7.4 °C, column 8 75 %"},
        {"nameless-pair.csv", "climate; 1 header, 8 used; year-first; 2: 2026-05-13 00:00:00, q1 12.3 °C, q2 66 %; "
                              "9: 2026-05-13 07:00:00, q1 11.4 °C, q2 72 %"},
        {"bare-lone-temperature.csv",
         "temperature; 1 header, 3 used; year-first; 2: 2026-05-13 00:00:00, Air = shade, \"A\" 12 °C; "
         "4: 2026-05-13 02:00:00, Air = shade, \"A\" 19 °C"},
        {"unsure.csv", "thickness; 1 header, 2 used; year-first; 2: 2026-05-13 08:00:00, zone Deck 1, film 12 µm; "
                       "3: 2026-05-13 08:01:00, zone Deck 1, film 15 µm"},
        {"nameless.csv", "unknown; 1 header, 0 used, unknown-kind 3; year-first"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig before, after;
        size_t n;
        norm_begin(&before);
        norm_begin(&after);
        const char *data = slurp(before.arena, rows[i].file, &n);
        norm_add(&before, rows[i].file, data, n);
        norm_run(&before);
        paste(&after, before.data->files.v[0].mend);
        norm_add(&after, rows[i].file, data, n);
        norm_run(&after);
        cr_expect_str_eq(norm_line(&after, 0), rows[i].settled, "%s, pasted:\n%s\n%s", rows[i].file,
                         before.data->files.v[0].mend, norm_line(&after, 0));
        norm_end(&after);
        norm_end(&before);
    }
}

Test(quirks, a_gap_left_to_fill_in_is_told_where_it_is_pasted_unfilled) {
    struct norm_rig rig;
    size_t n;
    norm_begin(&rig);
    struct mr_file_rule *rule = norm_rule(&rig, "nameless.csv");
    rule->kind = "?";
    norm_rule_column(&rig, rule, "q1", "?", "?");
    norm_rule_column(&rig, rule, "1", "thickness", "furlong");
    const char *data = slurp(rig.arena, "nameless.csv", &n);
    norm_add(&rig, "nameless.csv", data, n);
    norm_run(&rig);
    cr_expect(strstr(norm_first(&rig, "file-kind"), "Write one of: thickness, verification"), "%s",
              norm_first(&rig, "file-kind"));
    cr_expect(strstr(norm_first(&rig, "column-meaning"), "\"?\" is not a meaning that a column can have"), "%s",
              norm_first(&rig, "column-meaning"));
    cr_expect(strstr(norm_first(&rig, "column-unit"), "is not a unit of thickness"), "%s",
              norm_first(&rig, "column-unit"));
    cr_expect(strstr(mr_explain_text(rig.arena, rig.data), "\njob file\n"),
              "explain tells what is wrong in the job file");
    norm_end(&rig);
}
