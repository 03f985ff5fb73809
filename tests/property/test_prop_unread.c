/*
 * Laws of what cannot be read. A row or a cell of a random job becomes illegible, or such a row is added: whatever it
 * may have said, the zone must not conform. A cell that says itself that it shows nothing is no such cell, and takes
 * nothing back.
 *
 * The laws are the project's own.
 */
#include "random_job.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static const char *const illegible[] = {"<100", ">1500", "(140)", "~140", "140?",       "1O0", "thin",
                                        "14O",  "l40",   "1.2.3", "OL",   "over range", "inf"};

/* Text in the column of figures of a further row, so that the rest is what it was. */
Test(prop_unread, a_further_reading_that_is_illegible_never_conforms, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 600000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[FILM];
        const char *text = illegible[pick(j, MR_COUNT(illegible))];
        memcpy(t->cell[t->rows], t->cell[t->rows - 1], sizeof t->cell[0]);
        snprintf(t->cell[t->rows][1], CELL, "09:10:00");
        snprintf(t->cell[t->rows++][5], CELL, "%s", text);
        const enum mr_outcome after = verdict(j);
        count(&law, seed, text, before, after, after <= MR_CONFORMS || after < before);
    }
    tell("an illegible reading", &law);
}

Test(prop_unread, a_further_coat_that_is_illegible_never_conforms, .timeout = 600) {
    static const char *const rows[][7] = {
        {"2026-05-13", "spray", "Deck", "2", "08:0O", "08:20", "sprayer"},
        {"2026-O5-13", "spray", "Deck", "2", "08:00", "08:20", "sprayer"},
        {"2026-05-32", "spray", "Deck", "2", "08:00", "08:20", "sprayer"},
        {"2026-05-13", "spray", "", "2", "08:00", "08:20", "sprayer"},
        {"2026-05-13", "spray", "Deck", "2", "", "", "sprayer"},
        {"2026-05-13", "sparyed", "Deck", "2", "08:00", "08:20", "sprayer"},
        {"2026-05-13", "spray", "Deck", "2", "26:00", "26:20", "sprayer"},
        {"2026-05-13", "spray", "Deck", "2", "08:00", "08:20", "sprayer,"},
        {"2026-05-13", "\"spray", "Deck", "2", "08:00", "08:20", "sprayer"},
    };
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 700000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[SPRAY];
        const size_t k = pick(j, MR_COUNT(rows));
        for (size_t c = 0; c < t->columns; c++)
            snprintf(t->cell[t->rows][c], CELL, "%s", rows[k][c]);
        if (k == 7)
            snprintf(t->cell[t->rows][6], CELL, "sprayer,8,9");
        t->rows++;
        const enum mr_outcome after = verdict(j);
        count(&law, seed, rows[k][4], before, after, after <= MR_CONFORMS || after < before);
    }
    tell("an illegible coat", &law);
}

/* In the window a humidity that cannot be read may be one above the limit, however good its neighbours are. */
Test(prop_unread, a_humidity_that_is_illegible_never_conforms, .timeout = 600) {
    static const char *const texts[] = {">95", "9O", "99+", "HI", "OL", "95?", "(95)", "106.5", "wet", "~95"};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 800000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[CLIMATE];
        const char *text = texts[pick(j, MR_COUNT(texts))];
        const size_t at = 1 + (60 + pick(j, 10)) / j->step_min; /* 08:00 to 08:09 */
        for (size_t i = at; i <= at + pick(j, 2); i++)
            snprintf(t->cell[i][2], CELL, "%s", text);
        const enum mr_outcome after = verdict(j);
        count(&law, seed, text, before, after, after <= MR_CONFORMS);
    }
    tell("an illegible humidity", &law);
}

Test(prop_unread, cells_that_show_nothing_change_nothing, .timeout = 600) {
    static const char *const texts[] = {"---", "", "n/a", "Err", "*"};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 900000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[FILM];
        const char *text = texts[pick(j, MR_COUNT(texts))];
        memcpy(t->cell[t->rows], t->cell[t->rows - 1], sizeof t->cell[0]);
        snprintf(t->cell[t->rows][1], CELL, "09:10:00");
        snprintf(t->cell[t->rows++][5], CELL, "%s", text);
        const enum mr_outcome after = verdict(j);
        count(&law, seed, text, before, after, after != before);
    }
    tell("a cell that shows nothing", &law);
}

/* From some row on the clock shows less, so that moments stand twice with different values. */
Test(prop_unread, a_clock_that_was_set_back_never_conforms, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 1000000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[CLIMATE];
        const size_t at = 6 + pick(j, t->rows - 12), back = 2 + pick(j, at - 4);
        for (size_t i = at; i < t->rows; i++) {
            const size_t minute = j->step_min * (i - 1 - back);
            snprintf(t->cell[i][0], CELL, "2026-05-11 %02zu:%02zu:00", 7 + minute / 60, minute % 60);
        }
        const enum mr_outcome after = verdict(j);
        count(&law, seed, t->cell[at][0], before, after, after <= MR_CONFORMS);
    }
    tell("a clock set back", &law);
}
