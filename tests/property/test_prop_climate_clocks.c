/*
 * test_prop_climate_clocks.c - the clock of a climate log against the air of another logger and against the sun, over
 * seeded days of air: a constant error of whole hours is named with its line, a sound log is left alone. That such
 * logs are compared is a project decision, so the laws have no outside source; the air's daily course (coldest about
 * sunrise, warmest in the afternoon) is common knowledge.
 */
#include "support/align_fixture.h"
#include "support/heat_sim.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

struct air_job {
    uint64_t seed;
    int days;            /* on which both log */
    double from_h, to_h; /* of the day */
    double off_h;        /* error of HY: shown minus true */
    bool other;          /* a second logger has an air channel */
    bool stated;         /* its clock is stated */
};

/* The air of one job at a true moment: a daily course and what wanders over minutes, in steps of a minute. */
static double *air_make(struct mr_arena *arena, struct heat_rng *rng, size_t minutes) {
    double *c = MR_ARRAY(arena, double, minutes), swing = heat_uniform(rng, 3.0, 7.0), wander = 0.0;
    for (size_t i = 0; i < minutes; i++) {
        double h = fmod((double)i / 60.0, 24.0);
        wander = exp(-1.0 / 15.0) * wander + sqrt(1.0 - exp(-2.0 / 15.0)) * heat_normal(rng);
        double past = fmod(h - 5.0 + 24.0, 24.0); /* since the coldest hour; the warmest comes ten hours later */
        c[i] = 18.0 - swing * cos(M_PI * (past < 10.0 ? past / 10.0 : 1.0 + (past - 10.0) / 14.0)) + 0.25 * wander;
    }
    return c;
}

static void log_air(struct fixture *f, const struct air_job *j, struct heat_rng *rng, const double *air,
                    const char *name, double off_h) {
    uint32_t file = fix_file(f, mr_printf(f->arena, "%s.csv", name), MR_KIND_CLIMATE, MR_TIME_LOCAL, name);
    size_t room = (size_t)(j->days * 24 * 60), n = 0;
    int64_t *t = MR_ARRAY(f->arena, int64_t, room), zero = fix_time("2026-05-06 00:00");
    double *v = MR_ARRAY(f->arena, double, room), apart = heat_uniform(rng, -0.5, 0.5);
    for (size_t i = 0; i < room; i += 2) {
        double h = fmod((double)i / 60.0, 24.0);
        if (h < j->from_h || h >= j->to_h)
            continue;
        t[n] = zero + (int64_t)i * 60000 + (int64_t)(off_h * 3600e3);
        v[n++] = 0.1 * floor(10.0 * (air[i] + apart + 0.05 * heat_normal(rng)) + 0.5);
    }
    fix_channel(f, file, "air", MR_M_AIR, n, t, v, NULL);
}

static void play(struct fixture *f, const struct air_job *j) {
    struct heat_rng rng = {.state = j->seed * 977 + 5};
    fix_init(f, "UTC");
    f->job.first_day_local_ms = fix_time("2026-05-01 00:00");
    f->job.last_day_local_ms = fix_time("2026-05-31 00:00");
    uint32_t log = fix_file(f, "spray log.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    fix_zone(f, fix_file(f, "zones.csv", MR_KIND_ZONES, MR_TIME_NONE, ""), "Deck 1", "");
    for (int d = 0; d < j->days; d++) {
        int64_t at = fix_time("2026-05-06 09:00") + (int64_t)d * 86400000;
        fix_spray(f, log, MR_ACTION_SPRAY, "Deck 1", d ? "2" : "1", at, at + 600000);
    }
    const double *air = air_make(f->arena, &rng, (size_t)(j->days * 24 * 60));
    log_air(f, j, &rng, air, "HY", j->off_h);
    if (j->other)
        log_air(f, j, &rng, air, "K1", 0.0);
    if (j->other && j->stated)
        fix_instrument(f, "K1")->offset_given = true;
    fix_align(f);
}

static const struct mr_clock_doubt *doubt_of(const struct fixture *f, const char *who) {
    for (size_t i = 0; i < f->aligned->doubts.n; i++)
        if (strstr(f->aligned->doubts.v[i].who, who))
            return &f->aligned->doubts.v[i];
    return NULL;
}

Test(prop_climate_clocks, whole_hours_against_another_logger_are_named_with_their_line, .timeout = 300) {
    static const int hours[] = {1, -1, 2, 6, -5};
    size_t jobs = 0, named = 0, wrong = 0;
    for (uint64_t seed = 0; seed < 100; seed++) {
        struct air_job j = {.seed = seed,
                            .days = 1 + (int)(seed % 3),
                            .from_h = seed % 2 ? 6.0 : 0.0,
                            .to_h = seed % 2 ? 19.0 : 24.0,
                            .off_h = hours[seed % MR_COUNT(hours)],
                            .other = true,
                            .stated = true};
        struct fixture f;
        play(&f, &j);
        const struct mr_clock_doubt *d = doubt_of(&f, "HY");
        jobs++;
        named += d && fabs(d->offset_s - 3600.0 * j.off_h) < 1.0;
        if (!d)
            printf("not told: %d days, %g h a day, %+g h\n", j.days, j.to_h - j.from_h, j.off_h);
        wrong += (d && fabs(d->offset_s - 3600.0 * j.off_h) >= 1.0) || doubt_of(&f, "K1") != NULL;
        char line[64];
        snprintf(line, sizeof line, "clock offset = %.0f h", j.off_h);
        if (d)
            cr_expect(strstr(d->paste, line) && strstr(d->looks, "its air then follows that of K1"), "%s: %s",
                      d->looks, d->paste);
        fix_free(&f);
    }
    printf("of %zu logs off by hours %zu are named, %zu with other hours\n", jobs, named, wrong);
    cr_expect_geq(100 * named, 95 * jobs);
    cr_expect_eq(wrong, 0U);
}

Test(prop_climate_clocks, sound_logs_are_left_alone, .timeout = 300) {
    size_t named = 0, jobs = 600;
    for (uint64_t seed = 0; seed < jobs; seed++) {
        struct air_job j = {.seed = 7000 + seed,
                            .days = 1 + (int)(seed % 4),
                            .from_h = seed % 2 ? 6.0 : 0.0,
                            .to_h = seed % 2 ? 17.0 : 24.0,
                            .other = seed % 3 > 0,
                            .stated = seed % 3 > 1};
        struct fixture f;
        play(&f, &j);
        named += f.aligned->doubts.n > 0;
        fix_free(&f);
    }
    printf("of %zu sound logs %zu are doubted\n", jobs, named);
    cr_expect_eq(named, 0U);
}

Test(prop_climate_clocks, of_two_clocks_that_nothing_bears_out_both_are_in_doubt) {
    struct fixture f;
    struct air_job j = {.seed = 3, .days = 2, .from_h = 0, .to_h = 24, .off_h = 1, .other = true};
    play(&f, &j);
    cr_assert_eq(f.aligned->doubts.n, 2U);
    cr_expect_float_eq(doubt_of(&f, "HY")->offset_s, 3600.0, 1.0);
    cr_expect_float_eq(doubt_of(&f, "K1")->offset_s, -3600.0, 1.0);
    cr_expect_not_null(strstr(doubt_of(&f, "HY")->looks, "one of the two clocks is wrong"));
    fix_free(&f);
}

Test(prop_climate_clocks, six_hours_off_the_sun_are_told_without_another_logger, .timeout = 300) {
    size_t named = 0, jobs = 60;
    for (uint64_t seed = 0; seed < jobs; seed++) {
        struct air_job j = {
            .seed = 9000 + seed, .days = 3 + (int)(seed % 3), .from_h = 0, .to_h = 24, .off_h = seed % 2 ? 6 : -6};
        struct fixture f;
        play(&f, &j);
        const struct mr_clock_doubt *d = doubt_of(&f, "HY");
        named += d && fabs(d->offset_s / 3600.0 - j.off_h) <= 2.0;
        fix_free(&f);
    }
    printf("of %zu logs six hours off %zu are told by the sun\n", jobs, named);
    cr_expect_geq(10 * named, 9 * jobs);
}
