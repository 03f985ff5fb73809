/*
 * Laws of whole jobs, from the text of their exports to the verdict: random jobs of one zone, of which something is
 * taken away or changed.
 *
 *   column gone     a column that is removed never makes the zone conform; one that is needed always leaves it open
 *   file gone       the same for a whole file
 *   damp sample     a sample out of its limits that is added never improves the outcome
 *   same log        rows in another order, a log in two files, an unrelated column change nothing
 *   odd heading     a unit or a place that nobody knows never conforms
 *
 * The laws are the project's own; that the spread is 3 K at least: ISO 8502-4; the numbers of readings: SSPC-PA 2.
 */
#include "random_job.h"

Test(prop_missing, a_column_removed_never_makes_a_zone_conform, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[pick(j, FILES)];
        const size_t column = pick(j, t->columns);
        t->gone[column] = true;
        const enum mr_outcome after = verdict(j);
        count(&law, seed, t->cell[0][column], before, after,
              after <= MR_CONFORMS && (before > MR_CONFORMS || t->needed[column]));
    }
    tell("a column removed", &law);
}

Test(prop_missing, a_file_removed_never_leaves_a_zone_conforming, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 100000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[pick(j, FILES)];
        t->absent = true;
        const enum mr_outcome after = verdict(j);
        count(&law, seed, t->path, before, after, after <= MR_CONFORMS);
    }
    tell("a file removed", &law);
}

/* Out for three samples: one alone may be a fault of the sensor, and is kept apart. */
Test(prop_missing, damp_samples_never_improve_an_outcome, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 200000);
        const enum mr_outcome before = verdict(j);
        struct table *t = &j->file[CLIMATE];
        const size_t from = 1 + pick(j, t->rows - 4), column = 2 + pick(j, 2);
        for (size_t i = from; i < from + 1 + pick(j, 3); i++)
            snprintf(t->cell[i][column], CELL, "%s", column == 2 ? "96.0" : "9.0");
        const enum mr_outcome after = verdict(j);
        count(&law, seed, t->cell[from][0], before, after, after < before);
    }
    tell("samples out of limits", &law);
}

Test(prop_missing, order_files_and_unrelated_columns_change_nothing, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 300000);
        const enum mr_outcome before = verdict(j);
        const size_t file = pick(j, 3) ? CLIMATE : FILM;
        struct table *t = &j->file[file];
        const char *what = "an unrelated column";
        switch (pick(j, 3)) {
        case 0:
            t->reversed = true;
            what = "rows in reverse";
            break;
        case 1:
            t->split = 2 + pick(j, t->rows - 3);
            what = "two files";
            break;
        default:
            for (size_t i = 0; i < t->rows; i++)
                snprintf(t->cell[i][t->columns], CELL, "%s", i ? "3.7" : "Battery [V]");
            t->columns++;
        }
        const enum mr_outcome after = verdict(j);
        count(&law, seed, what, before, after, after != before);
    }
    tell("order, files, unrelated columns", &law);
}

Test(prop_missing, units_and_places_that_nobody_knows_never_conform, .timeout = 600) {
    static const char *const units[] = {"nm", "mV", "kN", "ppm", "furlong", "counts", "mA", "?"};
    static const char *const places[] = {"office", "store", "lab", "workshop", "car", "tent 9", "zqark", "shed"};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 400000);
        const enum mr_outcome before = verdict(j);
        const bool film = pick(j, 2) == 0;
        struct table *t = &j->file[film ? FILM : CLIMATE];
        const size_t column = film ? 5 : t->needed[1] ? 1 + pick(j, 3) : 2 + pick(j, 2);
        char name[CELL];
        snprintf(name, sizeof name, "%.*s", (int)strcspn(t->cell[0][column], "["), t->cell[0][column]);
        if (film || pick(j, 2))
            snprintf(t->cell[0][column], CELL, "%.20s[%s]", name, units[pick(j, MR_COUNT(units))]);
        else
            snprintf(t->cell[0][column], CELL, "%.20s%s [%s]", name, places[pick(j, MR_COUNT(places))],
                     column == 2 ? "%" : "degC");
        const enum mr_outcome after = verdict(j);
        count(&law, seed, t->cell[0][column], before, after, after <= MR_CONFORMS);
    }
    tell("unknown units and places", &law);
}
