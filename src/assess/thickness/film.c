/*
 * film.c - readings to spots to areas. The rules of grouping stand in film.h.
 */
#include "assess/thickness/film.h"

#include "numeric/stable_sort.h"
#include "numeric/summary_stats.h"

#include <math.h>
#include <string.h>

/* Order of a gauge's memory: gauge, time, file, line. */
static int by_gauge_and_time(const void *a, const void *b) {
    const struct mr_film_reading *x = a, *y = b;
    int order = strcmp(x->gauge, y->gauge);
    if (order == 0)
        order = MR_ORDER(x->t_utc_ms, y->t_utc_ms);
    if (order == 0)
        order = MR_ORDER(x->file, y->file);
    return order ? order : MR_ORDER(x->line, y->line);
}

/* A run of consecutive readings that belong together. */
struct reading_run {
    size_t first, n;
    size_t spot; /* the spot it goes to: number of that spot's first run */
    const char *area_id, *spot_id;
};

typedef MR_VEC(struct reading_run) run_list;

static bool continues(const struct mr_film_reading *before, const struct mr_film_reading *r,
                      const struct reading_run *run, const struct mr_film_grouping *how) {
    if (strcmp(before->gauge, r->gauge) != 0 || strcmp(before->area_id, r->area_id) != 0 ||
        strcmp(before->spot_id, r->spot_id) != 0)
        return false;
    if (*r->spot_id)
        return true;
    bool timed = before->t_utc_ms != MR_T_NONE && r->t_utc_ms != MR_T_NONE;
    return run->n < how->per_spot && !(timed && r->t_utc_ms - before->t_utc_ms > how->gap_ms);
}

static void find_runs(struct mr_arena *arena, const struct mr_film *film, const struct mr_film_grouping *how,
                      run_list *runs) {
    for (size_t i = 0; i < film->n; i++) {
        const struct mr_film_reading *r = &film->readings[i];
        if (i > 0 && continues(&film->readings[i - 1], r, &runs->v[runs->n - 1], how)) {
            runs->v[runs->n - 1].n++;
            continue;
        }
        struct reading_run run = {i, 1, runs->n, r->area_id, r->spot_id};
        MR_PUSH(arena, runs, run);
    }
}

static int by_ids(const void *a, const void *b) {
    const struct reading_run *x = *(struct reading_run *const *)a, *y = *(struct reading_run *const *)b;
    int order = strcmp(x->area_id, y->area_id);
    if (order == 0)
        order = strcmp(x->spot_id, y->spot_id);
    return order ? order : MR_ORDER(x->first, y->first);
}

/* Later runs with the ids of an earlier one join it, unless both are full. With an area id the ids are explicit: they
 * join. */
static void join_runs(struct mr_arena *arena, run_list *runs, size_t per_spot) {
    struct reading_run **order = MR_ARRAY(arena, struct reading_run *, runs->n);
    for (size_t i = 0; i < runs->n; i++)
        order[i] = &runs->v[i];
    mr_sort_stable(arena, order, runs->n, sizeof *order, by_ids);
    size_t held = 0; /* readings of the spot that the latest run went to */
    for (size_t i = 0; i < runs->n; i++) {
        struct reading_run *run = order[i], *before = i ? order[i - 1] : NULL;
        bool same = before && *run->spot_id && strcmp(before->area_id, run->area_id) == 0 &&
                    strcmp(before->spot_id, run->spot_id) == 0;
        if (same && (*run->area_id || held < per_spot || run->n < per_spot)) {
            run->spot = before->spot;
            held += run->n;
        } else {
            held = run->n;
        }
    }
}

static int by_spot(const void *a, const void *b) {
    const struct mr_film_reading *x = a, *y = b;
    return MR_ORDER(x->spot, y->spot);
}

/* Readings ordered by spot, spots in the order of their first reading. */
static void build_spots(struct mr_arena *arena, struct mr_film *film, const run_list *runs) {
    for (size_t i = 0; i < runs->n; i++)
        for (size_t j = 0; j < runs->v[i].n; j++)
            film->readings[runs->v[i].first + j].spot = runs->v[i].spot;
    mr_sort_stable(arena, film->readings, film->n, sizeof *film->readings, by_spot);
    for (size_t i = 0; i < film->n;) {
        struct mr_film_spot spot = {.first = i};
        size_t label = film->readings[i].spot;
        for (; i < film->n && film->readings[i].spot == label; i++, spot.n++)
            spot.sum += film->readings[i].quanta;
        spot.kept_sum = spot.sum;
        spot.kept_n = spot.n;
        for (size_t j = spot.first; j < i; j++)
            film->readings[j].spot = film->spots.n;
        const char *id = film->readings[spot.first].spot_id;
        film->spots_by_id = film->spots_by_id || *id;
        spot.name = *id ? id : mr_printf(arena, "%zu (by order)", film->spots.n + 1);
        MR_PUSH(arena, &film->spots, spot);
    }
}

static int by_area_id(const void *a, const void *b) {
    const struct mr_film_spot *x = a, *y = b;
    return MR_ORDER(x->area, y->area);
}

/* Number of the first spot with the same area id; spots come in order of their first reading. */
static void label_areas(struct mr_arena *arena, struct mr_film *film) {
    run_list runs = {0};
    for (size_t i = 0; i < film->spots.n; i++) {
        const struct mr_film_reading *r = &film->readings[film->spots.v[i].first];
        struct reading_run run = {i, 1, i, r->area_id, ""};
        MR_PUSH(arena, &runs, run);
    }
    struct reading_run **order = MR_ARRAY(arena, struct reading_run *, runs.n);
    for (size_t i = 0; i < runs.n; i++)
        order[i] = &runs.v[i];
    mr_sort_stable(arena, order, runs.n, sizeof *order, by_ids);
    for (size_t i = 0; i < runs.n; i++)
        if (i > 0 && strcmp(order[i - 1]->area_id, order[i]->area_id) == 0)
            order[i]->spot = order[i - 1]->spot;
    for (size_t i = 0; i < runs.n; i++)
        film->spots.v[i].area = runs.v[i].spot;
}

static void build_areas(struct mr_arena *arena, struct mr_film *film, size_t per_area) {
    label_areas(arena, film);
    mr_sort_stable(arena, film->spots.v, film->spots.n, sizeof *film->spots.v, by_area_id);
    for (size_t i = 0; i < film->spots.n;) {
        struct mr_film_area area = {.first = i};
        size_t label = film->spots.v[i].area;
        const char *id = film->readings[film->spots.v[i].first].area_id;
        while (i < film->spots.n && film->spots.v[i].area == label && (*id || area.n < per_area)) {
            i++;
            area.n++;
        }
        film->areas_by_id = film->areas_by_id || *id;
        area.name = *id ? id : mr_printf(arena, "%zu (by order)", film->areas.n + 1);
        for (size_t s = area.first; s < i; s++)
            film->spots.v[s].area = film->areas.n;
        MR_PUSH(arena, &film->areas, area);
    }
    for (size_t s = 0; s < film->spots.n; s++) {
        for (size_t j = 0; j < film->spots.v[s].n; j++)
            film->readings[film->spots.v[s].first + j].spot = s;
    }
}

static double quanta_um(int64_t quanta) {
    return (double)quanta / MR_QUANTA_PER_UM;
}

/* Median of the other readings of a spot. work: room for n. */
static double median_of_others(const struct mr_film_reading *r, size_t n, size_t without, double *work) {
    size_t k = 0;
    for (size_t i = 0; i < n; i++)
        if (i != without)
            work[k++] = quanta_um(r[i].quanta);
    return mr_median(work, k);
}

/* The spread of readings about their spot's median, over the whole film: robust, so that the unusual do not hide
 * themselves. */
static double spread_within_um(const struct mr_film *film, double *work, double *distances) {
    size_t k = 0;
    for (size_t s = 0; s < film->spots.n; s++) {
        const struct mr_film_spot *spot = &film->spots.v[s];
        if (spot->n < 3)
            continue;
        double centre = median_of_others(film->readings + spot->first, spot->n, spot->n, work);
        for (size_t i = 0; i < spot->n; i++)
            distances[k++] = fabs(quanta_um(film->readings[spot->first + i].quanta) - centre);
    }
    mr_sort(distances, k);
    /* one of an odd number of readings is the median itself: the quartile of the others would be biased low, so use
     * 2/3
     */
    return 1.4826 * mr_quantile(distances, k, 2.0 / 3, MR_Q7);
}

/* SSPC-PA 2 lets readings that do not repeat be left out, and does not say how far off is unusual: `unusual` robust
 * SD here. At least per_spot readings stay, and a second reading near it makes a reading a repeated one. */
static void discard_unusual(struct mr_arena *arena, struct mr_film *film, const struct mr_film_grouping *how) {
    double *work = MR_ARRAY(arena, double, film->n), *distances = MR_ARRAY(arena, double, film->n);
    double spread = spread_within_um(film, work, distances);
    if (!(spread > 0))
        return;
    for (size_t s = 0; s < film->spots.n; s++) {
        struct mr_film_spot *spot = &film->spots.v[s];
        struct mr_film_reading *r = film->readings + spot->first;
        for (size_t i = 0; i < spot->n && spot->kept_n > how->per_spot; i++) {
            double value = quanta_um(r[i].quanta);
            if (!(fabs(value - median_of_others(r, spot->n, i, work)) > how->unusual * spread))
                continue;
            bool repeats = false;
            for (size_t j = 0; j < spot->n; j++)
                repeats = repeats || (j != i && fabs(quanta_um(r[j].quanta) - value) <= spread);
            if (repeats)
                continue;
            r[i].discarded = true;
            spot->kept_sum -= r[i].quanta;
            spot->kept_n--;
            film->n_discarded++;
        }
    }
}

void mr_film_group(struct mr_arena *arena, struct mr_film_reading *readings, size_t n,
                   const struct mr_film_grouping *how, struct mr_film *out) {
    *out = (struct mr_film){.n = n, .readings = readings, .per_spot = how->per_spot, .per_area = how->per_area};
    run_list runs = {0};
    mr_sort_stable(arena, readings, n, sizeof *readings, by_gauge_and_time);
    find_runs(arena, out, how, &runs);
    join_runs(arena, &runs, how->per_spot);
    build_spots(arena, out, &runs);
    build_areas(arena, out, how->per_area);
    if (how->unusual > 0)
        discard_unusual(arena, out, how);
}

struct mr_ratio mr_film_spot_mean(const struct mr_film_spot *spot, bool kept) {
    return kept ? mr_ratio_of(spot->kept_sum, (mr_wide)spot->kept_n) : mr_ratio_of(spot->sum, (mr_wide)spot->n);
}

struct mr_ratio mr_film_area_mean(const struct mr_film *film, const struct mr_film_area *area, bool kept, size_t need,
                                  size_t *out_spots) {
    struct mr_ratio sum = {0, 1};
    size_t taken = 0;
    for (size_t s = area->first; s < area->first + area->n; s++) {
        const struct mr_film_spot *spot = &film->spots.v[s];
        if ((kept ? spot->kept_n : spot->n) < need)
            continue;
        sum = mr_ratio_add(sum, mr_film_spot_mean(spot, kept));
        taken++;
    }
    *out_spots = taken;
    return taken ? mr_ratio_divide(sum, (int64_t)taken) : (struct mr_ratio){0, 1};
}
