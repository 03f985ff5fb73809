/*
 * test_actions.c - what a row of the spray log says was done. A repair closes what failed, so only words of work on
 * the film make one. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>

static const struct {
    const char *text;
    enum mr_action action;
} cases[] = {{"repair", MR_ACTION_REPAIR},
             {"Repaired area 2 by hand", MR_ACTION_REPAIR},
             {"touch up of thin spots", MR_ACTION_REPAIR},
             {"Nacharbeit", MR_ACTION_REPAIR},
             {"touched up", MR_ACTION_REPAIR},
             {"Reparatur Bereich 2", MR_ACTION_REPAIR},
             {"retouché", MR_ACTION_REPAIR},
             {"no repair", MR_ACTION_OTHER},
             {"repair planned", MR_ACTION_OTHER},
             {"to repair", MR_ACTION_OTHER},
             {"repair tomorrow", MR_ACTION_OTHER},
             {"repair?", MR_ACTION_OTHER},
             {"pump repair", MR_ACTION_OTHER},
             {"repair of hose", MR_ACTION_OTHER},
             {"repaired elsewhere", MR_ACTION_OTHER},
             {"Nacharbeit geplant", MR_ACTION_OTHER},
             {"spray", MR_ACTION_SPRAY},
             {"", MR_ACTION_SPRAY}, /* a coat is given */
             {"repair of area no 2", MR_ACTION_REPAIR},
             {"spray cancelled", MR_ACTION_OTHER},
             {"not sprayed", MR_ACTION_OTHER},
             {"spray?", MR_ACTION_UNCLEAR},
             {"primer applied", MR_ACTION_UNCLEAR},
             {"stripe coat", MR_ACTION_UNCLEAR},
             {"spray test panel", MR_ACTION_UNCLEAR},
             {"coating of zinc", MR_ACTION_UNCLEAR},
             {"coat checked", MR_ACTION_OTHER},
             {"coating thickness measured", MR_ACTION_OTHER},
             {"repair?", MR_ACTION_OTHER},
             {"recoated", MR_ACTION_UNCLEAR}, /* work on a coat in a word that nobody knows */
             {"ground off", MR_ACTION_UNCLEAR},
             {"xqzt", MR_ACTION_UNCLEAR},
             {"lunch break", MR_ACTION_OTHER},
             {"scaffold moved", MR_ACTION_OTHER},
             {"holiday detection", MR_ACTION_OTHER},
             {"second coat", MR_ACTION_SPRAY},
             {"aplicado", MR_ACTION_SPRAY},
             {"Sprayed Deck north side", MR_ACTION_SPRAY},
             {"zweite Schicht gespritzt", MR_ACTION_SPRAY},
             {"coat 2 applied by hand", MR_ACTION_SPRAY},
             {"clean out", MR_ACTION_CLEAN_OUT},
             {"Gun and hoses flushed with solvent", MR_ACTION_CLEAN_OUT},
             {"cleaned steel", MR_ACTION_OTHER},
             {"clean spray booth", MR_ACTION_OTHER},
             {"cleaning of the deck", MR_ACTION_OTHER},
             {"lines relieved for lunch", MR_ACTION_RELIEVE},
             {"Depressurised both lines to 0 psi", MR_ACTION_RELIEVE},
             {"bled lines A and B", MR_ACTION_RELIEVE},
             {"pressure off", MR_ACTION_RELIEVE},
             {"crew relieved", MR_ACTION_OTHER},
             {"relieved line A", MR_ACTION_OTHER},
             {"relieve later", MR_ACTION_OTHER}};

Test(actions, only_work_done_on_the_film_is_a_repair) {
    struct norm_rig rig;
    norm_begin(&rig);
    const char *text = "Date,Action,Zone,Coat,Start,Stop\n";
    for (size_t i = 0; i < MR_COUNT(cases); i++)
        text = mr_printf(rig.arena, "%s2026-05-11,%s,Deck,1,%02zu:%02zu,%02zu:%02zu\n", text, cases[i].text, i / 4,
                         15 * (i % 4), i / 4, 15 * (i % 4) + 9);
    norm_add(&rig, "spray log.csv", text, 0);
    norm_run(&rig);
    cr_assert(norm_identity(&rig));
    cr_assert_eq(rig.data->sprays.n, MR_COUNT(cases));
    for (size_t i = 0; i < MR_COUNT(cases); i++)
        cr_expect_eq(rig.data->sprays.v[i].action, cases[i].action, "%s", cases[i].text);
    norm_end(&rig);
}

/* Without an action, a coat's number says that it was sprayed, and so does a column that names only other work. */
Test(actions, a_blank_action_beside_others_is_unclear_without_a_coat) {
    static const struct {
        const char *coat, *other;
        enum mr_action action;
    } blanks[] = {
        {"", "clean out", MR_ACTION_SPRAY}, {"", "spray", MR_ACTION_UNCLEAR}, {"1", "spray", MR_ACTION_SPRAY}};
    for (size_t i = 0; i < MR_COUNT(blanks); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "spray log.csv",
                 mr_printf(rig.arena,
                           "Date,Action,Zone,Coat,Start,Stop\n2026-05-11,,Deck,%s,08:00,08:10\n"
                           "2026-05-11,%s,Deck,2,12:00,12:20\n",
                           blanks[i].coat, blanks[i].other),
                 0);
        norm_run(&rig);
        cr_assert_eq(rig.data->sprays.n, 2);
        cr_expect_eq(rig.data->sprays.v[0].action, blanks[i].action, "%zu", i);
        norm_end(&rig);
    }
}

/* 10:00 at UTC+2 is 08:00 UTC, in the spray log as in any other file. */
Test(actions, an_offset_above_the_table_holds_for_start_and_stop) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "spray log.csv",
             "Time zone: UTC+2\nDate,Action,Zone,Coat,Start,Stop\n2026-05-11,spray,Deck,1,10:00,10:20\n", 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->sprays.n, 1);
    cr_expect_eq(rig.data->files.v[0].basis, MR_TIME_UTC);
    cr_expect_eq(rig.data->sprays.v[0].start_ms, INT64_C(1778486400000)); /* 2026-05-11T08:00:00Z */
    cr_expect_eq(rig.data->sprays.v[0].stop_ms, INT64_C(1778487600000));
    norm_end(&rig);
}

/* Rows after the coat: the action, the zone, the note; whether film was taken off there. */
static const struct {
    const char *action, *zone, *note;
    bool removes;
} removals[] = {{"stripped to bare steel", "Deck", "", true},
                {"strip", "Deck", "", true},
                {"ground off", "Deck", "", true},
                {"grit blasting", "Deck", "", true},
                {"power tool cleaning", "Deck", "", true},
                {"film removed", "", "", true},
                {"abgeschliffen", "Deck", "", true},
                {"Beschichtung entfernt", "Deck", "", true},
                {"d\xc3\xa9"
                 "capage",
                 "Deck", "", true},
                {"eliminado", "Deck", "", true},
                {"rimosso", "Deck", "", true},
                {"verwijderd", "Deck", "", true},
                {"usuni\xc4\x99"
                 "to",
                 "Deck", "", true},
                {"inspection", "Deck", "coating blasted off at the north end", true},
                {"inspection", "Deck", "ground off", true},
                {"inspection", "Deck", "", false},
                {"masking removed", "Deck", "", false},
                {"scaffold removed", "Deck", "film looks good", false},
                {"protective film removed", "Deck", "", false},
                {"gun stripped", "Deck", "", false},
                {"stripped", "", "", false}, /* the gun, as crews write it */
                {"clean-out", "", "blockage removed from the mixer", false},
                {"inspection", "Deck", "dust removed from the steel", false},
                {"stripping planned", "Deck", "", false},
                {"film not removed", "Deck", "", false},
                {"inspection", "Deck", "stripe coat seen", false},
                {"ground crew briefed", "Deck", "", false},
                {"repair", "Deck", "", false}};

Test(actions, film_that_was_taken_off_is_seen_in_the_words_of_a_row) {
    struct norm_rig rig;
    norm_begin(&rig);
    const char *text = "Date,Action,Zone,Coat,Start,Stop,Note\n";
    for (size_t i = 0; i < MR_COUNT(removals); i++)
        text = mr_printf(rig.arena, "%s2026-05-11,%s,%s,,%02zu:%02zu,%02zu:%02zu,%s\n", text, removals[i].action,
                         removals[i].zone, i / 4, 15 * (i % 4), i / 4, 15 * (i % 4) + 9, removals[i].note);
    norm_add(&rig, "spray log.csv", text, 0);
    norm_run(&rig);
    cr_assert_eq(rig.data->sprays.n, MR_COUNT(removals));
    for (size_t i = 0; i < MR_COUNT(removals); i++)
        cr_expect_eq(rig.data->sprays.v[i].removes, removals[i].removes, "%s, %s", removals[i].action,
                     removals[i].note);
    norm_end(&rig);
}
