/* A share of many jobs: the sweep, the watcher, and what holds when several are at it or one of them dies. */
#include "cli/job_lock.h"
#include "command_rig.h"

#include <criterion/criterion.h>
#include <errno.h>
#include <jansson.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

TestSuite(share, .init = cli_begin, .fini = cli_end);

static void rest(int ms) {
    struct timespec t = {ms / 1000, ms % 1000 * 1000000L};
    nanosleep(&t, NULL);
}

static void put_reading(const char *job, int um) {
    char name[64], text[256];
    snprintf(name, sizeof name, "%s/gauge.csv", job);
    snprintf(text, sizeof text, "Date,Time,Zone,Spot,Reading (um)\n2026-05-11,10:00:00,Deck,1,%d\n", um);
    cli_put(name, text);
}

static void make_job(const char *job, int um) {
    char path[128];
    snprintf(path, sizeof path, "%s/%s", cli_dir, job);
    cr_assert_eq(mkdir(path, 0777), 0);
    snprintf(path, sizeof path, "%s/job.milrise", job);
    cli_put(path, "[job]\nname = Quay\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 400 um\nrules = "
                  "plain-limits\n");
    snprintf(path, sizeof path, "%s/zones.csv", job);
    cli_put(path, "Zone,Area (m2),Coats\nDeck,10,1\n");
    put_reading(job, um);
}

static const char *text_in(const char *name) {
    static char text[1 << 16];
    char path[256];
    snprintf(path, sizeof path, "%s/%s", cli_dir, name);
    cli_read(path, text, sizeof text);
    return text;
}

/* The outcome of each job by the roll-up, read by another reader; "" where there is none. */
static const char *outcome_of(size_t i) {
    static char text[64];
    char path[256];
    snprintf(path, sizeof path, "%s/roll-up/roll-up.json", cli_dir);
    json_t *o = json_load_file(path, 0, NULL);
    const char *found = json_string_value(json_object_get(json_array_get(json_object_get(o, "jobs"), i), "outcome"));
    snprintf(text, sizeof text, "%s", found ? found : "");
    json_decref(o);
    return text;
}

Test(share, a_sweep_reports_what_changed_and_one_bad_job_harms_no_other, .timeout = 120) {
    make_job("a", 150);
    make_job("b", 160);
    make_job("c", 170);
    cli_put("b/job.milrise", "[job]\nnaem = x\n");
    cr_assert_eq(cli_run("sweep ."), 2, "%s%s", cli_out, cli_err);
    cr_expect_not_null(strstr(cli_out, "3 jobs, 3 reported, 0 unchanged"));
    cr_expect_str_eq(outcome_of(0), "does not conform");
    cr_expect_str_eq(outcome_of(1), "");
    cr_expect_str_eq(outcome_of(2), "does not conform");
    cr_expect_not_null(strstr(text_in("roll-up/roll-up.txt"), "./b: mistake in the job file"));
    cr_assert_eq(cli_run("sweep ."), 2);
    cr_expect_not_null(strstr(cli_out, "3 jobs, 0 reported, 3 unchanged"), "%s", cli_out);
    rest(20); /* a new time and the same bytes are no change */
    put_reading("a", 150);
    cr_assert_eq(cli_run("sweep ."), 2);
    cr_expect_not_null(strstr(cli_out, "3 jobs, 0 reported, 3 unchanged"), "%s", cli_out);
    put_reading("a", 151);
    cr_assert_eq(cli_run("sweep ."), 2);
    cr_expect_not_null(strstr(cli_out, "3 jobs, 1 reported, 2 unchanged"), "%s", cli_out);
    char command[256]; /* the cache may go without harm */
    snprintf(command, sizeof command, "rm %s/*/reports/.state", cli_dir);
    cr_assert_eq(system(command), 0);
    cr_assert_eq(cli_run("sweep ."), 2);
    cr_expect_not_null(strstr(cli_out, "3 jobs, 3 reported, 0 unchanged"), "%s", cli_out);
}

Test(share, a_report_that_takes_too_long_or_too_much_is_ended_and_told, .timeout = 120) {
#ifdef MR_ARENA_SEPARATE
    cr_skip_test("a limit on addresses cannot hold under the address sanitizer");
#endif
    make_job("a", 150);
    cr_assert_eq(cli_run("sweep --memory 20 ."), 4, "%s%s", cli_out, cli_err);
    cr_expect_not_null(strstr(cli_out, "./a: "), "%s", cli_out);
    cr_expect_str_eq(outcome_of(0), "");
    cli_put("a/job.milrise", "[job]\nname = Quay\ntime zone = UTC\n");
    cr_expect_eq(cli_run("sweep ."), 1, "%s", cli_out);
}

/* Found by a sweep over hostile jobs: state and lock were written to where the link led. */
Test(share, a_sweep_writes_through_no_link_out_of_a_job, .timeout = 120) {
    make_job("a", 150);
    make_job("b", 150);
    char command[512];
    snprintf(command, sizeof command,
             "cd %s && mkdir kept b/reports && echo x > kept/file && ln -s ../kept a/reports && ln -s "
             "../../kept/lock b/reports/.lock "
             "&& ln -s ../../kept/file b/reports/.state",
             cli_dir);
    cr_assert_eq(system(command), 0);
    cr_expect_eq(cli_run("sweep ."), 4, "%s%s", cli_out, cli_err);
    cr_expect_not_null(strstr(text_in("roll-up/roll-up.txt"), "./a: reports is a link"));
    snprintf(command, sizeof command, "[ \"$(ls -A %s/kept)\" = file ] && [ \"$(cat %s/kept/file)\" = x ]", cli_dir,
             cli_dir);
    cr_expect_eq(system(command), 0);
    snprintf(command, sizeof command, "cd %s && rm -r roll-up && ln -s kept roll-up", cli_dir);
    cr_assert_eq(system(command), 0);
    cr_expect_eq(cli_run("sweep ."), 4);
    cr_expect_not(cli_there("kept/roll-up.txt"));
}

Test(share, a_plan_run_line_by_line_and_collected_is_a_sweep, .timeout = 120) {
    make_job("a", 150);
    make_job("b", 250);
    make_job("big", 150);
    char reading[4096] = "Date,Time,Zone,Spot,Reading (um)\n";
    for (int i = 0; i < 60; i++)
        snprintf(reading + strlen(reading), sizeof reading - strlen(reading), "2026-05-11,10:%02d:00,Deck,%d,300\n",
                 i, i);
    cli_put("big/gauge.csv", reading);
    cr_assert_eq(cli_run("sweep --plan ."), 0, "%s", cli_err);
    cr_expect_str_eq(cli_out, "./big\n./a\n./b\n");
    cr_expect_not(cli_there("a/reports") || cli_there("roll-up")); /* a plan changes nothing */
    cr_expect_eq(cli_run("sweep --no-roll-up a"), 1, "%s", cli_err);
    cr_expect(cli_there("a/reports/latest/report.json") && !cli_there("a/roll-up"));
    cr_expect_eq(cli_run("sweep --no-roll-up b"), 1);
    cr_expect_eq(cli_run("sweep --collect ."), 1, "%s", cli_err); /* big died somewhere */
    cr_expect_str_eq(outcome_of(0), "does not conform");
    cr_expect_not_null(strstr(text_in("roll-up/roll-up.txt"), "Files changed since the last report: 1\n  ./big"));
    cr_expect_not(cli_there("big/reports"));
    cr_expect_eq(cli_run("sweep --plan ."), 0);
    cr_expect_str_eq(cli_out, "./big\n");
    cli_run("sweep --no-roll-up ./big");
    cr_expect_eq(cli_run("sweep --plan ."), 0);
    cr_expect_str_eq(cli_out, "");
    cli_run("sweep --collect .");
    cr_expect_null(strstr(text_in("roll-up/roll-up.txt"), "Files changed"));
    cr_expect(cli_there("roll-up/roll-up.xlsx"));
}

Test(share, the_roll_up_says_what_is_open_since_when_and_whose_calibration_ends, .timeout = 120) {
    make_job("a", 150);
    cli_put("a/job.milrise",
            "[job]\nname = Quay\ntime zone = UTC\ncrew = one sprayer\n[thickness]\nminimum = 200 um\nmaximum = 400 "
            "um\nrules = plain-limits\n[instrument \"TG-1\"]\ncertificate = C 7\ncertified until = 2026-05-20\n"
            "[instrument \"TG-2\"]\ncertified until = 2027-05-20\n");
    setenv("SOURCE_DATE_EPOCH", "1778688000", 1); /* 2026-05-13 16:00 UTC */
    cr_expect_eq(cli_run("sweep ."), 1, "%s%s", cli_out, cli_err);
    unsetenv("SOURCE_DATE_EPOCH");
    const char *text = text_in("roll-up/roll-up.txt");
    cr_expect_not_null(strstr(text, "open, the oldest for 2 days"), "%s", text);
    cr_expect_not_null(
        strstr(text, "Calibration due within 60 days: 1\n  TG-1, certificate C 7: ends 2026-05-20, in 1 job\n"), "%s",
        text);
    char path[256], command[512];
    snprintf(
        command, sizeof command,
        "cd %s/roll-up && pdfinfo roll-up.pdf | grep -q '^Pages: *1$' && pdftotext -layout roll-up.pdf - | grep -q "
        "'TG-1  *C *7  *2026-05-20  *7'",
        cli_dir);
    cr_expect_eq(system(command), 0, "the page of the roll-up");
    snprintf(path, sizeof path, "%s/roll-up/roll-up.json", cli_dir);
    json_t *o = json_load_file(path, 0, NULL);
    const json_t *due = json_object_get(o, "calibration_due");
    cr_assert_eq(json_array_size(due), 1);
    cr_expect_eq(json_integer_value(json_object_get(json_array_get(due, 0), "days_left")), 7);
    json_decref(o);
}

static pid_t start(const char *command, const char *operand) {
    pid_t pid = fork();
    if (pid == 0) {
        if (chdir(cli_dir) != 0 || !freopen("log", "a", stdout))
            _exit(9);
        execl(getenv("MILRISE_BIN"), "milrise", command, operand, "--settle=1", "--poll=1", ".", NULL);
        _exit(9);
    }
    return pid;
}

Test(share, a_sweep_that_is_killed_leaves_what_the_next_one_finishes, .timeout = 120) {
    make_job("a", 150);
    make_job("b", 250);
    for (int i = 0; i < 6; i++) {
        pid_t pid = fork();
        if (pid == 0) {
            if (chdir(cli_dir) != 0)
                _exit(9);
            execl(getenv("MILRISE_BIN"), "milrise", "sweep", "-q", ".", NULL);
            _exit(9);
        }
        rest(15 * i);
        kill(pid, SIGKILL);
        waitpid(pid, NULL, 0);
    }
    cr_assert_eq(cli_run("sweep ."), 1, "%s%s", cli_out, cli_err);
    cr_expect_str_eq(outcome_of(0), "does not conform");
    cr_expect_str_eq(outcome_of(1), "not shown"); /* one reading is not enough */
}

Test(share, two_sweeps_at_once_agree, .timeout = 120) {
    make_job("a", 150);
    make_job("b", 160);
    pid_t other = fork();
    if (other == 0) {
        if (chdir(cli_dir) != 0)
            _exit(9);
        execl(getenv("MILRISE_BIN"), "milrise", "sweep", "-q", ".", NULL);
        _exit(9);
    }
    cr_expect_eq(cli_run("sweep ."), 1, "%s%s", cli_out, cli_err);
    int status;
    cr_assert_eq(waitpid(other, &status, 0), other);
    cr_expect(WIFEXITED(status) && WEXITSTATUS(status) == 1);
    cr_expect(cli_there("a/reports/revision-0") && !cli_there("a/reports/revision-1"));
}

static bool wait_for(const char *file, const char *part) {
    for (int i = 0; i < 300; i++) {
        if (strstr(text_in(file), part))
            return true;
        rest(50);
    }
    return false;
}

/* What a copy program keeps (size and time) is not enough to tell files apart. */
Test(share, a_file_changed_in_place_with_its_old_size_and_time_is_reported, .timeout = 60) {
    make_job("a", 150);
    cr_assert_eq(cli_run("sweep ."), 1);
    char path[128];
    struct stat st;
    snprintf(path, sizeof path, "%s/a/gauge.csv", cli_dir);
    cr_assert_eq(stat(path, &st), 0);
    put_reading("a", 390);
    cr_assert_eq(utimensat(0, path, (struct timespec[2]){st.st_atim, st.st_mtim}, 0), 0);
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_expect_not_null(strstr(cli_out, "1 job, 1 reported"), "%s", cli_out);
}

Test(share, a_lost_answer_or_report_is_made_anew, .timeout = 60) {
    make_job("a", 150);
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_expect_not_null(strstr(cli_out, "0 reported, 1 unchanged"), "%s", cli_out);
    char command[256];
    snprintf(command, sizeof command, "rm %s/a/answer.txt", cli_dir);
    cr_assert_eq(system(command), 0);
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_expect(cli_there("a/answer.txt"));
    snprintf(command, sizeof command, "rm -r %s/a/reports/revision-0", cli_dir);
    cr_assert_eq(system(command), 0);
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_expect(cli_there("a/reports/latest/report.json"));
}

Test(share, the_roll_up_says_what_changed_whoever_reported_it, .timeout = 60) {
    make_job("a", 150);
    make_job("b", 250);
    make_job("line\nbreak", 150);
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_expect_null(strstr(text_in("roll-up/roll-up.txt"), "Changed since"));
    cr_expect_not_null(strstr(text_in("roll-up/roll-up.txt"), "./line\\x0abreak"), "%s",
                       text_in("roll-up/roll-up.txt"));
    put_reading("b", 150);
    cr_assert_eq(cli_run("sweep --no-roll-up b"), 1); /* somebody else's run */
    char command[256];
    snprintf(command, sizeof command, "cd %s && mv a gone && mkdir c && cp b/gauge.csv c", cli_dir);
    cr_assert_eq(system(command), 0);
    char share[80];
    snprintf(share, sizeof share, "sweep %s", cli_dir); /* the same share by another path */
    cr_assert_eq(cli_run(share), 1);
    const char *text = text_in("roll-up/roll-up.txt");
    static const char *const parts[] = {
        "Changed since the sweep before, of 20",        ": 3\n",
        "/b: does not conform (was: not shown)",        "/gone: does not conform (new)",
        "  a: no longer there (was: does not conform)", "Exports without a job file: 1."};
    for (size_t i = 0; i < MR_COUNT(parts); i++)
        cr_expect_not_null(strstr(text, parts[i]), "%s in %s", parts[i], text);
}

Test(share, a_run_that_is_ended_leaves_no_old_answer_behind, .timeout = 60) {
#ifdef MR_ARENA_SEPARATE
    cr_skip_test("a limit on addresses cannot hold under the address sanitizer");
#endif
    make_job("a", 250);
    cr_assert_eq(cli_run("sweep ."), 1);
    cr_expect_not_null(strstr(text_in("a/answer.txt"), "The job is not shown"));
    put_reading("a", 150);
    cr_assert_eq(cli_run("sweep --memory 20 ."), 4, "%s%s", cli_out, cli_err);
    cr_expect_not_null(strstr(text_in("a/answer.txt"), "No report"), "%s", text_in("a/answer.txt"));
    cr_expect(cli_there("a/reports/NOT-PUBLISHED.txt"));
}

Test(share, the_watcher_answers_what_a_clerk_drops, .timeout = 120) {
    pid_t pid = start("watch", "-q");
    char path[128];
    snprintf(path, sizeof path, "%s/new", cli_dir);
    cr_assert_eq(mkdir(path, 0777), 0);
    put_reading("new", 150);
    cr_expect(wait_for("new/answer.txt", "values in job.milrise still have to be filled in."));
    cr_expect_not_null(strstr(text_in("new/job.milrise"), "dates = 2026-05-11 .. 2026-05-11"));
    make_job("quay", 150);
    cr_expect(wait_for("quay/answer.txt", "The job does not conform"));
    cli_put("quay/gauge.csv", "Date,Time,Zone,Spot,Read"); /* a copy under way */
    rest(200);
    put_reading("quay", 250);
    cr_expect(wait_for("quay/answer.txt", "The job is not shown to conform"), "%s", text_in("quay/answer.txt"));
    cr_expect_str_eq(text_in("quay/zones.csv"), "Zone,Area (m2),Coats\nDeck,10,1\n");
    kill(pid, SIGTERM);
    int status;
    cr_assert_eq(waitpid(pid, &status, 0), pid);
    cr_expect(WIFEXITED(status) && WEXITSTATUS(status) == 0);
}

Test(share, a_job_has_one_writer_and_a_lease_ends_by_its_age) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_job_lock lock, other;
    cr_assert(mr_job_lock(arena, cli_dir, &lock));
    errno = 0;
    cr_expect_not(mr_job_lock(arena, cli_dir, &other));
    cr_expect_eq(errno, EAGAIN);
    mr_job_unlock(&other); /* harmless */
    mr_job_unlock(&lock);
    cr_expect(mr_job_lock(arena, cli_dir, &lock));
    mr_job_unlock(&lock);

    const char *path = mr_printf(arena, "%s/.lease", cli_dir);
    int fd = mr_job_lease(arena, path, 60, false);
    cr_assert_geq(fd, 0);
    close(fd); /* its holder is gone, and nobody asks whether a process lives */
    cr_expect_eq(mr_job_lease(arena, path, 60, false), -1);
    struct timespec old[2] = {{time(NULL) - 61, 0}, {time(NULL) - 61, 0}};
    cr_assert_eq(utimensat(0, path, old, 0), 0);
    fd = mr_job_lease(arena, path, 60, false);
    cr_expect_geq(fd, 0);
    struct mr_job_lock held = {-1, fd, path, -1};
    int64_t now_s;
    cr_expect(mr_job_lock_renew(&held, &now_s)); /* a renewed one is not void */
    cr_expect_leq(llabs((long long)now_s - (long long)time(NULL)), 2);
    cr_expect_eq(mr_job_lease(arena, path, 60, false), -1);
    cr_assert_eq(rename(path, mr_printf(arena, "%s.other", path)), 0); /* taken over by another machine */
    cli_put(".lease", "host elsewhere\nboot x\nprocess 1\n");
    cr_expect_not(mr_job_lock_renew(&held, &now_s));
    mr_job_unlock(&held);
    cr_expect(cli_there(".lease")); /* another's lease is left to it */
    cr_expect_eq(mr_job_lease(arena, path, 60, false), -1);

    char host[256] = "";
    gethostname(host, sizeof host - 1);
    cli_put(".lease", mr_printf(arena, "host %s\nboot of another day\nprocess 1\n", host));
    fd = mr_job_lease(arena, path, 60, false); /* this machine made it before it was started anew */
    cr_expect_geq(fd, 0);
    held = (struct mr_job_lock){-1, fd, path, -1};
    mr_job_unlock(&held);
    cr_expect_not(cli_there(".lease"));
    mr_arena_free(arena);
}

/* What is a local disk here may be a mount elsewhere, to which the kernel's lock says nothing. */
Test(share, a_local_disk_heeds_the_leases_of_others_and_makes_its_own) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_job_lock lock;
    cr_assert(mr_job_lock(arena, cli_dir, &lock));
    cr_expect(cli_there("reports/.lease"));
    mr_job_unlock(&lock);
    cr_expect_not(cli_there("reports/.lease"));

    cli_put("reports/.lease", "host elsewhere\nboot x\nlock kernel\nprocess 1\n");
    errno = 0;
    cr_expect_not(mr_job_lock(arena, cli_dir, &lock));
    cr_expect_eq(errno, EAGAIN);
    const char *path = mr_printf(arena, "%s/reports/.lease", cli_dir);
    cr_assert_eq(unlink(path), 0);

    close(mr_job_lease(arena, path, 60, true)); /* its holder was killed; that the kernel's lock is free proves it */
    cr_assert(mr_job_lock(arena, cli_dir, &lock));
    mr_job_unlock(&lock);
    close(mr_job_lease(arena, path, 60, false)); /* by another mount of this machine, whose lock may not be seen */
    cr_expect_not(mr_job_lock(arena, cli_dir, &lock));
    mr_arena_free(arena);
}
