/*
 * charts.c - which charts a job gets, in which order.
 */
#include "render/chart/charts.h"

void mr_charts_make(const struct mr_chart_job *job, mr_chart_list *out) {
    mr_charts_film(job, out);
    mr_charts_heat(job, out);
    mr_charts_scatter(job, out);
    mr_charts_climate(job, out);
    mr_charts_lines(job, out);
    mr_charts_story(job, out);
}
