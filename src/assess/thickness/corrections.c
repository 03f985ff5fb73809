/*
 * corrections.c - what is subtracted from the gauge's readings because of the blasted steel under the film.
 *
 * Either the base metal reading (mean of readings on the bare, blasted steel) or a fixed figure for the profile,
 * never both; a gauge that was adjusted on the blasted steel needs neither. Which was done stands in the report.
 * Sources: SSPC-PA 2 (deduct one way only; at least 10 places from memory); profile figures ISO 19840, from memory.
 */
#include "assess/finding/line_ranges.h"
#include "assess/thickness/thickness.h"
#include "base/keyfile.h"
#include "numeric/summary_stats.h"

#include <string.h>

static const struct {
    const char *word, *what;
    int64_t um;
} profiles[] = {{"profile fine", "profile, fine", 10},
                {"profile medium", "profile, medium", 25},
                {"profile coarse", "profile, coarse", 40}};

/* Of the same gauge as the film, and from before the zone's first coat: else it is not what lies under the film. */
static bool is_under_film(const struct mr_thickness *t, size_t zone, const mr_index_list *readings, size_t base) {
    const struct mr_alignment *al = t->a->aligned;
    const struct mr_placed *b = &al->base_metal.v[base];
    bool same = readings->n == 0;
    for (size_t i = 0; i < readings->n && !same; i++)
        same = strcmp(t->gauges.reading_gauge[readings->v[i]], t->gauges.base_gauge[base]) == 0;
    for (size_t i = 0; i < al->windows.n && same && b->zone == zone; i++)
        if (al->windows.v[i].zone == zone && b->t_utc_ms != MR_T_NONE && b->t_utc_ms > al->windows.v[i].t0_utc_ms)
            return false;
    return same;
}

/* A gauge that measured the film without any base metal reading of its own; NULL. */
static const char *gauge_without(const struct mr_thickness *t, const mr_index_list *readings, const bool *used) {
    for (size_t i = 0; i < readings->n; i++) {
        const char *gauge = t->gauges.reading_gauge[readings->v[i]];
        bool known = false;
        for (size_t k = 0; k < t->a->aligned->base_metal.n && !known; k++)
            known = used[k] && strcmp(t->gauges.base_gauge[k], gauge) == 0;
        if (!known)
            return gauge;
    }
    return NULL;
}

static bool all_zero(const double *um, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (um[i] < 0.0 || um[i] > 0.0)
            return false;
    return n > 0;
}

/* Base metal readings of the zone, else those that belong to no zone. */
static void deduct_base_metal(struct mr_thickness *t, size_t zone, const mr_index_list *readings,
                              struct mr_correction *c) {
    struct mr_assess *a = t->a;
    const struct mr_alignment *al = a->aligned;
    size_t wanted = MR_NONE;
    for (size_t i = 0; i < al->base_metal.n; i++)
        if (al->base_metal.v[i].zone == zone)
            wanted = zone;
    double *um = MR_ARRAY(a->arena, double, al->base_metal.n);
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, al->base_metal.n);
    bool *used = MR_ARRAY(a->arena, bool, al->base_metal.n);
    mr_wide sum = 0;
    for (size_t i = 0; i < al->base_metal.n; i++) {
        const struct mr_reading *r = al->base_metal.v[i].reading;
        int64_t quanta;
        if (al->base_metal.v[i].zone != wanted || !mr_film_quanta(r->written, r->unit, &quanta))
            continue;
        if (!is_under_film(t, zone, readings, i)) {
            c->left_out++;
            continue;
        }
        lines[c->n] = (struct mr_line){r->file, r->line};
        um[c->n++] = r->film_um;
        used[i] = true;
        sum += quanta;
    }
    c->what = "base metal";
    size_t least = (size_t)mr_set_num(al->zones.v[zone].settings, MR_DFT_BASE_MIN);
    const char *left =
        c->left_out ? mr_printf(a->arena, " Not used, because another gauge took them or the coating had begun: %s.",
                                mr_count_text(a, c->left_out, "reading"))
                    : "";
    if (c->n == 0) {
        c->wrong = mr_printf(a->arena,
                             "The specification asks for a base metal deduction, but there are no base metal "
                             "readings to deduct.%s",
                             left);
        return;
    }
    if (c->n < least)
        c->wrong = mr_printf(a->arena, "The base metal deduction rests on %s (at least %zu required).%s",
                             mr_count_text(a, c->n, "reading"), least, left);
    const char *without = gauge_without(t, readings, used);
    if (without && !c->wrong)
        c->wrong = mr_printf(a->arena, "Gauge %s measured the film but took no base metal readings here.%s",
                             *without ? without : "(not named)", left);
    if (sum < 0 && !c->wrong)
        c->wrong = mr_printf(a->arena,
                             "The mean of %s is below zero; deducted, it would make the film thicker than the gauge "
                             "showed it.%s",
                             mr_count_text(a, c->n, "base metal reading"), left);
    if (all_zero(um, c->n) && !c->wrong)
        c->wrong = mr_printf(a->arena,
                             "Of %s each is exactly 0; on rough steel that shows a gauge that was zeroed there, or "
                             "nothing.%s",
                             mr_count_text(a, c->n, "base metal reading"), left);
    c->sd_um = mr_moments_of(um, c->n).sd;
    c->quanta = mr_ratio_of(sum, (mr_wide)c->n);
    mr_add_lines(a, &c->evidence, lines, c->n, 8, "base metal readings");
}

static size_t count_base_metal(const struct mr_alignment *al, size_t zone) {
    size_t n = 0;
    for (size_t i = 0; i < al->base_metal.n; i++)
        n += al->base_metal.v[i].zone == zone || al->base_metal.v[i].zone == MR_NONE;
    return n;
}

struct mr_correction *mr_correction_of(struct mr_thickness *t, size_t zone, const mr_index_list *readings) {
    struct mr_assess *a = t->a;
    struct mr_correction *c = MR_NEW(a->arena, struct mr_correction);
    *c = (struct mr_correction){.quanta = {0, 1}, .what = "none", .sd_um = MR_NAN};
    const struct mr_setting *set = &a->aligned->zones.v[zone].settings->v[MR_DFT_CORRECTION];
    const char *text = mr_fold(a->arena, set->text, strlen(set->text));
    const bool none = !*text || strcmp(text, "none") == 0;
    if (none && (set->from_job || !count_base_metal(a->aligned, zone)))
        return c;
    c->asked = true;
    if (none) { /* "none" is the default, and the readings speak against it */
        c->wrong =
            mr_printf(a->arena, "There are %s of this zone, and the job file does not say whether to deduct them.",
                      mr_count_text(a, count_base_metal(a->aligned, zone), "base metal reading"));
        return c;
    }
    bool base = strstr(text, "base metal") != NULL, profile = strstr(text, "profile") != NULL;
    if (set->place.file)
        mr_add_evidence(a, &c->evidence, set->place, "correction as stated");
    if (base && profile) {
        c->wrong =
            "The job asks for a base metal deduction and a profile correction; only one may be made, so none was.";
        return c;
    }
    if (strcmp(text, "base metal") == 0) {
        deduct_base_metal(t, zone, readings, c);
        return c;
    }
    for (size_t i = 0; i < MR_COUNT(profiles); i++) {
        if (strcmp(text, profiles[i].word) != 0)
            continue;
        c->what = profiles[i].what;
        c->quanta = (struct mr_ratio){(mr_wide)profiles[i].um * MR_QUANTA_PER_UM, 1};
        return c;
    }
    c->wrong = mr_printf(a->arena, "The correction \"%s\" is not known, so none was made.", set->text);
    return c;
}

void mr_correction_check(struct mr_assess *a, size_t zone, const struct mr_correction *c) {
    enum mr_unit unit = a->job->display.film;
    struct mr_check check = {.id = "thickness.correction",
                             .title = "Base metal or profile correction",
                             .group = "thickness",
                             .zone = zone,
                             .measured = c->asked ? mr_ratio_in(c->quanta, unit) : MR_NAN,
                             .unit = unit,
                             .decimals = mr_film_decimals(unit),
                             .limit_low = MR_NAN,
                             .limit_high = MR_NAN,
                             .rule = "base metal deduction or profile correction, never both",
                             .source = "SSPC-PA 2 (2012 and later); profile figures ISO 19840, from memory",
                             .evidence = c->evidence};
    check.outcome = c->wrong ? MR_NOT_SHOWN : c->asked ? MR_CONFORMS : MR_NOT_REQUIRED;
    bool idle = !c->asked && a->aligned->base_metal.n > 0;
    check.detail = c->wrong    ? c->wrong
                   : !c->asked ? idle ? "Nothing was subtracted, though there are base metal readings."
                                      : "Nothing was subtracted from the readings."
                   : c->n      ? mr_printf(a->arena, "The mean of %zu base metal readings, %s, was subtracted.", c->n,
                                           mr_film_text(a, mr_ratio_um(c->quanta), unit))
                               : mr_printf(a->arena, "%s was subtracted for the %s.",
                                           mr_film_text(a, mr_ratio_um(c->quanta), unit), c->what);
    mr_add_check(a, &check);
    if (!c->wrong)
        return;
    struct mr_finding f = {
        .id = "correction",
        .severity = MR_WARNING,
        .zone = zone,
        .t0_utc_ms = MR_T_NONE,
        .t1_utc_ms = MR_T_NONE,
        .what = mr_printf(a->arena, "Zone %s: %s", a->aligned->zones.v[zone].name, c->wrong),
        .measured = MR_NAN,
        .limit = MR_NAN,
        .rule = check.rule,
        .source = check.source,
        .next_step =
            "Add the base metal readings, or state in the job file which single correction holds: none, base "
            "metal, profile fine, profile medium, profile coarse.",
        .evidence = c->evidence};
    mr_add_finding(a, &f);
}

void mr_correction_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    enum mr_unit unit = a->job->display.film;
    int digits = mr_film_decimals(unit) + 1;
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"correction", "Subtracted for", MR_UNIT_NONE, 0},
        {mr_film_key(a, "correction"), "Subtracted", unit, digits},
        {"base_metal_readings", "Base metal readings", MR_UNIT_NONE, 0},
        {mr_film_key(a, "base_metal_sd"), "Their SD", unit, digits},
        {"remark", "Remark", MR_UNIT_NONE, 0},
    };
    struct mr_table *table = mr_table_new(
        a->arena, "thickness-corrections", "Corrections",
        "What was subtracted from every reading before it was judged: base metal or profile, never both; for a later "
        "coat also the film measured below it.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++) {
        const struct mr_subject *s = t->subjects.v[i];
        const struct mr_value row[] = {
            mr_v_text(s->z->name),
            mr_v_text(s->coat ? mr_printf(a->arena, "coat %d", s->coat) : "system"),
            mr_v_text(s->correction->what),
            mr_v_num(mr_ratio_in(s->limits.correction, unit)),
            s->correction->n ? mr_v_count((int64_t)s->correction->n) : mr_v_blank("none were used"),
            s->correction->n > 1 ? mr_v_num(mr_from_canonical(unit, s->correction->sd_um))
                                 : mr_v_blank("none were used"),
            mr_v_text(s->deducted            ? s->deducted
                      : s->correction->wrong ? s->correction->wrong
                                             : ""),
        };
        mr_table_add(a->arena, table, row);
    }
    mr_add_table(a, table);
}
