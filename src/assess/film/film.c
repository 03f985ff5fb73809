/*
 * film.c - readings to spots to areas. The rules of grouping stand in film.h.
 */
#include "assess/film/film.h"

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

static int by_ids(const void *a, const void *b) {
    const struct mr_film_reading *x = *(struct mr_film_reading *const *)a, *y = *(struct mr_film_reading *const *)b;
    int order = strcmp(x->area_id, y->area_id);
    return order ? order : strcmp(x->spot_id, y->spot_id);
}

size_t mr_film_number_ids(struct mr_arena *arena, struct mr_film_reading *readings, size_t n) {
    struct mr_film_reading **order = MR_ARRAY(arena, struct mr_film_reading *, n);
    for (size_t i = 0; i < n; i++)
        order[i] = &readings[i];
    mr_sort_stable(arena, order, n, sizeof *order, by_ids);
    size_t areas = 0, spots = 0;
    for (size_t i = 0; i < n; i++) {
        struct mr_film_reading *r = order[i], *before = i ? order[i - 1] : NULL;
        bool new_area = !before || strcmp(before->area_id, r->area_id) != 0;
        areas += new_area && *r->area_id;
        spots += *r->spot_id && (new_area || strcmp(before->spot_id, r->spot_id) != 0);
        r->area_no = *r->area_id ? (uint32_t)areas : 0;
        r->spot_no = *r->spot_id ? (uint32_t)spots : 0;
    }
    return spots > areas ? spots : areas;
}

/* Consecutive readings that belong together. */
struct reading_run {
    size_t first, n;
    size_t places; /* readings with those that the gauge did not show: over range, blank, dashes */
    size_t spot;   /* the spot it goes to: number of that spot's first run */
    size_t block;  /* of spots that can share an area where no area is named */
};

typedef MR_VEC(struct reading_run) run_list;

struct run_finder {
    struct mr_arena *arena;
    const struct mr_film *film;
    const struct mr_film_grouping *how;
    run_list runs;
    size_t *spot_run;   /* shape: ids + 1; run of the spot with that number, from 1; 0 = none yet */
    size_t *spot_n;     /* shape: ids + 1; readings held */
    size_t *spot_block; /* shape: ids + 1; block in which it was met last */
    int64_t *spot_t;    /* shape: ids + 1; its last reading */
    size_t block;
};

size_t mr_film_behind(const struct mr_film_reading *reading) {
    return reading->is_mean ? reading->mean_of : 1;
}

size_t mr_film_weight(const struct mr_film_reading *reading) {
    size_t n = mr_film_behind(reading);
    return n ? n : 1;
}

/* What a row fills of its spot: a mean of a number not given may have been a whole one. */
static size_t fills(const struct mr_film_reading *r, size_t per_spot) {
    size_t n = mr_film_behind(r);
    return n ? n : per_spot;
}

static bool paused(int64_t before, int64_t after, int64_t most_ms) {
    return before != MR_T_NONE && after != MR_T_NONE && after - before > most_ms;
}

/* Without spot ids the count makes the spot, and readings that the gauge did not show keep their places. */
static void take_by_order(struct run_finder *f, size_t i) {
    const struct mr_film_reading *r = &f->film->readings[i], *before = i ? r - 1 : NULL;
    size_t lost = r->lost_before, per_spot = f->how->per_spot;
    struct reading_run *last = f->runs.n ? &f->runs.v[f->runs.n - 1] : NULL;
    bool same_gauge = before && strcmp(before->gauge, r->gauge) == 0 && before->area_no == r->area_no;
    bool pause = same_gauge && paused(before->t_utc_ms, r->t_utc_ms, f->how->gap_ms);
    if (last && same_gauge && before->spot_no == 0 && !r->is_mean && !before->is_mean) {
        size_t open = last->places < per_spot ? per_spot - last->places : 0, fill = lost < open ? lost : open;
        last->places += fill;
        lost -= fill;
        if (!pause && last->places < per_spot) {
            last->n++;
            last->places++;
            return;
        }
    }
    bool new_block =
        before &&
        (!same_gauge || (f->how->block_gap_ms > 0 && paused(before->t_utc_ms, r->t_utc_ms, f->how->block_gap_ms)));
    f->block += new_block;
    struct reading_run run = {i, 1, r->is_mean ? per_spot : lost % per_spot + 1, f->runs.n, f->block};
    MR_PUSH(f->arena, &f->runs, run);
}

/* With ids the id makes the spot. Where no area is named, an id that comes again after its spot is full, or after a
 * pause, begins the next area: spots are never joined across areas. */
static void take_by_id(struct run_finder *f, size_t i) {
    const struct mr_film_reading *r = &f->film->readings[i];
    size_t id = r->spot_no, at = f->spot_run[id];
    bool next = i > 0 && r[-1].spot_no == id && strcmp(r[-1].gauge, r->gauge) == 0;
    if (at && r->area_no == 0) {
        bool pause = paused(f->spot_t[id], r->t_utc_ms, f->how->gap_ms), full = f->spot_n[id] >= f->how->per_spot;
        if (f->spot_block[id] != f->block || (next ? full && pause : full || pause)) {
            f->block += f->spot_block[id] == f->block;
            at = 0;
        }
    }
    size_t spot = at ? f->runs.v[at - 1].spot : f->runs.n;
    f->spot_n[id] = (at ? f->spot_n[id] : 0) + fills(r, f->how->per_spot);
    f->spot_t[id] = r->t_utc_ms;
    f->spot_block[id] = f->block;
    if (at && next && f->runs.v[f->runs.n - 1].spot == spot) {
        f->runs.v[f->runs.n - 1].n++;
        return;
    }
    struct reading_run run = {i, 1, 1, spot, f->block};
    MR_PUSH(f->arena, &f->runs, run);
    f->spot_run[id] = f->runs.n;
}

static void find_runs(struct mr_arena *arena, struct mr_film *film, const struct mr_film_grouping *how,
                      run_list *out) {
    size_t ids = mr_film_number_ids(arena, film->readings, film->n);
    struct run_finder f = {.arena = arena,
                           .film = film,
                           .how = how,
                           .spot_run = MR_ARRAY(arena, size_t, ids + 1),
                           .spot_n = MR_ARRAY(arena, size_t, ids + 1),
                           .spot_block = MR_ARRAY(arena, size_t, ids + 1),
                           .spot_t = MR_ARRAY(arena, int64_t, ids + 1)};
    for (size_t i = 0; i < film->n; i++) {
        if (film->readings[i].spot_no)
            take_by_id(&f, i);
        else
            take_by_order(&f, i);
    }
    *out = f.runs;
}

static int by_spot(const void *a, const void *b) {
    const struct mr_film_reading *x = a, *y = b;
    return MR_ORDER(x->spot, y->spot);
}

/* Readings ordered by spot, spots in the order of their first reading. */
static void build_spots(struct mr_arena *arena, struct mr_arena *names, struct mr_film *film, const run_list *runs) {
    for (size_t i = 0; i < runs->n; i++)
        for (size_t j = 0; j < runs->v[i].n; j++)
            film->readings[runs->v[i].first + j].spot = (uint32_t)runs->v[i].spot;
    mr_sort_stable(arena, film->readings, film->n, sizeof *film->readings, by_spot);
    for (size_t i = 0; i < film->n;) {
        struct mr_film_spot spot = {.first = i};
        size_t label = film->readings[i].spot;
        spot.block = runs->v[label].block;
        for (; i < film->n && film->readings[i].spot == label; i++, spot.n++) {
            const struct mr_film_reading *row = &film->readings[i];
            spot.sum += row->quanta * (mr_wide)mr_film_weight(row);
            spot.weight += mr_film_weight(row);
            spot.taken += mr_film_behind(row);
        }
        spot.kept_sum = spot.sum;
        spot.kept_weight = spot.weight;
        spot.kept = spot.taken;
        for (size_t j = spot.first; j < i; j++)
            film->readings[j].spot = (uint32_t)film->spots.n;
        const struct mr_film_reading *r = &film->readings[spot.first];
        film->spots_by_id = film->spots_by_id || r->spot_no;
        spot.name = r->spot_no ? r->spot_name ? r->spot_name : r->spot_id
                               : mr_printf(names, "%zu (by order)", film->spots.n + 1);
        MR_PUSH(arena, &film->spots, spot);
    }
}

static int by_area(const void *a, const void *b) {
    const struct mr_film_spot *x = a, *y = b;
    return MR_ORDER(x->area, y->area);
}

/* Number of the first spot of the same area: by its name, else by its block. */
static void label_areas(struct mr_arena *arena, struct mr_film *film, size_t runs) {
    size_t *named = MR_ARRAY(arena, size_t, film->n + 1), *blocks = MR_ARRAY(arena, size_t, runs + 1);
    for (size_t i = 0; i < film->spots.n; i++) {
        struct mr_film_spot *spot = &film->spots.v[i];
        size_t area = film->readings[spot->first].area_no;
        size_t *label = area ? &named[area] : &blocks[spot->block];
        *label = *label ? *label : i + 1;
        spot->area = *label;
    }
}

static void build_areas(struct mr_arena *arena, struct mr_arena *names, struct mr_film *film, size_t per_area) {
    mr_sort_stable(arena, film->spots.v, film->spots.n, sizeof *film->spots.v, by_area);
    for (size_t i = 0; i < film->spots.n;) {
        struct mr_film_area area = {.first = i};
        size_t label = film->spots.v[i].area;
        const struct mr_film_reading *r = &film->readings[film->spots.v[i].first];
        while (i < film->spots.n && film->spots.v[i].area == label && (r->area_no || area.n < per_area)) {
            i++;
            area.n++;
        }
        area.number = r->area_no;
        film->areas_by_id = film->areas_by_id || r->area_no;
        area.name = r->area_no ? r->area_name ? r->area_name : r->area_id
                               : mr_printf(names, "%zu (by order)", film->areas.n + 1);
        for (size_t s = area.first; s < i; s++)
            film->spots.v[s].area = film->areas.n;
        MR_PUSH(arena, &film->areas, area);
    }
    for (size_t s = 0; s < film->spots.n; s++) {
        for (size_t j = 0; j < film->spots.v[s].n; j++)
            film->readings[film->spots.v[s].first + j].spot = (uint32_t)s;
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
        if (spot->n < 3 || spot->taken != spot->n)
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
 * SD here. A second reading near it makes a reading a repeated one. */
static void mark_unusual(struct mr_arena *arena, struct mr_film *film, double unusual) {
    double *work = MR_ARRAY(arena, double, film->n), *distances = MR_ARRAY(arena, double, film->n);
    const double spread = film->spread_um = spread_within_um(film, work, distances);
    for (size_t s = 0; s < film->spots.n && !isnan(spread); s++) {
        struct mr_film_spot *spot = &film->spots.v[s];
        struct mr_film_reading *r = film->readings + spot->first;
        for (size_t i = 0; i < spot->n && spot->n > 2 && spot->taken == spot->n; i++) {
            double value = quanta_um(r[i].quanta), others = median_of_others(r, spot->n, i, work);
            r[i].others = (int64_t)round(others * MR_QUANTA_PER_UM);
            r[i].unusual = fabs(value - others) > unusual * spread;
            for (size_t j = 0; j < spot->n; j++)
                r[i].unusual = r[i].unusual && (j == i || fabs(quanta_um(r[j].quanta) - value) > spread);
        }
    }
}

/* At least per_spot readings stay. */
static void discard_unusual(struct mr_film *film, size_t per_spot) {
    for (size_t s = 0; s < film->spots.n; s++) {
        struct mr_film_spot *spot = &film->spots.v[s];
        for (size_t i = spot->first; i < spot->first + spot->n && spot->kept > per_spot; i++) {
            struct mr_film_reading *r = &film->readings[i];
            if (!r->unusual)
                continue;
            r->discarded = true;
            spot->kept_sum -= r->quanta;
            spot->kept--;
            spot->kept_weight--;
            film->n_discarded++;
        }
    }
}

void mr_film_doubt(struct mr_film *film, bool (*beyond)(const void *rules, int64_t quanta), const void *rules) {
    for (size_t i = 0; i < film->n; i++) {
        struct mr_film_reading *r = &film->readings[i];
        r->doubted = r->unusual && !r->discarded && beyond(rules, r->quanta) && !beyond(rules, r->others);
        film->spots.v[r->spot].doubted += r->doubted;
    }
}

void mr_film_group(struct mr_arena *arena, struct mr_film_reading *readings, size_t n,
                   const struct mr_film_grouping *how, struct mr_film *out) {
    *out = (struct mr_film){.n = n,
                            .readings = readings,
                            .spread_um = MR_NAN,
                            .discards = how->discards,
                            .per_spot = how->per_spot,
                            .per_area = how->per_area,
                            .stated_per_spot = how->stated_per_spot,
                            .stated_per_area = how->stated_per_area};
    struct mr_arena *scratch = mr_arena_like(arena), *names = how->names ? how->names : arena;
    run_list runs = {0};
    mr_sort_stable(scratch, readings, n, sizeof *readings, by_gauge_and_time);
    for (size_t i = 0; i < n; i++)
        readings[i].nth = (uint32_t)i;
    find_runs(scratch, out, how, &runs);
    build_spots(arena, names, out, &runs);
    label_areas(scratch, out, runs.n);
    build_areas(arena, names, out, how->per_area);
    if (how->unusual > 0)
        mark_unusual(scratch, out, how->unusual);
    mr_arena_free(scratch);
    if (how->discards)
        discard_unusual(out, how->per_spot);
}

struct mr_ratio mr_film_spot_mean(const struct mr_film_spot *spot, bool kept) {
    return kept ? mr_ratio_of(spot->kept_sum, (mr_wide)spot->kept_weight)
                : mr_ratio_of(spot->sum, (mr_wide)spot->weight);
}

struct mr_ratio mr_film_area_mean(const struct mr_film *film, const struct mr_film_area *area, bool kept, size_t need,
                                  size_t *out_spots) {
    struct mr_ratio sum = {0, 1};
    size_t taken = 0;
    for (size_t s = area->first; s < area->first + area->n; s++) {
        const struct mr_film_spot *spot = &film->spots.v[s];
        if ((kept ? spot->kept : spot->taken) < need + spot->doubted)
            continue;
        sum = mr_ratio_add(sum, mr_film_spot_mean(spot, kept));
        taken++;
    }
    *out_spots = taken;
    return taken ? mr_ratio_divide(sum, (int64_t)taken) : (struct mr_ratio){0, 1};
}
