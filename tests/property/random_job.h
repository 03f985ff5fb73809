/*
 * random_job.h - random jobs of one zone, as the texts of their exports, to take something away from or to change;
 * and the count of a law over them.
 */
#ifndef MILRISE_TESTS_PROPERTY_RANDOM_JOB_H
#define MILRISE_TESTS_PROPERTY_RANDOM_JOB_H

#include "milrise/assess.h"
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

enum { FILES = 6, MOST_COLUMNS = 8, MOST_ROWS = 204, CELL = 40 };
enum { CLIMATE, FILM, SPRAY, CHECKS, LINES, ZONES, MATERIAL = FILES };

struct table {
    const char *path, *above; /* above: the lines above the table; NULL */
    size_t columns, rows;     /* row 0 is the heading */
    char cell[MOST_ROWS][MOST_COLUMNS][CELL];
    bool needed[MOST_COLUMNS];
    bool gone[MOST_COLUMNS], absent;
    const char *between; /* lines of their own above the row of that number; NULL */
    size_t between_row;
    size_t split; /* rows from here on stand in a second file; 0 */
    bool reversed;
};

struct whole_job {
    uint64_t state;
    size_t step_min;              /* between the samples of the climate */
    size_t out_from;              /* its row from which three samples may be out of the limits */
    struct table file[FILES + 1]; /* the material log only where it was added */
};

/** draw - the job of a seed; the next draw overwrites it. */
struct whole_job *draw(uint64_t seed);

/** add_material - a material log that conforms, which the job then asks for; its last column is free. */
void add_material(struct whole_job *j);

/** pick - 0..n-1, by the job's own stream. */
size_t pick(struct whole_job *j, size_t n);

/** verdict - the zone's outcome; not shown where it is not even known. */
enum mr_outcome verdict(const struct whole_job *j);

/** verdict_telling - the same, and how many findings of that id are told. */
enum mr_outcome verdict_telling(const struct whole_job *j, const char *id, size_t *told);

struct law {
    size_t jobs, violations, outcome[4];
};

/** law_jobs - how many jobs a law is tried on: LAW_JOBS of the environment, else 500. */
size_t law_jobs(void);

/** count - one job more under a law; the first violations are printed. */
void count(struct law *law, uint64_t seed, const char *what, enum mr_outcome before, enum mr_outcome after,
           bool broken);

/** tell - prints the law's figures and expects no violation. */
void tell(const char *name, const struct law *law);

#endif
