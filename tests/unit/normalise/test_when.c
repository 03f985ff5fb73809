/*
 * test_when.c - cells as dates and clock times.
 */
#include "base/text.h"
#include "normalise/cell/when.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

struct when_case {
    const char *text;
    const char *expected; /* as mr_when_text in the order given, a clock alone as of 1970-01-01; NULL = refused */
    enum mr_order order;
    int offset_min; /* 9999 = no zone */
};

#define NO_ZONE 9999

static const struct when_case cases[] = {
    {"2026-05-11 14:03:20", "2026-05-11 14:03:20", MR_ORDER_YMD, NO_ZONE},
    {"2026-05-11T14:03:20Z", "2026-05-11 14:03:20", MR_ORDER_YMD, 0},
    {"2026-05-11T14:03:20.125+02:00", "2026-05-11 14:03:20.125", MR_ORDER_YMD, 120},
    {"2026-05-11T14:03:20,5-0500", "2026-05-11 14:03:20.500", MR_ORDER_YMD, -300},
    {"2026-05-11 14:03 UTC", "2026-05-11 14:03:00", MR_ORDER_YMD, 0},
    {"2026-05-11 14:03:20 +02", "2026-05-11 14:03:20", MR_ORDER_YMD, 120},
    {"2026/05/11 14:03", "2026-05-11 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"2026-5-1 4:03", "2026-05-01 04:03:00", MR_ORDER_YMD, NO_ZONE},
    {"2026-05-11", "2026-05-11 00:00:00", MR_ORDER_YMD, NO_ZONE},
    {"20260511T140320", "2026-05-11 14:03:20", MR_ORDER_YMD, NO_ZONE},
    {"20260511T140320Z", "2026-05-11 14:03:20", MR_ORDER_YMD, 0},
    {"20260511140320", "2026-05-11 14:03:20", MR_ORDER_YMD, NO_ZONE},
    {"20260511 1403", "2026-05-11 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"20260511", "2026-05-11 00:00:00", MR_ORDER_YMD, NO_ZONE},
    {"03/04/2026 08:01", "2026-03-04 08:01:00", MR_ORDER_MDY, NO_ZONE},
    {"03/04/2026 08:01", "2026-04-03 08:01:00", MR_ORDER_DMY, NO_ZONE},
    {"04.03.2026 08:01:02", "2026-03-04 08:01:02", MR_ORDER_DMY, NO_ZONE},
    {"4.3.26, 8:01", "2026-03-04 08:01:00", MR_ORDER_DMY, NO_ZONE},
    {"3-4-26 8:01", "2026-03-04 08:01:00", MR_ORDER_MDY, NO_ZONE},
    {"26-05-11 14:03", "2026-05-11 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"05/11/99 1:00", "1999-05-11 01:00:00", MR_ORDER_MDY, NO_ZONE},
    {"5/11/2026 2:03:20 PM", "2026-05-11 14:03:20", MR_ORDER_MDY, NO_ZONE},
    {"5/11/2026 12:03 a.m.", "2026-05-11 00:03:00", MR_ORDER_MDY, NO_ZONE},
    {"5/11/2026 12:03:00pm", "2026-05-11 12:03:00", MR_ORDER_MDY, NO_ZONE},
    {"11 May 2026 14:03", "2026-05-11 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"11-May-26 14:03", "2026-05-11 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"May 11, 2026 2:03 PM", "2026-05-11 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"Mon May 11 14:03:20 2026", "2026-05-11 14:03:20", MR_ORDER_YMD, NO_ZONE},
    {"Mon, 11 May 2026 14:03:20 GMT", "2026-05-11 14:03:20", MR_ORDER_YMD, 0},
    {"11. Mai 2026 14:03", "2026-05-11 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"3. M\xc3\xa4rz 2026 14:03", "2026-03-03 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"03-M\xc3\x84R-2026", "2026-03-03 00:00:00", MR_ORDER_YMD, NO_ZONE},
    {"11 maio 2026 14:03", "2026-05-11 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"11 maj 2026 14:03", "2026-05-11 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"3 mar\xc3\xa7o 2026 14:03", "2026-03-03 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"3 pa\xc5\xba"
     "dziernika 2026 14:03",
     "2026-10-03 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"2020 Okt 13 - 9:37", "2020-10-13 09:37:00", MR_ORDER_YMD, NO_ZONE},
    {"7 f\xc3\xa9vr. 2026 08:00", "2026-02-07 08:00:00", MR_ORDER_YMD, NO_ZONE},
    {"1 ao\xc3\xbbt 2026 08:00", "2026-08-01 08:00:00", MR_ORDER_YMD, NO_ZONE},
    {"01/01/1988 24:00", "1988-01-02 00:00:00", MR_ORDER_MDY, NO_ZONE},
    {"2026-05-11 23:59:60", "2026-05-12 00:00:00", MR_ORDER_YMD, NO_ZONE}, /* a leap second is the next second */
    {"14:03", "1970-01-01 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"14h03", "1970-01-01 14:03:00", MR_ORDER_YMD, NO_ZONE},
    {"14.03.20", NULL, MR_ORDER_YMD,
     NO_ZONE}, /* as a date it has no month 3 of 14 in any order but day-first: see below */
    {"7 pm", "1970-01-01 19:00:00", MR_ORDER_YMD, NO_ZONE},
    {"2026-02-30 08:00", NULL, MR_ORDER_YMD, NO_ZONE},
    {"2026-05-11 25:00", NULL, MR_ORDER_YMD, NO_ZONE},
    {"2026-05-11 24:01", NULL, MR_ORDER_YMD, NO_ZONE},
    {"2026-05-11 14:60", NULL, MR_ORDER_YMD, NO_ZONE},
    {"2026-05-11 13:00 PM", NULL, MR_ORDER_YMD, NO_ZONE},
    {"32/13/2026", NULL, MR_ORDER_YMD, NO_ZONE},
    {"11 Mayo2026x", NULL, MR_ORDER_YMD, NO_ZONE},
    {"2026-05-11 23:59:60", "2026-05-12 00:00:00", MR_ORDER_YMD, NO_ZONE}, /* a leap second */
    {"2026-05-11 23:59:60.2", NULL, MR_ORDER_YMD, NO_ZONE},
    {"20260514:0930", "2026-05-14 09:30:00", MR_ORDER_YMD, NO_ZONE},
    {"2026-05-14\xc2\xa0"
     "09:30",
     "2026-05-14 09:30:00", MR_ORDER_YMD, NO_ZONE}, /* a no-break space */
    {"09:10-09:32", NULL, MR_ORDER_YMD, NO_ZONE},   /* from and to, no offset */
    {"2026-05-11 14:03:20 CEST", "2026-05-11 14:03:20", MR_ORDER_YMD,
     NO_ZONE}, /* the letters are kept, not applied */
    {"2026-05-11 14:03:20 volt", NULL, MR_ORDER_YMD, NO_ZONE},
    {"5", NULL, MR_ORDER_YMD, NO_ZONE},
    {"", NULL, MR_ORDER_YMD, NO_ZONE},
};

Test(when, cells_are_moments) {
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        const struct when_case *c = &cases[i];
        struct mr_when w;
        bool got = mr_when_scan(c->text, strlen(c->text), &w);
        if (strcmp(c->text, "14.03.20") == 0) {
            int64_t day;
            cr_assert(got && w.has_date && mr_date_day(&w.date, MR_ORDER_DMY, &day) &&
                      !mr_date_day(&w.date, MR_ORDER_MDY, &day));
            continue;
        }
        cr_assert(got == (c->expected != NULL), "%s", c->text);
        if (!got)
            continue;
        int64_t day = 0;
        if (w.has_date)
            cr_assert(mr_date_day(&w.date, c->order, &day), "%s has no day", c->text);
        char text[32];
        mr_when_text(day * MR_DAY_MS + w.clock_ms, text);
        cr_assert_str_eq(text, c->expected, "%s: %s", c->text, text);
        cr_assert(w.has_zone == (c->offset_min != NO_ZONE), "%s: zone", c->text);
        cr_assert(!w.has_zone || w.offset_min == c->offset_min, "%s: %d", c->text, (int)w.offset_min);
    }
}

/* Every day of 70 years in every writing comes back; the civil calendar is checked against its own length of months.
 */
Test(when, every_day_comes_back) {
    char text[40];
    int64_t expected = mr_days_from_civil(1970, 1, 1);
    for (int y = 1970; y < 2040; y++)
        for (int m = 1; m <= 12; m++)
            for (int d = 1; d <= mr_days_in_month(y, m); d++, expected++) {
                for (int form = 0; form < 3; form++) {
                    if (form == 0)
                        snprintf(text, sizeof text, "%02d.%02d.%04d", d, m, y);
                    else
                        snprintf(text, sizeof text, form == 1 ? "%04d-%02d-%02d" : "%04d%02d%02d", y, m, d);
                    struct mr_when w;
                    int64_t day;
                    cr_assert(mr_when_scan(text, strlen(text), &w) &&
                                  mr_date_day(&w.date, form ? MR_ORDER_YMD : MR_ORDER_DMY, &day),
                              "%s", text);
                    cr_assert(day == expected, "%s", text);
                }
            }
}

Test(when, epochs_are_seconds_or_milliseconds) {
    static const struct {
        const char *text;
        int64_t ms; /* -1 = refused */
    } rows[] = {{"1778508200", 1778508200000},
                {"1778508200.25", 1778508200250},
                {"1778508200250", 1778508200250},
                {"12345678", -1},
                {"99999999999999", -1},
                {"-1778508200", -1},
                {"1778508200x", -1}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        int64_t ms;
        bool got = mr_epoch_scan(rows[i].text, strlen(rows[i].text), &ms);
        cr_assert(got == (rows[i].ms >= 0) && (!got || ms == rows[i].ms), "%s", rows[i].text);
    }
}

Test(when, elapsed_times_may_pass_a_day) {
    static const struct {
        const char *text;
        int64_t ms; /* -1 = refused */
    } rows[] = {{"0:00:01", 1000},
                {"26:13:05", 94385000},
                {"03:20", 200000},
                {"1.02:00:00", 93600000},
                {"00:00:00.500", 500},
                {"5", -1},
                {"1:2", -1}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        int64_t ms;
        bool got = mr_duration_scan(rows[i].text, strlen(rows[i].text), &ms);
        cr_assert(got == (rows[i].ms >= 0) && (!got || ms == rows[i].ms), "%s", rows[i].text);
    }
}
