/*
 * test_unit_places.c - a unit is stated wherever in the heading it stands, in a line above the table and in a column,
 * in the languages of the maps; inference never overrules it. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

/* The film of the one row in um; NaN where it was not read. */
static double film_of(const char *above, const char *heading, const char *value, const char *unit_heading,
                      const char *unit) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "dft.csv",
             mr_printf(rig.arena, "%szone,spot,%s,%s\nD,1,%s,%s\n", above, heading, unit_heading, value, unit), 0);
    norm_run(&rig);
    cr_expect(norm_identity(&rig), "%s%s", above, heading);
    const double um = rig.data->readings.n ? rig.data->readings.v[0].film_um : (double)NAN;
    norm_end(&rig);
    return um;
}

Test(unit_places, anywhere_in_the_heading) {
    static const struct {
        const char *heading, *value;
        double um; /* 0: not read */
    } rows[] = {{"DFT (mil) 1", "8.5", 8.5 * 25.4},
                {"DFT mil 1", "8.5", 8.5 * 25.4},
                {"mils DFT", "8.5", 8.5 * 25.4},
                {"DFT [mil] R1", "8.5", 8.5 * 25.4},
                {"DFT mils final", "8.5", 8.5 * 25.4},
                {"DFT um 1", "210", 210},
                {"um DFT", "210", 210},
                {"DFT mm 1", "0.21", 210},
                {"DFT mil*100", "210", 0},
                {"DFT mil x 100", "210", 0},
                {"DFT nm 1", "210", 0},
                {"mV DFT", "210", 0},
                {"DFT um or mil 1", "210", 0}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const double um = film_of("", rows[i].heading, rows[i].value, "note", "");
        cr_expect(rows[i].um > 0 ? fabs(um - rows[i].um) < 1e-9 : isnan(um), "%s: %g", rows[i].heading, um);
    }
}

Test(unit_places, lines_above_and_columns_in_the_languages_of_the_maps) {
    static const char *const names[] = {"Units",
                                        "Unidades",
                                        "Unit\xc3\xa9s",
                                        "Einheiten",
                                        "Ma\xc3\x9f"
                                        "einheit",
                                        "Messeinheit",
                                        "Unidad de medida",
                                        "Unit\xc3\xa9 de mesure",
                                        "Unit\xc3\xa0 di misura",
                                        "Eenheden",
                                        "Meeteenheid",
                                        "Enheter",
                                        "M\xc3\xa5ttenhet",
                                        "Jednostki",
                                        "Jednostka miary",
                                        "Unidade de medida",
                                        "UOM",
                                        "Unit of measure"};
    static const char *const columns[] = {"Messeinheit",
                                          "Ma\xc3\x9f"
                                          "einheit",
                                          "Unit\xc3\xa9 de mesure",
                                          "Unidad de medida",
                                          "Unit\xc3\xa0 di misura",
                                          "Unidade de medida",
                                          "Meeteenheid",
                                          "M\xc3\xa5ttenhet",
                                          "Jednostka miary",
                                          "j.m."};
    char above[80];
    for (size_t i = 0; i < MR_COUNT(names); i++) {
        snprintf(above, sizeof above, "%s: mil\n", names[i]);
        cr_expect(fabs(film_of(above, "DFT", "8.5", "note", "") - 8.5 * 25.4) < 1e-9, "%s", names[i]);
        snprintf(above, sizeof above, "%s: um\n", names[i]);
        cr_expect(fabs(film_of(above, "DFT", "210", "note", "") - 210) < 1e-9, "%s", names[i]);
    }
    for (size_t i = 0; i < MR_COUNT(columns); i++) {
        cr_expect(fabs(film_of("", "DFT", "8.5", columns[i], "mil") - 8.5 * 25.4) < 1e-9, "%s", columns[i]);
        cr_expect(fabs(film_of("", "DFT (um)", "8.5", columns[i], "mil") - 8.5 * 25.4) < 1e-9, "%s", columns[i]);
    }
}

/* Factors without brackets, and a unit of another trade over one of several columns of readings. */
Test(unit_places, tens_behind_in_count_and_no_unit_is_overruled_by_its_neighbours) {
    static const struct {
        const char *text;
        size_t readings;
        double first_um;
    } cases[] = {{"zone,spot,Thickness in 10 um\nD,1,21\nD,1,22\nD,1,23\n", 3, 210},
                 {"zone,spot,Thickness in um\nD,1,210\nD,1,220\nD,1,215\n", 3, 210},
                 {"zone,spot,DFT um/10\nD,1,210\nD,1,215\nD,1,220\n", 0, 0},
                 {"zone,spot,R1,R2,R3\nD,1,210,212,214\nD,2,211,213,215\n", 6, 210},
                 {"zone,spot,R1,R2 [nm],R3\nD,1,210,212,214\nD,2,211,213,215\n", 0, 0}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "film.csv", cases[i].text, 0);
        norm_run(&rig);
        cr_expect(norm_identity(&rig));
        cr_expect_eq(rig.data->readings.n, cases[i].readings, "%zu: %zu readings", i, rig.data->readings.n);
        if (rig.data->readings.n)
            cr_expect_float_eq(rig.data->readings.v[0].film_um, cases[i].first_um, 1e-9, "%zu", i);
        norm_end(&rig);
    }
}
