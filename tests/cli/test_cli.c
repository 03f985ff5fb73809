/*
 * The command as a user meets it: exit status, where text goes, what is left on disk. Runs the built program.
 */
#include "milrise/base.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static char dir[64], out[1 << 16], err[1 << 16];

static void slurp(const char *path, char *to, size_t room) {
    FILE *f = fopen(path, "rb");
    size_t n = f ? fread(to, 1, room - 1, f) : 0;
    to[n] = '\0';
    if (f)
        fclose(f);
}

/* Runs `milrise ARGS` in the test's folder; out and err hold what it printed. */
static int milrise(const char *args) {
    const char *bin = getenv("MILRISE_BIN");
    char command[2048], path[128];
    cr_assert_not_null(bin, "MILRISE_BIN names no program");
    snprintf(command, sizeof command, "cd %s && '%s' %s >.out 2>.err", dir, bin, args);
    int status = system(command);
    snprintf(path, sizeof path, "%s/.out", dir);
    slurp(path, out, sizeof out);
    snprintf(path, sizeof path, "%s/.err", dir);
    slurp(path, err, sizeof err);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128;
}

static void put(const char *name, const char *text) {
    char path[256];
    snprintf(path, sizeof path, "%s/%s", dir, name);
    FILE *f = fopen(path, "wb");
    cr_assert_not_null(f);
    fputs(text, f);
    fclose(f);
}

static bool there(const char *name) {
    char path[256];
    struct stat st;
    snprintf(path, sizeof path, "%s/%s", dir, name);
    return stat(path, &st) == 0;
}

static void begin(void) {
    strcpy(dir, "/tmp/milrise-cli-XXXXXX");
    cr_assert_not_null(mkdtemp(dir));
}

static void end(void) {
    char command[256];
    snprintf(command, sizeof command, "chmod -R u+rwx %s; rm -rf %s", dir, dir);
    cr_assert_eq(system(command), 0);
}

TestSuite(cli, .init = begin, .fini = end);

Test(cli, help_goes_to_standard_output_and_usage_errors_do_not) {
    cr_assert_eq(milrise("--help"), 0);
    cr_assert_not_null(strstr(out, "report"));
    cr_assert_str_eq(err, "");
    static const char *const wrong[] = {"",
                                        "reprot x",
                                        "report",
                                        "report a b",
                                        "report --nonsense x",
                                        "report --threads 0 x",
                                        "dump . --stage nowhere",
                                        "new"};
    for (size_t i = 0; i < MR_COUNT(wrong); i++) {
        cr_assert_eq(milrise(wrong[i]), 2, "milrise %s: %s", wrong[i], err);
        cr_assert_str_eq(out, "", "milrise %s", wrong[i]);
        cr_assert(strlen(err) > 20, "milrise %s", wrong[i]);
    }
}

Test(cli, each_command_explains_itself) {
    static const char *const names[] = {"new", "report", "explain", "dump"};
    /* The C library's printer of help texts keeps two bytes; without its debug symbols no suppression can name it. */
    cr_assert_eq(setenv("ASAN_OPTIONS", "detect_leaks=0", 1), 0);
    for (size_t i = 0; i < MR_COUNT(names); i++) {
        char args[64];
        snprintf(args, sizeof args, "%s --help", names[i]);
        cr_assert_eq(milrise(args), 0);
        cr_assert(strlen(out) > 200, "%s", names[i]);
    }
}

/* Its limits are examples: a report by them would look like one of the job. */
Test(cli, an_untouched_template_is_not_reported_as_a_job) {
    cr_assert_eq(milrise("new j"), 0, "%s", err);
    cr_assert_eq(milrise("report j"), 2);
    cr_assert_not_null(strstr(err, "is the template as it comes"), "%s", err);
    cr_assert_not(there("j/reports/latest"));
    cr_assert(there("j/reports/NOT-PUBLISHED.txt"));
}

static void edit_job(const char *job) {
    char command[256];
    snprintf(command, sizeof command, "echo '# edited' >> '%s/%s/job.milrise'", dir, job);
    cr_assert_eq(system(command), 0);
}

Test(cli, a_new_job_runs_once_edited_and_is_never_overwritten) {
    cr_assert_eq(milrise("new 'North quay'"), 0, "%s", err);
    cr_assert(there("North quay/job.milrise") && there("North quay/zones.csv"));
    edit_job("North quay");
    cr_assert_eq(milrise("report 'North quay'"), 1, "nothing is shown yet: %s", err);
    cr_assert_not_null(strstr(out, "not shown"), "%s", out);
    cr_assert(there("North quay/reports/latest/report.json"));
    put("North quay/zones.csv", "mine");
    cr_assert_eq(milrise("new 'North quay'"), 0);
    cr_assert_not_null(strstr(out, "kept"));
    char path[128], text[64];
    snprintf(path, sizeof path, "%s/North quay/zones.csv", dir);
    slurp(path, text, sizeof text);
    cr_assert_str_eq(text, "mine");
}

Test(cli, a_wrong_job_file_publishes_nothing) {
    cr_assert_eq(milrise("new j"), 0);
    put("j/job.milrise", "[thickness]\nminimum = 12,5 mil\nmaximun = 3 mil\n");
    cr_assert_eq(milrise("report j"), 2);
    cr_assert_not_null(strstr(err, "job.milrise:2:11"), "%s", err);
    cr_assert_not_null(strstr(err, "Did you mean \"maximum\"?"), "%s", err);
    cr_assert_not(there("j/reports/latest"));
    char note[4096];
    char path[128];
    snprintf(path, sizeof path, "%s/j/reports/NOT-PUBLISHED.txt", dir);
    slurp(path, note, sizeof note);
    cr_assert(strstr(note, "job.milrise:2:11") && strstr(note, "UTC") && strstr(note, "no earlier report"), "%s",
              note);
    cr_assert_eq(milrise("report nowhere"), 2);
    cr_assert_not(there("nowhere"));
}

Test(cli, an_empty_folder_has_nothing_to_judge) {
    cr_assert_eq(milrise("new j"), 0);
    char command[128];
    edit_job("j");
    snprintf(command, sizeof command, "rm %s/j/*.csv", dir);
    cr_assert_eq(system(command), 0);
    cr_assert_eq(milrise("report j"), 3, "%s%s", out, err);
    cr_assert_not(there("j/reports/latest/report.json"));
}

Test(cli, an_output_that_cannot_be_written_is_status_4_and_leaves_nothing) {
    cr_assert_eq(milrise("new j"), 0);
    edit_job("j");
    put("j/reports", "a file stands where the folder should be");
    cr_assert_eq(milrise("report j"), 4, "%s", err);
    cr_assert_not_null(strstr(err, "reports"), "%s", err);
    char command[2048];
    snprintf(command, sizeof command, "'%s' --version >/dev/full 2>/dev/null", getenv("MILRISE_BIN"));
    int status = system(command);
    cr_assert(WIFEXITED(status) && WEXITSTATUS(status) == 4);
}

Test(cli, explain_works_without_a_job) {
    put("a.csv",
        "time,zone,spot,thickness [um]\n2026-05-11 09:00:00,Deck 1,1,251\n2026-05-11 09:00:05,Deck 1,1,249.5\n");
    cr_assert_eq(milrise("explain a.csv"), 0, "%s%s", out, err);
    cr_assert_not_null(strstr(out, "thickness readings"), "%s", out);
    cr_assert_eq(milrise("explain --json a.csv"), 0);
    cr_assert_eq(out[0], '[');
    cr_assert_eq(milrise("explain nowhere.csv"), 3);
}

/* The lines that explain prints for a file on its own hold in a job; and in a job it goes by the job's own paths. */
Test(cli, explain_prints_lines_that_hold_in_a_job) {
    char text[4096];
    put("bare.csv", "time,Air\n2026-05-11 09:00:00,12\n2026-05-11 09:00:05,15\n2026-05-11 09:00:10,19\n");
    cr_assert_eq(milrise("explain bare.csv"), 1, "%s%s", out, err);
    cr_assert_not_null(strstr(out, "[file \"**/bare.csv\"]\n    column Air = air [degC]\n"), "%s", out);
    cr_assert_eq(milrise("new J"), 0);
    snprintf(text, sizeof text,
             "[job]\nname = J\nsite = S\ntime zone = UTC\n[file \"**/bare.csv\"]\ncolumn Air = air [degC]\n");
    put("J/job.milrise", text);
    put("J/bare.csv", "time,Air\n2026-05-11 09:00:00,12\n2026-05-11 09:00:05,15\n2026-05-11 09:00:10,19\n");
    cr_assert_eq(milrise("explain --job J J/bare.csv"), 0, "%s%s", out, err);
    cr_assert_not_null(strstr(out, "Air = air [°C], job file line 5"), "%s", out);
    put("J/job.milrise", "[job]\nname = J\nsite = S\ntime zone = UTC\n[file \"bare.csv\"]\ncolumn 2 = air "
                         "[degF]\ncolumn 9 = air [degF]\n");
    cr_assert_eq(milrise("explain --job J J/bare.csv"), 1, "%s%s", out, err);
    cr_assert_not_null(strstr(out, "Air = air [°F], job file line 5"), "%s", out);
    cr_assert_not_null(strstr(out, "\njob file\n  job.milrise:5:1: warning[no-such-column]: \"9\""), "%s", out);
}
