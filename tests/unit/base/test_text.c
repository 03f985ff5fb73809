/* Exact scanners: numbers, dates, quantities, patterns. */
#include "base/text.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

Test(text, plain_decimals_are_read_exactly) {
    static const struct {
        const char *text;
        char mark;
        double want;
    } rows[] = {
        {"0", '.', 0.0},
        {"-0", '.', 0.0},
        {"+7", '.', 7.0},
        {".123", '.', 0.123},
        {"5.", '.', 5.0},
        {"1,5", ',', 1.5},
        {"112.5", '.', 112.5},
        {"6.25e+00", '.', 6.25},
        {"1e-3", '.', 0.001},
        {"-9999.9", '.', -9999.9},
        {"0.1", '.', 0.1},
        {"123456789012345", '.', 123456789012345.0},
        {"1234567890123456789", '.', 1234567890123456789.0},
        {"0.000000000000000000000012345", '.', 0.000000000000000000000012345},
        {"9007199254740993", '.', 9007199254740993.0},
        {"1e22", '.', 1e22},
        {"1e23", '.', 1e23},
        {"1.7976931348623157e308", '.', 1.7976931348623157e308},
        {"000123", '.', 123.0},
        {"5e-324", '.', 5e-324},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        double got = -1;
        cr_assert(mr_scan_decimal(rows[i].text, strlen(rows[i].text), rows[i].mark, &got), "%s", rows[i].text);
        cr_assert(got == rows[i].want, "%s gave %.17g", rows[i].text, got);
    }
}

Test(text, what_is_no_decimal_is_refused) {
    static const char *const rows[] = {"",    ".",    "-",  "+",   "1l2", "1,000", "1 2",   " 1", "1 ",    "nan",
                                       "inf", "0x10", "1e", "1e+", "--1", "1.2.3", "1e999", "e5", "1.5mil"};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        double got = -1;
        cr_assert_not(mr_scan_decimal(rows[i], strlen(rows[i]), '.', &got), "%s", rows[i]);
        cr_assert(got == -1, "%s wrote %.17g", rows[i], got);
    }
}

Test(text, random_decimals_equal_the_c_library) {
    unsigned long long s = 20260511;
    for (int i = 0; i < 200000; i++) {
        char text[64];
        s = s * 6364136223846793005ULL + 1442695040888963407ULL;
        int decimals = (int)(s >> 60);
        double v = (double)(long long)(s >> 14) / 1e6 * (s & 1024 ? 1 : -1);
        snprintf(text, sizeof text, "%.*f", decimals, v);
        double got;
        cr_assert(mr_scan_decimal(text, strlen(text), '.', &got), "%s", text);
        cr_assert(got == strtod(text, NULL), "%s gave %.17g", text, got);
    }
}

Test(text, civil_days_round_trip_and_known_days_hold) {
    /* Day numbers from the definition of the Unix epoch; 2000-03-01 is day 11017. */
    cr_assert_eq(mr_days_from_civil(1970, 1, 1), 0);
    cr_assert_eq(mr_days_from_civil(2000, 3, 1), 11017);
    cr_assert_eq(mr_days_from_civil(1969, 12, 31), -1);
    int y, m, d;
    for (int64_t day = -719162; day < 2932896; day += 13) {
        mr_civil_from_days(day, &y, &m, &d);
        cr_assert_eq(mr_days_from_civil(y, m, d), day, "%d-%d-%d", y, m, d);
        cr_assert(d >= 1 && d <= mr_days_in_month(y, m));
    }
    cr_assert_eq(mr_days_in_month(2000, 2), 29);
    cr_assert_eq(mr_days_in_month(1900, 2), 28);
    cr_assert_eq(mr_days_in_month(2024, 2), 29);
    cr_assert_eq(mr_days_in_month(2026, 13), 0);
}

Test(text, iso_moments_are_strict) {
    static const struct {
        const char *text;
        bool ok;
        int64_t ms;
    } rows[] = {
        {"1970-01-01", true, 0},
        {"1970-01-01 00:01", true, 60000},
        {"1970-01-02T00:00:01.5", true, 86401500},
        {"2026-02-29", false, 0},
        {"2024-02-29", true, 1709164800000},
        {"2026-13-01", false, 0},
        {"2026-1-1", false, 0},
        {"1970-01-01 24:00", true, 86400000},
        {"1970-01-01 24:01", false, 0},
        {"1970-01-01 10:60", false, 0},
        {"1970-01-01 10", false, 0},
        {"1970-01-01x10:00", false, 0},
        {"", false, 0},
        {"1970-01-01 00:00:00.1234", false, 0},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        int64_t got = -1;
        cr_assert_eq(mr_scan_iso_local(rows[i].text, strlen(rows[i].text), &got), rows[i].ok, "%s", rows[i].text);
        if (rows[i].ok)
            cr_assert_eq(got, rows[i].ms, "%s gave %lld", rows[i].text, (long long)got);
    }
}

Test(text, quantities_carry_their_unit) {
    enum mr_unit unit;
    double v;
    cr_assert_null(mr_scan_quantity("5 mil", 5, &unit, MR_DIM_FILM, &v));
    cr_assert(unit == MR_UNIT_MIL && v == 5.0);
    cr_assert_null(mr_scan_quantity("8 degF", 6, &unit, MR_DIM_RISE, &v));
    cr_assert(unit == MR_UNIT_RISE_F && fabs(mr_to_canonical(unit, v) - 40.0 / 9.0) < 1e-12);
    cr_assert_null(mr_scan_quantity("85%", 3, &unit, MR_DIM_SHARE, &v));
    cr_assert_not_null(mr_scan_quantity("85", 2, &unit, MR_DIM_SHARE, &v), "a missing unit");
    cr_assert_not_null(mr_scan_quantity("1,000 ft2", 9, &unit, MR_DIM_AREA, &v), "a comma");
    cr_assert_not_null(mr_scan_quantity("5 psi", 5, &unit, MR_DIM_FILM, &v), "a unit of another kind");
    cr_assert_not_null(mr_scan_quantity("3 mil", 5, &unit, MR_DIM_NONE, &v), "a unit where none fits");
}

Test(text, globs_follow_paths) {
    static const struct {
        const char *pattern, *path;
        bool match;
    } rows[] = {
        {"*.csv", "a.csv", true},
        {"*.csv", "x/a.csv", false},
        {"**/*.csv", "x/y/a.csv", true},
        {"**/*.csv", "a.csv", true},
        {"exports/gauge-*.csv", "exports/Gauge-7.CSV", true},
        {"exports/*", "exports/x/y", false},
        {"**", "any/thing", true},
        {"a?c", "abc", true},
        {"a?c", "a/c", false},
        {"", "", true},
        {"*", "", true},
        {"a*b*c", "axxbyyc", true},
        {"a*b*c", "axxbyy", false},
        {"**/t*/x.csv", "a/tb/c/td/x.csv", true},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        cr_assert_eq(mr_glob(rows[i].pattern, rows[i].path), rows[i].match, "%s on %s", rows[i].pattern,
                     rows[i].path);
}
