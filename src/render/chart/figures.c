/*
 * figures.c - see the header. The order of kinds is the order of figures in a report, and so of their numbers.
 */
#include "render/chart/figures.h"

#include "render/chart/charts.h"

#include <string.h>

static const struct mr_figure_kind kinds[MR_FIGURE_COUNT] = {
    [MR_FIG_VERDICTS] = {MR_FIGURE_OF_JOB, mr_charts_verdict},
    [MR_FIG_ZONES] = {MR_FIGURE_OF_JOB, mr_charts_zones},
    [MR_FIG_DAYS] = {MR_FIGURE_OF_JOB, mr_charts_days},
    [MR_FIG_THICKNESS] = {MR_FIGURE_OF_ZONE, mr_charts_film},
    [MR_FIG_SPOTS] = {MR_FIGURE_OF_ZONE, mr_charts_spots},
    [MR_FIG_MAP] = {MR_FIGURE_OF_ZONE, mr_charts_map},
    [MR_FIG_NORMAL] = {MR_FIGURE_OF_ZONE, mr_charts_normal},
    [MR_FIG_REPAIR] = {MR_FIGURE_OF_ZONE, mr_charts_repair},
    [MR_FIG_REACTION] = {MR_FIGURE_OF_ZONE, mr_charts_heat},
    [MR_FIG_COATS] = {MR_FIGURE_OF_ZONE, mr_charts_coats},
    [MR_FIG_RISES] = {MR_FIGURE_OF_JOB, mr_charts_scatter},
    [MR_FIG_CLIMATE] = {MR_FIGURE_OF_SHIFT, mr_charts_climate},
    [MR_FIG_LINES] = {MR_FIGURE_OF_SHIFT, mr_charts_lines},
    [MR_FIG_TIMELINE] = {MR_FIGURE_OF_SHIFT, mr_charts_story},
};

/* The text block of a page with margins of 16 to 19 mm; a slide of 16:9 is enlarged when it is placed, so that 7.5
 * points become 12. */
static const struct mr_figure_size sizes[2][3] = {{{"half-page", 504, 324}, {"page", 504, 740}, {"slide", 576, 324}},
                                                  {{"half-page", 504, 324}, {"page", 504, 684}, {"slide", 576, 324}}};

const struct mr_figure_kind *mr_figure_kind_find(const char *name) {
    for (size_t i = 0; i < MR_FIGURE_COUNT; i++)
        if (strcmp(mr_figure_words[i].name, name) == 0)
            return &kinds[i];
    return NULL;
}

const struct mr_figure_size *mr_figure_sizes(bool letter, size_t *n) {
    *n = MR_COUNT(sizes[0]);
    return sizes[letter];
}

const struct mr_figure_size *mr_figure_size_find(const char *name, bool letter) {
    for (size_t i = 0; i < MR_COUNT(sizes[0]); i++)
        if (strcmp(sizes[letter][i].name, name) == 0)
            return &sizes[letter][i];
    return NULL;
}

/* Numbers run on over the kinds: those of the report first, so that a figure has one number wherever it is shown. */
static void make_kinds(const struct mr_chart_job *job, const bool chosen[MR_FIGURE_COUNT], bool in_report,
                       mr_chart_list *out) {
    for (size_t i = 0; i < MR_FIGURE_COUNT; i++)
        if (chosen[i] == in_report)
            kinds[i].make(job, out);
}

/* The job's choice; a word that names no kind was refused when the job was read. */
static void choice_of(const struct mr_chart_job *job, bool chosen[MR_FIGURE_COUNT]) {
    const char *wrong;
    size_t n;
    mr_figure_choice(mr_set_text(&job->a->job->settings, MR_FIGURES), chosen, &wrong, &n);
}

static struct mr_chart_job numbered(const struct mr_chart_job *job, unsigned *number) {
    struct mr_chart_job with = *job;
    with.number = number;
    return with;
}

void mr_charts_make(const struct mr_chart_job *job, mr_chart_list *out) {
    unsigned number = 0;
    bool chosen[MR_FIGURE_COUNT];
    choice_of(job, chosen);
    const struct mr_chart_job with = numbered(job, &number);
    make_kinds(&with, chosen, true, out);
}

size_t mr_figure_make(const struct mr_chart_job *job, const struct mr_figure_kind *kind, size_t zone,
                      mr_chart_list *out) {
    const size_t id = (size_t)(kind - kinds);
    unsigned number = 0;
    bool chosen[MR_FIGURE_COUNT];
    choice_of(job, chosen);
    const struct mr_chart_job with = numbered(job, &number);
    mr_chart_list all = {0};
    make_kinds(&with, chosen, true, &all);
    if (!chosen[id])
        make_kinds(&with, chosen, false, &all);
    size_t n = 0;
    for (size_t i = 0; i < all.n; i++) {
        if (strcmp(all.v[i].kind, mr_figure_words[id].name) != 0 || (zone != MR_NONE && all.v[i].zone != zone))
            continue;
        MR_PUSH(job->arena, out, all.v[i]);
        n++;
    }
    return n;
}
