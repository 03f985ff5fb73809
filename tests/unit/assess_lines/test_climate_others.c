/*
 * test_climate_others.c - of instruments that stand for a zone equally well each has a say, whatever their names.
 * That steel stays 3 K above the dew point everywhere: ISO 8502-4; which instrument speaks: common practice, no
 * source.
 */
#include "hand.h"

#include <stdio.h>

static const char job[] = "[climate]\ndew-point spread minimum = 3 K\nhumidity maximum = 85 %\n";

static struct hand *one_zone(void) {
    struct hand *f = hand_new(job);
    hand_zone(f, "Deck 1", 30, 1);
    hand_zone(f, "Deck 2", 30, 1);
    hand_shift(f, "2026-05-11", 0, 1800);
    hand_window(f, 0, 1, 0, 1800);
    return f;
}

static size_t flat(struct hand *f, const char *instrument, enum mr_meaning meaning, double value) {
    return hand_track(f, instrument, meaning, -3600, 60, 181, hand_flat, &value);
}

static void place(struct hand *f, size_t track, size_t zone) {
    struct mr_stay stay = {.zone = zone, .t0_utc_ms = INT64_MIN, .t1_utc_ms = INT64_MAX, .route = MR_ROUTE_ASSIGNED};
    MR_PUSH(f->arena, &f->al.tracks.v[track].stays, stay);
}

/* Air 20 °C at 60 %: dew point 12 °C. At 90 %: 18.3 °C. */
static enum mr_outcome with_two(double first_rh, double second_rh, const char *second_place, const char **next) {
    struct hand *f = one_zone();
    const double rh[] = {first_rh, second_rh};
    const char *const name[] = {"H1", "H2"};
    for (size_t i = 0; i < 2; i++) {
        size_t air = flat(f, name[i], MR_M_AIR, 20), humid = flat(f, name[i], MR_M_RH, rh[i]);
        if (i && *second_place) {
            place(f, air, *second_place == '1' ? 0 : 1);
            place(f, humid, *second_place == '1' ? 0 : 1);
        }
    }
    flat(f, "H1", MR_M_STEEL, 22);
    mr_assess_climate(&f->a);
    const struct mr_check *c = hand_check(f, "climate.humidity", 0, 1);
    const struct mr_finding *found = hand_finding(f, "humidity", 0);
    static char step[300];
    snprintf(step, sizeof step, "%s", found ? found->next_step : "");
    *next = step;
    enum mr_outcome outcome = c->outcome;
    hand_free(f);
    return outcome;
}

Test(climate_others, a_damp_hygrometer_speaks_whatever_its_name) {
    const char *next;
    cr_expect_eq(with_two(60, 61, "", &next), MR_CONFORMS);
    cr_expect_eq(with_two(60, 92, "", &next), MR_DOES_NOT_CONFORM);
    cr_expect(strstr(next, "state its zones in the job file"), "%s", next);
    cr_expect_eq(with_two(92, 60, "", &next), MR_DOES_NOT_CONFORM);
}

Test(climate_others, a_damp_one_that_nobody_places_leaves_the_zone_of_a_placed_one_not_shown) {
    const char *next;
    cr_expect_eq(with_two(60, 92, "2", &next), MR_CONFORMS, "it stands in the other zone");
    cr_expect_eq(with_two(92, 60, "1", &next), MR_NOT_SHOWN, "it stands in this zone, the damp one anywhere");
    cr_expect_eq(with_two(60, 61, "1", &next), MR_CONFORMS);
    cr_expect_eq(with_two(60, 92, "1", &next), MR_DOES_NOT_CONFORM);
}

Test(climate_others, the_place_of_one_that_shows_a_limit_missed_is_asked_for_once) {
    struct hand *f = one_zone();
    place(f, flat(f, "H1", MR_M_AIR, 20), 0);
    place(f, flat(f, "H1", MR_M_RH, 60), 0);
    place(f, flat(f, "H1", MR_M_STEEL, 22), 0);
    flat(f, "H2", MR_M_AIR, 20);
    flat(f, "H2", MR_M_RH, 92);
    flat(f, "H2", MR_M_STEEL, 20);
    mr_assess_climate(&f->a);
    expect_outcome(hand_check(f, "climate.humidity", 0, 1), MR_NOT_SHOWN);
    expect_outcome(hand_check(f, "climate.spread", 0, 1), MR_NOT_SHOWN);
    cr_assert_eq(hand_count(f, "unplaced-instrument"), 1U);
    const struct mr_finding *found = hand_finding(f, "unplaced-instrument", 0);
    cr_expect(strstr(found->what, "H2 shows") && strstr(found->what, "92"), "%s", found->what);
    cr_expect(strstr(found->next_step, "where H2 stood"), "%s", found->next_step);
    hand_free(f);
}

Test(climate_others, the_coldest_of_several_probes_on_a_zone_decides) {
    static const struct {
        double p1, p2;
        size_t zone2;
        enum mr_outcome want;
    } rows[] = {{18, 17, 0, MR_CONFORMS},
                {18, 13, 0, MR_DOES_NOT_CONFORM},
                {13, 18, 0, MR_DOES_NOT_CONFORM},
                {18, 13, 1, MR_CONFORMS}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = one_zone();
        flat(f, "H1", MR_M_AIR, 20);
        flat(f, "H1", MR_M_RH, 60);
        place(f, flat(f, "P1", MR_M_PROBE_TEMP, rows[i].p1), 0);
        place(f, flat(f, "P2", MR_M_PROBE_TEMP, rows[i].p2), rows[i].zone2);
        mr_assess_climate(&f->a);
        expect_outcome(hand_check(f, "climate.spread", 0, 1), rows[i].want);
        hand_free(f);
    }
}

/* 84 % at 20 °C is a dew point of 17.2 °C (Magnus, WMO No. 8), whatever the hygrometer's own column says. */
Test(climate_others, a_logged_dew_point_that_its_own_air_contradicts_proves_nothing) {
    static const struct {
        double logged;
        enum mr_outcome want;
    } rows[] = {{5.0, MR_DOES_NOT_CONFORM}, {17.2, MR_DOES_NOT_CONFORM}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct hand *f = one_zone();
        flat(f, "H1", MR_M_AIR, 20);
        flat(f, "H1", MR_M_RH, 84);
        flat(f, "H1", MR_M_STEEL, 18.5);
        flat(f, "H1", MR_M_DEW, rows[i].logged);
        mr_assess_climate(&f->a);
        expect_outcome(hand_check(f, "climate.spread", 0, 1), rows[i].want);
        cr_expect_eq(hand_count(f, "dew-point-differs"), i == 0);
        hand_free(f);
    }
}

/* H1 stands in the zone and breaks off after the window; H2 lies damp meanwhile, nobody says where, and alone covers
 * the cure: what it shows missed in the window is never held against the zone. */
Test(climate_others, a_longer_cure_time_takes_the_window_from_no_instrument_of_the_zone) {
    static const double cure_h[] = {0.25, 1, 5};
    const double dry[] = {60}, damp_first[] = {60, -9999, 1801, 92, NAN, NAN, NAN};
    for (size_t i = 0; i < MR_COUNT(cure_h); i++) {
        char text[160];
        snprintf(text, sizeof text,
                 "[climate]\nhumidity maximum = 85 %%\ndew-point spread minimum = none\ncure time = %g h\n",
                 cure_h[i]);
        struct hand *f = hand_new(text);
        hand_zone(f, "Deck 1", 30, 1);
        hand_shift(f, "2026-05-11", 0, 1800);
        hand_window(f, 0, 1, 0, 1800);
        place(f, hand_track(f, "H1", MR_M_RH, -3600, 60, 95, hand_flat, dry), 0);
        hand_track(f, "H2", MR_M_RH, -3600, 60, 450, hand_steps, damp_first);
        mr_assess_climate(&f->a);
        expect_outcome(hand_check(f, "climate.humidity", 0, 1), MR_NOT_SHOWN);
        hand_free(f);
    }
}

/* Without a start the window was a moment, and the weather of that moment the weather of the coat. */
Test(climate_others, a_coat_without_a_start_or_a_stop_is_not_shown) {
    for (int i = 0; i < 3; i++) {
        struct hand *f = one_zone();
        flat(f, "H1", MR_M_AIR, 20);
        flat(f, "H1", MR_M_RH, 60);
        flat(f, "H1", MR_M_STEEL, 22);
        f->al.windows.v[0].no_start = i == 1;
        f->al.windows.v[0].no_stop = i == 2;
        mr_assess_coats(&f->a);
        mr_assess_climate(&f->a);
        expect_outcome(hand_check(f, "climate.humidity", 0, 1), i ? MR_NOT_SHOWN : MR_CONFORMS);
        cr_expect_eq(hand_count(f, "coat-time-missing"), i > 0);
        hand_free(f);
    }
}

/* ---- an instrument that the job places on the zone, and that recorded nothing there ---- */

enum probe_is { RECORDING, STOPPED, A_DAY_LATE, ELSEWHERE, NO_FILE };

/* Air 20 °C at 60 %, steel of an instrument that nobody places 22 °C: all limits kept, or at 95 % none. doubted: the
 * clock of the probe. */
static struct hand *with_probe(enum probe_is is, double rh, bool doubted) {
    struct hand *f = hand_new(is == NO_FILE ? "[climate]\ndew-point spread minimum = 3 K\nhumidity maximum = 85 %\n"
                                              "[assign \"K8\"]\nP1 = Deck 1, 2026-05-11 07:00 .. 2026-05-11 12:00\n"
                                            : job);
    hand_zone(f, "Deck 1", 30, 1);
    hand_zone(f, "Deck 2", 30, 1);
    hand_shift(f, "2026-05-11", 0, 1800);
    hand_window(f, 0, 1, 0, 1800);
    flat(f, "H1", MR_M_AIR, 20);
    flat(f, "H1", MR_M_RH, rh);
    flat(f, "H1", MR_M_STEEL, 22);
    if (is == NO_FILE)
        return f;
    const double steel_c = 22;
    size_t probe = hand_track(f, "K8", MR_M_PROBE_TEMP, is == A_DAY_LATE ? 82800 : -3600, 60,
                              is == STOPPED ? 76 : 181, hand_flat, &steel_c);
    place(f, probe, is == ELSEWHERE ? 1 : 0);
    f->al.tracks.v[probe].file0 = FILE_LINES;
    if (doubted) {
        struct mr_clock_doubt d = {
            .kind = MR_DOUBT_CLOCK, .who = "the clock of K8", .looks = "24 h fast", .paste = "clock offset = 24 h"};
        MR_PUSH(f->arena, &d.places, (struct mr_place){.file = f->data.files.v[FILE_LINES].source->path});
        MR_PUSH(f->arena, &f->al.doubts, d);
    }
    return f;
}

static void expect_spread(enum probe_is is, double rh, bool doubted, enum mr_outcome want) {
    struct hand *f = with_probe(is, rh, doubted);
    mr_assess_climate(&f->a);
    const struct mr_check *c = hand_check(f, "climate.spread", 0, 1);
    cr_expect(c && c->outcome == want, "%d, %.0f %%, %d: %s (%s)", (int)is, rh, doubted,
              c ? mr_outcome_text(c->outcome) : "-", c ? c->detail : "");
    hand_free(f);
}

Test(climate_others, steel_of_an_instrument_that_nobody_places_never_stands_in_for_a_silent_probe) {
    expect_spread(RECORDING, 60, false, MR_CONFORMS);
    expect_spread(STOPPED, 60, false, MR_CONFORMS);
    expect_spread(STOPPED, 60, true, MR_NOT_SHOWN);
    expect_spread(ELSEWHERE, 60, false, MR_CONFORMS);
    expect_spread(A_DAY_LATE, 60, false, MR_NOT_SHOWN);
    expect_spread(NO_FILE, 60, false, MR_NOT_SHOWN);
    /* What it shows missed is missed, unless the probe's record may lie under a wrong date. */
    expect_spread(A_DAY_LATE, 95, false, MR_DOES_NOT_CONFORM);
    expect_spread(A_DAY_LATE, 95, true, MR_NOT_SHOWN);
    expect_spread(A_DAY_LATE, 60, true, MR_NOT_SHOWN);
}

Test(climate_others, a_silent_probe_is_told_with_what_helps_and_leaves_other_limits_alone) {
    struct hand *f = with_probe(A_DAY_LATE, 60, false);
    mr_assess_climate(&f->a);
    const struct mr_finding *found = hand_finding(f, "silent-instrument", 0);
    cr_assert_not_null(found);
    cr_expect(strstr(found->what, "K8") && strstr(found->what, "Dew-point spread"), "%s", found->what);
    cr_expect(strstr(found->next_step, "[assign"), "%s", found->next_step);
    cr_expect_eq(hand_count(f, "silent-instrument"), 1U);
    expect_outcome(hand_check(f, "climate.humidity", 0, 1), MR_CONFORMS);
    hand_free(f);
}
