/*
 * test_positions.c - places of readings, by columns that a gauge's export gives in a unit of length. They are drawn
 * and judge nothing: a column that is no place is not guessed to be one, and words in it are heard as beside any
 * reading. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

static const struct {
    const char *x, *y, *row; /* headings; what the two cells of the second reading hold */
    double x_mm, y_mm;       /* of that reading */
    bool placed;
} tables[] = {{"X (m)", "Y (m)", "1.5,0.25", 1500, 250, true},
              {"X [mm]", "Y [mm]", "1500,-250", 1500, -250, true},
              {"Along [ft]", "Across ft", "10,1", 3048, 304.8, true}, /* 1 ft = 304.8 mm: NIST SP 811, B.8 */
              {"Position X (m)", "Position Y (m)", "1.5,0.25", 1500, 250, true},
              {"Easting (m)", "Northing (m)", "451200.5,5411000.25", 451200500, 5411000250, true},
              {"Y (m)", "X (m)", "0.25,1.5", 1500, 250, true},
              {"X", "Y", "1.5,0.25", 0, 0, false},               /* no unit */
              {"X (um)", "Y (um)", "1.5,0.25", 0, 0, false},     /* a film */
              {"X (m)", "Note", "1.5,by the door", 0, 0, false}, /* one axis */
              {"X (m)", "Across (m)", "1.5,0.25", 0, 0, false},  /* axes of two kinds */
              {"X (m)", "Y (m)", "1.5,", 0, 0, false},
              {"X (m)", "Y (m)", "1.5,n/a", 0, 0, false}};

Test(positions, are_taken_where_both_axes_have_a_unit_of_length) {
    for (size_t i = 0; i < MR_COUNT(tables); i++) {
        struct norm_rig rig;
        char text[300];
        snprintf(text, sizeof text, "zone,spot,thickness [um],%s,%s\nD,1,210,,\nD,2,215,%s\n", tables[i].x,
                 tables[i].y, tables[i].row);
        norm_begin(&rig);
        norm_add(&rig, "a.csv", text, 0);
        norm_run(&rig);
        cr_expect_eq(rig.data->readings.n, 2, "%s", tables[i].x);
        cr_assert_eq(rig.data->positions.n, tables[i].placed, "%s, %s: %s", tables[i].x, tables[i].y, tables[i].row);
        if (tables[i].placed) {
            const struct mr_position *p = &rig.data->positions.v[0];
            cr_expect(p->file == 0 && p->line == 3);
            cr_expect_float_eq(p->x_mm, tables[i].x_mm, 1e-9 * (1 + fabs(tables[i].x_mm)), "%s", tables[i].x);
            cr_expect_float_eq(p->y_mm, tables[i].y_mm, 1e-9 * (1 + fabs(tables[i].y_mm)), "%s", tables[i].y);
        }
        norm_end(&rig);
    }
}

/* A cross in a column "X" may strike the reading out; a place that is a word takes nothing from what it says. */
Test(positions, words_in_their_columns_are_heard) {
    static const char *const words[] = {"void", "test plate"};
    for (size_t i = 0; i < MR_COUNT(words); i++)
        for (int k = 0; k < 2; k++) { /* beside it a heading that is a place, and one that is none */
            struct norm_rig rig;
            char text[300];
            snprintf(text, sizeof text, "zone,spot,thickness [um],%s,Y (m)\nD,1,210,0.5,0.5\nD,2,215,%s,0.5\n",
                     k ? "Q (m)" : "X (m)", words[i]);
            norm_begin(&rig);
            norm_add(&rig, "a.csv", text, 0);
            norm_run(&rig);
            static size_t used[2];
            used[k] = rig.data->readings.n;
            cr_expect(k == 0 || used[0] == used[1], "%s", words[i]);
            norm_end(&rig);
        }
}
