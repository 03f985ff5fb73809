/*
 * job_limits.c - the sections of limits and defaults, for the job and for each named specification. A specification
 * starts as a copy of the job's own limits, whatever the order of sections in the file, and then takes its own.
 */
#include "base/figure_words.h"
#include "base/setting_range.h"
#include "base/setting_read.h"
#include "base/text.h"
#include "numeric/accuracy.h"
#include "read/job/job_reader.h"

#include <string.h>

#define MR_ACCURACY_MEND "Write a share, a length or both, each from " MR_ACCURACY_RANGE ". For example: 2 um + 3 %"

bool mr_job_is_limits(const char *section_name) {
    for (size_t i = 0; i < MR_SETTING_COUNT; i++)
        if (strcmp(mr_setting_defs[i].section, section_name) == 0)
            return true;
    return false;
}

/* What may stand in place of a value that is refused. */
static const char *how_to_write(struct mr_job_reader *r, enum mr_setting_id id) {
    const struct mr_setting_def *def = &mr_setting_defs[id];
    if (def->type == MR_SETTING_FLAG)
        return mr_printf(r->arena, "Write yes or no. For example: %s = %s", def->key, def->initial);
    if (def->type == MR_SETTING_TEXT)
        return *def->initial ? mr_printf(r->arena, "For example: %s = %s", def->key, def->initial) : NULL;
    return mr_printf(r->arena, "Write a %s from %s%s%s", mr_setting_is_whole(id) ? "whole number" : "value",
                     mr_setting_range(id), mr_setting_may_be_none(id) ? ", or none." : ".",
                     *def->initial ? mr_printf(r->arena, " For example: %s = %s", def->key, def->initial) : "");
}

/* A value that is missing is not the default, nor "no": whoever wrote the key meant something. */
static const char *wrong_in(enum mr_setting_id id, const char *written, const struct mr_setting *read) {
    const struct mr_setting_def *def = &mr_setting_defs[id];
    struct mr_accuracy accuracy;
    if (!*written && (def->type != MR_SETTING_TEXT || *def->initial))
        return "there is no value here";
    if (!read->set && def->type == MR_SETTING_FLAG)
        return "expected yes or no";
    if (!read->set && def->type == MR_SETTING_NUMBER && !mr_setting_may_be_none(id))
        return "this needs a number";
    if (read->set && def->type == MR_SETTING_NUMBER && !mr_setting_in_range(id, read->value))
        return "is outside the allowed range";
    if (read->set && (id == MR_DFT_GAUGE_U || id == MR_DFT_CHECK_TOL || id == MR_DFT_CHECK_REF))
        return mr_accuracy_scan(written, &accuracy);
    return NULL;
}

static void take_limit(struct mr_job_reader *r, struct mr_settings *settings, enum mr_setting_id id,
                       const struct mr_key *key) {
    struct mr_setting read = settings->v[id];
    const char *wrong = mr_setting_read(&mr_setting_defs[id], key->value, &read);
    const bool accuracy = id == MR_DFT_GAUGE_U || id == MR_DFT_CHECK_TOL || id == MR_DFT_CHECK_REF;
    if (!wrong)
        wrong = wrong_in(id, key->value, &read);
    if (!wrong)
        settings->v[id] = read;
    else
        mr_job_wrong(r, key, accuracy ? MR_ACCURACY_MEND : how_to_write(r, id), wrong);
    settings->v[id].from_job = true;
    settings->v[id].place = key->value_place;
}

static void read_limit(struct mr_job_reader *r, struct mr_settings *settings, const struct mr_key_section *s,
                       const struct mr_key *key) {
    const char *known[MR_SETTING_COUNT];
    size_t n = 0;
    for (size_t i = 0; i < MR_SETTING_COUNT; i++) {
        const struct mr_setting_def *def = &mr_setting_defs[i];
        if (strcmp(def->section, s->name) != 0)
            continue;
        char *folded = mr_fold(r->arena, def->key, strlen(def->key));
        if (strcmp(folded, key->key) == 0) {
            take_limit(r, settings, (enum mr_setting_id)i, key);
            return;
        }
        known[n++] = folded;
    }
    mr_job_unknown(r, key, known, n);
}

static struct mr_settings *spec_named(struct mr_job_reader *r, const char *name) {
    for (size_t i = 0; i < r->job->specs.n; i++)
        if (mr_job_spec(r->job, name) == &r->job->specs.v[i])
            return &r->job->specs.v[i];
    struct mr_settings copy = r->job->settings;
    copy.spec = name;
    MR_PUSH(r->arena, &r->job->specs, copy);
    return &r->job->specs.v[r->job->specs.n - 1];
}

void mr_job_read_limits(struct mr_job_reader *r, const struct mr_keyfile *keys) {
    for (int named = 0; named <= 1; named++)
        for (size_t i = 1; i < keys->sections.n; i++) {
            const struct mr_key_section *s = &keys->sections.v[i];
            if (!mr_job_is_limits(s->name) || (*s->argument != '\0') != (named == 1))
                continue;
            struct mr_settings *settings = named ? spec_named(r, s->argument) : &r->job->settings;
            for (size_t k = 0; k < s->keys.n; k++)
                read_limit(r, settings, s, &s->keys.v[k]);
        }
}

static void check_order(struct mr_job_reader *r, const struct mr_settings *s, enum mr_setting_id low,
                        enum mr_setting_id high) {
    if (!s->v[low].set || !s->v[high].set || s->v[low].value <= s->v[high].value)
        return;
    const struct mr_setting *at = s->v[high].from_job ? &s->v[high] : &s->v[low];
    r->failed = true;
    mr_diag_add(r->diags, MR_ERROR, "job-file", at->place, at->text, "Check both values and their units.",
                "\"%s\" is greater than \"%s\" (%s against %s)", mr_setting_defs[low].key, mr_setting_defs[high].key,
                s->v[low].text, s->v[high].text);
}

/* Kinds of figures by their names. */
static void check_figures(struct mr_job_reader *r) {
    bool chosen[MR_FIGURE_COUNT];
    const char *wrong, *known[MR_FIGURE_COUNT], *list = "standard, all";
    size_t n;
    if (mr_figure_choice(mr_set_text(&r->job->settings, MR_FIGURES), chosen, &wrong, &n))
        return;
    for (size_t i = 0; i < MR_FIGURE_COUNT; i++) {
        known[i] = mr_figure_words[i].name;
        list = mr_printf(r->arena, "%s, %s", list, known[i]);
    }
    const char *word = mr_strndup(r->arena, wrong, n), *near = mr_nearest(word, known, MR_FIGURE_COUNT);
    r->failed = true;
    mr_diag_add(r->diags, MR_ERROR, "job-file", r->job->settings.v[MR_FIGURES].place, word,
                near ? mr_printf(r->arena, "Did you mean %s? There are: %s.", near, list)
                     : mr_printf(r->arena, "There are: %s.", list),
                "is no kind of figure");
}

void mr_job_check_limits(struct mr_job_reader *r) {
    for (size_t i = 0; i <= r->job->specs.n; i++) {
        const struct mr_settings *s = i ? &r->job->specs.v[i - 1] : &r->job->settings;
        check_order(r, s, MR_DFT_MIN, MR_DFT_MAX);
        check_order(r, s, MR_DFT_COAT_MIN, MR_DFT_COAT_MAX);
        check_order(r, s, MR_DFT_PASS_MIN, MR_DFT_PASS_MAX);
        check_order(r, s, MR_AIR_MIN, MR_AIR_MAX);
        check_order(r, s, MR_STEEL_MIN, MR_STEEL_MAX);
        check_order(r, s, MR_RISE_MIN, MR_RISE_MAX);
        check_order(r, s, MR_MAIN_MIN, MR_MAIN_MAX);
    }
    const char *units = mr_set_text(&r->job->settings, MR_UNITS);
    if (!mr_text_equal_fold(units, strlen(units), "US", 2) && !mr_text_equal_fold(units, strlen(units), "SI", 2)) {
        r->failed = true;
        mr_diag_add(r->diags, MR_ERROR, "job-file", r->job->settings.v[MR_UNITS].place, units, "Write SI or US.",
                    "is not a system of units");
    }
    const char *paper = mr_set_text(&r->job->settings, MR_PAPER);
    if (*paper && !mr_text_equal_fold(paper, strlen(paper), "A4", 2) &&
        !mr_text_equal_fold(paper, strlen(paper), "Letter", 6)) {
        r->failed = true;
        mr_diag_add(r->diags, MR_ERROR, "job-file", r->job->settings.v[MR_PAPER].place, paper, "Write A4 or Letter.",
                    "is no size of paper");
    }
    check_figures(r);
}
