/*
 * test_doubtful_place.c - a hygrometer's column that speaks of a place is asked for, placed where the place is a zone
 * of the register, and read where its words are known. Common practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define ROWS(cells) "2026-05-13 08:00," cells "\n2026-05-13 08:05," cells "\n"
#define ZONES "Zone,Aliases,Area (m2),Steel thickness (mm)\nDeck,D1; T1,25,6\nHull,H1; Web 1,25,6\n"

static uint64_t seed = 20261129;

static unsigned pick(unsigned n) {
    seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (unsigned)(seed >> 33) % n;
}

/* The channel under the heading; NULL where it was not read. */
static const struct mr_channel *read_under(struct norm_rig *rig, const char *heading, enum mr_meaning meaning) {
    char text[300];
    const char *beside = meaning == MR_M_RH    ? "Air °C,Steel °C"
                         : meaning == MR_M_AIR ? "RH %,Steel °C"
                                               : "Air °C,RH %";
    snprintf(text, sizeof text, "Time,%s,%s\n" ROWS("20.5,20.5,20.5"), beside, heading);
    norm_begin(rig);
    norm_add(rig, "climate.csv", text, 0);
    norm_add(rig, "zones.csv", ZONES, 0);
    norm_run(rig);
    cr_expect(norm_identity(rig), "%s", heading);
    return norm_channel(rig, 0, meaning, 0);
}

Test(doubtful_place, made_up_words_are_asked_for) {
    static const struct {
        const char *known;
        enum mr_meaning meaning;
    } known[] = {{"RH", MR_M_RH},
                 {"Relative humidity", MR_M_RH},
                 {"Luftfeuchte", MR_M_RH},
                 {"Air temp", MR_M_AIR},
                 {"Steel temp", MR_M_STEEL},
                 {"Temperatura del aire", MR_M_AIR},
                 {"Surface temp", MR_M_STEEL}};
    size_t violations = 0, asked = 0;
    for (int i = 0; i < 500; i++) {
        static const char letters[] = "bcdfghjklmnpqrstvwxzaeou";
        char word[8] = "zq", heading[80];
        const size_t n = 4 + pick(3), k = pick(MR_COUNT(known));
        for (size_t c = 2; c < n; c++)
            word[c] = letters[pick(sizeof letters - 1)];
        const char *unit = known[k].meaning == MR_M_RH ? "%" : "°C";
        switch (pick(4)) {
        case 0:
            snprintf(heading, sizeof heading, "%s %s %s", known[k].known, word, unit);
            break;
        case 1:
            snprintf(heading, sizeof heading, "%s %s [%s]", word, known[k].known, unit);
            break;
        case 2:
            snprintf(heading, sizeof heading, "%s (%s) %s", known[k].known, word, unit);
            break;
        default:
            snprintf(heading, sizeof heading, "%s_%s [%s]", known[k].known, word, unit);
            break;
        }
        struct norm_rig rig;
        if (read_under(&rig, heading, known[k].meaning) && violations++ < 5)
            cr_expect_fail("%s is read", heading);
        asked += norm_count(&rig, "doubtful-place") > 0;
        norm_end(&rig);
    }
    printf("made-up places: 500 headings, %zu violations\n", violations);
    cr_expect_eq(violations, 0);
    cr_expect_gt(asked, 450, "few are asked for: %zu", asked);
}

Test(doubtful_place, another_place_is_asked_for) {
    static const struct {
        const char *heading;
        enum mr_meaning meaning;
    } cases[] = {{"RH office %", MR_M_RH},
                 {"Humidity store room %", MR_M_RH},
                 {"RH lab %", MR_M_RH},
                 {"Office RH %", MR_M_RH},
                 {"RH (airport) [%]", MR_M_RH},
                 {"Feuchte Lager [%]", MR_M_RH},
                 {"Air temp office °C", MR_M_AIR},
                 {"Steel temp store °C", MR_M_STEEL},
                 {"Luft Büro °C", MR_M_AIR},
                 {"Road surface temp °C", MR_M_STEEL},
                 {"T1 °C", MR_M_AIR}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        cr_expect(!read_under(&rig, cases[i].heading, cases[i].meaning), "%s", cases[i].heading);
        cr_expect_eq(norm_count(&rig, "doubtful-place"), 1, "%s", cases[i].heading);
        norm_end(&rig);
    }
}

Test(doubtful_place, known_words_are_read_for_every_zone) {
    static const struct {
        const char *heading;
        enum mr_meaning meaning;
    } cases[] = {{"RH sensor %", MR_M_RH},
                 {"RH (relative humidity) %", MR_M_RH},
                 {"Air temp (dry bulb) °C", MR_M_AIR},
                 {"Ambient air temp site °C", MR_M_AIR},
                 {"Steel surface temp [°C]", MR_M_STEEL},
                 {"Steel temp probe °C", MR_M_STEEL},
                 {"Channel 2 RH %", MR_M_RH},
                 {"RH_pct", MR_M_RH},
                 {"Umidade relativa do ar %", MR_M_RH},
                 {"Upper flange steel °C", MR_M_STEEL}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        const struct mr_channel *c = read_under(&rig, cases[i].heading, cases[i].meaning);
        cr_expect(c, "%s", cases[i].heading);
        cr_expect(!c || !*c->zone, "%s stands in %s", cases[i].heading, c ? c->zone : "");
        cr_expect_eq(norm_count(&rig, "doubtful-place"), 0, "%s", cases[i].heading);
        norm_end(&rig);
    }
}

Test(doubtful_place, a_zone_in_the_heading_places_the_column) {
    static const char *const headings[] = {"Steel temp Hull °C", "HULL steel [°C]", "H1 steel temp °C",
                                           "Steel temp Web 1 °C", "Steel (h-1) °C"};
    for (size_t i = 0; i < MR_COUNT(headings); i++) {
        struct norm_rig rig;
        const struct mr_channel *c = read_under(&rig, headings[i], MR_M_STEEL);
        cr_expect(c && strcmp(c->zone, "Hull") == 0, "%s: %s", headings[i], c ? c->zone : "not read");
        norm_end(&rig);
    }
}

Test(doubtful_place, the_line_that_is_offered_settles_it) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_rule_column(&rig, norm_rule(&rig, "climate.csv"), "RH office %", "humidity", "%");
    norm_add(&rig, "climate.csv", "Time,Air °C,RH office %,Steel °C\n" ROWS("20,60,19"), 0);
    norm_run(&rig);
    cr_expect(norm_channel(&rig, 0, MR_M_RH, 0));
    cr_expect_eq(norm_count(&rig, "doubtful-place"), 0);
    norm_end(&rig);
}

/* Before, the column was read and forgotten: rows of an office stood for every zone. */
Test(doubtful_place, rows_that_name_their_place_stand_there) {
    static const char *const wide =
                                 "Time,Location,Air °C,RH %\n2026-05-13 08:00,Deck,20,60\n2026-05-13 08:05,Office,22,"
                                 "40\n2026-05-13 08:10,Deck,21,61\n2026-05-13 08:15,,21,62\n",
                             *const one = "Time,Location,Air °C,RH %\n" ROWS("Office,22,40");
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "a-climate.csv", wide, 0);
    norm_add(&rig, "b-climate.csv", one, 0);
    norm_run(&rig);
    cr_expect(norm_identity(&rig));
    static const struct {
        size_t file, n;
        const char *zone;
        double first;
    } humid[] = {{0, 2, "Deck", 60}, {0, 1, "Office", 40}, {0, 1, "", 62}, {1, 2, "Office", 40}};
    size_t found = 0;
    for (size_t i = 0; i < rig.data->channels.n; i++) {
        const struct mr_channel *c = &rig.data->channels.v[i];
        if (c->meaning != MR_M_RH)
            continue;
        cr_assert_lt(found, MR_COUNT(humid));
        cr_expect(c->file == humid[found].file && c->n == humid[found].n && strcmp(c->zone, humid[found].zone) == 0 &&
                      mr_real(&c->value, 0) == humid[found].first,
                  "channel %zu: %zu rows in \"%s\", first %g", found, c->n, c->zone, mr_real(&c->value, 0));
        found++;
    }
    cr_expect_eq(found, MR_COUNT(humid));
    norm_end(&rig);
}

/* The lines above the table may say where the logger stood. */
Test(doubtful_place, a_position_above_the_table_is_looked_at) {
    static const struct {
        const char *place, *zone;
        bool read;
    } cases[] = {{"Store room", "", false}, {"Hull", "Hull", true}, {"d-1", "Deck", true}, {"site", "", true}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "climate.csv",
                 mr_printf(rig.arena, "Position: %s\nTime,Air [°C],RH [%%]\n" ROWS("20,60"), cases[i].place), 0);
        norm_add(&rig, "zones.csv", ZONES, 0);
        norm_run(&rig);
        const struct mr_channel *c = norm_channel(&rig, 0, MR_M_RH, 0);
        cr_expect_eq(c != NULL, cases[i].read, "%s", cases[i].place);
        cr_expect(!c || strcmp(c->zone, cases[i].zone) == 0, "%s: %s", cases[i].place, c ? c->zone : "");
        cr_expect_eq(norm_count(&rig, "doubtful-place"), !cases[i].read, "%s", cases[i].place);
        norm_end(&rig);
    }
}

/* What 1-wire thermometers and displays show in place of a value. Common practice, no source. */
Test(doubtful_place, steel_at_85_degrees_is_no_steel) {
    struct norm_rig rig;
    const struct mr_channel *c = read_under(&rig, "Steel temp [°C]", MR_M_STEEL);
    cr_expect(c && c->n == 2);
    norm_end(&rig);
    norm_begin(&rig);
    norm_add(&rig, "climate.csv", "Time,Air [°C],RH [%],Steel [°C]\n" ROWS("20,60,85.0"), 0);
    norm_run(&rig);
    cr_expect_eq(norm_count(&rig, "out-of-range"), 2);
    norm_end(&rig);
}

/* A log without a word of a place inside it, as people name their exports. */
Test(doubtful_place, the_name_of_the_file_says_where_the_logger_stood) {
    static const struct {
        const char *path, *zone; /* NULL: asked for */
    } cases[] = {{"climate.csv", ""},
                 {"climate Deck.csv", "Deck"},
                 {"Hull/HY-1.csv", "Hull"},
                 {"climate zone D1.csv", "Deck"},
                 {"climate Web 1.csv", "Hull"},
                 {"climate Deck and Hull.csv", ""},
                 {"climate zone 9.csv", "zone 9"},
                 {"climate time zone UTC.csv", ""},
                 {"climate T1.csv", ""}, /* may be a channel's number */
                 {"climate d1 copy.csv", ""},
                 {"climate zones.csv", ""},
                 {"Decking crew climate.csv", ""},
                 {"store climate.csv", NULL},
                 {"office/climate.csv", NULL},
                 {"Klima B\xc3\xbcro.csv", NULL},
                 {"Wetterstation Flughafen.csv", NULL},
                 {"weather station.csv", NULL},
                 {"weather.csv", ""},
                 {"Airport climate.csv", NULL},
                 {"climate indoor.csv", NULL},
                 {"site container/climate.csv", NULL},
                 {"restored climate.csv", ""}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, cases[i].path, "Time,Air °C,RH %\n" ROWS("20,60"), 0);
        norm_add(&rig, "zones.csv", ZONES, 0);
        norm_run(&rig);
        cr_expect(norm_identity(&rig), "%s", cases[i].path);
        const struct mr_channel *c = norm_channel(&rig, 0, MR_M_RH, 0);
        if (cases[i].zone)
            cr_expect(c && strcmp(c->zone, cases[i].zone) == 0, "%s: %s", cases[i].path, c ? c->zone : "not read");
        else
            cr_expect(!c && norm_count(&rig, "doubtful-place") == 1, "%s", cases[i].path);
        norm_end(&rig);
    }
}

/* Where the job has no register, nobody knows what a zone is: only known names of other things are asked for. */
Test(doubtful_place, a_probe_named_after_another_body_proves_no_heat) {
    static const struct {
        const char *file, *heading;
        bool asked;
    } rows[] = {{"temps.csv", "T1 [degC]", false},       {"temps.csv", "Test plate [degC]", true},
                {"temps.csv", "Coupon 2 [degC]", true},  {"temps.csv", "Hose A [degC]", true},
                {"temps.csv", "Drum [degC]", true},      {"temps.csv", "Prüfplatte [degC]", true},
                {"temps.csv", "Deck [degC]", false},     {"temps.csv", "Deck plate [degC]", false},
                {"temps.csv", "Flange 3 [degC]", false}, {"lab/temps.csv", "T1 [degC]", true},
                {"oven.csv", "T1 [degC]", true}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        char text[300];
        snprintf(text, sizeof text, "Time,%s\n" ROWS("20.5"), rows[i].heading);
        norm_begin(&rig);
        struct mr_file_rule *rule = norm_rule(&rig, "*.csv");
        rule->kind = "temperature";
        norm_add(&rig, rows[i].file, text, 0);
        norm_run(&rig);
        cr_expect_eq(norm_count(&rig, "doubtful-place"), rows[i].asked, "%s: %s", rows[i].file, rows[i].heading);
        cr_expect_eq(rig.data->channels.n, rows[i].asked ? 0 : 1, "%s: %s", rows[i].file, rows[i].heading);
        norm_end(&rig);
    }
}

/* Beside a register a probe's heading that names a place of its own is asked for; numbers, directions and details of
 * the part that it sits on say nothing. Rows that name their channel in a long log stand where they say. */
Test(doubtful_place, a_probe_on_a_place_that_is_no_zone_proves_no_heat) {
    static const struct {
        const char *file, *name, *zone; /* NULL: asked for */
    } rows[] = {
        {"temps.csv", "T4", ""},          {"temps.csv", "Probe 2", ""},      {"temps.csv", "K3", ""},
        {"temps.csv", "North web", ""},   {"temps.csv", "Hull", "Hull"},     {"temps.csv", "Hull T2", "Hull"},
        {"temps.csv", "Bottom", NULL},    {"temps.csv", "Hull 2", NULL},     {"temps.csv", "Bay 9", NULL},
        {"temps.csv", "Tank roof", NULL}, {"temps.csv", "Hose A", NULL},     {"gun.csv", "T4", NULL},
        {"coupon temps.csv", "T4", NULL}, {"steel bay 9.csv", "T4", NULL},   {"Hull 2.csv", "T4", NULL},
        {"hall B/temps.csv", "T4", NULL}, {"Hull 2026-05-13.csv", "T4", ""}, {"Hull 13-05.csv", "T4", ""},
        {"session 41.csv", "T4", ""},     {"Hull 2026.csv", "T4", ""},       {"temps Hull copy 2.csv", "T4", ""}};
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        for (int is_long = 0; is_long < 2; is_long++) {
            struct norm_rig rig;
            norm_begin(&rig);
            const char *text = "Time,Channel,Temperature [degC]\n";
            if (!is_long)
                text = mr_printf(rig.arena, "Time,%s [degC]\n", rows[i].name);
            for (int k = 0; k < 3; k++)
                text = mr_printf(rig.arena, "%s2026-05-13 08:0%d,%s%s20.5\n", text, k, is_long ? rows[i].name : "",
                                 is_long ? "," : "");
            struct mr_file_rule *rule = norm_rule(&rig, rows[i].file);
            rule->kind = "temperature";
            norm_add(&rig, rows[i].file, text, 0);
            norm_add(&rig, "zones.csv", ZONES, 0);
            norm_run(&rig);
            cr_expect(norm_identity(&rig));
            const struct mr_channel *c = norm_channel(&rig, 0, MR_M_PROBE_TEMP, 0);
            const char *zone = c && c->zone ? c->zone : "";
            if (rows[i].zone && (!is_long || !*rows[i].zone)) /* a long log's own zones are matched in align */
                cr_expect(c && strcmp(zone, rows[i].zone) == 0, "%s: %s %d: %s", rows[i].file, rows[i].name, is_long,
                          zone);
            if (!rows[i].zone)
                cr_expect(is_long ? !c || *zone : !c, "%s: %s %d", rows[i].file, rows[i].name, is_long);
            cr_expect_eq(norm_count(&rig, is_long ? "probe-place" : "doubtful-place") > 0, !rows[i].zone,
                         "%s: %s %d is told or not", rows[i].file, rows[i].name, is_long);
            norm_end(&rig);
        }
}
