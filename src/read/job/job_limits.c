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

bool mr_job_is_limits(const char *section_name) {
    for (size_t i = 0; i < MR_SETTING_COUNT; i++)
        if (strcmp(mr_setting_defs[i].section, section_name) == 0)
            return true;
    return false;
}

/* Texts that are numbers or dates. */
static bool is_accuracy(enum mr_setting_id id) {
    return id == MR_DFT_GAUGE_U || id == MR_DFT_CHECK_TOL || id == MR_DFT_CHECK_REF;
}

static bool is_moment(enum mr_setting_id id) {
    return id == MR_DFT_REF_UNTIL || id == MR_PUBLISHED;
}

/* What may stand in place of a value that is refused. */
static const char *how_to_write(struct mr_job_reader *r, enum mr_setting_id id) {
    const struct mr_setting_def *def = &mr_setting_defs[id];
    if (is_accuracy(id))
        return MR_ACCURACY_MEND;
    if (is_moment(id))
        return MR_MOMENT_MEND;
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
    int64_t moment_ms;
    if (!*written && (def->type != MR_SETTING_TEXT || *def->initial))
        return "there is no value here";
    if (!read->set && def->type == MR_SETTING_FLAG)
        return "expected yes or no";
    if (!read->set && def->type == MR_SETTING_NUMBER && !mr_setting_may_be_none(id))
        return "this needs a number";
    if (read->set && def->type == MR_SETTING_NUMBER && !mr_setting_in_range(id, read->value))
        return "is outside the allowed range";
    if (read->set && is_accuracy(id))
        return mr_accuracy_scan(written, &accuracy);
    if (read->set && *written && is_moment(id))
        return mr_moment_scan(written, strlen(written), &moment_ms);
    return NULL;
}

static void take_limit(struct mr_job_reader *r, struct mr_settings *settings, enum mr_setting_id id,
                       const struct mr_key *key) {
    struct mr_setting read = settings->v[id];
    const char *wrong = mr_setting_read(&mr_setting_defs[id], key->value, &read);
    if (!wrong)
        wrong = wrong_in(id, key->value, &read);
    if (!wrong)
        settings->v[id] = read;
    else
        mr_job_wrong(r, key, how_to_write(r, id), wrong);
    settings->v[id].from_job = true;
    settings->v[id].place = key->value_place;
}

/* What is judged once for all zones: under the name of a specification it would change nothing without a word. */
static bool holds_for_the_job(const struct mr_setting_def *def, size_t id) {
    static const char *const sections[] = {"alignment", "plausibility", "report"};
    static const enum mr_setting_id ids[] = {
        MR_DFT_CHECK_TOL, MR_DFT_CHECK_REF,     MR_DFT_CHECK_COMBINE, MR_DFT_CHECK_RANGE, MR_DFT_REF_UNTIL,
        MR_DFT_CHECK_AGE, MR_DFT_CHECK_SESSION, MR_RISE_ZONES,        MR_RISE_PREDICTION, MR_WATER_TEST,
        MR_WATER_TOL,     MR_LOSS_MAX,          MR_DENSITY_A,         MR_DENSITY_B};
    for (size_t i = 0; i < MR_COUNT(sections); i++)
        if (strcmp(def->section, sections[i]) == 0)
            return true;
    for (size_t i = 0; i < MR_COUNT(ids); i++)
        if (ids[i] == id)
            return true;
    return false;
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
        if (strcmp(folded, key->key) == 0 && *s->argument && holds_for_the_job(def, i)) {
            mr_job_wrong(r, key,
                         mr_printf(r->arena, "State it under [%s], without the name of a specification.", s->name),
                         "holds for the whole job");
            return;
        }
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

/* Settings that are one of a few words; the first that is meant stands for it whatever its letter case. */
static const struct choice {
    enum mr_setting_id id;
    const char *words[4];
    const char *mend, *what;
} choices[] = {
    {MR_UNITS, {"SI", "US"}, "Write SI or US.", "is not a system of units"},
    {MR_PAPER, {"A4", "Letter"}, "Write A4 or Letter.", "is no size of paper"},
    {MR_DFT_CHECK_COMBINE,
     {"root sum of squares", "sum"},
     "Write root sum of squares, or sum.",
     "is no way to combine tolerances"},
    {MR_RISE_AGAINST,
     {"where possible", "yes", "no"},
     "Write yes, no or where possible.",
     "does not say whether heat is compared with film"},
};

static void check_choice(struct mr_job_reader *r, struct mr_settings *s, const struct choice *c) {
    struct mr_setting *v = &s->v[c->id];
    if (!v->set || !*v->text)
        return;
    const char *text = mr_fold(r->arena, v->text, strlen(v->text));
    for (size_t i = 0; i < MR_COUNT(c->words) && c->words[i]; i++)
        if (strcmp(mr_fold(r->arena, c->words[i], strlen(c->words[i])), text) == 0) {
            v->text = c->words[i];
            return;
        }
    r->failed = true;
    mr_diag_add(r->diags, MR_ERROR, "job-file", v->place, v->text, c->mend, "%s", c->what);
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
    for (size_t i = 0; i < MR_COUNT(choices); i++)
        for (size_t k = 0; k <= r->job->specs.n; k++)
            check_choice(r, k ? &r->job->specs.v[k - 1] : &r->job->settings, &choices[i]);
    check_figures(r);
}
