/*
 * test_prop_heat_sites.c - laws of the judgement of heat over simulated sites in each weather. The long table stands
 * behind `make heat-sites`; this is its shortened form, on seeds of its own.
 */
#include "support/heat_site_judge.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

static struct site_score judge(enum site_weather weather, bool reference, size_t sites) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct site_score score = {0};
    for (size_t i = 0; i < sites; i++) {
        struct site_plan plan = {
            .seed = 52000 + i, .weather = weather, .reference = reference, .ordinary = true, .faulty_share = 0.4};
        site_add(arena, site_make(arena, &plan), false, &score);
        mr_arena_reset(arena);
    }
    mr_arena_free(arena);
    return score;
}

Test(prop_heat_sites, verdicts_are_right_or_not_shown) {
    static const double least_right[SITE_WEATHERS] = {0.95, 0.9, 0.4, 0.4, 0.7}; /* of 30 coats each */
    size_t fitted = 0, covered = 0, wrong = 0, coats = 0;
    for (int w = 0; w < SITE_WEATHERS; w++) {
        struct site_score s = judge((enum site_weather)w, false, 8);
        cr_expect_leq(s.wrong, 1, "%s: %zu of %zu wrong", site_weather_text[w], s.wrong, s.coats);
        cr_expect_geq((double)s.healthy_right, least_right[w] * (double)s.healthy, "%s: %zu of %zu healthy coats",
                      site_weather_text[w], s.healthy_right, s.healthy);
        fitted += s.fitted;
        covered += s.covered;
        wrong += s.wrong;
        coats += s.coats;
    }
    cr_expect_leq(100 * wrong, coats, "%zu of %zu wrong", wrong, coats);
    cr_expect(100 * covered >= 90 * fitted && 1000 * covered <= 995 * fitted, "%zu of %zu intervals hold the truth",
              covered, fitted);
}

/* A coat that the spray log has too late warmed its plate before; a probe in the air stands on none. In moving cloud
 * neither shape is plain. */
Test(prop_heat_sites, a_row_logged_late_and_a_probe_in_the_air_condemn_nobody, .timeout = 120) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct site_score s = {0};
    for (size_t i = 0; i < 100; i++) {
        struct site_plan plan = {.seed = 91000000 + i, .weather = SITE_CLOUD, .ordinary = true, .faulty_share = 1.0};
        site_add(arena, site_make(arena, &plan), false, &s);
        mr_arena_reset(arena);
    }
    cr_expect_geq(s.by_fault[SITE_EARLY][0] + s.by_fault[SITE_PROBE_OFF][0], 120U);
    cr_expect_eq(s.by_fault[SITE_EARLY][2], 0);
    cr_expect_eq(s.by_fault[SITE_PROBE_OFF][2], 0);
    cr_expect_geq(2 * s.by_fault[SITE_NO_HEAT][0], s.by_fault[SITE_NO_HEAT][1], "no heat is still found");
    mr_arena_free(arena);
}

/* How often a text says one sentence twice; the words before the first colon name the coat. */
static size_t said_twice(const char *text) {
    char copy[2048], *sentence[32], *at = copy, *end;
    size_t n = 0, twice = 0;
    const char *from = strchr(text, ':');
    snprintf(copy, sizeof copy, "%s ", from ? from + 2 : text);
    for (; n < 32 && (end = strstr(at, ". ")) != NULL; at = end + 2) {
        *end = '\0';
        for (size_t i = 0; i < n; i++)
            twice += strcasecmp(sentence[i], at) == 0;
        sentence[n++] = at;
    }
    return twice;
}

Test(prop_heat_sites, no_finding_says_a_sentence_twice) {
    cr_assert_eq(said_twice("Zone 1: the rise is below the band. The rise is below the band. Rise 2 K."), 1);
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    size_t weak = 0;
    for (size_t i = 0; i < 6; i++) {
        struct site_plan plan = {.seed = 55000 + i, .weather = SITE_CALM, .ordinary = true, .faulty_share = 0.8};
        const struct mr_assess *a = site_assess(arena, site_make(arena, &plan));
        for (size_t k = 0; k < a->out->findings.n; k++) {
            const struct mr_finding *f = &a->out->findings.v[k];
            weak += strcmp(f->id, "weak-reaction") == 0;
            cr_expect_eq(said_twice(f->what), 0, "%s", f->what);
        }
        mr_arena_reset(arena);
    }
    cr_expect_gt(weak, 0);
    mr_arena_free(arena);
}

Test(prop_heat_sites,
     the_score_notices_wrong_verdicts) { /* a site whose register has half the steel that stands there */
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct site_score score = {0};
    for (size_t i = 0; i < 3; i++) {
        struct site_plan plan = {.seed = 53000 + i, .weather = SITE_CALM, .ordinary = true};
        struct site *s = site_make(arena, &plan);
        for (size_t z = 0; z < SITE_ZONES; z++)
            s->zone[z].steel_mm *= 0.5;
        site_add(arena, s, false, &score);
    }
    cr_expect_gt(score.wrong, score.coats / 2, "%zu of %zu wrong", score.wrong, score.coats);
    mr_arena_free(arena);
}

/* On each steel by itself: a factor that is right in the middle of the range would hide one that is askew. */
Test(prop_heat_sites, the_band_is_centred_from_3_to_20_mm, .timeout = 120) {
    static const double steels_mm[] = {3, 4, 5, 6, 8, 10, 12, 16, 20};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    double sum[MR_COUNT(steels_mm)] = {0}, n[MR_COUNT(steels_mm)] = {0};
    for (size_t i = 0; i < 40; i++) {
        struct site_plan plan = {.seed = 54000 + i, .weather = SITE_CALM, .steady = true};
        const struct site *s = site_make(arena, &plan);
        const struct mr_assess *a = site_assess(arena, s);
        for (size_t k = 0; k < a->out->checks.n; k++) {
            const struct mr_check *c = &a->out->checks.v[k];
            if (strcmp(c->id, "reaction.rise") != 0 || isnan(c->measured) || c->zone == MR_NONE)
                continue;
            size_t at = 0;
            while (at + 1 < MR_COUNT(steels_mm) && steels_mm[at] < s->zone[c->zone].steel_mm - 0.1)
                at++;
            sum[at] += c->measured / (0.5 * (c->limit_low + c->limit_high));
            n[at] += 1.0;
        }
        mr_arena_reset(arena);
    }
    for (size_t i = 0; i < MR_COUNT(steels_mm); i++) {
        printf("%2.0f mm: rise over the centre of the band %.4f (%.0f coats)\n", steels_mm[i], sum[i] / n[i], n[i]);
        cr_expect_geq(n[i], 10.0);
        cr_expect_float_eq(sum[i] / n[i], 1.0, 0.03, "%.0f mm: %.4f", steels_mm[i], sum[i] / n[i]);
    }
    mr_arena_free(arena);
}

/* In gusts the disturbance grows with the pulse's own heat; an interval that took all of it for doubt would hold the
 * truth in 99 of 100. */
Test(prop_heat_sites, intervals_in_wind_are_no_wider_than_they_need_be, .timeout = 120) {
    struct site_score s = judge(SITE_WIND, false, 60);
    printf("wind: %.1f %% of %zu intervals hold the truth\n", site_coverage_pct(&s), s.fitted);
    cr_expect_geq(s.fitted, 300U);
    cr_expect(site_coverage_pct(&s) > 92.0 && site_coverage_pct(&s) < 98.5, "%.1f", site_coverage_pct(&s));
}
