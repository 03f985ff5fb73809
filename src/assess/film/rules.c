/*
 * rules.c - rule sets from their text files. The grammar stands in rules.h; a rule set with an error is refused
 * whole, because a misspelt limit must not silently vanish.
 */
#include "assess/film/rules.h"

#include "base/keyfile.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

struct rule_loader {
    struct mr_arena *arena;
    const struct mr_job *job;
    struct mr_diags *diags;
    struct mr_rule *rule;
    bool failed;
};

static void wrong(struct rule_loader *l, const struct mr_key *key, const char *mend, const char *what) {
    l->failed = true;
    mr_diag_add(l->diags, MR_ERROR, "rule-set", key->value_place, key->value, mend, "%s (key \"%s\")", what,
                key->raw_key);
}

/* "80 % of minimum" or "20 %": thousandths of a percent, and what follows. */
static bool scan_percent(const char *text, int64_t *out, const char **rest) {
    const char *sign = strchr(text, '%');
    if (!sign)
        return false;
    size_t n = (size_t)(sign - text);
    while (n > 0 && text[n - 1] == ' ')
        n--;
    double written;
    if (!mr_scan_decimal(text, n, '.', &written) || written < 0 || !mr_decimal_scaled(written, 3, out))
        return false;
    *rest = sign + 1;
    while (**rest == ' ')
        ++*rest;
    return true;
}

static void read_share_of(struct rule_loader *l, const struct mr_key *key, int64_t *percent, bool *of_maximum) {
    const char *rest;
    if (!scan_percent(key->value, percent, &rest) ||
        (strcmp(rest, "of minimum") != 0 && strcmp(rest, "of maximum") != 0))
        wrong(l, key, "Write it as: 80 % of minimum, or 120 % of maximum.", "is not a share of a specified limit");
    else if (of_maximum)
        *of_maximum = strcmp(rest, "of maximum") == 0;
    else if (strcmp(rest, "of maximum") == 0)
        wrong(l, key, "Write it as: 80 % of minimum.", "must be a share of the minimum");
}

static void read_tolerated(struct rule_loader *l, const struct mr_key *key, int64_t *share, bool *strict) {
    static const char few[] = "fewer than ", most[] = "at most ";
    const char *at = key->value, *rest;
    *strict = strncmp(at, few, sizeof few - 1) == 0;
    if (*strict)
        at += sizeof few - 1;
    else if (strncmp(at, most, sizeof most - 1) == 0)
        at += sizeof most - 1;
    else
        at = "";
    if (!scan_percent(at, share, &rest) || *rest)
        wrong(l, key, "Write it as: fewer than 20 %, or: at most 20 %.", "is not a tolerated share");
}

static bool read_limit_key(struct rule_loader *l, const struct mr_key *key, struct mr_rule_limit *limit) {
    static const char *const values[] = {"reading", "spot", "area", "mean"};
    if (strcmp(key->key, "title") == 0) {
        limit->title = key->value;
    } else if (strcmp(key->key, "clause") == 0) {
        limit->clause = key->value;
    } else if (strcmp(key->key, "value") == 0) {
        size_t i = 0;
        while (i < MR_COUNT(values) && strcmp(values[i], key->value) != 0)
            i++;
        if (i == MR_COUNT(values))
            wrong(l, key, "Write reading, spot, area or mean.", "is not a kind of value");
        limit->value = (enum mr_rule_value)i;
    } else if (strcmp(key->key, "at least") == 0 || strcmp(key->key, "at most") == 0) {
        if (limit->percent >= 0)
            wrong(l, key, "Write one [limit] section for each bound.", "is a second bound in one limit");
        limit->upper = strcmp(key->key, "at most") == 0;
        read_share_of(l, key, &limit->percent, &limit->of_maximum);
    } else if (strcmp(key->key, "share") == 0) {
        limit->shared = true;
        read_tolerated(l, key, &limit->share, &limit->share_strict);
    } else if (strcmp(key->key, "share where not strict") == 0) {
        read_tolerated(l, key, &limit->share_lenient, &limit->lenient_strict);
    } else if (strcmp(key->key, "counting from") == 0) {
        read_share_of(l, key, &limit->count_from, NULL);
    } else if (strcmp(key->key, "customary") == 0) {
        read_share_of(l, key, &limit->customary, NULL);
    } else {
        return false;
    }
    return true;
}

static void unknown(struct rule_loader *l, const struct mr_key *key) {
    l->failed = true;
    mr_diag_add(l->diags, MR_ERROR, "rule-set", key->place, key->raw_key, "Remove the line or put a # before it.",
                "is not a key of this section of a rule set");
}

static void read_limit(struct rule_loader *l, const struct mr_key_section *s) {
    struct mr_rule_limit limit = {.id = s->argument,
                                  .title = s->argument,
                                  .clause = "",
                                  .percent = -1,
                                  .share_lenient = -1,
                                  .count_from = -1,
                                  .customary = -1};
    for (size_t i = 0; i < s->keys.n; i++)
        if (!read_limit_key(l, &s->keys.v[i], &limit))
            unknown(l, &s->keys.v[i]);
    if (limit.percent < 0 || !*limit.id || !mr_key_find(s, "value")) {
        l->failed = true;
        mr_diag_add(l->diags, MR_ERROR, "rule-set", s->place, s->argument,
                    "Give it a name in quotes, `value`, and `at least` or `at most`.", "this limit is not complete");
    }
    if (limit.shared && limit.share_lenient < 0) {
        limit.share_lenient = limit.share;
        limit.lenient_strict = limit.share_strict;
    }
    MR_PUSH(l->arena, &l->rule->limits, limit);
}

static void read_count(struct rule_loader *l, const struct mr_key *key, size_t *out) {
    double written;
    if (!mr_scan_decimal(key->value, strlen(key->value), '.', &written) || written < 1 || written > 1e6 ||
        written > floor(written))
        wrong(l, key, "Write a whole number from 1.", "is not a count");
    else
        *out = (size_t)written;
}

static void read_rule(struct rule_loader *l, const struct mr_key_section *s) {
    struct mr_rule *r = l->rule;
    for (size_t i = 0; i < s->keys.n; i++) {
        const struct mr_key *k = &s->keys.v[i];
        if (strcmp(k->key, "title") == 0)
            r->title = k->value;
        else if (strcmp(k->key, "source") == 0)
            r->source = k->value;
        else if (strcmp(k->key, "edition") == 0)
            r->edition = k->value;
        else if (strcmp(k->key, "readings per spot") == 0)
            read_count(l, k, &r->readings_per_spot);
        else if (strcmp(k->key, "spots per area") == 0)
            read_count(l, k, &r->spots_per_area);
        else if (strcmp(k->key, "discard unusual readings") == 0)
            r->discards = mr_text_equal_fold(k->value, strlen(k->value), "yes", 3);
        else if (strcmp(k->key, "number clause") == 0)
            r->number_clause = k->value;
        else if (strcmp(k->key, "discard clause") == 0)
            r->discard_clause = k->value;
        else if (strcmp(k->key, "not covered") == 0)
            r->not_covered = k->value;
        else if (strcmp(k->key, "pattern clause") == 0)
            r->pattern_clause = k->value;
        else if (strcmp(k->key, "sampling") != 0)
            unknown(l, k);
    }
}

static double read_quantity(struct rule_loader *l, const struct mr_key *key, enum mr_dim dim, enum mr_unit *unit) {
    double written = MR_NAN;
    const char *why = mr_scan_quantity(key->value, strlen(key->value), unit, (int)dim, &written);
    if (why)
        wrong(l, key, "Write a number and a unit, e.g. 10 m2.", why);
    return written;
}

/* A length in the unit asked for, whichever it was written in. */
static double read_length(struct rule_loader *l, const struct mr_key *key, enum mr_unit in) {
    enum mr_unit unit = MR_UNIT_NONE;
    double written = read_quantity(l, key, MR_DIM_LENGTH, &unit);
    return isnan(written) || unit == in ? written : mr_from_canonical(in, mr_to_canonical(unit, written));
}

static void read_tier(struct rule_loader *l, const struct mr_key_section *s) {
    struct mr_rule_tier t = {.up_to = HUGE_VAL};
    for (size_t i = 0; i < s->keys.n; i++) {
        const struct mr_key *k = &s->keys.v[i];
        double *area = strcmp(k->key, "up to") == 0    ? &t.up_to
                       : strcmp(k->key, "per") == 0    ? &t.per
                       : strcmp(k->key, "beyond") == 0 ? &t.beyond
                                                       : NULL;
        double *count = strcmp(k->key, "base") == 0 ? &t.base : strcmp(k->key, "plus") == 0 ? &t.plus : NULL;
        enum mr_unit unit = MR_UNIT_NONE;
        if (area) {
            *area = read_quantity(l, k, MR_DIM_AREA, &unit);
            t.us = t.us || unit == MR_UNIT_FT2;
        } else if (count) {
            *count = read_quantity(l, k, MR_DIM_NONE, &unit);
        } else {
            unknown(l, k);
        }
    }
    if (t.plus > 0 && !(t.per > 0)) {
        l->failed = true;
        mr_diag_add(l->diags, MR_ERROR, "rule-set", s->place, NULL, "Add `per`.",
                    "this tier adds a number but does not say per what area");
    }
    MR_PUSH(l->arena, &l->rule->tiers, t);
}

static double read_area_m2(struct rule_loader *l, const struct mr_key *key) {
    enum mr_unit unit = MR_UNIT_NONE;
    double written = read_quantity(l, key, MR_DIM_AREA, &unit);
    return isnan(written) ? written : mr_to_canonical(unit, written);
}

static void read_sampling(struct rule_loader *l, const struct mr_key_section *s) {
    l->rule->sampled = true;
    for (size_t i = 0; i < s->keys.n; i++) {
        const struct mr_key *k = &s->keys.v[i];
        if (strcmp(k->key, "clause") == 0)
            l->rule->sampling_clause = k->value;
        else if (strcmp(k->key, "divide above") == 0)
            l->rule->divide_m2 = read_area_m2(l, k);
        else if (strcmp(k->key, "count") != 0)
            unknown(l, k);
        else if (strcmp(k->value, "areas") == 0 || strcmp(k->value, "readings") == 0)
            l->rule->counts_areas = strcmp(k->value, "areas") == 0;
        else
            wrong(l, k, "Write areas or readings.", "cannot be counted");
    }
}

static void read_survey(struct rule_loader *l, const struct mr_key_section *s) {
    struct mr_rule *r = l->rule;
    r->surveyed = true;
    for (size_t i = 0; i < s->keys.n; i++) {
        const struct mr_key *k = &s->keys.v[i];
        if (strcmp(k->key, "interval") == 0)
            r->interval_m = read_length(l, k, MR_UNIT_M);
        else if (strcmp(k->key, "interval us") == 0)
            r->interval_ft = read_length(l, k, MR_UNIT_FT);
        else if (strcmp(k->key, "members below") == 0)
            r->member_m = read_length(l, k, MR_UNIT_M);
        else if (strcmp(k->key, "directions") == 0)
            read_count(l, k, &r->directions);
        else if (strcmp(k->key, "ends after") == 0)
            read_count(l, k, &r->ends_after);
        else if (strcmp(k->key, "clause") == 0)
            r->survey_clause = k->value;
        else
            unknown(l, k);
    }
}

static const struct mr_text_file *find_text(const struct mr_job *job, const char *name) {
    for (size_t i = 0; i < job->texts.n; i++)
        if (strcmp(job->texts.v[i].name, name) == 0)
            return &job->texts.v[i];
    return mr_template(name);
}

static bool read_file(struct rule_loader *l, const char *name, struct mr_keyfile *keys) {
    const char *path = mr_printf(l->arena, "rules/%s.rule", name);
    const struct mr_text_file *text = find_text(l->job, path);
    if (!text) {
        mr_diag_add(l->diags, MR_ERROR, "rule-set", (struct mr_place){.file = l->job->file}, name,
                    "Built in: restriction-level-1 to -5, 80-20, 90-10, plain-limits. Others: rules/NAME.rule in the "
                    "job folder.",
                    "there is no rule set of this name");
        return false;
    }
    const struct mr_text_file *own = mr_template(path);
    if (own && (text->size != own->size || memcmp(text->data, own->data, own->size) != 0)) {
        mr_diag_add(l->diags, MR_ERROR, "rule-set", (struct mr_place){.file = path}, name,
                    "Give the file a name of its own, and name that one under [thickness] rules.",
                    "is the name of a built-in rule set, and this file says something else");
        return false; /* whoever reads the report takes the name for the published rule */
    }
    l->rule->origin = text == own ? mr_printf(l->arena, "built in: %s", path) : path;
    return mr_keyfile_parse(l->arena, path, text->data, text->size, l->diags, keys) == MR_OK;
}

/* Sections of sampling alone are taken from another rule set. */
static void read_sections(struct rule_loader *l, const struct mr_keyfile *keys, bool sampling_only) {
    for (size_t i = 0; i < keys->sections.n; i++) {
        const struct mr_key_section *s = &keys->sections.v[i];
        if (strcmp(s->name, "sampling") == 0)
            read_sampling(l, s);
        else if (strcmp(s->name, "tier") == 0)
            read_tier(l, s);
        else if (strcmp(s->name, "survey") == 0)
            read_survey(l, s);
        else if (sampling_only || (!*s->name && s->keys.n == 0))
            continue;
        else if (strcmp(s->name, "rule") == 0)
            read_rule(l, s);
        else if (strcmp(s->name, "limit") == 0)
            read_limit(l, s);
        else {
            l->failed = true;
            mr_diag_add(l->diags, MR_ERROR, "rule-set", s->place, s->name,
                        "A rule set has the sections [rule], [limit], [sampling], [tier], [survey].",
                        "is not a section of a rule set");
        }
    }
}

static const char *borrowed_sampling(const struct mr_keyfile *keys) {
    for (size_t i = 0; i < keys->sections.n; i++) {
        const struct mr_key *key = mr_key_find(&keys->sections.v[i], "sampling");
        if (key && strcmp(keys->sections.v[i].name, "rule") == 0)
            return key->value;
    }
    return NULL;
}

/* "Restriction level 3" and "restriction_level_3" are restriction-level-3. */
static char *rule_name(struct mr_arena *arena, const char *name, size_t n) {
    char *folded = mr_fold(arena, name, n);
    for (char *c = folded; *c; c++)
        if (*c == ' ')
            *c = '-';
    return folded;
}

enum mr_status mr_rule_load(struct mr_arena *arena, const struct mr_job *job, const char *name,
                            struct mr_diags *diags, const struct mr_rule **out) {
    struct mr_rule *r = MR_NEW(arena, struct mr_rule);
    *r = (struct mr_rule){.name = rule_name(arena, name, strlen(name)),
                          .title = "",
                          .source = "",
                          .edition = "",
                          .origin = "",
                          .discard_clause = "",
                          .number_clause = "",
                          .sampling_clause = "",
                          .not_covered = "",
                          .pattern_clause = "",
                          .divide_m2 = MR_NAN,
                          .survey_clause = "",
                          .interval_m = MR_NAN,
                          .interval_ft = MR_NAN,
                          .member_m = MR_NAN,
                          .directions = 1,
                          .ends_after = 1};
    struct rule_loader l = {arena, job, diags, r, false};
    struct mr_keyfile keys, other;
    if (!read_file(&l, r->name, &keys))
        return MR_E_JOB;
    read_sections(&l, &keys, false);
    const char *from = borrowed_sampling(&keys), *origin = r->origin;
    if (from) {
        if (read_file(&l, rule_name(arena, from, strlen(from)), &other))
            read_sections(&l, &other, true);
        else
            l.failed = true;
        r->origin = origin;
    }
    if (!*r->title || !*r->source || r->limits.n == 0) {
        l.failed = true;
        mr_diag_add(diags, MR_ERROR, "rule-set",
                    (struct mr_place){.file = mr_printf(arena, "rules/%s.rule", r->name)}, NULL,
                    "Add [rule] with title and source, and at least one [limit].", "this rule set is not complete");
    }
    *out = r;
    return l.failed ? MR_E_JOB : MR_OK;
}

enum mr_status mr_rule_list_load(struct mr_arena *arena, const struct mr_job *job, const char *names,
                                 struct mr_diags *diags, mr_rule_list *out) {
    enum mr_status status = MR_OK;
    for (const char *at = names; *at;) {
        size_t n = strcspn(at, ",");
        const struct mr_rule *rule;
        const char *name = rule_name(arena, at, n);
        if (*name) {
            if (mr_rule_load(arena, job, name, diags, &rule) == MR_OK)
                MR_PUSH(arena, out, rule);
            else
                status = MR_E_JOB;
        }
        at += at[n] ? n + 1 : n;
    }
    return status;
}
