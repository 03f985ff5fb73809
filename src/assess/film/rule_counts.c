/*
 * rule_counts.c - how many areas, spots and readings a rule set asks for, by its tiers and the zone's area.
 */
#include "assess/film/rules.h"

#include <math.h>

/* A count of a decimal area: twelve digits are kept, so that 12 500 ft2 that went through m2 is 12 500 ft2 again. */
static double as_written(double value) {
    if (!(value > 0))
        return 0;
    double unit = pow(10, 11 - floor(log10(value)));
    return round(value * unit) / unit;
}

/* A tier without figures of area serves both systems of units. */
static bool is_open(const struct mr_rule_tier *t) {
    return t->plus <= 0 && t->up_to >= HUGE_VAL;
}

struct mr_need mr_rule_need(const struct mr_rule *rule, double area_m2, bool us, size_t per_spot, size_t per_area) {
    struct mr_need need = {.known = true};
    if (!rule->sampled)
        return need;
    if (!(area_m2 > 0))
        return (struct mr_need){.known = false};
    bool has_us = false, has_si = false;
    for (size_t i = 0; i < rule->tiers.n; i++) {
        has_us = has_us || rule->tiers.v[i].us;
        has_si = has_si || (!rule->tiers.v[i].us && !is_open(&rule->tiers.v[i]));
    }
    us = has_us && (us || !has_si);
    /* what is to be divided is counted as if it were, in equal parts: leaving it whole must not save measurements */
    const double divided = area_m2 > rule->divide_m2 ? ceil(as_written(area_m2 / rule->divide_m2)) : 1;
    double area = as_written((us ? mr_from_canonical(MR_UNIT_FT2, area_m2) : area_m2) / divided), count = 0;
    for (size_t i = 0; i < rule->tiers.n; i++) {
        const struct mr_rule_tier *t = &rule->tiers.v[i];
        if ((t->us != us && !is_open(t)) || area > t->up_to)
            continue;
        double part = t->plus > 0 ? fmax(0, ceil(as_written((area - t->beyond) / t->per))) : 0;
        count = divided * (t->base + t->plus * part);
        break;
    }
    per_spot = rule->readings_per_spot > per_spot ? rule->readings_per_spot : per_spot;
    per_area = rule->spots_per_area > per_area ? rule->spots_per_area : per_area;
    if (rule->counts_areas) {
        need.areas = (size_t)count;
        need.spots = need.areas * per_area;
        need.readings = need.spots * per_spot;
    } else {
        need.readings = (size_t)count;
    }
    return need;
}
