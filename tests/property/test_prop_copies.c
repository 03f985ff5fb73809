/*
 * Laws of whole jobs on values that stand twice. They are told, and what they were to show is not shown; where
 * nothing stands twice nothing is told.
 *
 *   copied areas    the readings of one area under the name of another are told, in any order of the rows
 *   one value       an area whose readings are all one value is told, and nothing is of readings as they are
 *   one signal      one pressure exported under the headings of both lines is told
 *   another day     a stretch of the lines that stands again under another date is told
 *
 * The laws are the project's own.
 */
#include "random_job.h"

static void copy_area(struct whole_job *j, size_t from, size_t to) {
    struct table *film = &j->file[FILM];
    for (size_t i = 1; i <= 15; i++)
        memcpy(film->cell[15 * (to - 1) + i][5], film->cell[15 * (from - 1) + i][5], CELL);
}

Test(prop_copies, an_area_that_repeats_another_is_told, .timeout = 600) {
    struct law copied = {0}, own = {0};
    size_t told;
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1100000);
        const enum mr_outcome before = verdict_telling(j, "copied-readings", &told);
        count(&own, seed, "no copy", before, before, told != 0);
        const size_t areas = (j->file[FILM].rows - 1) / 15, from = 1 + pick(j, areas), to = from % areas + 1;
        copy_area(j, from, to);
        j->file[FILM].reversed = pick(j, 2);
        const enum mr_outcome after = verdict_telling(j, "copied-readings", &told);
        count(&copied, seed, "a copy", before, after, told != 1 || after <= MR_CONFORMS);
    }
    tell("a copied area is told", &copied);
    tell("no area is told of where none is a copy", &own);
}

Test(prop_copies, an_area_of_one_value_is_told, .timeout = 600) {
    struct law equal = {0}, own = {0};
    size_t told;
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1300000);
        const enum mr_outcome before = verdict_telling(j, "equal-readings", &told);
        count(&own, seed, "readings as they are", before, before, told != 0);
        struct table *film = &j->file[FILM];
        const size_t from = 1 + 15 * pick(j, (film->rows - 1) / 15);
        for (size_t i = from; i < from + 15; i++)
            memcpy(film->cell[i][5], film->cell[from][5], CELL);
        film->reversed = pick(j, 2);
        const enum mr_outcome after = verdict_telling(j, "equal-readings", &told);
        count(&equal, seed, "one value", before, after, told != 1 || after <= MR_CONFORMS);
    }
    tell("an area of one value is told", &equal);
    tell("no area is told of where readings differ", &own);
}

Test(prop_copies, one_signal_under_two_headings_is_told, .timeout = 600) {
    struct law copied = {0}, own = {0};
    size_t told;
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1200000);
        const enum mr_outcome before = verdict_telling(j, "same-lines", &told);
        count(&own, seed, "two signals", before, before, told != 0);
        struct table *lines = &j->file[LINES];
        const size_t from = 1 + pick(j, 3), to = from % 3 + 1;
        for (size_t i = 1; i < lines->rows; i++)
            memcpy(lines->cell[i][to], lines->cell[i][from], CELL);
        const enum mr_outcome after = verdict_telling(j, "same-lines", &told);
        count(&copied, seed, "one signal", before, after, told != 1 || (from < 3 && to < 3 && after <= MR_CONFORMS));
    }
    tell("one signal under two headings is told", &copied);
    tell("two signals are not told of", &own);
}

/* Rows of the first day's lines under the next day's date; where `own`, with other values. */
static void add_day(struct whole_job *j, size_t rows, bool own) {
    struct table *t = &j->file[LINES];
    const size_t from = 1 + pick(j, t->rows - rows);
    for (size_t i = from; i < from + rows; i++, t->rows++) {
        memcpy(t->cell[t->rows], t->cell[i], sizeof t->cell[0]);
        t->cell[t->rows][0][9] = '2'; /* 2026-05-12 */
        for (size_t c = 1; own && c <= 3; c++)
            snprintf(t->cell[t->rows][c], CELL, "%zu", (c == 3 ? 620 : 600) + pick(j, 9));
    }
}

Test(prop_copies, a_day_that_repeats_another_is_told, .timeout = 600) {
    struct law copied = {0}, own = {0};
    size_t told;
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1700000);
        const size_t rows = 64 + pick(j, 8);
        add_day(j, rows, true);
        const enum mr_outcome before = verdict_telling(j, "copied-stretch", &told);
        count(&own, seed, "another day", before, before, told != 0);
        j = draw(seed + 1700000);
        (void)pick(j, 8);
        add_day(j, rows, false);
        const enum mr_outcome after = verdict_telling(j, "copied-stretch", &told);
        count(&copied, seed, "the same day again", before, after, told == 0 || after <= MR_CONFORMS);
    }
    tell("a day that repeats another is told", &copied);
    tell("a day of its own is not told of", &own);
}
