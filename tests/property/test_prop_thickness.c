/*
 * A naive, slow judge, written straight from the sentences of each rule, against the engine on random zones.
 *
 * The judge knows readings as whole tenths of a micrometre, groups them by counting, and compares products of whole
 * numbers; it shares no code with the engine. Zones are drawn close to the limits, so that edges are met all the
 * time.
 */
#include "support/film_judge.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

enum { PER_SPOT = 3, PER_AREA = 5, MOST = 240 };

struct zone {
    long reading[MOST]; /* tenths of a micrometre */
    size_t n;
    long min, max; /* tenths; max 0 = none */
};

static uint64_t next_random(uint64_t *state) { /* splitmix64, S. Vigna, public domain algorithm */
    uint64_t z = (*state += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

static long between(uint64_t *state, long low, long high) {
    return low + (long)(next_random(state) % (uint64_t)(high - low + 1));
}

/* Readings sit around a share of a limit that some rule uses, with a little scatter in steps of a tenth. */
static void draw(uint64_t *state, struct zone *z) {
    static const long share[] = {80, 80, 90, 100, 100, 100, 120, 150};
    z->n = (size_t)between(state, 1, 8) * 15 + (next_random(state) % 4 == 0 ? (size_t)between(state, 0, 14) : 0);
    z->min = between(state, 500, 4000);
    z->max = next_random(state) % 4 ? z->min + between(state, 0, 2000) : 0;
    long scatter = between(state, 0, 3) * between(state, 0, 60);
    long centre = z->min * share[next_random(state) % 8] / 100;
    if (z->max && next_random(state) % 3 == 0)
        centre = z->max * share[next_random(state) % 8] / 100;
    for (size_t i = 0; i < z->n; i++) {
        z->reading[i] = centre + (scatter ? between(state, -scatter, scatter) : between(state, -1, 1));
        if (next_random(state) % 12 == 0)
            z->reading[i] = z->min * share[next_random(state) % 8] / 100;
    }
}

/* "The mean of three readings is a spot; five spots are an area, whose value is the mean of its spots. Every spot
 * must be at least LOW % of the minimum and at most HIGH % of the maximum, every area within minimum and maximum."
 * Returns whether it conforms; *shown is false where there was no whole spot or area. */
static bool naive_level(const struct zone *z, long low, long high, bool area_max, bool *shown) {
    size_t spots = z->n / PER_SPOT, areas = spots / PER_AREA;
    *shown = spots > 0 && areas > 0;
    for (size_t s = 0; s < spots; s++) {
        long sum = 0;
        for (size_t i = 0; i < PER_SPOT; i++)
            sum += z->reading[s * PER_SPOT + i];
        if (sum * 100 < z->min * low * PER_SPOT)
            return false;
        if (z->max && high && sum * 100 > z->max * high * PER_SPOT)
            return false;
    }
    for (size_t a = 0; a < areas; a++) {
        long sum = 0;
        for (size_t i = 0; i < PER_SPOT * PER_AREA; i++)
            sum += z->reading[a * PER_SPOT * PER_AREA + i];
        if (sum < z->min * PER_SPOT * PER_AREA || (area_max && z->max && sum > z->max * PER_SPOT * PER_AREA))
            return false;
    }
    return true;
}

/* "The mean of all is not below the minimum; no value is below 80 % of it; fewer than 20 % lie from 80 % up to below
 * it; no value exceeds the maximum." */
static bool naive_8020(const struct zone *z) {
    long sum = 0, few = 0;
    for (size_t i = 0; i < z->n; i++) {
        long x = z->reading[i];
        sum += x;
        if (x * 100 < z->min * 80 || (z->max && x > z->max))
            return false;
        few += x < z->min;
    }
    return sum >= z->min * (long)z->n && few * 5 < (long)z->n;
}

/* "At least 90 % of the readings reach the minimum, none is below 90 % of it." */
static bool naive_9010(const struct zone *z) {
    long reach = 0;
    for (size_t i = 0; i < z->n; i++) {
        long x = z->reading[i];
        if (x * 10 < z->min * 9 || (z->max && x > z->max))
            return false;
        reach += x >= z->min;
    }
    return reach * 10 >= 9 * (long)z->n;
}

/* "Every reading lies within the limits." */
static bool naive_plain(const struct zone *z) {
    for (size_t i = 0; i < z->n; i++)
        if (z->reading[i] < z->min || (z->max && z->reading[i] > z->max))
            return false;
    return true;
}

enum { RULES = 8 };
static const char *const names[RULES] = {"restriction-level-1",
                                         "restriction-level-2",
                                         "restriction-level-3",
                                         "restriction-level-4",
                                         "restriction-level-5",
                                         "80-20",
                                         "90-10",
                                         "plain-limits"};

static enum mr_outcome naive(const struct zone *z, size_t rule) {
    static const long low[5] = {100, 100, 80, 80, 80}, high[5] = {100, 120, 120, 150, 0};
    bool shown = true, good = rule < 5    ? naive_level(z, low[rule], high[rule], rule < 4, &shown)
                              : rule == 5 ? naive_8020(z)
                              : rule == 6 ? naive_9010(z)
                                          : naive_plain(z);
    return !good ? MR_DOES_NOT_CONFORM : shown ? MR_CONFORMS : MR_NOT_SHOWN;
}

static enum mr_outcome engine(struct mr_arena *arena, const struct zone *z, const struct mr_rule *rule, bool in_mil) {
    double written[MOST];
    struct mr_film film;
    for (size_t i = 0; i < z->n; i++)
        written[i] = in_mil ? (double)z->reading[i] / 100 : (double)z->reading[i] / 10;
    film_of(arena, written, z->n, in_mil ? MR_UNIT_MIL : MR_UNIT_UM, PER_SPOT, PER_AREA, &film);
    double scale = in_mil ? 100 : 10;
    struct mr_film_limits limits = film_limits_of((double)z->min / scale, z->max ? (double)z->max / scale : NAN,
                                                  in_mil ? MR_UNIT_MIL : MR_UNIT_UM);
    return film_outcome(arena, &film, rule, &limits);
}

struct tally {
    size_t outcome[4], differ;
};

static struct tally compare(const struct mr_rule *const *rules, size_t zones, uint64_t seed) {
    struct tally t = {{0}, 0};
    struct mr_arena *scratch = mr_arena_new(NULL, NULL);
    uint64_t state = seed;
    for (size_t i = 0; i < zones; i++) {
        struct zone z;
        draw(&state, &z);
        size_t rule = next_random(&state) % RULES;
        enum mr_outcome got = engine(scratch, &z, rules[rule], i % 2), want = naive(&z, rule);
        t.outcome[want]++;
        if (got != want && t.differ++ < 3)
            cr_log_info("zone %zu, %s, n %zu, min %ld, max %ld: engine %d, judge %d", i, names[rule], z.n, z.min,
                        z.max, got, want);
        mr_arena_reset(scratch);
    }
    mr_arena_free(scratch);
    return t;
}

static void load(struct mr_arena *arena, const struct mr_rule **rules) {
    for (size_t i = 0; i < RULES; i++)
        rules[i] = film_rule(arena, names[i]);
}

Test(prop_thickness, a_naive_judge_agrees_on_100000_random_zones) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    const struct mr_rule *rules[RULES];
    load(arena, rules);
    struct tally t = compare(rules, 100000, 20260511);
    cr_expect_eq(t.differ, 0, "%zu of 100000 differ", t.differ);
    cr_expect(t.outcome[MR_CONFORMS] > 10000 && t.outcome[MR_DOES_NOT_CONFORM] > 10000,
              "both outcomes are met: %zu, %zu", t.outcome[MR_CONFORMS], t.outcome[MR_DOES_NOT_CONFORM]);
    mr_arena_free(arena);
}

/* The comparison notices: a limit off by a thousandth of a percent, and a share that is not strict. */
Test(prop_thickness, the_comparison_notices_a_planted_fault) {
    static const char *const faults[][2] = {
        {"plain-limits",
         "[rule]\ntitle = x\nsource = y\n[limit \"a\"]\nvalue = reading\nat least = 100.001 % of minimum\n"
         "[limit \"b\"]\nvalue = reading\nat most = 100 % of maximum\n"},
        {"80-20", "[rule]\ntitle = x\nsource = y\n[limit \"a\"]\nvalue = mean\nat least = 100 % of minimum\n"
                  "[limit \"b\"]\nvalue = reading\nat least = 80 % of minimum\n"
                  "[limit \"c\"]\nvalue = reading\nat least = 100 % of minimum\nshare = at most 20 %\n"
                  "[limit \"d\"]\nvalue = reading\nat most = 100 % of maximum\n"},
    };
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (size_t f = 0; f < MR_COUNT(faults); f++) {
        const struct mr_rule *rules[RULES];
        load(arena, rules);
        for (size_t i = 0; i < RULES; i++)
            if (strcmp(names[i], faults[f][0]) == 0)
                rules[i] = film_rule_text(arena, faults[f][0], faults[f][1]);
        struct tally t = compare(rules, 40000, 20260511);
        cr_expect_gt(t.differ, 0, "planted fault in %s was not noticed", faults[f][0]);
    }
    mr_arena_free(arena);
}

/* Order of areas, unit and a common shift of film and limit do not change a verdict. */
Test(prop_thickness, a_correction_shifts_limits_exactly) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    const struct mr_rule *rules[RULES];
    load(arena, rules);
    uint64_t state = 7;
    for (size_t i = 0; i < 1000; i++) {
        struct zone z;
        draw(&state, &z);
        size_t rule = next_random(&state) % RULES;
        long off = between(&state, 1, 700), parts = between(&state, 1, 12);
        struct mr_film film;
        double written[MOST];
        for (size_t k = 0; k < z.n; k++)
            written[k] = (double)z.reading[k] / 10;
        film_of(arena, written, z.n, MR_UNIT_UM, PER_SPOT, PER_AREA, &film);
        struct mr_film_limits limits =
            film_limits_of((double)z.min / 10, z.max ? (double)z.max / 10 : NAN, MR_UNIT_UM);
        enum mr_outcome plain = film_outcome(arena, &film, rules[rule], &limits);
        /* every reading higher by off/parts tenths, and that subtracted again: a ratio, not a decimal */
        for (size_t k = 0; k < film.n; k++)
            film.readings[k].quanta += (int64_t)off * (MR_QUANTA_PER_UM / 10);
        for (size_t s = 0; s < film.spots.n; s++) {
            film.spots.v[s].sum += (mr_wide)film.spots.v[s].n * off * (MR_QUANTA_PER_UM / 10);
            film.spots.v[s].kept_sum = film.spots.v[s].sum;
        }
        limits.correction = mr_ratio_of((mr_wide)off * parts * (MR_QUANTA_PER_UM / 10), parts);
        cr_assert_eq(film_outcome(arena, &film, rules[rule], &limits), plain, "zone %zu, %s", i, names[rule]);
        mr_arena_reset(arena);
        load(arena, rules);
    }
    mr_arena_free(arena);
}
