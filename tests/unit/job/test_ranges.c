/*
 * test_ranges.c - every number that a job file may hold has a range: what lies outside, or is no number, is refused
 * at its line and column with the range in words. The tests walk the table of settings itself, so that a new key
 * cannot be forgotten. The ranges are project decisions.
 */
#include "base/setting_range.h"
#include "read/job/job_reader.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static struct mr_arena *arena;
static struct mr_diags diags;

static void begin(void) {
    arena = mr_arena_new(NULL, NULL);
}

static void end(void) {
    mr_arena_free(arena);
}

TestSuite(ranges, .init = begin, .fini = end, .timeout = 120);

/* The job file with one key; NULL where it was taken, else the first message. */
static const struct mr_diag *told(const struct mr_setting_def *def, const char *value, const struct mr_job **out) {
    struct mr_job *job;
    const char *text = mr_printf(arena, "[%s]\n%s = %s\n", def->section, def->key, value);
    mr_diags_init(&diags, arena);
    const enum mr_status status = mr_job_parse(arena, "dir", "job.milrise", text, strlen(text), &diags, &job);
    cr_assert_eq(status == MR_OK, diags.list.n == 0, "%s", text);
    if (out)
        *out = job;
    return status == MR_OK ? NULL : &diags.list.v[0];
}

static void expect_refused(enum mr_setting_id id, const char *value) {
    const struct mr_setting_def *def = &mr_setting_defs[id];
    const struct mr_diag *d = told(def, value, NULL);
    cr_assert(d, "[%s] %s = %s was taken", def->section, def->key, value);
    cr_assert_eq(diags.list.n, 1, "[%s] %s = %s: %zu messages", def->section, def->key, value, diags.list.n);
    cr_assert_eq(d->place.line, 2);
    cr_assert_eq(d->place.column, strlen(def->key) + (*value ? 4 : 3), "[%s] %s = %s: column %u", def->section,
                 def->key, value, (unsigned)d->place.column);
    cr_assert(d->mend && strstr(d->mend, mr_setting_range(id)), "[%s] %s = %s: no range: %s", def->section, def->key,
              value, mr_diag_line(arena, d));
}

/* Spellings that the units' table knows for each unit of a dimension; "" alone for a plain number. */
static size_t units_of(enum mr_dim dim, enum mr_unit out[16]) {
    size_t n = 0;
    for (int u = 0; u <= MR_UNIT_DAY; u++)
        if (mr_unit_dim((enum mr_unit)u) == dim)
            out[n++] = (enum mr_unit)u;
    return n;
}

static const char *with_unit(const char *number, enum mr_unit unit) {
    const char *symbol = mr_unit_symbol(unit);
    return *symbol && *number ? mr_printf(arena, "%s %s", number, symbol) : number;
}

Test(ranges, what_no_job_can_mean_is_refused_with_the_range_in_every_unit) {
    char digits[401];
    memset(digits, '9', sizeof digits - 1);
    digits[sizeof digits - 1] = '\0';
    const char *const wild[] = {"nan", "inf",  "-inf", "1e29", "-1e29", "1e300", "-1e300", "1e400",
                                "1,5", "0x10", digits, "--1",  "e5",    "one",   ""};
    size_t numbers = 0;
    for (size_t i = 0; i < MR_SETTING_COUNT; i++) {
        enum mr_unit units[16];
        if (mr_setting_defs[i].type != MR_SETTING_NUMBER)
            continue;
        numbers++;
        const size_t n = units_of(mr_setting_defs[i].dim, units);
        cr_assert_gt(n, 0);
        for (size_t u = 0; u < n; u++)
            for (size_t w = 0; w < MR_COUNT(wild); w++)
                expect_refused((enum mr_setting_id)i, with_unit(wild[w], units[u]));
    }
    cr_assert_gt(numbers, 100);
}

/* In the unit itself, a little within the bound and a little beyond it; -1 and 0 are such values where they lie
 * outside. */
Test(ranges, the_range_ends_where_its_words_say) {
    for (size_t i = 0; i < MR_SETTING_COUNT; i++) {
        const struct mr_setting_def *def = &mr_setting_defs[i];
        const enum mr_setting_id id = (enum mr_setting_id)i;
        enum mr_unit units[16];
        if (def->type != MR_SETTING_NUMBER)
            continue;
        const size_t n = units_of(def->dim, units);
        static const double tries[] = {-1, 0,  1e-300, 1e-3, 0.5,  1,   1.5, 2,   3,   7,
                                       20, 50, 99,     101,  1001, 1e5, 1e6, 1e7, 1e8, 1e9};
        for (size_t u = 0; u < n; u++)
            for (size_t t = 0; t < MR_COUNT(tries); t++) {
                const char *value = with_unit(mr_printf(arena, "%.17g", tries[t]), units[u]);
                if (!mr_setting_in_range(id, mr_to_canonical(units[u], tries[t])))
                    expect_refused(id, value);
                else if (told(def, value, NULL)) /* taken, and held against its neighbour */
                    cr_assert(strstr(diags.list.v[0].what, "is greater than"), "[%s] %s = %s: %s", def->section,
                              def->key, value, mr_diag_line(arena, &diags.list.v[0]));
            }
        cr_assert_not(mr_setting_in_range(id, NAN));
        cr_assert_not(mr_setting_in_range(id, INFINITY));
    }
}

Test(ranges, a_default_lies_in_its_range_and_a_count_is_whole) {
    for (size_t i = 0; i < MR_SETTING_COUNT; i++) {
        const struct mr_setting_def *def = &mr_setting_defs[i];
        const struct mr_job *job;
        if (!*def->initial)
            continue;
        cr_assert_null(told(def, def->initial, &job), "[%s] %s = %s", def->section, def->key, def->initial);
        if (def->type == MR_SETTING_NUMBER && mr_setting_is_whole((enum mr_setting_id)i))
            cr_assert_not_null(told(def, "3.5", NULL), "[%s] %s", def->section, def->key);
    }
}

/* "required =" is not "no", and "greatest gap = none" is no number: a limit that was meant never falls away. */
Test(ranges, a_value_that_is_missing_is_no_default_and_no_no) {
    for (size_t i = 0; i < MR_SETTING_COUNT; i++) {
        const struct mr_setting_def *def = &mr_setting_defs[i];
        const enum mr_setting_id id = (enum mr_setting_id)i;
        const bool text = def->type == MR_SETTING_TEXT;
        cr_assert_eq(told(def, "", NULL) == NULL, text && !*def->initial, "[%s] %s", def->section, def->key);
        if (!text)
            cr_assert_eq(told(def, "none", NULL) == NULL,
                         def->type == MR_SETTING_NUMBER && mr_setting_may_be_none(id), "[%s] %s", def->section,
                         def->key);
    }
}

Test(ranges, numbers_in_texts_are_refused_too) {
    static const char *const keys[] = {"gauge uncertainty", "verification tolerance", "reference tolerance"};
    static const char *const values[] = {"nan",   "inf %",    "1e300 %", "101 %",        "-1 %",
                                         "11 mm", "1e300 um", "-1 um",   "2 um + 1e9 %", "5"};
    for (size_t k = 0; k < MR_COUNT(keys); k++)
        for (size_t v = 0; v < MR_COUNT(values); v++) {
            const struct mr_setting_def def = {.section = "thickness", .key = keys[k]};
            const struct mr_diag *d = told(&def, values[v], NULL);
            cr_assert(d, "%s = %s was taken", keys[k], values[v]);
            cr_assert(strstr(d->mend, "0 % to 100 %") && strstr(d->mend, "0 um to 10 mm"), "%s", d->mend);
            cr_assert_eq(d->place.line, 2);
        }
    static const char *const offsets[] = {"nan s", "inf h", "1e300 h", "-1e29 s", "4000 d", "", "5", "1,5 min"};
    for (size_t v = 0; v < MR_COUNT(offsets); v++) {
        const struct mr_setting_def def = {.section = "instrument \"a\"", .key = "clock offset"};
        const struct mr_diag *d = told(&def, offsets[v], NULL);
        cr_assert(d && strstr(d->mend, MR_CLOCK_OFFSET_RANGE), "clock offset = %s", offsets[v]);
    }
}

/* What a key may hold that is no number of the table of settings. %s: where the value stands. */
enum kind { WORDS, MOMENT, ACCURACY, OFFSET };
static const struct {
    const char *section, *key;
    enum kind kind;
    const char *form;
} other_keys[] = {
    {"job", "name", WORDS, "%s"},
    {"job", "site", WORDS, "%s"},
    {"job", "contract", WORDS, "%s"},
    {"job", "client", WORDS, "%s"},
    {"job", "crew", WORDS, "%s"},
    {"job", "time zone", WORDS, "%s"},
    {"job", "dates", MOMENT, "%s"},
    {"job", "dates", MOMENT, "%s .. 2026-05-11"},
    {"job", "dates", MOMENT, "2026-05-11 .. %s"},
    {"instrument \"a\"", "serial", WORDS, "%s"},
    {"instrument \"a\"", "files", WORDS, "%s"},
    {"instrument \"a\"", "time zone", WORDS, "%s"},
    {"instrument \"a\"", "certificate", WORDS, "%s"},
    {"instrument \"a\"", "zones", WORDS, "%s"},
    {"instrument \"a\"", "uncertainty", ACCURACY, "%s"},
    {"instrument \"a\"", "clock offset", OFFSET, "%s"},
    {"instrument \"a\"", "clock check", MOMENT, "%s shown, 2026-05-11 07:00:00 true"},
    {"instrument \"a\"", "clock check", MOMENT, "2026-05-11 07:00:00 shown, %s true"},
    {"instrument \"a\"", "certified until", MOMENT, "%s"},
    {"assign \"a\"", "T1", MOMENT, "Deck, %s .. 2026-05-11"},
    {"assign \"a\"", "T2", MOMENT, "Deck, 2026-05-11 .. %s"},
    {"disposition \"Deck\"", "areas", WORDS, "%s"},
    {"disposition \"Deck\"", "decision", WORDS, "%s"},
    {"disposition \"Deck\"", "by", WORDS, "%s"},
    {"disposition \"Deck\"", "why", WORDS, "%s"},
    {"disposition \"Deck\"", "when", MOMENT, "%s"},
    {"file \"a.csv\"", "kind", WORDS, "%s"},
    {"file \"a.csv\"", "encoding", WORDS, "%s"},
    {"file \"a.csv\"", "delimiter", WORDS, "%s"},
    {"file \"a.csv\"", "decimal", WORDS, "%s"},
    {"file \"a.csv\"", "dates", WORDS, "%s"},
    {"file \"a.csv\"", "time zone", WORDS, "%s"},
    {"file \"a.csv\"", "instrument", WORDS, "%s"},
    {"file \"a.csv\"", "missing", WORDS, "%s"},
    {"file \"a.csv\"", "columns", WORDS, "%s"},
    {"file \"a.csv\"", "column Dicke", WORDS, "%s"},
    {"file \"a.csv\"", "column 4", WORDS, "%s"},
    {"file \"a.csv\"", "start", MOMENT, "%s"},
    {"thickness", "rules", WORDS, "%s"},
    {"thickness", "correction", WORDS, "%s"},
    {"thickness", "gauge uncertainty", ACCURACY, "%s"},
    {"thickness", "verification tolerance", ACCURACY, "%s"},
    {"thickness", "reference tolerance", ACCURACY, "%s"},
    {"thickness", "combine tolerances", WORDS, "%s"},
    {"thickness", "shims certified until", MOMENT, "%s"},
    {"reaction", "rise against thickness", WORDS, "%s"},
    {"shift record", "items", WORDS, "%s"},
    {"shift record", "before spraying", WORDS, "%s"},
    {"report", "date", MOMENT, "%s"},
    {"report", "units", WORDS, "%s"},
    {"report", "paper", WORDS, "%s"},
    {"report", "figures", WORDS, "%s"},
    {"report", "wording", WORDS, "%s"},
};

static const char *as_form(const char *form, const char *value) {
    const char *at = strstr(form, "%s");
    return mr_printf(arena, "%.*s%s%s", (int)(at - form), form, value, at + 2);
}

Test(ranges, no_key_takes_a_number_or_a_date_without_a_sense) {
    static const char *const moments[] = {"99999-01-01", "9999-12-31", "2101-01-01", "1969-12-31", "0001-01-01",
                                          "1e300",       "inf",        "nan",        "2026-13-01", "-1"};
    static const char *const accuracies[] = {"inf %", "nan", "1e300 %", "1e300 um", "101 %", "11 mm", "-1 %", "5"};
    static const char *const offsets[] = {"inf s", "nan s", "1e300 h", "4000 d"};
    for (size_t i = 0; i < MR_COUNT(other_keys); i++) {
        const struct mr_setting_def def = {.section = other_keys[i].section, .key = other_keys[i].key};
        const bool accuracy = other_keys[i].kind == ACCURACY, offset = other_keys[i].kind == OFFSET;
        const char *const *wild = accuracy ? accuracies
                                  : offset ? offsets
                                           : moments,
                          *range = accuracy ? "0 % to 100 %"
                                   : offset ? MR_CLOCK_OFFSET_RANGE
                                            : MR_MOMENT_RANGE;
        const size_t n = accuracy ? MR_COUNT(accuracies) : offset ? MR_COUNT(offsets) : MR_COUNT(moments);
        for (size_t w = 0; other_keys[i].kind != WORDS && w < n; w++) {
            const struct mr_diag *d = told(&def, as_form(other_keys[i].form, wild[w]), NULL);
            cr_assert(d, "[%s] %s = %s was taken", def.section, def.key, wild[w]);
            cr_assert_eq(d->place.line, 2);
            cr_assert_gt(d->place.column, strlen(def.key));
            cr_assert(d->mend && strstr(d->mend, range), "[%s] %s = %s: %s", def.section, def.key, wild[w],
                      mr_diag_line(arena, d));
        }
        if (other_keys[i].kind == MOMENT)
            for (size_t w = 0; w < 2; w++) {
                const struct mr_diag *d =
                    told(&def, as_form(other_keys[i].form, w ? "2026-05-11 10:00" : "2026-05-11"), NULL);
                cr_assert(!d || !strstr(d->what, "range"), "[%s] %s", def.section, def.key);
            }
    }
}

static bool is_listed(const char *section, const char *key) {
    const size_t n = strcspn(section, " \"");
    for (size_t i = 0; i < MR_COUNT(other_keys); i++)
        if (strncmp(other_keys[i].section, section, n) == 0 && strcmp(other_keys[i].key, key) == 0)
            return true;
    for (size_t i = 0; i < MR_SETTING_COUNT; i++)
        if (mr_setting_defs[i].type != MR_SETTING_TEXT && strcmp(mr_setting_defs[i].key, key) == 0)
            return true;
    return false;
}

/* A new key is in the list above, or one of the table's numbers and flags. */
Test(ranges, no_key_is_forgotten) {
    for (size_t i = 0; i < MR_SETTING_COUNT; i++)
        cr_expect(is_listed(mr_setting_defs[i].section, mr_setting_defs[i].key), "[%s] %s",
                  mr_setting_defs[i].section, mr_setting_defs[i].key);
    FILE *f = fopen("templates/job/job.milrise", "r");
    char line[512], section[128] = "";
    size_t keys = 0;
    cr_assert(f);
    while (fgets(line, sizeof line, f)) {
        char *at = line + (line[0] == '#' ? 1 : 0), *equals = strstr(at, " = ");
        at += *at == ' ';
        if (*at == '[')
            snprintf(section, sizeof section, "%.*s", (int)strcspn(at + 1, "]"), at + 1);
        const size_t n = equals ? (size_t)(equals - at) : 0;
        if (!equals || strcspn(at, ".,`:") < n || strlen(section) == 0) /* a sentence */
            continue;
        *equals = '\0';
        keys++;
        cr_expect(is_listed(section, at), "[%s] %s", section, at);
    }
    fclose(f);
    cr_assert_gt(keys, 60);
}

/* Numbers, yes and no: one of the first two tests walks the numbers. */
Test(ranges, a_flag_is_yes_or_no) {
    static const char *const wild[] = {"inf", "nan", "1e300", "99999-01-01", "2", "-1"};
    for (size_t i = 0; i < MR_SETTING_COUNT; i++)
        for (size_t w = 0; mr_setting_defs[i].type == MR_SETTING_FLAG && w < MR_COUNT(wild); w++)
            cr_assert_not_null(told(&mr_setting_defs[i], wild[w], NULL), "[%s] %s = %s", mr_setting_defs[i].section,
                               mr_setting_defs[i].key, wild[w]);
}
