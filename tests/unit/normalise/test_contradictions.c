/*
 * test_contradictions.c - two exports of one instrument that cannot both be true. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

#define FILM "Date,Time,Zone,Area,Spot,Thickness [um],Gauge serial\n"
#define AT(time, value) "2026-05-12," time ",Deck,1,1," value ",G1\n"

static size_t marked(const char *a, const char *b, size_t *readings) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", a, 0);
    norm_add(&rig, "b.csv", b, 0);
    norm_run(&rig);
    cr_expect(norm_identity(&rig));
    size_t n = 0;
    for (size_t i = 0; i < rig.data->readings.n; i++)
        n += rig.data->readings.v[i].contradicted;
    *readings = rig.data->readings.n;
    cr_expect_eq(norm_count(&rig, "contradicted"), n > 0);
    norm_end(&rig);
    return n;
}

Test(contradictions, an_edited_reading_is_marked_and_kept) {
    static const struct {
        const char *name, *a, *b;
        size_t marked, readings;
    } cases[] = {
        {"edited", FILM AT("09:00:05", "100") AT("09:00:15", "240"), FILM AT("09:00:05", "250") AT("09:00:15", "240"),
         2, 3},
        {"all edited", FILM AT("09:00:05", "100"), FILM AT("09:00:05", "250"), 2, 2},
        {"the same", FILM AT("09:00:05", "250"), FILM AT("09:00:05", "250") AT("09:00:15", "240"), 0, 2},
        {"two within a second, once more exported", FILM AT("09:00:05", "250") AT("09:00:05", "252"),
         FILM AT("09:00:05", "250") AT("09:00:05", "252") AT("09:00:15", "240"), 0, 3},
        {"times cut to minutes, cut between exports", FILM AT("09:00:00", "250"),
         FILM AT("09:00:00", "252") AT("09:01:00", "240"), 0, 3},
        {"another gauge", FILM AT("09:00:05", "250"), FILM "2026-05-12,09:00:05,Deck,1,1,100,G2\n", 0, 2},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        size_t readings;
        cr_expect_eq(marked(cases[i].a, cases[i].b, &readings), cases[i].marked, "%s", cases[i].name);
        cr_expect_eq(readings, cases[i].readings, "%s: %zu readings", cases[i].name, readings);
    }
}

/* Times cut to the minute leave single moments open; exports that run through the same moments and places do not.
 * Spots of three readings, one a minute. */
Test(contradictions, exports_in_step_contradict_or_are_one_memory_in_two_units) {
    static const struct {
        const char *name, *unit;
        double factor; /* what the second export shows of the first one's values, in its unit */
        size_t marked, readings;
    } cases[] = {
        {"other values", "um", 0.5, 12, 12},
        {"other values in another unit", "mil", 0.5 / 25.4, 12, 12},
        {"one memory in two units", "mil", 1 / 25.4, 0, 6},
        {"one memory twice", "um", 1, 0, 6},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        const char *a = FILM,
                   *b = mr_printf(arena, "Date,Time,Zone,Area,Spot,Thickness [%s],Gauge serial\n", cases[i].unit);
        for (int k = 0; k < 6; k++) {
            a = mr_printf(arena, "%s2026-05-12,09:%02d:00,Deck,1,%d,%d,G1\n", a, k, k / 3 + 1, 250 + k);
            b = mr_printf(arena, "%s2026-05-12,09:%02d:00,Deck,1,%d,%.2f,G1\n", b, k, k / 3 + 1,
                          (250 + k) * cases[i].factor);
        }
        size_t readings;
        cr_expect_eq(marked(a, b, &readings), cases[i].marked, "%s", cases[i].name);
        cr_expect_eq(readings, cases[i].readings, "%s: %zu readings", cases[i].name, readings);
        mr_arena_free(arena);
    }
}

#define CLIMATE "Serial: H1\nTime,Air [degC],RH [%]\n"

Test(contradictions, log_rows_that_contradict_are_set_aside) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv",
             CLIMATE "2026-05-13 08:00:00,20,60\n2026-05-13 08:05:00,20,60\n2026-05-13 08:10:00,20,60\n", 0);
    norm_add(&rig, "b.csv", CLIMATE "2026-05-13 08:00:00,20,95\n2026-05-13 08:05:00,20.1,60\n", 0);
    norm_run(&rig);
    cr_expect(norm_identity(&rig));
    cr_expect_eq(norm_channel(&rig, 0, MR_M_RH, 0)->n, 2, "one row of each contradicts the other");
    cr_expect_eq(norm_channel(&rig, 1, MR_M_RH, 0)->n, 1, "a tenth of a degree may be rounding");
    cr_expect_eq(norm_count(&rig, "contradicted"), 1);
    norm_end(&rig);
}

/* Without serials nothing ties two files to one gauge but that they go through the same moments and places. */
Test(contradictions, an_edited_copy_without_a_serial_is_marked) {
    static const char head[] = "Date,Time,Zone,Area,Spot,Thickness [um]\n";
    for (int law = 0; law < 3; law++) { /* a copy; another moment in between; fewer moments than tell a copy */
        struct norm_rig rig;
        norm_begin(&rig);
        const char *a = head, *b = head;
        const int rows = law == 2 ? 4 : 15;
        for (int i = 0; i < rows; i++) {
            a = mr_printf(rig.arena, "%s2026-05-12,09:%02d:07,Deck,1,%d,150\n", a, i, i / 3);
            b = mr_printf(rig.arena, "%s2026-05-12,09:%02d:%02d,Deck,1,%d,250\n", b, i, law == 1 && i == 7 ? 17 : 7,
                          i / 3);
        }
        size_t readings;
        cr_expect_eq(marked(a, b, &readings), law == 0 ? 30U : 0U, "%d", law);
        cr_expect_eq(readings, (size_t)(2 * rows));
        norm_end(&rig);
    }
}

/* Gauge and moment identify a reading, whatever place it is filed under. */
static size_t refiled(const char *a, const char *b) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a.csv", a, 0);
    if (b)
        norm_add(&rig, "b.csv", b, 0);
    norm_run(&rig);
    size_t n = 0;
    for (size_t i = 0; i < rig.data->readings.n; i++)
        n += rig.data->readings.v[i].contradicted;
    cr_expect(norm_identity(&rig));
    cr_expect_eq(norm_count(&rig, "refiled"), n > 0);
    norm_end(&rig);
    return n;
}

#define SPOT(time, place, value) "2026-05-12," time "," place "," value ",G1\n"

Test(contradictions, a_reading_stands_in_one_place) {
    static const char mil[] = "Date,Time,Zone,Area,Spot,Thickness [mil],Gauge serial\n";
    static const char *const one = FILM SPOT("09:00:05", "Deck,1,1", "250") SPOT("09:00:12", "Deck,1,2", "240");
    cr_expect_eq(refiled(one, FILM SPOT("09:00:05", "Deck,1,4", "250")), 2, "another spot");
    cr_expect_eq(refiled(one, FILM SPOT("09:00:05", "Deck,2,1", "250")), 2, "another area");
    cr_expect_eq(refiled(one, FILM SPOT("09:00:05", "Hull,1,1", "250")), 2, "another zone");
    cr_expect_eq(refiled(one, FILM SPOT("09:00:05", "Hull,1,1", "199")), 2, "another zone and value");
    char text[300];
    snprintf(text, sizeof text, "%s%s", mil, SPOT("09:00:05", "Deck,2,1", "9.8"));
    cr_expect_eq(refiled(one, text), 2, "in mil");
    cr_expect_eq(refiled(one, FILM SPOT("09:00:06", "Deck,2,1", "250")), 0, "another moment");
    cr_expect_eq(refiled(one, FILM "2026-05-12,09:00:05,Deck,2,1,250,G2\n"), 0, "another gauge");
    cr_expect_eq(refiled(one, FILM SPOT("09:00:05", "Deck,1,1", "250")), 0, "the same place");
    cr_expect_eq(refiled(FILM SPOT("09:00:00", "Deck,1,1", "250"), FILM SPOT("09:00:00", "Deck,1,4", "250")), 0,
                 "times cut to the minute");
    cr_expect_eq(refiled(FILM SPOT("09:00:05", "Deck,1,1", "250") SPOT("09:00:05", "Deck,1,2", "250"), NULL), 0,
                 "a scanning gauge");
}
