/*
 * job_lookup.c - looking things up in a job: a specification, an instrument, the rules for a file, a built-in text.
 */
#include "read/job/job_lookup.h"

#include "base/text.h"

#include <string.h>

static bool same_name(const char *a, const char *b) {
    for (;;) {
        while (*a == ' ' || *a == '-' || *a == '_')
            a++;
        while (*b == ' ' || *b == '-' || *b == '_')
            b++;
        if (!*a || !*b)
            return *a == *b;
        if (!mr_text_equal_fold(a++, 1, b++, 1))
            return false;
    }
}

const struct mr_settings *mr_job_spec(const struct mr_job *job, const char *spec) {
    if (!spec || !*spec)
        return &job->settings;
    for (size_t i = 0; i < job->specs.n; i++)
        if (same_name(job->specs.v[i].spec, spec))
            return &job->specs.v[i];
    return NULL;
}

const struct mr_instrument *mr_job_instrument(const struct mr_job *job, const char *name) {
    for (size_t i = 0; name && *name && i < job->instruments.n; i++)
        if (same_name(job->instruments.v[i].name, name) || same_name(job->instruments.v[i].serial, name))
            return &job->instruments.v[i];
    return NULL;
}

static const char *first_stated(const char *had, const char *other) {
    return had && *had ? had : other ? other : "";
}

const struct mr_file_rule *mr_file_rule_for(struct mr_arena *arena, const struct mr_job *job, const char *path) {
    struct mr_file_rule *merged = NULL;
    const char *table = strstr(path, " (table "), /* what holds for a file holds for each of its tables */
        *bare = table ? mr_strndup(arena, path, (size_t)(table - path)) : "";
    for (size_t i = 0; i < job->file_rules.n; i++) {
        const struct mr_file_rule *rule = &job->file_rules.v[i];
        if (!mr_glob(rule->glob, path) && !(*bare && mr_glob(rule->glob, bare)))
            continue;
        if (!merged) {
            merged = MR_NEW(arena, struct mr_file_rule);
            merged->glob = rule->glob;
            merged->place = rule->place;
        }
        merged->kind = first_stated(merged->kind, rule->kind);
        merged->encoding = first_stated(merged->encoding, rule->encoding);
        merged->delimiter = first_stated(merged->delimiter, rule->delimiter);
        merged->decimal = first_stated(merged->decimal, rule->decimal);
        merged->dates = first_stated(merged->dates, rule->dates);
        merged->time_zone = first_stated(merged->time_zone, rule->time_zone);
        merged->start = first_stated(merged->start, rule->start);
        merged->instrument = first_stated(merged->instrument, rule->instrument);
        merged->missing = first_stated(merged->missing, rule->missing);
        merged->columns = first_stated(merged->columns, rule->columns);
        for (size_t c = 0; c < rule->column.n; c++)
            MR_PUSH(arena, &merged->column, rule->column.v[c]);
    }
    return merged;
}

const struct mr_text_file *mr_template(const char *name) {
    size_t n;
    const struct mr_text_file *all = mr_templates(&n);
    for (size_t i = 0; i < n; i++)
        if (strcmp(all[i].name, name) == 0)
            return &all[i];
    return NULL;
}
