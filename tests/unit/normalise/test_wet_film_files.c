/*
 * Wet-film files: known by their own words, never read as dry film, and dry film never read as wet. Headings as
 * spreadsheets write them; common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>

Test(wet_film_files, are_known_and_kept_apart_from_dry_film) {
    static const struct {
        const char *path, *text;
        size_t wet, dry;
    } rows[] = {
        {"a.csv", "Time,Zone,Coat,WFT (um)\n2026-05-11 09:00,Deck 1,1,250\n2026-05-11 09:01,Deck 1,1,275\n", 2, 0},
        {"a.csv", "Zone,Coat,Wet film thickness [mil]\nDeck 1,1,10\nDeck 1,1,11\n", 2, 0},
        {"a.csv", "Zone;Lage;Nassfilm um\nDeck 1;1;250\nDeck 1;1;275\n", 2, 0},
        {"a.csv", "Zone,Coat,WFT,Unit\nDeck 1,1,250,um\nDeck 1,1,10,mil\n", 2, 0},
        {"wet film deck 1.csv", "Zone,Coat,Reading um\nDeck 1,1,250\nDeck 1,1,275\n", 2, 0},
        {"a.csv", "Zone,Coat,Thickness um\nDeck 1,1,250\nDeck 1,1,275\n", 0, 2},
        /* the wet film beside the dry is no dry film, and the dry film is not lost */
        {"a.csv", "Zone,Spot,DFT um,WFT um\nDeck 1,1,210,250\nDeck 1,2,212,275\n", 0, 2},
        {"a.csv", "Zone,Spot,WFT um,DFT um\nDeck 1,1,250,210\nDeck 1,2,275,212\n", 0, 2},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, rows[i].path, rows[i].text, 0);
        norm_run(&rig);
        cr_expect_eq(rig.data->wet_film.n, rows[i].wet, "row %zu: %s", i, norm_line(&rig, 0));
        cr_expect_eq(rig.data->readings.n, rows[i].dry, "row %zu: %s", i, norm_line(&rig, 0));
        cr_expect(norm_identity(&rig), "row %zu", i);
        norm_end(&rig);
    }
}

Test(wet_film_files, a_unit_that_is_not_stated_or_not_known_is_asked_for) {
    static const char *const texts[] = {"Zone,Coat,WFT (kN)\nDeck 1,1,250\nDeck 1,1,275\n",
                                        "Zone,Coat,WFT (ppm)\nDeck 1,1,250\nDeck 1,1,275\n",
                                        "Zone,Coat,WFT\nDeck 1,1,250\nDeck 1,1,275\n"};
    for (size_t i = 0; i < MR_COUNT(texts); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv", texts[i], 0);
        norm_run(&rig);
        cr_expect_eq(rig.data->wet_film.n, 0, "row %zu: %s", i, norm_line(&rig, 0));
        cr_expect_eq(rig.data->readings.n, 0, "row %zu", i);
        cr_expect(rig.data->files.v[0].mend[0], "row %zu asks", i);
        norm_end(&rig);
    }
}
