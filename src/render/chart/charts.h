/*
 * charts.h - which charts a job gets, and each as a draw list.
 */
#ifndef MILRISE_RENDER_CHART_CHARTS_H
#define MILRISE_RENDER_CHART_CHARTS_H

#include "render/plot/chart_list.h"

/** mr_charts_make - the report's charts, in order of kind, then zone or shift. */
void mr_charts_make(const struct mr_chart_job *job, mr_chart_list *out);

/* The kinds, each in its own file. */
void mr_charts_verdict(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_zones(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_days(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_film(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_spots(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_map(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_normal(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_repair(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_heat(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_coats(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_scatter(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_climate(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_lines(const struct mr_chart_job *job, mr_chart_list *out);
void mr_charts_story(const struct mr_chart_job *job, mr_chart_list *out);

#endif
