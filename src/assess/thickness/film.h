/*
 * film.h - gauge readings of one zone and coat as spots and areas.
 *
 * A film is one survey: the readings of one zone that stand for the system or for one coat. Readings keep the order
 * of their gauge and time; spots are runs of them, areas runs of spots.
 */
#ifndef MILRISE_ASSESS_THICKNESS_FILM_H
#define MILRISE_ASSESS_THICKNESS_FILM_H

#include "assess/finding/assessment.h"
#include "numeric/exact_decimal.h"

struct mr_film_reading {
    size_t at; /* index into aligned->readings */
    int64_t t_utc_ms;
    const char *area_id, *spot_id, *gauge; /* as written; "" where absent */
    uint32_t file, line;
    int64_t quanta; /* as the gauge showed it, nothing subtracted */
    bool discarded; /* unusual and not repeated: left out where a rule gives leave */
    size_t spot;    /* index into spots */
};

struct mr_film_spot {
    size_t first, n;  /* readings */
    size_t area;      /* index into areas */
    const char *name; /* "3", or "7 (by order)" */
    mr_wide sum;      /* quanta, of all readings */
    mr_wide kept_sum; /* without the discarded ones */
    size_t kept_n;
};

struct mr_film_area {
    size_t first, n; /* spots */
    const char *name;
};

struct mr_film {
    size_t n;
    struct mr_film_reading *readings;
    MR_VEC(struct mr_film_spot) spots;
    MR_VEC(struct mr_film_area) areas;
    bool spots_by_id, areas_by_id; /* as exported; else by count and pause */
    size_t n_discarded;
    size_t per_spot, per_area; /* the job's numbers, where a rule has none of its own */
};

/* How readings are put together. */
struct mr_film_grouping {
    size_t per_spot, per_area;
    int64_t gap_ms; /* longest pause inside a spot without ids */
    double unusual; /* 0: no reading is left out; else distance in robust SD that makes a reading unusual */
};

/** mr_film_group - readings, in any order, become spots and areas.
 *  Spots with ids: consecutive readings with one id (within one area id) are a spot; a later run with the same id
 * joins it where either is short of per_spot readings, and is a spot of its own where both are full (ids that start
 * again in the next area). Without ids: runs of per_spot readings of one gauge, a pause above gap_ms ends a run.
 * Areas: by id, else per_area spots in order. readings: reordered in place, kept by the film. */
void mr_film_group(struct mr_arena *arena, struct mr_film_reading *readings, size_t n,
                   const struct mr_film_grouping *how, struct mr_film *out);

/** mr_film_spot_mean - exact mean of a spot's readings; kept: without the discarded ones. */
struct mr_ratio mr_film_spot_mean(const struct mr_film_spot *spot, bool kept);

/** mr_film_area_mean - mean of the means of its spots (not of all readings). need: spots with fewer readings than
 * this are left out, *out_spots says how many took part. */
struct mr_ratio mr_film_area_mean(const struct mr_film *film, const struct mr_film_area *area, bool kept, size_t need,
                                  size_t *out_spots);

#endif
