/*
 * test_number.c - cells as numbers. Values are those that the same digits have as a C constant, so they are exact.
 */
#include "normalise/cell/number.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

struct number_case {
    const char *text;
    struct mr_number_style style;
    enum mr_num expected;
    double value;
    const char *unit;
};

#define POINT                                                                                                        \
    { '.', false }
#define COMMA                                                                                                        \
    { ',', false }
#define POINT_GROUPED                                                                                                \
    { '.', true }
#define COMMA_GROUPED                                                                                                \
    { ',', true }
#define OPEN                                                                                                         \
    { '?', true }

static const struct number_case cases[] = {
    {"212", POINT, MR_NUM_OK, 212, NULL},
    {"5.2", POINT, MR_NUM_OK, 5.2, NULL},
    {"5,2", COMMA, MR_NUM_OK, 5.2, NULL},
    {".123", POINT, MR_NUM_OK, .123, NULL},
    {"-.5", POINT, MR_NUM_OK, -.5, NULL},
    {"+4.25", POINT, MR_NUM_OK, 4.25, NULL},
    {"  6.25e+00 ", POINT, MR_NUM_OK, 6.25, NULL},
    {"1.5E-3", POINT, MR_NUM_OK, 1.5e-3, NULL},
    {"6,25e1", COMMA, MR_NUM_OK, 62.5, NULL},
    {"\xe2\x88\x92"
     "4.5",
     POINT, MR_NUM_OK, -4.5, NULL}, /* U+2212 */
    {"\xe2\x80\x93"
     "4.5",
     POINT, MR_NUM_OK, -4.5, NULL}, /* en dash */
    {"- 4.5", POINT, MR_NUM_OK, -4.5, NULL},
    {"1,234.5", POINT, MR_NUM_OK, 1234.5, NULL}, /* the fraction shows what the comma is */
    {"1.234,5", COMMA, MR_NUM_OK, 1234.5, NULL},
    {"1,234,567", POINT, MR_NUM_OK, 1234567, NULL},
    {"12,000", POINT_GROUPED, MR_NUM_OK, 12000, NULL},
    {"12,000", POINT, MR_NUM_AMBIGUOUS, 0, NULL},
    {"12.000", COMMA, MR_NUM_AMBIGUOUS, 0, NULL},
    {"1 234.5", POINT, MR_NUM_OK, 1234.5, NULL},
    {"1\xc2\xa0"
     "234,5",
     COMMA, MR_NUM_OK, 1234.5, NULL}, /* no-break space */
    {"1\xe2\x80\xaf"
     "234",
     POINT, MR_NUM_OK, 1234, NULL}, /* narrow no-break space */
    {"1'234.5", POINT, MR_NUM_OK, 1234.5, NULL},
    {"'5.2", POINT, MR_NUM_OK, 5.2, NULL}, /* a spreadsheet's mark for text */
    {"12,5", POINT, MR_NUM_MIXED, 12.5, NULL},
    {"12.5", COMMA, MR_NUM_MIXED, 12.5, NULL},
    {"12,34,5", POINT, MR_NUM_BAD, 0, NULL},
    {"1.2.3", POINT, MR_NUM_BAD, 0, NULL},
    {"5.2 mil", POINT, MR_NUM_OK, 5.2, "mil"},
    {"132\xc2\xb5m", POINT, MR_NUM_OK, 132, "\xc2\xb5m"},
    {"21,5 \xc2\xb0"
     "C",
     COMMA, MR_NUM_OK, 21.5,
     "\xc2\xb0"
     "C"},
    {"45 %", POINT, MR_NUM_OK, 45, "%"},
    {"127 \xc2\xb1 2 \xc2\xb5m", POINT, MR_NUM_OK, 127, "\xc2\xb5m"}, /* a tolerance is no part of the value */
    {"127 um \xc2\xb1 3 %", POINT, MR_NUM_OK, 127, "um"},
    {"127\xc2\xb1"
     "2",
     POINT, MR_NUM_OK, 127, NULL},
    {"127 +/- 1,5 %", COMMA, MR_NUM_OK, 127, NULL},
    {"127 +-", POINT, MR_NUM_BAD, 0, NULL},
    {"12-13", POINT, MR_NUM_BAD, 0, NULL},
    {"1l2.5", POINT, MR_NUM_BAD, 0, NULL},
    {"12.5.", POINT, MR_NUM_BAD, 0, NULL},
    {"<5", POINT, MR_NUM_BAD, 0, NULL},
    {"5/6", POINT, MR_NUM_BAD, 0, NULL},
    {"abc", POINT, MR_NUM_BAD, 0, NULL},
    {"", POINT, MR_NUM_MISSING, 0, NULL},
    {"OL", POINT, MR_NUM_MISSING, 0, NULL},
    {"O.L", POINT, MR_NUM_MISSING, 0, NULL},
    {"---", POINT, MR_NUM_MISSING, 0, NULL},
    {"--.-", POINT, MR_NUM_MISSING, 0, NULL},
    {"\xe2\x80\x94", POINT, MR_NUM_MISSING, 0, NULL}, /* em dash */
    {"Err", POINT, MR_NUM_MISSING, 0, NULL},
    {"n/a", POINT, MR_NUM_MISSING, 0, NULL},
    {"NaN", POINT, MR_NUM_MISSING, 0, NULL},
    {"#DIV/0!", POINT, MR_NUM_MISSING, 0, NULL},
    {"-9999", POINT, MR_NUM_MISSING, 0, NULL},
    {"-9999.0", POINT, MR_NUM_MISSING, 0, NULL},
    {"-9999.9", POINT, MR_NUM_MISSING, 0, NULL},
    {"-99999", POINT, MR_NUM_MISSING, 0, NULL},
    {"-9999,9", COMMA, MR_NUM_MISSING, 0, NULL},
    {"-9999.5", POINT, MR_NUM_OK, -9999.5, NULL},
    {"-9998", POINT, MR_NUM_OK, -9998, NULL},
    {"9999", POINT, MR_NUM_OK, 9999, NULL},
    {"0", POINT, MR_NUM_OK, 0, NULL}, /* zero is a value unless the job says otherwise */
    {"12,5", OPEN, MR_NUM_OK, 12.5, NULL},
    {"12.5", OPEN, MR_NUM_OK, 12.5, NULL},
    {"1.234,5", OPEN, MR_NUM_OK, 1234.5, NULL},
    {"1.234.567", OPEN, MR_NUM_OK, 1234567, NULL},
    {"0.1234567890123456789", POINT, MR_NUM_OK, 0.1234567890123456789, NULL},
    {"9007199254740993", POINT, MR_NUM_OK, 9007199254740992.0, NULL}, /* correctly rounded: ties to even */
};

Test(number, cells_are_read_by_the_style_of_their_column) {
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        const struct number_case *c = &cases[i];
        struct mr_number got;
        enum mr_num what = mr_number_scan(c->text, strlen(c->text), c->style, &got);
        cr_assert(what == c->expected, "%s under %c: %d", c->text, c->style.mark, (int)what);
        if (what == MR_NUM_OK || what == MR_NUM_MIXED)
            cr_assert(got.value == c->value, "%s: %.17g", c->text, got.value);
        if (c->unit)
            cr_assert(got.unit && got.unit_n == strlen(c->unit) && memcmp(got.unit, c->unit, got.unit_n) == 0, "%s",
                      c->text);
        else
            cr_assert(what != MR_NUM_OK || !got.unit, "%s has a unit", c->text);
    }
}

Test(number, one_mark_with_three_digits_behind_is_doubtful_in_an_open_column) {
    struct mr_number got;
    const struct mr_number_style open = OPEN;
    cr_assert(mr_number_scan("1,234", 5, open, &got) == MR_NUM_OK && got.doubtful && got.one_mark == ',');
    cr_assert(mr_number_scan("4.669", 5, open, &got) == MR_NUM_OK && got.doubtful && got.one_mark == '.');
    cr_assert(mr_number_scan("0.669", 5, open, &got) == MR_NUM_OK && !got.doubtful, "no thousand begins with 0");
    cr_assert(mr_number_scan("1234,567", 8, open, &got) == MR_NUM_OK && !got.doubtful,
              "four digits before are no group");
}

Test(number, inches_may_be_written_as_fractions_and_dates_are_none) {
    static const struct {
        const char *text;
        double value; /* 0 = none */
        const char *unit;
    } rows[] = {{"1/4", 0.25, NULL},     {"3/8\"", 0.375, "\""}, {"1-1/2", 1.5, NULL}, {"1 1/2 in", 1.5, "in"},
                {"15/16", 0.9375, NULL}, {"5/13", 0, NULL},      {"5/8/26", 0, NULL},  {"13/5", 0, NULL},
                {"8/4", 0, NULL},        {"0/4", 0, NULL},       {"1/", 0, NULL},      {"/4", 0, NULL},
                {"1-1", 0, NULL},        {"12345/64", 0, NULL},  {"1/2/", 0, NULL}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct mr_number x;
        bool got = mr_fraction_scan(rows[i].text, strlen(rows[i].text), &x);
        cr_expect(got == (rows[i].value > 0) && (!got || x.value == rows[i].value), "%s", rows[i].text);
        cr_expect(!got || (rows[i].unit ? x.unit && x.unit_n == strlen(rows[i].unit) : !x.unit), "%s", rows[i].text);
    }
}

Test(number, marks_of_limits_leave_the_value_and_marks_of_bounds_do_not) {
    static const char *const flags[] = {"H", "l", "Hi", "LOW", "*", "!", "(H)"}, *const none[] = {"",   "m", "C",
                                                                                                  "hl", "x", "%"};
    for (size_t i = 0; i < MR_COUNT(flags); i++)
        cr_expect(mr_number_flag(flags[i], strlen(flags[i])), "%s", flags[i]);
    for (size_t i = 0; i < MR_COUNT(none); i++)
        cr_expect(!mr_number_flag(none[i], strlen(none[i])), "%s", none[i]);
    static const struct {
        const char *text;
        char mark;
    } marks[] = {{">1500", '>'}, {"< 50 um", '<'}, {"\xe2\x89\xa5 1500", '>'},
                 {"~214", '~'},  {"ca. 214", '~'}, {"(216)", '('},
                 {"(216", 0},    {"(b)", 0},       {"214", 0},
                 {"<", 0},       {"", 0}};
    for (size_t i = 0; i < MR_COUNT(marks); i++)
        cr_expect(mr_number_marked(marks[i].text, strlen(marks[i].text)) == marks[i].mark, "%s", marks[i].text);
}

Test(number, the_job_lists_texts_that_mean_no_value) {
    static const struct {
        const char *list, *text;
        bool listed;
    } rows[] = {{"-9999, 0", "0", true}, {"-9999, 0", "0.0", true},    {"-9999, 0", "0.5", false},
                {"0", "", false},        {"none, void", "VOID", true}, {"-1", "-1.00", true},
                {"", "0", false},        {"999", "1999", false}};
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        cr_assert(mr_missing_listed(rows[i].list, rows[i].text, strlen(rows[i].text)) == rows[i].listed, "%s in %s",
                  rows[i].text, rows[i].list);
}

Test(number, a_number_of_any_length_is_refused_or_read_but_never_overruns) {
    char text[400];
    struct mr_number got;
    for (size_t n = 1; n < sizeof text; n++) {
        memset(text, '9', n);
        enum mr_num what = mr_number_scan(text, n, (struct mr_number_style)POINT, &got);
        cr_assert(what == MR_NUM_BAD || (what == MR_NUM_OK && isfinite(got.value)), "%zu digits", n);
    }
}
