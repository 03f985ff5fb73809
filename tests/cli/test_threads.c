/* A report is the same to the byte at any number of threads, in any locale and time zone of the machine. */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

TestSuite(threads, .init = cli_begin, .fini = cli_end);

static void report(const char *threads, const char *name) {
    char command[512];
    snprintf(command, sizeof command, "cp -r sample-data/alder-ford-footbridge %s/job", cli_dir);
    cr_assert_eq(system(command), 0);
    snprintf(command, sizeof command, "report --quiet --threads %s job", threads);
    cr_assert_leq(cli_run(command), 1, "%s", cli_err);
    snprintf(
        command, sizeof command,
        "cd %s/job && sha256sum answer.* $(find -L reports/latest -type f | LC_ALL=C sort) >../sums-%s && cd .. && "
        "rm -r job",
        cli_dir, name);
    cr_assert_eq(system(command), 0);
}

static void the_same_bytes(const char *a, const char *b) {
    static char one[1 << 17], other[1 << 17];
    char path[128];
    snprintf(path, sizeof path, "%s/sums-%s", cli_dir, a);
    cli_read(path, one, sizeof one);
    snprintf(path, sizeof path, "%s/sums-%s", cli_dir, b);
    cli_read(path, other, sizeof other);
    cr_expect_gt(strlen(one), 1000);
    cr_expect_str_eq(one, other);
}

Test(threads, any_number_gives_the_same_bytes) {
    setenv("SOURCE_DATE_EPOCH", "1778688000", 1); /* 2026-05-13 16:00 UTC */
    report("1", "1");
    report("3", "3");
    the_same_bytes("1", "3");
}

/* A machine that writes 1,5 and thinks it is elsewhere; the locale is made here, so that no machine need have it. */
Test(threads, any_locale_and_time_zone_give_the_same_bytes) {
    setenv("SOURCE_DATE_EPOCH", "1778688000", 1); /* 2026-05-13 16:00 UTC */
    report("2", "here");
    char command[512];
    snprintf(command, sizeof command,
             "localedef -i de_DE -f UTF-8 %s/de_DE.UTF-8 && test \"$(LOCPATH=%s LC_ALL=de_DE.UTF-8 locale "
             "decimal_point)\" = ,",
             cli_dir, cli_dir);
    cr_assert_eq(system(command), 0, "no locale with a decimal comma could be made");
    setenv("LOCPATH", cli_dir, 1);
    setenv("LC_ALL", "de_DE.UTF-8", 1);
    setenv("TZ", "Asia/Kolkata", 1);
    report("2", "there");
    the_same_bytes("here", "there");
}
