/*
 * clock_judge.c - a job of clock_job.h through all stages.
 */
#include "clock_exports.h"

#include "read/job/job_reader.h"
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void take(enum mr_outcome *worst, enum mr_outcome outcome) {
    *worst = mr_outcome_worst(*worst, outcome);
}

static void read_check(const struct clock_job *j, const struct mr_alignment *aligned, const struct mr_check *c,
                       struct clock_verdict *v) {
    bool heat = strcmp(c->group, "reaction") == 0, lines = strcmp(c->group, "lines") == 0;
    if (lines && strstr(c->id, "pause"))
        take(&v->pauses, c->outcome);
    if ((!heat && !lines) || c->zone == MR_NONE || (lines && strstr(c->id, "pause")))
        return;
    for (int i = 0; i < j->n_coats; i++) {
        char name[16];
        snprintf(name, sizeof name, "Z%d", j->coat[i].zone + 1);
        if (strcmp(aligned->zones.v[c->zone].name, name) != 0 || c->coat != j->coat[i].day + 1)
            continue;
        take(heat ? &v->heat[i] : &v->lines[i], c->outcome);
        take(&v->zone[j->coat[i].zone], c->outcome);
    }
}

struct clock_verdict clock_judge(struct mr_arena *arena, const struct clock_job *j, const char *extra) {
    struct norm_rig rig;
    struct clock_export file[CLOCK_FILES] = {0};
    struct clock_text job_text = {0};
    struct mr_job *job = NULL;
    struct clock_verdict v = {.told = "", .paste = ""};
    norm_begin(&rig);
    clock_job_text(j, &job_text, extra);
    cr_assert_eq(mr_job_parse(rig.arena, ".", "job.milrise", job_text.v, job_text.n, &rig.diags, &job), MR_OK,
                 "%s: %s", extra, rig.diags.list.n ? mr_diag_line(rig.arena, &rig.diags.list.v[0]) : "");
    *rig.job = *job;
    int n = clock_exports(j, file);
    for (int i = 0; i < n; i++)
        norm_add(&rig, file[i].path, file[i].text.v, file[i].text.n);
    norm_run(&rig);
    const struct mr_alignment *aligned = NULL;
    const struct mr_assessment *out = NULL;
    enum mr_status status = mr_align(rig.arena, rig.data, &rig.diags, &aligned);
    cr_assert(status == MR_OK, "%s", mr_status_text(status));
    cr_assert(mr_assess(rig.arena, aligned, &rig.diags, &out) == MR_OK);
    for (size_t i = 0; i < out->checks.n; i++)
        read_check(j, aligned, &out->checks.v[i], &v);
    v.doubts = aligned->doubts.n;
    v.paste = aligned->doubts.n ? mr_strdup(arena, aligned->doubts.v[0].paste) : "";
    for (size_t i = 0; i < aligned->doubts.n; i++)
        v.told = mr_printf(arena, "%s    %s looks %s (%zu of %zu, as given %zu)\n", v.told, aligned->doubts.v[i].who,
                           aligned->doubts.v[i].looks, aligned->doubts.v[i].fits, aligned->doubts.v[i].seen,
                           aligned->doubts.v[i].fits_given);
    for (int i = 0; i < n; i++)
        free(file[i].text.v);
    free(job_text.v);
    norm_end(&rig);
    return v;
}
