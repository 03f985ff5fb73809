/*
 * unmatched_sections.c - sections of the job file that match nothing: a specification that no zone has, a decision on
 * a zone that there is none of, lines for a file or an instrument that no file comes from. Each was meant for
 * something, and does not reach it: the job as a whole is not shown until it does, or is taken out.
 */
#include "assess/finding/finding_text.h"

#include "base/text.h"

#include <string.h>

enum { TOLD_MOST = 12 };

static bool matches_a_file(const struct mr_data *data, const char *glob) {
    for (size_t i = 0; i < data->files.n; i++)
        if (mr_glob(glob, data->files.v[i].source->path))
            return true;
    return false;
}

static bool is_specification_of_a_zone(const struct mr_data *data, const char *spec) {
    bool any = false;
    for (size_t i = 0; i < data->zones.n; i++) {
        const char *own = data->zones.v[i].spec;
        any = any || (own && *own);
        if (own && mr_text_equal_fold(own, strlen(own), spec, strlen(spec)))
            return true;
    }
    return !any; /* without any, the specification of each zone is asked for (job_statements.c) */
}

static void add(struct mr_assess *a, struct mr_check *c, struct mr_place place, const char *what) {
    c->measured += 1;
    if (c->measured > TOLD_MOST)
        return;
    mr_add_evidence(a, &c->evidence, place, what);
    c->detail = c->detail ? mr_printf(a->arena, "%s; %s", c->detail, what) : what;
}

static void look_through(struct mr_assess *a, struct mr_check *c) {
    const struct mr_job *job = a->job;
    const struct mr_data *data = a->aligned->data;
    for (size_t i = 0; i < job->file_rules.n; i++) {
        const struct mr_file_rule *rule = &job->file_rules.v[i];
        if (strcmp(rule->kind, "ignore") != 0 && !matches_a_file(data, rule->glob))
            add(a, c, rule->place, mr_printf(a->arena, "[file \"%s\"] matches no file", rule->glob));
    }
    for (size_t i = 0; i < job->instruments.n; i++) {
        const struct mr_instrument *own = &job->instruments.v[i];
        bool used = !own->files || !*own->files || matches_a_file(data, own->files);
        for (size_t k = 0; k < data->files.n && !used; k++)
            used = data->files.v[k].instrument == own;
        if (!used)
            add(a, c, own->place,
                mr_printf(a->arena, "[instrument \"%s\"]: no file matches \"%s\"", own->name, own->files));
    }
    for (size_t i = 0; i < job->dispositions.n; i++)
        if (mr_zone_find(a->aligned, job->dispositions.v[i].zone, NULL) >= a->aligned->zones.n)
            add(a, c, job->dispositions.v[i].place,
                mr_printf(a->arena, "[disposition \"%s\"]: there is no such zone", job->dispositions.v[i].zone));
    for (size_t i = 0; i < job->specs.n; i++)
        if (!is_specification_of_a_zone(data, job->specs.v[i].spec))
            add(a, c, (struct mr_place){.file = job->file},
                mr_printf(a->arena, "limits for \"%s\": no zone of the register has this specification",
                          job->specs.v[i].spec));
}

void mr_assess_sections(struct mr_assess *a) {
    struct mr_check c = mr_blank_check("history.sections", "Sections of the job file", "history", MR_NONE, 0);
    c.measured = 0;
    c.rule = "every section of the job file is for something that the job has";
    c.source = MR_SRC_PD;
    c.outcome = MR_NOT_SHOWN;
    look_through(a, &c);
    if (!c.detail)
        return;
    const char *more = c.measured > TOLD_MOST ? mr_printf(a->arena, "; and %.0f more", c.measured - TOLD_MOST) : "";
    c.detail = mr_printf(a->arena, "These sections of the job file apply to nothing: %s%s.", c.detail, more);
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "section-unmatched", MR_WARNING);
    f.what = c.detail;
    f.next_step = "Correct the name in the job file, or take the section out.";
    mr_add_finding(a, &f);
}
