/*
 * chart_list.h - the charts of a job as a list, each with a file name of its own.
 */
#ifndef MILRISE_RENDER_PLOT_CHART_LIST_H
#define MILRISE_RENDER_PLOT_CHART_LIST_H

#include "render/plot/chart_axes.h"

struct mr_chart {
    const char *kind;  /* see figures.c */
    const char *stem;  /* file name without suffix: lower-case letters, digits, hyphens; each once */
    const char *title; /* NULL when added: the list's */
    const char *alt;   /* what the picture shows, in a sentence */
    size_t zone;       /* MR_NONE */
    struct mr_drawlist *list;
    bool kept;              /* it stands in the former report under the same key */
    char key[65];           /* of what is drawn, whatever the revision (draw_key.h); "" where it was not asked for */
    long since;             /* the revision since which the figure stands as it is */
    int64_t created_utc_ms; /* when that was, for document properties */
};
typedef MR_VEC(struct mr_chart) mr_chart_list;

/** mr_slug - a name as part of a file name: lower-case ASCII letters, digits and single hyphens, at most 48; "x"
 * where nothing is left. */
const char *mr_slug(struct mr_arena *arena, const char *name);

/* Adds one chart; the stem is made unique by a number. */
void mr_chart_add(const struct mr_chart_job *job, mr_chart_list *out, struct mr_chart chart, const char *stem);

#endif
