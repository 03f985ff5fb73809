/*
 * site.h - a small aligned job by hand: one call for each reading, verification or zone, then mr_assess_thickness.
 */
#ifndef MILRISE_TEST_SITE_H
#define MILRISE_TEST_SITE_H

#include "assess/finding/assessment.h"

struct site {
    struct mr_arena *arena;
    struct mr_job *job;
    struct mr_data data;
    struct mr_alignment al;
    struct mr_source source;
    struct mr_diags diags;
    struct mr_assessment out;
    struct mr_assess a;
    uint32_t line;
    int64_t t; /* of the next row; each row moves it on by 5 s */
    bool real; /* the films of most tests are even, as none is: what is said of equal readings is taken out again */
};

/** site_new - job text is the job file; the file of all rows is "dft.csv". */
void site_new(struct site *s, const char *job_text);

size_t site_zone(struct site *s, const char *name, double area_m2, int coats);

/** site_reading - at s->t; returns its index. */
size_t site_reading(struct site *s, size_t zone, const char *area, const char *spot, double written,
                    enum mr_unit unit);

/** site_spots - so many spots of three equal readings without ids. */
void site_spots(struct site *s, size_t zone, size_t n, double written, enum mr_unit unit);

void site_check(struct site *s, const char *when, double certified, double reading);
void site_base_metal(struct site *s, size_t zone, double written);
void site_wet_film(struct site *s, size_t zone, int coat, double written);

/** site_judge - links readings and runs the part. */
void site_judge(struct site *s);

/** the check of that id (the first for that coat), the finding of that id; NULL. */
const struct mr_check *site_find_check(const struct site *s, const char *id, int coat);
const struct mr_finding *site_find_finding(const struct site *s, const char *id);
const struct mr_table *site_table(const struct site *s, const char *id);

#endif
