/*
 * test_statements.c - statements of a job that do not hold together leave its zones open. Common practice, no source.
 */
#include "support/norm_rig.h"

#include "milrise/assess.h"
#include "read/job/job_reader.h"

#include <criterion/criterion.h>
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
        }
        cr_expect_eq(met, jobs[i].check ? 1U : 0U, "%s", jobs[i].what);
        cr_expect_eq(others, 0U, "%s", jobs[i].what);
        norm_end(&rig);
    }
}
