/*
 * shortfall.c - a shortfall or an excess in terms of the site: film, passes, material.
 *
 * Calculated from the coarsest value that misses its limit (mean, area, spot, reading), to the specified limit
 * itself, not to the 80 or 120 percent that a rule allows. One pass gives 3 to 6 mil (common practice, settings).
 * Material: volume = film x area / solids by volume, without losses; 1 µm over 1 m2 is 1 mL.
 */
#include "assess/thickness/thickness.h"

#include <math.h>

/* Mean, then area, then spot, then reading. */
static int coarseness(const struct mr_rule_limit *limit) {
    static const int order[] = {[MR_RULE_READING] = 0, [MR_RULE_SPOT] = 1, [MR_RULE_AREA] = 2, [MR_RULE_MEAN] = 3};
    return order[limit->value];
}

static double beyond_um(const struct mr_subject *s, const struct mr_rule_verdict *v, struct mr_ratio value) {
    struct mr_ratio gap =
        v->limit->upper ? mr_ratio_subtract(value, s->limits.max) : mr_ratio_subtract(s->limits.min, value);
    return mr_ratio_um(gap);
}

/* Shortfall or excess over the areas that miss, and the share of the zone that they stand for. */
static void spread_over_areas(const struct mr_subject *s, struct mr_shortfall *b) {
    const struct mr_rule_verdict *v = b->verdict;
    double sum = 0;
    size_t n = 0;
    b->area_m2 = b->mean_um = MR_NAN;
    if (v->limit->value != MR_RULE_AREA && v->limit->value != MR_RULE_MEAN)
        return;
    for (size_t i = 0; i < mr_rule_values(&s->counting->film, v->limit); i++) {
        struct mr_ratio value;
        if (mr_rule_value(&s->counting->film, v->rule, v->limit, &s->limits, i, &value) != MR_VALUE_MISSES)
            continue;
        sum += beyond_um(s, v, value);
        n++;
    }
    b->mean_um = sum / (double)n;
    b->area_m2 = s->z->area_m2 * (double)n / (double)v->judged;
}

static bool has_target(const struct mr_subject *s, const struct mr_rule_verdict *v) {
    return v->limit->upper ? s->limits.has_max : s->limits.has_min;
}

static void reckon(const struct mr_subject *s, bool upper, struct mr_shortfall *b) {
    *b = (struct mr_shortfall){.film_um = MR_NAN, .area_m2 = MR_NAN, .mean_um = MR_NAN, .volume_l = MR_NAN};
    for (size_t r = 0; s->counting && r < s->rules->n; r++)
        for (size_t i = 0; i < s->rules->v[r]->limits.n; i++) {
            const struct mr_rule_verdict *v = &s->counting->verdicts[r][i];
            if (v->outcome != MR_DOES_NOT_CONFORM || v->limit->upper != upper || !has_target(s, v))
                continue;
            b->missed++;
            bool coarser = !b->verdict || coarseness(v->limit) > coarseness(b->verdict->limit);
            bool worse = b->verdict && coarseness(v->limit) == coarseness(b->verdict->limit) &&
                         beyond_um(s, v, v->worst_value) > beyond_um(s, b->verdict, b->verdict->worst_value);
            if (coarser || worse)
                b->verdict = v;
        }
    if (!b->verdict)
        return;
    b->film_um = beyond_um(s, b->verdict, b->verdict->worst_value);
    double light = mr_set_num(s->z->settings, MR_DFT_PASS_MIN), heavy = mr_set_num(s->z->settings, MR_DFT_PASS_MAX);
    b->passes_low = heavy > 0 ? (size_t)fmax(1, ceil(b->film_um / heavy - 1e-9)) : 0;
    b->passes_high = light > 0 ? (size_t)fmax(1, ceil(b->film_um / light - 1e-9)) : 0;
    spread_over_areas(s, b);
    b->volume_l = b->mean_um * b->area_m2 / 1000 / (mr_set_num(s->z->settings, MR_SOLIDS) / 100);
}

void mr_shortfall_of(struct mr_subject *s) {
    reckon(s, false, &s->thin);
    reckon(s, true, &s->thick);
}

static const char *passes_text(struct mr_assess *a, const struct mr_subject *s, const struct mr_shortfall *b) {
    enum mr_unit unit = s->unit;
    const char *count = b->passes_low == b->passes_high
                            ? mr_printf(a->arena, "%zu", b->passes_low)
                            : mr_printf(a->arena, "%zu to %zu", b->passes_low, b->passes_high);
    return mr_printf(a->arena, "%s %s of %s to %s (common practice, no source)", count,
                     b->passes_high == 1 ? "pass" : "passes",
                     mr_film_text(a, mr_set_num(s->z->settings, MR_DFT_PASS_MIN), unit),
                     mr_film_text(a, mr_set_num(s->z->settings, MR_DFT_PASS_MAX), unit));
}

static const char *material_text(struct mr_assess *a, const struct mr_shortfall *b) {
    enum mr_unit volume = a->job->display.volume, area = a->job->display.area;
    if (isnan(b->volume_l))
        return "";
    return mr_printf(a->arena,
                     " Over the %.3g %s it represents (%s on average), that is about %.3g %s of mixed material "
                     "without losses.",
                     mr_from_canonical(area, b->area_m2), mr_unit_symbol(area),
                     mr_film_text(a, b->mean_um, a->job->display.film), mr_from_canonical(volume, b->volume_l),
                     mr_unit_symbol(volume));
}

const char *mr_shortfall_text(struct mr_assess *a, const struct mr_subject *s, const struct mr_shortfall *b) {
    const char *film = mr_film_text(a, b->film_um, s->unit);
    if (b == &s->thin)
        return mr_printf(a->arena,
                         "The worst shortfall below the specified minimum is %s: %s.%s Follow the supplier's written "
                         "instructions on whether and how to spray further coats, then measure the whole zone again.",
                         film, passes_text(a, s, b), material_text(a, b));
    return mr_printf(
        a->arena,
        "The worst excess over the specified maximum is %s, worth %s.%s The supplier's written instructions and the "
        "engineer decide whether it may stay or must be removed; then measure the whole zone again.",
        film, passes_text(a, s, b), material_text(a, b));
}
