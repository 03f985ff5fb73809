/*
 * extent.c - where an area or spot fails: the survey that the rule lays down to find how far it goes, and its
 * evaluation.
 *
 * From the failing area spots are taken outward at a stated interval, in every direction that has surface, until a
 * stated number of conforming spots in a row or until there is no more room. Here a spot conforms only against the
 * specified minimum and maximum themselves: no 80 or 120 percent. Source: SSPC-PA 2 (2015), sections 8 and 9; eight
 * directions from memory. Members below 3 m: single spots on repeating units instead.
 *
 * Readings of such a survey are known by an area id or note that begins with "survey", e.g. "survey A2 north": from
 * area A2. "survey north" will do where one area fails. Where the area that they name does not fail, or none does,
 * they are film of the zone like any other, whatever they are called. A note that ends in "end" or "no room" says
 * that the surface ends there.
 *
 * Square metres to repair: the failing area as a circle of about 10 m2, and in each direction the film as far as the
 * first conforming spot; directions not surveyed add nothing. Geometry of our own, no source: an upper estimate.
 */
#include "assess/thickness/thickness.h"

#include "base/text.h"
#include "numeric/stable_sort.h"

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

/* "survey A2 north": the area of the film that the first words behind "survey" name. */
static const char *surveyed_area(struct mr_arena *arena, const struct mr_film *film, const char *name) {
    for (size_t n = 7; strlen(name) > 6 && n <= strlen(name); n++) {
        if (name[n] && name[n] != ' ')
            continue;
        const char *id = mr_area_id(arena, mr_strndup(arena, name + 7, n - 7));
        for (size_t i = 0; *id && i < film->areas.n; i++) {
            const char *known = film->readings[film->spots.v[film->areas.v[i].first].first].area_id;
            if (strcmp(known, id) == 0)
                return known;
        }
    }
    return "";
}

/* Areas of a survey in which a spot or the area misses a limit of the rule. bad: shape areas.n. */
static size_t failing_areas(const struct mr_subject *s, const struct mr_rule *rule, const struct mr_film *film,
                            bool *bad) {
    size_t n = 0;
    for (size_t i = 0; i < rule->limits.n; i++)
        for (size_t k = 0; k < mr_rule_values(film, &rule->limits.v[i]); k++) {
            const struct mr_rule_limit *limit = &rule->limits.v[i];
            struct mr_ratio value;
            if ((limit->of_maximum ? !s->limits.has_max : !s->limits.has_min) ||
                (limit->value != MR_RULE_SPOT && limit->value != MR_RULE_AREA) ||
                mr_rule_value(film, rule, limit, &s->limits, k, &value) != MR_VALUE_MISSES)
                continue;
            size_t area = limit->value == MR_RULE_AREA ? k : film->spots.v[k].area;
            n += !bad[area];
            bad[area] = true;
        }
    return n;
}

/* Whether rows of this name go out from an area that fails: from the one they name, else from any. */
static bool has_cause(struct mr_arena *arena, const struct mr_subject *s, const struct mr_rule *rule,
                      const char *name) {
    bool any = false, known = false;
    for (size_t i = 0; rule && i < s->surveys.n; i++) {
        const struct mr_film *film = &s->surveys.v[i].film;
        bool *bad = MR_ARRAY(arena, bool, film->areas.n + 1);
        const char *id = surveyed_area(arena, film, name);
        any = failing_areas(s, rule, film, bad) > 0 || any;
        for (size_t k = 0; *id && k < film->areas.n; k++) {
            const bool named = strcmp(film->readings[film->spots.v[film->areas.v[k].first].first].area_id, id) == 0;
            known = known || named;
            if (named && bad[k])
                return true;
        }
    }
    return any && !known;
}

static int by_index(const void *a, const void *b) {
    return MR_ORDER(*(const size_t *)a, *(const size_t *)b);
}

bool mr_extent_return(struct mr_thickness *t, const struct mr_subject *s, mr_index_list *extent,
                      mr_index_list *film) {
    struct mr_arena *work = mr_work(t->a);
    const char *last = NULL;
    size_t kept = 0, before = film->n;
    bool cause = false;
    for (size_t i = 0; i < extent->n; i++) {
        const char *name = direction_of(t->a->aligned->readings.v[extent->v[i]].reading);
        if (!last || strcmp(name, last) != 0)
            cause = has_cause(work, s, surveying_rule(s), name);
        last = name;
        if (cause)
            extent->v[kept++] = extent->v[i];
        else
            MR_PUSH(work, film, extent->v[i]);
    }
    extent->n = kept;
    if (film->n > before)
        mr_sort_stable(work, film->v, film->n, sizeof *film->v, by_index);
    return film->n > before;
}

void mr_extent_build(struct mr_thickness *t, struct mr_subject *s, const mr_index_list *readings) {
    struct mr_arena *arena = t->held;
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
            r[n] = (struct mr_film_reading){.at = (uint32_t)readings->v[k],
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
        e.area_id = s->counting ? surveyed_area(arena, &s->counting->film, e.name) : "";
        MR_PUSH(arena, &s->extents, e);
    }
}

static double reach_m(const struct mr_rule *rule, bool us, const struct mr_extent *e) {
    double step = us ? rule->interval_ft * 0.3048 : rule->interval_m;
    return step * (double)(e->no_room && e->last_failing == e->spots ? e->spots : e->last_failing + 1);
}

/* How one failing area stands: directions, those still open, square metres to repair at most. */
struct area_extent {
    size_t directions, open;
    double repair_m2;
};

static struct area_extent extent_of(const struct mr_subject *s, const struct mr_rule *rule, const char *area_id,
                                    bool only) {
    const double pi = 3.14159265358979323846, radius_m = sqrt(10 / pi);
    struct area_extent out = {0};
    double squares = 0;
    for (size_t i = 0; i < s->extents.n; i++) {
        const struct mr_extent *e = &s->extents.v[i];
        if (!(only && !*e->area_id) && !(*area_id && strcmp(e->area_id, area_id) == 0))
            continue;
        out.directions++;
        out.open += !e->closed;
        squares += pow(radius_m + reach_m(rule, s->us, e), 2);
    }
    double rest = rule->directions > out.directions ? (double)(rule->directions - out.directions) : 0;
    double all = out.directions > rule->directions ? (double)out.directions : (double)rule->directions;
    out.repair_m2 = pi / all * (squares + rest * radius_m * radius_m);
    if (s->z->area_m2 < out.repair_m2)
        out.repair_m2 = s->z->area_m2;
    return out;
}

/* Each failing area in a sentence; *open: areas whose extent is not known. */
static const char *areas_text(struct mr_assess *a, const struct mr_subject *s, const struct mr_rule *rule,
                              size_t *out_n, size_t *open) {
    const struct mr_film *film = &s->counting->film;
    bool *bad = MR_ARRAY(a->arena, bool, film->areas.n + 1);
    enum mr_unit unit = a->job->display.area;
    const bool small = !isnan(s->z->member_mm) && s->z->member_mm / 1000 < rule->member_m; /* units, no circle */
    const char *text = "";
    *out_n = failing_areas(s, rule, film, bad);
    *open = 0;
    for (size_t i = 0; i < film->areas.n; i++) {
        if (!bad[i])
            continue;
        const char *id = film->readings[film->spots.v[film->areas.v[i].first].first].area_id;
        struct area_extent e = extent_of(s, rule, id, *out_n == 1);
        const bool known = e.directions && !e.open;
        *open += !known;
        text = mr_printf(a->arena, "%s%sArea %s: %s", text, *text ? " " : "", film->areas.v[i].name,
                         !e.directions ? "no survey around it."
                         : e.open      ? mr_printf(a->arena, "%zu of %s not yet at an end.", e.open,
                                                   mr_count_text(a, e.directions, "direction"))
                         : small ? mr_printf(a->arena, "%s surveyed.", mr_count_text(a, e.directions, "direction"))
                                 : mr_printf(a->arena, "%s surveyed, at most %.3g %s to repair.",
                                             mr_count_text(a, e.directions, "direction"),
                                             mr_from_canonical(unit, e.repair_m2), mr_unit_symbol(unit)));
    }
    return text;
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
            "%zu units in a row conform to the specified minimum and maximum themselves. Write \"survey\", "
            "the failing area and the direction into the area column: \"survey A2 north\".",
            rule->member_m, rule->ends_after);
    return mr_printf(
        a->arena,
        "From each failing area measure spots outward every %s, in up to %zu directions that have surface, "
        "no farther than what was "
        "coated in that shift, until %zu spots in a row conform to the specified minimum and maximum "
        "themselves (no 80 or 120 %%). "
        "Write \"survey\", the failing area and the direction into the area column: \"survey A2 north\".",
        step, rule->directions, rule->ends_after);
}

void mr_extent_check(struct mr_thickness *t, struct mr_subject *s) {
    struct mr_assess *a = t->a;
    const struct mr_rule *rule = surveying_rule(s);
    if (!rule || !asks_for_survey(s, rule))
        return;
    size_t open = 0, areas = 0, areas_open = 0;
    for (size_t i = 0; i < s->extents.n; i++)
        open += !s->extents.v[i].closed;
    const char *each = areas_text(a, s, rule, &areas, &areas_open);
    bool shown = s->extents.n > 0 && open == 0 && areas_open == 0;
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
    const char *ended = mr_printf(a->arena,
                                  "Every direction (%zu) ends in conforming spots or at the edge of the surface: the "
                                  "extent is known.",
                                  s->extents.n);
    c.detail = shown                   ? ended
               : s->extents.n && !open ? "Not every failing area has a survey that names it."
               : s->extents.n
                   ? mr_printf(a->arena, "%zu of %zu directions do not yet end in %zu conforming spots in a row.",
                               open, s->extents.n, rule->ends_after)
                   : "No survey around the failing area has been made, so its extent is not known.";
    if (s->extents.n)
        c.detail = mr_printf(a->arena, "%s %s", c.detail, each);
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
        {"area", "Failing area", MR_UNIT_NONE, 0},
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
                *e->area_id ? mr_v_text(e->area_id) : mr_v_blank("the survey names none"),
            };
            mr_table_add(arena, table, row);
        }
    if (table->n_rows)
        mr_add_table(t->a, table);
}
