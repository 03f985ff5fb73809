/*
 * test_mixed_units.c - a blank in a unit column: a merged cell where the column states one unit, no statement where
 * it states several, wherever in the file they stand. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

static const struct blank_case {
    const char *name, *text;
    size_t readings;
    double last_um;
} cases[] = {
    {"one unit, merged cells", "zone,spot,thickness,unit\nD,1,8.5,mil\nD,2,8.6,\nD,3,8.7,\n", 3, 8.7 * 25.4},
    {"one unit in two spellings", "zone,spot,thickness,unit\nD,1,210,um\nD,2,211,\nD,3,212,micron\nD,4,213,\n", 4,
     213},
    {"blanks below each of two units", "zone,spot,thickness,unit\nD,1,210,um\nD,2,8.2,\nD,3,8.5,mil\nD,4,8.6,\n", 2,
     8.5 * 25.4},
    {"the second unit in the last row", "zone,spot,thickness,unit\nD,1,8.5,mil\nD,2,8.2,\nD,3,8.2,\nD,4,210,um\n", 2,
     210},
    {"a factor makes another unit", "zone,spot,thickness,unit\nD,1,8.5,mil\nD,2,84,\nD,3,84,\nD,4,85,0.1 mil\n", 2,
     8.5 * 25.4},
    {"the other unit is none", "zone,spot,thickness,unit\nD,1,8.5,mil\nD,2,8.2,\nD,3,8.2,\nD,4,210,zorb\n", 1,
     8.5 * 25.4},
    {"a forgotten cell", "zone,spot,thickness,unit\nD,1,8.5,mil\nD,2,8.2,mil\nD,3,210,um\nD,4,212,um\nD,5,8.4,\n", 4,
     212},
    {"the heading states another unit", "zone,spot,thickness (um),unit\nD,1,8.5,mil\nD,2,8.2,mil\nD,3,8.4,\n", 2,
     8.2 * 25.4},
    {"rows cut before the unit", "zone,spot,thickness,unit\nD,1,8.5,mil\nD,2,8.2\nD,3,8.2\nD,4,210,um\nD,5,211,um\n",
     3, 211},
    {"the value's own unit stands", "zone,spot,thickness,unit\nD,1,210,um\nD,2,8.2 mil,\nD,3,8.5,mil\nD,4,8.6 mil,\n",
     4, 8.6 * 25.4},
};

Test(mixed_units, film) {
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "dft.csv", cases[i].text, 0);
        norm_run(&rig);
        size_t n = rig.data->readings.n;
        cr_expect(norm_identity(&rig) && n == cases[i].readings, "%s: %zu: %s", cases[i].name, n, norm_line(&rig, 0));
        double last = n ? rig.data->readings.v[n - 1].film_um : (double)NAN;
        cr_expect(fabs(last - cases[i].last_um) < 1e-9, "%s: %g um", cases[i].name, last);
        norm_end(&rig);
    }
}

/* In a log a blank took the unit of the row above it, also where it was no merged cell. */
Test(mixed_units, log) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "climate.csv",
             "time,Air (degC),Unit,RH (%)\n2026-05-13 08:00:00,68,F,50\n2026-05-13 08:05:00,20,,51\n"
             "2026-05-13 08:10:00,20,C,51\n",
             0);
    norm_run(&rig);
    const struct mr_channel *air = norm_channel(&rig, 0, MR_M_AIR, 0);
    cr_assert(air && norm_identity(&rig) && norm_count(&rig, "no-unit"), "%s", norm_line(&rig, 0));
    for (size_t i = 0; i < air->n; i++)
        cr_expect(isnan(mr_real(&air->value, i)) || fabs(mr_real(&air->value, i) - 20) < 1e-9, "%g",
                  mr_real(&air->value, i));
    norm_end(&rig);
}

/* A drum holds no less than nothing: 50 down to -45 would be 95 used. */
Test(mixed_units, a_level_below_zero_is_set_aside) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "material.csv",
             "Date,Time,Part,Drum,Lot,Level before (L),Level after (L),Shelf date\n"
             "2026-05-13,10:00,A,A1,LA,50,45,2026-09-30\n2026-05-13,10:00,B,B1,LB,50,-45,\n"
             "2026-05-13,10:05,B,B1,LB,50,45,autumn\n",
             0);
    norm_run(&rig);
    cr_assert(norm_identity(&rig) && rig.data->materials.n == 2, "%s", norm_line(&rig, 0));
    cr_expect(!rig.data->materials.v[0].shelf_unread && rig.data->materials.v[1].shelf_unread);
    norm_end(&rig);
}

/* A value of 10 is one in um as well as in mil: which of two statements is true nobody can tell. */
Test(mixed_units, a_line_above_the_table_against_its_heading) {
    static const struct {
        const char *above, *heading;
        bool asks;
    } files[] = {{"Units: um", "thickness (mil)", true},     {"Units: mil", "thickness (mil)", false},
                 {"Unit of measure: mm", "dft (mil)", true}, {"Film unit: um", "film (mil)", true},
                 {"Units: degC", "thickness (mil)", false},  {"Units: um", "thickness", false}};
    for (size_t i = 0; i < MR_COUNT(files); i++) {
        struct norm_rig rig;
        char text[200];
        snprintf(text, sizeof text, "%s\nzone,spot,%s\nD,1,8.5\nD,2,8.6\n", files[i].above, files[i].heading);
        norm_begin(&rig);
        norm_add(&rig, "dft.csv", text, 0);
        norm_run(&rig);
        cr_expect(norm_identity(&rig));
        cr_expect_eq(norm_count(&rig, "no-unit") > 0, files[i].asks, "%s, %s", files[i].above, files[i].heading);
        cr_expect_eq(rig.data->readings.n, files[i].asks ? 0U : 2U, "%s, %s", files[i].above, files[i].heading);
        norm_end(&rig);
    }
}
