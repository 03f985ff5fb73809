/*
 * repeated_spots.c - spots whose numbers begin again where no area is named. They are counted as the next area, as
 * inspectors number spots from 1 in each; they may as well be the same spots measured again, and then fewer areas
 * were measured than the rule requires. No pause tells the two apart. A job that states `spots per area` says how its
 * crew numbers them. And spots measured more than once, where one measurement hides what the other misses.
 */
#include "assess/thickness/thickness.h"

#include "numeric/search.h"

#include <stdlib.h>
#include <string.h>

/* Areas of the film that have no name and hold a spot of that name in an area before them. */
static size_t begun_again(const struct mr_film *film, struct mr_line *lines, size_t *out_lines) {
    size_t n = 0;
    for (size_t i = 1; i < film->areas.n; i++) {
        const struct mr_film_area *area = &film->areas.v[i];
        bool again = false;
        for (size_t s = 0; s < area->n && !again && !area->number; s++) {
            const char *id = film->readings[film->spots.v[area->first + s].first].spot_id;
            for (size_t k = 0; k < area->first && *id && !again; k++) {
                const struct mr_film_reading *before = &film->readings[film->spots.v[k].first];
                again = !before->area_no && strcmp(before->spot_id, id) == 0;
            }
        }
        if (again) {
            const struct mr_film_reading *r = &film->readings[film->spots.v[area->first].first];
            lines[(*out_lines)++] = (struct mr_line){r->file, r->line};
        }
        n += again;
    }
    return n;
}

/* The job's own number, and each area but the last one holds it. */
static bool is_stated(const struct mr_film *film) {
    for (size_t i = 0; i + 1 < film->areas.n; i++)
        if (!film->areas.v[i].number && film->areas.v[i].n != film->stated_per_area)
            return false;
    return film->stated_per_area > 0;
}

void mr_repeated_spots_check(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film *film = s->counting ? &s->counting->film : NULL;
    if (!film || !film->spots_by_id)
        return;
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->areas.n + 1);
    size_t n_lines = 0, n = begun_again(film, lines, &n_lines);
    if (n == 0)
        return;
    const bool stated = is_stated(film);
    struct mr_check c = mr_blank_check("thickness.areas", "Areas told apart", "thickness", s->zone, s->coat);
    c.outcome = stated ? MR_CONFORMS : MR_NOT_SHOWN;
    c.measured = (double)n;
    c.rule = "spots whose numbers begin again lie in the next area, not in the same one";
    c.source = MR_SRC_CP;
    c.detail = mr_printf(
        a->arena, "No area is named, and the spot numbers begin again %s, taken as the next area%s.%s",
        n == 1 ? "once" : mr_printf(a->arena, "%zu times", n), n == 1 ? "" : " each time",
        stated ? " The job states the spots per area." : " They may as well be the same spots measured again.");
    mr_add_lines(a, &c.evidence, lines, n_lines, 6, "the spot numbers begin again");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "areas-by-order", stated ? MR_NOTE : MR_WARNING);
    f.what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c.detail);
    f.next_step =
        stated ? "Add an area column to the gauge's export if that is wrong."
               : mr_printf(a->arena,
                           "Add an area column to the gauge's export; or, if each is an area of its own, write "
                           "`spots per area = %zu` under [thickness] of job.milrise.",
                           film->areas.v[0].n);
    mr_add_finding(a, &f);
}

static int by_quanta(const void *a, const void *b) {
    const struct mr_film_reading *x = a, *y = b;
    return MR_ORDER(x->quanta, y->quanta);
}

/* The lowest and the highest mean of what may be a measurement of a spot by itself, in quanta. */
struct sets {
    int64_t low, high;
    bool several; /* false: the spot's readings are one measurement, and both are its mean */
};

static void take_set(struct sets *out, const struct mr_film_reading *r, size_t n) {
    mr_wide sum = 0, weight = 0;
    for (size_t i = 0; i < n; i++) {
        sum += r[i].quanta * (mr_wide)mr_film_weight(&r[i]);
        weight += (mr_wide)mr_film_weight(&r[i]);
    }
    const int64_t mean = (int64_t)(sum / weight);
    out->low = mean < out->low ? mean : out->low;
    out->high = mean > out->high ? mean : out->high;
}

static size_t behind(const struct mr_film_reading *r, size_t n) {
    size_t k = 0;
    for (size_t i = 0; i < n; i++)
        k += mr_film_weight(&r[i]);
    return k;
}

/* Readings from r on that follow each other in the gauge's memory without a pause: the gauge stayed at the spot. */
static size_t visit(const struct mr_film_reading *r, size_t n, int64_t gap_ms) {
    size_t k = 1;
    while (
        k < n && r[k].nth == r[k - 1].nth + 1 && strcmp(r[k].gauge, r[k - 1].gauge) == 0 &&
        (r[k].t_utc_ms == MR_T_NONE || r[k - 1].t_utc_ms == MR_T_NONE || r[k].t_utc_ms - r[k - 1].t_utc_ms <= gap_ms))
        k++;
    return k;
}

/* Visits that hold two readings or more, since a second one near it makes a reading a repeated one; and a single
 * reading where another visit measured the spot whole. A round over all spots for each reading is no such thing. */
static void take_visits(const struct mr_film *film, const struct mr_film_spot *spot, int64_t gap_ms,
                        struct sets *out) {
    const struct mr_film_reading *r = film->readings + spot->first;
    bool whole = false;
    for (size_t i = 0, n; i < spot->n; i += n) {
        n = visit(r + i, spot->n - i, gap_ms);
        whole = whole || (n < spot->n && behind(r + i, n) >= film->per_spot);
    }
    for (size_t i = 0, n; i < spot->n; i += n) {
        n = visit(r + i, spot->n - i, gap_ms);
        if (n == spot->n || (!whole && behind(r + i, n) < 2))
            continue;
        out->several = true;
        take_set(out, r + i, n);
    }
}

/* Where spots hold one set, what one of them has beyond it may be the measurement that was not liked: its lowest or
 * its highest readings, in whatever order they were taken. One reading that does not repeat is none. */
static void take_extremes(struct mr_arena *scratch, const struct mr_film *film, const struct mr_film_spot *spot,
                          struct sets *out) {
    const size_t beyond = spot->n > film->per_spot ? spot->n - film->per_spot : 0,
                 n = beyond < film->per_spot ? beyond : film->per_spot;
    if (n < 2)
        return;
    struct mr_film_reading *r = MR_ARRAY(scratch, struct mr_film_reading, spot->n);
    memcpy(r, film->readings + spot->first, spot->n * sizeof *r);
    qsort(r, spot->n, sizeof *r, by_quanta);
    out->several = true;
    take_set(out, r, n);
    take_set(out, r + spot->n - n, n);
}

/* Whether most spots hold no more than one set: then one that holds more was measured twice. */
static bool one_set_is_usual(const struct mr_film *film) {
    size_t single = 0;
    for (size_t i = 0; i < film->spots.n; i++)
        single += film->spots.v[i].n <= film->per_spot;
    return 2 * single > film->spots.n;
}

/* shape: film->spots.n */
static struct sets *sets_of(struct mr_assess *a, const struct mr_subject *s, const struct mr_film *film) {
    const int64_t gap_ms = (int64_t)(mr_set_num(s->z->settings, MR_DFT_SPOT_GAP) * 1000);
    const bool usual = one_set_is_usual(film);
    struct sets *sets = MR_ARRAY(mr_work(a), struct sets, film->spots.n);
    struct mr_arena *scratch = mr_arena_like(a->arena);
    for (size_t i = 0; i < film->spots.n; i++) {
        const struct mr_film_spot *spot = &film->spots.v[i];
        const int64_t mean = (int64_t)(spot->sum / (mr_wide)spot->weight);
        sets[i] = (struct sets){.low = INT64_MAX, .high = INT64_MIN};
        take_visits(film, spot, gap_ms, &sets[i]);
        if (usual)
            take_extremes(scratch, film, spot, &sets[i]);
        if (!sets[i].several)
            sets[i] = (struct sets){mean, mean, false};
    }
    mr_arena_free(scratch);
    return sets;
}

/* Whether the mean of an area misses a limit where its spots count by their lowest or by their highest measurement.
 */
static bool area_beyond(const struct mr_subject *s, const struct mr_film_area *area, const struct sets *sets) {
    mr_wide low = 0, high = 0, n = (mr_wide)area->n;
    bool several = false;
    for (size_t i = area->first; i < area->first + area->n; i++) {
        low += sets[i].low;
        high += sets[i].high;
        several = several || sets[i].several;
    }
    for (size_t r = 0; several && r < s->rules->n; r++)
        for (size_t i = 0; i < s->rules->v[r]->limits.n; i++) {
            const struct mr_rule_limit *limit = &s->rules->v[r]->limits.v[i];
            if (limit->value == MR_RULE_AREA && (mr_rule_raw_beyond(limit, &s->limits, mr_ratio_of(low, n)) ||
                                                 mr_rule_raw_beyond(limit, &s->limits, mr_ratio_of(high, n))))
                return true;
        }
    return false;
}

static bool spot_beyond(const struct mr_subject *s, const struct sets *sets) {
    for (size_t r = 0; r < s->rules->n && sets->several; r++)
        if (mr_rule_spot_beyond(s->rules->v[r], &s->limits, sets->low) ||
            mr_rule_spot_beyond(s->rules->v[r], &s->limits, sets->high))
            return true;
    return false;
}

/* The lines of the spots that hold a second measurement which misses a limit by itself, or lets its area miss one.
 * Returns: how many spots. */
static size_t measured_twice(struct mr_assess *a, const struct mr_subject *s, const struct mr_film *film,
                             struct mr_line *lines, size_t *out_lines) {
    const struct sets *sets = sets_of(a, s, film);
    size_t n = 0;
    for (size_t k = 0; k < film->areas.n; k++) {
        const struct mr_film_area *area = &film->areas.v[k];
        const bool whole = area_beyond(s, area, sets);
        for (size_t i = area->first; i < area->first + area->n; i++) {
            const struct mr_film_spot *spot = &film->spots.v[i];
            if (!sets[i].several || (!whole && !spot_beyond(s, &sets[i])))
                continue;
            n++;
            for (size_t j = spot->first; j < spot->first + spot->n; j++)
                lines[(*out_lines)++] = (struct mr_line){film->readings[j].file, film->readings[j].line};
        }
    }
    return n;
}

void mr_spot_twice_check(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film *film = s->counting ? &s->counting->film : NULL;
    if (!film || film->per_spot < 2)
        return;
    struct mr_check c = mr_blank_check("thickness.spot-twice", "Spots measured once", "thickness", s->zone, s->coat);
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->n + 1);
    size_t n_lines = 0;
    const size_t n = measured_twice(a, s, film, lines, &n_lines);
    if (!n)
        return;
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)n;
    c.rule = "a spot is measured once; measured again after a repair, it belongs to a new survey";
    c.source = MR_SRC_PD;
    c.detail = mr_printf(a->arena, "%s %s measured more than once, and one of the measurements alone misses a limit.",
                         mr_count_text(a, n, "spot"), n == 1 ? "was" : "were");
    mr_add_lines(a, &c.evidence, lines, n_lines, 6, "the readings of the spot");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "spot-measured-twice", MR_WARNING);
    f.what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c.detail);
    f.next_step = n == 1 ? "Repair the spot and measure it anew, or have the deviation decided in writing."
                         : "Repair the spots and measure them anew, or have the deviation decided in writing.";
    mr_add_finding(a, &f);
}
