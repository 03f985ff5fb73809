/*
 * chart_windows.h - the spray windows of a shift, as shading in panels and as names above them.
 */
#ifndef MILRISE_RENDER_PLOT_CHART_WINDOWS_H
#define MILRISE_RENDER_PLOT_CHART_WINDOWS_H

#include "render/plot/chart_axes.h"

#define MR_STRIP_ROW_PT 9.2

/** mr_coat_name - "Tank legs, coat 1"; "Tank legs" where the coat is not known (0). */
const char *mr_coat_name(const struct mr_chart_job *job, size_t zone, int coat);

/** mr_windows_strip - height that the names of a shift's windows take above a panel of this x, w, x0 and x1: rows of
 * names where all find room, else one row of numbers. */
double mr_windows_strip(const struct mr_chart_job *job, size_t shift, const struct mr_panel *panel);

/** mr_windows_name - the names, or the numbers with names told below the plot, above the panel's upper edge. */
void mr_windows_name(struct mr_drawlist *list, const struct mr_chart_job *job, size_t shift,
                     const struct mr_panel *panel);

/** mr_windows_shade - what was sprayed when, as ground for a panel. */
void mr_windows_shade(struct mr_drawlist *list, const struct mr_chart_job *job, size_t shift,
                      const struct mr_panel *panel);

#endif
