/* The first page of the answer is whole however large the job is: the gravest zones, of each open zone what to do
 * first, what is left out counted. 76 lines of 110 characters are a page of 8 points. */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

TestSuite(answer_page, .init = cli_begin, .fini = cli_end);

static const char job[] = "[job]\nname = Quay\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 400 um\n"
                          "rules = plain-limits\n";
static char text[1 << 17];

/* Zones by turns too thin, too thick, and measured too little; files by turns for one zone each. */
static void put_job(int zones, int files, const char *rest_of_name) {
    static char table[1 << 16];
    size_t n = (size_t)snprintf(table, sizeof table, "Zone,Area (m2),Coats\n");
    for (int z = 0; z < zones; z++)
        n += (size_t)snprintf(table + n, sizeof table - n, "Zone %d%s,10,1\n", z + 1, rest_of_name);
    cli_put("job.milrise", job);
    cli_put("zones.csv", table);
    for (int f = 0; f < files; f++) {
        char name[64];
        n = (size_t)snprintf(table, sizeof table, "Date,Time,Zone,Area,Spot,Reading (um)\n");
        for (int z = f % zones; z < zones; z += files)
            for (int i = 0; i < (z % 3 ? 45 : 9); i++)
                n += (size_t)snprintf(table + n, sizeof table - n, "2026-05-11,%02d:%02d:%02d,Zone %d%s,%d,%d,%d\n",
                                      8 + (z * 3 + i / 20) / 60 % 12, (z * 3 + i / 20) % 60, i % 20 * 3, z + 1,
                                      rest_of_name, i / 15 + 1, i / 3 + 1,
                                      (z % 3 == 1 ? 150
                                       : z % 3    ? 450
                                                  : 300) +
                                          i % 5);
        snprintf(name, sizeof name, "gauge %d.csv", f + 1);
        cli_put(name, table);
    }
}

static void check_page(const char *when) {
    char line[400];
    snprintf(line, sizeof line, "/usr/bin/python3 scripts/check-answer.py '%s' >'%s/held' 2>&1", cli_dir, cli_dir);
    const int status = system(line);
    snprintf(line, sizeof line, "%s/held", cli_dir);
    cli_read(line, text, sizeof text);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 127)
        printf("SKIPPED ALOUD: python3 is not there\n");
    else
        cr_expect_eq(status, 0, "%s: %s", when, text);
    cr_assert_eq(unlink(line), 0);
}

/* The answer up to what stands behind its first page. */
static char *front(void) {
    char path[128];
    snprintf(path, sizeof path, "%s/answer.txt", cli_dir);
    cli_read(path, text, sizeof text);
    char *end = strstr(text, "\nMore to do ---");
    char *zones = strstr(text, "\nAll zones ---");
    if (!end || (zones && zones < end))
        end = zones;
    if (end)
        *end = '\0';
    return text;
}

static void hold(const char *part) {
    cr_expect_not_null(strstr(text, part), "\"%s\" in: %s", part, text);
}

Test(answer_page, twenty_zones_and_twenty_files_are_one_page, .timeout = 120) {
    put_job(20, 20, "");
    cr_assert_eq(cli_run("report -qn"), 1);
    check_page("20 zones");
    front();
    for (int z = 1; z <= 20; z++) {
        char row[64];
        snprintf(row, sizeof row, "\n  Zone %-2d  %s", z, (z - 1) % 3 ? "does not conform  " : "not shown");
        hold(row);
    }
    hold("20 zones: 0 conform, 13 do not conform, 7 not shown");
    hold(". All zones: ");
    hold("reports/revision-0/");
}

Test(answer_page, long_names_take_room_from_the_files, .timeout = 120) {
    put_job(20, 20, " of the upper deck between frames and bulkheads");
    cr_assert_eq(cli_run("report -qn"), 1);
    check_page("20 zones with long names");
    front();
    hold("  Files  Rows used  Set aside\n");
}

Test(answer_page, of_many_zones_the_gravest_stand_in_front_and_the_others_are_counted, .timeout = 120) {
    put_job(60, 40, "");
    cr_assert_eq(cli_run("report -qn"), 1);
    check_page("60 zones");
    front();
    hold("\n  Zone 2   does not conform");
    cr_expect_null(strstr(text, "\n  Zone 1  "), "a zone that is not shown stands before one that does not conform");
    hold("Of the others: 20 do not conform, 20 not shown; see \"All zones\".");
    char path[128];
    snprintf(path, sizeof path, "%s/answer.txt", cli_dir);
    cli_read(path, text, sizeof text);
    hold("All zones ---");
    hold("\n  Zone 60  ");
    hold("All files ---");
    hold("gauge 40.csv");
}

/* A table of which nobody knows what it is: its lines to paste come before all else. */
Test(answer_page, lines_to_paste_stand_first_in_both_pages, .timeout = 60) {
    put_job(3, 3, "");
    cli_put("odd.csv", "Moment;Quantity;Thing\n1;2;x\n2;3;y\n");
    cr_assert_eq(cli_run("report -qn"), 1);
    front();
    const char *first = strstr(text, "\n 1. ");
    cr_assert_not_null(first);
    cr_expect_eq(strncmp(first, "\n 1. State how to read odd.csv", 30), 0, "%s", first);
    hold("        [file \"odd.csv\"]\n");
    check_page("lines to paste");
}

/* Remarks stand on the page where it has room, and are counted on it where what is to do takes the room. */
Test(answer_page, remarks_stand_in_front_or_are_counted_there, .timeout = 120) {
    put_job(2, 2, "");
    cli_put("zones.csv", "Zone,Area (m2),Coats,Note\nZone 1,10,1,see photo 12\nZone 2,10,1,\n");
    cr_assert_eq(cli_run("report -qn"), 1);
    check_page("a remark");
    front();
    hold("Words that no rule judges: read them yourself ---");
    hold("zones.csv:2  Note: see photo 12  1\n");
    put_job(20, 20, " of the upper deck between frames and bulkheads");
    cli_put("spray log.csv",
            "Date,Action,Zone,Coat,Start,Stop,Note\n2026-05-10,spray,Zone 1,1,08:00,08:10,see photo 12\n");
    cr_assert_eq(cli_run("report -qn"), 1);
    check_page("a remark of a large job");
    front();
    hold("The files hold 1 remark that no rule judges: read it under \"Words that no rule judges\".");
    char path[128];
    snprintf(path, sizeof path, "%s/answer.txt", cli_dir);
    cli_read(path, text, sizeof text);
    hold("Words that no rule judges: read them yourself ---");
}
