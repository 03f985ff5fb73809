/*
 * test_statements.c - statements of a job that do not hold together leave its zones open. Common practice, no source.
 */
#include "support/norm_rig.h"

#include "milrise/assess.h"
#include "read/job/job_reader.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static const struct {
    const char *what, *limits, *dates, *zones, *check; /* check: that is not shown, NULL where none of them is */
} jobs[] = {
    {"all is well", "minimum = 200 um", "2026-05-10 .. 2026-05-12", "Deck,20,1,,,\n", NULL},
    {"a row twice", "minimum = 200 um", "2026-05-10 .. 2026-05-12", "Deck,20,1,,,\nDeck,20,1,,,\n", NULL},
    {"another area", "minimum = 200 um", "2026-05-10 .. 2026-05-12", "Deck,20,1,,,\nDECK,40,1,,,\n",
     "history.register"},
    {"another steel", "minimum = 200 um", "2026-05-10 .. 2026-05-12", "Deck,20,1,8,,\nDeck,20,1,10,,\n",
     "history.register"},
    {"another profile", "minimum = 200 um", "2026-05-10 .. 2026-05-12", "Deck,20,1,8,60,\nDeck,20,1,8,75,\n",
     "history.register"},
    {"another specification", "minimum = 200 um", "2026-05-10 .. 2026-05-12",
     "Deck,20,1,8,60,\nDeck,20,1,8,60,Splash\n", "history.register"},
    {"a specification that the job does not know", "minimum = 200 um", "2026-05-10 .. 2026-05-12",
     "Deck,20,1,8,60,Splish\n", "history.specification"},
    {"one that it knows", "minimum = 200 um", "2026-05-10 .. 2026-05-12", "Deck,20,1,8,60, splash \n", NULL},
    {"another number of coats", "minimum = 200 um", "2026-05-10 .. 2026-05-12", "Deck,20,1,,,\nDeck,20,2,,,\n",
     "history.register"},
    {"a maximum only", "maximum = 400 um", "2026-05-10 .. 2026-05-12", "Deck,20,1,,,\n", "thickness.minimum-stated"},
    {"rules only", "rules = restriction-level-2", "2026-05-10 .. 2026-05-12", "Deck,20,1,,,\n",
     "thickness.minimum-stated"},
    {"nothing of the film", "", "2026-05-10 .. 2026-05-12", "Deck,20,1,,,\n", "thickness.minimum-stated"},
    {"that the film is not judged", "minimum = none", "2026-05-10 .. 2026-05-12", "Deck,20,1,,,\n", NULL},
    {"a minimum for each coat", "coat minimum = 100 um\nmaximum = 400 um", "2026-05-10 .. 2026-05-12",
     "Deck,20,1,,,\n", NULL},
    {"no minimum, stated", "minimum = none\nmaximum = 400 um", "2026-05-10 .. 2026-05-12", "Deck,20,1,,,\n", NULL},
    {"the eve of the job", "minimum = 200 um", "2026-05-12", "Deck,20,1,,,\n", NULL},
    {"two days before the job", "minimum = 200 um", "2026-05-13", "Deck,20,1,,,\n", "history.dates"},
    {"the day after the job", "minimum = 200 um", "2026-05-10", "Deck,20,1,,,\n", NULL},
    {"two days after the job", "minimum = 200 um", "2026-05-09", "Deck,20,1,,,\n", "history.dates"},
    {"another month", "minimum = 200 um", "2026-06-10 .. 2026-06-12", "Deck,20,1,,,\n", "history.dates"},
    {"another year", "minimum = 200 um", "2025-05-10 .. 2025-05-12", "Deck,20,1,,,\n", "history.dates"},
};

static bool is_of_register(const char *id) {
    return strcmp(id, "history.specification") == 0 || strcmp(id, "history.film-limit") == 0;
}

static bool is_statement(const char *id) {
    return strcmp(id, "history.register") == 0 || strcmp(id, "thickness.minimum-stated") == 0 ||
           strcmp(id, "history.dates") == 0 || strcmp(id, "history.specification") == 0;
}

Test(statements, that_contradict_or_are_missing_leave_the_zone_open) {
    for (size_t i = 0; i < MR_COUNT(jobs); i++) {
        struct norm_rig rig;
        struct mr_job *job = NULL;
        const struct mr_alignment *aligned = NULL;
        const struct mr_assessment *out = NULL;
        norm_begin(&rig);
        const char *text = mr_printf(rig.arena,
                                     "[job]\nname = x\ntime zone = UTC\ndates = %s\n[thickness]\n%s\n[thickness "
                                     "\"Splash\"]\nminimum = 300 um\n",
                                     jobs[i].dates, jobs[i].limits);
        cr_assert_eq(mr_job_parse(rig.arena, ".", "job.milrise", text, strlen(text), &rig.diags, &job), MR_OK);
        *rig.job = *job;
        norm_add(&rig, "spray.csv",
                 "date,zone,coat,start,stop\n2026-05-11,Deck,1,08:00,08:20\n2026-05-11,Deck,2,10:00,10:20\n", 0);
        norm_add(
            &rig, "zones.csv",
            mr_printf(rig.arena, "zone,area (m2),coats,steel (mm),profile (um),specification\n%s", jobs[i].zones), 0);
        norm_run(&rig);
        enum mr_status status = mr_align(rig.arena, rig.data, &rig.diags, &aligned);
        cr_assert(status == MR_OK || status == MR_E_NODATA);
        status = mr_assess(rig.arena, aligned, &rig.diags, &out);
        cr_assert(status == MR_OK || status == MR_E_NODATA);
        size_t met = 0, others = 0;
        for (size_t k = 0; k < out->checks.n; k++) {
            const struct mr_check *c = &out->checks.v[k];
            const bool same = jobs[i].check && strcmp(c->id, jobs[i].check) == 0;
            met += same && c->outcome == MR_NOT_SHOWN;
            others += !same && is_statement(c->id);
            if (strcmp(c->id, "thickness.minimum-stated") == 0) /* it says what the job does state */
                cr_expect_eq(strstr(c->detail, "rules or a maximum") != NULL, *jobs[i].limits != '\0', "%s",
                             jobs[i].what);
        }
        cr_expect_eq(met, jobs[i].check ? 1U : 0U, "%s", jobs[i].what);
        cr_expect_eq(others, 0U, "%s", jobs[i].what);
        norm_end(&rig);
    }
}

static const struct {
    const char *headings, *cells;
    bool open;
} registers[] = {{"specification", "", false}, /* none of its own */
                 {"specification", "Splash", false},
                 {"coating system", "Splash", false},
                 {"Beschichtungssystem", "splash", false},
                 {"remark", "Splash", true}, /* the job has limits by specification, and no column names any */
                 {"specification,min DFT (um)", "Splash,300", false},
                 {"specification,Required DFT (mil)", "Splash,11.8", false},
                 {"specification,min DFT (um)", "Splash,350", true},
                 {"specification,Sollschichtdicke (um)", ",250", true},
                 {"specification,Spessore minimo (mil)", ",9.8", true},
                 {"specification,max DFT (um)", ",300", true}, /* the job has none */
                 {"specification,min DFT", ",250", true},      /* no unit */
                 {"specification,min DFT (um)", ",-", false},
                 {"specification,min DFT (um)", ",", false}};

static const struct {
    const char *coat;
    int coats; /* in the register */
    bool open;
} counted[] = {{"1", 1, false},     {"coat 1", 1, false},    {"1 of 1", 1, false}, {"1 of 2", 1, true},
               {"1/2", 1, true},    {"1/3", 2, true},        {"1/2", 2, false},    {"1 von 2", 1, true},
               {"1 of 9", 1, true}, {"1 of deck", 1, false}, {"1st", 1, false}};

/* The coat of Deck on 2026-05-11 under a job file and a register. */
static const struct mr_assessment *judged(struct norm_rig *rig, const char *job_text, const char *zones) {
    struct mr_job *job = NULL;
    const struct mr_alignment *aligned = NULL;
    const struct mr_assessment *out = NULL;
    norm_begin(rig);
    cr_assert_eq(mr_job_parse(rig->arena, ".", "job.milrise", job_text, strlen(job_text), &rig->diags, &job), MR_OK);
    *rig->job = *job;
    norm_add(rig, "spray.csv", "date,zone,coat,start,stop\n2026-05-11,Deck,1,08:00,08:20\n", 0);
    norm_add(rig, "zones.csv", mr_strdup(rig->arena, zones), 0);
    norm_run(rig);
    enum mr_status status = mr_align(rig->arena, rig->data, &rig->diags, &aligned);
    cr_assert(status == MR_OK || status == MR_E_NODATA);
    status = mr_assess(rig->arena, aligned, &rig->diags, &out);
    cr_assert(status == MR_OK || status == MR_E_NODATA);
    return out;
}

/* Limits that the register states, or the name under which the job states them, are not dropped. */
Test(statements, limits_of_the_register_are_heard) {
    for (size_t i = 0; i < MR_COUNT(registers); i++) {
        struct norm_rig rig;
        char zones[200];
        snprintf(zones, sizeof zones, "zone,area (m2),coats,%s\nDeck,20,1,%s\n", registers[i].headings,
                 registers[i].cells);
        const struct mr_assessment *out = judged(&rig,
                                                 "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\n"
                                                 "[thickness \"Splash\"]\nminimum = 300 um\n",
                                                 zones);
        size_t open = 0;
        for (size_t k = 0; k < out->checks.n; k++)
            open += is_of_register(out->checks.v[k].id) && out->checks.v[k].outcome == MR_NOT_SHOWN;
        cr_expect_eq(open, registers[i].open ? 1U : 0U, "%s: %s", registers[i].headings, registers[i].cells);
        norm_end(&rig);
    }
}

Test(statements, one_limit_for_several_specifications_is_told) {
    static const char *const rows[] = {"zone,area (m2),coats,specification\nDeck,20,1,Hull\nMast,20,1,Tank\n",
                                       "zone,area (m2),coats,specification\nDeck,20,1,Hull\nMast,20,1,hull\n"};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        struct norm_rig rig;
        const struct mr_assessment *out =
            judged(&rig, "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\n", rows[i]);
        size_t told = 0;
        for (size_t k = 0; k < out->findings.n; k++)
            told += strcmp(out->findings.v[k].id, "one-limit-for-specifications") == 0;
        cr_expect_eq(told, i == 0 ? 1U : 0U, "%s", rows[i]);
        norm_end(&rig);
    }
}

/* A zone with base metal readings, of which a job says nothing, or what to do with them. */
static const struct {
    const char *line;
    enum mr_outcome outcome;
} bases[] = {{"", MR_NOT_SHOWN},
             {"correction = none\n", MR_NOT_REQUIRED},
             {"correction = base metal\n", MR_CONFORMS},
             {"correction = profile fine\n", MR_CONFORMS}};

/* What else lies in the job's folder; NULL. */
struct other_file {
    const char *path, *text;
};

static const struct mr_check *check_of(struct norm_rig *rig, const char *thickness, const char *coat, int coats,
                                       const struct other_file *other, const char *id) {
    struct mr_job *job = NULL;
    const struct mr_alignment *aligned = NULL;
    const struct mr_assessment *out = NULL;
    norm_begin(rig);
    const char *text = mr_printf(rig->arena,
                                 "[job]\nname = x\ntime zone = UTC\ndates = 2026-05-10 .. 2026-05-12\n[thickness]\n"
                                 "minimum = 200 um\n%s",
                                 thickness);
    cr_assert_eq(mr_job_parse(rig->arena, ".", "job.milrise", text, strlen(text), &rig->diags, &job), MR_OK);
    *rig->job = *job;
    norm_add(rig, "spray.csv",
             mr_printf(rig->arena,
                       "date,zone,coat,start,stop,note\n2026-05-11,Deck,%s,08:00,08:20,stopped half way\n", coat),
             0);
    norm_add(rig, "zones.csv", mr_printf(rig->arena, "zone,area (m2),coats\nDeck,20,%d\n", coats), 0);
    const char *base = "Date,Time,Zone,Base metal reading (um),Gauge serial\n",
               *film = "Date,Time,Zone,Area,Spot,Thickness (um),Gauge serial\n";
    for (int i = 0; i < 15; i++) {
        base = mr_printf(rig->arena, "%s2026-05-11,07:%02d:00,Deck,%d,G1\n", base, i, 10 + i % 3);
        film = mr_printf(rig->arena, "%s2026-05-12,09:%02d:00,Deck,1,%d,%d,G1\n", film, i, i / 3 + 1, 240 + i);
    }
    norm_add(rig, "base metal.csv", base, 0);
    norm_add(rig, "film.csv", film, 0);
    if (other)
        norm_add(rig, other->path, other->text, 0);
    norm_run(rig);
    cr_assert_eq(mr_align(rig->arena, rig->data, &rig->diags, &aligned), MR_OK);
    cr_assert_eq(mr_assess(rig->arena, aligned, &rig->diags, &out), MR_OK);
    size_t remarks = 0; /* what the log says beside a coat is told whatever else holds */
    for (size_t k = 0; k < out->findings.n; k++)
        remarks += strcmp(out->findings.v[k].id, "coat-remarks") == 0 &&
                   strstr(out->findings.v[k].what, "coat 1, \"stopped half way\"") != NULL;
    cr_expect_eq(remarks, 1, "%s", coat);
    for (size_t k = 0; k < out->checks.n; k++)
        if (strcmp(out->checks.v[k].id, id) == 0)
            return &out->checks.v[k];
    return NULL;
}

Test(statements, a_log_that_counts_more_coats_than_the_register_leaves_the_zone_open) {
    for (size_t i = 0; i < MR_COUNT(counted); i++) {
        struct norm_rig rig;
        const struct mr_check *c =
            check_of(&rig, "correction = none\n", counted[i].coat, counted[i].coats, NULL, "history.coats");
        cr_expect_eq(c && c->outcome == MR_NOT_SHOWN, counted[i].open, "%s of %d", counted[i].coat, counted[i].coats);
        norm_end(&rig);
    }
}

Test(statements, base_metal_readings_that_nobody_speaks_of_leave_the_zone_open) {
    for (size_t i = 0; i < MR_COUNT(bases); i++) {
        struct norm_rig rig;
        const struct mr_check *c = check_of(&rig, bases[i].line, "1", 1, NULL, "thickness.correction");
        cr_assert(c, "%s", bases[i].line);
        cr_expect_eq(c->outcome, bases[i].outcome, "%s: %s", bases[i].line, c->detail);
        norm_end(&rig);
    }
}

/* Nobody knows what stands in a table of which nothing was read; a letter and a photo are none. */
Test(statements, a_table_that_was_not_taken_in_leaves_the_job_open) {
    static const struct {
        struct other_file file;
        bool open;
    } others[] = {{{"survey 2.csv", "Date,Where,X\n2026-05-13,Deck,120\n"}, true},
                  {{"film new.xlsx", "PK\003\004 and more"}, true},
                  {{"film later.csv", "PK\003\004 and more"}, true},
                  {{"film 3.csv", "Date,Time,Zone,Area,Spot,Thickness (um),Gauge serial\n"
                                  "2026-05-13,09:00:00,Deck,1,1,thin,G1\n"},
                   true},
                  {{"photo.jpg", "\377\330\377\340 and more"}, false},
                  {{"letter.txt", "Dear all,\nplease see the survey.\nThe clerk\n"}, false},
                  {{"heads.csv", "Date,Where,X\n"}, false},
                  {{"empty.csv", ""}, false}};
    for (size_t i = 0; i < MR_COUNT(others); i++) {
        struct norm_rig rig;
        const struct mr_check *c = check_of(&rig, "correction = none\n", "1", 1, &others[i].file, "history.inputs");
        cr_assert(c, "%s", others[i].file.path);
        cr_expect_eq(c->zone, MR_NONE);
        cr_expect_eq(c->outcome, others[i].open ? MR_NOT_SHOWN : MR_CONFORMS, "%s: %s", others[i].file.path,
                     c->detail);
        norm_end(&rig);
    }
}

/* A zone of one coat whose log has coats by other numbers. */
Test(statements, a_hole_in_the_numbers_of_the_coats_leaves_the_zone_open) {
    static const struct {
        const char *first, *second;
        bool open;
    } logs[] = {{"1", "2", false}, {"1", "3", true}, {"2", "3", true},
                {"1", "1", false}, {"", "", false},  {"2", "4", true}};
    for (size_t i = 0; i < MR_COUNT(logs); i++) {
        struct norm_rig rig;
        const struct mr_alignment *aligned;
        const struct mr_assessment *out;
        norm_begin(&rig);
        norm_add(&rig, "spray log.csv",
                 mr_printf(rig.arena,
                           "Date,Action,Zone,Coat,Start,Stop\n2026-05-11,spray,Deck,%s,08:00,08:10\n"
                           "2026-05-11,spray,Deck,%s,08:40,08:50\n",
                           logs[i].first, logs[i].second),
                 0);
        norm_add(&rig, "zones.csv", "Zone,Area (m2),Coats\nDeck,25,\n", 0);
        norm_run(&rig);
        cr_assert_eq(mr_align(rig.arena, rig.data, &rig.diags, &aligned), MR_OK);
        cr_assert_eq(mr_assess(rig.arena, aligned, &rig.diags, &out), MR_OK);
        bool open = false;
        for (size_t k = 0; k < out->checks.n; k++)
            open |=
                strcmp(out->checks.v[k].id, "history.coats-missing") == 0 && out->checks.v[k].outcome == MR_NOT_SHOWN;
        cr_expect_eq(open, logs[i].open, "coats \"%s\" and \"%s\"", logs[i].first, logs[i].second);
        norm_end(&rig);
    }
}

static size_t told_by_order(const char *heading, const char *spot) {
    struct norm_rig rig;
    const struct mr_alignment *aligned;
    const struct mr_assessment *out;
    size_t told = 0;
    norm_begin(&rig);
    const char *film = mr_printf(rig.arena, "Date,Time,Zone%s,Thickness (um)\n", heading);
    for (int i = 0; i < 15; i++)
        film = mr_printf(rig.arena, "%s2026-05-12,09:%02d:00,Deck%s,%d\n", film, i,
                         *spot ? mr_printf(rig.arena, ",%d", i / 3 + 1) : "", 240 + i);
    norm_add(&rig, "film.csv", film, 0);
    norm_run(&rig);
    cr_assert_eq(mr_align(rig.arena, rig.data, &rig.diags, &aligned), MR_OK);
    cr_assert_eq(mr_assess(rig.arena, aligned, &rig.diags, &out), MR_OK);
    for (size_t k = 0; k < out->findings.n; k++)
        told += strcmp(out->findings.v[k].id, "spots-by-order") == 0;
    norm_end(&rig);
    return told;
}

Test(statements, spots_that_the_export_does_not_name_are_said_to_go_by_order) {
    cr_expect_eq(told_by_order("", ""), 1);
    cr_expect_eq(told_by_order(",Spot", "1"), 0);
}

/* A section that reaches nothing was meant for something: the job as a whole is not shown. */
Test(statements, sections_of_the_job_file_that_match_nothing_are_told) {
    static const struct {
        const char *section;
        bool open;
    } sections[] = {
        {"", false},
        {"[thickness \"Splash\"]\nminimum = 250 um\n", false},
        {"[thickness \"B7\"]\nminimum = 250 um\n", true},
        {"[climate \"B7\"]\nhumidity maximum = 50 %\n", true},
        {"[file \"spray.csv\"]\nkind = spray log\n", false},
        {"[file \"film*.csv\"]\nkind = thickness\n", true},
        {"[file \"old.csv\"]\nkind = ignore\n", false},
        {"[instrument \"H\"]\nfiles = spray.csv\n", false},
        {"[instrument \"H\"]\nfiles = climate.csv\nclock offset = 1 h\n", true},
        {"[instrument \"H\"]\nserial = H\n", false},
        {"[disposition \"Deck\"]\ndecision = repair\nby = inspector\nwhen = 2026-05-11\nwhy = thin\n", false},
        {"[disposition \"B7\"]\ndecision = repair\nby = inspector\nwhen = 2026-05-11\nwhy = thin\n", true}};
    for (size_t i = 0; i < MR_COUNT(sections); i++) {
        struct norm_rig rig;
        struct mr_job *job = NULL;
        const struct mr_alignment *aligned = NULL;
        const struct mr_assessment *out = NULL;
        norm_begin(&rig);
        const char *text = mr_printf(rig.arena, "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\n%s",
                                     sections[i].section);
        cr_assert_eq(mr_job_parse(rig.arena, ".", "job.milrise", text, strlen(text), &rig.diags, &job), MR_OK, "%s",
                     text);
        *rig.job = *job;
        norm_add(&rig, "spray.csv", "date,zone,coat,start,stop\n2026-05-11,Deck,1,08:00,08:20\n", 0);
        norm_add(&rig, "zones.csv", "zone,area (m2),coats,specification\nDeck,20,1,Splash\n", 0);
        norm_run(&rig);
        enum mr_status status = mr_align(rig.arena, rig.data, &rig.diags, &aligned);
        cr_assert(status == MR_OK || status == MR_E_NODATA);
        status = mr_assess(rig.arena, aligned, &rig.diags, &out);
        cr_assert(status == MR_OK || status == MR_E_NODATA);
        size_t open = 0;
        for (size_t k = 0; k < out->checks.n; k++)
            open += strcmp(out->checks.v[k].id, "history.sections") == 0 &&
                    out->checks.v[k].outcome == MR_NOT_SHOWN && out->checks.v[k].zone == MR_NONE;
        cr_expect_eq(open, sections[i].open, "%s", sections[i].section);
        norm_end(&rig);
    }
}
