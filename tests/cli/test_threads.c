/* A report is the same to the byte at any number of threads. */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

TestSuite(threads, .init = cli_begin, .fini = cli_end);

static void report(const char *threads) {
    char command[512];
    snprintf(command, sizeof command, "cp -r sample-data/alder-ford-footbridge %s/job", cli_dir);
    cr_assert_eq(system(command), 0);
    snprintf(command, sizeof command, "report --quiet --threads %s --out out-%s job", threads, threads);
    cr_assert_leq(cli_run(command), 1, "%s", cli_err);
    snprintf(command, sizeof command,
             "cd %s && rm -r job && cd out-%s/latest && sha256sum $(find . -type f | sort) >%s/sums-%s", cli_dir,
             threads, cli_dir, threads);
    cr_assert_eq(system(command), 0);
}

Test(threads, any_number_gives_the_same_bytes) {
    static char one[1 << 17], three[1 << 17];
    char path[128];
    report("1");
    report("3");
    snprintf(path, sizeof path, "%s/sums-1", cli_dir);
    cli_read(path, one, sizeof one);
    snprintf(path, sizeof path, "%s/sums-3", cli_dir);
    cli_read(path, three, sizeof three);
    cr_expect_gt(strlen(one), 1000);
    cr_expect_str_eq(one, three);
}
