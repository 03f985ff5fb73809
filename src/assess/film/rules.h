/*
 * rules.h - acceptance rules for film thickness, as read from rules/NAME.rule.
 *
 * A rule set is a text file (grammar of base/keyfile.h); a job's own rules/ folder comes before the built-in ones,
 * and adding one takes no code:
 *
 *   [rule]            title, source, edition; readings per spot, spots per area (else the job's) with number clause;
 * discard unusual readings with discard clause; pattern clause (places.c); sampling = NAME (take [sampling], [tier],
 * [survey] from that rule set) [limit "ID"] title, clause; value = reading | spot | area | mean; one of: at least = N
 * % of minimum, at most = N % of maximum (or of minimum). Optional: share = fewer than N % | at most N % (how many
 * may miss it), share where not strict, counting from = N % of minimum (those below are another limit's business),
 * customary = N % of minimum (shown, not judged, where the job states no such limit) [sampling]        count = areas
 * | readings; clause [tier] up to, base, plus, per, beyond: base + plus for each `per`, or part of it, beyond
 * `beyond`. Figures in ft2 serve specifications in mil or inch. [survey]          interval, interval us, directions,
 * ends after, members below, clause
 *
 * Everything that is compared is exact (exact_decimal.h).
 */
#ifndef MILRISE_ASSESS_THICKNESS_RULES_H
#define MILRISE_ASSESS_THICKNESS_RULES_H

#include "assess/finding/assessment.h"
#include "numeric/exact_decimal.h"

enum mr_rule_value { MR_RULE_READING, MR_RULE_SPOT, MR_RULE_AREA, MR_RULE_MEAN };

struct mr_rule_limit {
    const char *id, *title, *clause;
    enum mr_rule_value value;
    bool upper;      /* at most, else at least */
    bool of_maximum; /* the percentage is of the specified maximum, else of the minimum */
    int64_t percent; /* thousandths of a percent, likewise below */
    bool shared;     /* a share of the values may miss the limit */
    int64_t share, share_lenient;
    bool share_strict, lenient_strict; /* "fewer than", else "at most" */
    int64_t count_from;                /* of the minimum; -1 none */
    int64_t customary;                 /* of the minimum; -1 none */
};

struct mr_rule_tier {
    bool us;
    double up_to, base, plus, per, beyond; /* m2 or ft2; up_to infinite in the last */
};

struct mr_rule {
    const char *name;                              /* as in the job file, folded: "restriction-level-3" */
    const char *title, *source, *edition, *origin; /* origin: file of the rule set, "built in" included */
    size_t readings_per_spot, spots_per_area;      /* 0 = the job's */
    const char *number_clause;                     /* where they stand */
    bool discards;
    const char *discard_clause;
    const char *pattern_clause; /* it has a pattern of points for edges and the like (places.c); "" */
    const char *not_covered;    /* what the document asks beyond this rule set; shown in the report; "" */
    MR_VEC(struct mr_rule_limit) limits;
    bool sampled;      /* it lays down how many */
    bool counts_areas; /* else readings */
    const char *sampling_clause;
    double divide_m2; /* a larger zone is to be divided; NaN */
    MR_VEC(struct mr_rule_tier) tiers;
    bool surveyed;
    double interval_m, interval_ft, member_m;
    size_t directions, ends_after;
    const char *survey_clause;
};

typedef MR_VEC(const struct mr_rule *) mr_rule_list;

/** mr_rule_load - the rule set of that name. Returns: MR_OK; MR_E_JOB with diagnostics where there is none or it has
 * errors. */
enum mr_status mr_rule_load(struct mr_arena *arena, const struct mr_job *job, const char *name,
                            struct mr_diags *diags, const struct mr_rule **out) MR_MUST_USE;

/** mr_rule_list_load - those that a `rules =` setting names. MR_E_JOB where any cannot be used; the others are in
 * out.
 */
enum mr_status mr_rule_list_load(struct mr_arena *arena, const struct mr_job *job, const char *names,
                                 struct mr_diags *diags, mr_rule_list *out) MR_MUST_USE;

/* How many a rule asks for. 0 = it does not say. */
struct mr_need {
    size_t areas, spots, readings;
    bool known; /* false: it asks, and the zone's area is not known */
};

/** mr_rule_need - for a zone of area_m2 (NaN = not known), with the rule's own figures for US units where us.
 * per_spot and per_area are the job's numbers, used where the rule has none of its own. */
struct mr_need mr_rule_need(const struct mr_rule *rule, double area_m2, bool us, size_t per_spot, size_t per_area);

/* The specified limits of the film that is judged, and what is to be subtracted from what the gauge showed. */
struct mr_film_limits {
    bool has_min, has_max;
    struct mr_ratio min, max;   /* quanta */
    struct mr_ratio correction; /* quanta; a value v is judged as v - correction */
    bool strict;                /* 80-20 strict */
};

/* One judged limit. */
struct mr_rule_verdict {
    const struct mr_rule *rule;
    const struct mr_rule_limit *limit;
    enum mr_outcome outcome;
    bool missing;           /* the specification states no such limit */
    size_t judged, failing; /* values of the limit's kind */
    size_t incomplete;      /* spots or areas with fewer parts than the rule asks: not judged */
    size_t short_missing;   /* spots among them whose readings so far miss the limit */
    size_t thin_areas;      /* areas among them that miss it by their spots so far, half of what they need or more */
    size_t worst;           /* index of the value farthest on the wrong side; MR_NONE */
    struct mr_ratio worst_value; /* corrected */
    struct mr_ratio limit_value; /* what corrected values are held against */
    size_t beyond_customary;
};

struct mr_film;

/** mr_rule_judge - one verdict per limit of the rule, in its order; out: rule->limits.n of them. Values are taken as
 * they are: whether they are enough is not asked here, except that a limit without any complete value is not shown.
 */
void mr_rule_judge(const struct mr_film *film, const struct mr_rule *rule, const struct mr_film_limits *limits,
                   struct mr_rule_verdict *out);

/* MR_VALUE_DOUBTED: complete only with readings that complete nothing; it can miss a limit and never holds one. */
enum mr_value_state { MR_VALUE_GOOD, MR_VALUE_MISSES, MR_VALUE_INCOMPLETE, MR_VALUE_DOUBTED, MR_VALUE_LEFT_OUT };

/** mr_rule_values - how many values of the limit's kind a film has. */
size_t mr_rule_values(const struct mr_film *film, const struct mr_rule_limit *limit);

/** mr_rule_value - value number i (corrected) and how it stands to the limit; the limit must be specified. */
enum mr_value_state mr_rule_value(const struct mr_film *film, const struct mr_rule *rule,
                                  const struct mr_rule_limit *limit, const struct mr_film_limits *limits, size_t i,
                                  struct mr_ratio *out);

/** mr_rule_spot_mean, mr_rule_area_mean - a spot, or an area of its complete spots, as the rule holds it against a
 *  maximum (upper) or a minimum: corrected, without readings beyond the opposite limit where a spot has more than it
 *  needs. The spot must have a reading, the area a complete spot. */
struct mr_ratio mr_rule_spot_mean(const struct mr_film *film, const struct mr_rule *rule, bool upper,
                                  const struct mr_film_limits *limits, size_t spot);
struct mr_ratio mr_rule_area_mean(const struct mr_film *film, const struct mr_rule *rule, bool upper,
                                  const struct mr_film_limits *limits, size_t area);

/** mr_rule_spot_beyond - whether a value as the gauge showed it (quanta) misses a limit that the rule has for spots.
 */
bool mr_rule_spot_beyond(const struct mr_rule *rule, const struct mr_film_limits *limits, int64_t quanta);

/** mr_rule_is_beyond - whether a corrected value lies beyond the limit, complete or not. */
bool mr_rule_is_beyond(const struct mr_rule_limit *limit, const struct mr_film_limits *limits, struct mr_ratio value);

/** mr_rule_raw_beyond - the same for a value as the gauge showed it, in quanta; false where no such limit is
 * specified. */
bool mr_rule_raw_beyond(const struct mr_rule_limit *limit, const struct mr_film_limits *limits,
                        struct mr_ratio value);

/** mr_rule_taken - complete areas and spots, and the readings in complete spots (all readings where the rule counts
 *  readings). */
struct mr_need mr_rule_taken(const struct mr_film *film, const struct mr_rule *rule);

#endif
