/*
 * assemble.c - the assembly of the fourth stage: how the parts hand in checks, and how
 * these turn into zone and job outcomes.
 *
 * In: aligned data. Out: checks by zone, group and coat; findings gravest first; one result per zone; the summary
 * table at the front. A zone's outcome is its worst check, in the order does not conform, not shown, conforms, not
 * required. A group that the specification asks for and that no part could say anything about is "not shown": the
 * assembly adds that check itself, so that a part which returns early can never soften a zone.
 */
#include "assess/finding/finding_text.h"

#include "numeric/stable_sort.h"

#include <math.h>
#include <string.h>

/* Position of a group in mr_groups; an unknown one sorts last. */
static size_t group_index(const char *group) {
    for (size_t i = 0; i < MR_COUNT(mr_groups); i++)
        if (strcmp(group, mr_groups[i]) == 0)
            return i;
    return MR_COUNT(mr_groups);
}

static int order_checks(const void *a, const void *b) {
    const struct mr_check *x = a, *y = b;
    if (x->zone != y->zone)
        return MR_ORDER(x->zone, y->zone);
    size_t gx = group_index(x->group), gy = group_index(y->group);
    if (gx != gy)
        return MR_ORDER(gx, gy);
    return MR_ORDER(x->coat, y->coat);
}

/* Gravest first, then time (without a time last), then zone. */
static int order_findings(const void *a, const void *b) {
    const struct mr_finding *x = a, *y = b;
    if (x->severity != y->severity)
        return MR_ORDER(y->severity, x->severity);
    bool x_none = x->t0_utc_ms == MR_T_NONE, y_none = y->t0_utc_ms == MR_T_NONE;
    if (x_none != y_none)
        return x_none ? 1 : -1;
    if (x->t0_utc_ms != y->t0_utc_ms)
        return MR_ORDER(x->t0_utc_ms, y->t0_utc_ms);
    return MR_ORDER(x->zone, y->zone);
}

static size_t windows_of(struct mr_assess *a, size_t zone, int coat) {
    const struct mr_chains *windows = mr_windows_by_zone(a);
    size_t n = 0;
    for (size_t i = mr_chains_first(windows, zone); i != MR_NONE; i = windows->next[i])
        n += coat == 0 || a->aligned->windows.v[i].coat == coat;
    return n;
}

/* The register says what was to be sprayed; the windows say what was. */
static void find_unsprayed(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    for (size_t z = 0; z < al->zones.n; z++) {
        const struct mr_zone *zone = &al->zones.v[z];
        if (!zone->registered)
            continue;
        struct mr_finding f = {.id = "never-sprayed",
                               .severity = MR_WARNING,
                               .zone = z,
                               .t0_utc_ms = MR_T_NONE,
                               .t1_utc_ms = MR_T_NONE,
                               .measured = MR_NAN,
                               .limit = zone->coats,
                               .rule = "every zone of the register is sprayed",
                               .source = "zone register"};
        mr_add_evidence(a, &f.evidence, zone->place, "zone register");
        if (windows_of(a, z, 0) == 0) {
            f.what = mr_printf(a->arena, "Zone %s is in the register, but nothing shows that it was ever sprayed.",
                               zone->name);
            f.next_step = "Log its spray windows, or take it out of the register if it belongs to another job.";
            mr_add_finding(a, &f);
            continue;
        }
        for (int coat = 1; coat <= zone->coats; coat++) {
            if (windows_of(a, z, coat) > 0)
                continue;
            f.id = "coat-missing";
            f.coat = coat;
            f.what = mr_printf(a->arena, "Zone %s needs %d coat%s; no spray window shows coat %d.", zone->name,
                               zone->coats, zone->coats == 1 ? "" : "s", coat);
            f.next_step = "Log the coat's start and stop, or correct the number of coats in the register.";
            mr_add_finding(a, &f);
        }
    }
}

/* Whether a group is asked for at a zone. Gauge and history follow from thickness and are that part's own business.
 */
static bool group_required(const struct mr_zone *zone, size_t group) {
    static const struct {
        const char *group;
        enum mr_setting_id flag;
    } flags[] = {{"climate", MR_CLIMATE_REQUIRED},
                 {"reaction", MR_REACTION_REQUIRED},
                 {"lines", MR_LINES_REQUIRED},
                 {"material", MR_MATERIAL_REQUIRED}};
    for (size_t i = 0; i < MR_COUNT(flags); i++)
        if (strcmp(mr_groups[group], flags[i].group) == 0)
            return mr_set_flag(zone->settings, flags[i].flag);
    if (strcmp(mr_groups[group], "thickness") == 0)
        return !isnan(mr_set_num(zone->settings, MR_DFT_MIN)) || !isnan(mr_set_num(zone->settings, MR_DFT_MAX));
    return false;
}

static void require_groups(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    size_t n_groups = MR_COUNT(mr_groups);
    bool *seen = MR_ARRAY(a->arena, bool, al->zones.n *n_groups);
    bool job_wide[MR_COUNT(mr_groups)] = {false};
    for (size_t i = 0; i < a->out->checks.n; i++) {
        size_t g = group_index(a->out->checks.v[i].group), z = a->out->checks.v[i].zone;
        if (g < n_groups && z < al->zones.n)
            seen[z * n_groups + g] = true;
        else if (g < n_groups)
            job_wide[g] = true;
    }
    for (size_t z = 0; z < al->zones.n; z++) {
        for (size_t g = 0; g < n_groups; g++) {
            if (seen[z * n_groups + g] || job_wide[g] || !group_required(&al->zones.v[z], g))
                continue;
            struct mr_check c = {.id = mr_printf(a->arena, "%s.data", mr_groups[g]),
                                 .group = mr_groups[g],
                                 .zone = z,
                                 .title = mr_printf(a->arena, "Data for %s", mr_groups[g]),
                                 .outcome = MR_NOT_SHOWN,
                                 .measured = MR_NAN,
                                 .limit_low = MR_NAN,
                                 .limit_high = MR_NAN,
                                 .rule = "what the specification asks for is shown by data",
                                 .source = MR_SRC_PD,
                                 .detail = "No data of this zone could be judged."};
            mr_add_check(a, &c);
            struct mr_finding f = {
                .id = "no-data",
                .severity = MR_WARNING,
                .zone = z,
                .t0_utc_ms = MR_T_NONE,
                .t1_utc_ms = MR_T_NONE,
                .measured = MR_NAN,
                .limit = MR_NAN,
                .rule = c.rule,
                .source = c.source,
                .what = mr_printf(a->arena, "Zone %s: no data to judge %s.", al->zones.v[z].name, mr_groups[g]),
                .next_step = "Add the missing exports to the job folder, or state in the job file that they are not "
                             "required."};
            mr_add_finding(a, &f);
        }
    }
}

/* Titles of the checks that gave an outcome, each once, at most six. Checks lie sorted by zone. */
static const char *worst_titles(struct mr_assess *a, size_t first, size_t n, enum mr_outcome outcome) {
    const char *text = "";
    size_t shown = 0, more = 0;
    for (size_t i = first; i < first + n; i++) {
        const struct mr_check *c = &a->out->checks.v[i];
        if (c->outcome != outcome)
            continue;
        bool repeated = false;
        for (size_t j = first; j < i && !repeated; j++)
            repeated = a->out->checks.v[j].outcome == outcome && strcmp(a->out->checks.v[j].title, c->title) == 0;
        if (repeated)
            continue;
        if (shown == 6) {
            more++;
            continue;
        }
        text = shown == 0 ? c->title : mr_printf(a->arena, "%s; %s", text, c->title);
        shown++;
    }
    return more == 0 ? text : mr_printf(a->arena, "%s; and %zu more", text, more);
}

/* An acceptance in writing stands beside what decided the outcome, and changes nothing in it. */
static void name_acceptances(struct mr_assess *a) {
    for (size_t i = 0; i < a->out->nonconformances.n; i++) {
        const struct mr_nonconformance *n = &a->out->nonconformances.v[i];
        if (!n->accepted || n->zone >= a->aligned->zones.n)
            continue;
        struct mr_zone_result *r = &a->out->zones[n->zone];
        r->worst = mr_printf(a->arena, "%s%s%s accepted as is, see the register", r->worst, *r->worst ? "; " : "",
                             n->coat ? mr_printf(a->arena, "film of coat %d", n->coat) : "film");
    }
}

/* Results per zone; MR_NONE, the job-wide checks, goes to *job_wide. */
static void sum_up(struct mr_assess *a, struct mr_zone_result *job_wide) {
    struct mr_assessment *out = a->out;
    out->zones = MR_ARRAY(a->arena, struct mr_zone_result, a->aligned->zones.n);
    for (size_t i = 0; i < out->checks.n;) {
        size_t zone = out->checks.v[i].zone, first = i;
        struct mr_zone_result *r = zone == MR_NONE ? job_wide : &out->zones[zone];
        for (; i < out->checks.n && out->checks.v[i].zone == zone; i++) {
            const struct mr_check *c = &out->checks.v[i];
            size_t g = group_index(c->group);
            r->outcome = mr_outcome_worst(r->outcome, c->outcome);
            if (g < MR_COUNT(mr_groups))
                r->by_group[g] = mr_outcome_worst(r->by_group[g], c->outcome);
        }
        r->worst = r->outcome <= MR_CONFORMS ? "" : worst_titles(a, first, i - first, r->outcome);
        out->outcome = mr_outcome_worst(out->outcome, r->outcome);
    }
    for (size_t z = 0; z < a->aligned->zones.n; z++)
        if (out->zones[z].worst == NULL)
            out->zones[z].worst = "";
    name_acceptances(a);
}

static void add_summary_row(struct mr_assess *a, struct mr_table *table, size_t z, const struct mr_zone_result *r,
                            size_t findings) {
    const struct mr_zone *zone = z == MR_NONE ? NULL : &a->aligned->zones.v[z];
    struct mr_value v[16];
    size_t n = 0;
    v[n++] = mr_v_text(zone == NULL ? "(whole job)" : zone->name);
    v[n++] = mr_v_outcome((int)r->outcome);
    for (size_t g = 0; g < MR_COUNT(mr_groups); g++)
        v[n++] = mr_v_outcome((int)r->by_group[g]);
    v[n++] = zone == NULL ? mr_v_blank("") : mr_v_num(mr_from_canonical(a->job->display.area, zone->area_m2));
    v[n++] = zone == NULL ? mr_v_blank("") : mr_v_num(mr_from_canonical(a->job->display.length, zone->steel_mm));
    v[n++] = zone == NULL ? mr_v_blank("") : mr_v_count(zone->coats);
    v[n++] = zone == NULL ? mr_v_blank("") : mr_v_count((int64_t)windows_of(a, z, 0));
    v[n++] = mr_v_count((int64_t)findings);
    v[n++] = mr_v_text(r->worst == NULL ? "" : r->worst);
    mr_table_add(a->arena, table, v);
}

/* The job's own row says what the job is: the worst of its zones and of the checks that belong to no zone. */
static struct mr_zone_result whole_job(const struct mr_assess *a, const struct mr_zone_result *job_wide) {
    struct mr_zone_result job = *job_wide;
    job.outcome = a->out->outcome;
    for (size_t z = 0; z < a->aligned->zones.n; z++)
        for (size_t g = 0; g < MR_COUNT(mr_groups); g++)
            job.by_group[g] = mr_outcome_worst(job.by_group[g], a->out->zones[z].by_group[g]);
    return job;
}

static void add_summary(struct mr_assess *a, const struct mr_zone_result *job_wide) {
    struct mr_field fields[16] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"outcome", "Outcome", MR_UNIT_NONE, 0},
        {"thickness", mr_group_titles[0], MR_UNIT_NONE, 0},
        {"gauge", mr_group_titles[1], MR_UNIT_NONE, 0},
        {"climate", mr_group_titles[2], MR_UNIT_NONE, 0},
        {"reaction", mr_group_titles[3], MR_UNIT_NONE, 0},
        {"lines", mr_group_titles[4], MR_UNIT_NONE, 0},
        {"material", mr_group_titles[5], MR_UNIT_NONE, 0},
        {"shift_record", mr_group_titles[6], MR_UNIT_NONE, 0},
        {"history", mr_group_titles[7], MR_UNIT_NONE, 0},
        {"area", "Area", a->job->display.area, 1},
        {"steel", "Steel", a->job->display.length, -1},
        {"coats_required", "Coats required", MR_UNIT_NONE, 0},
        {"windows", "Spray windows", MR_UNIT_NONE, 0},
        {"findings", "Findings", MR_UNIT_NONE, 0},
        {"worst_checks", "What decided it", MR_UNIT_NONE, 0},
    };
    struct mr_table *table = mr_table_new(
        a->arena, "zones", "Zones",
        "A zone's outcome is its worst check: does not conform, then not shown, then conforms. "
        "Findings are errors and warnings; notes are not counted. The last row is the job: the worst of its "
        "zones and of the checks that belong to no zone.",
        MR_COUNT(fields), fields);
    const size_t zones = a->aligned->zones.n;
    size_t *findings = MR_ARRAY(a->arena, size_t, zones + 1); /* all of them last */
    const struct mr_zone_result job = whole_job(a, job_wide);
    for (size_t i = 0; i < a->out->findings.n; i++) {
        const struct mr_finding *f = &a->out->findings.v[i];
        findings[zones] += f->severity >= MR_WARNING;
        if (f->zone < zones)
            findings[f->zone] += f->severity >= MR_WARNING;
    }
    for (size_t z = 0; z < zones; z++)
        add_summary_row(a, table, z, &a->out->zones[z], findings[z]);
    add_summary_row(a, table, MR_NONE, &job, findings[zones]);
    mr_add_table(a, table);
    struct mr_table **v = a->out->tables.v;
    memmove(v + 1, v, (a->out->tables.n - 1) * sizeof *v);
    v[0] = table;
}

/* Something must have been registered, measured or logged, and something asked about it. A register alone is enough:
 * its zones are then not shown, and the report says what each of them still needs. */
static bool was_judged(const struct mr_assess *a) {
    const struct mr_data *d = a->aligned->data;
    bool data = d->zones.n + a->aligned->readings.n + a->aligned->base_metal.n + a->aligned->wet_film.n +
                    a->aligned->checks.n + a->aligned->windows.n + a->aligned->actions.n + a->aligned->tracks.n +
                    d->shift_items.n + d->materials.n >
                0;
    if (!data)
        return false;
    for (size_t i = 0; i < a->out->checks.n; i++)
        if (a->out->checks.v[i].outcome != MR_NOT_REQUIRED)
            return true;
    return false;
}

/* What a shift did is found once for the shift, not for each of its zones. */
static bool is_found_by_shift(const struct mr_check *c) {
    enum { MATERIAL_GROUP = 5, SHIFT_GROUP = 6 }; /* in mr_groups */
    const size_t g = group_index(c->group);
    return g == MATERIAL_GROUP || g == SHIFT_GROUP;
}

/* A zone that does not conform or is not shown always says why, and what to do. Where no part found words of its own,
 * the checks that are open speak for themselves. */
static void tell_untold(struct mr_assess *a) {
    const size_t zones = a->aligned->zones.n;
    bool *told = MR_ARRAY(a->arena, bool, zones);
    for (size_t i = 0; i < a->out->findings.n; i++) {
        const struct mr_finding *f = &a->out->findings.v[i];
        if (f->zone < zones)
            told[f->zone] |= f->severity >= MR_WARNING && f->next_step && *f->next_step;
    }
    for (size_t i = 0; i < a->out->checks.n; i++) {
        const struct mr_check *c = &a->out->checks.v[i];
        if (c->zone >= zones || told[c->zone] || c->outcome < MR_NOT_SHOWN || is_found_by_shift(c))
            continue;
        struct mr_finding f =
            mr_finding_of(c, "open-check", c->outcome == MR_DOES_NOT_CONFORM ? MR_ERROR : MR_WARNING);
        f.what = mr_printf(a->arena, "%s: the check \"%s\" is open. %s",
                           mr_capitalised(a, mr_zone_label(a, c->zone, c->coat)), c->title,
                           c->detail && *c->detail ? c->detail : c->rule);
        f.next_step =
            "Look at the data of that time, and show the limit kept by another record or by an examination of "
            "the film.";
        mr_add_finding(a, &f);
    }
}

void mr_assess_finish(struct mr_assess *a) {
    struct mr_assessment *out = a->out;
    find_unsprayed(a);
    require_groups(a);
    tell_untold(a);
    mr_sort_stable(a->arena, out->checks.v, out->checks.n, sizeof *out->checks.v, order_checks);
    mr_sort_stable(a->arena, out->findings.v, out->findings.n, sizeof *out->findings.v, order_findings);
    struct mr_zone_result job_wide = {.worst = ""};
    sum_up(a, &job_wide);
    add_summary(a, &job_wide);
    out->judged = was_judged(a);
}
