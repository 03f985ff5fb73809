/*
 * rules_judge.c - films against the limits of a rule set. All comparisons are of exact numbers.
 *
 * The correction (base metal, profile, earlier coats) is subtracted from means, which are ratios; a share of the
 * limit is a ratio as well. A spot with fewer readings than the rule asks is no spot, an area with fewer such spots
 * no area: they are counted as incomplete and neither pass nor fail. A row that gives a mean is no single reading: a
 * limit on readings is not shown by it, and missed where the mean itself lies beyond.
 */
#include "assess/film/film.h"
#include "assess/film/rules.h"

static size_t per_spot(const struct mr_film *film, const struct mr_rule *rule) {
    size_t own = rule->readings_per_spot ? rule->readings_per_spot : film->per_spot;
    return film->stated_per_spot > own ? film->stated_per_spot : own;
}

static size_t per_area(const struct mr_film *film, const struct mr_rule *rule) {
    size_t own = rule->spots_per_area ? rule->spots_per_area : film->per_area;
    return film->stated_per_area > own ? film->stated_per_area : own;
}

size_t mr_rule_values(const struct mr_film *film, const struct mr_rule_limit *limit) {
    switch (limit->value) {
    case MR_RULE_READING:
        return film->n;
    case MR_RULE_SPOT:
        return film->spots.n;
    case MR_RULE_AREA:
        return film->areas.n;
    case MR_RULE_MEAN:
        break;
    }
    return film->n ? 1 : 0;
}

static struct mr_ratio mean_of_readings(const struct mr_film *film, bool kept) {
    mr_wide sum = 0, n = 0;
    for (size_t s = 0; s < film->spots.n; s++) {
        sum += kept ? film->spots.v[s].kept_sum : film->spots.v[s].sum;
        n += (mr_wide)(kept ? film->spots.v[s].kept_weight : film->spots.v[s].weight);
    }
    return mr_ratio_of(sum, n);
}

/* The mean of a spot's readings. Where a spot has more than it needs, a reading beyond the opposite limit cannot lift
 * it over this one: for a minimum the greatest readings above the maximum are left aside, for a maximum the least
 * ones below the minimum, as long as enough remain. */
static struct mr_ratio spot_mean(const struct mr_film *film, const struct mr_rule *rule, bool upper,
                                 const struct mr_film_limits *limits, size_t at) {
    const struct mr_film_spot *spot = &film->spots.v[at];
    size_t n = rule->discards ? spot->kept_weight : spot->weight, need = per_spot(film, rule);
    mr_wide sum = rule->discards ? spot->kept_sum : spot->sum;
    bool opposite = upper ? limits->has_min : limits->has_max;
    struct mr_ratio edge = {0, 1};
    if (opposite)
        edge = mr_ratio_add(upper ? limits->min : limits->max, limits->correction);
    const struct mr_film_reading *last = NULL;
    while (opposite && n > need) {
        const struct mr_film_reading *extreme = NULL;
        for (size_t i = spot->first; i < spot->first + spot->n; i++) {
            const struct mr_film_reading *r = &film->readings[i];
            int beyond = mr_ratio_compare((struct mr_ratio){r->quanta, 1}, edge);
            bool out = upper ? beyond < 0 : beyond > 0;
            bool before = last && (upper ? r->quanta < last->quanta : r->quanta > last->quanta);
            if (!out || before || n < need + mr_film_weight(r) || (last && r->quanta == last->quanta && r <= last) ||
                (rule->discards && r->discarded))
                continue;
            if (!extreme || (upper ? r->quanta < extreme->quanta : r->quanta > extreme->quanta))
                extreme = r;
        }
        if (!extreme)
            break;
        sum -= extreme->quanta * (mr_wide)mr_film_weight(extreme);
        n -= mr_film_weight(extreme);
        last = extreme;
    }
    return mr_ratio_of(sum, (mr_wide)n);
}

static struct mr_ratio area_mean(const struct mr_film *film, const struct mr_rule *rule, bool upper,
                                 const struct mr_film_limits *limits, size_t at, size_t *taken, size_t *firm) {
    const struct mr_film_area *area = &film->areas.v[at];
    struct mr_ratio sum = {0, 1};
    *taken = *firm = 0;
    for (size_t s = area->first; s < area->first + area->n; s++) {
        const struct mr_film_spot *spot = &film->spots.v[s];
        size_t n = rule->discards ? spot->kept : spot->taken, need = per_spot(film, rule);
        if (n < need)
            continue;
        *firm += n >= need + spot->doubted;
        sum = mr_ratio_add(sum, spot_mean(film, rule, upper, limits, s));
        ++*taken;
    }
    return *taken ? mr_ratio_divide(sum, (int64_t)*taken) : (struct mr_ratio){0, 1};
}

struct mr_ratio mr_rule_spot_mean(const struct mr_film *film, const struct mr_rule *rule, bool upper,
                                  const struct mr_film_limits *limits, size_t spot) {
    return mr_ratio_subtract(spot_mean(film, rule, upper, limits, spot), limits->correction);
}

struct mr_ratio mr_rule_area_mean(const struct mr_film *film, const struct mr_rule *rule, bool upper,
                                  const struct mr_film_limits *limits, size_t area) {
    size_t taken, firm;
    return mr_ratio_subtract(area_mean(film, rule, upper, limits, area, &taken, &firm), limits->correction);
}

static bool is_single(const struct mr_film_reading *r) {
    return mr_film_behind(r) == 1;
}

/* The value before correction, and whether it is complete. */
static enum mr_value_state value_of(const struct mr_film *film, const struct mr_rule *rule,
                                    const struct mr_rule_limit *limit, const struct mr_film_limits *limits, size_t i,
                                    struct mr_ratio *out) {
    size_t taken, firm, need;
    switch (limit->value) {
    case MR_RULE_READING:
        *out = (struct mr_ratio){film->readings[i].quanta, 1};
        if (rule->discards && film->readings[i].discarded)
            return MR_VALUE_LEFT_OUT;
        if (is_single(&film->readings[i]))
            return MR_VALUE_GOOD; /* one of the readings behind a mean lies at least as far out as the mean */
        return limit->shared ? MR_VALUE_INCOMPLETE : MR_VALUE_DOUBTED;
    case MR_RULE_SPOT:
        taken = rule->discards ? film->spots.v[i].kept : film->spots.v[i].taken;
        firm = taken - film->spots.v[i].doubted;
        need = per_spot(film, rule);
        *out = spot_mean(film, rule, limit->upper, limits, i);
        return taken < need ? MR_VALUE_INCOMPLETE : firm < need ? MR_VALUE_DOUBTED : MR_VALUE_GOOD;
    case MR_RULE_AREA:
        *out = area_mean(film, rule, limit->upper, limits, i, &taken, &firm);
        need = per_area(film, rule);
        return taken < need ? MR_VALUE_INCOMPLETE : firm < need ? MR_VALUE_DOUBTED : MR_VALUE_GOOD;
    case MR_RULE_MEAN:
        break;
    }
    *out = mean_of_readings(film, rule->discards);
    return MR_VALUE_GOOD;
}

static bool is_specified(const struct mr_rule_limit *limit, const struct mr_film_limits *limits) {
    return limit->of_maximum ? limits->has_max : limits->has_min;
}

static struct mr_ratio bound(const struct mr_rule_limit *limit, const struct mr_film_limits *limits) {
    return mr_ratio_share(limit->of_maximum ? limits->max : limits->min, limit->percent);
}

/* The correction is added to the bounds once instead of subtracted from every value. */
struct raw_bounds {
    struct mr_ratio bound, floor;
    bool has_floor;
};

static struct raw_bounds raw_bounds(const struct mr_rule_limit *limit, const struct mr_film_limits *limits) {
    struct raw_bounds r = {.bound = mr_ratio_add(bound(limit, limits), limits->correction), .floor = {0, 1}};
    r.has_floor = limit->count_from >= 0 && limits->has_min;
    if (r.has_floor)
        r.floor = mr_ratio_add(mr_ratio_share(limits->min, limit->count_from), limits->correction);
    return r;
}

static bool misses(const struct mr_rule_limit *limit, const struct raw_bounds *raw, struct mr_ratio value) {
    int order = mr_ratio_compare(value, raw->bound);
    if (limit->upper ? order <= 0 : order >= 0)
        return false;
    return !raw->has_floor || mr_ratio_compare(value, raw->floor) >= 0;
}

/* What is complete only with readings that complete nothing can miss a limit; holding it shows nothing. */
static enum mr_value_state settled(const struct mr_rule_limit *limit, const struct raw_bounds *raw,
                                   enum mr_value_state state, struct mr_ratio value) {
    if (state != MR_VALUE_GOOD && state != MR_VALUE_DOUBTED)
        return state;
    if (misses(limit, raw, value))
        return MR_VALUE_MISSES;
    return state == MR_VALUE_DOUBTED ? MR_VALUE_INCOMPLETE : MR_VALUE_GOOD;
}

enum mr_value_state mr_rule_value(const struct mr_film *film, const struct mr_rule *rule,
                                  const struct mr_rule_limit *limit, const struct mr_film_limits *limits, size_t i,
                                  struct mr_ratio *out) {
    struct mr_ratio value;
    enum mr_value_state state = value_of(film, rule, limit, limits, i, &value);
    *out = mr_ratio_subtract(value, limits->correction);
    struct raw_bounds raw = raw_bounds(limit, limits);
    return settled(limit, &raw, state, value);
}

bool mr_rule_raw_beyond(const struct mr_rule_limit *limit, const struct mr_film_limits *limits,
                        struct mr_ratio value) {
    if (!is_specified(limit, limits))
        return false;
    const struct raw_bounds raw = raw_bounds(limit, limits);
    return misses(limit, &raw, value);
}

bool mr_rule_spot_beyond(const struct mr_rule *rule, const struct mr_film_limits *limits, int64_t quanta) {
    for (size_t i = 0; i < rule->limits.n; i++)
        if (rule->limits.v[i].value == MR_RULE_SPOT &&
            mr_rule_raw_beyond(&rule->limits.v[i], limits, (struct mr_ratio){quanta, 1}))
            return true;
    return false;
}

bool mr_rule_is_beyond(const struct mr_rule_limit *limit, const struct mr_film_limits *limits,
                       struct mr_ratio value) {
    struct raw_bounds raw = raw_bounds(limit, limits);
    return misses(limit, &raw, mr_ratio_add(value, limits->correction));
}

/* Whether so many misses are more than the rule bears. */
static bool too_many(const struct mr_rule_limit *limit, bool strict_setting, size_t failing, size_t judged) {
    if (!limit->shared)
        return failing > 0;
    int64_t share = strict_setting ? limit->share : limit->share_lenient;
    bool strict = strict_setting ? limit->share_strict : limit->lenient_strict;
    mr_wide have = (mr_wide)failing * 100000, bears = (mr_wide)judged * share;
    return strict ? have >= bears && judged > 0 : have > bears;
}

/* Readings above the figure that is customary where the specification states no limit: shown, not judged. */
static size_t beyond_customary(const struct mr_film *film, const struct mr_rule *rule,
                               const struct mr_rule_limit *limit, const struct mr_film_limits *limits) {
    size_t n = 0;
    if (limit->customary < 0 || !limits->has_min)
        return 0;
    struct mr_ratio custom = mr_ratio_share(limits->min, limit->customary), value;
    for (size_t i = 0; i < mr_rule_values(film, limit); i++) {
        if (value_of(film, rule, limit, limits, i, &value) != MR_VALUE_GOOD)
            continue;
        int order = mr_ratio_compare(mr_ratio_subtract(value, limits->correction), custom);
        n += limit->upper ? order > 0 : order < 0;
    }
    return n;
}

/* An area that lacks a spot or two is none by the rule; what its spots say is no chance any more. */
static bool is_half_measured(const struct mr_film *film, const struct mr_rule *rule,
                             const struct mr_rule_limit *limit, const struct mr_film_limits *limits, size_t i) {
    size_t taken, firm;
    if (limit->value != MR_RULE_AREA)
        return false;
    (void)area_mean(film, rule, limit->upper, limits, i, &taken, &firm);
    return taken > 0 && 2 * taken >= per_area(film, rule);
}

static void judge_limit(const struct mr_film *film, const struct mr_rule_limit *limit,
                        const struct mr_film_limits *limits, struct mr_rule_verdict *v) {
    if (!is_specified(limit, limits)) {
        v->missing = true;
        v->outcome = MR_NOT_REQUIRED;
        v->beyond_customary = beyond_customary(film, v->rule, limit, limits);
        return;
    }
    v->limit_value = bound(limit, limits);
    struct raw_bounds raw = raw_bounds(limit, limits);
    size_t hidden = 0; /* readings behind means, which a share counts among its readings */
    for (size_t i = 0; i < mr_rule_values(film, limit); i++) {
        struct mr_ratio value;
        enum mr_value_state state = value_of(film, v->rule, limit, limits, i, &value);
        state = settled(limit, &raw, state, value);
        hidden +=
            state == MR_VALUE_INCOMPLETE && limit->value == MR_RULE_READING ? mr_film_weight(&film->readings[i]) : 0;
        v->incomplete += state == MR_VALUE_INCOMPLETE;
        v->short_missing +=
            state == MR_VALUE_INCOMPLETE && limit->value == MR_RULE_SPOT && misses(limit, &raw, value);
        v->thin_areas += state == MR_VALUE_INCOMPLETE && misses(limit, &raw, value) &&
                         is_half_measured(film, v->rule, limit, limits, i);
        if (state == MR_VALUE_INCOMPLETE || state == MR_VALUE_LEFT_OUT)
            continue;
        v->judged++;
        v->failing += state == MR_VALUE_MISSES;
        int order = v->worst == MR_NONE ? 0 : mr_ratio_compare(value, v->worst_value);
        if (v->worst == MR_NONE || (limit->upper ? order > 0 : order < 0)) {
            v->worst = i;
            v->worst_value = value;
        }
    }
    v->worst_value = mr_ratio_subtract(v->worst_value, limits->correction);
    if (v->judged == 0)
        v->outcome = MR_NOT_SHOWN;
    else
        v->outcome = too_many(limit, limits->strict, v->failing, v->judged + hidden) ? MR_DOES_NOT_CONFORM
                     : hidden                                                        ? MR_NOT_SHOWN
                                                                                     : MR_CONFORMS;
}

void mr_rule_judge(const struct mr_film *film, const struct mr_rule *rule, const struct mr_film_limits *limits,
                   struct mr_rule_verdict *out) {
    for (size_t i = 0; i < rule->limits.n; i++) {
        out[i] = (struct mr_rule_verdict){.rule = rule,
                                          .limit = &rule->limits.v[i],
                                          .worst = MR_NONE,
                                          .worst_value = {0, 1},
                                          .limit_value = {0, 1}};
        judge_limit(film, &rule->limits.v[i], limits, &out[i]);
    }
}

struct mr_need mr_rule_taken(const struct mr_film *film, const struct mr_rule *rule) {
    struct mr_need taken = {.known = true};
    for (size_t s = 0; s < film->spots.n; s++) {
        size_t n = rule->discards ? film->spots.v[s].kept : film->spots.v[s].taken;
        bool complete = n >= per_spot(film, rule) + film->spots.v[s].doubted;
        taken.spots += complete;
        taken.readings += complete || !rule->counts_areas ? n : 0;
    }
    for (size_t a = 0; a < film->areas.n; a++) {
        size_t spots;
        (void)mr_film_area_mean(film, &film->areas.v[a], rule->discards, per_spot(film, rule), &spots);
        taken.areas += spots >= per_area(film, rule);
    }
    return taken;
}
