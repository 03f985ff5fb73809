/*
 * The workbook in a firm's own words (scripts/check-wording.py): every heading of every sheet in the job's second
 * language, the firm's name and logo, its cover and sign-off. The words are those of the file in the job's folder, so
 * there is no outside source.
 */
#include "sample/folders.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>

static int run(const char *folder, const char *command) {
    char line[2048];
    snprintf(line, sizeof line, "W=\"$D\"/job/wording; %s", command);
    return folder_run(folder, line);
}

static void hold(const char *folder, int expected, const char *wording) {
    char check[1024];
    snprintf(check, sizeof check,
             "W=\"$D\"/job/wording; /usr/bin/python3 scripts/check-wording.py "
             "\"$D\"/job/reports/latest/*-report.xlsx %s 150x60",
             wording);
    free(folder_hold(folder, check, expected, wording));
}

Test(own_words, of_firm_cover_sign_off_and_every_heading, .timeout = 240) {
    char folder[64];
    folder_make(folder, sizeof folder);
    folder_copy_sample(folder);
    cr_assert_eq(run(folder, "mkdir \"$W\" && sed 's/^firm =.*/firm = Beispiel Beschichtungen/; "
                             "s/^address =.*/address = Am Ufer 1, Musterstadt/; s/^logo =.*/logo = logo.png/; "
                             "s/^roles =.*/roles = Aufgestellt von, Bauleitung/' "
                             "templates/wording/deutsch.wording >\"$W\"/firm.wording && "
                             "sed -i 's/^\\[report\\]/[report]\\nwording = firm/' \"$D\"/job/job.milrise"),
                 0);
    /* a picture of 3 by 2 points, "made here" */
    cr_assert_eq(run(folder,
                     "printf 'iVBORw0KGgoAAAANSUhEUgAAAAMAAAACCAIAAAASFvFNAAAAEElEQVR4nGNQSFgAQQxwFgBAlAbBmOaO"
                     "3wAAAABJRU5ErkJggg==' | base64 -d >\"$W\"/logo.png"),
                 0);
    cr_assert_eq(folder_report(folder), 1);
    hold(folder, 0, "\"$W\"/firm.wording");
    hold(folder, 1, "templates/wording/english.wording");
    cr_assert_eq(run(folder, "sed -i 's/^Readings = .*/Readings = Etwas anderes/' \"$W\"/firm.wording"), 0);
    hold(folder, 1, "\"$W\"/firm.wording");
    folder_remove(folder);
}
