/*
 * Laws of whole jobs: what may be of a zone is not lost between two files, two names or two visits.
 *
 *   second visit   thin readings at a spot that is whole, minutes before it or after it, leave no zone conforming;
 * good ones change nothing
 *   taken off      film that the spray log says was taken off after the survey leaves no zone conforming; taken off
 *                  before the coat, it changes nothing
 *   no zone        thin readings that name no zone, or none that is one, leave no zone conforming that they may be
 * of; good ones change nothing names alike    a second row of the register whose name reads like the zone's leaves it
 * not conforming
 *   statistics     an export that gives other statistics of its rows than they have leaves no zone conforming; its
 * own ones, and those of the checks, change nothing gauge harmed   nor does a note that the gauge was dropped or put
 * right when it was checked after the work
 *   two files      a survey with two readings a spot, in two files under an alias or without a serial, conforms in
 * none; a whole survey that stands in two files as well stays what it is register asks  a column of the register that
 * asks what nobody reads leaves the zone not conforming; others do not
 *
 * The laws are the project's own.
 */
#include "random_job.h"

#include <stdlib.h>

/* Two readings of a spot, at a minute of the hour after the survey or of the one before it. */
static void visit_again(struct whole_job *j, bool before, size_t um) {
    struct table *t = &j->file[FILM];
    const size_t of = 1 + 3 * pick(j, (t->rows - 1) / 3), minute = before ? 50 + pick(j, 9) : 6 + pick(j, 8);
    for (size_t k = 0; k < 2; k++) {
        char(*row)[CELL] = t->cell[t->rows];
        memcpy(row, t->cell[of], sizeof t->cell[0]);
        snprintf(row[1], CELL, "%s:%02zu:%02zu", before ? "08" : "09", minute, 30 + 7 * k);
        snprintf(row[5], CELL, "%zu", um + pick(j, 20));
        t->rows++;
    }
}

Test(prop_seams, a_second_visit_hides_nothing_of_a_spot, .timeout = 600) {
    struct law law = {0}, good = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        for (int thin = 0; thin < 2; thin++) {
            struct whole_job *j = draw(seed + 2600000);
            const enum mr_outcome before = verdict(j);
            visit_again(j, pick(j, 2) == 0, thin ? 120 : 240);
            const enum mr_outcome after = verdict(j);
            count(thin ? &law : &good, seed, "visited again", before, after,
                  thin ? after <= MR_CONFORMS : before <= MR_CONFORMS && after > MR_CONFORMS);
        }
    }
    tell("a thin second visit", &law);
    tell("a good second visit", &good);
}

Test(prop_seams, film_taken_off_after_the_survey_never_conforms, .timeout = 600) {
    static const char *const words[] = {"stripped to bare steel",
                                        "ground off",
                                        "coating removed",
                                        "sanded back",
                                        "blasted off",
                                        "gestrahlt",
                                        "entfernt",
                                        "rimosso",
                                        "grinding",
                                        "water jetting"};
    struct law law = {0}, before_coat = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++) {
        for (int after = 0; after < 2; after++) {
            struct whole_job *j = draw(seed + 2700000);
            const enum mr_outcome before = verdict(j);
            struct table *t = &j->file[SPRAY];
            const size_t w = pick(j, MR_COUNT(words));
            char(*row)[CELL] = t->cell[after ? 2 : 1];
            memcpy(t->cell[2], t->cell[1], sizeof t->cell[0]);
            t->rows++;
            snprintf(row[0], CELL, after ? "2026-05-13" : "2026-05-10");
            snprintf(row[1], CELL, "%s", words[w]);
            snprintf(row[2], CELL, "%s", pick(j, 3) ? "Deck" : "");
            snprintf(row[3], CELL, "%s", pick(j, 2) ? "1" : "");
            if (!*row[2] && w != 0 && w != 2) /* without a zone, it must speak of film */
                snprintf(row[1], CELL, "film %s", words[w]);
            const enum mr_outcome now = verdict(j);
            count(after ? &law : &before_coat, seed, row[1], before, now, after ? now <= MR_CONFORMS : now != before);
        }
    }
    tell("taken off after the survey", &law);
    tell("taken off before the coat", &before_coat);
}

/* Readings of area 4 behind the survey, under that word for a zone. */
static void without_zone(struct whole_job *j, const char *word, size_t um) {
    struct table *t = &j->file[FILM];
    const size_t n = 1 + pick(j, 9);
    for (size_t k = 0; k < n; k++) {
        char(*row)[CELL] = t->cell[t->rows++];
        memcpy(row, t->cell[1], sizeof t->cell[0]);
        snprintf(row[1], CELL, "10:%02zu:%02zu", 7 * k / 60, 7 * k % 60);
        snprintf(row[2], CELL, "%s", word);
        snprintf(row[3], CELL, "4");
        snprintf(row[4], CELL, "%zu", 1 + k / 3);
        snprintf(row[5], CELL, "%zu", um + pick(j, 20));
    }
}

Test(prop_seams, thin_readings_without_a_zone_leave_it_open, .timeout = 600) {
    static const char *const words[] = {"", "-", "?", "n/a", "none", "see note", "tbd", "x", "unbekannt", "aucune"};
    struct law law = {0}, good = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++)
        for (int thin = 0; thin < 2; thin++) {
            struct whole_job *j = draw(seed + 2800000);
            const enum mr_outcome before = verdict(j);
            const char *word = words[pick(j, MR_COUNT(words))];
            without_zone(j, word, thin ? 120 : 240);
            const enum mr_outcome after = verdict(j);
            count(thin ? &law : &good, seed, word, before, after, thin ? after <= MR_CONFORMS : after != before);
        }
    tell("thin readings without a zone", &law);
    tell("good readings without a zone", &good);
}

Test(prop_seams, names_of_the_register_that_read_alike_are_not_one_zone, .timeout = 600) {
    static const char *const names[] = {"Deck!", "De-ck", "+Deck", "-Deck", "Deck #", "D.eck"};
    struct law law = {0}, same = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++)
        for (int twice = 0; twice < 2; twice++) {
            struct whole_job *j = draw(seed + 2900000);
            const enum mr_outcome before = verdict(j);
            struct table *t = &j->file[ZONES];
            memcpy(t->cell[t->rows++], t->cell[1], sizeof t->cell[0]);
            if (!twice)
                snprintf(t->cell[2][0], CELL, "%s", names[pick(j, MR_COUNT(names))]);
            snprintf(t->cell[2][1], CELL, "%s", "");
            const enum mr_outcome after = verdict(j);
            count(twice ? &same : &law, seed, t->cell[2][0], before, after,
                  twice ? after != before : after <= MR_CONFORMS);
        }
    tell("names that read alike", &law);
    tell("the row written twice", &same);
}

/* Least, most, mean and number of the readings. */
static void statistics_of(const struct table *t, double out[4]) {
    out[0] = 1e9;
    out[1] = out[2] = 0;
    out[3] = (double)(t->rows - 1);
    for (size_t i = 1; i < t->rows; i++) {
        const double um = strtod(t->cell[i][5], NULL);
        out[0] = um < out[0] ? um : out[0];
        out[1] = um > out[1] ? um : out[1];
        out[2] += um / out[3];
    }
}

Test(prop_seams, statistics_that_are_not_those_of_the_rows_never_conform, .timeout = 600) {
    static const struct {
        const char *name, *unit;
        int of, decimals;
        double factor; /* of what is so */
    } lines[] = {{"Number of readings: ", "", 3, 0, 1.4},
                 {"n=", "", 3, 0, 1.6},
                 {"Minimum: ", " um", 0, 0, 0.45},
                 {"Min,", "", 0, 1, 0.5},
                 {"Maximum: ", " um", 1, 0, 2},
                 {"Mean: ", " um", 2, 1, 0.7},
                 {"Mittelwert: ", "", 2, 0, 1.3},
                 {"Records,", "", 3, 0, 2},
                 {"Count: ", "", 3, 0, 0.67},
                 {"Anzahl,", "", 3, 0, 0.5}};
    static char above[80];
    struct law law = {0}, own = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++)
        for (int wrong = 0; wrong < 2; wrong++) {
            struct whole_job *j = draw(seed + 3000000);
            const enum mr_outcome before = verdict(j);
            double is[4];
            statistics_of(&j->file[FILM], is);
            const size_t k = pick(j, MR_COUNT(lines));
            snprintf(above, sizeof above, "%s%.*f%s\n", lines[k].name, lines[k].decimals,
                     is[lines[k].of] * (wrong ? lines[k].factor : 1), lines[k].unit);
            j->file[FILM].above = above;
            const enum mr_outcome after = verdict(j);
            count(wrong ? &law : &own, seed, above, before, after, wrong ? after <= MR_CONFORMS : after != before);
        }
    tell("statistics that are not so", &law);
    tell("the export's own statistics", &own);
}

Test(prop_seams, a_gauge_that_was_harmed_at_its_check_shows_nothing, .timeout = 600) {
    static const char *const words[] = {"gauge dropped after", "zero lost",   "readjusted",      "probe replaced",
                                        "first try failed",    "fell down",   "off by 20",       "heruntergefallen",
                                        "Nullpunkt verstellt", "damaged tip", "out of tolerance"};
    static const char *const calm[] = {"ok", "on shims", "new foil", "battery changed", "done by the inspector",
                                       "gut"};
    struct law law = {0}, good = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++)
        for (int harmed = 0; harmed < 2; harmed++) {
            struct whole_job *j = draw(seed + 3100000);
            const enum mr_outcome before = verdict(j);
            struct table *t = &j->file[CHECKS];
            const char *word = harmed ? words[pick(j, MR_COUNT(words))] : calm[pick(j, MR_COUNT(calm))];
            snprintf(t->cell[0][t->columns], CELL, "Note");
            for (size_t i = 1; i < t->rows; i++)
                snprintf(t->cell[i][t->columns], CELL, "%s", i > 2 ? word : "");
            t->columns++;
            const enum mr_outcome after = verdict(j);
            count(harmed ? &law : &good, seed, word, before, after, harmed ? after <= MR_CONFORMS : after != before);
        }
    tell("a gauge that was harmed", &law);
    tell("a note that says nothing", &good);
}

/* The film once more in a second file, which gives the serial, or the zone, in another way. */
static void stand_twice(struct whole_job *j, size_t way) {
    struct table *t = &j->file[FILM];
    const size_t n = t->rows;
    for (size_t i = 1; i < n; i++) {
        char(*row)[CELL] = t->cell[t->rows++];
        memcpy(row, t->cell[i], sizeof t->cell[0]);
        if (way == 0)
            snprintf(row[6], CELL, "%s", "");
        else if (way == 1)
            snprintf(row[2], CELL, "D1");
        else
            snprintf(row[1], CELL, "10%s", t->cell[i][1] + 2); /* another clock */
    }
    t->split = n;
}

/* Every third reading out of the film. */
static void take_thirds_out(struct table *t) {
    size_t kept = 1;
    for (size_t i = 1; i < t->rows; i++)
        if (i % 3)
            memmove(t->cell[kept++], t->cell[i], sizeof t->cell[0]);
    t->rows = kept;
}

Test(prop_seams, readings_in_two_files_count_once, .timeout = 600) {
    struct law law = {0}, whole = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++)
        for (int few = 0; few < 2; few++) {
            struct whole_job *j = draw(seed + 3200000);
            const enum mr_outcome before = verdict(j);
            const size_t way = pick(j, few ? 3 : 2);
            if (few)
                take_thirds_out(&j->file[FILM]);
            stand_twice(j, way);
            const enum mr_outcome after = verdict(j);
            count(few ? &law : &whole, seed,
                  way == 0   ? "no serial"
                  : way == 1 ? "alias"
                             : "clock",
                  before, after, few ? after <= MR_CONFORMS : after != before);
        }
    tell("two readings a spot, twice", &law);
    tell("a whole survey, twice", &whole);
}

Test(prop_seams, a_register_that_asks_more_never_conforms, .timeout = 600) {
    static const char *const asks[][2] = {
        {"Max RH", "50"},          {"Areas required", "6"},    {"Min spread K", "6"},
        {"Acceptance", "level 1"}, {"Tolerance", "-0/+20 um"}, {"Readings per spot", "5"},
        {"Note", "min 300 um"},    {"Mindestdicke", "300 um"}, {"DFT range", "300-400 um"}};
    static const char *const calm[][2] = {{"Drawing", "D-12"},    {"Length (m)", "5"}, {"Crew", "2"},
                                          {"Note", "windy side"}, {"Phase", "1"},      {"Start date", "2026-05-11"},
                                          {"Max RH", ""},         {"Max RH", "none"},  {"Elevation (m)", "12"}};
    struct law law = {0}, other = {0};
    for (uint64_t seed = 1; seed <= law_jobs(); seed++)
        for (int more = 0; more < 2; more++) {
            struct whole_job *j = draw(seed + 3300000);
            const enum mr_outcome before = verdict(j);
            struct table *t = &j->file[ZONES];
            const size_t k = pick(j, MR_COUNT(asks));
            snprintf(t->cell[0][t->columns], CELL, "%s", more ? asks[k][0] : calm[k][0]);
            snprintf(t->cell[1][t->columns++], CELL, "%s", more ? asks[k][1] : calm[k][1]);
            const enum mr_outcome after = verdict(j);
            count(more ? &law : &other, seed, t->cell[0][t->columns - 1], before, after,
                  more ? after <= MR_CONFORMS : after != before);
        }
    tell("a register that asks more", &law);
    tell("other columns of a register", &other);
}
