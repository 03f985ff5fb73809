/* A day of the clerk, who has a folder and nothing else: files come in pieces, one at a time, some of them wrong.
 * After each step the answer must say what a person can act on. The words are ours; the steps are common practice, no
 * source. */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

TestSuite(clerks_day, .init = cli_begin, .fini = cli_end);

static const char job[] = "[job]\nname = Quay 7\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 400 um\n"
                          "rules = plain-limits\n";

static pid_t watch(void) {
    const pid_t pid = fork();
    if (pid == 0) {
        if (chdir(cli_dir) != 0 || !freopen("log", "a", stdout))
            _exit(9);
        execl(getenv("MILRISE_BIN"), "milrise", "watch", "--settle=1", "--poll=1", ".", NULL);
        _exit(9);
    }
    return pid;
}

static const char *answer(void) {
    static char text[1 << 17];
    char path[256];
    snprintf(path, sizeof path, "%s/quay/answer.txt", cli_dir);
    cli_read(path, text, sizeof text);
    return text;
}

/* Waits until the answer says the one and no longer says the other. */
static void reads(const char *step, const char *says, const char *gone) {
    const struct timespec pause = {0, 100000000};
    for (int i = 0; i < 600; i++) {
        const char *text = answer();
        if (strstr(text, says) && !(gone && strstr(text, gone)))
            return;
        nanosleep(&pause, NULL);
    }
    cr_expect(false, "%s: \"%s\" is not read, or \"%s\" still is, in:\n%s", step, says, gone ? gone : "", answer());
}

static const char *film(int um) {
    static char text[1 << 14];
    size_t n = (size_t)snprintf(text, sizeof text, "Date,Time,Zone,Area,Spot,Reading (um)\n");
    for (int i = 0; i < 45; i++)
        n += (size_t)snprintf(text + n, sizeof text - n, "2026-05-11,%02d:%02d:00,Deck,%d,%d,%d\n", 9 + i / 30,
                              i % 30, i / 15 + 1, i / 3 + 1, um + i % 7);
    return text;
}

static void drop(const char *name, const char *text) {
    char path[64];
    snprintf(path, sizeof path, "quay/%s", name);
    cli_put(path, text);
}

Test(clerks_day, each_step_leaves_an_answer_that_can_be_acted_on, .timeout = 400) {
    const pid_t pid = watch();
    char path[256], other[256], half[600];
    snprintf(path, sizeof path, "%s/quay", cli_dir);
    cr_assert_eq(mkdir(path, 0777), 0);
    snprintf(half, sizeof half, "%.500s", film(150)); /* the copy is cut off, as when a stick is pulled */
    drop("gauge.csv", half);
    reads("a new folder", "still has to be filled in", NULL);
    drop("job.milrise", "[job]\nname = Quay 7\ntime zon = UTC\n");
    reads("a slip of the pen", "Did you mean \"time zone\"?", "filled in");
    drop("job.milrise", job);
    reads("half of the readings, all thin", "Deck  does not conform", "Did you mean");
    drop("zones.csv", "Zone,Area (m2),Coats\nDeck,10,1\n");
    reads("the register", "zones.csv  zone register", NULL);
    drop("gauge.csv", film(150));
    reads("the whole file", "gauge.csv  thickness readings  45", NULL);
    drop("photo.csv", "\xff\xd8\xff\xe0 no table");
    reads("a file that is none", "photo.csv", NULL);
    snprintf(path, sizeof path, "%s/quay/photo.csv", cli_dir);
    cr_assert_eq(unlink(path), 0);
    reads("it is taken out", "Deck  does not conform", "photo.csv");
    drop("gauge.csv", film(300));
    reads("good readings", "Deck  not shown", "does not conform");
    snprintf(path, sizeof path, "%s/quay/gauge.csv", cli_dir);
    snprintf(other, sizeof other, "%s/quay/gauge 11 May.csv", cli_dir);
    cr_assert_eq(rename(path, other), 0);
    reads("renamed", "gauge 11 May.csv  thickness readings  45", "  gauge.csv");
    kill(pid, SIGTERM);
    int status;
    cr_assert_eq(waitpid(pid, &status, 0), pid);
    cr_expect(WIFEXITED(status) && WEXITSTATUS(status) == 0);
}
