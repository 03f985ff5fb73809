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

struct mr_film_reading { /* a job may have a million: numbers of 32 bits, in the order that leaves no gaps */
    int64_t t_utc_ms;
    const char *area_id, *spot_id;     /* folded (naming.c); "" where absent */
    const char *area_name, *spot_name; /* as written; NULL: as the id */
    const char *gauge;
    int64_t quanta;            /* as the gauge showed it, nothing subtracted */
    int64_t others;            /* median of the other readings of its spot, quanta; of spots with more than two */
    double mean_sd_um;         /* of the gauge readings behind a mean, where the row gives it; NaN */
    uint32_t at;               /* index into aligned->readings */
    uint32_t area_no, spot_no; /* mr_film_number_ids; 0 where absent */
    uint32_t lost_before;      /* readings of its spot or the next that the gauge did not show (lost_readings.c) */
    uint32_t file, line;
    uint32_t mean_of; /* of how many it is the mean; 0 = not given */
    uint32_t nth;     /* in the order of gauges and their memories, all gauges counted through */
    uint32_t spot;    /* index into spots */
    bool is_mean;     /* the row gives the mean of several gauge readings, not one of them */
    bool unusual;     /* far from the others of its spot, and none of them repeats it */
    bool discarded;   /* unusual: left out where a rule gives leave */
    bool doubted;     /* unusual, kept, and beyond a limit for spots (mr_film_doubt) */
};

struct mr_film_spot {
    size_t first, n;  /* rows of readings */
    size_t area;      /* index into areas */
    size_t block;     /* spots of one block can share an area where none is named */
    const char *name; /* "3", or "7 (by order)" */
    /* Gauge readings behind the rows: a mean counts as the number it was taken of, and as none where that is not
     * given. kept: without the discarded ones. */
    size_t taken, kept;
    size_t
        doubted; /* of the kept ones: unusual and beyond a limit for spots; they complete no spot (mr_film_doubt) */
    mr_wide sum, kept_sum;      /* quanta, each row as often as it has readings, at least once */
    size_t weight, kept_weight; /* what the sums are divided by */
};

struct mr_film_area {
    size_t first, n; /* spots */
    size_t number;   /* area_no of its readings; 0 where areas go by order */
    const char *name;
};

struct mr_film {
    size_t n;
    struct mr_film_reading *readings;
    MR_VEC(struct mr_film_spot) spots;
    MR_VEC(struct mr_film_area) areas;
    bool spots_by_id, areas_by_id; /* as exported; else by count and pause */
    size_t n_discarded;
    double spread_um;          /* robust SD of single readings within spots; NaN: too few readings, or nobody asked */
    bool discards;             /* unusual readings are left out while per_spot remain */
    size_t per_spot, per_area; /* by which it was grouped; in force where a rule has none of its own */
    size_t stated_per_spot, stated_per_area; /* the job's own numbers, which a rule's may not undercut; 0 = none */
};

/* How readings are put together. */
struct mr_film_grouping {
    size_t per_spot, per_area;
    size_t stated_per_spot, stated_per_area;
    int64_t gap_ms;         /* longest pause inside a spot without ids */
    int64_t block_gap_ms;   /* longest pause inside an area without a name; 0 = any */
    double unusual;         /* distance in robust SD that makes a reading unusual */
    bool discards;          /* unusual readings are left out under rules that give leave */
    struct mr_arena *names; /* keeps the names of spots and areas by order; NULL: the film's own arena does */
};

/** mr_film_number_ids - areas and spots by name are numbered from 1 (area_no, spot_no; a spot by area and spot).
 *  Returns: the greatest number. */
size_t mr_film_number_ids(struct mr_arena *arena, struct mr_film_reading *readings, size_t n);

/** mr_film_group - readings, in any order, become spots and areas.
 *  A spot is all readings with one area and spot id. Where no area is named, an id that comes again once its spot is
 *  full, or after a pause, begins the next area: spots are never joined across areas. Without spot ids: runs of
 *  per_spot readings of one gauge, with the places of lost readings; a pause above gap_ms ends a run. Areas: by id,
 *  else per_area spots in order, ended by a pause above block_gap_ms. readings: reordered in place, kept by the film.
 */
void mr_film_group(struct mr_arena *arena, struct mr_film_reading *readings, size_t n,
                   const struct mr_film_grouping *how, struct mr_film *out);

/** mr_film_behind - gauge readings behind a row. mr_film_weight: the same, at least 1. */
size_t mr_film_behind(const struct mr_film_reading *reading);
size_t mr_film_weight(const struct mr_film_reading *reading);

/** mr_film_doubt - a reading that is unusual and beyond a limit for spots, while the others are not, counts for the
 * mean of its spot and not for their number: by SSPC-PA 2 (2012) 3.2 a reading that does not repeat is none, so it
 * cannot make a spot complete. beyond: whether a value so far out, as the gauge showed it, misses a limit for spots.
 */
void mr_film_doubt(struct mr_film *film, bool (*beyond)(const void *rules, int64_t quanta), const void *rules);

/** mr_film_spot_mean - exact mean of a spot's readings; kept: without the discarded ones. */
struct mr_ratio mr_film_spot_mean(const struct mr_film_spot *spot, bool kept);

/** mr_film_area_mean - mean of the means of its spots (not of all readings). need: spots with fewer readings than
 * this, doubted ones not counted, are left out; *out_spots says how many took part. */
struct mr_ratio mr_film_area_mean(const struct mr_film *film, const struct mr_film_area *area, bool kept, size_t need,
                                  size_t *out_spots);

#endif
