#include "support/film_judge.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

const struct mr_rule *film_rule(struct mr_arena *arena, const char *name) {
    return film_rule_text(arena, name, NULL);
}

const struct mr_rule *film_rule_text(struct mr_arena *arena, const char *name, const char *text) {
    struct mr_job job = *mr_job_default(arena);
    name = text ? mr_printf(arena, "%s-of-our-own", name) : name; /* the built-in name means the built-in rules */
    struct mr_text_file file = {mr_printf(arena, "rules/%s.rule", name), text, text ? strlen(text) : 0};
    if (text)
        MR_PUSH(arena, &job.texts, file);
    struct mr_diags diags;
    mr_diags_init(&diags, arena);
    const struct mr_rule *rule = NULL;
    enum mr_status status = mr_rule_load(arena, &job, name, &diags, &rule);
    cr_assert_eq(status, MR_OK, "rule set %s: %s", name, diags.list.n ? mr_diag_line(arena, &diags.list.v[0]) : "?");
    return rule;
}

void film_of(struct mr_arena *arena, const double *written, size_t n, enum mr_unit unit, size_t per_spot,
             size_t per_area, struct mr_film *out) {
    struct mr_film_reading *r = MR_ARRAY(arena, struct mr_film_reading, n);
    for (size_t i = 0; i < n; i++) {
        r[i] = (struct mr_film_reading){.at = i,
                                        .t_utc_ms = (int64_t)i * 1000,
                                        .area_id = "",
                                        .spot_id = "",
                                        .gauge = "",
                                        .line = (uint32_t)i + 2};
        cr_assert(mr_film_quanta(written[i], unit, &r[i].quanta));
    }
    const struct mr_film_grouping how = {.per_spot = per_spot, .per_area = per_area, .gap_ms = 120000};
    mr_film_group(arena, r, n, &how, out);
}

struct mr_film_limits film_limits_of(double min, double max, enum mr_unit unit) {
    struct mr_film_limits l = {.min = {0, 1}, .max = {0, 1}, .correction = {0, 1}, .strict = true};
    int64_t quanta;
    if (!isnan(min) && mr_film_quanta(min, unit, &quanta)) {
        l.has_min = true;
        l.min.num = quanta;
    }
    if (!isnan(max) && mr_film_quanta(max, unit, &quanta)) {
        l.has_max = true;
        l.max.num = quanta;
    }
    return l;
}

enum mr_outcome film_outcome(struct mr_arena *arena, const struct mr_film *film, const struct mr_rule *rule,
                             const struct mr_film_limits *limits) {
    struct mr_rule_verdict *v = MR_ARRAY(arena, struct mr_rule_verdict, rule->limits.n);
    enum mr_outcome worst = MR_NOT_REQUIRED;
    mr_rule_judge(film, rule, limits, v);
    for (size_t i = 0; i < rule->limits.n; i++)
        worst = mr_outcome_worst(worst, v[i].outcome);
    return worst;
}
