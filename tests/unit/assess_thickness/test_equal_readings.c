/*
 * test_equal_readings.c - runs of one value that no film gives, by the step of the gauge. That film scatters by 3 %
 * at least: common practice, no source. Steps of gauges: 1 um and 0.1 mil, from memory.
 */
#include "unit/assess_thickness/site.h"

#include <criterion/criterion.h>
#include <string.h>

#define JOB "[job]\nname = x\ntime zone = UTC\n[thickness]\nrules = restriction-level-3\n"
#define UM_JOB JOB "minimum = 200 um\nmaximum = 300 um\n"
#define MIL_JOB JOB "minimum = 8 mil\nmaximum = 12 mil\n"

/* So many equal readings of 45 on one zone; a second zone's readings step by `step`. */
static size_t told(double written, enum mr_unit unit, size_t equal, double step, double verified) {
    struct site s;
    site_new(&s, unit == MR_UNIT_MIL ? MIL_JOB : UM_JOB);
    s.real = true;
    const size_t zone = site_zone(&s, "Deck 1", 9, 1), other = site_zone(&s, "Deck 2", 9, 1);
    if (verified > 0.0)
        site_check(&s, "before", verified, verified);
    for (size_t i = 0; i < 45; i++)
        site_reading(&s, zone, "", "", i < equal ? written : written + (i % 2 ? step : -step), unit);
    for (size_t i = 0; i < 15 && step > 0.0; i++)
        site_reading(&s, other, "", "", written + step * (double)(i % 7) - 3.0 * step, unit);
    site_judge(&s);
    size_t n = 0;
    for (size_t i = 0; i < s.out.findings.n; i++)
        n += strcmp(s.out.findings.v[i].id, "equal-readings") == 0;
    const struct mr_check *c = site_find_check(&s, "thickness.equal", 0);
    cr_expect_eq(c != NULL, n == 1);
    cr_expect(!c || (c->outcome == MR_NOT_SHOWN && c->zone == zone && (size_t)c->measured == equal));
    mr_arena_free(s.arena);
    return n;
}

Test(equal_readings, a_run_that_no_film_gives_is_not_shown) {
    static const struct {
        double written;
        enum mr_unit unit;
        size_t equal;
        double step, verified;
        size_t want;
    } rows[] = {
        {250, MR_UNIT_UM, 45, 0, 0, 1},   /* stuck from the first reading to the last */
        {250, MR_UNIT_UM, 45, 1, 0, 1},   /* the gauge shows 1 um elsewhere */
        {250, MR_UNIT_UM, 45, 0, 300, 1}, /* 250 and 300 are multiples of 50, which is no step of a gauge */
        {250, MR_UNIT_UM, 15, 1, 0, 1},   /* an area */
        {250, MR_UNIT_UM, 14, 1, 0, 0},   /* nearly five spots of an even plate */
        {250, MR_UNIT_UM, 30, 10, 0, 0},  /* typed in tens: 31 are too many */
        {250, MR_UNIT_UM, 31, 10, 0, 1},         {10, MR_UNIT_MIL, 45, 1, 0, 0},   /* whole mils */
        {10, MR_UNIT_MIL, 45, 0, 0, 0},          {10, MR_UNIT_MIL, 15, 0.1, 0, 1}, /* tenths */
        {10, MR_UNIT_MIL, 14, 0.1, 0, 0},        {9.6, MR_UNIT_MIL, 45, 0, 0, 1},
        {0.25, MR_UNIT_FILM_MM, 20, 0.01, 0, 0}, /* hundredths of a millimetre are tens of micrometres */
        {0.25, MR_UNIT_FILM_MM, 40, 0.01, 0, 1},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        cr_expect_eq(told(rows[i].written, rows[i].unit, rows[i].equal, rows[i].step, rows[i].verified), rows[i].want,
                     "row %zu", i);
}

/* A row that gives a mean is not a reading, and two gauges are two. */
Test(equal_readings, means_and_other_gauges_end_a_run) {
    for (int form = 0; form < 3; form++) {
        struct site s;
        site_new(&s, UM_JOB);
        s.real = true;
        const size_t zone = site_zone(&s, "Deck 1", 9, 1);
        for (size_t i = 0; i < 20; i++) {
            const size_t at = site_reading(&s, zone, "", "", 250, MR_UNIT_UM);
            struct mr_reading *r = &s.data.readings.v[at];
            r->n_readings = form == 1 ? 3 : 1;
            r->serial = form == 2 && i % 2 ? "G2" : "G1";
        }
        site_judge(&s);
        cr_expect_eq(site_find_finding(&s, "equal-readings") != NULL, form == 0, "form %d", form);
        mr_arena_free(s.arena);
    }
}
