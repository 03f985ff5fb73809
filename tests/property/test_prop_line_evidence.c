/*
 * Laws of whole jobs on the evidence that a log of the lines gives of a coat. The zone never conforms where
 *
 *   a hole          cells of one column are blank, or rows are taken out, in the middle of the coat
 *   an end          the lines stand without pressure for more than clocks explain when the coat begins or ends
 *   bursts          the main leaves its band again and again
 *   a still line    one line shows one value throughout
 *
 * and the lines are not told of any of these where nothing is taken away. The laws are the project's own.
 */
#include "random_job.h"

enum { A = 1, MAIN = 3, STEP_S = 5, BEGIN = 3, STOP = 123 }; /* rows of 08:00:00 and 08:10:00 */

Test(prop_line_evidence, a_hole_in_the_lines_never_conforms, .timeout = 600) {
    static const char *const nothing[] = {"", "---", "n/a"};
    struct law law = {0}, own = {0};
    size_t told;
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1300000);
        const enum mr_outcome before = verdict_telling(j, "line-hole", &told);
        count(&own, seed, "no hole", before, before, told != 0);
        struct table *t = &j->file[LINES];
        const size_t n = 1 + pick(j, 3), at = BEGIN + 1 + pick(j, STOP - BEGIN - n - 1), column = A + pick(j, 3);
        const bool rows = pick(j, 2) == 0;
        if (rows) {
            memmove(t->cell[at], t->cell[at + n], (t->rows - at - n) * sizeof t->cell[0]);
            t->rows -= n;
        }
        const char *text = nothing[pick(j, MR_COUNT(nothing))];
        for (size_t i = at; i < at + n && !rows; i++)
            snprintf(t->cell[i][column], CELL, "%s", text);
        const enum mr_outcome after = verdict_telling(j, "line-hole", &told);
        count(&law, seed, rows ? "rows" : "cells", before, after, after <= MR_CONFORMS || told != 1);
    }
    tell("a hole in the lines", &law);
    tell("no hole is told of where there is none", &own);
}

Test(prop_line_evidence, a_coat_that_begins_or_ends_without_pressure_never_conforms, .timeout = 600) {
    struct law law = {0}, slack = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1400000);
        size_t told;
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[LINES];
        const bool late = pick(j, 2), much = pick(j, 2);
        const size_t n = (much ? 125 + pick(j, 150) : pick(j, 110)) / STEP_S + 1;
        for (size_t i = late ? 1 : STOP - n; i < (late ? BEGIN + n : t->rows); i++)
            for (size_t c = A; c <= MAIN; c++)
                snprintf(t->cell[i][c], CELL, "0");
        const enum mr_outcome after = verdict_telling(j, "no-pressure-at-end", &told);
        if (much)
            count(&law, seed, late ? "up late" : "down early", before, after, after <= MR_CONFORMS || told != 1);
        else
            count(&slack, seed, late ? "up late" : "down early", before, after, told != 0);
    }
    law.jobs += slack.jobs;
    law.outcome[MR_CONFORMS] += slack.outcome[MR_CONFORMS];
    law.violations += slack.violations;
    tell("an end without pressure", &law);
}

Test(prop_line_evidence, a_main_out_in_bursts_never_conforms, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1500000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[LINES];
        const size_t every = 2 + pick(j, 4), from = BEGIN + 4 + pick(j, 20), kpa = pick(j, 2) ? 400 : 900;
        for (size_t i = from; i < STOP - 4; i += every)
            snprintf(t->cell[i][MAIN], CELL, "%zu", kpa);
        const enum mr_outcome after = verdict(j);
        count(&law, seed, kpa == 400 ? "low" : "high", before, after, after != MR_DOES_NOT_CONFORM);
    }
    tell("a main out in bursts", &law);
}

Test(prop_line_evidence, a_line_that_stands_still_never_conforms, .timeout = 600) {
    struct law law = {0}, own = {0};
    size_t told;
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1600000);
        const enum mr_outcome before = verdict_telling(j, "still-line", &told);
        count(&own, seed, "moving lines", before, before, told != 0);
        struct table *t = &j->file[LINES];
        const size_t column = A + pick(j, 2), kpa = 600 + pick(j, 9), kept = pick(j, 40);
        for (size_t i = kept; i < t->rows; i++)
            if (i)
                snprintf(t->cell[i][column], CELL, "%zu", kpa);
        const enum mr_outcome after = verdict_telling(j, "still-line", &told);
        count(&law, seed, "one value", before, after, after <= MR_CONFORMS || told == 0);
    }
    tell("a line that stands still", &law);
    tell("lines that move are not told of", &own);
}
