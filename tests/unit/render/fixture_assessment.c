/*
 * fixture_assessment.c - see the header.
 */
#include "fixture_assessment.h"
#include "fixture_build.h"

#include "base/tzone.h"

#include <math.h>
#include <string.h>

static void set_default(struct mr_settings *s, enum mr_setting_id id, double value, enum mr_unit unit,
                        const char *text) {
    s->v[id] = (struct mr_setting){
        .set = true, .value = value, .written = mr_from_canonical(unit, value), .unit = unit, .text = text};
}

struct mr_assessment *fixture_assessment(struct mr_arena *arena, const char *dir, bool us) {
    struct fixture_build b = {arena,
                              MR_NEW(arena, struct mr_assessment),
                              MR_NEW(arena, struct mr_alignment),
                              MR_NEW(arena, struct mr_data),
                              MR_NEW(arena, struct mr_job),
                              20260511u};
    *b.job = *mr_job_default(arena);
    b.job->dir = dir;
    b.job->time_zone = "Europe/Vienna";
    b.job->name = "Footbridge and water tank";
    b.job->site = "River crossing, north bank";
    b.job->contract = "contract 7, lot 2";
    b.job->client = "the owner's engineer";
    b.job->crew = "coating crew 1";
    if (us)
        b.job->display = (struct mr_display){MR_UNIT_MIL, MR_UNIT_F,  MR_UNIT_RISE_F, MR_UNIT_PSI,
                                             MR_UNIT_FT2, MR_UNIT_IN, MR_UNIT_GAL,    MR_UNIT_LB};
    else
        b.job->display = (struct mr_display){MR_UNIT_UM, MR_UNIT_C,  MR_UNIT_RISE_K, MR_UNIT_KPA,
                                             MR_UNIT_M2, MR_UNIT_MM, MR_UNIT_L,      MR_UNIT_KG};
    set_default(&b.job->settings, MR_DFT_MIN, 203.2, MR_UNIT_MIL, "8 mil");
    set_default(&b.job->settings, MR_DFT_MAX, 304.8, MR_UNIT_MIL, "12 mil");
    b.job->settings.v[MR_DFT_MIN].from_job = b.job->settings.v[MR_DFT_MAX].from_job = true;
    b.job->settings.v[MR_DFT_MIN].place = (struct mr_place){"job.milrise", 14, 0, 0};
    if (mr_tzone_load(arena, b.job->time_zone, &b.al->site) != MR_OK)
        b.al->site = NULL;
    b.al->data = b.data;
    b.al->job = b.data->job = b.a->job = b.job;
    b.a->aligned = b.al;
    b.a->judged = true;
    fixture_measured(&b);
    for (size_t i = 0; i < ZONES; i++) {
        fixture_heat(&b, i);
        fixture_film(&b, i);
        fixture_checks(&b, i, us);
    }
    fixture_findings(&b, us);
    fixture_timeline(&b);
    fixture_rise_comparison(&b);
    fixture_table(arena, b.a, 120);
    fixture_zones(arena, b.a);
    b.al->last_utc_ms = FIXTURE_DAY0 + 86400000 + 15 * 60 * (int64_t)MINUTE;
    return b.a;
}

struct mr_assessment *fixture_hostile(struct mr_arena *arena, const char *dir) {
    struct mr_assessment *a = fixture_assessment(arena, dir, false);
    struct mr_zone *z = a->aligned->zones.v;
    struct mr_job *job = (struct mr_job *)(uintptr_t)a->job;
    char *longest = MR_ARRAY(arena, char, 301);
    memset(longest, 'W', 300);
    job->name = "R&G && &G &[Picture] <&\"'>";
    job->site = "bad \xff\xfe bytes, bell \a, \xef\xbf\xbf end";
    z[0].name = longest;
    z[1].name = "=cmd|' /C calc'!A0";
    z[2].name = "a\tb\nc\x01_x0041_";
    z[3].name = "漢字の名前とても長い名前です";
    z[4].name = "";
    z[5].name = "../../etc/passwd";
    z[6].name = "\xc3\x28 broken";
    z[7].name = "DECK/PLATE";
    struct mr_finding *f = &a->findings.v[0];
    char *huge = MR_ARRAY(arena, char, 40001);
    memset(huge, 'x', 40000);
    f->what = huge;
    f->measured = INFINITY;
    f->rule = "=1+1";
    a->checks.v[0].measured = MR_NAN;
    a->checks.v[1].limit_low = INFINITY;
    a->tables.n--;
    fixture_zones(arena, a);         /* by its new names */
    for (size_t i = 0; i < 2; i++) { /* titles that collide once cut and cleaned */
        struct mr_table *copy = MR_NEW(arena, struct mr_table);
        *copy = *a->tables.v[0];
        copy->id = i ? "readings-b" : "readings-a";
        copy->title =
            i ? "readings: every one of them, over and over" : "READINGS: every one of them, and over again";
        MR_PUSH(arena, &a->tables, copy);
    }
    struct mr_table *same = MR_NEW(arena, struct mr_table);
    *same = *a->tables.v[0];
    same->id = "readings-c";
    same->title = "findings";
    MR_PUSH(arena, &a->tables, same);
    return a;
}
