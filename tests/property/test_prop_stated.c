/*
 * test_prop_stated.c - whole jobs, drawn at random, in which a line above a table says of the rows what they do not
 * show, or states what misses a limit: the zone never conforms by it, and a line that holds changes nothing. That the
 * spread is 3 K at least: ISO 8502-4; the rest: common practice, no source.
 */
#include "random_job.h"

#include <criterion/criterion.h>

/* What stands above a table and its rows do not bear out, or what misses a limit there. */
Test(prop_stated, a_line_above_that_the_rows_belie_never_conforms, .timeout = 600) {
    static const struct {
        int file;
        const char *good, *bad;
    } lines[] = {{CLIMATE, "RH sensor: 2\n", "Lowest RH: 2 %\n"},
                 {CLIMATE, "Logger: HY-1\n", "Lowest steel temperature: -3 degC\n"},
                 {CLIMATE, "Samples: 40\n", "Samples: 40000\n"},
                 {CLIMATE, "Downloaded: 2026-05-14\n", "Downloaded: 2026-05-02\n"},
                 {CLIMATE, "Min spread: 5 K\n", "Min spread: 1.2 K\n"},
                 {LINES, "Max line A: 601 kPa\n", "Max line A: 900 kPa\n"},
                 {LINES, "Exported: 2026-05-13\n", "Exported: 2026-05-01\n"},
                 {SPRAY, "RH: 60 %\n", "RH: 93 %\n"},
                 {SPRAY, "Weather: dry\n", "Weather: rain\n"},
                 {FILM, "Report date: 2026-05-20\n", "Report date: 2026-05-01\n"}};
    struct law law = {0}, good = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        enum mr_outcome before = MR_NOT_SHOWN, after[2];
        size_t which = 0;
        for (int bad = 0; bad < 2; bad++) {
            struct whole_job *j = draw(seed + 3100000);
            which = pick(j, MR_COUNT(lines));
            before = verdict(j);
            j->file[lines[which].file].above = bad ? lines[which].bad : lines[which].good;
            after[bad] = verdict(j);
        }
        count(&law, seed, lines[which].bad, before, after[1], after[1] <= MR_CONFORMS);
        count(&good, seed, lines[which].good, before, after[0], after[0] != before);
    }
    tell("a line above that is belied", &law);
    tell("a line above that holds", &good);
}
