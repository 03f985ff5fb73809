/*
 * figures.c - see the header. The order of kinds is the order of figures in a report, and so of their numbers.
 */
#include "render/chart/figures.h"

#include "render/chart/charts.h"

#include <string.h>

static const struct mr_figure_kind kinds[] = {
    {"thickness", "gauge readings of a zone as a histogram, with limits, mean and spot means", MR_FIGURE_OF_ZONE,
     true, mr_charts_film},
    {"spots", "spots and areas of a zone in order, against the limits of its rule set", MR_FIGURE_OF_ZONE, false,
     mr_charts_spots},
    {"reaction", "heat of a coat: probe, fitted curve, rise and its band", MR_FIGURE_OF_ZONE, true, mr_charts_heat},
    {"rise-against-thickness", "rise of all zones against their film, with the prediction band", MR_FIGURE_OF_JOB,
     true, mr_charts_scatter},
    {"climate", "temperatures, dew-point spread and humidity over a shift", MR_FIGURE_OF_SHIFT, true,
     mr_charts_climate},
    {"lines", "pressures of both lines over a shift", MR_FIGURE_OF_SHIFT, true, mr_charts_lines},
    {"shift-timeline", "what happened in a shift, in order of time", MR_FIGURE_OF_SHIFT, true, mr_charts_story},
};

/* The text block of a page with margins of 16 to 19 mm; a slide of 16:9 is enlarged when it is placed, so that 7.5
 * points become 12. */
static const struct mr_figure_size sizes[2][3] = {{{"half-page", 504, 324}, {"page", 504, 740}, {"slide", 576, 324}},
                                                  {{"half-page", 504, 324}, {"page", 504, 684}, {"slide", 576, 324}}};

const struct mr_figure_kind *mr_figure_kinds(size_t *n) {
    *n = MR_COUNT(kinds);
    return kinds;
}

const struct mr_figure_kind *mr_figure_kind_find(const char *name) {
    for (size_t i = 0; i < MR_COUNT(kinds); i++)
        if (strcmp(kinds[i].name, name) == 0)
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
static void make_kinds(const struct mr_chart_job *job, bool in_report, mr_chart_list *out) {
    for (size_t i = 0; i < MR_COUNT(kinds); i++)
        if (kinds[i].in_report == in_report)
            kinds[i].make(job, out);
}

static struct mr_chart_job numbered(const struct mr_chart_job *job, unsigned *number) {
    struct mr_chart_job with = *job;
    with.number = number;
    return with;
}

void mr_charts_make(const struct mr_chart_job *job, mr_chart_list *out) {
    unsigned number = 0;
    const struct mr_chart_job with = numbered(job, &number);
    make_kinds(&with, true, out);
}

size_t mr_figure_make(const struct mr_chart_job *job, const struct mr_figure_kind *kind, size_t zone,
                      mr_chart_list *out) {
    unsigned number = 0;
    const struct mr_chart_job with = numbered(job, &number);
    mr_chart_list all = {0};
    make_kinds(&with, true, &all);
    if (!kind->in_report)
        make_kinds(&with, false, &all);
    size_t n = 0;
    for (size_t i = 0; i < all.n; i++) {
        if (strcmp(all.v[i].kind, kind->name) != 0 || (zone != MR_NONE && all.v[i].zone != zone))
            continue;
        MR_PUSH(job->arena, out, all.v[i]);
        n++;
    }
    return n;
}
