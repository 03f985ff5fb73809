/*
 * The sample's workbook on paper (scripts/check-print.py): at most 45 pages, nothing cut or lost, rows as high as
 * their texts and no higher. The number of pages is the project's own limit; LibreOffice prints.
 */
#include "sample/folders.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>

static void hold(const char *folder, const char *arguments, int expected) {
    char command[400];
    snprintf(command, sizeof command, "/usr/bin/python3 scripts/check-print.py %s", arguments);
    free(folder_hold(folder, command, expected, arguments));
}

Test(sample_print, on_few_pages_with_nothing_cut, .timeout = 240) {
    char folder[64];
    folder_make(folder, sizeof folder);
    folder_copy_sample(folder);
    cr_assert_eq(folder_report_whole(folder), 1);
    hold(folder, "\"$D\"/job/reports/latest/*.xlsx 45", 0);
    hold(folder, "\"$D\"/job/reports/latest/*.xlsx 40", 1);
    /* a findings' row of ten lines and more cut to two */
    cr_assert_eq(folder_run(folder,
                            "/usr/bin/python3 -c 'import glob, re, sys, zipfile\n"
                            "z = zipfile.ZipFile(glob.glob(sys.argv[1] + \"/job/reports/latest/*.xlsx\")[0])\n"
                            "out = zipfile.ZipFile(sys.argv[1] + \"/cut.xlsx\", \"w\")\n"
                            "for n in z.namelist():\n"
                            "    out.writestr(n, z.read(n) if n != \"xl/worksheets/sheet3.xml\" else "
                            "re.sub(b\"ht=.1[0-9][0-9][0-9.]*.\", b\"ht=\\x2226.5\\x22\", z.read(n), 1))\n"
                            "out.close()' \"$D\""),
                 0);
    hold(folder, "\"$D\"/cut.xlsx 45", 1);
    folder_remove(folder);
}

/* A jump's text is broken into lines by no program but as a formula. */
Test(sample_print, names_that_fill_several_lines_are_printed_whole, .timeout = 240) {
    char folder[64];
    folder_make(folder, sizeof folder);
    folder_copy_sample(folder);
    cr_assert_eq(folder_run(folder, "cd \"$D\"/job && grep -rlZ 'Tank roof' . | xargs -0 sed -i "
                                    "'s/Tank roof/Roof plates of the header tank between the manhole and the "
                                    "northern ladder and its upper side/g'"),
                 0);
    cr_assert_eq(folder_report(folder), 1);
    hold(folder, "\"$D\"/job/reports/latest/*.xlsx 50", 0);
    folder_remove(folder);
}

/* More checks than a table on screen breaks into lines: on paper they are broken all the same. */
Test(sample_print, the_checks_of_many_zones_are_broken_into_lines, .timeout = 240) {
    char folder[64];
    folder_make(folder, sizeof folder);
    cr_assert_eq(
        folder_run(folder,
                   "mkdir \"$D\"/job && cd \"$D\"/job && printf '[job]\\nname = many\\ntime zone = UTC\\n"
                   "dates = 2026-05-11 .. 2026-05-13\\n[thickness]\\nminimum = 200 um\\nmaximum = 300 um\\n' "
                   ">job.milrise && seq 300 | awk 'BEGIN { print \"Zone,Area (m2),Coats\" } "
                   "{ print \"Wall \" $1 \",9,1\" }' >zones.csv && seq 300 | awk 'BEGIN { print "
                   "\"Date and time,Zone,Area,Spot,Thickness (um),Gauge serial\" } { printf "
                   "\"2026-05-13 %02d:%02d:00,Wall %d,1,1,250,G1\\n\", 8 + $1 / 60, $1 % 60, $1 }' >thickness.csv"),
        0);
    cr_assert_eq(folder_report(folder), 1);
    hold(folder, "\"$D\"/job/reports/latest/*.xlsx --cells", 0);
    folder_remove(folder);
}
