/*
 * One fact, one figure: workbook, report.json, answer, submittal and figures of the sample job tell the same
 * (scripts/check-facts.py). Held against each other, not against an outside source: `make verify` does that.
 */
#include "sample/folders.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>

static const char check[] = "/usr/bin/python3 scripts/check-facts.py \"$D\"/job";

static void hold_command(const char *folder, const char *command, int expected, const char *when) {
    free(folder_hold(folder, command, expected, when));
}

static void hold(const char *folder, int expected, const char *when) {
    hold_command(folder, check, expected, when);
}

/* Jobs drawn by seed: `check-facts.py --seeded` says how they differ. */
Test(sample_facts, of_seeded_jobs_too, .timeout = 400) {
    char folder[64];
    folder_make(folder, sizeof folder);
    hold_command(folder,
                 "/usr/bin/python3 scripts/check-facts.py --seeded \"${MILRISE_BIN:-build/release/milrise}\" 4 101",
                 0, "seeded jobs");
    folder_remove(folder);
}

Test(sample_facts, all_outputs_tell_the_same, .timeout = 240) {
    static const char *const lies[] = {
        /* the job's outcome in report.json alone; the number of zones that conform in the answer alone */
        "sed -i '0,/\"outcome\": \"does not conform\"/s//\"outcome\": \"conforms\"/' "
        "\"$D\"/job/reports/latest/report.json",
        "sed -i 's/17 zones: 5 conform/17 zones: 6 conform/' \"$D\"/job/answer.txt"};
    char folder[64];
    folder_make(folder, sizeof folder);
    folder_copy_sample(folder);
    cr_assert_eq(folder_report_whole(folder), 1);
    hold(folder, 0, "as published");
    cr_assert_eq(folder_run(folder, "cp \"$D\"/job/answer.txt \"$D\"/answer.txt"), 0);
    for (size_t i = 0; i < sizeof lies / sizeof *lies; i++) {
        cr_assert_eq(folder_run(folder, "cp \"$D\"/job/reports/latest/report.json \"$D\"/report.json"), 0);
        cr_assert_eq(folder_run(folder, lies[i]), 0);
        hold(folder, 1, lies[i]);
        cr_assert_eq(folder_run(folder, "cp \"$D\"/report.json \"$D\"/job/reports/latest/report.json"), 0);
    }
    folder_remove(folder);
}
