/*
 * sampling_tables.c - how much was asked and taken, which rules are in force, what was left out, what it means on
 * site.
 */
#include "assess/thickness/thickness.h"

#include <math.h>
#include <string.h>

static struct mr_field film_field(struct mr_assess *a, const char *key, const char *title) {
    enum mr_unit unit = a->job->display.film;
    return (struct mr_field){mr_printf(a->arena, "%s_%s", key, unit == MR_UNIT_MIL ? "mil" : "um"), title, unit,
                             mr_film_decimals(unit)};
}

static const char *film_name(struct mr_assess *a, const struct mr_subject *s) {
    return s->coat ? mr_printf(a->arena, "coat %d", s->coat) : "system";
}

static struct mr_value count_or(bool known, size_t n, const char *why) {
    return known ? mr_v_count((int64_t)n) : mr_v_blank(why);
}

static void sampling_rows(struct mr_assess *a, struct mr_table *t, const struct mr_subject *s) {
    for (size_t r = 0; r < s->rules->n; r++) {
        const struct mr_rule *rule = s->rules->v[r];
        struct mr_need need = mr_rule_need(rule, s->z->area_m2, s->us, mr_spot_number(s->z->settings, rule),
                                           mr_area_number(s->z->settings, rule)),
                       taken = {.known = true};
        if (s->counting)
            taken = mr_rule_taken(&s->counting->film, rule);
        bool asks = rule->sampled && need.known, areas = asks && rule->counts_areas;
        const char *why = rule->sampled ? "the zone's area is not known" : "the rule states no number",
                   *no_areas = asks ? "the rule counts readings" : why;
        const struct mr_value row[] = {
            mr_v_text(s->z->name),
            mr_v_text(film_name(a, s)),
            mr_v_text(rule->title),
            count_or(areas, need.areas, no_areas),
            mr_v_count((int64_t)taken.areas),
            count_or(areas, need.areas > taken.areas ? need.areas - taken.areas : 0, no_areas),
            count_or(areas, need.spots, no_areas),
            mr_v_count((int64_t)taken.spots),
            count_or(areas, need.spots > taken.spots ? need.spots - taken.spots : 0, no_areas),
            count_or(asks, need.readings, why),
            mr_v_count((int64_t)taken.readings),
            count_or(asks, need.readings > taken.readings ? need.readings - taken.readings : 0, why),
        };
        mr_table_add(a->arena, t, row);
    }
}

static struct mr_table *sampling_table(struct mr_assess *a) {
    static const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"film", "Film", MR_UNIT_NONE, 0},
        {"rule", "Rule", MR_UNIT_NONE, 0},
        {"areas_asked", "Areas required", MR_UNIT_NONE, 0},
        {"areas_taken", "Areas taken", MR_UNIT_NONE, 0},
        {"areas_left", "Areas left", MR_UNIT_NONE, 0},
        {"spots_asked", "Spots required", MR_UNIT_NONE, 0},
        {"spots_taken", "Spots taken", MR_UNIT_NONE, 0},
        {"spots_left", "Spots left", MR_UNIT_NONE, 0},
        {"readings_asked", "Readings required", MR_UNIT_NONE, 0},
        {"readings_taken", "Readings taken", MR_UNIT_NONE, 0},
        {"readings_left", "Readings left", MR_UNIT_NONE, 0},
    };
    return mr_table_new(
        a->arena, "thickness-sampling", "Number of measurements",
        "What each rule in force requires at the zone's area, what was taken, and what is still to be "
        "measured. Only complete spots and areas count.",
        MR_COUNT(fields), fields);
}

static void add_rule_rows(struct mr_assess *a, struct mr_table *t, const struct mr_rule *rule) {
    for (size_t i = 0; i < rule->limits.n; i++) {
        const struct mr_rule_verdict v = {.rule = rule, .limit = &rule->limits.v[i]};
        const struct mr_value row[] = {mr_v_text(rule->title),          mr_v_text(rule->limits.v[i].title),
                                       mr_v_text(mr_limit_text(a, &v)), mr_v_text(rule->source),
                                       mr_v_text(rule->edition),        mr_v_text(rule->limits.v[i].clause),
                                       mr_v_text(rule->origin)};
        mr_table_add(a->arena, t, row);
    }
    if (*rule->not_covered) {
        const struct mr_value beyond[] = {mr_v_text(rule->title),       mr_v_text("Not covered here"),
                                          mr_v_text(rule->not_covered), mr_v_text(rule->source),
                                          mr_v_text(rule->edition),     mr_v_text(""),
                                          mr_v_text(rule->origin)};
        mr_table_add(a->arena, t, beyond);
    }
    const struct mr_value row[] = {mr_v_text(rule->title),
                                   mr_v_text("Number of measurements"),
                                   mr_v_text(!rule->sampled       ? "not stated"
                                             : rule->counts_areas ? "areas by the zone's size"
                                                                  : "readings by the zone's size"),
                                   mr_v_text(rule->source),
                                   mr_v_text(rule->edition),
                                   mr_v_text(rule->sampling_clause),
                                   mr_v_text(rule->origin)};
    mr_table_add(a->arena, t, row);
}

static struct mr_table *rules_table(struct mr_thickness *t) {
    static const struct mr_field fields[] = {
        {"rule", "Rule", MR_UNIT_NONE, 0},
        {"limit", "Limit", MR_UNIT_NONE, 0},
        {"text", "Requirement", MR_UNIT_NONE, 0},
        {"source", "Source", MR_UNIT_NONE, 0},
        {"edition", "Edition", MR_UNIT_NONE, 0},
        {"clause", "Clause", MR_UNIT_NONE, 0},
        {"origin", "Rule set from", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(t->a->arena, "thickness-rules", "Thickness rules",
                     "Rule sets in force. \"From memory\" marks figures that were not checked against the document.",
                     MR_COUNT(fields), fields);
    MR_VEC(const char *) seen = {0};
    for (size_t i = 0; i < t->subjects.n; i++)
        for (size_t r = 0; r < t->subjects.v[i]->rules->n; r++) {
            const struct mr_rule *rule = t->subjects.v[i]->rules->v[r];
            bool known = false;
            for (size_t k = 0; k < seen.n; k++)
                known = known || strcmp(seen.v[k], rule->name) == 0;
            if (known)
                continue;
            MR_PUSH(t->a->arena, &seen, rule->name);
            add_rule_rows(t->a, table, rule);
        }
    return table;
}

static void discarded_rows(struct mr_assess *a, struct mr_table *t, const struct mr_subject *s) {
    const struct mr_film *film = &s->counting->film;
    for (size_t i = 0; i < film->n; i++) {
        const struct mr_film_reading *r = &film->readings[i];
        if (!r->discarded)
            continue;
        const struct mr_film_spot *spot = &film->spots.v[r->spot];
        struct mr_place place = mr_line_place(a, r->file, r->line);
        const struct mr_value row[] = {mr_v_text(s->z->name),
                                       mr_v_text(film_name(a, s)),
                                       mr_v_text(spot->name),
                                       mr_v_num(mr_ratio_in((struct mr_ratio){r->quanta, 1}, a->job->display.film)),
                                       mr_v_num(mr_ratio_in(mr_film_spot_mean(spot, true), a->job->display.film)),
                                       mr_v_text(mr_printf(a->arena, "%s:%u", place.file, place.line))};
        mr_table_add(a->arena, t, row);
    }
}

static void shortfall_rows(struct mr_assess *a, struct mr_table *t, const struct mr_subject *s) {
    const struct mr_shortfall *both[] = {&s->thin, &s->thick};
    for (size_t i = 0; i < MR_COUNT(both); i++) {
        const struct mr_shortfall *b = both[i];
        if (!b->verdict)
            continue;
        const char *why = "single spots or readings: the extent is not known";
        const struct mr_value row[] = {
            mr_v_text(s->z->name),
            mr_v_text(film_name(a, s)),
            mr_v_text(i ? "excess" : "shortfall"),
            mr_v_text(mr_limit_text(a, b->verdict)),
            mr_v_num(mr_from_canonical(a->job->display.film, b->film_um)),
            mr_v_count((int64_t)b->passes_low),
            mr_v_count((int64_t)b->passes_high),
            isnan(b->area_m2) ? mr_v_blank(why) : mr_v_num(mr_from_canonical(a->job->display.area, b->area_m2)),
            isnan(b->volume_l) ? mr_v_blank(why) : mr_v_num(mr_from_canonical(a->job->display.volume, b->volume_l))};
        mr_table_add(a->arena, t, row);
    }
}

void mr_sampling_tables(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    bool us = a->job->display.area == MR_UNIT_FT2, gal = a->job->display.volume == MR_UNIT_GAL;
    const struct mr_field left_fields[] = {{"zone", "Zone", MR_UNIT_NONE, 0},
                                           {"film", "Film", MR_UNIT_NONE, 0},
                                           {"spot", "Spot", MR_UNIT_NONE, 0},
                                           film_field(a, "reading", "Reading as shown"),
                                           film_field(a, "others", "Mean of the others, as shown"),
                                           {"where", "From", MR_UNIT_NONE, 0}};
    const struct mr_field shortfall_fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"film", "Film", MR_UNIT_NONE, 0},
        {"side", "What", MR_UNIT_NONE, 0},
        {"limit", "Calculated from", MR_UNIT_NONE, 0},
        film_field(a, "worst", "Worst"),
        {"passes_low", "Heavy passes", MR_UNIT_NONE, 0},
        {"passes_high", "Light passes", MR_UNIT_NONE, 0},
        {us ? "area_ft2" : "area_m2", "Area represented", a->job->display.area, 1},
        {gal ? "material_gal" : "material_l", "Mixed material, without losses", a->job->display.volume, 2}};
    struct mr_table *sampling = sampling_table(a), *rules = rules_table(t);
    struct mr_table *left = mr_table_new(
        a->arena, "thickness-left-out", "Readings left out",
        "Unusual readings that did not repeat, left out under rules that allow it (SSPC-PA 2 section 3.2, 2012).",
        MR_COUNT(left_fields), left_fields);
    struct mr_table *build = mr_table_new(
        a->arena, "thickness-on-site", "Shortfall and excess",
        "Passes of 3 to 6 mil are common practice without a source; the supplier's written instructions govern.",
        MR_COUNT(shortfall_fields), shortfall_fields);
    for (size_t i = 0; i < t->subjects.n; i++) {
        const struct mr_subject *s = t->subjects.v[i];
        if (s->limits.has_min || s->limits.has_max)
            sampling_rows(a, sampling, s);
        if (!s->counting)
            continue;
        discarded_rows(a, left, s);
        shortfall_rows(a, build, s);
    }
    struct mr_table *all[] = {sampling, build, left, rules};
    for (size_t i = 0; i < MR_COUNT(all); i++)
        if (all[i]->n_rows)
            mr_add_table(a, all[i]);
}
