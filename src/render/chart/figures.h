/*
 * figures.h - figures by name: which kinds there are, in which sizes, and how one of them is made.
 *
 * A figure made alone is the one that the report holds: same number, same content.
 */
#ifndef MILRISE_RENDER_CHART_FIGURES_H
#define MILRISE_RENDER_CHART_FIGURES_H

#include "base/figure_words.h"
#include "render/plot/chart_list.h"

enum mr_figure_scope { MR_FIGURE_OF_JOB, MR_FIGURE_OF_SHIFT, MR_FIGURE_OF_ZONE };

struct mr_figure_kind {
    enum mr_figure_scope scope; /* one for the job, for each shift, or for each zone (for some kinds: each coat) */
    void (*make)(const struct mr_chart_job *job, mr_chart_list *out); /* all of them */
};

/** mr_figure_kind_find - by name, as figure_words.h lists them; NULL. Static. */
const struct mr_figure_kind *mr_figure_kind_find(const char *name);

/** mr_figure_sizes - all sizes for the paper, *n gets their number. The first is the report's. Static. */
const struct mr_figure_size *mr_figure_sizes(bool letter, size_t *n);

/** mr_figure_size_find - by name; NULL. */
const struct mr_figure_size *mr_figure_size_find(const char *name, bool letter);

/** mr_figure_make - append the figures of one kind to out: those of one zone, or all for MR_NONE. Figures of the job
 * or of a shift belong to no zone. job->size is the size that is drawn. Returns: figures appended. */
size_t mr_figure_make(const struct mr_chart_job *job, const struct mr_figure_kind *kind, size_t zone,
                      mr_chart_list *out);

#endif
