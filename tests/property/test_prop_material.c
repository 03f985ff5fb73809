/*
 * Laws of whole jobs on the material log. They are the project's own.
 *
 * Time: levels read before the coat, on its day or the day before, never show its ratio; read after it they do, and
 * so does the coat's day without a time.
 *
 * Joining: where levels of a drum do not join, the job conforms only if the ratio holds with what is gone, or there
 * again, counted in.
 *
 * Arrival: a lot that was made or arrived after the coat is not shown to be on it; one that was there before is.
 *
 * Reading: a row that cannot be read may hold just what fails, and leaves the balance not shown.
 */
#include "random_job.h"

enum { DATE, TIME, PART, DRUM, LOT, BEFORE, AFTER };

static void set(struct whole_job *j, size_t row, size_t column, const char *text) {
    snprintf(j->file[MATERIAL].cell[row][column], CELL, "%s", text);
}

Test(prop_material, levels_read_before_the_coat_never_show_it, .timeout = 600) {
    static const char *const early[][2] = {{"2026-05-10", "09:30"}, {"2026-05-10", "23:59"}, {"2026-05-10", ""},
                                           {"2026-05-11", "00:01"}, {"2026-05-11", "07:59"}, {"2026-05-11", "08:00"},
                                           {"2026-05-11", "08:08"}, {"2026-05-12", ""}};
    static const char *const late[][2] = {
        {"2026-05-11", "08:10"}, {"2026-05-11", "17:00"}, {"2026-05-12", "07:00"}, {"2026-05-11", ""}};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        for (int is_late = 0; is_late < 2; is_late++) {
            struct whole_job *j = draw(seed + 2100000);
            add_material(j);
            const enum mr_outcome before = verdict(j);
            const char *const *at = is_late ? late[pick(j, MR_COUNT(late))] : early[pick(j, MR_COUNT(early))];
            const size_t from = is_late ? 1 : 1 + pick(j, 2), to = is_late ? 2 : from + pick(j, 3 - from);
            for (size_t row = from; row <= to; row++) {
                set(j, row, DATE, at[0]);
                set(j, row, TIME, at[1]);
            }
            const enum mr_outcome after = verdict(j);
            count(is_late ? &quiet : &law, seed, at[1], before, after,
                  is_late ? after != before : after <= MR_CONFORMS);
        }
    }
    tell("levels read before the coat", &law);
    tell("levels read after the coat", &quiet);
}

/* The log in two readings of each drum, 20 L of each part in all; tenths of a litre are gone from one of them between
 * the readings. */
static void part_levels(struct whole_job *j, bool of_a, int gone, int used) {
    struct table *t = &j->file[MATERIAL];
    for (size_t row = 1; row <= 2; row++) {
        memcpy(t->cell[row + 2], t->cell[row], sizeof t->cell[row]);
        const int lost = (row == 1) == of_a ? gone : 0;
        snprintf(t->cell[row][AFTER], CELL, "%.1f", (1000 - used) / 10.0);
        snprintf(t->cell[row + 2][BEFORE], CELL, "%.1f", (1000 - used - lost) / 10.0);
        snprintf(t->cell[row + 2][AFTER], CELL, "%.1f", (1000 - 200 - lost) / 10.0);
        set(j, row + 2, TIME, "09:30");
    }
    t->rows = 5;
    t->reversed = pick(j, 2);
}

Test(prop_material, levels_that_do_not_join_show_no_ratio, .timeout = 600) {
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++)
        for (int much = 0; much < 2; much++) {
            struct whole_job *j = draw(seed + 2200000);
            add_material(j);
            const enum mr_outcome before = verdict(j);
            const bool of_a = pick(j, 2) == 0; /* 5 % of 20 L are 1 L; of the other part a little less holds, too */
            const int gone = (much ? 12 + (int)pick(j, 70) : (int)pick(j, 10)) * (pick(j, 2) ? 1 : -1);
            part_levels(j, of_a, gone, 40 + (int)pick(j, 100));
            const enum mr_outcome after = verdict(j);
            count(much ? &law : &quiet, seed, "gone or there again", before, after,
                  much ? after <= MR_CONFORMS : after != before);
        }
    tell("levels that do not join", &law);
    tell("levels that join within the tolerance", &quiet);
}

Test(prop_material, a_lot_that_was_not_there_yet_is_not_shown, .timeout = 600) {
    static const char *const headings[] = {"Received", "Delivery date", "Manufactured",
                                           "Mfg date", "Lieferdatum",   "Date of manufacture"};
    struct law law = {0}, quiet = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++)
        for (int ahead = 0; ahead < 2; ahead++) {
            struct whole_job *j = draw(seed + 2300000);
            add_material(j);
            const enum mr_outcome before = verdict(j);
            struct table *t = &j->file[MATERIAL];
            const char *heading = headings[pick(j, MR_COUNT(headings))];
            for (size_t row = 0; row < t->rows; row++)
                snprintf(t->cell[row][t->columns], CELL, "%s", !row ? heading : ahead ? "2026-05-12" : "2026-05-11");
            t->columns++;
            const enum mr_outcome after = verdict(j);
            count(ahead ? &law : &quiet, seed, heading, before, after,
                  ahead ? after <= MR_CONFORMS : after != before);
        }
    tell("a lot that was not there yet", &law);
    tell("a lot that was there", &quiet);
}

Test(prop_material, a_row_that_cannot_be_read_never_conforms, .timeout = 600) {
    static const struct {
        size_t column;
        const char *text;
    } cells[] = {{TIME, "1O:40"}, {DATE, "2026-O5-11"}, {AFTER, "8O"}, {BEFORE, "1oo"}, {AFTER, "~60"}};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2900000);
        add_material(j);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[MATERIAL];
        memcpy(t->cell[t->rows], t->cell[1 + pick(j, 2)], sizeof t->cell[0]);
        const size_t k = pick(j, MR_COUNT(cells));
        set(j, t->rows, DRUM, "9");
        set(j, t->rows++, cells[k].column, cells[k].text);
        const enum mr_outcome after = verdict(j);
        count(&law, seed, cells[k].text, before, after, after <= MR_CONFORMS);
    }
    tell("a row that cannot be read", &law);
}
