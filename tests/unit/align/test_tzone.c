/*
 * Time zones against the IANA data read by another program: tests/support/tz_expect.py (Python's zoneinfo).
 */
#include "base/tzone.h"
#include "support/align_fixture.h"

#include <criterion/criterion.h>
#include <pthread.h>
#include <stdio.h>
#include <string.h>

struct tally {
    size_t zones, moments, walls, gaps, folds, wrong;
};

static void ask(const char *line, struct mr_tz_cursor *fresh, struct mr_tz_cursor *kept, struct tally *t) {
    long long at, a, b, c;
    if (sscanf(line, "U %lld %lld", &at, &a) == 2) {
        t->moments++;
        t->wrong += mr_tz_offset(kept->zone, at * 1000) != a * 1000;
        return;
    }
    cr_assert_eq(sscanf(line, "L %lld %lld %lld %lld", &at, &a, &b, &c), 4, "%s", line);
    t->walls++;
    t->gaps += a == 0;
    t->folds += a == 2;
    /* The cursor that remembers and one that does not must agree. */
    *fresh = mr_tz_cursor(kept->zone);
    struct mr_tz_moment m[2] = {mr_tz_to_utc(fresh, at * 1000), mr_tz_to_utc(kept, at * 1000)};
    for (size_t i = 0; i < 2; i++) {
        bool fit = m[i].fit == (a == 0 ? MR_TZ_GAP : a == 1 ? MR_TZ_ONE : MR_TZ_FOLD);
        bool same = a == 0 || (m[i].first_utc_ms == b * 1000 && m[i].last_utc_ms == c * 1000);
        if (!fit || !same) {
            t->wrong++;
            if (t->wrong < 20)
                cr_log_error("%s: local %lld: fit %d, %lld %lld, expected %s", kept->zone->name, at, (int)m[i].fit,
                             (long long)m[i].first_utc_ms, (long long)m[i].last_utc_ms, line);
        }
    }
}

Test(tzone, every_transition_of_every_zone_agrees_with_a_second_route, .timeout = 120) {
    FILE *in = popen("python3 tests/support/tz_expect.py 2>/dev/null", "r");
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_tz_cursor fresh = {0}, kept = {0};
    struct tally t = {0};
    char line[256];
    while (in && fgets(line, sizeof line, in)) {
        line[strcspn(line, "\n")] = '\0';
        if (line[0] != 'Z') {
            ask(line, &fresh, &kept, &t);
            continue;
        }
        const struct mr_tzone *zone;
        cr_assert_eq(mr_tzone_load(arena, line + 2, &zone), MR_OK, "%s", line);
        kept = mr_tz_cursor(zone);
        t.zones++;
    }
    if (!in || pclose(in) != 0) {
        printf("SKIPPED ALOUD: python3 with zoneinfo is not there; time zones were not compared with it\n");
        mr_arena_free(arena);
        return;
    }
    cr_expect_eq(t.wrong, 0, "%zu wrong of %zu moments and %zu wall-clock times", t.wrong, t.moments, t.walls);
    cr_expect(t.zones > 400 && t.gaps > 1000 && t.folds > 1000, "%zu zones, %zu gaps, %zu folds", t.zones, t.gaps,
              t.folds);
    mr_arena_free(arena);
}

/* Facts of the IANA data, from memory, so that something stands even where Python is not. */
Test(tzone, known_gaps_and_folds) {
    static const struct {
        char zone[24], local[24];
        enum mr_tz_fit fit;
        char first[24], last[24];
    } rows[] = {
        {"Europe/Berlin", "2024-03-31 02:30", MR_TZ_GAP, "2024-03-31 01:30", "2024-03-31 00:30"},
        {"Europe/Berlin", "2024-10-27 02:30", MR_TZ_FOLD, "2024-10-27 00:30", "2024-10-27 01:30"},
        {"Europe/Berlin", "2024-10-27 03:00", MR_TZ_ONE, "2024-10-27 02:00", "2024-10-27 02:00"},
        {"Europe/Berlin", "2024-10-27 01:59", MR_TZ_ONE, "2024-10-26 23:59", "2024-10-26 23:59"},
        {"Pacific/Apia", "2011-12-30 12:00", MR_TZ_GAP, "2011-12-30 22:00", "2011-12-29 22:00"},
        {"Australia/Lord_Howe", "2024-04-07 01:45", MR_TZ_FOLD, "2024-04-06 14:45", "2024-04-06 15:15"},
        {"+02:00", "2024-03-31 02:30", MR_TZ_ONE, "2024-03-31 00:30", "2024-03-31 00:30"},
        {"UTC", "2024-03-31 02:30", MR_TZ_ONE, "2024-03-31 02:30", "2024-03-31 02:30"},
        {"America/Chicago", "2026-03-08 02:30", MR_TZ_GAP, "2026-03-08 08:30", "2026-03-08 07:30"},
    };
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const struct mr_tzone *zone;
        cr_assert_eq(mr_tzone_load(arena, rows[i].zone, &zone), MR_OK, "%s", rows[i].zone);
        struct mr_tz_cursor c = mr_tz_cursor(zone);
        struct mr_tz_moment m = mr_tz_to_utc(&c, fix_time(rows[i].local));
        cr_expect_eq(m.fit, rows[i].fit, "%s %s", rows[i].zone, rows[i].local);
        cr_expect_eq(m.first_utc_ms, fix_time(rows[i].first), "%s %s", rows[i].zone, rows[i].local);
        cr_expect_eq(m.last_utc_ms, fix_time(rows[i].last), "%s %s", rows[i].zone, rows[i].local);
    }
    mr_arena_free(arena);
}

Test(tzone, unknown_zones_are_refused_never_taken_for_utc) {
    static const char names[][40] = {"",
                                     "Europe/Atlantis",
                                     "CET1",
                                     "ABC5",
                                     "/etc/localtime",
                                     "../Europe/Berlin",
                                     "Europe/Berlin\n",
                                     "EST5EDT,M3.2.0,M11.1.0",
                                     "europe/berlin",
                                     "+25:00",
                                     "2 h"};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    const struct mr_tzone *zone = NULL;
    for (size_t i = 0; i < MR_COUNT(names); i++)
        cr_expect_eq(mr_tzone_load(arena, names[i], &zone), MR_E_RANGE, "\"%s\"", names[i]);
    cr_assert_null(zone);
    mr_arena_free(arena);
    struct fixture f;
    fix_init(&f, "Europe/Atlantis");
    fix_align(&f);
    cr_assert_eq(f.status, MR_E_JOB);
    cr_assert(fix_has(&f, "time-zone"));
    fix_free(&f);
}

/* Eight threads load and convert in different zones at once; the sums must be those of one thread. */
static const char *const zones_of_threads[8] = {"Europe/Berlin", "America/Chicago",   "Australia/Lord_Howe",
                                                "Asia/Kolkata",  "Africa/Casablanca", "Europe/Dublin",
                                                "Pacific/Apia",  "America/St_Johns"};

static void *convert_much(void *zone_name) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    uint64_t sum = 14695981039346656037U;
    for (int round = 0; round < 3; round++) {
        const struct mr_tzone *zone;
        if (mr_tzone_load(arena, zone_name, &zone) != MR_OK)
            break;
        struct mr_tz_cursor c = mr_tz_cursor(zone);
        for (int64_t t = 0; t < 100000; t++) {
            struct mr_tz_moment m = mr_tz_to_utc(&c, t * 21600000 + t);
            sum = (sum ^ (uint64_t)(m.first_utc_ms + 3 * m.last_utc_ms + (int64_t)m.fit)) * 1099511628211U;
        }
    }
    mr_arena_free(arena);
    uint64_t *out = malloc(sizeof *out);
    *out = sum;
    return out;
}

Test(tzone, eight_threads_equal_one) {
    uint64_t serial[8];
    for (int i = 0; i < 8; i++) {
        uint64_t *sum = convert_much((void *)(uintptr_t)zones_of_threads[i]);
        serial[i] = *sum;
        free(sum);
    }
    pthread_t thread[8];
    for (int i = 0; i < 8; i++)
        cr_assert_eq(pthread_create(&thread[i], NULL, convert_much, (void *)(uintptr_t)zones_of_threads[i]), 0);
    for (int i = 0; i < 8; i++) {
        void *sum;
        pthread_join(thread[i], &sum);
        cr_expect_eq(*(uint64_t *)sum, serial[i], "%s", zones_of_threads[i]);
        free(sum);
    }
    for (int i = 1; i < 8; i++)
        cr_expect_neq(serial[i], serial[0]);
}
