/*
 * chart_climate.h - the weather of one shift, as its panels see it.
 */
#ifndef MILRISE_RENDER_CHART_CHART_CLIMATE_H
#define MILRISE_RENDER_CHART_CHART_CLIMATE_H

#include "render/plot/place.h"

#define MR_CLIMATE_LANE_PT 8.0

struct mr_coat_span { /* one coat's judged time */
    size_t row, zone;
    int64_t from, t0, t1, to;
    struct mr_series spread, steel; /* of COAT_POINTS samples */
    double least_k, limit_k, out_min;
    size_t lane;
};

struct mr_climate_view {
    const struct mr_chart_job *job;
    size_t shift;
    int64_t t0, t1, max_gap_ms;
    enum mr_unit temp, rise;
    double rh_max_pct, air_min_c, air_max_c, steel_min_c, steel_max_c; /* strictest of the shift's zones */
    const struct mr_table *table;
    MR_VEC(struct mr_coat_span) coats;
    size_t n_lanes;
    struct mr_sources_text sources;
};

/** mr_coat_misses - whether the table gives minutes out of the limit of spread. */
bool mr_coat_misses(const struct mr_coat_span *coat);

/** mr_climate_begin, mr_climate_end - a panel with windows shaded, axes and clip; frame, and words where there is no
 * data. */
void mr_climate_begin(struct mr_drawlist *list, const struct mr_climate_view *view, const struct mr_panel *panel,
                      const char *label);
void mr_climate_end(struct mr_drawlist *list, struct mr_placer *placer, const struct mr_panel *panel, bool seen);

struct mr_limit_line {
    double value; /* canonical; NaN = none */
    enum mr_unit unit;
    const char *what;
};
void mr_limits_draw(struct mr_drawlist *list, const struct mr_panel *panel, size_t n,
                    const struct mr_limit_line *limits);

/** mr_limits_name - beside their lines; one that lies outside the panel is told below. */
void mr_limits_name(struct mr_drawlist *list, struct mr_placer *placer, const struct mr_panel *panel, size_t n,
                    const struct mr_limit_line *limits);

/** mr_climate_spread - the panel of the spread; mr_climate_lanes - the judged time of each coat as bars. */
void mr_climate_spread(struct mr_drawlist *list, struct mr_placer *placer, const struct mr_climate_view *view,
                       struct mr_panel panel);
void mr_climate_lanes(struct mr_drawlist *list, const struct mr_climate_view *view, const struct mr_panel *panel);

#endif
