/*
 * The sample's answer is one page, and reads in order (scripts/check-answer.py); each planted fault is found. The
 * size of paper is that of ISO 216 and of ANSI A, both from memory; 76 lines are what a page of 8 points holds.
 */
#include "sample/folders.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int run(const char *folder, const char *command) {
    char line[4600];
    snprintf(line, sizeof line, "cd \"$D\"/job 2>/dev/null; %s", command);
    return folder_run(folder, line);
}

static void hold(const char *folder, const char *check, int expected, const char *when) {
    char line[4600];
    snprintf(line, sizeof line, "cd \"$D\"/job 2>/dev/null; %s", check);
    char *text = folder_hold(folder, line, expected, when);
    const char *unprinted = text ? strstr(text, "not printed") : NULL;
    if (unprinted && expected == 0)
        printf("SKIPPED ALOUD: %s", unprinted);
    free(text);
}

static const char *const lies[] = {
    "sed -i 's/<html lang=\"en\">/<html>/' answer.html",
    "sed -i 's/<h2>What to do/<h4>What to do/; s/What to do<.h2>/What to do<\\/h4>/' answer.html",
    "sed -i '0,/ scope=\"col\"/s///' answer.html",
    "sed -i '0,/<th scope=\"row\">\\([^<]*\\)<.th>/s//<td>\\1<\\/td>/' answer.html",
    "sed -i '0,/alt=\"[^\"]*\"/s//alt=\"\"/' answer.html",
    "sed -i '0,/<a href/s//<a tabindex=\"1\" href/' answer.html",
    "sed -i 's/<h2>Zones/<h2>The end/' answer.html",
    "sed -i '0,/<a href=\"/s//<a href=\"gone-/' answer.html",
    "sed -i '0,/<li>/s///' answer.html",
    "sed -i '/^  Checks on the whole job/s/ [0-9][0-9]* / - /' answer.txt",
    "sed -i '/^  Cross beams/s/ 5 / 99 /' answer.txt",
    "sed -i 's/^Zones -/a\\nb\\nc\\nd\\ne\\nf\\ng\\nh\\ni\\nj\\nk\\nl\\nZones -/' answer.txt",
};

Test(sample_answer_page, it_is_one_page_and_reads_in_order, .timeout = 240) {
    char folder[64], check[4200], here[4096];
    cr_assert_not_null(realpath("scripts/check-answer.py", here));
    snprintf(check, sizeof check, "/usr/bin/python3 '%s' .", here);
    folder_make(folder, sizeof folder);
    folder_copy_sample(folder);
    cr_assert_eq(folder_report_whole(folder), 1);
    hold(folder, check, 0, "as written");
    cr_assert_eq(run(folder, "cp answer.txt answer.html .."), 0);
    for (size_t i = 0; i < sizeof lies / sizeof *lies; i++) {
        cr_assert_eq(run(folder, lies[i]), 0);
        hold(folder, check, 1, lies[i]);
        cr_assert_eq(run(folder, "cp ../answer.txt ../answer.html ."), 0);
    }
    folder_remove(folder);
}
