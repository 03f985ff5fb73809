/*
 * thickness_findings.c - what a reviewer must know about the film of one subject.
 */
#include "assess/thickness/thickness.h"

#include <math.h>

static struct mr_finding film_finding(const struct mr_subject *s, const char *id, enum mr_severity severity) {
    return (struct mr_finding){.id = id,
                               .severity = severity,
                               .zone = s->zone,
                               .coat = s->coat,
                               .t0_utc_ms = s->counting->t0_utc_ms,
                               .t1_utc_ms = s->counting->t1_utc_ms,
                               .measured = MR_NAN,
                               .limit = MR_NAN,
                               .unit = s->unit,
                               .decimals = mr_film_decimals(s->unit),
                               .rule = "",
                               .source = ""};
}

/* Every missed limit of one side in one sentence, evidence from all of them. */
static void add_missed(struct mr_assess *a, const struct mr_subject *s, const struct mr_shortfall *b, const char *id,
                       const char *word) {
    if (!b->verdict)
        return;
    struct mr_finding f = film_finding(s, id, MR_ERROR);
    const struct mr_film *film = &s->counting->film;
    const struct mr_rule_verdict *main = b->verdict;
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->n);
    f.measured = mr_ratio_in(main->worst_value, s->unit);
    f.limit = mr_ratio_in(main->limit_value, s->unit);
    f.decimals = mr_telling_decimals(f.measured, f.limit, f.decimals);
    f.rule = mr_limit_text(a, main);
    f.source = mr_printf(a->arena, "%s (%s)%s%s", main->rule->source, main->rule->edition,
                         *main->limit->clause ? ", " : "", main->limit->clause);
    const char *also = "";
    for (size_t r = 0; r < s->rules->n; r++)
        for (size_t i = 0; i < s->rules->v[r]->limits.n; i++) {
            const struct mr_rule_verdict *v = &s->counting->verdicts[r][i];
            if (v->outcome != MR_DOES_NOT_CONFORM || v->limit->upper != main->limit->upper)
                continue;
            if (v != main)
                also = mr_printf(a->arena, "%s%s%s, %s (%zu of %zu)", also,
                                 *also ? "; " : " Missed as well: ", v->rule->title, v->limit->title, v->failing,
                                 v->judged);
            size_t n = 0;
            for (size_t k = 0; v == main && k < mr_rule_values(film, v->limit); k++) {
                struct mr_ratio value;
                if (mr_rule_value(film, v->rule, v->limit, &s->limits, k, &value) == MR_VALUE_MISSES)
                    n += mr_value_lines(film, v->limit, k, lines + n);
            }
            mr_add_lines(a, &f.evidence, lines, n, 0,
                         mr_printf(a->arena, "readings behind what misses the limit: %s", v->limit->title));
        }
    f.what = mr_printf(a->arena, "%s is %s: %s is %.*f %s, the limit is %.*f %s.%s%s", mr_subject_text(a, s), word,
                       mr_value_name(a, film, main->limit, main->worst), f.decimals, f.measured,
                       mr_unit_symbol(s->unit), f.decimals, f.limit, mr_unit_symbol(s->unit), also, *also ? "." : "");
    f.next_step = s->accepted
                      ? mr_printf(a->arena, "Nothing to repair: the film was %s. It does not conform all the same.",
                                  mr_acceptance_text(a, s->accepted))
                      : mr_shortfall_text(a, s, b);
    mr_add_finding(a, &f);
}

static void add_discarded(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film *film = &s->counting->film;
    if (film->n_discarded == 0)
        return;
    struct mr_finding f = film_finding(s, "discarded-readings", MR_NOTE);
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->n_discarded);
    size_t n = 0;
    for (size_t i = 0; i < film->n; i++)
        if (film->readings[i].discarded)
            lines[n++] = (struct mr_line){film->readings[i].file, film->readings[i].line};
    f.what = mr_printf(
        a->arena, "%s: %s that did not repeat, left out under the rules that allow it and kept under the others.",
        mr_subject_text(a, s), mr_count_text(a, n, "unusual reading"));
    f.rule = "unusually high or low readings that do not repeat are discarded first";
    f.source = "SSPC-PA 2 section 3.2 (2012); how far off is unusual: project decision";
    f.measured = (double)n;
    f.unit = MR_UNIT_NONE;
    f.decimals = 0;
    f.next_step = "Inspect the places listed: a blister or a run gives such readings too.";
    mr_add_lines(a, &f.evidence, lines, n, 0, "left out");
    mr_add_finding(a, &f);
}

/* Nobody says which readings are of one spot: taken otherwise, the same readings may give other means. */
static void add_by_order(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film *film = &s->counting->film;
    if (film->spots_by_id || film->spots.n < 2)
        return;
    struct mr_finding f = film_finding(s, "spots-by-order", MR_NOTE);
    f.what =
        mr_printf(a->arena, "%s: the export names no spots; its readings are taken in their order, %s to a spot.",
                  mr_subject_text(a, s), mr_count_text(a, film->spots.v[0].taken, "reading"));
    f.rule = "readings of one spot stand together";
    f.source = MR_SRC_PD;
    f.next_step = "Compare with the survey as it was walked; number the spots in the gauge where it can.";
    mr_add_finding(a, &f);
}

/* Readings that complete no spot (mr_film_doubt). */
static void add_doubted(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film *film = &s->counting->film;
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->n);
    const char *which = "";
    size_t n = 0;
    for (size_t i = 0; i < film->n; i++) {
        const struct mr_film_reading *r = &film->readings[i];
        const struct mr_film_spot *spot = &film->spots.v[r->spot];
        if (!r->unusual || r->discarded || spot->doubted == 0)
            continue;
        if (n < 5)
            which = mr_printf(a->arena, "%s%s%s where the others of spot %s, area %s, show %s", which, n ? "; " : "",
                              mr_film_text(a, mr_ratio_um((struct mr_ratio){r->quanta, 1}), s->unit), spot->name,
                              film->areas.v[spot->area].name,
                              mr_film_text(a, mr_ratio_um((struct mr_ratio){r->others, 1}), s->unit));
        lines[n++] = (struct mr_line){r->file, r->line};
    }
    if (n == 0)
        return;
    struct mr_finding f = film_finding(s, "reading-not-repeated", MR_WARNING);
    f.what = mr_printf(a->arena, "%s: %s beyond the limit for a spot and repeated by none: %s.",
                       mr_subject_text(a, s), mr_count_text(a, n, "reading"), which);
    f.measured = (double)n;
    f.unit = MR_UNIT_NONE;
    f.decimals = 0;
    f.rule = "an unusual reading that does not repeat counts in the mean of its spot, not toward the spot's number";
    f.source = "SSPC-PA 2 section 3.2 (2012); how far off is unusual: project decision";
    f.next_step = "Take one more reading at each of these spots, and look for a blister, a run or bare steel there.";
    mr_add_lines(a, &f.evidence, lines, n, 12, "readings not repeated");
    mr_add_finding(a, &f);
}

/* Spots and areas with too few parts, in the sense of the first rule that counts them. */
static void add_incomplete(struct mr_assess *a, const struct mr_subject *s) {
    for (size_t r = 0; r < s->rules->n; r++)
        for (size_t i = 0; i < s->rules->v[r]->limits.n; i++) {
            const struct mr_rule_verdict *v = &s->counting->verdicts[r][i];
            if (v->incomplete == 0 || v->limit->value != MR_RULE_SPOT)
                continue;
            struct mr_finding f = film_finding(s, "incomplete-spots", MR_WARNING);
            const struct mr_film *film = &s->counting->film;
            struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->n);
            size_t n = 0;
            for (size_t k = 0; k < film->spots.n; k++) {
                struct mr_ratio value;
                if (mr_rule_value(film, v->rule, v->limit, &s->limits, k, &value) == MR_VALUE_INCOMPLETE)
                    n += mr_value_lines(film, v->limit, k, lines + n);
            }
            f.what = mr_printf(
                a->arena, "%s: %zu of %zu spots %s fewer readings than %s requires; %s neither judged nor averaged.",
                mr_subject_text(a, s), v->incomplete, film->spots.n, v->incomplete == 1 ? "has" : "have",
                v->rule->title, v->incomplete == 1 ? "it is" : "they are");
            f.rule = mr_printf(a->arena, "%s, readings in a spot", v->rule->title);
            f.source = mr_printf(a->arena, "%s (%s)", v->rule->source, v->rule->edition);
            f.measured = (double)v->incomplete;
            f.unit = MR_UNIT_NONE;
            f.decimals = 0;
            f.next_step =
                "Measure these spots again with the full number of readings, or set `readings per spot` and "
                "`spot gap` as the crew works.";
            mr_add_lines(a, &f.evidence, lines, n, 0, "readings in incomplete spots");
            mr_add_finding(a, &f);
            return;
        }
}

/* Spots short of readings whose readings so far miss a limit: what they still want settles it. */
static void add_short_missing(struct mr_assess *a, const struct mr_subject *s, const struct mr_rule_verdict *v) {
    const struct mr_film *film = &s->counting->film;
    struct mr_finding f = film_finding(s, "incomplete-spot-out-of-limits", MR_WARNING);
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->n);
    const char *wanted = "";
    size_t n = 0, named = 0;
    for (size_t i = 0; i < film->spots.n; i++) {
        struct mr_ratio value;
        if (mr_rule_value(film, v->rule, v->limit, &s->limits, i, &value) != MR_VALUE_INCOMPLETE ||
            !mr_rule_is_beyond(v->limit, &s->limits, value))
            continue;
        size_t want = mr_spot_number(s->z->settings, v->rule) + film->spots.v[i].doubted - film->spots.v[i].taken;
        n += mr_value_lines(film, v->limit, i, lines + n);
        f.measured = mr_ratio_in(value, s->unit);
        if (named++ < 5)
            wanted = mr_printf(a->arena, "%s%s%s is %.*f %s and needs %s", wanted, *wanted ? "; " : "",
                               mr_value_name(a, film, v->limit, i), f.decimals, f.measured, mr_unit_symbol(s->unit),
                               mr_count_text(a, want, "more reading"));
    }
    f.limit = mr_ratio_in(v->limit_value, s->unit);
    f.rule = mr_limit_text(a, v);
    f.source = v->rule->source;
    f.what = mr_printf(a->arena, "%s: %s outside the limit of %.*f %s: %s.", mr_subject_text(a, s),
                       mr_count_text(a, v->short_missing, "incomplete spot"), f.decimals, f.limit,
                       mr_unit_symbol(s->unit), wanted);
    f.next_step = "Measure these spots again with the full number of readings.";
    mr_add_lines(a, &f.evidence, lines, n, 12, "readings in incomplete spots");
    mr_add_finding(a, &f);
}

static void add_all_short_missing(struct mr_assess *a, const struct mr_subject *s) {
    for (size_t r = 0; r < s->rules->n; r++)
        for (size_t i = 0; i < s->rules->v[r]->limits.n; i++)
            if (s->counting->verdicts[r][i].short_missing > 0)
                add_short_missing(a, s, &s->counting->verdicts[r][i]);
}

/* A number of the job's that a rule forbids is refused, not followed in silence. */
static void add_refused_number(struct mr_assess *a, const struct mr_subject *s) {
    static const struct {
        enum mr_setting_id id;
        const char *what;
    } numbers[] = {{MR_DFT_GAGE_PER_SPOT, "readings per spot"}, {MR_DFT_SPOT_PER_AREA, "spots per area"}};
    for (size_t r = 0; r < s->rules->n; r++)
        for (size_t i = 0; i < MR_COUNT(numbers); i++) {
            const struct mr_rule *rule = s->rules->v[r];
            const struct mr_setting *set = &s->z->settings->v[numbers[i].id];
            size_t own = i ? rule->spots_per_area : rule->readings_per_spot;
            if (!set->from_job || set->value >= (double)own)
                continue;
            struct mr_finding f = film_finding(s, "number-refused", MR_WARNING);
            f.what = mr_printf(a->arena, "%s: `%s = %g` is refused: %s requires at least %zu.", mr_subject_text(a, s),
                               numbers[i].what, set->value, rule->title, own);
            f.measured = set->value;
            f.limit = (double)own;
            f.unit = MR_UNIT_NONE;
            f.decimals = 0;
            f.rule = mr_printf(a->arena, "%s, %s", rule->title, numbers[i].what);
            f.source = mr_printf(a->arena, "%s (%s)%s%s", rule->source, rule->edition,
                                 *rule->number_clause ? ", " : "", rule->number_clause);
            f.next_step = "Remove the line from the job file, or name another rule set.";
            mr_add_evidence(a, &f.evidence, set->place, "number as stated");
            mr_add_finding(a, &f);
        }
}

static void add_close(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film_stats *st = &s->stats;
    double wanted = mr_set_num(s->z->settings, MR_DFT_PROBABILITY) / 100;
    if (isnan(st->p_mean) || st->p_mean >= wanted || s->counting->fails)
        return;
    struct mr_finding f = film_finding(s, "close-case", MR_NOTE);
    const char *more =
        st->more == MR_MORE_SPOTS
            ? mr_printf(a->arena, "About %s more would decide it.", mr_count_text(a, st->more_spots, "spot"))
        : st->more == MR_MORE_NEVER
            ? "No number of readings with this gauge would decide it: its own uncertainty is the limit."
            : "Measure more spots.";
    f.what = mr_printf(
        a->arena, "%s is a close case: with the gauge's uncertainty the true mean conforms with probability %.3f.",
        mr_subject_text(a, s), st->p_mean);
    f.measured = 100 * st->p_mean;
    f.limit = 100 * wanted;
    f.unit = MR_UNIT_PCT;
    f.decimals = 1;
    f.rule = "probability of conformance, normal";
    f.source = "JCGM 106:2012, 7.4";
    f.next_step = more;
    mr_add_finding(a, &f);
}

/* A rule's own system of units is used on its own; readings in the other one were converted exactly, which a reader
 * should know. */
static void add_mixed_units(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film *film = &s->counting->film;
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->n);
    size_t n = 0;
    for (size_t i = 0; i < film->n; i++) {
        enum mr_unit unit = a->aligned->readings.v[film->readings[i].at].reading->unit;
        bool us = unit == MR_UNIT_MIL || unit == MR_UNIT_FILM_IN;
        if (us != s->us)
            lines[n++] = (struct mr_line){film->readings[i].file, film->readings[i].line};
    }
    if (n == 0 || (!s->limits.has_min && !s->limits.has_max))
        return;
    struct mr_finding f = film_finding(s, "units-differ", MR_NOTE);
    f.what = mr_printf(
        a->arena,
        "%s: %s in a different system of units from the specification's %s, converted exactly (1 mil = 25.4 µm).",
        mr_subject_text(a, s), mr_count_text(a, n, "reading"), mr_unit_symbol(s->unit));
    f.rule = "one system of units on its own";
    f.source = "SSPC-PA 2 section 1.5 (2015)";
    f.next_step = "Set the gauge to the specification's unit, so that its rounding is the specification's.";
    mr_add_lines(a, &f.evidence, lines, n, 6, "readings in the other system");
    mr_add_finding(a, &f);
}

static void add_customary(struct mr_assess *a, const struct mr_subject *s) {
    for (size_t r = 0; r < s->rules->n; r++)
        for (size_t i = 0; i < s->rules->v[r]->limits.n; i++) {
            const struct mr_rule_verdict *v = &s->counting->verdicts[r][i];
            if (v->beyond_customary == 0)
                continue;
            struct mr_finding f = film_finding(s, "beyond-customary-maximum", MR_WARNING);
            f.what = mr_printf(a->arena,
                               "%s: %s above %g %% of the minimum. The specification states no maximum, so "
                               "nothing is judged.",
                               mr_subject_text(a, s), mr_count_text(a, v->beyond_customary, "reading"),
                               (double)v->limit->customary / 1000);
            f.measured = (double)v->beyond_customary;
            f.unit = MR_UNIT_NONE;
            f.decimals = 0;
            f.rule = "where no maximum is stated, 3 x the minimum is customary";
            f.source = "Vereniging Qualion, August 2012; ISO 12944-5";
            f.next_step = "Ask the specifier for a maximum, or consult the supplier's written instructions.";
            mr_add_finding(a, &f);
            return;
        }
}

static void add_accepted(struct mr_assess *a, const struct mr_subject *s) {
    if (!s->accepted)
        return;
    struct mr_finding f = film_finding(s, "accepted-as-is", MR_WARNING);
    f.what = mr_printf(a->arena, "%s: a film that misses a limit was %s.", mr_subject_text(a, s),
                       mr_acceptance_text(a, s->accepted));
    f.rule = "accepting a film as it is closes its non-conformance; the zone still does not conform";
    f.source = MR_SRC_PD;
    f.unit = MR_UNIT_NONE;
    f.next_step = "Attach the written agreement of those whom the contract names for such a decision.";
    mr_add_evidence(a, &f.evidence, s->accepted->place, "disposition");
    mr_add_finding(a, &f);
}

void mr_thickness_findings(struct mr_thickness *t, struct mr_subject *s) {
    struct mr_assess *a = t->a;
    if (!s->counting)
        return;
    add_missed(a, s, &s->thin, s->coat ? "thin-coat" : "thin-zone", "thin");
    add_missed(a, s, &s->thick, s->coat ? "over-thick-coat" : "over-thick-zone", "over-thick");
    add_accepted(a, s);
    add_incomplete(a, s);
    add_doubted(a, s);
    add_all_short_missing(a, s);
    add_refused_number(a, s);
    add_customary(a, s);
    add_by_order(a, s);
    add_discarded(a, s);
    add_close(a, s);
    add_mixed_units(a, s);
}
