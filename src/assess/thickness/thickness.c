/*
 * thickness.c - the thickness part from readings to checks, findings and tables.
 *
 * In: placed readings, verifications, base metal readings, specification. For each zone the system is a subject, and
 * so is each coat where the specification limits single coats. A reading counts for the system when it was taken over
 * the last coat that the zone must have (or over an unknown coat: a gauge alone cannot tell); readings taken before
 * any coat are not film. Only the newest complete survey is judged; the others stay in the record.
 */
#include "assess/thickness/thickness.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

static bool is_film_of(const struct mr_placed *p, const struct mr_zone *z, int coat) {
    if (p->stage == MR_STAGE_BEFORE_COAT)
        return false;
    return coat ? p->coat == coat : p->coat == 0 || p->coat >= z->coats;
}

static void read_limit(const struct mr_setting *set, bool *has, struct mr_ratio *out, double *um) {
    int64_t quanta;
    *um = MR_NAN;
    if (!set->set || !mr_film_quanta(set->written, set->unit, &quanta))
        return;
    *has = true;
    *out = mr_ratio_of(quanta, 1);
    *um = set->value;
}

static struct mr_subject *new_subject(struct mr_thickness *t, size_t zone, int coat, const mr_rule_list *rules,
                                      const struct mr_correction *correction) {
    struct mr_subject *s = MR_NEW(t->held, struct mr_subject);
    const struct mr_zone *z = &t->a->aligned->zones.v[zone];
    const struct mr_setting *low = &z->settings->v[coat ? MR_DFT_COAT_MIN : MR_DFT_MIN];
    const struct mr_setting *high = &z->settings->v[coat ? MR_DFT_COAT_MAX : MR_DFT_MAX];
    *s = (struct mr_subject){.zone = zone, .coat = coat, .z = z, .rules = rules, .correction = correction};
    read_limit(low, &s->limits.has_min, &s->limits.min, &s->min_um);
    read_limit(high, &s->limits.has_max, &s->limits.max, &s->max_um);
    s->unit = s->limits.has_min ? low->unit : s->limits.has_max ? high->unit : t->a->job->display.film;
    s->us = s->unit == MR_UNIT_MIL || s->unit == MR_UNIT_FILM_IN;
    s->limits.strict = mr_set_flag(z->settings, MR_DFT_8020_STRICT);
    s->limits.correction = correction->quanta;
    return s;
}

/* Exact mean of a survey's readings, as the gauge showed them. */
static struct mr_ratio shown_mean(const struct mr_film *film) {
    mr_wide sum = 0;
    size_t n = 0;
    for (size_t i = 0; i < film->n; i++) {
        sum += film->readings[i].quanta * (mr_wide)mr_film_weight(&film->readings[i]);
        n += mr_film_weight(&film->readings[i]);
    }
    return mr_ratio_of(sum, (mr_wide)n);
}

/* A later coat lies on the film that was measured before it; that film comes off, as the gauge showed it. */
static bool deduct_film_below(struct mr_thickness *t, struct mr_subject *s, const struct mr_subject *below) {
    if (!below || !below->counting || below->counting->film.n == 0) {
        s->deducted = "the film below this coat was not measured, so this coat cannot be told from it";
        return false;
    }
    s->limits.correction = shown_mean(&below->counting->film);
    s->deducted = mr_printf(
        t->a->arena, "the film below was %s as the gauge showed it (mean of %zu readings after coat %d)",
        mr_film_text(t->a, mr_ratio_um(s->limits.correction), s->unit), below->counting->film.n, below->coat);
    return true;
}

/* Of several gauges the least certain one speaks for the film. */
static struct mr_accuracy largest_uncertainty(const struct mr_thickness *t, const struct mr_subject *s) {
    struct mr_accuracy u = {0};
    const char *last = NULL;
    for (size_t i = 0; i < s->counting->film.n; i++) {
        const char *gauge = s->counting->film.readings[i].gauge;
        if (gauge == last)
            continue;
        last = gauge;
        struct mr_accuracy own = mr_gauge_uncertainty(t->a, s->z->settings, gauge);
        double size = s->limits.has_min ? s->min_um : 250;
        if (own.known && (!u.known || mr_accuracy_um(&own, size) > mr_accuracy_um(&u, size)))
            u = own;
    }
    return u;
}

static void run_subject(struct mr_thickness *t, struct mr_subject *s, const mr_index_list *at,
                        const struct mr_subject *below) {
    struct mr_arena *work = mr_work(t->a);
    const struct mr_alignment *al = t->a->aligned;
    mr_index_list film = {0}, extent = {0};
    for (size_t i = 0; i < at->n; i++) {
        const struct mr_placed *p = &al->readings.v[at->v[i]];
        if (!is_film_of(p, s->z, s->coat))
            continue;
        if (mr_is_extent_reading(p->reading))
            MR_PUSH(work, &extent, at->v[i]);
        else
            MR_PUSH(work, &film, at->v[i]);
    }
    const bool measured = s->coat < 2 || deduct_film_below(t, s, below);
    if (measured)
        mr_surveys_build(t, s, &film);
    if (mr_extent_return(t, s, &extent, &film) && measured) {
        s->surveys.n = 0;
        mr_surveys_build(t, s, &film);
    }
    mr_surveys_stand(t, s);
    s->accepted = mr_acceptance_of(t->a, s);
    mr_extent_build(t, s, &extent);
    if (s->counting) {
        struct mr_accuracy u = largest_uncertainty(t, s);
        s->values = mr_film_values_of(t->held, work, &s->counting->film, s->limits.correction);
        s->stats =
            mr_film_stats_of(t->a->arena, work, &s->values, s->min_um, s->max_um, &u, s->z->settings, &t->factors);
    }
    mr_shortfall_of(s);
    mr_thickness_checks(t, s);
    mr_unplaced_check(t, s);
    mr_extent_check(t, s);
    mr_history_check(t, s);
    mr_history_findings(t, s);
    mr_faults_enter(t, s);
    mr_thickness_findings(t, s);
    MR_PUSH(t->held, &t->subjects, s);
}

static bool stands_older(const struct mr_film *film, const struct mr_film_reading *newer) {
    for (size_t i = 0; i < film->n; i++)
        if (strcmp(film->readings[i].area_id, newer->area_id) == 0 && film->readings[i].t_utc_ms < newer->t_utc_ms)
            return true;
    return false;
}

/* An area measured again without a logged repair keeps its older film, yet the newer one tells of it too: a gauge
 * that is not verified there leaves it in doubt, or leaving a repair out of the log would pay. */
static void add_measured_again(struct mr_arena *arena, const struct mr_subject *s, mr_index_list *at) {
    for (size_t k = 0; k < s->surveys.n; k++) {
        const struct mr_film *film = &s->surveys.v[k].film;
        for (size_t i = 0; i < film->n && s->surveys.v[k].unrepaired; i++)
            if (stands_older(&s->counting->film, &film->readings[i]))
                MR_PUSH(arena, at, film->readings[i].at);
    }
}

/* The gauge behind every reading that is judged, whatever the subject. */
static void check_gauges(struct mr_thickness *t, size_t zone, size_t first_subject) {
    struct mr_arena *arena = mr_work(t->a);
    mr_index_list at = {0};
    for (size_t i = first_subject; i < t->subjects.n; i++) {
        const struct mr_survey *survey = t->subjects.v[i]->counting;
        for (size_t k = 0; survey && k < survey->film.n; k++)
            MR_PUSH(arena, &at, survey->film.readings[k].at);
    }
    const size_t judged = at.n;
    for (size_t i = first_subject; i < t->subjects.n; i++)
        if (t->subjects.v[i]->counting)
            add_measured_again(arena, t->subjects.v[i], &at);
    mr_gauge_check_zone(t->a, &t->gauges, zone, at.v, at.n);
    at.n = judged;
    mr_gauge_check_range(t->a, &t->gauges, zone, at.v, at.n);
    mr_gauge_check_equal(t->a, &t->gauges, zone, at.v, at.n);
    mr_note_uncured(t->a, zone, at.v, at.n);
}

static void unusable_rules(struct mr_assess *a, size_t zone, const char *names) {
    const struct mr_setting *set = &a->aligned->zones.v[zone].settings->v[MR_DFT_RULES];
    struct mr_check c = {
        .id = "thickness.rules",
        .title = "Rule sets found",
        .group = "thickness",
        .zone = zone,
        .outcome = MR_NOT_SHOWN,
        .measured = MR_NAN,
        .limit_low = MR_NAN,
        .limit_high = MR_NAN,
        .rule = "every rule set named by the job exists and can be read",
        .source = MR_SRC_PD,
        .detail = mr_printf(a->arena, "Not every rule set in \"%s\" could be used; the messages say which and why.",
                            names)};
    if (set->place.file)
        mr_add_evidence(a, &c.evidence, set->place, "rules as stated");
    mr_add_check(a, &c);
    struct mr_finding f = {.id = "rules",
                           .severity = MR_WARNING,
                           .zone = zone,
                           .t0_utc_ms = MR_T_NONE,
                           .t1_utc_ms = MR_T_NONE,
                           .what = c.detail,
                           .measured = MR_NAN,
                           .limit = MR_NAN,
                           .rule = c.rule,
                           .source = c.source,
                           .next_step = "Name built-in rule sets or those in the job's own rules folder.",
                           .evidence = c.evidence};
    mr_add_finding(a, &f);
}

/* Rule sets in force under one specification: read once, not once for each zone. */
struct rules_in_force {
    const struct mr_settings *settings;
    mr_rule_list rules;
    bool failed;
};
typedef MR_VEC(struct rules_in_force *) rules_cache;

static struct rules_in_force *rules_for(struct mr_assess *a, rules_cache *cache, const struct mr_settings *settings) {
    for (size_t i = 0; i < cache->n; i++)
        if (cache->v[i]->settings == settings)
            return cache->v[i];
    struct rules_in_force *r = MR_NEW(a->arena, struct rules_in_force);
    r->settings = settings;
    r->failed =
        mr_rule_list_load(a->arena, a->job, mr_set_text(settings, MR_DFT_RULES), a->diags, &r->rules) != MR_OK;
    MR_PUSH(a->arena, cache, r);
    return r;
}

static void note_bare(struct mr_assess *a, size_t zone, const mr_index_list *at) {
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, at->n);
    size_t n = 0;
    for (size_t i = 0; i < at->n; i++) {
        const struct mr_placed *p = &a->aligned->readings.v[at->v[i]];
        if (p->stage == MR_STAGE_BEFORE_COAT)
            lines[n++] = (struct mr_line){p->reading->file, p->reading->line};
    }
    if (n == 0)
        return;
    struct mr_finding f = {
        .id = "readings-before-coat",
        .severity = MR_WARNING,
        .zone = zone,
        .t0_utc_ms = MR_T_NONE,
        .t1_utc_ms = MR_T_NONE,
        .measured = (double)n,
        .limit = MR_NAN,
        .rule = "film is measured after it was sprayed",
        .source = MR_SRC_PD,
        .what = mr_printf(a->arena, "Zone %s: %s taken before its first spray window, not judged.",
                          a->aligned->zones.v[zone].name, mr_count_text(a, n, "reading")),
        .next_step = "Check the clocks of gauge and spray log, or put the readings into a base metal file."};
    mr_add_lines(a, &f.evidence, lines, n, 0, "readings before the first coat");
    mr_add_finding(a, &f);
}

/* Readings that another export of the gauge contradicts are judged as they stand, so that a thin one is not lost, and
 * show nothing by themselves. */
static void check_contradicted(struct mr_assess *a, size_t zone, const mr_index_list *at) {
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, at->n);
    size_t n = 0;
    for (size_t i = 0; i < at->n; i++) {
        const struct mr_reading *r = a->aligned->readings.v[at->v[i]].reading;
        if (r->contradicted)
            lines[n++] = (struct mr_line){r->file, r->line};
    }
    if (n == 0)
        return;
    struct mr_check c = mr_blank_check("thickness.contradicted", "Exports of one gauge agree", "thickness", zone, 0);
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)n;
    c.rule = "two exports of one gauge give the same reading for the same moment and place";
    c.source = MR_SRC_PD;
    c.detail = mr_printf(a->arena, "%s of one gauge %s given with another value or place for the same moment.",
                         mr_count_text(a, n, "reading"), n == 1 ? "is" : "are");
    mr_add_lines(a, &c.evidence, lines, n, 0, "contradicted");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "contradicted-readings", MR_WARNING);
    f.what = mr_printf(a->arena, "Zone %s: %s", a->aligned->zones.v[zone].name, c.detail);
    f.next_step = "Read the gauge's memory out again, and take the wrong export out of the folder.";
    mr_add_finding(a, &f);
}

/* A file that gives other statistics of its rows than they have may have lost some, or had them changed. */
static void check_statistics(struct mr_assess *a, size_t zone, const mr_index_list *at) {
    const struct mr_file *last = NULL;
    for (size_t i = 0; i < at->n; i++) {
        const struct mr_reading *r = a->aligned->readings.v[at->v[i]].reading;
        const struct mr_file *file = &a->aligned->data->files.v[r->file];
        if (file == last || !file->disagrees)
            continue;
        last = file;
        struct mr_check c = mr_blank_check("thickness.statistics", "Export agrees with itself", "thickness", zone, 0);
        c.outcome = MR_NOT_SHOWN;
        c.rule = "the statistics that an export gives are those of its rows";
        c.source = MR_SRC_PD;
        c.detail = mr_printf(a->arena, "%s contradicts itself: %s.", file->source->path, file->disagrees);
        mr_add_evidence(a, &c.evidence, mr_line_place(a, r->file, r->line), "its first reading here");
        mr_add_check(a, &c);
        struct mr_finding f = mr_finding_of(&c, "statistics-contradict", MR_WARNING);
        f.what = mr_printf(a->arena, "Zone %s: %s", a->aligned->zones.v[zone].name, c.detail);
        f.next_step = "Export the gauge's memory anew and whole; if the line speaks of something else, take it out "
                      "of a copy of the file.";
        mr_add_finding(a, &f);
        return;
    }
}

static void run_zone(struct mr_thickness *t, rules_cache *cache, size_t zone, const mr_index_list *at) {
    struct mr_assess *a = t->a;
    const struct mr_zone *z = &a->aligned->zones.v[zone];
    struct rules_in_force *in_force = rules_for(a, cache, z->settings);
    if (in_force->failed)
        unusable_rules(a, zone, mr_set_text(z->settings, MR_DFT_RULES));
    struct mr_correction *correction = mr_correction_of(t, zone, at);
    mr_correction_check(a, zone, correction);
    size_t first = t->subjects.n;
    struct mr_subject *system = new_subject(t, zone, 0, &in_force->rules, correction);
    run_subject(t, system, at, NULL);
    mr_add_film(t, system, at);
    if (z->settings->v[MR_DFT_COAT_MIN].set || z->settings->v[MR_DFT_COAT_MAX].set) {
        struct mr_subject *below = NULL;
        for (int coat = 1; coat <= z->coats; coat++) {
            struct mr_subject *s = new_subject(t, zone, coat, &in_force->rules, correction);
            run_subject(t, s, at, below);
            below = s;
        }
    }
    note_bare(a, zone, at);
    check_contradicted(a, zone, at);
    check_statistics(a, zone, at);
    mr_note_spellings(a, zone, at);
    check_gauges(t, zone, first);
    mr_work_done(a);
}

void mr_assess_thickness(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    struct mr_thickness film = {.a = a}, *t = &film;
    rules_cache cache = {0};
    t->held = mr_arena_like(a->arena);
    mr_gauges_judge(a, t->held, &t->gauges);
    mr_gauge_note_shown(a, t->held, &t->gauges);
    t->lost_before = mr_lost_readings(t->held, al);
    mr_index_list *at = MR_ARRAY(t->held, mr_index_list, al->zones.n);
    for (size_t i = 0; i < al->readings.n; i++)
        if (al->readings.v[i].zone < al->zones.n)
            MR_PUSH(t->held, &at[al->readings.v[i].zone], i);
        else if (!al->readings.v[i].aside)
            MR_PUSH(t->held, &t->unplaced, &al->readings.v[i]);
    for (size_t zone = 0; zone < al->zones.n; zone++) {
        mr_drop_copies(t, zone, &at[zone]);
        run_zone(t, &cache, zone, &at[zone]);
    }
    mr_find_copied_readings(t, at);
    mr_work_done(a);
    mr_gauge_report(a, &t->gauges);
    mr_thickness_tables(t);
    mr_sampling_tables(t);
    mr_statistics_tables(t);
    mr_history_table(t);
    mr_repaired_table(t);
    mr_extent_table(t);
    mr_correction_table(t);
    mr_gauge_comparison(t);
    mr_wet_film(a);
    mr_arena_free(t->held);
}
