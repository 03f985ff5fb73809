/*
 * Zone names: what is folded, what is not, aliases, near misses.
 */
#include "align/zonename.h"
#include "support/align_fixture.h"

#include <criterion/criterion.h>
#include <string.h>

Test(zonenames, folding_table) {
    static const struct {
        const char *a, *b;
        bool same;
    } rows[] = {
        {"Deck 1", "deck-01", true},
        {"Deck 1", "DECK_1", true},
        {"Deck 1", "Deck1", true},
        {"Deck 1", "Deck 2", false},
        {"Deck 1.1", "Deck 11", false},
        {"1-1", "1 1", true},
        {"A10", "A1", false},
        {"A 010", "a10", true},
        {"A0", "A", false},
        {"Träger 3", "TRÄGER 3", true},
        {"Träger 3", "Trager 3", false},
        {"Tank\xC2\xA0"
         "2",
         "tank 2", true},
        {"Deck \xE2\x80\x93 1", "deck 1", true},
        {"T-007", "T7", true},
        {"0", "00", true},
        {"1-01", "1.1", true},
        {"Deck 1a", "deck 1 A", true},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        char a[MR_ZONE_KEY_MAX], b[MR_ZONE_KEY_MAX];
        mr_zone_key(rows[i].a, a);
        mr_zone_key(rows[i].b, b);
        cr_expect_eq(strcmp(a, b) == 0, rows[i].same, "\"%s\" and \"%s\": keys \"%s\" \"%s\"", rows[i].a, rows[i].b,
                     a, b);
    }
    char key[MR_ZONE_KEY_MAX], long_name[2000];
    cr_assert_eq(mr_zone_key(" - . ", key), 0);
    memset(long_name, 'x', sizeof long_name);
    long_name[sizeof long_name - 1] = '\0';
    cr_assert_lt(mr_zone_key(long_name, key), MR_ZONE_KEY_MAX);
}

static void registered(struct fixture *f) {
    fix_init(f, "UTC");
    uint32_t zones = fix_file(f, "zones.csv", MR_KIND_ZONES, MR_TIME_NONE, "");
    fix_zone(f, zones, "North deck", "ND; Deck N");
    fix_zone(f, zones, "South deck", "SD|D1");
    fix_zone(f, zones, "Tank 2", "T2");
}

Test(zonenames, aliases_lead_to_their_zone_and_near_misses_are_only_told) {
    struct fixture f;
    registered(&f);
    uint32_t file = fix_file(&f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "");
    const char *written[] = {"north DECK", "nd", "d-1", "Nort deck", "Tank 3", "South deck"};
    for (size_t i = 0; i < MR_COUNT(written); i++)
        fix_reading(&f, file, written[i], fix_time("2026-05-11 08:00"), 100);
    fix_align(&f);
    const struct mr_alignment *a = f.aligned;
    cr_assert_eq(a->zones.n, 5);
    const size_t zone[] = {0, 0, 1, 3, 4, 1};
    for (size_t i = 0; i < MR_COUNT(written); i++) {
        cr_assert_eq(a->readings.v[i].zone, zone[i], "%s", written[i]);
        cr_assert_eq(a->readings.v[i].route, MR_ROUTE_OWN);
    }
    cr_assert_str_eq(a->readings.v[1].route_note, "alias, written 'nd'");
    cr_assert_str_eq(a->readings.v[0].route_note, "written 'north DECK'");
    cr_assert_str_eq(a->readings.v[5].route_note, "");
    cr_assert(!a->zones.v[3].registered && strcmp(a->zones.v[3].name, "Nort deck") == 0);
    /* The slip of the pen is suggested; another number is not a slip. */
    cr_assert(fix_has(&f, "zone-near-miss") && fix_has(&f, "zone-unregistered"));
    for (size_t i = 0; i < f.diags.list.n; i++)
        if (strcmp(f.diags.list.v[i].id, "zone-near-miss") == 0) {
            cr_assert_str_eq(f.diags.list.v[i].text, "Nort deck");
            cr_assert(strstr(f.diags.list.v[i].mend, "North deck"));
        }
    cr_expect_str_eq(a->zones.v[3].near, "North deck");
    cr_expect_str_eq(a->zones.v[4].near, "");
    bool alias;
    cr_assert_eq(mr_zone_find(a, "t-02", &alias), 2);
    cr_assert(alias);
    cr_assert_eq(mr_zone_find(a, "TANK 02", &alias), 2);
    cr_assert(!alias);
    cr_assert_eq(mr_zone_find(a, "nowhere", NULL), MR_NONE);
    fix_free(&f);
}

Test(zonenames, an_alias_that_two_zones_claim_is_believed_of_neither) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t zones = fix_file(&f, "zones.csv", MR_KIND_ZONES, MR_TIME_NONE, "");
    fix_zone(&f, zones, "A", "deck");
    fix_zone(&f, zones, "B", "Deck; A");
    fix_zone(&f, zones, "a.", "");
    uint32_t file = fix_file(&f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "");
    fix_reading(&f, file, "deck", MR_T_NONE, 100);
    fix_reading(&f, file, "A", MR_T_NONE, 100);
    fix_align(&f);
    cr_assert_eq(f.aligned->zones.n, 3);
    cr_assert_eq(f.aligned->readings.v[0].zone, 2);
    cr_assert_not(f.aligned->zones.v[2].registered);
    cr_assert_eq(f.aligned->readings.v[1].zone, 0);
    cr_assert(fix_has(&f, "zone-name-twice"));
    cr_assert_eq(mr_zone_find(f.aligned, "deck", NULL), 2);
    fix_free(&f);
}

Test(zonenames, without_a_register_spellings_are_one_zone) {
    struct fixture f;
    fix_init(&f, "UTC");
    uint32_t file = fix_file(&f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "");
    fix_reading(&f, file, "deck 1", MR_T_NONE, 100);
    fix_reading(&f, file, "Deck-01", MR_T_NONE, 100);
    fix_reading(&f, file, "Bow", MR_T_NONE, 100);
    fix_align(&f);
    cr_assert_eq(f.aligned->zones.n, 2);
    cr_assert_str_eq(f.aligned->zones.v[0].name, "Bow");
    cr_assert_str_eq(f.aligned->zones.v[1].name, "Deck-01");
    cr_assert_not(fix_has(&f, "zone-unregistered"));
    fix_free(&f);
}

static size_t zones_with_climate_at(const char *place, bool read_too, int *rank, bool *told) {
    static const int64_t t_of[] = {0, 60000};
    static const double rh[] = {57, 58};
    int64_t t[2] = {fix_time("2026-05-11 08:00") + t_of[0], fix_time("2026-05-11 08:00") + t_of[1]};
    struct fixture f;
    registered(&f);
    uint32_t file = fix_file(&f, "hand.csv", MR_KIND_CLIMATE, MR_TIME_LOCAL, ""),
             film = fix_file(&f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "");
    fix_channel(&f, file, "RH", MR_M_RH, 2, t, rh, NULL)->zone = place;
    if (read_too)
        fix_reading(&f, film, place, t[0], 100);
    fix_align(&f);
    const size_t n = f.aligned->zones.n;
    *rank = mr_track_rank(&f.aligned->tracks.v[0], 0, mr_track_ms(&f.aligned->tracks.v[0], 0));
    *told = fix_has(&f, "place-unregistered");
    fix_free(&f);
    return n;
}

/* A place where only the climate was taken is no zone to accept; the whole job's climate is every zone's. */
Test(zonenames, a_place_in_a_climate_record_alone_makes_no_zone) {
    static const struct {
        const char *place;
        bool read_too;
        size_t zones; /* three are registered */
        int rank;     /* for North deck */
        bool told;
    } rows[] = {{"site", false, 3, 1, false},       {"On site", false, 3, 1, false},
                {"all zones", false, 3, 1, false},  {"Yard gate", false, 3, 0, true},
                {"Yard gate", true, 4, 0, false},   {"site", true, 4, 0, false},
                {"North deck", false, 3, 2, false}, {"Nort deck", false, 4, 0, false}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        int rank;
        bool told;
        const size_t zones = zones_with_climate_at(rows[i].place, rows[i].read_too, &rank, &told);
        cr_expect(zones == rows[i].zones && rank == rows[i].rank && told == rows[i].told,
                  "%s, read too %d: %zu zones, rank %d, told %d", rows[i].place, rows[i].read_too, zones, rank, told);
    }
}

Test(zonenames, job_file_zones_must_be_registered) {
    struct fixture f;
    registered(&f);
    fix_instrument(&f, "K1");
    fix_assign(&f, "K1", "T1", "Norht deck", NULL, NULL);
    fix_align(&f);
    cr_assert_eq(f.status, MR_E_JOB);
    cr_assert(fix_has(&f, "assignment-zone"));
    fix_free(&f);
}

Test(zonenames, names_keep_many_texts_apart) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_names names = {0};
    for (size_t i = 0; i < 5000; i++)
        mr_names_put(arena, &names, mr_printf(arena, "zone %zu", i), i);
    for (size_t i = 0; i < 5000; i++)
        cr_assert_eq(mr_names_get(&names, mr_printf(arena, "zone %zu", i)), i);
    cr_assert_eq(mr_names_get(&names, "zone 5000"), MR_NONE);
    mr_names_put(arena, &names, "zone 7", 8);
    cr_assert_eq(mr_names_get(&names, "zone 7"), 8);
    cr_assert_eq(names.n, 5000);
    mr_arena_free(arena);
}
