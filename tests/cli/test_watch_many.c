/* Many folders at once: each is answered, each once, and a folder that changes over and over keeps no other waiting.
 * The words are ours; the number is what a machine with other work can bear. */
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

enum { FOLDERS = 40, NEW_ONES = 8 };

TestSuite(watch_many, .init = cli_begin, .fini = cli_end);

static const char job[] = "[job]\nname = Quay\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 400 um\n"
                          "rules = plain-limits\n";
static const char film[] = "Date,Time,Zone,Area,Spot,Reading (um)\n2026-05-11,10:00:00,Deck,1,1,250\n"
                           "2026-05-11,10:00:10,Deck,1,1,251\n2026-05-11,10:00:20,Deck,1,1,252\n";

static pid_t watch(void) {
    const pid_t pid = fork();
    if (pid == 0) {
        if (chdir(cli_dir) != 0 || !freopen("log", "a", stdout))
            _exit(9);
        execl(getenv("MILRISE_BIN"), "milrise", "watch", "--settle=1", "share", NULL);
        _exit(9);
    }
    return pid;
}

static void drop(int i, const char *name, const char *text) {
    char path[96];
    snprintf(path, sizeof path, "%s/share/job %d", cli_dir, i);
    mkdir(path, 0777);
    snprintf(path, sizeof path, "share/job %d/%s", i, name);
    cli_put(path, text);
}

static int answered(void) {
    int n = 0;
    for (int i = 0; i < FOLDERS; i++) {
        char path[64];
        snprintf(path, sizeof path, "share/job %d/answer.txt", i);
        n += cli_there(path);
    }
    return n;
}

static int lines_of(const char *log, const char *folder) {
    int n = 0;
    for (const char *p = log; (p = strstr(p, folder)); p += strlen(folder))
        n++;
    return n;
}

Test(watch_many, forty_folders_at_once_are_answered_once_each, .timeout = 400) {
    static char log[1 << 16];
    char path[96], folder[32];
    snprintf(path, sizeof path, "%s/share", cli_dir);
    cr_assert_eq(mkdir(path, 0777), 0);
    const pid_t pid = watch();
    for (int i = 0; i < FOLDERS; i++) {
        drop(i, "film.csv", film);
        if (i >= NEW_ONES)
            drop(i, "job.milrise", job);
    }
    const struct timespec pause = {0, 100000000};
    for (int i = 0; i < 3000 && answered() < FOLDERS; i++) {
        char again[256];
        snprintf(again, sizeof again, "%s%.*s", film, 1 + i % 40, "########################################");
        drop(NEW_ONES, "film.csv", again); /* never at rest, and in nobody's way */
        if (answered() == FOLDERS - 1)
            break;
        nanosleep(&pause, NULL);
    }
    for (int i = 0; i < 600 && answered() < FOLDERS; i++) /* at rest now */
        nanosleep(&pause, NULL);
    cr_expect_eq(answered(), FOLDERS);
    kill(pid, SIGTERM);
    int status;
    cr_assert_eq(waitpid(pid, &status, 0), pid);
    cr_expect(WIFEXITED(status) && WEXITSTATUS(status) == 0);
    snprintf(path, sizeof path, "%s/log", cli_dir);
    cli_read(path, log, sizeof log);
    for (int i = 0; i < FOLDERS; i++) {
        snprintf(folder, sizeof folder, "/job %d: ", i);
        const int n = lines_of(log, folder), least = i < NEW_ONES ? 2 : 1; /* the job file, then the answer */
        cr_expect(n == least || (i == NEW_ONES && n >= 1), "folder %d is told %d times:\n%s", i, n, log);
    }
}
