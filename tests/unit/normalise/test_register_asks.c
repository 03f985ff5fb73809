/*
 * test_register_asks.c - what a zone register asks of the film beside its columns: in a line above it, or in a cell
 * of specifications that states limits. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>

static const struct {
    const char *above, *spec;
    bool asks;
} registers[] = {{"Minimum DFT: 250 um\n", "", true},
                 {"Minimum DFT: 200 um\n", "", false}, /* as the job file has it */
                 {"Specification: min 250 um\n", "", true},
                 {"Revision: 3\n", "", false},
                 {"Drawing: 250-300\n", "", false},
                 {"", "DFT 250-350 um", true},
                 {"", "200-300 um", false},
                 {"", "8 mil", true},
                 {"", "heavy", false},
                 {"", "S250", false}};

/* Rules of thickness on steel, and heat on it, say nothing of another substrate. */
Test(register_asks, another_substrate_than_steel_is_in_doubt) {
    static const struct {
        const char *substrate;
        bool asks;
    } rows[] = {
        {"steel", false}, {"carbon steel plate", false}, {"concrete", true}, {"aluminium", true}, {"", false}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        char text[200];
        snprintf(text, sizeof text, "Zone,Area (m2),Steel thickness (mm),Coats,Substrate\nDeck,25,6,1,%s\n",
                 rows[i].substrate);
        norm_begin(&rig);
        norm_add(&rig, "zones.csv", text, 0);
        norm_run(&rig);
        cr_assert_eq(rig.data->zones.n, 1, "%s", rows[i].substrate);
        cr_expect_eq(rig.data->zones.v[0].asks != NULL, rows[i].asks, "%s", rows[i].substrate);
        norm_end(&rig);
    }
}

Test(register_asks, what_the_job_does_not_state_is_asked_of_each_zone) {
    for (size_t i = 0; i < MR_COUNT(registers); i++) {
        struct norm_rig rig;
        char text[300];
        snprintf(text, sizeof text, "%sZone,Area (m2),Steel thickness (mm),Coats,Specification\nDeck,25,6,1,%s\n",
                 registers[i].above, registers[i].spec);
        norm_begin(&rig);
        static const enum mr_setting_id ids[] = {MR_DFT_MIN, MR_DFT_MAX};
        for (size_t k = 0; k < MR_COUNT(ids); k++) {
            rig.job->settings.v[ids[k]].set = true;
            rig.job->settings.v[ids[k]].value = k ? 300 : 200;
        }
        norm_add(&rig, "zones.csv", text, 0);
        norm_run(&rig);
        cr_assert_eq(rig.data->zones.n, 1, "%s%s", registers[i].above, registers[i].spec);
        cr_expect_eq(rig.data->zones.v[0].asks != NULL, registers[i].asks, "%s%s", registers[i].above,
                     registers[i].spec);
        norm_end(&rig);
    }
}
