/*
 * test_full_disk.c - a disk that is really full: the reports on a small file system of their own, filled to the last
 * byte or to some kilobytes before it. Needs a user namespace to mount one in; without it the test says so.
 */
#include "milrise/base.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

/* $1 milrise, $2 a new folder, $3 KiB left free, $4 an option of the reports, $5 KiB of TMPDIR that are taken; says
 * what is wrong, one line each. */
static const char script[] =
    "bin=$1; cd $2 || exit 9; mkdir -p job/reports tmp; mount -t tmpfs -o size=6m tmpfs job/reports || exit 77\n"
    "mount -t tmpfs -o size=4096k tmpfs tmp || exit 77; head -c $(($5 * 1024)) /dev/zero > tmp/fill; export "
    "TMPDIR=$PWD/tmp\n"
    "printf '[job]\\nname = F\\ntime zone = UTC\\n[thickness]\\nminimum = 200 um\\n' > job/job.milrise\n"
    "printf 'zone,area\\nDeck,10\\n' > job/zones.csv\n"
    "printf 'time,zone,area,spot,thickness [um]\\n2026-05-11 14:00:00,Deck,1,1,250\\n' > job/thickness.csv\n"
    "$bin report -q $4 job >log 2>&1; rc=$?; [ $rc = 1 ] || echo first run: status $rc, $(cat log)\n"
    "sums=$(cd job/reports/latest && find . -type f | sort | xargs sha256sum)\n"
    "echo '2026-05-11 14:01:00,Deck,1,1,251' >> job/thickness.csv\n"
    "head -c 8m /dev/zero > job/reports/fill 2>/dev/null\n"
    "size=$(stat -c %s job/reports/fill); truncate -s $((size - $3 * 1024)) job/reports/fill\n"
    "$bin report -q $4 job >log 2>&1; rc=$?\n"
    "[ $rc = 4 ] || echo on the full disk: status $rc, $(cat log)\n"
    "grep -q 'No space left' log && grep -q 'disk that holds the reports is full' log || echo not called full: $(cat "
    "log)\n"
    "[ \"$sums\" = \"$(cd job/reports/latest && find . -type f | sort | xargs sha256sum)\" ] || echo the former "
    "report "
    "changed\n"
    "ls -A job/reports | grep -q '^.making' && echo something is left over\n"
    "[ $3 = 0 ] || grep -q 'NOT PUBLISHED' job/reports/NOT-PUBLISHED.txt || echo no note\n"
    "rm job/reports/fill; $bin report -q $4 job >log 2>&1; rc=$?\n"
    "[ $rc = 1 ] && [ -d job/reports/revision-1 ] || echo after room was made: status $rc, $(cat log)\n"
    "[ ! -e job/reports/NOT-PUBLISHED.txt ] || echo the note stayed\n"
    "exit 0\n";

static void fill_to(int free_kib, const char *option, int tmp_kib) {
    char folder[] = "/tmp/milrise-full-XXXXXX", path[64], command[512], said[4096] = "";
    cr_assert(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/script", folder);
    FILE *f = fopen(path, "w");
    fputs(script, f);
    fclose(f);
    snprintf(command, sizeof command, "unshare -rm sh %s '%s' %s %d '%s' %d 2>&1", path, getenv("MILRISE_BIN"),
             folder, free_kib, option, tmp_kib);
    FILE *p = popen(command, "r");
    said[fread(said, 1, sizeof said - 1, p)] = '\0';
    const int status = pclose(p);
    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    cr_assert_eq(system(command), 0);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0)
        printf("SKIPPED ALOUD: no file system of its own can be mounted here: %s\n", said);
    else
        cr_expect_str_eq(said, "", "%d KiB free %s, %d KiB of TMPDIR taken: %s", free_kib, option, tmp_kib, said);
}

/* The first run of each has a full TMPDIR alone, where it is full, the second full reports too; reports that are full
 * beside a free TMPDIR stand last. */
Test(full_disk, the_former_report_stands_and_the_message_names_the_disk, .timeout = 200) {
    enum { TMP_FULL = 4096 };
    static const int free_kib[] = {0, 4, 16, 40, 80, 120}, free_with_charts[] = {0, 60, 200, 450};
    for (size_t i = 0; i < MR_COUNT(free_kib); i++)
        fill_to(free_kib[i], "--no-charts", TMP_FULL);
    for (size_t i = 0; i < MR_COUNT(free_with_charts); i++)
        fill_to(free_with_charts[i], "", TMP_FULL);
    for (size_t i = 0; i < MR_COUNT(free_with_charts); i++)
        fill_to(free_with_charts[i], "", 0);
}
