/* What `milrise new` fills in from exports that are there, and what it never guesses. */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

TestSuite(new_job, .init = cli_begin, .fini = cli_end);

static const char reading[] = "Date,Time,Zone,Spot,Reading (um)\n2026-05-11,10:00:00,Deck,1,150\n";

static const char *cli_text(const char *name) {
    static char text[1 << 16];
    char path[256];
    snprintf(path, sizeof path, "%s/%s", cli_dir, name);
    cli_read(path, text, sizeof text);
    return text;
}

Test(new_job, a_new_job_is_filled_in_from_its_exports_and_guesses_no_limit) {
    char path[128];
    snprintf(path, sizeof path, "%s/new", cli_dir);
    cr_assert_eq(mkdir(path, 0777), 0);
    cli_put("new/gauge.csv", reading);
    cr_assert_eq(cli_run("new --us new"), 0, "%s", cli_err);
    const char *text = cli_text("new/job.milrise");
    static const char *const parts[] = {
        "\nname = new\n",  "\ntime zone = ?\n",  "\ndates = 2026-05-11 .. 2026-05-11\n",
        "\nminimum = ?\n", "\nmaximum = ?\n",    "\nunits = US\n",
        "\nrules = ?\n",   "\ncorrection = ?\n", "\n# crew = ",
        "\n#   Deck\n"};
    for (size_t i = 0; i < MR_COUNT(parts); i++)
        cr_expect_not_null(strstr(text, parts[i]), "%s in %s", parts[i], text);
    static const char *const asked[] = {"minimum", "rules", "correction", "time zone", "site"};
    cr_assert_eq(cli_run("report new"), 2); /* nothing is judged by a limit that nobody stated */
    for (size_t i = 0; i < MR_COUNT(asked); i++)
        cr_expect_not_null(strstr(cli_err, asked[i]), "%s in %s", asked[i], cli_err);
    const char *answer = cli_text("new/answer.txt"); /* all of them: there is no workbook to look into */
    for (size_t i = 0; i < MR_COUNT(asked); i++)
        cr_expect_not_null(strstr(answer, asked[i]), "%s in %s", asked[i], answer);
    cr_expect_null(strstr(answer, "workbook"), "%s", answer);
    cr_expect_not(cli_there("new/reports/latest"));
}

Test(new_job, a_time_zone_that_the_exports_name_is_filled_in) {
    char path[128];
    snprintf(path, sizeof path, "%s/new", cli_dir);
    cr_assert_eq(mkdir(path, 0777), 0);
    cli_put("new/gauge.csv", "Instrument: TG-7\nTime zone: Europe/Rome\n\nDate,Time,Zone,Spot,Reading "
                             "(um)\n2026-05-11,10:00:00,Deck,1,150\n2026-05-11,10:00:10,Deck,1,152\n");
    cr_assert_eq(cli_run("new new"), 0, "%s", cli_err);
    cr_expect_not_null(strstr(cli_text("new/job.milrise"), "\ntime zone = Europe/Rome\n"), "%s",
                       cli_text("new/job.milrise"));
    cli_put("new/other.csv", "Instrument: TG-8\nTime zone: Asia/Tokyo\n\nDate,Time,Zone,Spot,Reading "
                             "(um)\n2026-05-11,10:00:00,Deck,1,150\n2026-05-11,10:00:10,Deck,1,152\n");
    snprintf(path, sizeof path, "rm %s/new/job.milrise", cli_dir);
    cr_assert_eq(system(path), 0);
    cr_assert_eq(cli_run("new new"), 0, "%s", cli_err);
    cr_expect_not_null(
        strstr(cli_text("new/job.milrise"), "\ntime zone = ?\n")); /* which one, only the clerk knows */
}
