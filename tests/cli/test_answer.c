/* The answer in the folder: what a clerk reads who opens nothing else. The pages' words are ours; that they stand
 * there, and that files of the clerk's stay, is what is held here. */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

TestSuite(answer, .init = cli_begin, .fini = cli_end);

static const char job[] = "[job]\nname = Quay\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 400 um\n"
                          "rules = plain-limits\n";
static const char zones[] = "Zone,Area (m2),Coats\nDeck <1>,10,1\n";
static const char thin[] = "Date,Time,Zone,Spot,Reading (um)\n2026-05-11,10:00:00,Deck <1>,1,150\n"
                           "2026-05-11,10:00:10,Deck <1>,1,151\n2026-05-11,10:00:20,Deck <1>,1,152\n";

static const char *page(const char *name) {
    static char text[1 << 17];
    char path[256];
    snprintf(path, sizeof path, "%s/%s", cli_dir, name);
    cli_read(path, text, sizeof text);
    return text;
}

static void hold(const char *text, const char *part) {
    cr_expect_not_null(strstr(text, part), "\"%s\" in: %s", part, text);
}

Test(answer, an_empty_job_asks_for_exports) {
    cli_put("job.milrise", job);
    cr_assert_eq(cli_run("report -q"), 3);
    const char *text = page("answer.txt");
    hold(text, "No report yet");
    hold(text, "Drop the instruments' exports");
}

Test(answer, a_mistake_in_the_job_file_is_told_with_its_line) {
    cli_put("job.milrise", "[job]\ntime zon = UTC\n");
    cr_assert_eq(cli_run("report -q"), 2);
    const char *text = page("answer.txt");
    hold(text, "No report: the job file has mistakes");
    hold(text, "job.milrise:2:1");
    hold(text, "Did you mean \"time zone\"?");
}

/* A folder without a job file was given one: its owner made no mistake, and there is no earlier report to warn of. */
Test(answer, values_that_only_a_person_knows_are_asked_for_by_line, .timeout = 60) {
    cli_put("job.milrise", "[job]\nname = Quay\ntime zone = ?\n[thickness]\nminimum = ?\n");
    cr_assert_eq(cli_run("report -q"), 2);
    const char *text = page("answer.txt");
    hold(text, "No report yet: 2 values in job.milrise still have to be filled in.\n");
    hold(text, "- job.milrise:3:13: \"time zone\" still has to be filled in\n");
    hold(text, "- job.milrise:5:11: \"minimum\" still has to be filled in\n");
    cli_put("job.milrise", job);
    cli_put("zones.csv", zones);
    cli_put("gauge.csv", thin);
    cr_assert_eq(cli_run("report -qn"), 1);
    cli_put("job.milrise", "[job]\nname = Quay\ntime zone = ?\ntime zon = UTC\n");
    cr_assert_eq(cli_run("report -q"), 2);
    text = page("answer.txt");
    hold(text, "No report: the job file has mistakes. The earlier report lacks what has come in since.\n");
    hold(text, "- job.milrise:4:1: \"time zon\" is not a key of this section\n");
}

Test(answer, zones_steps_files_and_report_are_told_in_both_pages, .timeout = 60) {
    cli_put("job.milrise", job);
    cli_put("zones.csv", zones);
    cli_put("gauge.csv", thin);
    cr_assert_eq(cli_run("report -qn"), 1);
    const char *text = page("answer.txt");
    hold(text, "Quay\nThe job does not conform. 1 zone: 0 conform, 1 does not conform, 0 not shown.");
    hold(text, "Deck <1>  does not conform");
    hold(text, "gauge.csv");
    hold(text, "reports/revision-");
    cr_expect_lt(strstr(text, "\nZones -"), strstr(text, "\nWhat to do -"));
    text = page("answer.html");
    hold(text, "<html lang=\"en\">");
    hold(text, "<th scope=\"row\">Deck &lt;1&gt;</th><td class=\"bad\">does not conform</td>");
    cr_expect_null(strstr(text, "<script"));
    cr_expect_null(strstr(text, "http"));
    /* the page is no input, and the next run replaces it */
    cr_assert_eq(cli_run("report -qn"), 1);
    cr_expect_null(strstr(page("answer.txt"), "answer.txt"));
}

/* 450 um of wet film at 60 % solids by volume: 270 um, ISO 2808. */
Test(answer, wet_film_is_told_with_the_dry_film_it_forecasts, .timeout = 60) {
    cli_put("job.milrise", "[job]\nname = Quay\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 400 um\n"
                           "rules = plain-limits\n[material]\nsolids by volume = 60 %\n");
    cli_put("zones.csv", zones);
    cli_put("gauge.csv", thin);
    cli_put("wet film.csv", "Date,Time,Zone,Coat,Wet film (um)\n2026-05-11,09:00:00,Deck <1>,1,400\n"
                            "2026-05-11,09:00:10,Deck <1>,1,500\n");
    cr_assert_eq(cli_run("report -qn"), 1);
    hold(page("answer.txt"), "450.0 µm (400.0 to 500.0)  270.0 µm (240.0 to 300.0)");
}

Test(answer, a_file_of_the_clerks_is_never_replaced, .timeout = 60) {
    cli_put("job.milrise", job);
    cli_put("zones.csv", zones);
    cli_put("gauge.csv", thin);
    cli_put("answer.txt", "my own notes\n");
    cr_assert_eq(cli_run("report -qn"), 1);
    cr_expect_str_eq(page("answer.txt"), "my own notes\n");
    hold(cli_err, "a file of this name is here that milrise did not make");
    hold(page("answer.html"), "does not conform");
}

Test(answer, a_folder_without_a_job_file_gets_none) {
    cr_assert_eq(cli_run("report -q"), 2);
    cr_expect_not(cli_there("answer.txt"));
    cr_expect_not(cli_there("answer.html"));
}

/* However memory ends the run, by our own hand, a library's or a signal, what stands beside the old report says so.
 */
Test(answer, a_run_that_ends_for_want_of_memory_says_so_in_the_folder, .timeout = 120) {
#ifdef MR_ARENA_SEPARATE
    cr_skip_test("a limit on addresses cannot hold under the address sanitizer");
#endif
    cli_put("job.milrise", job);
    cli_put("zones.csv", zones);
    cli_put("gauge.csv", thin);
    cr_assert_eq(cli_run("report -q"), 1);
    size_t ended = 0;
    for (size_t mib = 34; mib < 90; mib += 6) {
        cli_put("gauge.csv",
                mib / 6 % 2 ? thin : "zone,spot,reading (um)\nDeck <1>,1,250\n"); /* a report unchanged needs less */
        const int status = cli_run_within(mib, "report -q");
        cr_expect(status == 1 || status == 4 || status == 5, "%zu MiB: status %d\n%s", mib, status, cli_err);
        cr_expect_eq(cli_there("reports/NOT-PUBLISHED.txt"), status != 1, "%zu MiB, status %d", mib, status);
        if (status != 1)
            hold(page("answer.txt"), "No report");
        ended += status != 1;
    }
    cr_expect_gt(ended, 0, "no run was ended for want of memory");
}
