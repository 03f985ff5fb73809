/*
 * test_heat_job.c - from tracks, windows and films to checks, findings and tables. The job is built by hand: zones
 * with one coat each, a probe that logs every 10 s from one hour before to two hours after, and what each of them
 * saw.
 */
#include "heat_hand.h"

Test(heat_job, each_kind_of_coat_gets_its_outcome_and_its_finding) {
    static const struct {
        struct seen seen;
        const char *name;
        enum mr_outcome rise, onset;
        const char *finding;
    } rows[] = {
        {{.rise_k = 5.0, .after_s = 30, .steel_mm = 5}, "normal", MR_CONFORMS, MR_CONFORMS, NULL},
        {{.rise_k = 4.2, .after_s = 30, .steel_mm = 5}, "weak", MR_DOES_NOT_CONFORM, MR_CONFORMS, "weak-reaction"},
        {{.rise_k = 6.0, .after_s = 30, .steel_mm = 5}, "hot", MR_DOES_NOT_CONFORM, MR_CONFORMS, "hot-reaction"},
        {{.rise_k = 5.0, .after_s = 900, .steel_mm = 5}, "late", MR_CONFORMS, MR_DOES_NOT_CONFORM, "late-reaction"},
        {{.rise_k = 0.0, .steel_mm = 5}, "none", MR_DOES_NOT_CONFORM, MR_NOT_SHOWN, "no-reaction"},
        {{.rise_k = 0.8, .after_s = 30, .steel_mm = 5},
         "hardly any",
         MR_DOES_NOT_CONFORM,
         MR_CONFORMS,
         "no-reaction"},
        {{.rise_k = 5.0, .after_s = 30, .steel_mm = 5, .no_data = true},
         "no data",
         MR_NOT_SHOWN,
         MR_NOT_SHOWN,
         "heat-not-shown"},
        /* As much warming as a reaction gives, but as steady as only the sun's: the record leaves no room for heat.
         */
        {{.rise_k = 0.0, .steel_mm = 5, .sun_k_per_h = 30.0},
         "sun",
         MR_DOES_NOT_CONFORM,
         MR_NOT_SHOWN,
         "no-reaction"},
        {{.rise_k = 0.0, .steel_mm = 5, .sun_k_per_h = 1.0},
         "a little sun",
         MR_DOES_NOT_CONFORM,
         MR_NOT_SHOWN,
         "no-reaction"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site *s = build(&rows[i].seen, 1);
        mr_assess_reaction(&s->a);
        const struct mr_check *rise = check(s, "reaction.rise", 0), *onset = check(s, "reaction.onset", 0);
        cr_assert(rise && onset, "%s", rows[i].name);
        cr_expect_eq(rise->outcome, rows[i].rise, "%s: %s", rows[i].name, rise->detail);
        cr_expect_eq(onset->outcome, rows[i].onset, "%s: %s", rows[i].name, onset->detail);
        cr_expect_gt(rise->evidence.n, 0, "%s", rows[i].name);
        if (rows[i].finding) {
            const struct mr_finding *f = finding(s, rows[i].finding, 0);
            cr_assert(f, "%s", rows[i].name);
            cr_expect(*f->what && *f->next_step && *f->rule && *f->source && f->evidence.n, "%s", rows[i].name);
        } else {
            cr_expect_null(finding(s, "weak-reaction", 0), "%s", rows[i].name);
            cr_expect_null(finding(s, "no-reaction", 0), "%s", rows[i].name);
        }
        mr_arena_free(s->arena);
    }
}

/* A spot without heat is not made good by another with it, whichever probe is listed first. */
Test(heat_job, the_worst_of_two_probes_speaks_for_the_coat) {
    struct seen warm = {.rise_k = 5.0, .after_s = 30, .steel_mm = 5}, cold = {.rise_k = 0.0, .steel_mm = 5};
    for (int first_cold = 0; first_cold < 2; first_cold++) {
        struct site *s = build(first_cold ? &cold : &warm, 1);
        add_track(s, 0, false, first_cold ? &warm : &cold, T0);
        mr_assess_reaction(&s->a);
        const struct mr_check *rise = check(s, "reaction.rise", 0);
        cr_assert_not_null(rise);
        cr_expect_eq(rise->outcome, MR_DOES_NOT_CONFORM, "cold first %d: %s", first_cold, rise->detail);
        mr_arena_free(s->arena);
    }
}

/* The material may have landed on the probe at any moment of a long window. */
Test(heat_job, an_onset_within_a_long_window_is_not_late) {
    struct seen seen = {.rise_k = 5.0, .after_s = 900, .steel_mm = 5};
    for (int longer = 0; longer < 2; longer++) {
        struct site *s = build(&seen, 1);
        if (longer)
            s->aligned.windows.v[0].t1_utc_ms = T0 + 1800000;
        mr_assess_reaction(&s->a);
        const struct mr_check *onset = check(s, "reaction.onset", 0);
        cr_assert_not_null(onset);
        cr_expect_eq(onset->outcome, longer ? MR_CONFORMS : MR_DOES_NOT_CONFORM, "%s", onset->detail);
        mr_arena_free(s->arena);
    }
}

Test(heat_job, the_raw_band_is_8_to_10_degf_and_names_its_source) {
    struct seen seen = {.rise_k = 5.0, .after_s = 30, .steel_mm = 10};
    struct site *s = build(&seen, 1);
    mr_assess_reaction(&s->a);
    const struct mr_check *c = check(s, "reaction.rise", 0);
    cr_assert_float_eq(c->limit_low, 8.0, 1e-12); /* common practice, no source */
    cr_assert_float_eq(c->limit_high, 10.0, 1e-12);
    cr_assert_eq(c->unit, MR_UNIT_RISE_F);
    cr_assert_float_eq(c->measured, 9.0, 0.1);
    cr_assert_str_eq(c->source, MR_SRC_CP);
    cr_assert(strstr(c->detail, "raw band"));
    mr_arena_free(s->arena);
}

Test(heat_job, the_band_follows_the_steel_and_the_film) {
    /* Lumped balance, film left out: half the rise on twice the steel; with film stated, in proportion to it. What
     * the steel loses meanwhile, by hand: this reaction, at 1/67 s, keeps 0.865 of its heat on the 10 mm that cool in
     * 1500 s, and would keep 0.790 on 5 mm under the same loss, which cool in 750 s. */
    struct seen seen = {.rise_k = 2.5, .after_s = 30, .steel_mm = 10};
    struct site *s = build(&seen, 1);
    set(s, MR_RISE_STEEL, 5.0, MR_UNIT_MM);
    mr_assess_reaction(&s->a);
    const struct mr_check *c = check(s, "reaction.rise", 0);
    cr_assert_float_eq(c->limit_low, 4.0 * 0.865 / 0.790, 0.02);
    cr_assert_float_eq(c->limit_high, 5.0 * 0.865 / 0.790, 0.02);
    cr_assert_eq(c->outcome, MR_CONFORMS);
    cr_assert(strstr(c->detail, "8.2 ± "), "%s", c->detail);
    mr_arena_free(s->arena);
    seen.film_um = 150.0;
    s = build(&seen, 1);
    set(s, MR_RISE_FILM, 100.0, MR_UNIT_UM);
    mr_assess_reaction(&s->a);
    cr_assert_float_eq(check(s, "reaction.rise", 0)->limit_low, 12.0, 1e-9);
    mr_arena_free(s->arena);
}

Test(heat_job, events_hold_what_the_probe_saw) {
    struct seen seen = {.rise_k = 5.0, .after_s = 45, .steel_mm = 5};
    struct site *s = build(&seen, 1);
    mr_assess_reaction(&s->a);
    cr_assert_eq(s->out.heats.n, 1);
    const struct mr_heat_event *e = &s->out.heats.v[0];
    cr_expect_float_eq((double)(e->t_onset - T0) * 1e-3, 45.0, 3.0);
    cr_expect_float_eq(e->rise_fit_k, 5.0, 0.05);
    cr_expect_float_eq(e->rise_k, 5.0, 0.1);
    cr_expect_float_eq(e->tau_s, 1500.0, 60.0);
    cr_expect_eq(e->window, 0);
    cr_expect_eq(e->coat, 1);
    cr_expect_eq(e->place.line, 2 + 365, "line %u", e->place.line);
    cr_expect_float_eq(mr_heat_model_c(e, e->t_peak), 25.0, 0.05);
    cr_assert_not_null(table(s, "heat-events"));
    cr_assert_not_null(table(s, "heat-by-coat"));
    mr_arena_free(s->arena);
}

Test(heat_job, a_mix_check_at_the_gun_must_warm) {
    struct seen seen = {.rise_k = 5.0, .after_s = 30, .steel_mm = 5};
    for (int warm = 0; warm < 2; warm++) {
        struct site *s = build(&seen, 1);
        struct seen gun = {.rise_k = warm ? 6.0 : 0.0, .after_s = 20};
        int64_t at = T0 - 600000;
        add_track(s, 0, true, &gun, at);
        struct mr_spray log = {.action = MR_ACTION_MIX_CHECK, .action_text = "mix check"};
        struct mr_action_at action = {
            .log = &log, .t0_utc_ms = at, .t1_utc_ms = at + 60000, .zone = MR_NONE, .shift = MR_NONE};
        MR_PUSH(s->arena, &s->aligned.actions, action);
        mr_assess_reaction(&s->a);
        const struct mr_check *c = check(s, "reaction.mix-check", MR_NONE);
        cr_assert_not_null(c);
        cr_expect_eq(c->outcome, warm ? MR_CONFORMS : MR_DOES_NOT_CONFORM, "%s", c->detail);
        cr_expect_eq(finding(s, "no-reaction", MR_NONE) != NULL, !warm);
        mr_arena_free(s->arena);
    }
}

/* Zones whose rise follows film and steel, zone `bad` with a share of it and a probe with that noise. */
static struct site *comparison(size_t n, size_t bad, double steel_mm, double share, double noise_k) {
    struct seen seen[ZONES_MOST];
    for (size_t z = 0; z < n; z++) {
        double film = 110.0 + 4.0 * (double)((z * 5) % n),
               mm = isnan(steel_mm) ? steel_mm : 4.0 + 0.25 * (double)((z * 7) % n);
        double rise = 5.0 * film / 127.0 * 5.0 / (isnan(mm) ? 5.0 : mm);
        seen[z] = (struct seen){.rise_k = z == bad ? share * rise : rise,
                                .noise_k = z == bad ? noise_k : 0.0,
                                .after_s = 30,
                                .steel_mm = mm,
                                .film_um = film * (1.0 + 0.01 * ((double)((z * 3) % 5) - 2.0))};
    }
    return build(seen, n);
}

/* A heat that is itself uncertain neither fails nor passes by its middle. */
Test(heat_job, a_zone_whose_own_heat_is_uncertain_is_not_condemned_by_the_comparison) {
    static const double share[] = {0.88, 1.0, 0.88}, noise_k[] = {0.9, 0.9, 0.0};
    for (size_t i = 0; i < MR_COUNT(share); i++) {
        struct site *s = comparison(12, 5, 5.0, share[i], noise_k[i]);
        mr_assess_reaction(&s->a);
        const struct mr_check *c = check(s, "reaction.rise-against-film", 5);
        cr_expect_eq(c->outcome, i < 2 ? MR_NOT_SHOWN : MR_DOES_NOT_CONFORM, "row %zu: %s", i, c->detail);
        cr_expect_eq(check(s, "reaction.rise-against-film", 4)->outcome, MR_CONFORMS);
        mr_arena_free(s->arena);
    }
}

Test(heat_job, a_zone_with_a_quarter_less_heat_than_its_film_gives_is_found) {
    struct site *s = comparison(12, 5, 5.0, 0.75, 0.0);
    mr_assess_reaction(&s->a);
    for (size_t z = 0; z < 12; z++) {
        const struct mr_check *c = check(s, "reaction.rise-against-film", z);
        cr_assert_not_null(c);
        cr_expect_eq(c->outcome, z == 5 ? MR_DOES_NOT_CONFORM : MR_CONFORMS, "zone %zu: %s", z, c->detail);
    }
    cr_expect_float_eq(check(s, "reaction.rise-against-film", 5)->measured, 75.0, 4.0);
    cr_assert_not_null(finding(s, "rise-does-not-fit-film", 5));
    const struct mr_table *t = table(s, "rise-against-thickness");
    cr_assert_not_null(t);
    cr_assert_eq(t->n_rows, 12);
    cr_assert_not_null(table(s, "heat-constants"));
    mr_arena_free(s->arena);
}

Test(heat_job, what_the_comparison_lacks_is_said_and_counts_as_the_job_wants) {
    static const struct {
        size_t zones;
        double steel_mm;
        const char *wanted;
        enum mr_outcome outcome;
    } rows[] = {{3, 5.0, "where possible", MR_NOT_REQUIRED},
                {3, 5.0, "yes", MR_NOT_SHOWN},
                {12, NAN, "where possible", MR_NOT_REQUIRED}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct site *s = comparison(rows[i].zones, 99, rows[i].steel_mm, 0.75, 0.0);
        s->settings->v[MR_RISE_AGAINST].text = rows[i].wanted;
        mr_assess_reaction(&s->a);
        const struct mr_check *c = check(s, "reaction.rise-against-film", 0);
        cr_assert(c && c->outcome == rows[i].outcome, "row %zu", i);
        cr_assert_not_null(finding(s, "rise-not-compared", MR_NONE), "row %zu", i);
        mr_arena_free(s->arena);
    }
    struct site *s = comparison(12, 99, 5.0, 0.75, 0.0);
    s->settings->v[MR_RISE_AGAINST].text = "no";
    mr_assess_reaction(&s->a);
    cr_assert_null(check(s, "reaction.rise-against-film", 0));
    mr_arena_free(s->arena);
}

Test(heat_job, a_specification_that_does_not_ask_gets_not_required) {
    struct seen seen = {.rise_k = 0.0, .steel_mm = 5};
    struct site *s = build(&seen, 1);
    set(s, MR_REACTION_REQUIRED, 0.0, MR_UNIT_NONE);
    mr_assess_reaction(&s->a);
    cr_assert_null(check(s, "reaction.rise", 0));
    cr_assert_eq(check(s, "reaction", 0)->outcome, MR_NOT_REQUIRED);
    mr_arena_free(s->arena);
}

/* A band that names its steel or film says nothing of another one: 5 K lie within 8 to 10 degF raw, and are far too
 * much on twice the steel. Left out, the thickness must not turn that into a coat that conforms. Lumped balance; no
 * heat at all is none on any plate. */
Test(heat_job, a_band_for_a_steel_or_a_film_needs_the_zones_own) {
    static const struct {
        double rise_k, steel_mm, film_um, band_mm, band_um;
        enum mr_outcome outcome;
    } rows[] = {
        {5.0, 0, 0, 0, 0, MR_CONFORMS},
        {5.0, 10, 0, 5, 0, MR_DOES_NOT_CONFORM},
        {5.0, 0, 0, 5, 0, MR_NOT_SHOWN},
        {5.0, 5, 0, 5, 0, MR_CONFORMS},
        {2.5, 0, 0, 5, 0, MR_NOT_SHOWN},
        {0.0, 0, 0, 5, 0, MR_DOES_NOT_CONFORM},
        {5.0, 5, 0, 5, 200, MR_NOT_SHOWN},
        {5.0, 5, 200, 5, 200, MR_CONFORMS},
        {5.0, 5, 100, 5, 200, MR_DOES_NOT_CONFORM},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct seen seen = {
            .rise_k = rows[i].rise_k, .after_s = 30, .steel_mm = rows[i].steel_mm, .film_um = rows[i].film_um};
        struct site *s = build(&seen, 1);
        if (rows[i].band_mm > 0)
            set(s, MR_RISE_STEEL, rows[i].band_mm, MR_UNIT_MM);
        if (rows[i].band_um > 0)
            set(s, MR_RISE_FILM, rows[i].band_um, MR_UNIT_UM);
        mr_assess_reaction(&s->a);
        const struct mr_check *c = check(s, "reaction.rise", 0);
        cr_expect_eq(c->outcome, rows[i].outcome, "row %zu: %d, %s", i, (int)c->outcome, c->detail);
        mr_arena_free(s->arena);
    }
}
