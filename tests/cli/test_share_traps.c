/*
 * test_share_traps.c - a share in whose jobs somebody laid traps under the names that a sweep reads and writes, and
 * jobs as a sweep leaves them that is killed between two of its steps.
 */
#include "cli/job_lock.h"
#include "cli/job_state.h"
#include "command_rig.h"

#include <criterion/criterion.h>
#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/inotify.h>
#include <sys/stat.h>
#include <unistd.h>

TestSuite(share_traps, .init = cli_begin, .fini = cli_end);

static int __attribute__((format(printf, 1, 2))) in_share(const char *format, ...) {
    char command[2048];
    va_list args;
    size_t n = (size_t)snprintf(command, sizeof command, "cd %s && M='%s' && { ", cli_dir, getenv("MILRISE_BIN"));
    va_start(args, format);
    n += (size_t)vsnprintf(command + n, sizeof command - n, format, args);
    va_end(args);
    snprintf(command + n, sizeof command - n, "; }");
    return system(command);
}

/* A job that misses its minimum. Invented. */
static void make_job(const char *job) {
    cr_assert_eq(
        in_share(
            "mkdir -p %s kept && cd %s && printf '[job]\\nname = Quay\\ntime zone = UTC\\n[thickness]\\nminimum = "
            "200 um\\nmaximum = 400 um\\nrules = plain-limits\\n' > job.milrise && printf 'Zone,Area "
            "(m2),Coats\\nDeck,10,1\\n' > zones.csv && "
            "printf 'Date,Time,Zone,Spot,Reading (um)\\n2026-05-11,10:00:00,Deck,1,150\\n' > gauge.csv",
            job, job),
        0);
}

static void expect_due(const char *case_name) {
    const int status = cli_run("sweep .");
    cr_expect(status == 1, "%s: status %d%s", case_name, status, cli_err);
    cr_expect_not_null(strstr(cli_out, "1 job, 1 reported"), "%s: %s", case_name, cli_out);
    cr_expect(!cli_there("a/reports/NOT-PUBLISHED.txt"), "%s", case_name);
    cr_expect_eq(in_share("grep -q '^The job does not conform' a/answer.txt"), 0, "%s", case_name);
    cr_expect_eq(in_share("grep -q '\"mean_um\": 150' a/reports/latest/report.json"), 0, "%s", case_name);
    cli_run("sweep .");
    cr_expect_not_null(strstr(cli_out, "1 job, 0 reported, 1 unchanged"), "%s: %s", case_name, cli_out);
}

/* The state is written last. A change is reported (or cannot be), the sweep dies before it writes the state, and the
 * change is taken back, times and all: the state fits the files and nothing else does. */
Test(share_traps, a_sweep_that_is_killed_after_its_note_or_its_report_is_made_good, .timeout = 120) {
    static const struct {
        const char *name, *change, *back;
    } cases[] = {
        {"a note", "cp -p job.milrise ../kept/old && echo '[nosuch]' >> job.milrise",
         "cp -p ../kept/old job.milrise"},
        {"a report", "cp -p gauge.csv ../kept/old && sed -i s/150/250/ gauge.csv", "cp -p ../kept/old gauge.csv"},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        make_job("a");
        cr_assert_eq(in_share("touch -d '2026-05-12 UTC' a/*"), 0);
        cr_assert_eq(cli_run("sweep ."), 1, "%s%s", cli_out, cli_err);
        cr_assert_eq(in_share("cp -p a/reports/.state kept/ && cd a && %s", cases[i].change), 0);
        cli_run("sweep .");
        cr_assert_eq(in_share("cp -p kept/.state a/reports/ && cd a && %s", cases[i].back), 0);
        expect_due(cases[i].name);
        cr_assert_eq(in_share("rm -r a kept roll-up"), 0);
    }
}

/* A state that says that nothing could be published, and a report that was since. */
Test(share_traps, a_failure_without_its_note_is_looked_at_again, .timeout = 60) {
    make_job("a");
    cr_assert_eq(in_share("echo '[nosuch]' >> a/job.milrise"), 0);
    cr_assert_eq(cli_run("sweep ."), 2);
    cr_assert_eq(in_share("rm a/reports/NOT-PUBLISHED.txt"), 0);
    cr_assert_eq(cli_run("sweep ."), 2);
    cr_expect_not_null(strstr(cli_out, "1 job, 1 reported"), "%s", cli_out);
    cr_expect(cli_there("a/reports/NOT-PUBLISHED.txt"));
    cr_assert_eq(cli_run("sweep ."), 2);
    cr_expect_not_null(strstr(cli_out, "0 reported, 1 unchanged"), "%s", cli_out);
}

Test(share_traps, what_a_sweep_remembers_is_read_through_no_link, .timeout = 60) {
    make_job("a");
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_assert_eq(in_share("sed 's/does not conform/conforms/; s/Quay/Elsewhere/' a/reports/.state > kept/state && "
                          "sed 's/does not conform/conforms/' roll-up/roll-up.json > kept/roll-up && "
                          "rm a/reports/.state roll-up/roll-up.json && ln -s ../../kept/state a/reports/.state && "
                          "ln -s ../kept/roll-up roll-up/roll-up.json && sha256sum kept/* > sums"),
                 0);
    cli_run("sweep --collect .");
    cr_expect_neq(in_share("grep -q 'Elsewhere\\|was: conforms' roll-up/roll-up.txt"), 0);
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_expect_eq(in_share("sha256sum -c --quiet sums && grep -q 'a (Quay): does not conform' roll-up/roll-up.txt"),
                 0);
}

/* Directly: after a run that published, latest leads elsewhere only where somebody was quick. */
Test(share_traps, a_report_is_rolled_up_from_the_job_s_own_folder_or_not_at_all, .timeout = 60) {
    static const struct {
        const char *name, *trap;
    } cases[] = {
        {"latest leads away", "ln -sfn ../../kept latest"},
        {"latest leads away, by a name like a revision", "ln -sfn revision-0/../../../kept latest"},
        {"the revision is a link", "mv revision-0 ../../gone; ln -s ../../kept revision-0"},
        {"the data are a link", "ln -sf ../../../kept/report.json revision-0/report.json"},
        {"the data are a pipe", "rm revision-0/report.json; mkfifo revision-0/report.json"},
        {"reports is a link", "cd ../.. && mv a/reports away && ln -s ../away a/reports"},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        struct mr_job_state state;
        make_job("a");
        const char *dir = mr_printf(arena, "%s/a", cli_dir);
        cr_assert_eq(cli_run("report -qn a"), 1);
        mr_job_state_load(arena, dir, &state);
        mr_job_state_take(arena, dir, &state);
        cr_assert_str_eq(state.outcome, "does not conform", "%s", cases[i].name);
        cr_assert_eq(in_share("sed 's/does not conform/conforms/' a/reports/latest/report.json > kept/report.json && "
                              "cd a/reports && %s",
                              cases[i].trap),
                     0);
        mr_job_state_take(arena, dir, &state);
        cr_expect_str_eq(state.outcome, "", "%s: %s", cases[i].name, state.outcome);
        cr_expect_not(mr_job_answered(arena, dir, &state), "%s", cases[i].name);
        mr_arena_free(arena);
        cr_assert_eq(in_share("rm -rf a kept away gone"), 0);
    }
}

/* Where a file system has no links, latest is a file of one line. */
Test(share_traps, latest_may_be_a_file, .timeout = 60) {
    make_job("a");
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_assert_eq(in_share("cd a/reports && rm latest && echo revision-0 > latest"), 0);
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_expect_not_null(strstr(cli_out, "0 reported, 1 unchanged"), "%s", cli_out);
}

/* The name of the file beside a lease whose time is taken, as the file system tells it. */
static void name_of_probe(struct mr_arena *arena, const char *folder, const char *lease, char out[256]) {
    char events[4096] __attribute__((aligned(8)));
    const int watch = inotify_init1(IN_NONBLOCK);
    cr_assert(watch >= 0 && inotify_add_watch(watch, folder, IN_CREATE) >= 0);
    cr_assert_eq(mr_job_lease(arena, lease, 60, false), -1);
    const ssize_t n = read(watch, events, sizeof events);
    cr_assert_gt(n, 0);
    snprintf(out, 256, "%.255s", ((const struct inotify_event *)events)->name);
    close(watch);
}

Test(share_traps, a_lease_writes_to_no_file_that_was_laid_for_it, .timeout = 60) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    const char *lease = mr_printf(arena, "%s/.lease", cli_dir);
    char name[256];
    cli_put(".lease", "host elsewhere\nboot x\nprocess 1\n");
    name_of_probe(arena, cli_dir, lease, name);
    static const char *const traps[] = {"ln kept/file", "mkfifo", "ln -s kept/file"};
    for (size_t i = 0; i < MR_COUNT(traps); i++) {
        cr_assert_eq(in_share("mkdir -p kept && echo x > kept/file && %s %s", traps[i], name), 0);
        cr_expect_eq(mr_job_lease(arena, lease, 60, false), -1); /* and ends */
        cr_expect_eq(in_share("[ $(cat kept/file) = x ]"), 0, "%s", traps[i]);
    }
    mr_arena_free(arena);
}

/* The lock is on the folder that was opened, whatever stands under its name by then. */
Test(share_traps, a_lock_is_given_back_where_it_was_taken) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_job_lock lock;
    int64_t now_s;
    make_job("a");
    cr_assert(mr_job_lock(arena, mr_printf(arena, "%s/a", cli_dir), &lock));
    cr_assert_eq(in_share("mv a/reports own && ln -s ../kept a/reports && ln own/.lease kept/.lease"), 0);
    cr_expect(mr_job_lock_renew(&lock, &now_s));
    mr_job_unlock(&lock);
    cr_expect(cli_there("kept/.lease"));
    cr_expect_not(cli_there("own/.lease"));
    mr_arena_free(arena);
}

/* The roll-up's workbook is made beside it under a name that can be guessed. */
Test(share_traps, a_roll_up_goes_through_no_link, .timeout = 60) {
    make_job("a");
    cr_assert_eq(
        in_share("mkdir roll-up; echo x > kept/file; for i in roll-up.xlsx roll-up.txt roll-up.json roll-up.pdf; "
                 "do ln -s ../kept/file roll-up/$i; done"),
        0);
    cr_expect_eq(cli_run("sweep ."), 1, "%s", cli_err);
    cr_expect_eq(
        in_share("[ $(cat kept/file) = x ] && [ ! -L roll-up/roll-up.xlsx ] && [ ! -L roll-up/roll-up.txt ]"), 0);
}
