/*
 * A report as it follows on the one before: numbers that stay, entries that the data no longer show, what changed.
 * That a record stays whole over its revisions is common practice, no source.
 */
#include "render/data/changes.h"

#include "fixture_assessment.h"

#include <criterion/criterion.h>
#include <string.h>

#define FIELDS                                                                                                       \
    "\"fields\":[{\"key\":\"number\"},{\"key\":\"zone\"},{\"key\":\"what\"},{\"key\":\"found\"},"                    \
    "{\"key\":\"found_in\"},{\"key\":\"disposition\"},{\"key\":\"closed\"},{\"key\":\"closed_by\"},"                 \
    "{\"key\":\"state\"}]"

static const char former_text[] =
    "{\"revision\":4,\"milrise_version\":\"t\",\"outcome\":\"conforms\",\"zones\":[{\"name\":\"Lost deck\","
    "\"outcome\":\"not shown\",\"film\":null}],\"tables\":[{\"id\":\"non-conformances\"," FIELDS ",\"rows\":["
    "[\"2026-05-10 Deck 1 thickness\",\"Deck 1\",\"thin\",\"2026-05-10T09:00:00Z\",\"dft.csv:2-16\",\"none stated\","
    "null,null,\"open\"],"
    "[\"2026-05-09 Deck 2 thickness\",\"Deck 2\",\"thin\",\"2026-05-09T09:00:00Z\",\"old.csv:2\",\"none stated\","
    "null,null,\"open\"]]}],\"inputs\":[{\"path\":\"old.csv\",\"sha256\":\"00\"}],\"settings\":["
    "{\"specification\":\"\",\"section\":\"thickness\",\"key\":\"outlier significance\",\"value\":\"none at all\"}]}";

static const struct mr_table *table(const struct mr_assessment *a, const char *id) {
    for (size_t i = 0; i < a->tables.n; i++)
        if (strcmp(a->tables.v[i]->id, id) == 0)
            return a->tables.v[i];
    cr_assert_fail("no table %s", id);
    return NULL;
}

/* The row whose first cell is this text; column from 0; "" where it has none. */
static const char *cell(const struct mr_table *t, const char *first, size_t column) {
    for (size_t r = 0; r < t->n_rows; r++) {
        const struct mr_value *row = t->values.v + r * t->n_fields;
        if (row[0].text && strcmp(row[0].text, first) == 0)
            return row[column].text ? row[column].text : "";
    }
    return "";
}

/* A register of one entry, as the assessment makes it. */
static void give_register(struct mr_arena *arena, struct mr_assessment *a, const char *number) {
    static const char *const keys[] = {"number",      "zone",   "what",      "found", "found_in",
                                       "disposition", "closed", "closed_by", "state"};
    const char *const cells[] = {number, "Deck 1", "thin", "", "dft.csv:2-16", "", "", "", "closed"};
    struct mr_field fields[MR_COUNT(keys)];
    struct mr_value row[MR_COUNT(keys)];
    for (size_t i = 0; i < MR_COUNT(keys); i++) {
        fields[i] = (struct mr_field){keys[i], keys[i], MR_UNIT_NONE, 0};
        row[i] = mr_v_text(cells[i]);
    }
    struct mr_table *t = mr_table_new(arena, "non-conformances", "Register", "", MR_COUNT(keys), fields);
    mr_table_add(arena, t, row);
    MR_PUSH(arena, &a->tables, t);
}

Test(changes, numbers_stay_and_what_the_data_no_longer_show_stays_open) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_assessment *a = fixture_assessment(arena, ".", false);
    struct mr_former former = mr_former_read(arena, former_text);
    size_t gone = 0, tables;
    give_register(arena, a, "2026-05-11 Deck 1 thickness"); /* the clock was put right: another day, the same lines */
    tables = a->tables.n;
    const struct mr_assessment *with = mr_with_former(arena, a, &former, "t", &gone);
    cr_expect_eq(gone, 1);
    cr_expect_eq(a->tables.n, tables, "the assessment itself is left alone");
    const struct mr_table *reg = table(with, "non-conformances"), *history = table(with, "revision-history");
    cr_expect_eq(reg->n_rows, 2);
    cr_expect_str_eq(cell(reg, "2026-05-10 Deck 1 thickness", 8), "closed", "the number that it had");
    cr_expect(strstr(cell(reg, "2026-05-09 Deck 2 thickness", 8), "open; what showed it is no longer"));
    cr_expect_str_eq(cell(history, "2026-05-10 Deck 1 thickness", 3), "closed");
    cr_expect_eq(with->findings.n, a->findings.n + 1, "the clerk is told");
    size_t told = 0;
    for (size_t i = 0; i < with->findings.n; i++)
        told += strcmp(with->findings.v[i].id, "non-conformance-gone") == 0 &&
                strstr(with->findings.v[i].what, "2026-05-09 Deck 2 thickness");
    cr_expect_eq(told, 1);
    cr_expect_str_eq(cell(history, "Lost deck", 4), "The zone is no longer in the job.");
    cr_expect_str_eq(cell(history, "old.csv", 4), "The file is no longer in the folder.");
    cr_expect_str_eq(cell(history, "[thickness] outlier significance", 2), "none at all");
    mr_arena_free(arena);
}

Test(changes, without_a_former_report_nothing_is_added) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_assessment *a = fixture_assessment(arena, ".", false);
    static const char *const texts[] = {NULL, "", "[]", "{", "not JSON"};
    for (size_t i = 0; i < MR_COUNT(texts); i++) {
        struct mr_former former = mr_former_read(arena, texts[i]);
        size_t gone = 1;
        cr_expect(!former.any && mr_with_former(arena, a, &former, "t", &gone) == a && gone == 0);
    }
    struct mr_former empty = mr_former_read(arena, "{}");
    size_t gone;
    cr_expect(empty.any && mr_with_former(arena, a, &empty, "t", &gone) != a, "odd texts are read as far as they go");
    mr_arena_free(arena);
}
