/*
 * thickness_checks.c - verdicts of the counting survey as checks.
 *
 * One check for each limit of each rule, and one for each rule that lays down how many are to be measured. While a
 * survey is short of that number, limits that hold so far are not shown: what was not measured cannot conform. A
 * missed limit does not conform, however few readings there are.
 */
#include "assess/thickness/thickness.h"

#include <math.h>

static struct mr_check film_check(const struct mr_subject *s, const char *id, const char *title) {
    return (struct mr_check){.id = id,
                             .title = title,
                             .group = "thickness",
                             .zone = s->zone,
                             .coat = s->coat,
                             .measured = MR_NAN,
                             .limit_low = MR_NAN,
                             .limit_high = MR_NAN,
                             .unit = s->unit,
                             .decimals = mr_film_decimals(s->unit),
                             .detail = "",
                             .rule = "",
                             .source = ""};
}

static const char *titled(struct mr_assess *a, const struct mr_subject *s, const char *title) {
    return s->coat ? mr_printf(a->arena, "%s, coat %d", title, s->coat) : title;
}

static const char *rule_source(struct mr_assess *a, const struct mr_rule *rule, const char *clause) {
    return mr_printf(a->arena, "%s (%s)%s%s", rule->source, rule->edition, *clause ? ", " : "", clause);
}

/* Lines behind the values that miss the limit; where none does, behind the worst one. */
static void add_value_evidence(struct mr_assess *a, const struct mr_subject *s, const struct mr_rule_verdict *v,
                               mr_evidence_list *list) {
    const struct mr_film *film = &s->counting->film;
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->n);
    size_t n = 0;
    if (v->failing == 0) {
        if (v->worst != MR_NONE)
            n = mr_value_lines(film, v->limit, v->worst, lines);
        mr_add_lines(a, list, lines, n, 12,
                     mr_printf(a->arena, "the value nearest to the limit: %s",
                               v->worst == MR_NONE ? "none" : mr_value_name(a, film, v->limit, v->worst)));
        return;
    }
    for (size_t i = 0; i < mr_rule_values(film, v->limit); i++) {
        struct mr_ratio value;
        if (mr_rule_value(film, v->rule, v->limit, &s->limits, i, &value) == MR_VALUE_MISSES)
            n += mr_value_lines(film, v->limit, i, lines + n);
    }
    mr_add_lines(a, list, lines, n, 0, "readings behind the values that miss the limit");
}

static const char *const value_noun[] = {"reading", "spot", "area", "mean"};

static const char *verdict_detail(struct mr_assess *a, const struct mr_subject *s, const struct mr_rule_verdict *v,
                                  int decimals) {
    const struct mr_rule_limit *l = v->limit;
    if (v->missing) {
        const char *custom =
            v->beyond_customary
                ? mr_printf(a->arena, " %s above %g %% of the minimum, the customary figure where none is stated.",
                            mr_count_text(a, v->beyond_customary, "reading"), (double)l->customary / 1000)
                : "";
        return mr_printf(a->arena, "The specification states no %s.%s", l->of_maximum ? "maximum" : "minimum",
                         custom);
    }
    bool means = l->value == MR_RULE_READING && v->incomplete > 0;
    if (v->judged == 0 && means)
        return mr_printf(a->arena, "The rule judges single readings, and %s of several readings only.",
                         v->incomplete == 1 ? "the only row gives the mean"
                                            : mr_printf(a->arena, "all %zu rows give means", v->incomplete));
    if (v->judged == 0)
        return mr_printf(a->arena, "None of the %s is complete, so none was judged.",
                         mr_count_text(a, v->incomplete, value_noun[l->value]));
    const char *extreme = mr_printf(a->arena, "the %s is %.*f %s (%s)", l->upper ? "greatest" : "least", decimals,
                                    mr_ratio_in(v->worst_value, s->unit), mr_unit_symbol(s->unit),
                                    mr_value_name(a, &s->counting->film, l, v->worst));
    const char *many = v->failing ? mr_printf(a->arena, "%zu", v->failing) : "None";
    const char *text =
        mr_printf(a->arena, "%s of %s %s %s %.*f %s; %s.", many, mr_count_text(a, v->judged, value_noun[l->value]),
                  v->failing > 1 ? "are" : "is", l->upper ? "above" : "below", decimals,
                  mr_ratio_in(v->limit_value, s->unit), mr_unit_symbol(s->unit), extreme);
    if (l->shared && v->failing)
        text = mr_printf(a->arena, "%s That is %.4g %%.", text, 100.0 * (double)v->failing / (double)v->judged);
    if (means)
        text = mr_printf(a->arena, "%s Not judged, because the rule judges single readings: %s that %s.", text,
                         mr_count_text(a, v->incomplete, "row"), v->incomplete == 1 ? "gives a mean" : "give means");
    else if (v->incomplete)
        text = mr_printf(a->arena, "%s Incomplete and not judged: %s.", text,
                         mr_count_text(a, v->incomplete, value_noun[l->value]));
    return text;
}

static void add_limit_check(struct mr_assess *a, const struct mr_subject *s, const struct mr_rule_verdict *v,
                            bool enough) {
    struct mr_check c =
        film_check(s, mr_printf(a->arena, "thickness.%s", v->limit->id), titled(a, s, v->limit->title));
    c.rule = mr_limit_text(a, v);
    c.source = rule_source(a, v->rule, v->limit->clause);
    c.outcome = v->outcome;
    double limit = v->missing ? MR_NAN : mr_ratio_in(v->limit_value, s->unit);
    c.measured = v->worst == MR_NONE ? MR_NAN : mr_ratio_in(v->worst_value, s->unit);
    c.decimals = mr_telling_decimals(c.measured, limit, c.decimals);
    if (v->limit->upper)
        c.limit_high = limit;
    else
        c.limit_low = limit;
    c.detail = verdict_detail(a, s, v, c.decimals);
    if (v->limit->shared && !v->missing && v->judged > 0) { /* what is judged is the share, not the worst value */
        c.measured = 100.0 * (double)v->failing / (double)v->judged;
        c.unit = MR_UNIT_PCT;
        c.limit_low = MR_NAN;
        c.limit_high = (double)(s->limits.strict ? v->limit->share : v->limit->share_lenient) / 1000;
        c.decimals = mr_telling_decimals(c.measured, c.limit_high, 1);
    }
    if (c.outcome == MR_CONFORMS && !enough) {
        c.outcome = MR_NOT_SHOWN;
        c.detail = mr_printf(
            a->arena,
            "%s What was measured is within the limit, but fewer measurements were taken than the rule requires.",
            c.detail);
    }
    if (c.outcome == MR_CONFORMS && v->short_missing > 0) {
        c.outcome = MR_NOT_SHOWN;
        c.detail = mr_printf(a->arena, "%s Incomplete and outside the limit so far: %s.", c.detail,
                             mr_count_text(a, v->short_missing, "spot"));
    }
    add_value_evidence(a, s, v, &c.evidence);
    mr_add_check(a, &c);
}

/* What is counted by a rule: areas with their spots and readings, or readings alone. */
static const char *count_text(struct mr_assess *a, const struct mr_rule *rule, const struct mr_need *n) {
    if (rule->counts_areas)
        return mr_printf(a->arena, "%s, %s, %s", mr_count_text(a, n->areas, "area"),
                         mr_count_text(a, n->spots, "spot"), mr_count_text(a, n->readings, "reading"));
    return mr_count_text(a, n->readings, "reading");
}

static size_t short_of(size_t need, size_t taken) {
    return need > taken ? need - taken : 0;
}

static void add_too_few(struct mr_assess *a, const struct mr_check *c, const struct mr_subject *s, const char *left) {
    struct mr_finding f = {.id = "too-few-readings",
                           .severity = MR_WARNING,
                           .zone = s->zone,
                           .coat = s->coat,
                           .t0_utc_ms = s->counting ? s->counting->t0_utc_ms : MR_T_NONE,
                           .t1_utc_ms = s->counting ? s->counting->t1_utc_ms : MR_T_NONE,
                           .what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c->detail),
                           .measured = c->measured,
                           .limit = c->limit_low,
                           .unit = MR_UNIT_NONE,
                           .rule = c->rule,
                           .source = c->source,
                           .next_step = left,
                           .evidence = c->evidence};
    mr_add_finding(a, &f);
}

static bool add_enough_check(struct mr_assess *a, const struct mr_subject *s, const struct mr_rule *rule) {
    if (!rule->sampled)
        return true;
    struct mr_check c = film_check(s, "thickness.enough", titled(a, s, "Number of measurements"));
    struct mr_need need = mr_rule_need(rule, s->z->area_m2, s->us, mr_spot_number(s->z->settings, rule),
                                       mr_area_number(s->z->settings, rule)),
                   taken = {.known = true};
    if (s->counting)
        taken = mr_rule_taken(&s->counting->film, rule);
    struct mr_need left = {short_of(need.areas, taken.areas), short_of(need.spots, taken.spots),
                           short_of(need.readings, taken.readings), true};
    bool enough = need.known && left.areas == 0 && left.spots == 0 && left.readings == 0 && s->counting;
    c.rule = mr_printf(a->arena, "%s, number of measurements", rule->title);
    c.source = rule_source(a, rule, rule->sampling_clause);
    c.unit = MR_UNIT_NONE;
    c.decimals = 0;
    c.outcome = enough ? MR_CONFORMS : MR_NOT_SHOWN;
    c.measured = (double)(rule->counts_areas ? taken.areas : taken.readings);
    c.limit_low = need.known ? (double)(rule->counts_areas ? need.areas : need.readings) : MR_NAN;
    const char *next = "State the zone's area in the zone register.";
    if (!need.known)
        c.detail =
            mr_printf(a->arena, "The number required depends on the zone's area, which is not known. Taken: %s.",
                      count_text(a, rule, &taken));
    else
        c.detail = mr_printf(a->arena, "Required at %s: %s. Taken: %s.",
                             s->us ? mr_printf(a->arena, "%.6g ft2", mr_from_canonical(MR_UNIT_FT2, s->z->area_m2))
                                   : mr_printf(a->arena, "%.6g m2", s->z->area_m2),
                             count_text(a, rule, &need), count_text(a, rule, &taken));
    if (!enough && need.known)
        next = mr_printf(a->arena, "Still to be measured: %s.", count_text(a, rule, &left));
    mr_add_evidence(a, &c.evidence, s->z->place, "zone register");
    mr_add_check(a, &c);
    if (!enough)
        add_too_few(a, &c, s, next);
    return enough;
}

/* Numbers that the job states itself: where only a document's wording, a drawing or an agreement settles them. */
static bool add_stated_check(struct mr_assess *a, const struct mr_subject *s) {
    static const struct {
        enum mr_setting_id id;
        const char *what, *noun;
    } rows[] = {{MR_DFT_AREAS_REQUIRED, "areas required", "area"},
                {MR_DFT_READINGS_REQUIRED, "readings required", "reading"}};
    bool all = true;
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const struct mr_setting *set = &s->z->settings->v[rows[i].id];
        if (!set->set)
            continue;
        size_t taken = mr_stated_taken(s->counting ? &s->counting->film : NULL, i == 0);
        struct mr_check c =
            film_check(s, "thickness.enough-stated", titled(a, s, "Measured as often as the job states"));
        bool enough = (double)taken >= set->value;
        c.outcome = enough ? MR_CONFORMS : MR_NOT_SHOWN;
        c.measured = (double)taken;
        c.limit_low = set->value;
        c.unit = MR_UNIT_NONE;
        c.decimals = 0;
        c.rule = rows[i].what;
        c.source = mr_source_of(a, s->z->settings, rows[i].id);
        c.detail = mr_printf(a->arena, "Required by the job: %g. Taken: %s.", set->value,
                             mr_count_text(a, taken, rows[i].noun));
        mr_add_evidence(a, &c.evidence, set->place, "number as stated");
        mr_add_check(a, &c);
        if (!enough)
            add_too_few(a, &c, s,
                        mr_printf(a->arena, "Still to be measured: %s.",
                                  mr_count_text(a, (size_t)ceil(set->value) - taken, rows[i].noun)));
        all = all && enough;
    }
    return all;
}

static void add_undivided(struct mr_assess *a, const struct mr_subject *s, const struct mr_rule *rule) {
    if (!(s->z->area_m2 > rule->divide_m2))
        return;
    enum mr_unit area = a->job->display.area;
    struct mr_finding f = mr_blank_finding("zone-to-be-divided", MR_WARNING, s->zone, s->coat);
    f.measured = mr_from_canonical(area, s->z->area_m2);
    f.limit = mr_from_canonical(area, rule->divide_m2);
    f.unit = area;
    f.what = mr_printf(
        a->arena, "%s has %.6g %s; under the %s areas above %.6g %s are divided. It is counted as equal parts.",
        mr_subject_text(a, s), f.measured, mr_unit_symbol(area), rule->title, f.limit, mr_unit_symbol(area));
    f.rule = rule->title;
    f.source = mr_printf(a->arena, "%s, from memory", rule->source);
    f.next_step = "Divide the zone in the zone register, or have the inspector agree to it as it is.";
    mr_add_evidence(a, &f.evidence, s->z->place, "zone register");
    mr_add_finding(a, &f);
}

static void add_no_readings(struct mr_assess *a, const struct mr_subject *s) {
    struct mr_check c = film_check(s, "thickness.readings", titled(a, s, "Thickness readings"));
    c.outcome = MR_NOT_SHOWN;
    c.rule = "what the specification limits must be measured";
    c.source = MR_SRC_PD;
    c.detail = s->coat ? mr_printf(a->arena, "There are no readings taken after coat %d.", s->coat)
                       : "There are no readings of the finished film.";
    mr_add_evidence(a, &c.evidence, s->z->place, "zone register");
    mr_add_check(a, &c);
    struct mr_finding f = {.id = "no-readings",
                           .severity = MR_WARNING,
                           .zone = s->zone,
                           .coat = s->coat,
                           .t0_utc_ms = MR_T_NONE,
                           .t1_utc_ms = MR_T_NONE,
                           .what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c.detail),
                           .measured = MR_NAN,
                           .limit = MR_NAN,
                           .rule = c.rule,
                           .source = c.source,
                           .next_step = "Add the gauge's export to the job folder, or measure the zone.",
                           .evidence = c.evidence};
    mr_add_finding(a, &f);
}

void mr_thickness_checks(struct mr_thickness *t, struct mr_subject *s) {
    struct mr_assess *a = t->a;
    if (!s->limits.has_min && !s->limits.has_max) {
        struct mr_check c = film_check(s, "thickness.limits", titled(a, s, "Film thickness limits"));
        c.outcome = MR_NOT_REQUIRED;
        c.rule = "limits are stated by the specification";
        c.source = MR_SRC_JOB;
        c.detail =
            "The specification states neither a minimum nor a maximum, so the readings are shown but not judged.";
        mr_add_check(a, &c);
        return;
    }
    if (!s->counting)
        add_no_readings(a, s);
    mr_repeated_spots_check(a, s);
    mr_spot_twice_check(a, s);
    mr_taken_off_check(a, s);
    mr_unlogged_repairs_check(a, s);
    bool stated = add_stated_check(a, s);
    stated = mr_places_hold(t, s) && stated;
    for (size_t r = 0; r < s->rules->n; r++) {
        const struct mr_rule *rule = s->rules->v[r];
        bool enough = add_enough_check(a, s, rule) && stated;
        add_undivided(a, s, rule);
        for (size_t i = 0; s->counting && i < rule->limits.n; i++)
            add_limit_check(a, s, &s->counting->verdicts[r][i], enough);
    }
}
