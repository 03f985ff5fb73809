/*
 * Laws of whole jobs: what may be of a zone is not lost between two files, two names or two visits.
 *
 *   second visit   thin readings at a spot that is whole, minutes before it or after it, leave no zone conforming;
 * good ones change nothing
 *
 * The laws are the project's own.
 */
#include "random_job.h"

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
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
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
