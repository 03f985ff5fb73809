/*
 * test_heat_causes.c - heat of the right size that is none of a reaction: what never cools, what a probe on an
 * unsprayed zone saw as well; and readings that are no probe. Common practice, no source.
 */
#include "heat_hand.h"

/* Steel of 5 mm at 0.2 W/(m2 K): it takes a day to cool, as none does (heat loss of a plate: common practice, no
 * source). */
Test(heat_causes, steel_that_warms_and_does_not_cool_again_shows_no_reaction) {
    static const struct {
        double tau_s, steel_mm;
        enum mr_outcome want;
    } rows[] = {{1500, 5, MR_CONFORMS},     {4000, 5, MR_CONFORMS},      {80000, 5, MR_NOT_SHOWN},
                {80000, NAN, MR_NOT_SHOWN}, {400000, NAN, MR_NOT_SHOWN}, {4000, NAN, MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const struct seen seen = {.rise_k = 5.0, .after_s = 60, .steel_mm = rows[i].steel_mm, .tau_s = rows[i].tau_s};
        struct site *s = build(&seen, 1);
        mr_assess_reaction(&s->a);
        const struct mr_check *rise = check(s, "reaction.rise", 0);
        cr_expect_eq(rise->outcome, rows[i].want, "%.0f s, %.0f mm: %s", rows[i].tau_s, rows[i].steel_mm,
                     rise->detail);
        mr_arena_free(s->arena);
    }
}

/* Zone 2 is sprayed 20 min after zone 1; its probe warms when that of zone 1 does. */
Test(heat_causes, heat_that_a_probe_on_an_unsprayed_zone_saw_as_well_shows_no_reaction) {
    static const struct {
        double apart_s, rise_k;
        bool placed;
        enum mr_outcome want;
    } rows[] = {{0, 5.0, true, MR_NOT_SHOWN}, {40, 5.0, true, MR_NOT_SHOWN}, {300, 5.0, true, MR_CONFORMS},
                {0, 1.5, true, MR_CONFORMS},  {0, 3.5, true, MR_NOT_SHOWN},  {0, 5.0, false, MR_NOT_SHOWN}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const struct seen own = {.rise_k = 5.0, .after_s = 60, .steel_mm = 5},
                          same = {.rise_k = rows[i].rise_k, .after_s = 60 + rows[i].apart_s, .steel_mm = 5};
        struct site *s = build(&own, 1);
        struct mr_zone other = s->aligned.zones.v[0];
        other.name = "Z2";
        MR_PUSH(s->arena, &s->aligned.zones, other);
        struct mr_window later = {.zone = 1, .coat = 1, .t0_utc_ms = T0 + 1200000, .t1_utc_ms = T0 + 1500000};
        MR_PUSH(s->arena, &s->aligned.windows, later);
        add_track(s, 1, false, &same, T0);
        if (!rows[i].placed)
            s->aligned.tracks.v[1].stays.n = 0;
        mr_assess_reaction(&s->a);
        const struct mr_check *rise = check(s, "reaction.rise", 0);
        cr_expect_eq(strstr(rise->detail, "nothing was sprayed") != NULL,
                     rows[i].placed && rows[i].want == MR_NOT_SHOWN, "a probe of no place is none: %s", rise->detail);
        cr_expect_eq(rise->outcome, rows[i].want, "%.0f s, %.1f K, placed %d: %s", rows[i].apart_s, rows[i].rise_k,
                     rows[i].placed, rise->detail);
        mr_arena_free(s->arena);
    }
}

/* Steel read by hand for the dew point, before the coat and after it, is no probe that missed the reaction. */
Test(heat_causes, a_few_readings_of_steel_overrule_no_probe) {
    const struct seen seen = {.rise_k = 5.0, .after_s = 60, .steel_mm = 5};
    struct site *s = build(&seen, 1);
    add_track(s, 0, false, &seen, T0);
    struct mr_track *hand = &s->aligned.tracks.v[1];
    hand->meaning = MR_M_STEEL;
    static int64_t t[2], line[2] = {2, 3};
    static double c[2] = {20.0, 25.0};
    t[0] = T0 - 900000;
    t[1] = T0 + 7200000;
    hand->n = 2;
    hand->t_utc_ms.raw = t;
    hand->value.raw = c;
    hand->line.raw = line;
    mr_assess_reaction(&s->a);
    const struct mr_check *rise = check(s, "reaction.rise", 0);
    cr_expect_eq(rise->outcome, MR_CONFORMS, "%s", rise->detail);
    mr_arena_free(s->arena);
}
