/*
 * fixture_build.h - what the files of the fixture share: the plan of the zones, and the parts in the order in which
 * they are added. Noise comes from a fixed linear congruence, so every run gives the same figures.
 */
#ifndef MILRISE_TESTS_FIXTURE_BUILD_H
#define MILRISE_TESTS_FIXTURE_BUILD_H

#include "milrise/assess.h"

enum { ZONES = 8, SHIFTS = 2, MINUTE = 60000 };

#define FIXTURE_DAY0 INT64_C(1778457600000) /* 2026-05-11T00:00:00Z */

struct fixture_build {
    struct mr_arena *arena;
    struct mr_assessment *a;
    struct mr_alignment *al;
    struct mr_data *data;
    struct mr_job *job;
    uint32_t seed;
};

struct fixture_zone {
    const char *name;
    double area_m2, steel_mm, film_um, rise_k;
    enum mr_outcome outcome;
};
extern const struct fixture_zone fixture_plan[ZONES];

/** fixture_gauss - about normal, mean 0, standard deviation 1. */
double fixture_gauss(struct fixture_build *b);

/* Measured: files, zones, windows, logs, heats. */
void fixture_measured(struct fixture_build *b);
void fixture_heat(struct fixture_build *b, size_t zone);

/* Judged: films, checks, findings, the shifts' timeline, the comparison of rise with thickness. */
void fixture_film(struct fixture_build *b, size_t zone);
void fixture_checks(struct fixture_build *b, size_t zone, bool us);
void fixture_findings(struct fixture_build *b, bool us);
void fixture_timeline(struct fixture_build *b);
void fixture_rise_comparison(struct fixture_build *b);

#endif
