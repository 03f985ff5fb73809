/*
 * The command as a user meets it: exit status, where text goes, what is left on disk. Runs the built program.
 */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

TestSuite(cli, .init = cli_begin, .fini = cli_end);

Test(cli, help_goes_to_standard_output_and_usage_errors_do_not) {
    cr_assert_eq(cli_run("--help"), 0);
    cr_assert_not_null(strstr(cli_out, "report"));
    cr_assert_str_eq(cli_err, "");
    static const char *const wrong[] = {"",
                                        "reprot x",
                                        "report",
                                        "report a b",
                                        "report --nonsense x",
                                        "report --threads 0 x",
                                        "dump . --stage nowhere",
                                        "new"};
    for (size_t i = 0; i < MR_COUNT(wrong); i++) {
        cr_assert_eq(cli_run(wrong[i]), 2, "milrise %s: %s", wrong[i], cli_err);
        cr_assert_str_eq(cli_out, "", "milrise %s", wrong[i]);
        cr_assert(strlen(cli_err) > 20, "milrise %s", wrong[i]);
    }
}

Test(cli, each_command_explains_itself) {
    static const char *const names[] = {"new", "report", "explain", "dump"};
    /* The C library's printer of help texts keeps two bytes; without its debug symbols no suppression can name it. */
    cr_assert_eq(setenv("ASAN_OPTIONS", "detect_leaks=0", 1), 0);
    for (size_t i = 0; i < MR_COUNT(names); i++) {
        char args[64];
        snprintf(args, sizeof args, "%s --help", names[i]);
        cr_assert_eq(cli_run(args), 0);
        cr_assert(strlen(cli_out) > 200, "%s", names[i]);
    }
}

/* Its limits are examples: a report by them would look like one of the job. */
Test(cli, an_untouched_template_is_not_reported_as_a_job) {
    cr_assert_eq(cli_run("new j"), 0, "%s", cli_err);
    cr_assert_eq(cli_run("report j"), 2);
    cr_assert_not_null(strstr(cli_err, "is still the unedited template"), "%s", cli_err);
    cr_assert_not(cli_there("j/reports/latest"));
    cr_assert(cli_there("j/reports/NOT-PUBLISHED.txt"));
}

static void edit_job(const char *job) {
    char command[256];
    snprintf(command, sizeof command, "echo '# edited' >> '%s/%s/job.milrise'", cli_dir, job);
    cr_assert_eq(system(command), 0);
}

Test(cli, a_new_job_runs_once_edited_and_is_never_overwritten) {
    cr_assert_eq(cli_run("new 'North quay'"), 0, "%s", cli_err);
    cr_assert(cli_there("North quay/job.milrise") && cli_there("North quay/zones.csv"));
    edit_job("North quay");
    cr_assert_eq(cli_run("report 'North quay'"), 1, "nothing is shown yet: %s", cli_err);
    cr_assert_not_null(strstr(cli_out, "not shown"), "%s", cli_out);
    cr_assert(cli_there("North quay/reports/latest/report.json"));
    cli_put("North quay/zones.csv", "mine");
    cr_assert_eq(cli_run("new 'North quay'"), 0);
    cr_assert_not_null(strstr(cli_out, "kept"));
    char path[128], text[64];
    snprintf(path, sizeof path, "%s/North quay/zones.csv", cli_dir);
    cli_read(path, text, sizeof text);
    cr_assert_str_eq(text, "mine");
}

Test(cli, a_wrong_job_file_publishes_nothing) {
    cr_assert_eq(cli_run("new j"), 0);
    cli_put("j/job.milrise", "[thickness]\nminimum = 12,5 mil\nmaximun = 3 mil\n");
    cr_assert_eq(cli_run("report j"), 2);
    cr_assert_not_null(strstr(cli_err, "job.milrise:2:11"), "%s", cli_err);
    cr_assert_not_null(strstr(cli_err, "Did you mean \"maximum\"?"), "%s", cli_err);
    cr_assert_not(cli_there("j/reports/latest"));
    char note[4096];
    char path[128];
    snprintf(path, sizeof path, "%s/j/reports/NOT-PUBLISHED.txt", cli_dir);
    cli_read(path, note, sizeof note);
    cr_assert(strstr(note, "job.milrise:2:11") && strstr(note, "UTC") && strstr(note, "no earlier report"), "%s",
              note);
    cr_assert_eq(cli_run("report nowhere"), 2);
    cr_assert_not(cli_there("nowhere"));
}

Test(cli, an_empty_folder_has_nothing_to_judge) {
    cr_assert_eq(cli_run("new j"), 0);
    char command[128];
    edit_job("j");
    snprintf(command, sizeof command, "rm %s/j/*.csv", cli_dir);
    cr_assert_eq(system(command), 0);
    cr_assert_eq(cli_run("report j"), 3, "%s%s", cli_out, cli_err);
    cr_assert_not(cli_there("j/reports/latest/report.json"));
}

Test(cli, an_output_that_cannot_be_written_is_status_4_and_leaves_nothing) {
    cr_assert_eq(cli_run("new j"), 0);
    edit_job("j");
    cli_put("j/reports", "a file stands where the folder should be");
    cr_assert_eq(cli_run("report j"), 4, "%s", cli_err);
    cr_assert_not_null(strstr(cli_err, "reports"), "%s", cli_err);
    char command[2048];
    snprintf(command, sizeof command, "'%s' --version >/dev/full 2>/dev/null", getenv("MILRISE_BIN"));
    int status = system(command);
    cr_assert(WIFEXITED(status) && WEXITSTATUS(status) == 4);
}

Test(cli, one_mistake_in_many_rows_is_told_once_with_its_lines) {
    cli_put("job.milrise", "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nrules = plain-limits\n");
    char text[4096] = "Date,Time,Zone,Spot,Reading (um)\n";
    for (int i = 0; i < 30; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "2026-05-11,10:%02d:00,Deck,1,%s\n", i,
                 i > 20 && i < 26 ? "25x"
                 : i % 9 == 4     ? "over"
                                  : "250");
    cli_put("gauge.csv", text);
    cli_run("report .");
    const char *run = strstr(cli_err, "gauge.csv:23-27:5: error[bad-number]: \"25x\"");
    cr_expect_not_null(run, "%s", cli_err);
    cr_expect_not_null(strstr(cli_err, "(5 rows)"), "%s", cli_err);
    size_t told = 0;
    for (const char *p = cli_err; (p = strstr(p, "\"25x\"")); p++)
        told++;
    cr_expect_eq(told, 1, "%s", cli_err);
}

Test(cli, explain_works_without_a_job) {
    cli_put("a.csv",
            "time,zone,spot,thickness [um]\n2026-05-11 09:00:00,Deck 1,1,251\n2026-05-11 09:00:05,Deck 1,1,249.5\n");
    cr_assert_eq(cli_run("explain a.csv"), 0, "%s%s", cli_out, cli_err);
    cr_assert_not_null(strstr(cli_out, "thickness readings"), "%s", cli_out);
    cr_assert_eq(cli_run("explain --json a.csv"), 0);
    cr_assert_eq(cli_out[0], '[');
    cr_assert_eq(cli_run("explain nowhere.csv"), 3);
}

/* The lines that explain prints for a file on its own hold in a job; and in a job it goes by the job's own paths. */
Test(cli, explain_prints_lines_that_hold_in_a_job) {
    char text[4096];
    cli_put("bare.csv", "time,Air\n2026-05-11 09:00:00,12\n2026-05-11 09:00:05,15\n2026-05-11 09:00:10,19\n");
    cr_assert_eq(cli_run("explain bare.csv"), 1, "%s%s", cli_out, cli_err);
    cr_assert_not_null(strstr(cli_out, "[file \"**/bare.csv\"]\n    column Air = air [?]\n"), "%s", cli_out);
    cr_assert_eq(cli_run("new J"), 0);
    snprintf(text, sizeof text,
             "[job]\nname = J\nsite = S\ntime zone = UTC\n[file \"**/bare.csv\"]\ncolumn Air = air [degC]\n");
    cli_put("J/job.milrise", text);
    cli_put("J/bare.csv", "time,Air\n2026-05-11 09:00:00,12\n2026-05-11 09:00:05,15\n2026-05-11 09:00:10,19\n");
    cr_assert_eq(cli_run("explain --job J J/bare.csv"), 0, "%s%s", cli_out, cli_err);
    cr_assert_not_null(strstr(cli_out, "Air = air [°C], job file line 5"), "%s", cli_out);
    cli_put("J/job.milrise", "[job]\nname = J\nsite = S\ntime zone = UTC\n[file \"bare.csv\"]\ncolumn 2 = air "
                             "[degF]\ncolumn 9 = air [degF]\n");
    cr_assert_eq(cli_run("explain --job J J/bare.csv"), 1, "%s%s", cli_out, cli_err);
    cr_assert_not_null(strstr(cli_out, "Air = air [°F], job file line 5"), "%s", cli_out);
    cr_assert_not_null(strstr(cli_out, "\njob file\n  job.milrise:5:1: warning[no-such-column]: \"9\""), "%s",
                       cli_out);
}

Test(cli, the_manual_has_a_page_for_each_command_and_knows_every_limit) {
    static const char *const pages[] = {"milrise", "new",  "report", "watch", "sweep",
                                        "explain", "dump", "manual", "job"};
    for (size_t i = 0; i < MR_COUNT(pages); i++) {
        char args[64];
        snprintf(args, sizeof args, "manual %s", pages[i]);
        cr_expect_eq(cli_run(args), 0, "%s", pages[i]);
        cr_expect_eq(strncmp(cli_out, ".TH milrise", 11), 0, "%s", pages[i]);
    }
    cr_expect_not_null(strstr(cli_out, "dew\\-point spread minimum"));
    cr_expect_eq(cli_run("manual bash"), 0);
    cr_expect_not_null(strstr(cli_out, "complete -o filenames -F _milrise milrise"));
    cr_expect_eq(cli_run("manual nonsense"), 2);
}
