/*
 * extent.c - where an area or spot fails: the survey that the rule lays down to find how far it goes, and its
 * evaluation.
 *
 * From the failing area spots are taken outward at a stated interval, in every direction that has surface, until a
 * stated number of conforming spots in a row or until there is no more room. Here a spot conforms only against the
 * specified minimum and maximum themselves: no 80 or 120 percent. Source: SSPC-PA 2 (2015), sections 8 and 9; eight
 * directions from memory. Members below 3 m: single spots on repeating units instead.
 *
 * Readings of such a survey are known by an area id or note that begins with "survey", e.g. "survey north"; a note
 * that ends in "end" or "no room" says that the surface ends there.
 */
#include "assess/thickness/thickness.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

static bool begins_with_survey(const char *text) {
    return strlen(text) >= 6 && mr_text_equal_fold(text, 6, "survey", 6);
}

bool mr_is_extent_reading(const struct mr_reading *reading) {
    return begins_with_survey(reading->area) || begins_with_survey(reading->note);
}

static const char *direction_of(const struct mr_reading *r) {
    return begins_with_survey(r->area) ? r->area : r->note;
}

static bool says_no_room(const char *note) {
    size_t n = strlen(note);
    return (n >= 3 && mr_text_equal_fold(note + n - 3, 3, "end", 3)) ||
           (n >= 7 && mr_text_equal_fold(note + n - 7, 7, "no room", 7));
}

static const struct mr_rule *surveying_rule(const struct mr_subject *s) {
    for (size_t r = 0; r < s->rules->n; r++)
        if (s->rules->v[r]->surveyed)
            return s->rules->v[r];
    return NULL;
}

static bool within(const struct mr_subject *s, struct mr_ratio shown) {
    struct mr_ratio value = mr_ratio_subtract(shown, s->limits.correction);
    return !(s->limits.has_min && mr_ratio_compare(value, s->limits.min) < 0) &&
           !(s->limits.has_max && mr_ratio_compare(value, s->limits.max) > 0);
}

static void judge_direction(const struct mr_subject *s, const struct mr_rule *rule, const struct mr_film *film,
                            struct mr_extent *e) {
    size_t need = rule->readings_per_spot ? rule->readings_per_spot : film->per_spot, row = 0;
    e->spots = film->spots.n;
    for (size_t i = 0; i < film->spots.n; i++) {
        const struct mr_film_spot *spot = &film->spots.v[i];
        if (spot->taken < need) {
            e->incomplete++;
            row = 0;
        } else if (within(s, mr_film_spot_mean(spot, false))) {
            row++;
        } else {
            e->failing++;
            e->last_failing = i + 1;
            row = 0;
        }
    }
    e->closed = e->incomplete == 0 && (e->no_room || row >= rule->ends_after);
}

void mr_extent_build(struct mr_thickness *t, struct mr_subject *s, const mr_index_list *readings) {
    struct mr_arena *arena = t->a->arena;
    const struct mr_rule *rule = surveying_rule(s);
    const struct mr_settings *set = s->z->settings;
    const struct mr_film_grouping how = {.per_spot = (size_t)fmax(1, mr_set_num(set, MR_DFT_GAGE_PER_SPOT)),
                                         .per_area = SIZE_MAX / 2,
                                         .gap_ms = (int64_t)(mr_set_num(set, MR_DFT_SPOT_GAP) * 1000)};
    bool *taken = MR_ARRAY(arena, bool, readings->n);
    s->extent_readings = readings->n;
    for (size_t i = 0; rule && i < readings->n; i++) {
        if (taken[i])
            continue;
        struct mr_extent e = {.name = direction_of(t->a->aligned->readings.v[readings->v[i]].reading)};
        struct mr_film_reading *r = MR_ARRAY(arena, struct mr_film_reading, readings->n - i);
        size_t n = 0;
        for (size_t k = i; k < readings->n; k++) {
            const struct mr_placed *p = &t->a->aligned->readings.v[readings->v[k]];
            if (taken[k] || strcmp(direction_of(p->reading), e.name) != 0)
                continue;
            taken[k] = true;
            e.no_room = e.no_room || says_no_room(p->reading->note);
            r[n] = (struct mr_film_reading){.at = readings->v[k],
                                            .t_utc_ms = p->t_utc_ms,
                                            .area_id = "",
                                            .spot_id = p->reading->spot,
                                            .gauge = t->gauges.reading_gauge[readings->v[k]],
                                            .file = p->reading->file,
                                            .line = p->reading->line};
            if (mr_film_quanta(p->reading->written, p->reading->unit, &r[n].quanta))
                n++;
        }
        struct mr_film film;
        mr_film_group(arena, r, n, &how, &film);
        judge_direction(s, rule, &film, &e);
        MR_PUSH(arena, &s->extents, e);
    }
}

/* Does a spot or an area of the counting survey miss a limit of a rule that asks for the survey? */
static bool asks_for_survey(const struct mr_subject *s, const struct mr_rule *rule) {
    for (size_t r = 0; s->counting && r < s->rules->n; r++)
        for (size_t i = 0; s->rules->v[r] == rule && i < rule->limits.n; i++)
            if (s->counting->verdicts[r][i].outcome == MR_DOES_NOT_CONFORM)
                return true;
    return false;
}

static const char *plan(struct mr_assess *a, const struct mr_subject *s, const struct mr_rule *rule) {
    const char *step =
        s->us ? mr_printf(a->arena, "%g ft", rule->interval_ft) : mr_printf(a->arena, "%g m", rule->interval_m);
    if (!isnan(s->z->member_mm) && s->z->member_mm / 1000 < rule->member_m)
        return mr_printf(
            a->arena,
            "The members are smaller than %g m: measure single spots on the repeating units next to the "
            "failing one, each way, until "
            "%zu units in a row conform to the specified minimum and maximum themselves. Write \"survey\" "
            "and the direction into the area column.",
            rule->member_m, rule->ends_after);
    return mr_printf(
        a->arena,
        "From each failing area measure spots outward every %s, in up to %zu directions that have surface, "
        "no farther than what was "
        "coated in that shift, until %zu spots in a row conform to the specified minimum and maximum "
        "themselves (no 80 or 120 %%). "
        "Write \"survey\" and the direction into the area column.",
        step, rule->directions, rule->ends_after);
}

void mr_extent_check(struct mr_thickness *t, struct mr_subject *s) {
    struct mr_assess *a = t->a;
    const struct mr_rule *rule = surveying_rule(s);
    if (!rule || !asks_for_survey(s, rule))
        return;
    size_t open = 0;
    for (size_t i = 0; i < s->extents.n; i++)
        open += !s->extents.v[i].closed;
    bool shown = s->extents.n > 0 && open == 0;
    struct mr_check c = {.id = "thickness.extent",
                         .title = s->coat ? mr_printf(a->arena, "Extent of the failing area, coat %d", s->coat)
                                          : "Extent of the failing area",
                         .group = "thickness",
                         .zone = s->zone,
                         .coat = s->coat,
                         .outcome = shown ? MR_CONFORMS : MR_NOT_SHOWN,
                         .measured = s->extents.n ? (double)(s->extents.n - open) : MR_NAN,
                         .limit_low = s->extents.n ? (double)s->extents.n : MR_NAN,
                         .limit_high = MR_NAN,
                         .rule = mr_printf(a->arena, "%s, survey around a failing area", rule->title),
                         .source =
                             mr_printf(a->arena, "%s (%s), %s", rule->source, rule->edition, rule->survey_clause)};
    c.detail = shown ? mr_printf(a->arena,
                                 "Every direction (%zu) ends in conforming spots or at the edge of the surface: the "
                                 "extent is known.",
                                 s->extents.n)
               : s->extents.n
                   ? mr_printf(a->arena, "%zu of %zu directions do not yet end in %zu conforming spots in a row.",
                               open, s->extents.n, rule->ends_after)
                   : "No survey around the failing area has been made, so its extent is not known.";
    mr_add_evidence(a, &c.evidence, s->z->place, "zone register");
    mr_add_check(a, &c);
    if (shown)
        return;
    struct mr_finding f = {.id = "extent-not-known",
                           .severity = MR_WARNING,
                           .zone = s->zone,
                           .coat = s->coat,
                           .t0_utc_ms = s->counting->t0_utc_ms,
                           .t1_utc_ms = s->counting->t1_utc_ms,
                           .what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c.detail),
                           .measured = c.measured,
                           .limit = c.limit_low,
                           .rule = c.rule,
                           .source = c.source,
                           .next_step = plan(a, s, rule),
                           .evidence = c.evidence};
    mr_add_finding(a, &f);
}

void mr_extent_table(struct mr_thickness *t) {
    static const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"direction", "Direction", MR_UNIT_NONE, 0},
        {"spots", "Spots", MR_UNIT_NONE, 0},
        {"incomplete", "Incomplete", MR_UNIT_NONE, 0},
        {"failing", "Failing", MR_UNIT_NONE, 0},
        {"last_failing", "Last failing spot", MR_UNIT_NONE, 0},
        {"state", "State", MR_UNIT_NONE, 0},
    };
    struct mr_arena *arena = t->a->arena;
    struct mr_table *table = mr_table_new(arena, "extent-surveys", "Extent surveys",
                                          "Spots taken outward from failing areas. Here a spot conforms only against "
                                          "the specified minimum and maximum themselves.",
                                          MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        for (size_t k = 0; k < t->subjects.v[i]->extents.n; k++) {
            const struct mr_subject *s = t->subjects.v[i];
            const struct mr_extent *e = &s->extents.v[k];
            const struct mr_value row[] = {
                mr_v_text(s->z->name),
                mr_v_text(s->coat ? mr_printf(arena, "coat %d", s->coat) : "system"),
                mr_v_text(e->name),
                mr_v_count((int64_t)e->spots),
                mr_v_count((int64_t)e->incomplete),
                mr_v_count((int64_t)e->failing),
                e->last_failing ? mr_v_count((int64_t)e->last_failing) : mr_v_blank("none"),
                mr_v_text(!e->closed   ? "to be continued"
                          : e->no_room ? "ended at the edge of the surface"
                                       : "ended in conforming spots"),
            };
            mr_table_add(arena, table, row);
        }
    if (table->n_rows)
        mr_add_table(t->a, table);
}
