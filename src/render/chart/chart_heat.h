/*
 * chart_heat.h - one coat's heat on one zone, as the figure and its notes see it.
 */
#ifndef MILRISE_RENDER_CHART_CHART_HEAT_H
#define MILRISE_RENDER_CHART_CHART_HEAT_H

#include "render/plot/chart_axes.h"

#define MR_PROBES_MOST 4

struct mr_heat_probe {
    const struct mr_track *track;
    const struct mr_heat_event *event; /* NULL: none found */
};

struct mr_heat_view {
    const struct mr_chart_job *job;
    size_t zone;
    int coat;
    const struct mr_window *window; /* NULL where the coat has none */
    struct mr_heat_probe probe[MR_PROBES_MOST];
    size_t n, left_out;
    int64_t t0, t1;
    enum mr_unit temp, rise;
    /* of the row of the table of heat by coat: the rise that was judged, its half interval, the band for this steel
     */
    const char *channel;
    double rise_k, rise_95_k, low_k, high_k;
};

struct mr_heat_look {
    struct mr_ink ink;
    enum mr_dash dash;
    enum mr_mark mark;
};
extern const struct mr_heat_look mr_heat_looks[MR_PROBES_MOST];

/** mr_heat_peak_ms - when the fitted curve peaks; the plain peak without a fit. */
int64_t mr_heat_peak_ms(const struct mr_heat_event *event);

/** mr_heat_coat - "coat 2", "coat not known". */
const char *mr_heat_coat(const struct mr_heat_view *view);

/** mr_heat_draw - the figure. */
struct mr_drawlist *mr_heat_draw(const struct mr_heat_view *view);

/** mr_heat_notes - what was judged and what each probe showed, in a column. */
void mr_heat_notes(struct mr_drawlist *list, const struct mr_heat_view *view, double x, double y, double w);

#endif
