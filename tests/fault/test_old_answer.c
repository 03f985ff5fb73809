/*
 * test_old_answer.c - an answer at the top of the job folder that could not be replaced is older than the run that
 * has just ended: the terminal and the status say so, and where it can be taken away it goes. Needs a user namespace
 * to make a folder read-only or full; without it the test says so.
 */
#include "milrise/base.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

/* $1 milrise, $2 a new folder. A published job whose survey then gets a reading that misses the minimum. */
static const char begin_script[] =
    "bin=$1; cd $2 || exit 9; mkdir job\n"
    "printf '[job]\\nname = F\\ntime zone = UTC\\n[thickness]\\nminimum = 200 um\\n' > job/job.milrise\n"
    "printf 'zone,area\\nDeck,10\\n' > job/zones.csv\n"
    "printf 'time,zone,area,spot,thickness [um]\\n2026-05-11 14:00:00,Deck,1,1,250\\n' > job/thickness.csv\n"
    "run() { $bin report -q --no-charts job >out 2>log; rc=$?; }\n"
    "says() { grep -q \"$1\" log || echo \"not said: $1; said: $(cat log)\"; }\n"
    "once() { [ $(grep -c \"$1\" log) = 1 ] || echo \"not said once: $1; said: $(cat log)\"; }\n"
    "status() { [ $rc = $1 ] || echo \"status $rc, not $1: $(cat log)\"; }\n"
    "read_only() { mount --bind $1 $1 && mount -o remount,bind,ro $1 || exit 77; }\n";

static const struct {
    const char *name, *script;
} cases[] = {
    {"the whole job is read-only", "run; status 1; cp job/answer.txt before\n"
                                   "echo '2026-05-11 14:01:00,Deck,1,1,150' >> job/thickness.csv\n"
                                   "read_only job; run; status 4; cmp -s before job/answer.txt || echo changed\n"
                                   "once '^job/reports: .*Read-only file system'; once '^answer.txt: '\n"
                                   "once '^answer.html: '; says '^answer.txt: .*is from an earlier run'\n"
                                   "says '^NOT-PUBLISHED.txt: .*Read-only file system'\n"},
    {"the job is read-only, its reports are not",
     "run; status 1\n"
     "echo '2026-05-11 14:01:00,Deck,1,1,150' >> job/thickness.csv\n"
     "mount --bind job/reports job/reports || exit 77; mount --bind job job || exit 77\n"
     "mount --bind job/reports job/reports || exit 77; mount -o remount,bind,ro job || exit 77; run; status 4\n"
     "[ $(readlink job/reports/latest) = revision-1 ] || echo no new revision: $(cat log)\n"
     "once '^answer.txt: '; says '^answer.txt: .*is from an earlier run.*Read-only file system'\n"
     "says 'reports/latest'\n"},
    {"a read-only job in which nothing changed", "run; status 1; sleep 1; read_only job\n"
                                                 "$bin report --no-charts job >out 2>log; rc=$?; status 1\n"
                                                 "grep -qE '^(answer|NOT-PUBLISHED)' log && echo said: $(cat log)\n"
                                                 "grep -q unchanged out || echo not unchanged: $(cat out)\n"},
    {"a mistake in the job file of a read-only job", "run; status 1; echo '[nosuch]' >> job/job.milrise\n"
                                                     "read_only job; run; status 2; once '^answer.txt: '\n"
                                                     "once 'is not a section'\n"
                                                     "says '^answer.txt: .*is from an earlier run'\n"},
    {"the job's disk is full, that of its reports is not",
     "mv job j; mkdir job; mount -t tmpfs -o size=64k tmpfs job || exit 77; cp -r j/. job; mkdir job/reports\n"
     "mount -t tmpfs -o size=8m tmpfs job/reports || exit 77; run; status 1\n"
     "echo '2026-05-11 14:01:00,Deck,1,1,150' >> job/thickness.csv; head -c 1m /dev/zero > job/.fill 2>/dev/null\n"
     "run; status 4; says 'No space left on device'; [ ! -e job/answer.txt ] || echo an old answer stands\n"
     "[ ! -e job/answer.html ] || echo an old page stands\n"
     "[ $(readlink job/reports/latest) = revision-1 ] || echo no new revision: $(cat log)\n"
     "says '^answer.txt: .*was removed'; rm job/.fill; run; status 1; [ -e job/answer.txt ] || echo no answer\n"},
    {"a first run on a read-only job", "mkdir job/reports; mount --bind job/reports job/reports || exit 77\n"
                                       "mount --bind job job || exit 77; mount --bind job/reports job/reports\n"
                                       "mount -o remount,bind,ro job || exit 77; run; status 4\n"
                                       "says '^answer.txt: .*could not be written: Read-only file system'\n"
                                       "grep -q 'earlier run' log && echo there was no earlier run: $(cat log)\n"},
    {"the job file is gone, the old answer is not", "run; status 1; rm job/job.milrise; run; status 2\n"
                                                    "grep -q '^No report' job/answer.txt || echo an old answer\n"
                                                    "[ -e job/reports/NOT-PUBLISHED.txt ] || echo no note\n"},
    {"the note cannot be removed", "run; status 1; mkdir job/reports/NOT-PUBLISHED.txt\n"
                                   "$bin report --no-charts job >out 2>log; rc=$?; status 1\n"
                                   "says '^NOT-PUBLISHED.txt: .*could not be removed'\n"},
};

static int run_case(size_t i, char *said, size_t room) {
    char folder[] = "/tmp/milrise-old-XXXXXX", path[64], command[512];
    cr_assert(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/script", folder);
    FILE *f = fopen(path, "w");
    fprintf(f, "%s%s\nexit 0\n", begin_script, cases[i].script);
    fclose(f);
    snprintf(command, sizeof command, "unshare -rm sh %s '%s' %s 2>&1", path, getenv("MILRISE_BIN"), folder);
    FILE *p = popen(command, "r");
    said[fread(said, 1, room - 1, p)] = '\0';
    const int status = pclose(p);
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    cr_assert_eq(system(command), 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128;
}

Test(old_answer, the_terminal_and_the_status_say_that_it_is_old, .timeout = 200) {
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        char said[8192] = "";
        if (run_case(i, said, sizeof said) != 0) {
            printf("SKIPPED ALOUD: no folder of its own can be mounted here: %s\n", said);
            return;
        }
        cr_expect_str_eq(said, "", "%s: %s", cases[i].name, said);
    }
}
