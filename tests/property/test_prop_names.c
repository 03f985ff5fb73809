/*
 * Laws of names that stand under a heading which nobody knows, or which is spelt another way: what is filled in for
 * an absent name must not be filled in beside one.
 *
 *   another gauge   film that names a gauge which was never verified does not conform, whatever its column is called
 *   thin place      a place that is thin in each round of an area does not vanish in the order of the readings
 *   thin area       an area that is thin fails whatever it is called
 *   thin and gone   readings of a thin area that were deleted do not make the zone conform
 *   filed twice     readings that stand under two places, in one file or in two, make no survey complete
 *   another probe   film measured with one probe is not shown by verifications of another
 *
 * The laws are the project's own.
 */
#include "random_job.h"

static const char *const gauges[] = {
    "Gage ID", "Gage #",     "Gage no", "Gage S/N",   "Gauge S/N",    "Device ID", "Meter S/N", "Equipment",
    "Tool no", "Instrument", "Tester",  "DFT device", "Gauge number", "Messgerät", "Gage zorb", "Tester serial"};

Test(prop_names, film_of_another_gauge_never_conforms, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2100000);
        const enum mr_outcome before = verdict(j);
        const bool film = pick(j, 2);
        struct table *t = &j->file[film ? FILM : CHECKS];
        const size_t at = film ? 6 : 2, added = t->columns;
        const bool second = pick(j, 2) && added < MOST_COLUMNS; /* beside a column that is read */
        const char *heading = gauges[pick(j, MR_COUNT(gauges))];
        t->columns += second;
        for (size_t i = 0; i < t->rows; i++)
            snprintf(t->cell[i][second ? added : at], CELL, "%s", i ? "G2" : heading);
        const enum mr_outcome after = verdict(j);
        count(&law, seed, heading, before, after, after <= MR_CONFORMS);
    }
    tell("film or verification of another gauge", &law);
}

Test(prop_names, a_place_that_is_thin_in_each_round_never_conforms, .timeout = 600) {
    static const char *const headings[] = {"Spot", "Pos.", "Place no", "Nr. Punkt", "Pt",  "Mark",
                                           "Zorb", "Posn", "Stelle",   "Point #",   "Pkt", "Location no"};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2200000);
        struct table *t = &j->file[FILM];
        const enum mr_outcome before = verdict(j);
        const char *heading = headings[pick(j, MR_COUNT(headings))];
        snprintf(t->cell[0][4], CELL, "%s", heading);
        for (size_t i = 1; i < t->rows; i++) {
            snprintf(t->cell[i][4], CELL, "%zu", (i - 1) % 5 + 1);
            snprintf(t->cell[i][5], CELL, "%zu", (i - 1) % 5 == 1 ? 120 + pick(j, 8) : 270 + pick(j, 20));
        }
        const enum mr_outcome after = verdict(j);
        count(&law, seed, heading, before, after, after <= MR_CONFORMS);
    }
    tell("a thin place under any heading", &law);
}

/* That it goes out from a failing area is a claim of its name alone. */
Test(prop_names, a_thin_area_never_conforms_whatever_it_is_called, .timeout = 600) {
    static const char *const names[] = {"survey 3",         "Survey A2 north", "survey north",
                                        "survey 1 no room", "trial",           "4"};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2300000);
        struct table *t = &j->file[FILM];
        const enum mr_outcome before = verdict(j);
        const char *name = names[pick(j, MR_COUNT(names))];
        for (size_t i = 0; i < 15; i++, t->rows++) {
            memcpy(t->cell[t->rows], t->cell[1 + i], sizeof t->cell[0]);
            snprintf(t->cell[t->rows][1], CELL, "09:%02zu:%02zu", 30 + i / 3, i % 3 * 8 + 1);
            snprintf(t->cell[t->rows][3], CELL, "%s", name);
            snprintf(t->cell[t->rows][5], CELL, "%zu", 120 + pick(j, 8));
        }
        const enum mr_outcome after = verdict(j);
        count(&law, seed, name, before, after, after != MR_DOES_NOT_CONFORM);
    }
    tell("a thin area under any name", &law);
}

/* The area was measured again, and well; it is the first measurement that was deleted. */
Test(prop_names, a_thin_area_that_was_deleted_never_conforms, .timeout = 600) {
    static const char *const marks[][2] = {{"Status", "deleted"}, {"Deleted", "yes"},  {"Valid", "no"},
                                           {"Excluded", "1"},     {"Note", "deleted"}, {"Reading status", "void"}};
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2400000);
        struct table *t = &j->file[FILM];
        const enum mr_outcome before = verdict(j);
        const size_t k = pick(j, MR_COUNT(marks)), spots = 1 + pick(j, 5), added = t->columns++;
        snprintf(t->cell[0][added], CELL, "%s", marks[k][0]);
        for (size_t i = 0; i < 3 * spots; i++, t->rows++) {
            memcpy(t->cell[t->rows], t->cell[1 + i], sizeof t->cell[0]);
            snprintf(t->cell[t->rows][1], CELL, "08:%02zu:%02zu", 30 + i / 3, i % 3 * 8 + 1);
            snprintf(t->cell[t->rows][5], CELL, "%zu", 120 + pick(j, 8));
            snprintf(t->cell[t->rows][added], CELL, "%s", marks[k][1]);
        }
        const enum mr_outcome after = verdict(j);
        count(&law, seed, marks[k][0], before, after, after <= MR_CONFORMS);
    }
    tell("a thin area that was deleted", &law);
}

/* One reading that does not repeat is a slip, and what was deleted within the limits is nobody's loss. */
Test(prop_names, deleting_a_slip_changes_nothing, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2500000);
        struct table *t = &j->file[FILM];
        const enum mr_outcome before = verdict(j);
        const size_t slips = 1 + pick(j, 3), added = t->columns++;
        snprintf(t->cell[0][added], CELL, "Status");
        for (size_t i = 0; i < slips; i++, t->rows++) {
            memcpy(t->cell[t->rows], t->cell[1 + i], sizeof t->cell[0]);
            snprintf(t->cell[t->rows][1], CELL, "08:%02zu:00", 30 + i);
            snprintf(t->cell[t->rows][5], CELL, "%d", slips < 3 ? 90 : 250);
            snprintf(t->cell[t->rows][added], CELL, "deleted");
        }
        const enum mr_outcome after = verdict(j);
        count(&law, seed, "a slip", before, after, after != before);
    }
    tell("a slip that was deleted", &law);
}

Test(prop_names, readings_that_are_filed_twice_never_conform, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        struct whole_job *j = draw(seed + 2600000);
        struct table *t = &j->file[FILM];
        const enum mr_outcome before = verdict(j);
        for (size_t area = 1; area + 15 <= t->rows; area += 15)
            for (size_t i = 0; i < 6; i++) {
                memcpy(t->cell[area + 9 + i][1], t->cell[area + i][1], CELL);
                memcpy(t->cell[area + 9 + i][5], t->cell[area + i][5], CELL);
            }
        if (pick(j, 2))
            t->split = 10; /* between the first readings and where they stand again */
        const enum mr_outcome after = verdict(j);
        count(&law, seed, t->split ? "two files" : "one file", before, after, after <= MR_CONFORMS);
    }
    tell("readings that are filed twice", &law);
}

Test(prop_names, another_probe_was_never_verified, .timeout = 600) {
    static const char *const headings[] = {"Probe", "Probe serial", "Sonde"};
    struct law law = {0}, own = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++)
        for (int other = 0; other < 2; other++) {
            struct whole_job *j = draw(seed + 2700000);
            const enum mr_outcome before = verdict(j);
            const char *heading = headings[pick(j, MR_COUNT(headings))];
            for (size_t k = 0; k < 2; k++) {
                struct table *t = &j->file[k ? CHECKS : FILM];
                for (size_t i = 0; i < t->rows; i++)
                    snprintf(t->cell[i][t->columns], CELL, "%s", !i ? heading : k && other ? "N2" : "F1");
                t->columns++;
            }
            const enum mr_outcome after = verdict(j);
            count(other ? &law : &own, seed, heading, before, after, other ? after <= MR_CONFORMS : after != before);
        }
    tell("another probe", &law);
    tell("the same probe", &own);
}
