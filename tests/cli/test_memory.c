/*
 * test_memory.c - what one more gauge reading costs in memory: held when the judging is done, and at the peak of a
 * report, the first and one that follows on another.
 */
#include "cli/stages.h"
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

enum { FEW = 15000, MANY = 90000, SPOTS_A_ZONE = 100 };

TestSuite(memory, .init = cli_begin, .fini = cli_end, .timeout = 300);

/* Spots of five readings each, a hundred of them on a zone, ten seconds apart. Invented. */
static void put_job(size_t readings) {
    char *text = malloc(readings * 64 + 100), *at = text;
    at += sprintf(at, "time,zone,spot,thickness [um]\n");
    for (size_t i = 0; i < readings; i++) {
        const size_t s = 10 * i, spot = i / 5;
        at += sprintf(at, "2026-05-%02zu %02zu:%02zu:%02zu,Zone %zu,%zu,%zu\n", 1 + s / 86400, s / 3600 % 24,
                      s / 60 % 60, s % 60, spot / SPOTS_A_ZONE + 1, spot % SPOTS_A_ZONE + 1, 240 + i * 7919 % 41);
    }
    cli_put("gauge.csv", text);
    free(text);
    cli_put("job.milrise", "[job]\nname = Memory\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 400 um\n"
                           "readings per spot = 5\nrules = plain-limits\n");
}

static size_t held_after_judging(size_t readings) {
    put_job(readings);
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_run run;
    cr_assert_eq(mr_run_folder(&run, arena, cli_dir, MR_LAST_ASSESS, NULL), MR_OK);
    cr_assert_eq(run.assessment->films.n, readings / 5 / SPOTS_A_ZONE);
    const size_t bytes = mr_arena_bytes(arena);
    mr_arena_free(arena);
    return bytes;
}

Test(memory, a_reading_that_is_judged_leaves_its_row_behind_and_little_else) {
    const size_t few = held_after_judging(FEW), many = held_after_judging(MANY);
    cr_assert_lt((many - few) / (MANY - FEW), 200, "%zu bytes a reading", (many - few) / (MANY - FEW));
}

/* The largest child so far, so the smaller job comes first. */
static size_t peak_bytes(size_t readings) {
    put_job(readings);
    cr_assert_leq(cli_run("report -q --no-charts --threads 1 ."), 1, "%s", cli_err);
    struct rusage usage;
    cr_assert_eq(getrusage(RUSAGE_CHILDREN, &usage), 0);
    return (size_t)usage.ru_maxrss * 1024;
}

Test(memory, at_the_peak_a_reading_takes_as_much_whether_a_former_report_stands_or_not) {
#ifdef __SANITIZE_ADDRESS__
    cr_skip_test("a sanitizer keeps memory of its own beside each reading");
#endif
    const size_t few = peak_bytes(FEW), many = peak_bytes(MANY);
    cr_expect_lt((many - few) / (MANY - FEW), 600, "%zu bytes a reading", (many - few) / (MANY - FEW));
    cli_put("further.csv", "time,zone,spot,thickness [um]\n2026-05-20 10:00:00,Zone 1,1,250\n");
    const size_t again = peak_bytes(MANY);
    cr_expect_lt((again - few) / (MANY - FEW), 600, "%zu bytes a reading", (again - few) / (MANY - FEW));
}
