/*
 * Clock estimates on a hundred seeded jobs each: a planted error is recovered within its stated spread, and none is
 * reported where none was planted. The bar, 95 of 100, is that of a 95 % interval.
 */
#include "support/sim_align.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { RUNS = 100 };

struct row {
    const char *name;
    bool log, lines, charged;
    double unit_s, error_s, width_lo, width_hi;
    int loggers, who; /* who is off; loggers = the line logger; -1 = nobody */
    double off_s;
    int least_found; /* findings on the planted clock, of RUNS */
    int most_false;  /* findings on clocks that are right, of RUNS jobs */
};

struct score {
    int estimated, within, found, false_findings;
    double spread_s; /* mean */
};

static struct score run(const struct row *row) {
    struct score s = {0};
    for (int i = 0; i < RUNS; i++) {
        struct alignsim_plan plan = alignsim_plan((uint64_t)i + 1);
        plan.log = row->log;
        plan.lines = row->lines;
        plan.charged = row->charged;
        plan.log_unit_s = row->unit_s;
        plan.log_error_s = row->error_s;
        plan.width_min[0] = row->width_lo;
        plan.width_min[1] = row->width_hi;
        plan.loggers = row->loggers;
        plan.zones = row->loggers > 2 ? 12 : 8;
        if (row->who >= 0)
            plan.off_s[row->who] = row->off_s;
        struct fixture f;
        alignsim_make(&f, &plan);
        fix_align(&f);
        for (size_t c = 0; c < f.aligned->clocks.n; c++) {
            const struct mr_clock *clock = &f.aligned->clocks.v[c];
            bool lines = strcmp(clock->instrument, "PL") == 0;
            int who = lines ? row->loggers : clock->instrument[0] == 'K' ? clock->instrument[1] - '0' : -2;
            bool planted = who == row->who;
            if (!planted)
                s.false_findings += clock->est_finding;
            if (planted || (row->who < 0 && who >= 0)) {
                double truth = planted ? row->off_s : 0;
                s.estimated += clock->estimated;
                s.within += clock->estimated && fabs(clock->est_offset_s - truth) <= clock->est_spread_s;
                s.found += clock->est_finding;
                s.spread_s += clock->estimated ? clock->est_spread_s : 0;
            }
        }
        fix_free(&f);
    }
    s.spread_s /= s.estimated ? s.estimated : 1;
    return s;
}

static void judge(const struct row *row, size_t n) {
    for (size_t i = 0; i < n; i++) {
        struct score s = run(&row[i]);
        int clocks = row[i].who < 0 ? row[i].loggers + row[i].lines : 1;
        printf("%-44s off %6.0f s: estimated %3d of %3d, within spread %3d, findings %3d, false findings %d, mean "
               "spread %.0f s\n",
               row[i].name, row[i].who < 0 ? 0 : row[i].off_s, s.estimated, RUNS * clocks, s.within, s.found,
               s.false_findings, s.spread_s);
        cr_expect_geq(s.within * 100, 95 * (row[i].who < 0 || !row[i].log ? s.estimated : RUNS), "%s: %d within",
                      row[i].name, s.within);
        cr_expect_geq(s.found, row[i].least_found, "%s: %d found", row[i].name, s.found);
        cr_expect_leq(s.false_findings, row[i].most_false, "%s: %d findings on clocks that are right", row[i].name,
                      s.false_findings);
    }
}

Test(prop_align_clock, line_logger_against_the_spray_log, .timeout = 600) {
    static const struct row rows[] = {
        {"lines, log to the minute", true, true, false, 60, 20, 8, 20, 2, 2, 240, 100, 0},
        {"lines, log to the minute, slow", true, true, false, 60, 20, 8, 20, 2, 2, -240, 100, 0},
        {"charged lines, small drop", true, true, true, 60, 20, 8, 20, 2, 2, 240, 100, 0},
        {"lines, log to five minutes", true, true, false, 300, 60, 12, 25, 2, 2, -240, 0, 0},
        {"lines an hour off", true, true, false, 60, 20, 8, 20, 2, 2, 3600, 100, 0},
    };
    judge(rows, MR_COUNT(rows));
}

Test(prop_align_clock, temperature_logger_against_the_spray_log, .timeout = 600) {
    static const struct row rows[] = {
        {"one logger, short windows", true, false, false, 60, 20, 4, 8, 1, 0, 240, 0, 0},
        {"two loggers", true, true, false, 60, 20, 8, 20, 2, 1, 240, 0, 0},
        {"two loggers, slow", true, true, false, 60, 20, 8, 20, 2, 0, -240, 0, 0},
        {"three loggers", true, true, false, 60, 20, 8, 20, 3, 1, 240, 0, 0},
        {"three loggers, slow", true, true, false, 60, 20, 8, 20, 3, 0, -240, 0, 0},
        {"two loggers, ten minutes", true, true, false, 60, 20, 8, 20, 2, 1, 600, 95, 0},
    };
    judge(rows, MR_COUNT(rows));
}

Test(prop_align_clock, temperature_logger_against_the_lines, .timeout = 600) {
    static const struct row rows[] = {
        {"no log, lines only", false, true, false, 60, 20, 8, 20, 2, 1, 600, 0, 0},
        {"no log, lines only, slow", false, true, true, 60, 20, 8, 20, 1, 0, -240, 0, 0},
    };
    judge(rows, MR_COUNT(rows));
}

Test(prop_align_clock, nothing_is_reported_where_nothing_was_planted, .timeout = 600) {
    static const struct row rows[] = {
        {"log and lines", true, true, false, 60, 20, 8, 20, 2, -1, 0, 0, 0},
        {"log and charged lines, three loggers", true, true, true, 60, 20, 8, 20, 3, -1, 0, 0, 0},
        {"log sloppier than its tolerance allows", true, true, false, 60, 45, 8, 20, 2, -1, 0, 0, 3},
        {"long windows", true, true, false, 60, 20, 20, 35, 2, -1, 0, 0, 0},
        {"no log", false, true, false, 60, 20, 8, 20, 2, -1, 0, 0, 0},
    };
    judge(rows, MR_COUNT(rows));
}
