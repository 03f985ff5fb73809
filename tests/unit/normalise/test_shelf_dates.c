/*
 * test_shelf_dates.c - the day until which a material may be used, under the headings of nine languages; a day under
 * a heading that nobody knows is asked for. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <string.h>

static const struct {
    const char *heading, *cell;
    enum { SHELF, ASKED, OTHER, FROM } what;
} rows[] = {{"Use by", "2026-09-30", SHELF},
            {"Exp.", "2026-09-30", SHELF},
            {"MHD", "30.09.2026", SHELF},
            {"Haltbar bis", "30.09.2026", SHELF},
            {"\xc3\x80 utiliser avant", "2026-09-30", SHELF},
            {"Fecha de caducidad", "2026-09-30", SHELF},
            {"Data di scadenza", "2026-09-30", SHELF},
            {"Houdbaar tot", "2026-09-30", SHELF},
            {"Utg\xc3\xa5ngsdatum", "2026-09-30", SHELF},
            {"Termin wa\xc5\xbcno\xc5\x9b"
             "ci",
             "2026-09-30", SHELF},
            {"Prazo de validade", "2026-09-30", SHELF},
            {"Zorb", "2026-09-30", ASKED},
            {"Zorb", "12", OTHER},
            {"Zorb", "2026-09-30 08:00", OTHER}, /* a moment is no such day */
            {"Retest date", "2026-09-30", SHELF},
            {"Re-test", "2026-09-30", SHELF},
            {"Next retest", "2026-09-30", SHELF},
            {"Recertification due", "2026-09-30", SHELF},
            {"Recertified until", "2026-09-30", SHELF},
            {"Nachpr\xc3\xbc"
             "fung",
             "30.09.2026", SHELF},
            {"Retested on", "2026-09-30", OTHER},
            {"Received", "2026-09-30", FROM},
            {"Delivered", "soon", OTHER},
            {"Next delivery", "2026-09-30", OTHER},
            {"Lieferdatum", "30.09.2026", FROM},
            {"Opened", "30.09.2026", OTHER},
            {"Manufactured on", "2025-09-30", FROM}};

Test(shelf_dates, are_known_in_each_language_and_asked_for_where_nobody_knows) {
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "material log.csv",
                 mr_printf(rig.arena, "date,part,drum,lot,before (l),after (l),%s\n2026-05-13,A,1,L1,100,80,%s\n",
                           rows[i].heading, rows[i].cell),
                 0);
        norm_run(&rig);
        cr_assert_eq(rig.data->materials.n, 1, "%s", rows[i].heading);
        const struct mr_material *m = &rig.data->materials.v[0];
        cr_expect_eq(m->shelf_ms != MR_T_NONE, rows[i].what == SHELF, "%s", rows[i].heading);
        cr_expect_eq(m->from_ms != MR_T_NONE, rows[i].what == FROM, "%s", rows[i].heading);
        cr_expect_eq(m->shelf_unread, rows[i].what == ASKED, "%s", rows[i].heading);
        cr_expect_eq(norm_count(&rig, "unknown-day"), rows[i].what == ASKED, "%s", rows[i].heading);
        norm_end(&rig);
    }
}

/* One column for both parts, although its heading holds the word "a". */
Test(shelf_dates, of_a_spray_log_are_of_both_parts) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "spray log.csv",
             "date,zone,coat,start,stop,lot a,lot b,\xc3\x80 utiliser "
             "avant\n2026-05-13,D,1,08:00,08:20,L1,L2,2026-09-30\n",
             0);
    norm_run(&rig);
    cr_assert_eq(rig.data->sprays.n, 1);
    cr_expect(rig.data->sprays.v[0].shelf_a_ms != MR_T_NONE && rig.data->sprays.v[0].shelf_b_ms != MR_T_NONE);
    norm_end(&rig);
}
